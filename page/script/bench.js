// @ts-check
/**
 * The state of the page: a plan, the changes made to it, and the engine's answers. Views draw what is here and call what
 * changes it; nothing else keeps state.
 *
 * @import { Ask, Answer } from "./engine.js"
 *
 * @typedef {[string, string]} Change a key of the plan and its new value
 * @typedef {{ name: string, text: string, sets: Change[] }} Rig
 * @typedef {Rig & { moment_s: number | null, failure_s: number | null, mishaps: string[], units: "metric" | "us" | null, seesBand: boolean }} State
 * @typedef {Rig & { label: string, dive: any }} Frozen
 * @typedef {{ isRevealed: boolean, heavy: any, light: any, lead: number | null }} Guess
 * @typedef {"dive" | "whole" | "problems" | "drag" | "moment" | "guess" | "frozen" | "kept"} Happening
 */

/** Frozen rigs side by side. */
const MOST_FROZEN = 3;
/** Steps that `back` can undo. */
const MOST_STEPS = 200;
/** Rest after which what takes longer is asked for, ms. */
const REST_MS = 60;

export class Bench {
  /** @type {State} */
  state;
  /** Last good answer of one run; `null` on an empty page. @type {any} */
  dive = null;
  /** The dive as when the plan was opened. @type {any} */
  ghost = null;
  /** Last answer to all that takes longer. @type {any} */
  whole = null;
  isStale = false;
  isDragging = false;
  /** @type {Frozen[]} */
  frozen = [];
  /** @type {Guess | null} */
  guess = null;
  /** What is wrong with the last attempt. @type {Answer | null} */
  problems = null;
  /** Whether all mishaps are looked at, beside those that are drawn. */
  seesMishaps = false;

  /** @type {Map<Happening, (() => void)[]>} */
  #listeners = new Map();
  /** @type {State[]} */
  #steps = [];
  /** The plan as it was opened. @type {Rig} */
  #opened;
  /** @type {State | null} */
  #beforeDrag = null;
  /** @type {{ change: object, after?: (isGood: boolean) => void } | null} */
  #waiting = null;
  #rest = 0;
  #asked = 0;
  #ask;
  #askSlow;

  /**
   * @param {State} state
   * @param {Ask} ask
   * @param {(question: object) => Promise<Answer>} askSlow
   */
  constructor(state, ask, askSlow) {
    this.state = state;
    this.#opened = { name: state.name, text: state.text, sets: [] };
    this.#ask = ask;
    this.#askSlow = askSlow;
  }

  /**
   * @param {Happening} happening
   * @param {() => void} listener
   */
  on(happening, listener) {
    const all = this.#listeners.get(happening) ?? [];
    this.#listeners.set(happening, [...all, listener]);
  }

