// @ts-check
/** What the views beside the picture share: the shapes of the engine's answers, marks, and a panel that opens over the page. */

import { el, number, signed, svg } from "./dom.js";

/**
 * @typedef {{ symbol: string, decimals: number }} Unit
 * @typedef {"met" | "breach" | "none"} Mark
 * @typedef {{ label: string, value?: string, text: string, mark: Mark }} Line
 * @typedef {{
 *   id: string, group: string, label: string, value: number | string, unit: string, min: number, max: number, step: number,
 *   decimals: number, is_typical: boolean, cylinder: string | null, choices: null | { value: string, label: string }[],
 * }} Control
 * @typedef {{ time_s: number, kind: string, is_ours: boolean }} Coming
 * @typedef {{
 *   name: string, gas: string, fill: number, now: number, reserve: number | null, share_now: number, is_carried: boolean,
 *   is_breathed: boolean, role: string | null, lift: number, is_removable: boolean, floats: boolean, control: string | null, can: string[],
 *   changes: Coming[],
 * }} Cylinder
 * @typedef {{ name: string, kind: string, lift: number }} Term
 * @typedef {{
 *   volume: number, is_breathed: boolean, oxygen_bar: number, setpoint_bar: number | null, least_bar: number, most_bar: number,
 *   absorbent_frac: number | null, mark: Mark, text: string, rest: string,
 * }} Loop
 * @typedef {{
 *   time_s: number, depth: number, net: number, bare: number, wing: number, suit: number, loop: Loop | null,
 *   gone_text: string | null, terms: Term[],
 * }} Moment
 * @typedef {{ time_s: number, depth: number, net: number, text: string }} Point
 * @typedef {{ plan: number, least: number, most: number, crossed: boolean, mark: Mark, text: string }} Lead
 * @typedef {{
 *   title: string, units: Record<string, any> & { system: string }, sentence: { mark: Mark, text: string },
 *   curve: { bare: number[] }, heavy: Point, light: Point, lead: Lead, controls: Control[], cylinders: Cylinder[], moment: Moment,
 * }} Dive
 * @typedef {{
 *   sentence: { mark: Mark, text: string }, lines: Line[], advice: Line[], pieces: string | null, lead: { low: number, high: number },
 * }} Whole
 * @typedef {{
 *   code: string, message: string, help: string | null, source: string, line: number | null, column: number | null, key: string | null,
 * }} Problem
 * @typedef {{ problems?: Problem[], error?: string }} Problems
 * @typedef {{ isRevealed: boolean, heavy: any, light: any, lead: number | null }} Guess
 * @typedef {{
 *   state: { name: string, text: string, sets: [string, string][], moment_s: number | null, failure_s: number | null, mishaps: string[],
 *     units: string | null, seesBand: boolean },
 *   dive: Dive | null, ghost: Dive | null, frozen: { label: string, dive: Dive }[], whole: Whole | null, isStale: boolean,
 *   isDragging: boolean, guess: Guess | null, problems: Problems | null, canBack: boolean,
 *   change(change: Record<string, any>, after?: (isGood: boolean) => void): void, dragStart(): void, dragEnd(): void, setBand(sees: boolean): void,
 *   setUnits(units: string): void, setGuess(guess: Guess | null): void, back(): void, reset(): void, freeze(): void,
 *   thaw(index: number): void, restore(index: number): void, on(name: string, listener: () => void): void,
 * }} Bench
 */

/**
 * Whether numbers are to stay hidden, because the class is still to guess.
 * @param {Bench} bench
 */
export const isGuessing = (bench) => bench.guess !== null && bench.guess !== undefined && !bench.guess.isRevealed;

/**
 * Whether what is from `bench.whole` belongs to what is seen.
 * @param {Bench} bench
 */
export const isFresh = (bench) => bench.whole !== null && !bench.isStale && !bench.isDragging;

/**
 * @param {Dive} dive
 * @param {number} value
 */
export const mass = (dive, value) => `${number(value, dive.units.mass.decimals)} ${dive.units.mass.symbol}`;

/**
 * @param {Dive} dive
 * @param {number} value
 */
export const lift = (dive, value) => `${signed(value, dive.units.mass.decimals)} ${dive.units.mass.symbol}`;

/**
 * "sinks by 3.8 kg", "floats by 0.4 kg"; neither where the printed number would be zero.
 * @param {Dive} dive
 * @param {number} value a lift
 */
export function sinksOrFloats(dive, value) {
  const text = mass(dive, Math.abs(value));
  if (!/[1-9]/.test(text)) return "neither sinks nor floats";
  return value < 0 ? `sinks by ${text}` : `floats by ${text}`;
}

