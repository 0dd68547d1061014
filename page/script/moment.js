// @ts-check
/**
 * The moment looked at: a line through both panels, what holds then in words, and a slider below.
 *
 * @import { Frame } from "./axes.js"
 */

import { clock, el, number, signed, svg } from "./dom.js";
import { attr, heightAt, say, show } from "./path.js";
import { measure } from "./place.js";

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
    /** @type {number | null} */
    this.wanted = null;
  }

  /**
   * The newest moment of a frame is the one that is computed.
   * @param {number} moment_s
   */
  set(moment_s) {
    if (this.wanted === null) {
      requestAnimationFrame(() => {
        const wanted = this.wanted;
        this.wanted = null;
        if (wanted !== null && this.bench.dive) this.bench.setMoment(wanted);
      });
    }
    this.wanted = Math.round(Math.max(0, Math.min(moment_s, this.bench.dive?.end_s ?? 0)));
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const step = KEYS[event.key];
    if (!step || !this.bench.dive) return;
    event.preventDefault();
    this.set((this.wanted ?? momentOf(this.bench)) + step);
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
    attr(this.line, "d", `M${x} ${frame.depthBox.top - 3}V${frame.depthBox.bottom}M${x} ${frame.netBox.top}V${frame.netBox.bottom}`);
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
    const variants = isHidden ? [`${when} min · ${deep}`] : [`${when} min · ${deep} · net ${net}, wing empty`, `${when} min · ${deep} · net ${net}`, `${when} · ${deep} · ${net}`];
    const words = variants.find((each) => measure(each, true) < room) ?? variants[variants.length - 1];
    const half = 0.5 * measure(words, true);
    say(this.words, words);
    attr(this.words, "x", Math.max(start + half, Math.min(x, frame.right - half)));
    attr(this.words, "y", frame.depthBox.top - 0.6 * frame.line);
    this.#slide(frame, dive.end_s, time_s, isHidden ? `${when} min, ${deep}` : `${when} min, ${deep}, net ${net} with the wing empty`);
  }

  /**
   * @param {Frame} frame
   * @param {number} end_s
   * @param {number} time_s
   * @param {string} words
   */
  #slide(frame, end_s, time_s, words) {
    const { input } = this;
    if (input.max !== String(Math.round(end_s))) input.max = String(Math.round(end_s));
    if (input.value !== String(Math.round(time_s))) input.value = String(Math.round(time_s));
    if (input.getAttribute("aria-valuetext") !== words) input.setAttribute("aria-valuetext", words);
    // the thumb's middle under the line: half a thumb to either side
    const [left, width] = [`${frame.left - 8}px`, `${Math.min(frame.x.at(end_s), frame.right) - frame.left + 16}px`];
    if (input.style.marginLeft !== left) input.style.marginLeft = left;
    if (input.style.width !== width) input.style.width = width;
  }
}
