// @ts-check
/**
 * The moment looked at: a line through both panels, what holds then in words, and a slider below.
 *
 * @import { Frame } from "./axes.js"
 */

import { clock, el, number, signed, svg } from "./dom.js";
import { attr, heightAt, say, show } from "./path.js";
import { measure } from "./place.js";
import { hasWing } from "./way.js";

/** Steps of the slider's keys, seconds. */
const KEYS = /** @type {Record<string, number>} */ ({ ArrowLeft: -10, ArrowDown: -10, ArrowRight: 10, ArrowUp: 10, PageDown: -60, PageUp: 60 });

/** @param {any} bench the moment that is looked at, seconds */
export function momentOf({ state, dive }) {
  return Math.min(state.moment_s ?? dive.moment.time_s, dive.end_s);
}

export class Moment {
  /**
   * @param {Element} layer
   * @param {any} bench
   */
  constructor(layer, bench) {
    this.bench = bench;
    this.line = svg("path", { class: "pic-moment" });
    this.depthDot = svg("circle", { class: "pic-moment-dot", r: 3.5 });
    this.netDot = svg("circle", { class: "pic-moment-dot", r: 3.5 });
    this.words = svg("text", { class: "pic-moment-words" });
    layer.append(this.line, this.depthDot, this.netDot, this.words);
    this.input = el("input", { type: "range", id: "pic-moment", class: "pic-slider", min: 0, max: 1, step: 1, oninput: () => this.set(Number(this.input.value)) });
    this.input.addEventListener("keydown", (event) => this.#key(event));
    this.label = el("label", { for: "pic-moment", class: "pic-slider-label" }, "moment of the dive");
    this.placed = "";
  }

  /** @param {number} moment_s */
  set(moment_s) {
    const { dive } = this.bench;
    if (dive) this.bench.setMoment(Math.round(Math.max(0, Math.min(moment_s, dive.end_s))));
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const step = KEYS[event.key];
    if (!step || !this.bench.dive) return;
    event.preventDefault();
    this.set(momentOf(this.bench) + step);
  }

  /**
   * @param {Frame} frame
   * @param {any} bench
   * @param {boolean} isHidden
   * @param {{ depth: number[], bare: number[] }} points
   */
  draw(frame, bench, isHidden, points) {
    const { dive } = bench;
    const { mass, depth } = dive.units;
    const { moment } = dive;
    const time_s = momentOf(bench);
    const x = Math.round(Math.min(frame.x.at(time_s), frame.right)) + 0.5;
    const { depthBox, netBox } = frame;
    attr(this.line, "d", `M0 ${depthBox.top - 3}V${depthBox.bottom}M0 ${netBox.top}V${netBox.bottom}`);
    attr(this.line, "transform", `translate(${x} 0)`);
    show(this.netDot, !isHidden);
    for (const [dot, line] of /** @type {const} */ ([[this.depthDot, points.depth], [this.netDot, points.bare]])) {
      attr(dot, "cx", x);
      attr(dot, "cy", heightAt(line, x));
    }
    const net = `${signed(moment.bare, mass.decimals)} ${mass.symbol}`;
    const deep = `${number(moment.depth, depth.decimals)} ${depth.symbol}`;
    const when = clock(time_s);
    const start = measure(`depth, ${depth.symbol}`, true) + 14;
    const room = frame.right - start;
    const empty = hasWing(dive) ? ", wing empty" : "";
    const variants = isHidden ? [`${when} min · ${deep}`, when] : [`${when} min · ${deep} · net ${net}${empty}`, `${when} min · ${deep} · net ${net}`, `${when} · ${deep} · ${net}`, `${when} · ${net}`, when];
    const words = variants.find((each) => measure(each, true) < room) ?? variants[variants.length - 1];
    const half = 0.5 * measure(words, true);
    say(this.words, words);
    const middle = Math.round(Math.max(start + half, Math.min(x, frame.right - half)));
    attr(this.words, "transform", `translate(${middle} ${Math.round(frame.depthBox.top - 0.6 * frame.line)})`);
    this.#slide(frame, dive.end_s, time_s, isHidden ? `${when} min, ${deep}` : `${when} min, ${deep}, net ${net}${empty}`);
  }

  /**
   * @param {Frame} frame
   * @param {number} end_s
   * @param {number} time_s
   * @param {string} words
   */
  #slide(frame, end_s, time_s, words) {
    const { input } = this;
    attr(input, "max", String(Math.round(end_s)));
    const value = String(Math.round(time_s));
    if (input.value !== value) input.value = value;
    attr(input, "aria-valuetext", words);
    // the thumb's middle under the line: half a thumb to either side
    const place = [frame.left - 8, Math.round(Math.min(frame.x.at(end_s), frame.right) - frame.left + 16)];
    if (place.join() === this.placed) return;
    this.placed = place.join();
    input.style.marginLeft = `${place[0]}px`;
    input.style.width = `${place[1]}px`;
  }
}
