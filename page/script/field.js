// @ts-check
/** A control as a typed value: label, field, unit, and what is wrong with what was typed. */

import { el, number } from "./dom.js";
import { inOneLine, put, say, uniqueId } from "./side.js";
import { stepped } from "./slider.js";

const STEPS = /** @type {Record<string, number>} */ ({ ArrowUp: 1, ArrowDown: -1, PageUp: 5, PageDown: -5 });

export class Field {
  /** Takes a value in the place of the plan, if it says so: the guess of the class. @type {(value: number) => boolean} */
  takes = () => false;
  /** @type {import("./side.js").Control | null} */
  #control = null;
  /** Whether something is typed that the plan does not have. */
  #isTyped = false;
  /** @type {import("./side.js").Bench} */
  #bench;
  /** @type {string} */
  #id;

  /**
   * @param {import("./side.js").Bench} bench
   * @param {string} id of the control
   */
  constructor(bench, id) {
    this.#bench = bench;
    this.#id = id;
    const [own, about] = [uniqueId("field"), uniqueId("about")];
    const same = { id: own, "aria-describedby": about };
    this.label = el("label", { for: own });
    this.input = el("input", { ...same, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false" });
    this.select = el("select", same);
    this.unit = el("span", { class: "entry-unit" });
    this.note = el("span", { class: "entry-note" });
    this.wrong = el("span", { id: about, class: "entry-wrong", role: "alert" });
    this.element = el("div", { class: "entry" }, this.label, this.input, this.unit, this.note, this.wrong);
    this.input.addEventListener("input", () => {
      this.#isTyped = true;
      this.#refuse("");
    });
    this.input.addEventListener("change", () => this.#commit());
    this.input.addEventListener("keydown", (event) => this.#key(event));
    this.select.addEventListener("change", () => this.#give(this.select.value));
  }

  /** @param {string} text what is wrong; empty: nothing */
  #refuse(text) {
    say(this.wrong, text);
    for (const part of [this.input, this.select]) put(part, "aria-invalid", text ? "true" : null);
  }

  /** @param {number | string} value */
  #give(value) {
    this.#refuse("");
    if (typeof value === "number" && this.takes(value)) {
      this.#isTyped = false;
      return;
    }
    this.#bench.change({ control: this.#id, to: value }, (isGood) => {
      this.#isTyped = !isGood;
      if (isGood) return this.update(this.#control);
      const wrong = this.#bench.problems;
      const [first] = wrong?.problems ?? [];
      this.#refuse(first ? inOneLine(first) : (wrong?.error ?? "This value has no answer."));
    });
  }

  #commit() {
    if (!this.#control || !this.#isTyped) return;
    const read = readNumber(this.input.value, this.#control);
    if (typeof read === "string") this.#refuse(read);
    else this.#give(read);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const control = this.#control;
    const steps = STEPS[event.key];
    if (!control || (steps === undefined && event.key !== "Enter" && !(event.key === "Escape" && this.#isTyped))) return;
    event.preventDefault();
    if (event.key === "Enter") return this.#commit();
    if (steps !== undefined) return this.#step(control, steps);
    // the panel around stays open
    event.stopPropagation();
    this.#isTyped = false;
    this.#refuse("");
    this.update(control);
  }

  /**
   * @param {import("./side.js").Control} control
   * @param {number} steps
   */
  #step(control, steps) {
    const now = this.#isTyped ? readNumber(this.input.value, control) : control.value;
    if (typeof now !== "number") return;
    this.#isTyped = false;
    this.#give(Number(stepped(control, now, steps).toFixed(control.decimals)));
  }

  /** @param {import("./side.js").Control | null} control */
  update(control) {
    this.#control = control;
    if (!control) return;
    say(this.label, control.label);
    say(this.unit, control.unit ?? "");
    say(this.note, control.is_typical ? "typical" : "");
    if (control.choices) this.#choices(control, control.choices);
    else this.#value(control);
  }

  /** @param {import("./side.js").Control} control */
  #value({ value, decimals }) {
    const text = typeof value === "number" ? number(value, decimals).replace("−", "-") : value;
    if (!this.#isTyped && this.input.value !== text) this.input.value = text;
    put(this.input, "size", Math.max(4, text.length));
  }

  /**
   * @param {import("./side.js").Control} control
   * @param {{ value: string, label: string }[]} choices
   */
  #choices({ value }, choices) {
    const { input, select, element } = this;
    if (input.parentNode === element) input.replaceWith(select);
    const isOne = choices.some((choice) => choice.value === value);
    const key = [isOne ? "" : value, ...choices.map((choice) => choice.value)].join("\n");
    if (select.dataset.choices !== key) {
      select.dataset.choices = key;
      const other = isOne ? [] : [el("option", { value: String(value), disabled: true }, "by figures of its own")];
      select.replaceChildren(...other, ...choices.map((choice) => el("option", { value: choice.value }, choice.label)));
    }
    if (select.value !== String(value)) select.value = String(value);
  }
}

/**
 * What was typed as a number within the bounds of the control, or what is wrong with it. A comma is a decimal point, and the
 * unit may stand behind.
 * @param {string} typed
 * @param {import("./side.js").Control} control
 */
export function readNumber(typed, { unit, min, max, decimals }) {
  const bare = typed.trim().replace("−", "-").replace(",", ".");
  const text = unit && bare.toLowerCase().endsWith(unit.toLowerCase()) ? bare.slice(0, -unit.length).trim() : bare;
  const bounds = `${shortest(min, decimals)} to ${shortest(max, decimals)} ${unit}`.trim();
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(text)) return `“${typed.trim()}” is not a number; write ${bounds}`;
  const value = Number(text);
  return value < min || value > max ? `write ${bounds}` : value;
}

/**
 * @param {number} value
 * @param {number} decimals
 */
const shortest = (value, decimals) => number(value, Number.isInteger(value) ? 0 : decimals);
