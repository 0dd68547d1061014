// @ts-check
/**
 * The picture: depth over time, and below it the net lift with the wing empty. Everything is built once; a redraw changes
 * only what has moved.
 *
 * @import { Range } from "./range.js"
 */

import { Axes, Frame } from "./axes.js";
import { Behind } from "./band.js";
import { Curves } from "./curves.js";
import { el, svg } from "./dom.js";
import { Guess, isGuessing } from "./guess.js";
import { Handles } from "./handle.js";
import { Left } from "./left.js";
import { Levels } from "./levels.js";
import { Marks } from "./marks.js";
import { Moment } from "./moment.js";
import { Placer, measureIn } from "./place.js";
import { between, isSame, rangeOf } from "./range.js";
import { Way, hasWing } from "./way.js";

/** How long the axes take to follow after a change, ms. */
const FOLLOW_MS = 180;
/** A finger that has moved less to the side may still scroll the page, px. */
const SCROLL_PX = 6;

class Picture {
  /** @type {Frame | null} */
  frame = null;
  /** @type {Range | null} what the axes span now */
  range = null;
  /** @type {{ from: Range, to: Range, since: number } | null} */
  following = null;
  isAsked = false;
  isResized = false;
  size = { width: 0, height: 0, text: 13 };
  /** @type {Map<string, number>} */
  places = new Map();

  /**
   * @param {HTMLElement} root
   * @param {any} bench
   */
  constructor(root, bench) {
    this.bench = bench;
    root.classList.add("pic");
    const layer = (/** @type {string} */ name, isHidden = true) => svg("g", { class: name, "aria-hidden": isHidden ? "true" : null });
    const defs = svg("defs");
    const [axes, under, behind, over] = ["pic-axes", "pic-under", "pic-behind", "pic-over"].map((name) => layer(name));
    const shapes = layer("pic-shapes", false);
    const [wayLayer, words, moment] = ["pic-way-layer", "pic-words", "pic-moment-layer"].map((name) => layer(name));
    const handles = layer("pic-handles", false);
    this.surface = svg("rect", { class: "pic-surface", x: 0, y: 0 });
    this.svg = svg("svg", { class: "pic-svg", role: "group", "aria-label": "Depth and net lift with the wing empty, over time" });
    this.svg.append(defs, under, axes, behind, over, wayLayer, words, moment, this.surface, shapes, handles);
    const registry = new Handles(this.svg, bench);
    this.axes = new Axes(axes);
    this.curves = new Curves({ under, over, defs });
    this.behind = new Behind(behind, words);
    this.left = new Left(over, words);
    this.marks = new Marks(shapes, words);
    this.levels = new Levels(handles, registry, bench, words);
    this.way = new Way({ under: wayLayer, handles, words, defs }, registry, bench);
    this.guess = new Guess({ handles, shapes: over, words }, registry, bench);
    this.moment = new Moment(moment, bench);
    this.chart = el("div", { class: "pic-chart" }, this.svg);
    this.none = el("p", { class: "pic-none" }, "No dive yet: begin with the questions, or open a plan.");
    const tools = el("div", { class: "pic-foot-tools" }, this.moment.label, this.way.begin, this.way.end);
    this.foot = el("div", { class: "pic-foot" }, tools, this.way.text);
    this.#lay(root);
    this.#listen();
  }

  /** @param {HTMLElement} root */
  #lay(root) {
    const { moment, guess } = this;
    root.append(guess.panel, this.none, this.chart, moment.input, this.foot);
    // letters may grow where the chart keeps its size, so one of them is watched too
    const letter = el("div", { class: "pic-letter", "aria-hidden": "true" });
    this.chart.append(letter);
    const watch = new ResizeObserver(() => this.#measure());
    for (const element of [this.chart, letter]) watch.observe(element);
  }

