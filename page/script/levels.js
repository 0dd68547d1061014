// @ts-check
/**
 * The dive's levels on the depth line, and the swim-up limit: handles that change the plan.
 *
 * @import { Frame } from "./axes.js"
 * @import { Handles, Handle } from "./handle.js"
 */

import { number, svg } from "./dom.js";
import { snap } from "./handle.js";
import { Label, measure, put } from "./place.js";

/** Steps of a length, minutes. */
const LENGTH_STEP = 0.5;
/** Longest level that the keyboard goes to, minutes. */
const LONGEST_MIN = 600;
/** A level's depth and length are left out where they would hide something. */
const SPARE = 60;

/** @param {any} units */
function depthStep(units) {
  return units.depth.symbol === "ft" ? 1 : 0.5;
}

/**
 * Names of levels without their depths, which the sliders say themselves; those that are alike are counted.
 * @param {any[]} levels
 * @returns {string[]}
 */
function namesOf(levels) {
  const names = levels.map(({ label }) => label.replace(/,?\s*(at\s+)?[\d.]+\s*(m|ft)\s*$/, "") || label);
  return names.map((name, i) => {
    const alike = names.filter((other) => other === name).length;
    return alike > 1 ? `${name} ${names.slice(0, i + 1).filter((other) => other === name).length}` : name;
  });
}

/** @param {string} id of a control */
function isLimit(id) {
  return id === "swim up" || id === "swim-up";
}

/**
 * A depth with no more decimals than the reader's unit has.
 * @param {number} value
 * @param {any} units
 */
function deepWords(value, { depth }) {
  return `${depth.decimals === 0 ? number(value, 0) : short(value)} ${depth.symbol}`;
}

/** With a decimal only where there is one. @param {number} value */
function short(value) {
  return number(value, Math.abs(value - Math.round(value)) < 0.05 ? 0 : 1);
}

export class Levels {
  /**
   * @param {Element} layer
   * @param {Handles} handles
   * @param {any} bench
   * @param {Element} words
   */
  constructor(layer, handles, bench, words) {
    this.layer = svg("g", { class: "pic-levels" });
    layer.append(this.layer);
    this.handles = handles;
    this.bench = bench;
    this.words = words;
    /** @type {Label[]} */
    this.names = [];
    /** @type {{ depth: Handle, length: Handle }[]} */
    this.pairs = [];
    /** @type {Frame | null} */
    this.frame = null;
    this.held = { depth: 0, length_min: 0 };
    /** @type {number | null} what was asked for last in this drag */
    this.asked = null;
    this.limit = handles.make(
      layer,
      {
        way: "vertical",
        isChange: true,
        start: () => (this.asked = null),
        drag: ({ y }) => this.#setLimit(-(/** @type {Frame} */ (this.frame).net.back(y))),
        // up and down as on the screen; right is more
        step: (steps, isSideways) => this.#setLimit(this.bench.dive.limit + (isSideways ? steps : -steps) * this.#limitControl().step),
      },
      svg("rect", { class: "pic-grip is-limit", x: -9, y: -6, width: 18, height: 12, rx: 6 }),
      svg("path", { class: "pic-grip-lines", d: "M-4 -1.5h8M-4 1.5h8" }),
    );
  }

