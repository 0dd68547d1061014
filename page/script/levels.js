// @ts-check
/**
 * The dive's levels on the depth line, and the swim-up limit: handles that change the plan.
 *
 * @import { Frame } from "./axes.js"
 * @import { Handles, Handle } from "./handle.js"
 */

import { number, svg } from "./dom.js";
import { snap } from "./handle.js";

/** Steps of a length, minutes. */
const LENGTH_STEP = 0.5;
/** Longest level that the keyboard goes to, minutes. */
const LONGEST_MIN = 600;

/** @param {any} units */
function depthStep(units) {
  return units.depth.symbol === "ft" ? 1 : 0.5;
}

/** A level's name without its depth, which the slider says itself. @param {any} level */
function nameOf(level) {
  return level.label.replace(/,?\s*(at\s+)?[\d.]+\s*(m|ft)\s*$/, "") || level.label;
}

export class Levels {
  /**
   * @param {Element} layer
   * @param {Handles} handles
   * @param {any} bench
   */
  constructor(layer, handles, bench) {
    this.layer = svg("g", { class: "pic-levels" });
    layer.append(this.layer);
    this.handles = handles;
    this.bench = bench;
    /** @type {{ depth: Handle, length: Handle }[]} */
    this.pairs = [];
    /** @type {Frame | null} */
    this.frame = null;
    this.held = { depth: 0, length_min: 0 };
    this.limit = handles.make(
      layer,
      {
        way: "vertical",
        isChange: true,
        drag: ({ y }) => this.#setLimit(-(/** @type {Frame} */ (this.frame).net.back(y))),
        step: (steps) => this.#setLimit(this.bench.dive.limit - steps * this.#limitControl().step),
      },
      svg("rect", { class: "pic-grip is-limit", x: -9, y: -6, width: 18, height: 12, rx: 6 }),
      svg("path", { class: "pic-grip-lines", d: "M-4 -1.5h8M-4 1.5h8" }),
    );
  }

  #limitControl() {
    return this.bench.dive.controls.find((/** @type {any} */ control) => control.id === "swim-up");
  }

  /** @param {number} load */
  #setLimit(load) {
    const { min, max, step } = this.#limitControl();
    const to = snap(load, step, min, max);
    if (Math.abs(to - this.bench.dive.limit) > 1e-6 || this.bench.isDragging) this.bench.change({ control: "swim-up", to });
  }

  /** @param {number} index */
  #make(index) {
    const level = () => this.bench.dive.levels[index];
    const start = () => (this.held = { depth: level().depth, length_min: level().length_min });
    const depth = this.handles.make(
      this.layer,
      {
        way: "vertical",
        isChange: true,
        start,
        drag: ({ y }) => this.#setDepth(index, /** @type {Frame} */ (this.frame).depth.back(y)),
        // up on the screen is less deep
        step: (steps) => this.#setDepth(index, level().depth - steps * depthStep(this.bench.dive.units)),
      },
      svg("rect", { class: "pic-grip", x: -9, y: -4, width: 18, height: 8, rx: 4 }),
    );
    const length = this.handles.make(
      this.layer,
      {
        way: "horizontal",
        isChange: true,
        start,
        drag: (to, from) => {
          const minutes = (to.x - from.x) / (60 * /** @type {Frame} */ (this.frame).x.per);
          this.#setLength(index, this.held.length_min + minutes);
        },
        step: (steps) => this.#setLength(index, level().length_min + steps * LENGTH_STEP),
      },
      svg("rect", { class: "pic-grip", x: -4, y: -9, width: 8, height: 18, rx: 4 }),
    );
    return { depth, length };
  }

  /**
   * @param {number} index
   * @param {number} wanted
   */
  #setDepth(index, wanted) {
    const level = this.bench.dive.levels[index];
    const step = depthStep(this.bench.dive.units);
    const depth = snap(wanted, step, step, 1000);
    if (Math.abs(depth - level.depth) > 1e-6) this.bench.change({ level: level.id, depth });
  }

  /**
   * @param {number} index
   * @param {number} wanted
   */
  #setLength(index, wanted) {
    const level = this.bench.dive.levels[index];
    const length_min = snap(wanted, LENGTH_STEP, LENGTH_STEP, LONGEST_MIN);
    if (Math.abs(length_min - level.length_min) > 1e-6) this.bench.change({ level: level.id, length_min });
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   */
  draw(frame, dive) {
    this.frame = frame;
    const { levels, units } = dive;
    while (this.pairs.length < levels.length) this.pairs.push(this.#make(this.pairs.length));
    this.pairs.forEach(({ depth, length }, i) => {
      const level = levels[i];
      depth.show(Boolean(level?.moves_depth));
      length.show(Boolean(level?.moves_length));
      if (level) this.#pair(frame, dive, level, depth, length);
    });
    this.#limit(frame, dive, units);
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {any} level
   * @param {Handle} depth
   * @param {Handle} length
   */
  #pair(frame, dive, level, depth, length) {
    const { units } = dive;
    const room = { left: frame.left, right: frame.right, top: 0, line: frame.line };
    const y = Math.min(frame.depth.at(level.depth), frame.depthBox.bottom);
    const inside = (/** @type {number} */ time_s) => Math.min(frame.x.at(time_s), frame.right);
    depth.place(inside(0.5 * (level.start_s + level.end_s)), y);
    length.place(inside(level.end_s), y);
    const isShort = (level.end_s - level.start_s) * frame.x.per < 30;
    for (const handle of [depth, length]) handle.node.classList.toggle("is-small", isShort);
    const name = nameOf(level);
    const decimals = Number.isInteger(level.depth) ? 0 : 1;
    const deep = `${number(level.depth, decimals)} ${units.depth.symbol}`;
    const long = `${number(level.length_min, Number.isInteger(level.length_min) ? 0 : 1)} min`;
    depth.say({ label: `depth of ${name}`, min: depthStep(units), max: Math.max(1000, level.depth), now: level.depth, text: deep }, room);
    length.say({ label: `length of ${name} at ${deep}`, min: LENGTH_STEP, max: Math.max(LONGEST_MIN, level.length_min), now: level.length_min, text: long }, room);
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {any} units
   */
  #limit(frame, dive, units) {
    const control = this.#limitControl();
    this.limit.show(Boolean(control));
    if (!control) return;
    const y = Math.max(frame.netBox.top, Math.min(frame.net.at(-dive.limit), frame.netBox.bottom));
    this.limit.place(frame.right - 12, y);
    const text = `${number(dive.limit, Math.max(1, units.mass.decimals))} ${units.mass.symbol}`;
    const room = { left: 0, right: frame.width, top: frame.netBox.top, line: frame.line };
    this.limit.say({ label: "swim-up limit", min: control.min, max: control.max, now: Number(dive.limit.toFixed(3)), text }, room);
  }
}
