// @ts-check
/**
 * The moment at which the wing fails: a handle on the curve, the way straight up with its load, and what can be let go.
 *
 * @import { Frame } from "./axes.js"
 * @import { Handles } from "./handle.js"
 */

import { clock, el, number, svg } from "./dom.js";
import { attr, heightAt, line, say, show } from "./path.js";
import { Label, measure, put } from "./place.js";

/** Steps of the handle's keys, seconds. */
const STEP_S = 10;

/** Whether the rig has a wing: only then its capacity can be changed. @param {any} dive */
export function hasWing({ controls }) {
  return controls.some((/** @type {any} */ control) => control.id === "wing");
}

export class Way {
  /**
   * @param {{ under: Element, handles: Element, words: Element, defs: Element }} layers
   * @param {Handles} handles
   * @param {any} bench
   */
  constructor({ under, handles: layer, words, defs }, handles, bench) {
    this.bench = bench;
    /** @type {Frame | null} */
    this.frame = null;
    this.clip = svg("path");
    defs.append(svg("clipPath", { id: "pic-clip-load" }, this.clip));
    const path = (/** @type {string} */ name) => svg("path", { class: name });
    this.back = path("pic-way-back");
    this.area = path("pic-way-area");
    this.hatch = svg("path", { class: "pic-hatched", "clip-path": "url(#pic-clip-load)" });
    this.edge = path("pic-way-edge");
    this.limit = path("pic-way-limit");
    this.up = path("pic-way-up");
    this.worst = svg("circle", { class: "pic-way-worst", r: 4 });
    this.limitWords = svg("text", { class: "pic-way-limit-words" });
    this.worstName = new Label(words, "pic-way-name");
    this.handleName = new Label(words, "pic-way-name");
    this.picture = svg("g", { class: "pic-way" }, this.back, this.area, this.hatch, this.edge, this.limit, this.up, this.worst, this.limitWords);
    under.append(this.picture);
    this.handle = handles.make(
      layer,
      {
        way: "horizontal",
        drag: ({ x }) => this.#set(/** @type {Frame} */ (this.frame).x.back(x)),
        step: (steps) => this.#set(this.place() + steps * STEP_S),
        escape: () => this.bench.setFailure(null),
      },
      svg("path", { class: "pic-fail", d: "M0 -8L8 0L0 8L-8 0Z" }),
      svg("path", { class: "pic-fail-cross", d: "M-3 -3L3 3M3 -3L-3 3" }),
    );
    this.text = el("div", { class: "pic-fail-text", "aria-live": "polite" });
    this.first = el("p", { class: "pic-fail-first" });
    this.lines = [el("p"), el("p")];
    this.text.append(this.first, ...this.lines);
    this.begin = el("button", { type: "button", onclick: () => this.#begin() }, "The wing fails here");
    this.end = el("button", { type: "button", onclick: () => this.#end() }, "No failure");
  }

  #begin() {
    this.bench.setFailure(Math.round(this.bench.state.moment_s ?? this.bench.dive.moment.time_s));
    // the next drawing shows it too; what is hidden takes no focus
    this.end.hidden = false;
    this.end.focus();
  }

  #end() {
    this.bench.setFailure(null);
    this.begin.hidden = false;
    this.begin.focus();
  }

  /** @param {number} time_s */
  #set(time_s) {
    this.bench.setFailure(Math.round(Math.max(0, Math.min(time_s, this.bench.dive.end_s))));
  }

  /** Where the handle stands: at the failure, else ready in the middle of the bottom. */
  place() {
    const { dive, state } = this.bench;
    const set = dive.failure?.time_s ?? state.failure_s;
    if (set !== null && set !== undefined) return Math.min(set, dive.end_s);
    const bottom = dive.levels.find((/** @type {any} */ level) => level.depth >= dive.deepest - 1e-6);
    return bottom ? 0.5 * (bottom.start_s + bottom.end_s) : 0.4 * dive.end_s;
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {boolean} isHidden
   * @param {import("./place.js").Placer} placer
   * @param {{ bare: number[] }} points
   */
  draw(frame, dive, isHidden, placer, points) {
    this.frame = frame;
    const isWingless = !hasWing(dive);
    const failure = isHidden || isWingless ? null : dive.failure;
    this.handle.show(!isHidden && !isWingless);
    show(this.picture, Boolean(failure));
    this.text.hidden = isHidden;
    this.begin.hidden = isHidden || isWingless || Boolean(failure);
    this.end.hidden = !failure;
    this.#words(dive, failure);
    if (isHidden || isWingless) {
      this.handleName.hide();
      this.worstName.hide();
      return;
    }
    this.#grip(frame, dive, failure, placer, points.bare);
    if (failure) this.#drawWay(frame, dive, failure, placer);
    else this.worstName.hide();
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {any} failure
   * @param {import("./place.js").Placer} placer
   * @param {number[]} bare
   */
  #grip(frame, dive, failure, placer, bare) {
    const time_s = this.place();
    const x = Math.min(frame.x.at(time_s), frame.right);
    const y = Math.max(frame.netBox.top + 8, Math.min(heightAt(bare, x), frame.netBox.bottom - 8));
    this.handle.place(x, y);
    this.handle.node.classList.toggle("is-off", !failure);
    const { symbol, decimals } = dive.units.mass;
    const text = failure ? `${clock(time_s)} min, ${left(failure.load, (load) => `${number(load, decimals)} ${symbol}`, failure.is_overhead)}` : "no failure";
    const room = { left: 0, right: frame.width, top: frame.netBox.top, line: frame.line };
    this.handle.say({ label: "wing fails at", min: 0, max: Math.round(dive.end_s), now: Math.round(time_s), text }, room);
    placer.keepBox({ left: x - 9, right: x + 9, top: y - 9, bottom: y + 9 });
    const words = failure ? `wing fails ${clock(failure.time_s)}` : "drag: wing fails";
    put(this.handleName, placer, "failure", [[words]], { x, y }, frame.namesBox, frame.line, failure ? Infinity : 90);
  }

  /**
   * Where the way up is drawn: beside the moment, on the side that has room.
   * @param {Frame} frame
   * @param {any} dive
   */
  #room(frame, dive) {
    const { failure, limit } = dive;
    const { left, right, depthBox, depth } = frame;
    const x = Math.min(frame.x.at(failure.time_s), right);
    const unit = (frame.isNarrow ? 36 : 64) / Math.max(limit, 1e-6);
    const most = Math.max(1.35 * limit, ...failure.way.map((/** @type {any} */ at) => at.load));
    const wide = Math.min(0.4 * (right - left), unit * most + 12);
    return { x, unit, wide, side: x + wide < right ? 1 : -1, bottom: Math.min(depth.at(failure.depth), depthBox.bottom) };
  }

  /**
   * Keeps other labels off the way, before any is placed.
   * @param {Frame} frame
   * @param {any} dive
   * @param {import("./place.js").Placer} placer
   */
  keep(frame, dive, placer) {
    if (!dive.failure || !hasWing(dive)) return;
    const { x, wide, side, bottom } = this.#room(frame, dive);
    const top = dive.failure.is_overhead ? bottom - 8 : frame.depthBox.top;
    placer.keepBox({ left: Math.min(x, x + side * wide), right: Math.max(x, x + side * wide), top, bottom });
  }

  /**
   * The way up as a line, the load as its width. Under an overhead there is no way: the load alone, where the diver is.
   * @param {Frame} frame
   * @param {any} dive
   * @param {any} failure
   * @param {import("./place.js").Placer} placer
   */
  #drawWay(frame, dive, failure, placer) {
    const { depthBox, depth } = frame;
    const { x, unit, wide, side, bottom } = this.#room(frame, dive);
    const across = (/** @type {number} */ load) => x + side * Math.max(-10, Math.min(unit * load, wide));
    const curve = failure.way.flatMap((/** @type {any} */ at) => [across(at.load), Math.min(depth.at(at.depth), depthBox.bottom)]);
    const isUnder = failure.is_overhead;
    for (const node of [this.back, this.area, this.hatch, this.up, this.limitWords]) show(node, !isUnder);
    const closed = `${line(curve)}L${x} ${curve[curve.length - 1]}L${x} ${curve[1]}Z`;
    attr(this.back, "d", `M${x} ${depthBox.top}H${x + side * wide}V${bottom}H${x}Z`);
    attr(this.area, "d", closed);
    attr(this.hatch, "d", closed);
    const limit = across(dive.limit);
    attr(this.clip, "d", `M${limit} ${depthBox.top}H${limit + side * 2000}V${depthBox.bottom}H${limit}Z`);
    attr(this.edge, "d", isUnder ? `M${x} ${bottom}H${curve[0]}` : line(curve));
    attr(this.limit, "d", isUnder ? `M${limit} ${bottom - 7}V${bottom + 7}` : `M${limit} ${depthBox.top}V${bottom}`);
    attr(this.up, "d", `M${x} ${bottom}V${depthBox.top + 1}m-4 6l4 -6l4 6`);
    const worst = failure.met_at ?? failure;
    const at = { x: across(worst.load), y: Math.min(depth.at(worst.depth), depthBox.bottom) };
    attr(this.worst, "cx", at.x);
    attr(this.worst, "cy", at.y);
    const words = "limit";
    say(this.limitWords, bottom - depthBox.top > 1.5 * frame.line ? words : "");
    attr(this.limitWords, "x", limit + (side > 0 ? 4 : -4 - measure(words)));
    attr(this.limitWords, "y", depthBox.top + 0.85 * frame.line);
    const { symbol, decimals } = dive.units.mass;
    const load = left(worst.load, (value) => `${number(value, decimals)} ${symbol}`, isUnder);
    put(this.worstName, placer, "worst", [[load], [load.replace(/ to (swim up|hover)$/, "")]], at, { ...depthBox, bottom: depthBox.bottom + 3 }, frame.line);
  }

