// @ts-check
/** The torque of a diver held level over the dive, with what fins and posture hold and how sure the torque is. */

import { Scale, ticks, timeStep } from "./axes.js";
import { el, number, svg } from "./dom.js";
import { areaBetween, attr, heightAt, line, pool, say, show, trace } from "./path.js";
import { roundStep } from "./range.js";
import { isFresh } from "./side.js";

const TALL_PX = 190;
const BOX = { left: 44, right: 12, top: 22, bottom: 24 };
/** Above this a dive's time is shown in hours. */
const HOURS_FROM_S = 4 * 3600;

export class Torque {
  constructor() {
    const layer = () => svg("g");
    const [grid, words] = [layer(), layer()];
    this.hold = svg("rect", { class: "torque-hold" });
    this.band = svg("path", { class: "torque-band" });
    this.zero = svg("path", { class: "torque-zero" });
    this.curve = svg("path", { class: "torque-curve" });
    this.moment = svg("path", { class: "torque-moment" });
    this.dot = svg("circle", { class: "torque-dot", r: 4 });
    this.title = svg("text", { class: "torque-title", x: 2, y: 13 });
    this.feet = svg("text", { class: "torque-side", "text-anchor": "end" });
    this.head = svg("text", { class: "torque-side", "text-anchor": "end" });
    this.picture = svg("svg", { class: "torque", role: "img", height: TALL_PX },
      this.hold, this.band, grid, this.zero, this.curve, this.moment, this.dot, words, this.title, this.feet, this.head);
    this.element = el("div", { class: "torque-frame" }, this.picture);
    this.lines = pool(grid, () => svg("path", { class: "torque-grid" }));
    this.words = pool(words, () => svg("text", { class: "torque-tick" }));
    /** @type {{ low: number, high: number } | null} */
    this.range = null;
  }

  /** @param {any} bench */
  draw(bench) {
    const { trim, end_s } = bench.dive;
    const wide = this.element.clientWidth;
    if (wide === 0) return;
    attr(this.picture, "viewBox", `0 0 ${wide} ${TALL_PX}`);
    const band = isFresh(bench) ? bench.whole?.trim?.band : null;
    this.#fit(bench, trim, band);
    const { low, high } = /** @type {{ low: number, high: number }} */ (this.range);
    const [bottom, right] = [TALL_PX - BOX.bottom, wide - BOX.right];
    const x = new Scale(0, end_s, BOX.left, right);
    const y = new Scale(low, high, bottom, BOX.top);
    const points = trace(trim.curve.time_s, trim.curve.torque, x, y);
    attr(this.curve, "d", line(points));
    show(this.band, Boolean(band));
    if (band) attr(this.band, "d", areaBetween(trace(band.time_s, band.high, x, y), trace(band.time_s, band.low, x, y)));
    const top = Math.max(BOX.top, y.at(trim.hold.torque));
    attr(this.hold, "x", BOX.left);
    attr(this.hold, "y", top);
    attr(this.hold, "width", right - BOX.left);
    attr(this.hold, "height", Math.min(bottom, y.at(-trim.hold.torque)) - top);
    attr(this.zero, "d", `M${BOX.left} ${y.at(0)}H${right}`);
    const now = x.at(trim.moment.time_s);
    attr(this.moment, "d", `M${now} ${BOX.top}V${bottom}`);
    attr(this.dot, "cx", now);
    attr(this.dot, "cy", heightAt(points, now));
    this.#axes(trim, { x, y, end_s, bottom, right });
    attr(this.picture, "aria-label", `Torque over the dive: at the head’s heaviest ${trim.head.text}; at the feet’s heaviest ${trim.feet.text}.`);
  }

  /**
   * Axes stay as they are while something is dragged, but for a curve that leaves them.
   * @param {any} bench
   * @param {any} trim
   * @param {any} band
   */
  #fit(bench, trim, band) {
    const all = [...trim.curve.torque, ...(band?.low ?? []), ...(band?.high ?? []), trim.hold.torque, -trim.hold.torque];
    const [low, high] = [1.08 * Math.min(...all), 1.08 * Math.max(...all)];
    if (!bench.isDragging || !this.range) this.range = { low, high };
    else this.range = { low: Math.min(low, this.range.low), high: Math.max(high, this.range.high) };
  }

  /**
   * @param {any} trim
   * @param {{ x: Scale, y: Scale, end_s: number, bottom: number, right: number }} box
   */
  #axes(trim, { x, y, end_s, bottom, right }) {
    const { low, high } = /** @type {{ low: number, high: number }} */ (this.range);
    const sides = ticks(low, high, roundStep(high - low, 6));
    const isHours = end_s > HOURS_FROM_S;
    const times = ticks(0, end_s, timeStep(end_s, Math.min(12, (right - BOX.left) / 42)));
    const lines = this.lines(sides.length + times.length);
    const words = this.words(sides.length + times.length);
    sides.forEach((value, i) => {
      const at = Math.round(y.at(value)) + 0.5;
      attr(lines[i], "d", `M${BOX.left} ${at}H${right}`);
      say(words[i], number(value, 0));
      attr(words[i], "x", BOX.left - 6);
      attr(words[i], "y", at + 4);
      attr(words[i], "text-anchor", "end");
    });
    times.forEach((time, n) => {
      const i = sides.length + n;
      const at = Math.round(x.at(time)) + 0.5;
      attr(lines[i], "d", `M${at} ${BOX.top}V${bottom}`);
      say(words[i], number(time / (isHours ? 3600 : 60), 0));
      attr(words[i], "x", at);
      attr(words[i], "y", bottom + 15);
      attr(words[i], "text-anchor", n === times.length - 1 ? "end" : "middle");
    });
    say(this.title, `torque held level, ${trim.unit.symbol}, over ${isHours ? "hours" : "minutes"}`);
    say(this.feet, high > 0 ? "feet-heavy ↑" : "");
    say(this.head, low < 0 ? "head-heavy ↓" : "");
    attr(this.feet, "x", right - 4);
    attr(this.feet, "y", BOX.top + 12);
    attr(this.head, "x", right - 4);
    attr(this.head, "y", bottom - 5);
  }
}
