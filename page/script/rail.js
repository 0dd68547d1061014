// @ts-check
/** The lead: least and most as two gates, the plan's lead as the piece between them. */

import { el, number } from "./dom.js";
import { Field } from "./field.js";
import { drawRail, makeRail, sizes } from "./gates.js";
import { controlOf, isFresh, isGuessing, makeFold, makeMark, mass, put, say } from "./side.js";
import { slide } from "./slider.js";

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const rail = makeRail();
  const field = new Field(bench, "lead");
  const said = makeMark();
  const text = el("span", { class: "rail-text" });
  const advice = makeAdvice();
  root.classList.add("rail");
  const words = el("div", { class: "rail-said" }, el("h2", {}, "Lead"), " ", said.element, " ", text);
  root.append(words, rail.picture, el("div", { class: "rail-foot" }, field.element, ...advice.elements));

  const scale = { max: 0, system: "", wide: 0, font: 12 };
  const redraw = () => {
    const { dive } = bench;
    root.classList.toggle("is-empty", dive === null);
    if (dive === null) return;
    const control = controlOf(dive, "lead");
    const hides = isGuessing(bench);
    rescale(scale, bench, dive);
    field.update(hides ? guessed(bench, control) : control);
    field.element.hidden = control === null;
    const value = valueOf(bench, dive);
    const range = bench.whole?.lead ?? null;
    if (scale.wide > 0) drawRail(rail, { dive, control, scale, value, hides, range, isStale: !isFresh(bench) });
    said.show(hides ? "none" : railMark(bench, dive));
    say(text, hides ? "Your guess: drag the piece to the lead that is right." : textOf(bench, dive, control));
    advice.update(bench, hides);
  };
  slide(rail.piece, bench, {
    range: () => slideRange(bench, scale),
    at: (event) => {
      const { pad } = sizes(scale.font);
      return ((event.clientX - rail.picture.getBoundingClientRect().left - pad) / (scale.wide - 2 * pad)) * scale.max;
    },
    move: (value) => moveTo(bench, value),
  });
  field.takes = (value) => {
    const guesses = isGuessing(bench);
    if (guesses) moveTo(bench, value);
    return guesses;
  };
  new ResizeObserver(([entry]) => {
    scale.wide = entry.contentRect.width;
    scale.font = Number.parseFloat(getComputedStyle(rail.picture).fontSize);
    redraw();
  }).observe(rail.picture);
  for (const name of ["dive", "whole", "drag", "guess"]) bench.on(name, redraw);
  redraw();
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {number} value
 */
function moveTo(bench, value) {
  if (isGuessing(bench) && bench.guess) bench.setGuess({ ...bench.guess, lead: value });
  else bench.change({ control: "lead", to: value });
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Dive} dive
 */
const valueOf = (bench, dive) => (isGuessing(bench) ? (bench.guess?.lead ?? null) : dive.lead.plan);

/**
 * The field of the lead while the class guesses: what was guessed, nothing of the plan.
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Control | null} control
 */
const guessed = (bench, control) => control && { ...control, label: "Guessed lead", value: bench.guess?.lead ?? "", is_typical: false };

/**
 * @param {import("./side.js").Bench} bench
 * @param {{ max: number }} scale
 */
function slideRange(bench, scale) {
  const { dive } = bench;
  const control = controlOf(dive, "lead");
  if (!dive || !control) return null;
  const step = dive.units.system === "us" ? 1 : 0.5;
  // a finger is no finer than what is printed of a mass
  const { decimals } = dive.units.mass;
  return { value: valueOf(bench, dive) ?? 0, min: control.min, max: Math.min(control.max, scale.max), step, decimals };
}

/**
 * The axis: as it was while a drag lasts; else wide enough for all that is on it.
 * @param {{ max: number, system: string }} scale
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Dive} dive
 */
function rescale(scale, bench, dive) {
  const isOther = scale.system !== dive.units.system;
  if (bench.isDragging && !isOther && scale.max > 0) return;
  const { plan, least, most } = dive.lead;
  const need = Math.max(plan, least, most, bench.whole?.lead.high ?? 0, dive.units.system === "us" ? 10 : 5) * 1.12;
  const step = dive.units.system === "us" ? 5 : 2;
  scale.max = Math.ceil(need / step) * step;
  scale.system = dive.units.system;
}

/**
 * A tick only where the whole answer has one for the lead: it knows of doubt and of needless lead.
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Dive} dive
 * @returns {import("./side.js").Mark}
 */
function railMark(bench, dive) {
  if (dive.lead.mark === "breach") return "breach";
  if (!isFresh(bench) || !bench.whole) return "none";
  if (bench.whole.lines.some((line) => line.label === "Needless lead")) return "none";
  return bench.whole.lines.find((line) => line.label === "Lead")?.mark ?? "none";
}

/**
 * The engine's words; with needless lead, as soon as the whole answer knows of it.
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Dive} dive
 * @param {import("./side.js").Control | null} control
 */
function textOf(bench, dive, control) {
  const needless = isFresh(bench) && bench.whole?.lines.find((line) => line.label === "Needless lead");
  const fixed = control ? "" : " The lead of this plan is changed in its text.";
  return `${dive.lead.text}${needless ? `; ${needless.value}` : ""}${fixed && "."}${fixed}`;
}

/** What to carry, from the whole answer. */
function makeAdvice() {
  const fold = makeFold("Advice", "What to carry, and why");
  const pieces = el("span", { class: "rail-pieces" });
  const interval = el("span", { class: "rail-interval" });
  const list = el("dl", { class: "rail-advice" });
  fold.body.append(list);
  const element = el("div", { class: "rail-whole" }, interval, pieces);
  /** @type {object | null} */
  let shown = null;
  /**
   * @param {import("./side.js").Bench} bench
   * @param {boolean} hides
   */
  const update = (bench, hides) => {
    const { whole, dive } = bench;
    element.hidden = fold.button.hidden = hides || !whole;
    if (!whole || !dive) return;
    element.classList.toggle("is-old", !isFresh(bench));
    if (shown === whole) return;
    shown = whole;
    const { low, high } = whole.lead;
    const digits = dive.units.mass.decimals;
    say(interval, `least, 95 in 100: ${number(low, digits)} to ${mass(dive, high)}`);
    say(pieces, whole.pieces ? `pieces, ${dive.units.mass.symbol}: ${whole.pieces}` : "");
    pieces.hidden = !whole.pieces;
    list.replaceChildren(...whole.advice.flatMap(adviceNodes));
  };
  return { elements: [element, fold.button, fold.panel], update };
}

/** @param {import("./side.js").Line} line */
function adviceNodes({ label, value, text, mark }) {
  const sign = makeMark();
  sign.show(mark);
  const words = [value, text].filter(Boolean).join("; ");
  const term = el("dt", {}, label);
  put(term, "data-sign", mark);
  return [term, el("dd", {}, sign.element, sign.element.hidden ? null : " ", words)];
}