  /**
   * @param {any} dive
   * @param {any} failure
   */
  #words(dive, failure) {
    const { symbol, decimals } = dive.units.mass;
    const amount = (/** @type {number} */ value) => `${number(value, decimals)} ${symbol}`;
    const hint = hasWing(dive) ? "What if the wing fails? Drag the diamond along the curve, or let it fail at the moment held." : "No wing is worn: none can fail.";
    say(this.first, failure ? failure.text : hint);
    this.first.classList.toggle("is-breach", failure?.mark === "breach");
    this.first.classList.toggle("is-hint", !failure);
    const [ditch, suit] = failure ? [ditchWords(failure, amount), suitWords(failure, amount)] : ["", ""];
    [ditch, suit].forEach((words, i) => {
      say(this.lines[i], words);
      this.lines[i].hidden = !words;
    });
  }
}

/**
 * @param {number} load
 * @param {(value: number) => string} amount
 * @param {boolean} isUnder there is no way straight up
 */
function left(load, amount, isUnder) {
  if (isUnder) return load > 0 ? `${amount(load)} to hover` : "held by the ceiling";
  return load > 0 ? `${amount(load)} to swim up` : "floats up";
}

/**
 * What can be let go of. Where the load is more than the limit, the engine's own words say what that changes.
 * @param {any} failure
 * @param {(value: number) => string} amount
 */
function ditchWords({ ditch, ditched, mark, is_overhead }, amount) {
  if (!ditch.length) return "";
  const things = ditch.map((/** @type {any} */ each) => `${each.name} ${amount(each.lift)}${each.gas_text ? ` (${each.gas_text})` : ""}`);
  const then = ditched && mark !== "breach" ? `: then ${left(ditched.load, amount, is_overhead)}` : "";
  return `To let go of: ${things.join(", ")}${then}.`;
}

/**
 * @param {any} failure
 * @param {(value: number) => string} amount
 */
function suitWords({ suit, mark, is_overhead }, amount) {
  return suit && mark !== "breach" ? `With the suit as lift: ${left(suit.load, amount, is_overhead)}.` : "";
}
