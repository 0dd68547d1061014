// @ts-check
/**
 * Where things are on the screen: two panels over one time axis, in real pixels, with round ticks.
 *
 * @import { Range } from "./range.js"
 * @typedef {{ left: number, right: number, top: number, bottom: number }} Box
 */

import { svg, number } from "./dom.js";
import { attr, pool, say } from "./path.js";
import { measure } from "./place.js";
import { isSame, roundStep } from "./range.js";

/** Above this a dive's time is shown in hours. */
const HOURS_FROM_S = 4 * 3600;
/** Bar over the times at which a failed wing is too much, in lines of text. */
const BAR_LINES = 1.25;

/** A linear scale: values to pixels and back. */
export class Scale {
  /**
   * @param {number} from
   * @param {number} to
   * @param {number} start px of `from`
   * @param {number} end px of `to`
   */
  constructor(from, to, start, end) {
    this.from = from;
    this.to = to;
    this.start = start;
    this.per = (end - start) / (to - from || 1);
  }

  /** @param {number} value */
  at(value) {
    return this.start + (value - this.from) * this.per;
  }

  /** @param {number} px */
  back(px) {
    return this.from + (px - this.start) / this.per;
  }
}

/**
 * @param {number} from
 * @param {number} to
 * @param {number} step
 */
export function ticks(from, to, step) {
  const all = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + step * 1e-9; i++) all.push(i * step);
  return all;
}

/** Steps of a time axis that people count in, seconds. */
const TIME_STEPS = [60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 14400, 21600, 43200, 86400];

/**
 * @param {number} end_s
 * @param {number} most
 */
export function timeStep(end_s, most) {
  const rough = end_s / Math.max(1, most);
  return TIME_STEPS.find((step) => step >= rough) ?? roundStep(end_s, most);
}

/** Layout of one drawing. */
export class Frame {
  /**
   * @param {number} width
   * @param {number} height
   * @param {number} text_px size of the letters
   * @param {Range} range
   */
  constructor(width, height, text_px, range) {
    this.width = width;
    this.height = height;
    this.text = text_px;
    this.line = Math.round(text_px * 1.35);
    this.range = range;
    this.isNarrow = width < 36 * text_px;
    this.left = Math.ceil(measure("−0.0") + 8);
    this.right = width - Math.ceil(text_px * 0.9);
    const top = this.line + 9;
    const bottom = height - this.line - 8;
    const gap = Math.round(1.6 * this.line);
    const room = Math.max(60, bottom - top - gap);
    this.depthBox = { left: this.left, right: this.right, top, bottom: top + Math.round(0.31 * room) };
    this.netBox = { left: this.left, right: this.right, top: this.depthBox.bottom + gap, bottom };
    this.bar = Math.round(BAR_LINES * this.line);
    /** where labels of the lower panel lie */
    this.namesBox = { ...this.netBox, top: this.netBox.top + this.bar + 2, bottom: bottom - 2 };
    this.x = new Scale(0, range.end_s, this.left, this.right);
    this.depth = new Scale(0, range.deepest, top, this.depthBox.bottom);
    this.net = new Scale(range.low, range.high, bottom - 6, this.netBox.top + this.bar + 6);
    this.isHours = range.end_s > HOURS_FROM_S;
  }

  /** Whether another frame places everything alike. @param {Frame | null} other */
  equals(other) {
    return (
      other !== null &&
      this.width === other.width &&
      this.height === other.height &&
      this.text === other.text &&
      isSame(this.range, other.range)
    );
  }
}

/** The axes: grid, ticks, titles. */
export class Axes {
  /** @param {Element} layer */
  constructor(layer) {
    const grid = svg("g", { class: "pic-grid" });
    const words = svg("g", { class: "pic-ticks" });
    const text = (/** @type {string} */ name) => svg("text", { class: name });
    this.times = pool(grid, () => svg("path"));
    this.depths = pool(grid, () => svg("path"));
    this.nets = pool(grid, () => svg("path"));
    this.timeWords = pool(words, () => text("pic-tick pic-tick-time"));
    this.depthWords = pool(words, () => text("pic-tick pic-tick-side"));
    this.netWords = pool(words, () => text("pic-tick pic-tick-side"));
    this.edges = svg("path", { class: "pic-edges" });
    this.depthTitle = text("pic-title");
    this.netTitle = text("pic-title");
    this.unit = text("pic-tick pic-unit");
    layer.append(grid, this.edges, words, this.depthTitle, this.netTitle, this.unit);
    this.drawn = "";
  }