/**
 * @param {Dive | null} dive
 * @param {string | null} id
 */
export const controlOf = (dive, id) => dive?.controls.find((control) => control.id === id) ?? null;

/**
 * What is wrong and what to write, in one line.
 * @param {Problem} problem
 */
export const inOneLine = ({ message, help }) => `${message}${help ? `${/[.!?:;]$/.test(message) ? "" : ";"} ${help}` : ""}`;

/**
 * Sets a text only where it is another: a text that stays spares the browser its work.
 * @param {Element} element
 * @param {string} text
 */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/**
 * Sets an attribute only where it is another.
 * @param {Element} element
 * @param {string} name
 * @param {string | number | null} value `null` takes it away
 */
export function put(element, name, value) {
  if (value === null) {
    if (element.hasAttribute(name)) element.removeAttribute(name);
    return;
  }
  const text = String(value);
  if (element.getAttribute(name) !== text) element.setAttribute(name, text);
}

const MARKS = {
  met: { path: "M3 9.5 7.5 14 15 4.5", word: "met" },
  breach: { path: "M9 2.5V11M9 14v2", word: "not met" },
};

const WAITS = { path: "M3 9h.01M9 9h.01M15 9h.01", word: "" };

/** A mark as a shape and a word; both are left out where there is nothing to mark. */
export function makeMark() {
  const path = svg("path", { d: "", fill: "none", "stroke-width": 2.6, "stroke-linecap": "round", "stroke-linejoin": "round" });
  const shape = svg("svg", { viewBox: "0 0 18 18", "aria-hidden": "true", class: "sign-shape" }, path);
  const word = el("span", { class: "sign-word" });
  const element = el("span", { class: "sign" }, shape, word);
  /**
   * @param {Mark | undefined} mark
   * @param {boolean} [waits] whether the place is kept for a mark that is still being worked out
   */
  const show = (mark, waits = false) => {
    const known = mark === "met" || mark === "breach" ? MARKS[mark] : waits ? WAITS : null;
    element.hidden = known === null;
    put(element, "data-sign", known === WAITS ? "waits" : (mark ?? "none"));
    put(path, "d", known?.path ?? "");
    say(word, known?.word ?? "");
  };
  show("none");
  return { element, show };
}

let made = 0;

/** A name that no other element of the page has. */
export const uniqueId = (/** @type {string} */ stem) => `side-${stem}-${(made += 1)}`;

/**
 * A button and a panel that it opens over the page; Escape or a press elsewhere closes it.
 * @param {string} name what the button says
 * @param {string} [title] what the panel is called
 */
export function makeFold(name, title = name) {
  const id = uniqueId("fold");
  const body = el("div", { class: "fold-body" });
  const close = el("button", { type: "button", class: "fold-close", popovertarget: id, popovertargetaction: "hide" }, "Close");
  const head = el("div", { class: "fold-head" }, el("h3", { id: `${id}-title` }, title), close);
  const panel = el("div", { id, popover: "auto", class: "fold", role: "dialog", "aria-labelledby": `${id}-title` }, head, body);
  const button = el("button", { type: "button", class: "fold-button", popovertarget: id, "aria-haspopup": "dialog" }, name);
  panel.addEventListener("toggle", (event) => {
    if (/** @type {ToggleEvent} */ (event).newState === "open") place(panel, button);
  });
  const isOpen = () => panel.matches(":popover-open");
  const follow = () => isOpen() && place(panel, button);
  addEventListener("resize", follow);
  return { button, panel, body, isOpen, close: () => isOpen() && panel.hidePopover() };
}

/**
 * Puts a panel beside its button, on the side with more room.
 * @param {HTMLElement} panel
 * @param {HTMLElement} button
 */
function place(panel, button) {
  const at = button.getBoundingClientRect();
  const [gap, wide, high] = [6, document.documentElement.clientWidth, document.documentElement.clientHeight];
  const isBelow = high - at.bottom > at.top;
  const room = Math.min(high, isBelow ? high - at.bottom : at.top) - 2 * gap;
  panel.style.maxHeight = `${Math.max(room, 160)}px`;
  panel.style.left = `${Math.max(gap, Math.min(at.left, wide - panel.offsetWidth - gap))}px`;
  panel.style.top = isBelow ? `${Math.min(at.bottom + gap, high - 160)}px` : "auto";
  panel.style.bottom = isBelow ? "auto" : `${Math.min(high - at.top + gap, high - 160)}px`;
}
