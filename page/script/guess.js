// @ts-check
/**
 * Guess first: the curve is hidden, the class places heavy point, light point and lead; then the dive shows, and by how
 * much each guess was off.
 *
 * @import { Frame } from "./axes.js"
 * @import { Handles, Handle } from "./handle.js"
 * @import { Placer } from "./place.js"
 * @typedef {"heavy" | "light"} Which
 */

import { clock, el, number, signed, svg } from "./dom.js";
import { snap } from "./handle.js";
import { attr, pool, say } from "./path.js";
import { Label, put } from "./place.js";

/** Steps of a guess: seconds, and mass in the reader's unit. */
const STEP_S = 30;
const STEP_MASS = 0.1;
/** Guesses nearer than this are right in words, seconds. */
const SAME_S = 30;

/** @param {any} bench whether the curve is hidden */
export function isGuessing({ guess }) {
  return Boolean(guess && !guess.isRevealed);
}

export class Guess {
  /**
   * @param {{ handles: Element, shapes: Element, words: Element }} layers
   * @param {Handles} handles
   * @param {any} bench
   */
  constructor({ handles: layer, shapes, words }, handles, bench) {
    this.bench = bench;
    /** @type {Frame | null} */
    this.frame = null;
    this.unit = "";
    this.leads = pool(shapes, () => svg("path", { class: "pic-miss" }));
    /** @type {Record<Which, Handle>} */
    this.marks = {
      heavy: this.#mark("heavy", handles, layer, "M-8 -7H8L0 8Z"),
      light: this.#mark("light", handles, layer, "M-8 7H8L0 -8Z"),
    };
    this.names = { heavy: new Label(words, "pic-guess-name"), light: new Label(words, "pic-guess-name") };
    this.lead = el("input", { type: "number", id: "pic-guess-lead", min: 0, step: "any", inputmode: "decimal", onchange: () => this.#setLead() });
    this.symbol = el("span");
    this.hint = el("p", {}, "Where is the diver heaviest, where lightest? Place the two triangles, write the lead, then reveal.");
    this.field = el("span", { class: "pic-guess-field" }, el("label", { for: "pic-guess-lead" }, "lead needed"), this.lead, this.symbol);
    this.reveal = el("button", { type: "button", onclick: () => this.#reveal() }, "Reveal");
    this.again = el("button", { type: "button", onclick: () => bench.setGuess({ isRevealed: false, heavy: null, light: null, lead: null }) }, "Guess again");
    this.stop = el("button", { type: "button", onclick: () => bench.setGuess(null) }, "Stop guessing");
    this.words = [el("li"), el("li"), el("li")];
    this.result = el("ul", { class: "pic-guess-result" }, ...this.words);
    const live = el("div", { "aria-live": "polite" }, this.hint, this.result);
    this.panel = el("div", { class: "pic-guess", role: "group", "aria-label": "guess first" }, live, el("div", { class: "pic-guess-tools" }, this.field, this.reveal, this.again, this.stop));
    this.panel.hidden = true;
  }

  /**
   * @param {Which} which
   * @param {Handles} handles
   * @param {Element} layer
   * @param {string} shape
   */
  #mark(which, handles, layer, shape) {
    const move = (/** @type {number} */ time_s, /** @type {number} */ net) => {
      const { dive, guess } = this.bench;
      if (!guess || guess.isRevealed) return;
      const { low, high } = /** @type {Frame} */ (this.frame).range;
      const mark = { time_s: snap(time_s, STEP_S, 0, dive.end_s), net: snap(net, STEP_MASS, low, high) };
      this.bench.setGuess({ ...guess, [which]: mark });
    };
    return handles.make(
      layer,
      {
        way: "vertical",
        drag: ({ x, y }) => move(/** @type {Frame} */ (this.frame).x.back(x), /** @type {Frame} */ (this.frame).net.back(y)),
        step: (steps, isSideways) => {
          const { time_s, net } = this.#at(which);
          move(time_s + (isSideways ? steps * STEP_S : 0), net + (isSideways ? 0 : steps * STEP_MASS));
        },
      },
      svg("path", { class: `pic-guess-mark is-${which}`, d: shape }),
    );
  }

  /** Where a mark stands: placed by the class, else ready to be placed. @param {Which} which */
  #at(which) {
    const { dive, guess } = this.bench;
    const ready = which === "heavy" ? { time_s: 0.35 * dive.end_s, net: -0.5 * dive.limit } : { time_s: 0.65 * dive.end_s, net: -0.5 * dive.limit };
    return guess?.[which] ?? { time_s: snap(ready.time_s, STEP_S, 0, dive.end_s), net: ready.net };
  }

  #setLead() {
    const value = this.lead.valueAsNumber;
    this.bench.setGuess({ ...this.bench.guess, lead: Number.isFinite(value) && value >= 0 ? value : null });
  }

  #reveal() {
    this.bench.setGuess({ ...this.bench.guess, isRevealed: true });
    // the button of before is gone with the next drawing
    this.again.focus();
  }

