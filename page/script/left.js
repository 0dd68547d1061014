// @ts-check
/**
 * What mishaps leave over the dive, for those that are switched on: dashed curves over the net lift, each named beside a
 * piece of its line.
 *
 * @import { Frame } from "./axes.js"
 */

import { signed, svg } from "./dom.js";
import { attr, heightAt, line, pool, trace } from "./path.js";
import { Label, measure, put } from "./place.js";

/** As many curves as can be told apart. */
export const MOST_DRAWN = 5;
/** Room for a piece of the line before a name. */
const SWATCH = "\u2003\u2003";
/** Where a name may stand too if the worst moment has no room, as shares of the width. */
const ELSEWHERE = [0.35, 0.55, 0.75];

/**
 * The mishaps whose curves are drawn.
 * @param {any} dive
 * @returns {any[]}
 */
export function drawn(dive) {
  return (dive?.mishaps?.list ?? []).filter((/** @type {any} */ one) => one.is_on && one.left).slice(0, MOST_DRAWN);
}

export class Left {
  /**
   * @param {Element} layer
   * @param {Element} words where labels lie
   */
  constructor(layer, words) {
    const path = (/** @type {number} */ i) => svg("path", { class: `pic-mishap is-${i}` });
    const inNet = svg("g", { "clip-path": "url(#pic-clip-net)" });
    layer.append(inNet);
    this.paths = pool(inNet, path);
    this.dots = pool(inNet, (i) => svg("circle", { class: `pic-mishap-worst is-${i}`, r: 4 }));
    this.swatches = pool(words, path);
    this.labels = Array.from({ length: MOST_DRAWN }, () => new Label(words, "pic-mishap-name"));
    /** @type {{ words: string[][], at: { x: number, y: number }[] }[]} */
    this.names = [];
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {boolean} isHidden while the class guesses
   * @returns {number[][]} curves that labels keep clear of
   */
  draw(frame, dive, isHidden) {
    for (const label of this.labels) label.hide();
    const shown = isHidden ? [] : drawn(dive);
    const paths = this.paths(shown.length);
    const dots = this.dots(shown.length);
    const { symbol, decimals } = dive.units.mass;
    const curves = shown.map(({ left }) => runs(dive.curve.time_s, left).map(([times, values]) => trace(times, values, frame.x, frame.net)));
    curves.forEach((each, i) => attr(paths[i], "d", each.map((points) => line(points)).join("")));
    this.names = shown.map(({ label, worst }, i) => {
      const at = { x: Math.min(frame.x.at(worst.time_s), frame.right), y: Math.max(frame.netBox.top, Math.min(frame.net.at(worst.left), frame.netBox.bottom)) };
      attr(dots[i], "cx", at.x);
      attr(dots[i], "cy", at.y);
      const value = `${signed(worst.left, decimals)} ${symbol}`;
      const more = ELSEWHERE.map((share) => frame.left + share * (frame.right - frame.left)).flatMap((x) => curves[i].filter((points) => points[0] <= x && x <= points[points.length - 2]).map((points) => ({ x, y: heightAt(points, x) })));
      return { words: [[`${SWATCH}${label} ${value}`], [`${SWATCH}${label}`], [`${SWATCH}${value}`]], at: [at, ...more] };
    });
    return curves.flat();
  }

  /**
   * @param {import("./place.js").Placer} placer
   * @param {Frame} frame
   */
  name(placer, frame) {
    const swatches = this.swatches(this.names.length);
    this.names.forEach(({ words, at }, i) => {
      const box = put(this.labels[i], placer, `mishap ${i}`, words, at, frame.namesBox, frame.line);
      attr(swatches[i], "d", box ? `M${box.left + 2} ${box.top + 0.55 * frame.line}h${measure(SWATCH) - 5}` : "");
    });
  }
}

/**
 * The stretches in which a mishap can happen.
 * @param {number[]} times
 * @param {(number | null)[]} left
 * @returns {[number[], number[]][]}
 */
function runs(times, left) {
  /** @type {[number[], number[]][]} */
  const all = [];
  let isOpen = false;
  left.forEach((value, i) => {
    if (value !== null && !isOpen) all.push([[], []]);
    isOpen = value !== null;
    if (value === null) return;
    const [run, values] = all[all.length - 1];
    run.push(times[i]);
    values.push(value);
  });
  return all;
}