  #listen() {
    for (const name of ["dive", "whole", "drag", "moment", "guess", "frozen"]) this.bench.on(name, () => this.ask());
    const move = (/** @type {PointerEvent} */ event) => {
      if (this.frame) this.moment.set(this.frame.x.back(event.clientX - this.svg.getBoundingClientRect().left));
    };
    // handles keep their events to themselves
    let from_px = 0;
    this.svg.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      this.svg.setPointerCapture(event.pointerId);
      from_px = event.clientX;
      // a finger may have come to scroll the page
      if (event.pointerType !== "touch") move(event);
    });
    this.svg.addEventListener("pointermove", (event) => {
      if (!this.svg.hasPointerCapture(event.pointerId)) return;
      if (event.pointerType !== "touch" || Math.abs(event.clientX - from_px) > SCROLL_PX) move(event);
    });
    this.svg.addEventListener("pointerup", (event) => {
      if (this.svg.hasPointerCapture(event.pointerId)) move(event);
    });
    // letters that come later are measured again
    document.fonts?.ready.then(() => this.#measure());
  }

  /** Takes over the size it has; in a drag only afterwards, as the axes do. */
  #measure() {
    this.isResized = this.bench.isDragging && this.size.width > 0;
    if (this.isResized) return;
    const { width, height } = this.chart.getBoundingClientRect();
    const style = getComputedStyle(this.svg);
    measureIn(style.fontSize, style.fontFamily);
    // in another room nothing is kept of where words stood
    this.places.clear();
    this.size = { width: Math.floor(width), height: Math.floor(height), text: parseFloat(style.fontSize) };
    this.svg.setAttribute("width", String(this.size.width));
    this.svg.setAttribute("height", String(this.size.height));
    this.surface.setAttribute("width", String(this.size.width));
    this.surface.setAttribute("height", String(this.size.height));
    this.draw();
  }

  /** Draws once after all that happens now. */
  ask() {
    if (this.isAsked) return;
    this.isAsked = true;
    queueMicrotask(() => {
      this.isAsked = false;
      this.draw();
    });
  }

  /** The axes follow the dive, but never while something is dragged. */
  #axes() {
    const { bench } = this;
    if (bench.isDragging && this.range) {
      this.following = null;
      return this.range;
    }
    const wanted = rangeOf(bench);
    if (!this.range || matchMedia("(prefers-reduced-motion: reduce)").matches) {
      this.following = null;
      return wanted;
    }
    const target = this.following?.to ?? this.range;
    if (!isSame(wanted, target)) {
      this.following = { from: this.range, to: wanted, since: performance.now() };
      requestAnimationFrame(() => this.#follow());
    }
    return this.range;
  }

  #follow() {
    if (!this.following || this.bench.isDragging) return;
    const { from, to, since } = this.following;
    const share = Math.min(1, (performance.now() - since) / FOLLOW_MS);
    this.range = between(from, to, share * (2 - share));
    if (share === 1) {
      this.following = null;
      this.range = to;
    } else requestAnimationFrame(() => this.#follow());
    this.draw();
  }

  draw() {
    const { bench } = this;
    const isEmpty = !bench.dive;
    this.none.hidden = !isEmpty;
    for (const part of [this.chart, this.moment.input, this.foot]) part.hidden = isEmpty;
    if (isEmpty || this.size.width < 60 || this.size.height < 60) return;
    if (this.isResized && !bench.isDragging) return this.#measure();
    this.range = this.#axes();
    const { width, height, text } = this.size;
    const frame = new Frame(width, height, text, this.range);
    this.frame = frame;
    const isHidden = isGuessing(bench);
    this.svg.classList.toggle("is-dragging", bench.isDragging);
    this.axes.draw(frame, bench.dive.units, hasWing(bench.dive));
    this.curves.draw(frame, bench.dive, isHidden);
    this.curves.hide(isHidden);
    const { points } = this.curves;
    const behind = this.behind.draw(frame, bench, isHidden, points);
    const placer = this.#placer(frame, [...behind, ...this.left.draw(frame, bench.dive, isHidden)]);
    this.levels.draw(frame, bench.dive, placer);
    this.marks.draw(frame, bench.dive, isHidden, placer, points);
    this.way.draw(frame, bench.dive, isHidden, placer, points);
    this.guess.draw(frame, placer);
    if (this.curves.differs) this.marks.nameLoad(frame, placer, points);
    else this.marks.load.hide();
    this.left.name(placer, frame);
    this.behind.name(placer, frame);
    this.levels.name(frame, bench.dive, placer);
    this.moment.draw(frame, bench, isHidden, points);
  }

  /**
   * @param {Frame} frame
   * @param {number[][]} behind
   */
  #placer(frame, behind) {
    const placer = new Placer(frame.width, this.places);
    const { points } = this.curves;
    const level = (/** @type {number} */ value) => [frame.left, frame.net.at(value), frame.right, frame.net.at(value)];
    for (const curve of [points.depth, points.bare, points.load, ...behind, level(0), level(-this.bench.dive.limit)]) placer.keepCurve(curve);
    const y = frame.net.at(-this.bench.dive.limit);
    placer.keepBox({ left: frame.right - 24, right: frame.right, top: y - 8, bottom: y + 8 });
    this.curves.keep(frame, this.bench.dive, placer);
    if (!isGuessing(this.bench)) this.way.keep(frame, this.bench.dive, placer);
    return placer;
  }
}

/**
 * @param {HTMLElement} root
 * @param {any} bench
 */
export function mount(root, bench) {
  const picture = new Picture(root, bench);
  picture.ask();
  return picture;
}
