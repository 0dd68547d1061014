// @ts-check
/**
 * What outlives a reload, a closed tab, and the page itself: session storage always, the device's storage where the user
 * asked for it, and a copy of the page with the present state. Nothing of it is ever part of an address.
 *
 * @import { Bench, State } from "./bench.js"
 */

const KEY = "lightpoint-bench";

/** @param {string} text */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/**
 * Storage can be forbidden, full, or not there.
 * @template T
 * @param {() => T} use
 * @returns {T | null}
 */
function trying(use) {
  try {
    return use();
  } catch {
    return null;
  }
}

/** @param {Bench} bench */
function kept({ state, frozen }) {
  return { state, frozen: frozen.map(({ label, name, text, sets }) => ({ label, name, text, sets })) };
}

export class Keeper {
  /** The page as it was sent, before anything was built in it. */
  #source;
  /** Digest-like name of the plan that came with the page: another page's state is not this one's. */
  #key;

  /**
   * @param {string} source
   * @param {string} text the plan that came with the page
   */
  constructor(source, text) {
    this.#source = source;
    let sum = 0;
    for (let i = 0; i < text.length; i++) sum = (Math.imul(sum, 31) + text.charCodeAt(i)) | 0;
    this.#key = `${KEY}-${(sum >>> 0).toString(36)}`;
  }

  get isKept() {
    return trying(() => localStorage.getItem(this.#key)) !== null;
  }

  /** The state of before a reload, else that kept on this device. */
  read() {
    const text = trying(() => sessionStorage.getItem(this.#key)) ?? trying(() => localStorage.getItem(this.#key));
    return text ? parsed(text) : null;
  }

  /** @param {Bench} bench */
  write(bench) {
    const text = JSON.stringify(kept(bench));
    trying(() => sessionStorage.setItem(this.#key, text));
    if (this.isKept) trying(() => localStorage.setItem(this.#key, text));
  }

  /** @param {Bench} bench */
  keep(bench) {
    return trying(() => (localStorage.setItem(this.#key, JSON.stringify(kept(bench))), true)) ?? false;
  }

  forget() {
    trying(() => localStorage.removeItem(this.#key));
  }

  /**
   * This page with the present state in it.
   * @param {Bench} bench
   */
  pageCopy(bench) {
    const state = JSON.stringify(kept(bench)).replace(/[<>&\u2028\u2029]/g, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, "0")}`);
    return this.#source.replace(/(<script type="application\/json" id="plan">)[^<]*(<\/script>)/, (_, open, close) => open + state + close);
  }
}
