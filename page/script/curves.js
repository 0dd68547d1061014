// @ts-check
/**
 * The dive's own curves: depth, and the net lift with the wing empty in its corridor. What leaves the corridor is hatched;
 * the times at which a failed wing is too much are tinted and named on a bar. Where there is no way straight up a hatched bar
 * lies along the surface.
 *
 * @import { Frame, Box } from "./axes.js"
 */

import { clock, svg } from "./dom.js";
import { areaTo, attr, line, pool, say, show, trace } from "./path.js";
import { measure } from "./place.js";
import { hasWing } from "./way.js";

/** A load that differs from the net lift by less than this does not show, px. */
const VISIBLE_PX = 2;
/** Height of the bar of an overhead, px. */
const ROOF_PX = 8;

/** @param {any} dive the time at which the bottom is left for good, and where the last stop ends */
export function climb({ levels, stops, deepest, end_s, curve }) {
  const bottoms = levels.filter((/** @type {any} */ level) => level.depth >= deepest - 1e-6);
  let start_s = bottoms.at(-1)?.end_s;
  if (start_s === undefined) {
    const last = curve.depth.reduce((/** @type {number} */ at, /** @type {number} */ depth, /** @type {number} */ i) => (depth >= deepest - 1e-6 ? i : at), 0);
    start_s = curve.time_s[last] ?? 0;
  }
  const last = stops.find((/** @type {any} */ stop) => stop.is_last) ?? stops.at(-1);
  return { start_s, end_s: last?.end_s ?? end_s, depth: last?.depth ?? 0 };
}

/**
 * Times from the end of the bottom on at which the diver is at or below the last stop.
 * @param {any} dive
 * @returns {[number, number][]}
 */
export function held(dive) {
  const { start_s, depth } = climb(dive);
  const { time_s, depth: depths } = dive.curve;
  /** @type {[number, number][]} */
  const spans = [];
  let isInside = false;
  for (let i = 0; i < time_s.length; i++) {
    const isDeep = time_s[i] >= start_s && depths[i] >= depth - 0.01;
    if (isDeep && !isInside) spans.push([time_s[i], time_s[i]]);
    if (isDeep) spans[spans.length - 1][1] = time_s[i];
    isInside = isDeep;
  }
  return spans;
}

