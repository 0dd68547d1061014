// @ts-check
/** The tools: steps back, frozen rigs, guessing, doubt, units, and what opens the panels. */

import { el, svg } from "./dom.js";
import { isGuessing, lift, makeFold, mass, put, say } from "./side.js";

/** As many rigs as can be told apart beside the present one. */
const MOST_FROZEN = 3;

const PANELS = /** @type {const} */ ([
  ["plan", "Plan text"], ["checks", "Pool check"], ["sure", "How sure"], ["trim", "Trim"], ["mishaps", "Mishaps"], ["take", "Take away"], ["begin", "Another plan"],
]);
/** Panels that say something about a dive. */
const NEED_DIVE = ["checks", "sure", "trim", "mishaps", "take"];

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const press = (/** @type {string} */ word, /** @type {() => void} */ does) => el("button", { type: "button", onclick: does }, word);
  const back = press("Back", () => bench.back());
  const reset = press("Reset", () => bench.reset());
  const freeze = press("Freeze", () => bench.freeze());
  const nothing = { isRevealed: false, heavy: null, light: null, lead: null };
  const guess = press("Guess first", () => bench.setGuess(bench.guess ? null : { ...nothing }));
  const band = press("Band of doubt", () => bench.setBand(!bench.state.seesBand));
  const units = press("", () => bench.setUnits(isUs(bench) ? "metric" : "us"));
  const frozen = makeFrozen(bench);
  const open = (/** @type {string} */ name) => () => document.dispatchEvent(new CustomEvent("bench:panel", { detail: { name } }));
  const panels = PANELS.map(([name, word]) => el("button", { type: "button", onclick: open(name), "aria-haspopup": "dialog" }, word));
  const needing = panels.filter((_, index) => NEED_DIVE.includes(PANELS[index][0]));
  const group = (/** @type {string} */ label, /** @type {Node[]} */ ...own) =>
    el("div", { class: "tools-group", role: "group", "aria-label": label }, ...own);
  root.classList.add("tools");
  root.append(
    group("Steps", back, reset),
    group("Compare", freeze, frozen.button, frozen.panel),
    group("Show", guess, band, units),
    group("Open", ...panels),
  );
  const redraw = () => {
    const { dive, guess: now } = bench;
    const hides = dive === null;
    back.disabled = !bench.canBack;
    reset.disabled = hides || bench.state.sets.length === 0;
    freeze.disabled = hides || isGuessing(bench) || bench.frozen.length >= MOST_FROZEN;
    const isFull = bench.frozen.length >= MOST_FROZEN;
    put(freeze, "title", isFull ? `There is room for ${MOST_FROZEN}; remove one first` : "Keep this rig to compare with");
    put(guess, "aria-pressed", String(now !== null && now !== undefined));
    put(band, "aria-pressed", String(bench.state.seesBand));
    for (const button of [guess, units]) button.disabled = hides;
    // they would tell what is to be guessed
    for (const button of [band, ...needing]) button.disabled = hides || isGuessing(bench);
    say(units, isUs(bench) ? "Units: lb, ft" : "Units: kg, m");
    put(units, "aria-label", isUs(bench) ? "Units: lb, ft; change to kg, m" : "Units: kg, m; change to lb, ft");
    frozen.update();
  };
  for (const name of ["dive", "whole", "guess", "frozen", "moment", "drag"]) bench.on(name, redraw);
  redraw();
}

/** @param {import("./side.js").Bench} bench */
const isUs = (bench) => (bench.dive?.units.system ?? bench.state.units) === "us";

/**
 * The frozen rigs beside the present one.
 * @param {import("./side.js").Bench} bench
 */
function makeFrozen(bench) {
  const fold = makeFold("Frozen", "Rigs side by side");
  const list = el("div", { class: "frozen" });
  fold.body.append(list);
  const fill = () => {
    const rigs = bench.frozen.map(({ label, dive }, index) => rigNode(label, dive, index, bench));
    const now = bench.dive && !isGuessing(bench) ? [rigNode("As it is now", bench.dive, null, bench)] : [];
    list.replaceChildren(...now, ...rigs);
  };
  fold.panel.addEventListener("beforetoggle", fill);
  let shown = -1;
  const update = () => {
    say(fold.button, `Frozen: ${bench.frozen.length}`);
    fold.button.disabled = bench.frozen.length === 0;
    if (bench.frozen.length === 0) fold.close();
    else if (fold.isOpen() && shown !== bench.frozen.length) fill();
    shown = bench.frozen.length;
  };
  return { button: fold.button, panel: fold.panel, update };
}

/**
 * @param {import("./side.js").Dive} dive
 * @param {number} value below zero nothing may be carried, or nothing is needed
 */
const leadText = (dive, value) => (value < 0 ? "none" : mass(dive, value));

/**
 * @param {string} label
 * @param {import("./side.js").Dive} dive
 * @param {number | null} index `null` for the present one
 * @param {import("./side.js").Bench} bench
 */
function rigNode(label, dive, index, bench) {
  const row = (/** @type {string} */ name, /** @type {string} */ text) => [el("dt", {}, name), el("dd", {}, text)];
  const { lead, heavy, light } = dive;
  const facts = el("dl", {},
    ...row("lead", mass(dive, lead.plan)), ...row("least", leadText(dive, lead.least)), ...row("most", leadText(dive, lead.most)),
    ...row("heavy point", lift(dive, heavy.net)), ...row("light point", lift(dive, light.net)));
  const name = el("h4", {}, index === null ? null : dash(index), label);
  if (index === null) return el("section", { class: "rig" }, name, facts);
  const button = (/** @type {string} */ word, /** @type {string} */ said, /** @type {() => void} */ does) =>
    el("button", { type: "button", onclick: does, "aria-label": said }, word);
  const back = button("Take back to this", `Take back to this: ${label}`, () => bench.restore(index));
  const away = button("Remove", `Remove ${label}`, () => bench.thaw(index));
  return el("section", { class: "rig" }, name, facts, el("div", { class: "rig-do" }, back, away));
}

/**
 * The dash by which the picture tells the rig.
 * @param {number} index
 */
function dash(index) {
  const line = svg("line", { x1: 0, x2: 30, y1: 4, y2: 4 });
  return svg("svg", { class: `rig-dash rig-dash-${index}`, viewBox: "0 0 30 8", width: 30, height: 8, "aria-hidden": "true" }, line);
}