  #limitControl() {
    return this.bench.dive.controls.find((/** @type {any} */ control) => isLimit(control.id));
  }

  /** @param {number} load */
  #setLimit(load) {
    const { id, min, max, step } = this.#limitControl();
    const to = snap(load, step, min, max);
    this.#ask({ control: id, to }, to, this.bench.dive.limit);
  }

  /**
   * Asks for a change; in a drag not for one that was asked for just before, whose answer may not be there yet.
   * @param {object} change
   * @param {number} to
   * @param {number} now
   */
  #ask(change, to, now) {
    const last = this.bench.isDragging ? (this.asked ?? now) : now;
    this.asked = this.bench.isDragging ? to : null;
    if (Math.abs(to - last) > 1e-6) this.bench.change(change);
  }

  /** @param {number} index */
  #make(index) {
    const level = () => this.bench.dive.levels[index];
    const start = () => {
      this.asked = null;
      this.held = { depth: level().depth, length_min: level().length_min };
    };
    const depth = this.handles.make(
      this.layer,
      {
        way: "vertical",
        isChange: true,
        start,
        drag: ({ y }) => this.#setDepth(index, /** @type {Frame} */ (this.frame).depth.back(y)),
        // up and down as on the screen; right is more
        step: (steps, isSideways) => this.#setDepth(index, level().depth + (isSideways ? steps : -steps) * depthStep(this.bench.dive.units)),
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
    this.#ask({ level: level.id, depth }, depth, level.depth);
  }

  /**
   * @param {number} index
   * @param {number} wanted
   */
  #setLength(index, wanted) {
    const level = this.bench.dive.levels[index];
    const length_min = snap(wanted, LENGTH_STEP, LENGTH_STEP, LONGEST_MIN);
    this.#ask({ level: level.id, length_min }, length_min, level.length_min);
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {import("./place.js").Placer} placer
   */
  draw(frame, dive, placer) {
    this.frame = frame;
    const { levels, units } = dive;
    while (this.pairs.length < levels.length) this.pairs.push(this.#make(this.pairs.length));
    const names = namesOf(levels);
    this.pairs.forEach(({ depth, length }, i) => {
      const level = levels[i];
      depth.show(Boolean(level?.moves_depth));
      length.show(Boolean(level?.moves_length));
      if (level) this.#pair(frame, dive, level, names[i], depth, length);
    });
    this.#limit(frame, dive, units);
    for (const { depth, length } of this.pairs) {
      for (const { isShown, x, y } of [depth, length]) if (isShown) placer.keepBox({ left: x - 10, right: x + 10, top: y - 9, bottom: y + 9 });
    }
  }

  /**
   * Depth and length of each level, where there is room for them.
   * @param {Frame} frame
   * @param {any} dive
   * @param {import("./place.js").Placer} placer
   */
  name(frame, { levels, units }, placer) {
    while (this.names.length < levels.length) this.names.push(new Label(this.words, "pic-level-name"));
    this.names.forEach((label, i) => {
      if (!levels[i]) return label.hide();
      const { depth, length_min, start_s, end_s } = levels[i];
      const words = [`${deepWords(depth, units)}, ${short(length_min)} min`, deepWords(depth, units)];
      const room = (end_s - start_s) * frame.x.per;
      const variants = words.filter((each) => measure(each) < room + 10).map((each) => [each]);
      const at = { x: frame.x.at(0.5 * (start_s + end_s)), y: frame.depth.at(depth) };
      if (variants.length) put(label, placer, `level ${i}`, variants, at, frame.depthBox, frame.line, SPARE);
      else label.hide();
    });
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {any} level
   * @param {string} name
   * @param {Handle} depth
   * @param {Handle} length
   */
  #pair(frame, dive, level, name, depth, length) {
    const { units } = dive;
    const room = { left: frame.left, right: frame.right, top: 0, line: frame.line };
    const y = Math.min(frame.depth.at(level.depth), frame.depthBox.bottom);
    const inside = (/** @type {number} */ time_s) => Math.min(frame.x.at(time_s), frame.right);
    depth.place(inside(0.5 * (level.start_s + level.end_s)), y);
    length.place(inside(level.end_s), y);
    const isShort = (level.end_s - level.start_s) * frame.x.per < 30;
    for (const handle of [depth, length]) handle.node.classList.toggle("is-small", isShort);
    const deep = deepWords(level.depth, units);
    const long = `${short(level.length_min)} min`;
    depth.say({ label: `depth of ${name}`, min: depthStep(units), max: Math.max(1000, level.depth), now: level.depth, text: deep }, room);
    length.say({ label: `length of ${name}`, min: LENGTH_STEP, max: Math.max(LONGEST_MIN, level.length_min), now: level.length_min, text: long }, room);
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