  /** @param {...Happening} happenings */
  #tell(...happenings) {
    for (const happening of happenings) this.#listeners.get(happening)?.forEach((listener) => listener());
  }

  /** @param {object} [extra] */
  #question(extra = {}) {
    const { name, text, sets, units } = this.state;
    return { name, text, sets, units, ...extra };
  }

  /**
   * The answer at once, of the engine in this thread.
   * @param {string} op
   * @param {object} [extra]
   * @returns {Answer}
   */
  ask(op, extra) {
    return this.#ask(this.#question({ op, ...extra }));
  }

  /**
   * The same of the engine in the worker.
   * @param {string} op
   * @param {object} [extra]
   * @returns {Promise<Answer>}
   */
  askSlow(op, extra) {
    return this.#askSlow(this.#question({ op, ...extra }));
  }

  /** The first dive: of the plan that came with the page, or of what was kept of it. */
  start() {
    if (!this.state.text) return;
    const asWritten = this.ask("dive", { sets: [], moment_s: null, failure_s: null, change: null });
    if (asWritten.ok) this.ghost = asWritten.ok;
    this.#run(this.state);
  }

  /**
   * Runs a state, and takes it over if it has a dive.
   * @param {State} state
   * @param {object | null} [change]
   */
  #run(state, change = null) {
    const { moment_s, failure_s } = state;
    const mishaps = this.#mishaps(state);
    const answer = this.#ask({ ...this.#question(), ...rigOf(state), units: state.units, op: "dive", moment_s, failure_s, mishaps, change });
    if (!answer.ok) {
      this.problems = answer;
      this.#tell("problems");
      return false;
    }
    const had = this.problems;
    this.problems = null;
    this.dive = answer.ok;
    this.state = { ...state, sets: answer.ok.sets };
    this.ghost ??= answer.ok;
    this.isStale = true;
    if (had) this.#tell("problems");
    this.#tell("dive");
    this.#askWhole();
    return true;
  }

  /** Asks for all that takes longer as soon as there is rest. */
  #askWhole() {
    clearTimeout(this.#rest);
    if (this.isDragging) return;
    this.#rest = setTimeout(async () => {
      const asked = ++this.#asked;
      const answer = await this.askSlow("whole");
      // a newer question is on its way, or the dive has moved on
      if (asked !== this.#asked || this.isDragging) return;
      this.whole = answer.ok ?? null;
      this.isStale = !answer.ok;
      if (answer.error) this.problems = answer;
      this.#tell("whole");
      if (answer.error) this.#tell("problems");
      this.#keepState();
    }, REST_MS);
  }

  #step() {
    this.#steps.push(this.#beforeDrag ?? this.state);
    if (this.#steps.length > MOST_STEPS) this.#steps.shift();
  }

  /**
   * Applies a change. In a drag the newest change of a frame is the one that is run.
   * @param {object} change
   * @param {(isGood: boolean) => void} [after]
   */
  change(change, after) {
    if (!this.isDragging) {
      const before = this.state;
      const isGood = this.#run(this.state, change);
      if (isGood) this.#steps.push(before);
      after?.(isGood);
      return;
    }
    if (!this.#waiting) requestAnimationFrame(() => this.#frame());
    this.#waiting = { change, after };
  }

  #frame() {
    const waiting = this.#waiting;
    this.#waiting = null;
    if (!waiting) return;
    const isGood = this.#run(this.state, waiting.change);
    waiting.after?.(isGood);
  }

  /** What lies between this and the end of the drag is one step back. */
  dragStart() {
    if (this.isDragging) return;
    this.#beforeDrag = this.state;
    this.isDragging = true;
    clearTimeout(this.#rest);
    this.#asked += 1;
    this.#tell("drag");
  }

  dragEnd() {
    if (!this.isDragging) return;
    this.#frame();
    this.isDragging = false;
    if (this.#beforeDrag && !isSame(this.#beforeDrag.sets, this.state.sets)) this.#step();
    this.#beforeDrag = null;
    this.#tell("drag", "dive");
    if (this.dive) this.#askWhole();
  }

  /**
   * Looks at another moment; no step of history.
   * @param {number | null} moment_s
   */
  setMoment(moment_s) {
    this.#look({ moment_s });
  }

  /**
   * Lets the wing fail at a moment; `null`: it does not fail.
   * @param {number | null} failure_s
   */
  setFailure(failure_s) {
    this.#look({ failure_s });
  }

  /**
   * At once, but within a frame only once: the newest look of a frame is the one that is drawn.
   * @param {Partial<State>} change
   */
  #look(change) {
    const isWaiting = this.#looks !== null;
    if (isWaiting) {
      this.#looks = { ...this.#looks, ...change };
      return;
    }
    this.#lookNow(change);
    this.#looks = {};
    requestAnimationFrame(() => {
      const looks = this.#looks ?? {};
      this.#looks = null;
      if (Object.keys(looks).length > 0) this.#look(looks);
    });
  }

  /** What was looked for since the last frame; `null` where none was. @type {Partial<State> | null} */
  #looks = null;

  /** @param {Partial<State>} change */
  #lookNow(change) {
    const state = { ...this.state, ...change };
    const { moment_s, failure_s } = state;
    const answer = this.ask("dive", { moment_s, failure_s, mishaps: this.#mishaps(state), change: null });
    if (!answer.ok) return;
    this.state = state;
    this.dive = answer.ok;
    this.#tell("moment");
    this.#keepState();
  }

  /**
   * Draws mishaps; no step of history.
   * @param {string[]} mishaps their names
   */
  setMishaps(mishaps) {
    this.#look({ mishaps });
  }

  /**
   * Looks at all mishaps, or only at those that are drawn: what nobody sees costs no time in a drag.
   * @param {boolean} sees
   */
  setSeesMishaps(sees) {
    if (this.seesMishaps === sees) return;
    this.seesMishaps = sees;
    if (this.dive) this.#look({ mishaps: this.state.mishaps });
  }

  /** @param {State} state */
  #mishaps({ mishaps }) {
    return { all: this.seesMishaps, on: mishaps };
  }

  /** @param {boolean} seesBand */
  setBand(seesBand) {
    this.state = { ...this.state, seesBand };
    this.#tell("dive");
    this.#keepState();
  }

  /** @param {"metric" | "us"} units */
  setUnits(units) {
    const rigs = [this.ghost && this.#opened, ...this.frozen];
    const [ghost, ...frozen] = rigs.map((rig) => rig && this.#ask({ ...this.#question(rigOf(rig)), op: "dive", units, change: null }).ok);
    this.ghost = ghost ?? this.ghost;
    this.frozen = this.frozen.map((rig, i) => ({ ...rig, dive: frozen[i] ?? rig.dive }));
    this.#run({ ...this.state, units });
    this.#tell("frozen");
  }

  /** @param {Guess | null} guess */
  setGuess(guess) {
    this.guess = guess;
    this.#tell("guess", "dive");
  }

  /**
   * Opens another plan; the last good picture stays where it has no dive.
   * @param {{ name: string, text: string }} plan
   */
  open({ name, text }) {
    const before = this.state;
    const ghost = this.ghost;
    this.ghost = null;
    const isGood = this.#run({ ...this.state, name, text, sets: [], moment_s: null, failure_s: null, mishaps: [] });
    if (!isGood) {
      this.ghost = ghost;
      return false;
    }
    if (before.text) this.#steps.push(before);
    this.#opened = { name, text, sets: [] };
    this.#tell("dive");
    return true;
  }

  get canBack() {
    return this.#steps.length > 0;
  }

  /** Whether anything was changed since the plan was opened. */
  get isChanged() {
    return this.state.sets.length > 0;
  }

  /** Undoes the last step. */
  back() {
    const state = this.#steps.pop();
    if (state) this.#restore(state);
  }

  /** The plan as it was opened. */
  reset() {
    if (!this.isChanged) return;
    this.#step();
    this.#restore({ ...this.state, ...this.#opened });
  }

  /** @param {State} state */
  #restore(state) {
    if (state.text !== this.state.text) {
      this.#opened = { name: state.name, text: state.text, sets: [] };
      this.ghost = this.ask("dive", { ...this.#opened, moment_s: null, failure_s: null, change: null }).ok ?? null;
    }
    const { units, seesBand, mishaps } = this.state;
    this.#run({ ...state, units, seesBand, mishaps });
  }

  /** Keeps the rig of now beside those to come; the oldest goes when there are too many. */
  freeze() {
    if (!this.dive) return;
    const label = `rig ${String.fromCharCode(65 + (this.#frozenSoFar++ % 26))}`;
    const rig = { ...rigOf(this.state), label, dive: this.dive };
    this.frozen = [...this.frozen, rig].slice(-MOST_FROZEN);
    this.#tell("frozen", "dive");
    this.#keepState();
  }

  #frozenSoFar = 0;

  /** @param {number} index */
  thaw(index) {
    this.frozen = this.frozen.filter((_, i) => i !== index);
    this.#tell("frozen", "dive");
    this.#keepState();
  }

  /**
   * Takes a frozen rig back.
   * @param {number} index
   */
  restore(index) {
    const rig = this.frozen[index];
    if (!rig) return;
    this.#step();
    this.#restore({ ...this.state, ...rigOf(rig) });
  }

  /** Set by who keeps the state over a reload. @type {(bench: Bench) => void} */
  keepState = () => {};

  #keepState() {
    this.keepState(this);
  }

  /**
   * Frozen rigs of an earlier look at this page.
   * @param {(Rig & { label: string })[]} rigs
   */
  refreeze(rigs) {
    this.frozen = rigs.flatMap((rig) => {
      const dive = this.ask("dive", { ...rigOf(rig), moment_s: null, failure_s: null, change: null }).ok;
      return dive ? [{ ...rig, dive }] : [];
    });
    this.#frozenSoFar = rigs.length;
  }
}

/**
 * @param {Rig} rig
 * @returns {Rig}
 */
function rigOf({ name, text, sets }) {
  return { name, text, sets };
}

/**
 * @param {Change[]} a
 * @param {Change[]} b
 */
function isSame(a, b) {
  return JSON.stringify(a) === JSON.stringify(b);
}