export class Curves {
  /**
   * @param {{ under: Element, over: Element, defs: Element }} layers
   */
  constructor({ under, over, defs }) {
    const path = (/** @type {string} */ name) => svg("path", { class: name });
    this.clips = ["pic-clip-depth", "pic-clip-net", "pic-clip-low", "pic-clip-high", "pic-clip-held", "pic-clip-marks"].map((id) => {
      const rect = path("");
      defs.append(svg("clipPath", { id }, rect));
      return rect;
    });
    for (const [id, gap] of /** @type {const} */ ([["pic-hatch", 7], ["pic-hatch-thin", 11], ["pic-hatch-roof", 5]])) {
      const lines = svg("path", { d: `M0 0V${gap}`, class: id });
      defs.append(svg("pattern", { id, width: gap, height: gap, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, lines));
    }
    const inDepth = svg("g", { "clip-path": "url(#pic-clip-depth)" });
    const inNet = svg("g", { "clip-path": "url(#pic-clip-net)" });
    this.water = path("pic-water");
    this.corridor = path("pic-corridor");
    this.low = svg("path", { class: "pic-hatched", "clip-path": "url(#pic-clip-low)" });
    this.thin = svg("path", { class: "pic-hatched-thin", "clip-path": "url(#pic-clip-high)" });
    this.high = svg("g", { "clip-path": "url(#pic-clip-high)" }, svg("path", { class: "pic-hatched", "clip-path": "url(#pic-clip-held)" }));
    inDepth.append(this.water);
    inNet.append(this.corridor);
    this.clipBeyond = path("");
    defs.append(svg("clipPath", { id: "pic-clip-beyond" }, this.clipBeyond));
    this.deep = svg("path", { class: "pic-tint", "clip-path": "url(#pic-clip-beyond)" });
    this.wide = path("pic-tint");
    inDepth.append(this.deep);
    inNet.append(this.wide);
    under.append(inDepth, inNet);
    this.hatches = svg("g", { "clip-path": "url(#pic-clip-net)" }, this.low, this.thin, this.high);
    this.bars = svg("g", { class: "pic-bars" });
    this.barShapes = pool(this.bars, () => path("pic-bar"));
    this.barWords = pool(this.bars, () => svg("text", { class: "pic-bar-words" }));
    under.append(this.hatches);
    this.zero = path("pic-zero");
    this.limit = path("pic-limit");
    this.load = path("pic-load");
    this.bare = path("pic-bare");
    this.line = path("pic-depth");
    over.append(
      svg("g", { "clip-path": "url(#pic-clip-net)" }, this.zero, this.limit, this.load, this.bare),
      svg("g", { "clip-path": "url(#pic-clip-depth)" }, this.line),
      this.bars,
    );
    this.off = pool(over, () => path("pic-off"));
    this.roofs = svg("g", { class: "pic-roofs" });
    this.roofShapes = pool(this.roofs, () => path("pic-roof"));
    this.roofWords = pool(this.roofs, () => svg("text", { class: "pic-roof-words" }));
    over.append(this.roofs);
    /** @type {{ depth: number[], bare: number[], load: number[] }} */
    this.points = { depth: [], bare: [], load: [] };
    /** whether the load on the way up shows beside the net lift */
    this.differs = false;
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {boolean} isHidden while the class guesses
   */
  draw(frame, dive, isHidden) {
    const { curve } = dive;
    const depth = trace(curve.time_s, curve.depth, frame.x, frame.depth);
    const bare = isHidden ? [] : trace(curve.time_s, curve.bare, frame.x, frame.net);
    const load = isHidden ? [] : trace(curve.time_s, curve.load, frame.x, frame.net, -1);
    this.points = { depth, bare, load };
    this.#clip(frame, dive);
    attr(this.line, "d", line(depth));
    const water = areaTo(depth, frame.depthBox.top);
    attr(this.water, "d", water);
    attr(this.deep, "d", water);
    const { left, right } = frame;
    const [zero, limit] = [frame.net.at(0), frame.net.at(-dive.limit)];
    attr(this.zero, "d", `M${left} ${Math.round(zero)}H${right}`);
    attr(this.limit, "d", `M${left} ${Math.round(limit)}H${right}`);
    attr(this.corridor, "d", `M${left} ${zero}H${right}V${limit}H${left}Z`);
    attr(this.bare, "d", line(bare));
    const differs = !isHidden && this.#differs(frame, curve);
    this.differs = differs;
    attr(this.load, "d", differs ? line(load) : "");
    attr(this.low, "d", areaTo(differs ? load : bare, limit));
    const over = areaTo(bare, zero);
    attr(this.thin, "d", over);
    attr(/** @type {Element} */ (this.high.firstElementChild), "d", over);
    this.#beyond(frame, isHidden ? [] : dive.beyond, hasWing(dive), dive.overhead.length > 0);
    this.#overhead(frame, dive.overhead);
    this.#leaving(frame);
  }

  /**
   * @param {Frame} frame
   * @param {any} curve
   */
  #differs(frame, { bare, load }) {
    const least = VISIBLE_PX / Math.abs(frame.net.per);
    for (let i = 0; i < bare.length; i++) if (Math.abs(bare[i] + load[i]) > least) return true;
    return false;
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   */
  #clip(frame, dive) {
    const { left, right, depthBox, netBox, net, x } = frame;
    const box = (/** @type {number} */ top, /** @type {number} */ bottom) => `M${left} ${top}H${right}V${Math.max(top, bottom)}H${left}Z`;
    const spans = held(dive).map(([from, to]) => `M${x.at(from)} ${netBox.top}H${x.at(to)}V${netBox.bottom}H${x.at(from)}Z`);
    const shapes = [
      box(depthBox.top - 2, depthBox.bottom),
      box(netBox.top, netBox.bottom),
      box(net.at(-dive.limit), netBox.bottom + 2000),
      box(netBox.top - 2000, net.at(0)),
      spans.join(""),
      // a point at the very start is shown whole
      `M${left - 8} ${netBox.top}H${right + 8}V${netBox.bottom}H${left - 8}Z`,
    ];
    shapes.forEach((shape, i) => attr(this.clips[i], "d", shape));
  }

  /**
   * @param {Frame} frame
   * @param {any[]} beyond
   * @param {boolean} isWinged
   * @param {boolean} isRoofed there is no way straight up somewhere
   */
  #beyond(frame, beyond, isWinged, isRoofed) {
    const { x, left, right, depthBox, netBox, bar } = frame;
    const spans = beyond.map((span) => {
      const from = Math.min(right - 2, Math.max(left, x.at(span.start_s)));
      return { from, to: Math.min(right, Math.max(from + 2, x.at(span.end_s))) };
    });
    const over = (/** @type {Box} */ box) => spans.map(({ from, to }) => `M${from} ${box.top}H${to}V${box.bottom}H${from}Z`).join("");
    attr(this.clipBeyond, "d", over(depthBox));
    attr(this.wide, "d", over(netBox));
    const bars = this.barShapes(beyond.length);
    const words = this.barWords(beyond.length);
    beyond.forEach((span, i) => {
      const { from, to } = spans[i];
      attr(bars[i], "d", `M${from} ${netBox.top}H${to}V${netBox.top + bar}H${from}Z`);
      attr(bars[i], "class", span.after_ditching ? "pic-bar" : "pic-bar is-worse");
      const beside = (spans[i + 1]?.from ?? right) - to - 12;
      const { text, isBeside } = barText(span, isWinged, isRoofed, to - from - 12, beside);
      say(words[i], text);
      attr(words[i], "class", isBeside ? "pic-bar-words is-beside" : "pic-bar-words");
      attr(words[i], "x", isBeside ? to + 6 : from + 6);
      attr(words[i], "y", netBox.top + 0.76 * bar);
    });
  }

