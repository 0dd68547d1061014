// @ts-check
/**
 * What stands behind the dive: the dive as it was opened, frozen rigs, the band of doubt.
 *
 * @import { Frame } from "./axes.js"
 */

import { svg } from "./dom.js";
import { areaBetween, attr, heightAt, line, pool, trace } from "./path.js";
import { Label, measure, put } from "./place.js";

/** Room for a piece of the line before a name. */
const SWATCH = "\u2003\u2003";

/** Curves that change only with the axes are kept. */
class Kept {
  /** @type {Frame | null} */
  frame = null;
  /** @type {any} */
  dive = null;
  /** @type {{ depth: number[], bare: number[] }} */
  points = { depth: [], bare: [] };

  /**
   * @param {Frame} frame
   * @param {any} dive
   */
  of(frame, dive) {
    if (dive === this.dive && frame.equals(this.frame)) return this.points;
    const { time_s, depth, bare } = dive.curve;
    [this.frame, this.dive] = [frame, dive];
    this.points = { depth: trace(time_s, depth, frame.x, frame.depth), bare: trace(time_s, bare, frame.x, frame.net) };
    return this.points;
  }
}

export class Behind {
  /**
   * @param {Element} layer
   * @param {Element} words where labels lie
   */
  constructor(layer, words) {
    const path = (/** @type {string} */ name) => svg("path", { class: name });
    this.band = path("pic-band");
    this.ghostDepth = path("pic-ghost");
    this.ghostBare = path("pic-ghost");
    const inDepth = svg("g", { "clip-path": "url(#pic-clip-depth)" }, this.ghostDepth);
    const inNet = svg("g", { "clip-path": "url(#pic-clip-net)" }, this.band, this.ghostBare);
    this.frozenDepths = pool(inDepth, (i) => path(`pic-frozen is-${i}`));
    this.frozenBares = pool(inNet, (i) => path(`pic-frozen is-${i}`));
    layer.append(inDepth, inNet);
    this.inNet = inNet;
    this.labels = [0, 1, 2].map((i) => new Label(words, `pic-name-${i}`));
    // each name stands beside a piece of its line
    this.swatches = pool(words, (i) => path(`pic-frozen is-${i}`));
    this.ghostLabel = new Label(words, "pic-name-ghost");
    this.bandLabel = new Label(words, "pic-name-band");
    this.kept = [0, 1, 2, 3].map(() => new Kept());
    /** @type {{ frame: Frame, band: any, lows: number[], highs: number[] } | null} */
    this.keptBand = null;
    /** @type {{ id: string, label: Label, words: string[][], at: { x: number, y: number }, most: number }[]} */
    this.names = [];
  }

  /**
   * @param {Frame} frame
   * @param {any} bench
   * @param {boolean} isHidden
   * @param {{ bare: number[] }} now the curve of the present dive
   * @returns {number[][]} curves that labels keep clear of
   */
  draw(frame, bench, isHidden, now) {
    this.names = [];
    for (const label of [...this.labels, this.ghostLabel, this.bandLabel]) label.hide();
    const curves = [];
    const ghost = bench.ghost ? this.kept[3].of(frame, bench.ghost) : null;
    attr(this.ghostDepth, "d", ghost ? line(ghost.depth) : "");
    attr(this.ghostBare, "d", ghost && !isHidden ? line(ghost.bare) : "");
    if (ghost && !isHidden) {
      curves.push(ghost.bare);
      this.#nameGhost(frame, ghost.bare, now.bare);
    }
    curves.push(...this.#frozen(frame, bench.frozen, isHidden));
    this.#band(frame, bench, isHidden);
    return curves;
  }

  /**
   * @param {Frame} frame
   * @param {number[]} ghost
   * @param {number[]} bare
   */
  #nameGhost(frame, ghost, bare) {
    // where the two are farthest apart; not at all where they are one
    let [far, at] = [8, -1];
    for (let x = frame.left; x < Math.min(frame.right, ghost[ghost.length - 2] ?? 0); x += 8) {
      const apart = Math.abs(heightAt(ghost, x) - heightAt(bare, x));
      if (apart > far + 1) [far, at] = [apart, x];
    }
    if (at < 0) return;
    this.names.push({ id: "ghost", label: this.ghostLabel, words: [["as opened"]], at: { x: at, y: heightAt(ghost, at) }, most: 140 });
  }

  /**
   * @param {Frame} frame
   * @param {any[]} frozen
   * @param {boolean} isHidden
   */
  #frozen(frame, frozen, isHidden) {
    const points = frozen.slice(0, 3).map((rig, i) => this.kept[i].of(frame, rig.dive));
    const depths = this.frozenDepths(points.length);
    const bares = this.frozenBares(isHidden ? 0 : points.length);
    points.forEach(({ depth, bare }, i) => {
      attr(depths[i], "d", line(depth));
      if (isHidden) return;
      attr(bares[i], "d", line(bare));
      const x = Math.min(frame.right, bare[bare.length - 2] ?? 0);
      const at = { x: x - 2, y: Math.max(frame.netBox.top, Math.min(heightAt(bare, x), frame.netBox.bottom)) };
      this.names.push({ id: `frozen ${i}`, label: this.labels[i], words: [[`${SWATCH}${frozen[i].label}`]], at, most: Infinity });
    });
    return isHidden ? [] : points.map(({ bare }) => bare);
  }

  /**
   * @param {Frame} frame
   * @param {any} bench
   * @param {boolean} isHidden
   */
  #band(frame, { whole, state, isStale }, isHidden) {
    const band = state.seesBand && !isHidden ? whole?.band : null;
    attr(this.band, "class", isStale ? "pic-band is-old" : "pic-band");
    if (!band) {
      this.keptBand = null;
      attr(this.band, "d", "");
      return;
    }
    if (this.keptBand?.band !== band || !frame.equals(this.keptBand?.frame ?? null)) {
      const edge = (/** @type {number[]} */ values) => trace(band.time_s, values, frame.x, frame.net);
      this.keptBand = { frame, band, lows: edge(band.low), highs: edge(band.high) };
      attr(this.band, "d", areaBetween(this.keptBand.highs, this.keptBand.lows));
    }
    const { highs } = /** @type {NonNullable<typeof this.keptBand>} */ (this.keptBand);
    const x = frame.left + 0.55 * (frame.right - frame.left);
    const words = isStale ? "band of doubt, being worked out again" : "band of doubt, 95 in 100";
    this.names.push({ id: "band", label: this.bandLabel, words: [[words], ["band of doubt"]], at: { x, y: heightAt(highs, x) }, most: 160 });
  }

  /**
   * @param {import("./place.js").Placer} placer
   * @param {Frame} frame
   */
  name(placer, frame) {
    const frozen = this.names.filter(({ id }) => id.startsWith("frozen"));
    const swatches = this.swatches(frozen.length);
    for (const name of this.names) {
      const { id, label, words, at, most } = name;
      const box = put(label, placer, id, words, at, frame.namesBox, frame.line, most);
      const swatch = swatches[frozen.indexOf(name)];
      if (swatch) attr(swatch, "d", box ? `M${box.left + 2} ${box.top + 0.55 * frame.line}h${measure(SWATCH) - 5}` : "");
    }
  }
}
