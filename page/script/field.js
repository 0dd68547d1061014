// @ts-check
/** A control as a typed value: label, field, unit, and what is wrong with what was typed. */

import { el, number } from "./dom.js";
import { put, say, uniqueId } from "./side.js";
import { stepped } from "./slider.js";

/**
 * @param {import("./side.js").Bench} bench
 * @param {string} id of the control
 */
export function makeField(bench, id) {
  const [own, about] = [uniqueId("field"), uniqueId("about")];
  const label = el("label", { for: own });
  const input = el("input", { id: own, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false", "aria-describedby": about });
  const select = el("select", { id: own, "aria-describedby": about });
  const unit = el("span", { class: "entry-unit" });
  const note = el("span", { class: "entry-note" });
  const wrong = el("span", { id: about, class: "entry-wrong", role: "alert" });
  const element = el("div", { class: "entry" }, label, input, unit, note, wrong);
  /** @type {import("./side.js").Control | null} */
  let control = null;
  /** @type {(value: number) => boolean} */
  let taken = () => false;
  let isTyped = false;

  const refuse = (/** @type {string} */ text) => {
    say(wrong, text);
    put(input, "aria-invalid", text ? "true" : null);
    put(select, "aria-invalid", text ? "true" : null);
  };
  const give = (/** @type {number | string} */ value) => {
    refuse("");
    if (typeof value === "number" && taken(value)) return void (isTyped = false);
    bench.change({ control: id, to: value }, (isGood) => {
      isTyped = !isGood;
      if (isGood) return update(control);
      const [first] = bench.problems?.problems ?? [];
      refuse(first ? [first.message, first.help].filter(Boolean).join(" ") : (bench.problems?.error ?? "This value has no answer."));
    });
  };
  const commit = () => {
    if (!control || !isTyped) return;
    const read = readNumber(input.value, control);
    if (typeof read === "string") refuse(read);
    else give(read);
  };
  const stepBy = (/** @type {number} */ steps) => {
    if (!control) return;
    const now = isTyped ? readNumber(input.value, control) : control.value;
    if (typeof now !== "number") return;
    const next = Number(stepped(control, now, steps).toFixed(control.decimals));
    isTyped = false;
    give(next);
  };
  input.addEventListener("input", () => ((isTyped = true), refuse("")));
  input.addEventListener("change", commit);
  input.addEventListener("keydown", (event) => {
    const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 5, PageDown: -5 }[event.key];
    if (steps !== undefined) {
      event.preventDefault();
      stepBy(steps);
    } else if (event.key === "Enter") {
      event.preventDefault();
      commit();
    } else if (event.key === "Escape" && isTyped) {
      event.preventDefault();
      event.stopPropagation();
      isTyped = false;
      refuse("");
      update(control);
    }
  });
  select.addEventListener("change", () => give(select.value));
  /** @param {import("./side.js").Control | null} next */
  const update = (next) => {
    control = next;
    if (!next) return;
    say(label, next.label);
    const { choices } = next;
    if (choices) return void updateChoices({ element, input, select, unit, note }, next, choices);
    say(unit, next.unit);
    say(note, next.is_typical ? "typical" : "");
    const text = typeof next.value === "number" ? number(next.value, next.decimals).replace("−", "-") : next.value;
    if (!isTyped && input.value !== text) input.value = text;
    input.size = Math.max(4, text.length);
  };
  return { element, update, takes: (/** @type {(value: number) => boolean} */ take) => (taken = take) };
}

/**
 * @param {{ element: HTMLElement, input: HTMLElement, select: HTMLSelectElement, unit: HTMLElement, note: HTMLElement }} parts
 * @param {import("./side.js").Control} control
 * @param {{ value: string, label: string }[]} choices
 */
function updateChoices({ element, input, select, unit, note }, control, choices) {
  if (input.isConnected || input.parentNode === element) input.replaceWith(select);
  const key = choices.map((choice) => choice.value).join("\n");
  if (select.dataset.choices !== key) {
    select.dataset.choices = key;
    const own = choices.some((choice) => choice.value === control.value);
    const written = own ? [] : [el("option", { value: String(control.value), disabled: true }, "as the plan has it")];
    select.replaceChildren(...written, ...choices.map((choice) => el("option", { value: choice.value }, choice.label)));
  }
  if (select.value !== String(control.value)) select.value = String(control.value);
  say(unit, control.unit ?? "");
  say(note, control.is_typical ? "typical" : "");
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