  /**
   * @param {Frame} frame
   * @param {Placer} placer
   */
  draw(frame, placer) {
    this.frame = frame;
    const { guess, dive } = this.bench;
    const unit = dive.units.mass.symbol;
    // guesses in another unit are no longer those of the class
    if (guess && this.unit && unit !== this.unit && (guess.heavy || guess.light || guess.lead !== null)) {
      queueMicrotask(() => this.bench.setGuess({ ...guess, heavy: null, light: null, lead: null }));
    }
    this.unit = unit;
    this.#controls(guess, unit);
    const isRevealed = Boolean(guess?.isRevealed);
    const missed = /** @type {Which[]} */ (["heavy", "light"]).filter((which) => isRevealed && guess[which]);
    this.leads(missed.length).forEach((node, i) => attr(node, "d", this.#miss(frame, missed[i])));
    for (const which of /** @type {Which[]} */ (["heavy", "light"])) this.#drawMark(frame, placer, which, guess);
  }

  /**
   * @param {any} guess
   * @param {string} unit
   */
  #controls(guess, unit) {
    this.panel.hidden = !guess;
    if (!guess) return;
    const { isRevealed } = guess;
    this.hint.hidden = isRevealed;
    this.result.hidden = !isRevealed;
    this.field.hidden = isRevealed;
    this.reveal.hidden = isRevealed;
    say(this.symbol, unit);
    if (document.activeElement !== this.lead) this.lead.value = guess.lead === null ? "" : String(guess.lead);
    if (isRevealed) differences(this.bench).forEach((words, i) => say(this.words[i], words));
  }

  /**
   * @param {Frame} frame
   * @param {Which} which
   */
  #miss(frame, which) {
    const { dive, guess } = this.bench;
    const at = (/** @type {any} */ mark) => `${Math.round(frame.x.at(mark.time_s))} ${Math.round(frame.net.at(mark.net))}`;
    return `M${at(guess[which])}L${at(dive[which])}`;
  }

  /**
   * @param {Frame} frame
   * @param {Placer} placer
   * @param {Which} which
   * @param {any} guess
   */
  #drawMark(frame, placer, which, guess) {
    const handle = this.marks[which];
    const isShown = Boolean(guess && (!guess.isRevealed || guess[which]));
    handle.show(isShown);
    if (!isShown) return this.names[which].hide();
    const { time_s, net } = this.#at(which);
    const { symbol, decimals } = this.bench.dive.units.mass;
    const at = { x: frame.x.at(time_s), y: frame.net.at(net) };
    handle.place(at.x, at.y);
    handle.node.classList.toggle("is-off", !guess[which]);
    if (guess.isRevealed) handle.node.setAttribute("aria-disabled", "true");
    else handle.node.removeAttribute("aria-disabled");
    const text = `${signed(net, Math.max(1, decimals))} ${symbol} at ${clock(time_s)} min`;
    const said = guess[which] ? text : `not placed yet, ${text}`;
    const { low, high } = frame.range;
    const now = Number(net.toFixed(2));
    handle.say({ label: `guess of the ${which} point`, min: low, max: high, now, text: said }, { left: 0, right: frame.width, top: frame.netBox.top, line: frame.line });
    placer.keepBox({ left: at.x - 9, right: at.x + 9, top: at.y - 9, bottom: at.y + 9 });
    const miss = guess.isRevealed ? missWords(which, guess, this.bench.dive) : "";
    const variants = guess.isRevealed ? [[`${which} point guessed`, miss], [`${which} guessed`]] : [[`${which} point?`]];
    put(this.names[which], placer, `guess ${which}`, variants, at, frame.namesBox, frame.line);
  }
}

/**
 * By how much the guesses were off, in words.
 * @param {any} bench
 */
export function differences({ guess, dive }) {
  return [pointWords("heavy", guess, dive), pointWords("light", guess, dive), leadWords(guess.lead, dive)];
}

/**
 * @param {Which} which
 * @param {any} guess
 * @param {any} dive
 */
function pointWords(which, guess, dive) {
  return guess[which] ? `${which} point guessed ${missWords(which, guess, dive)}` : `${which} point not guessed`;
}

/**
 * @param {Which} which
 * @param {any} guess
 * @param {any} dive
 */
function missWords(which, guess, dive) {
  const mark = guess[which];
  const { symbol, decimals } = dive.units.mass;
  const off = mark.net - dive[which].net;
  const late_s = mark.time_s - dive[which].time_s;
  const size = number(Math.abs(off), decimals);
  const much = /[1-9]/.test(size) ? `${size} ${symbol} too ${off > 0 ? "light" : "heavy"}` : "right in weight";
  const minutes = Math.round(Math.abs(late_s) / 60);
  const when = Math.abs(late_s) < SAME_S || minutes === 0 ? "at the right time" : `${minutes} min ${late_s > 0 ? "late" : "early"}`;
  return `${much}, ${when}`;
}

/**
 * @param {number | null} guessed
 * @param {any} dive
 */
function leadWords(guessed, { lead, units }) {
  if (guessed === null) return `lead not guessed: ${lead.text}`;
  const { symbol, decimals } = units.mass;
  const amount = (/** @type {number} */ value) => `${number(value, decimals)} ${symbol}`;
  const said = `lead guessed ${amount(guessed)}`;
  if (lead.crossed) return `${said}: ${lead.text}`;
  if (guessed < lead.least) return `${said}, ${amount(lead.least - guessed)} less than the least: ${lead.text}`;
  if (guessed > lead.most) return `${said}, ${amount(guessed - lead.most)} more than the most: ${lead.text}`;
  return `${said}, between least and most: ${lead.text}`;
}