  /**
   * @param {Frame} frame
   * @param {any} units
   * @param {boolean} hasWing
   */
  draw(frame, units, hasWing) {
    const { range } = frame;
    const key = [frame.width, frame.height, frame.text, ...Object.values(range), units.mass.symbol, units.depth.symbol, hasWing].join();
    if (key === this.drawn) return;
    this.drawn = key;
    this.#titles(frame, units, hasWing);
    this.#time(frame);
    this.#side(frame, frame.depth, frame.depthBox, 0, range.deepest, this.depths, this.depthWords);
    this.#side(frame, frame.net, frame.netBox, range.low, range.high, this.nets, this.netWords);
    const { left, right, depthBox, netBox } = frame;
    attr(this.edges, "d", `M${left} ${depthBox.top}H${right}M${left} ${netBox.bottom}H${right}`);
  }

  /**
   * @param {Frame} frame
   * @param {any} units
   * @param {boolean} hasWing
   */
  #titles(frame, units, hasWing) {
    const { left, right, depthBox, netBox } = frame;
    say(this.depthTitle, `depth, ${units.depth.symbol}`);
    const mass = units.mass.symbol;
    const variants = [
      hasWing ? "" : `net lift, ${mass} (+ floats, − sinks)`,
      hasWing ? "" : `net lift, ${mass}`,
      `net lift with the wing empty, ${mass} (+ floats, − sinks)`,
      `net lift, wing empty, ${mass} (+ floats, − sinks)`,
      `net lift with the wing empty, ${mass}`,
      `net lift, wing empty, ${mass}`,
      `net lift, ${mass}`,
    ];
    say(this.netTitle, variants.find((words) => words && measure(words, true) < right - 4) ?? `net, ${mass}`);
    for (const [title, box] of /** @type {const} */ ([[this.depthTitle, depthBox], [this.netTitle, netBox]])) {
      attr(title, "x", 2);
      attr(title, "y", box.top - 0.6 * frame.line);
    }
    say(this.unit, frame.isHours ? "h" : "min");
    attr(this.unit, "x", right);
    attr(this.unit, "y", netBox.bottom + frame.line);
    this.left = left;
  }

  /** @param {Frame} frame */
  #time(frame) {
    const { left, right, depthBox, netBox, x, range } = frame;
    const per = frame.isHours ? 3600 : 60;
    const widest = measure(number(range.end_s / per, 0)) + 1.4 * frame.text;
    const step = timeStep(range.end_s, Math.min(12, (right - left) / widest));
    const all = ticks(0, range.end_s, step);
    const unit = right - measure(frame.isHours ? "h" : "min") - 0.5 * frame.text;
    const lines = this.times(all.length);
    const words = this.timeWords(all.length);
    all.forEach((time, i) => {
      const px = Math.round(x.at(time)) + 0.5;
      attr(lines[i], "d", `M${px} ${depthBox.top}V${depthBox.bottom}M${px} ${netBox.top}V${netBox.bottom + 4}`);
      const text = number(time / per, step % per ? 1 : 0);
      say(words[i], px + 0.5 * measure(text) > unit ? "" : text);
      attr(words[i], "x", px);
      attr(words[i], "y", netBox.bottom + frame.line);
    });
  }

  /**
   * @param {Frame} frame
   * @param {Scale} scale
   * @param {Box} box
   * @param {number} from
   * @param {number} to
   * @param {(count: number) => SVGPathElement[]} lines
   * @param {(count: number) => SVGTextElement[]} words
   */
  #side(frame, scale, box, from, to, lines, words) {
    const most = (box.bottom - box.top) / (1.25 * frame.line);
    const step = roundStep(to - from, Math.min(9, most));
    const all = ticks(from, to, step).filter((value) => scale.at(value) < box.bottom - 4);
    const drawn = lines(all.length);
    const said = words(all.length);
    all.forEach((value, i) => {
      const py = Math.round(scale.at(value)) + 0.5;
      attr(drawn[i], "d", `M${box.left} ${py}H${box.right}`);
      say(said[i], number(value, step < 1 ? 1 : 0));
      attr(said[i], "x", box.left - 6);
      attr(said[i], "y", py + 0.35 * frame.text);
    });
  }
}