  /**
   * @param {Frame} frame
   * @param {any[]} spans
   */
  #overhead(frame, spans) {
    const { x, left, right, depthBox, line: height } = frame;
    const shapes = this.roofShapes(spans.length);
    const words = this.roofWords(spans.length);
    spans.forEach((span, i) => {
      const from = Math.min(right - 3, Math.max(left, x.at(span.start_s)));
      const to = Math.min(right, Math.max(from + 3, x.at(span.end_s)));
      attr(shapes[i], "d", `M${from} ${depthBox.top}H${to}V${depthBox.top + ROOF_PX}H${from}Z`);
      const text = ["overhead: no way straight up", "overhead"].find((each) => measure(each) < to - from - 8) ?? "";
      say(words[i], text);
      attr(words[i], "x", from + 4);
      attr(words[i], "y", depthBox.top + ROOF_PX + 0.8 * height);
    });
  }

  /**
   * Keeps other labels off the bars.
   * @param {Frame} frame
   * @param {any} dive
   * @param {import("./place.js").Placer} placer
   */
  keep({ x, left, right, depthBox, line: height }, { overhead }, placer) {
    for (const span of overhead) {
      const [from, to] = [Math.max(left, x.at(span.start_s)), Math.min(right, x.at(span.end_s))];
      placer.keepBox({ left: from, right: to, top: depthBox.top, bottom: depthBox.top + ROOF_PX + height });
    }
  }

  /**
   * Small arrows where a curve leaves the frame.
   * @param {Frame} frame
   */
  #leaving(frame) {
    const { bare, depth } = this.points;
    const arrows = [...outside(bare, frame.netBox, frame), ...outside(depth, { ...frame.depthBox, top: -1e6 }, frame)];
    this.off(arrows.length).forEach((node, i) => attr(node, "d", arrows[i]));
  }

  /** @param {boolean} isHidden */
  hide(isHidden) {
    for (const node of [this.hatches, this.bars, this.bare, this.load]) show(node, !isHidden);
  }
}

/**
 * The most words that fit on the bar or, better said, beside it.
 * @param {any} span
 * @param {boolean} isWinged
 * @param {boolean} isRoofed
 * @param {number} room px
 * @param {number} beside px
 */
function barText(span, isWinged, isRoofed, room, beside) {
  const [from, to] = [clock(span.start_s), clock(span.end_s)];
  const time = span.start_s > 0 ? `${from} to ${to}` : `until ${to}`;
  const ditch = span.after_ditching ? "within the limit after ditching" : "even after ditching";
  const variants = [
    ...(isWinged ? [`a failed wing is too much ${time}, ${ditch}`, `a failed wing is too much ${time}`, `failed wing too much ${time}`] : []),
    isRoofed ? `too much for the fins ${time}` : `too much to swim up ${time}`,
    `too much ${time}`,
    ...(span.after_ditching ? [] : ["too much, even after ditching"]),
    "too much",
  ];
  for (const text of variants) {
    const width = measure(text);
    if (width < room || width < beside) return { text, isBeside: width >= room };
  }
  return { text: "", isBeside: false };
}

/**
 * @param {number[]} points
 * @param {Box} box
 * @param {Frame} frame
 */
function outside(points, box, { right }) {
  const arrows = [];
  let [low, high] = [-1, -1];
  for (let i = 0; i < points.length; i += 2) {
    if (points[i] > right + 1) continue;
    if (points[i + 1] > box.bottom + 1 && (low < 0 || points[i + 1] > points[low + 1])) low = i;
    if (points[i + 1] < box.top - 1 && (high < 0 || points[i + 1] < points[high + 1])) high = i;
  }
  if (low >= 0) arrows.push(`M${points[low] - 6} ${box.bottom - 9}h12l-6 8Z`);
  if (high >= 0) arrows.push(`M${points[high] - 6} ${box.top + 9}h12l-6 -8Z`);
  const last = points.length - 2;
  if (last > 0 && points[last] > right + 1) {
    const i = points.findIndex((x, at) => at % 2 === 0 && x > right);
    const y = Math.max(box.top + 6, Math.min(points[i + 1], box.bottom - 6));
    arrows.push(`M${right - 8} ${y - 6}v12l8 -6Z`);
  }
  return arrows;
}
