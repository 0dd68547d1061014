// @ts-check
/** Fields of a form: each with its label, its unit, a word of help and what is wrong with it. */

import { el } from "./dom.js";

/**
 * @typedef {object} Field
 * @property {HTMLElement} root
 * @property {() => string} read what is written in it
 * @property {(text: string) => void} write
 * @property {(text: string | null) => void} complain says beside it what is wrong
 * @property {() => void} focus
 * @property {(unit: string) => void} unit sets the unit that stands beside it
 *
 * @typedef {object} FieldOptions
 * @property {string} label
 * @property {string} [value]
 * @property {string} [help]
 * @property {string} [unit] makes it a field for a number
 * @property {string} [hint] shown while it is empty
 * @property {boolean} [whole] a number without decimals
 * @property {boolean} [isSigned] a number that may be less than none: keys for numbers alone have no minus on some phones
 * @property {boolean} [isWanted] must be answered
 * @property {boolean} [isShort] its choices are short
 * @property {boolean} [isWide] takes the place of two
 * @property {(text: string) => void} typed
 *
 * @typedef {{ value: string, label: string, help?: string, group?: string }} Option
 */

let count = 0;
const nextId = () => `ask-${(count += 1)}`;

/** Symbols of the units in which a form is filled in. */
export const UNITS = {
  metric: { mass: "kg", depth: "m", pressure: "bar", volume: "L", temperature: "°C", height: "cm" },
  us: { mass: "lb", depth: "ft", pressure: "psi", volume: "cuft", temperature: "°F", height: "in" },
};

/**
 * What was typed as the engine reads it: with a point as decimal sign, and with the unit that stands beside the field if
 * none was typed. Anything else stays as it is; the engine says what is wrong.
 * @param {string | null | undefined} raw
 * @param {string} unit
 */
export function quantity(raw, unit) {
  const text = (raw ?? "").trim().replace(/(\d),(\d{1,2})(?!\d)/g, "$1.$2");
  return text === "" || hasUnit(text) || !unit ? text : `${text} ${unit}`;
}

/** @param {string} text */
const hasUnit = (text) => /[a-z°%:]/i.test(text);

/**
 * A field for text, or for a number with its unit.
 * @param {FieldOptions} options
 * @returns {Field}
 */
export function textField(options) {
  /** @type {HTMLInputElement} */
  const input = el("input", {
    type: "text",
    id: nextId(),
    autocomplete: "off",
    placeholder: options.hint,
    inputmode: options.unit === undefined || options.isSigned ? null : options.whole ? "numeric" : "decimal",
    "aria-required": options.isWanted ? "true" : null,
    enterkeyhint: "next",
    onkeydown: (event) => event.key === "Enter" && toNext(input),
    oninput: () => {
      showUnit();
      parts.complain(null);
      options.typed(input.value);
    },
  });
  input.value = options.value ?? "";
  const unit = el("span", { class: "ask-unit", id: `${input.id}-unit` }, options.unit ?? "");
  const showUnit = () => unit.classList.toggle("is-off", hasUnit(input.value));
  showUnit();
  const line = el("div", { class: "ask-line" }, input, options.unit ? unit : null);
  const parts = around(options, input, line, options.unit ? [unit.id] : []);
  return {
    ...parts,
    read: () => input.value,
    write: (text) => {
      input.value = text;
      showUnit();
    },
    unit: (symbol) => {
      unit.textContent = symbol;
    },
  };
}

/**
 * Enter goes on to the next field, as a phone's keyboard promises.
 * @param {HTMLElement} from
 */
function toNext(from) {
  const all = [...(from.closest("dialog")?.querySelectorAll("input, select") ?? [])];
  const after = all.slice(all.indexOf(from) + 1);
  const next = after.find((other) => other instanceof HTMLElement && other.offsetParent !== null);
  if (next instanceof HTMLElement) next.focus();
}

/**
 * @param {FieldOptions & { options: Option[] }} options
 * @returns {Field}
 */
export function selectField(options) {
  const select = el("select", {
    id: nextId(),
    "aria-required": options.isWanted ? "true" : null,
    onchange: () => {
      parts.complain(null);
      options.typed(select.value);
    },
  });
  const groups = /** @type {Map<string, HTMLOptGroupElement>} */ (new Map());
  for (const { value, label, group } of options.options) {
    const option = el("option", { value }, label);
    if (!group) {
      select.append(option);
      continue;
    }
    const into = groups.get(group) ?? el("optgroup", { label: group });
    if (!groups.has(group)) select.append(into);
    groups.set(group, into);
    into.append(option);
  }
  const write = (/** @type {string} */ text) => {
    if (text && ![...select.options].some((option) => option.value === text)) select.append(el("option", { value: text }, text));
    select.value = text;
  };
  write(options.value ?? "");
  const parts = around(options, select, el("div", { class: "ask-line" }, select), []);
  return { ...parts, read: () => select.value, write, unit: () => {} };
}

/**
 * One of a few, each to be seen.
 * @param {FieldOptions & { options: Option[] }} options
 * @returns {Field}
 */
export function radioField(options) {
  const name = nextId();
  const problem = el("p", { class: "ask-problem", id: `${name}-problem` });
  const inputs = options.options.map(({ value }) =>
    el("input", {
      type: "radio",
      name,
      value,
      onchange: () => {
        complain(root, problem, null, null);
        options.typed(value);
      },
    }),
  );
  const write = (/** @type {string} */ text) => {
    for (const input of inputs) input.checked = input.value === text;
  };
  write(options.value ?? "");
  const rows = options.options.map(({ label, help }, index) =>
    el("label", { class: "radio" }, inputs[index], el("span", {}, label, help ? el("small", {}, help) : null)),
  );
  const root = el(
    "fieldset",
    { class: "ask radios", "aria-describedby": problem.id },
    el("legend", {}, options.label),
    options.help ? el("p", { class: "ask-help" }, options.help) : null,
    el("div", { class: options.isShort ? "radio-rows is-short" : "radio-rows" }, ...rows),
    problem,
  );
  return {
    root,
    read: () => inputs.find((input) => input.checked)?.value ?? "",
    write,
    complain: (text) => complain(root, problem, null, text),
    focus: () => (inputs.find((input) => input.checked) ?? inputs[0]).focus(),
    unit: () => {},
  };
}

/**
 * @param {{ label: string, value?: boolean, typed: (isOn: boolean) => void }} options
 */
export function tick(options) {
  const input = el("input", { type: "checkbox", onchange: () => options.typed(input.checked) });
  input.checked = options.value ?? false;
  return { root: el("label", { class: "tick" }, input, el("span", {}, options.label)), input };
}

/**
 * Label, help and problem around an input.
 * @param {FieldOptions} options
 * @param {HTMLInputElement | HTMLSelectElement} input
 * @param {HTMLElement} line
 * @param {string[]} describers
 */
function around(options, input, line, describers) {
  const help = el("p", { class: "ask-help", id: `${input.id}-help` }, options.help ?? "");
  const problem = el("p", { class: "ask-problem", id: `${input.id}-problem` });
  const ids = [...describers, ...(options.help ? [help.id] : []), problem.id];
  input.setAttribute("aria-describedby", ids.join(" "));
  const root = el(
    "div",
    { class: options.isWide ? "ask is-wide" : "ask" },
    el("label", { for: input.id }, options.label, options.isWanted ? el("span", { class: "wanted" }, " needed") : null),
    line,
    options.help ? help : null,
    problem,
  );
  return {
    root,
    complain: (/** @type {string | null} */ text) => complain(root, problem, input, text),
    focus: () => input.focus(),
  };
}

/**
 * @param {HTMLElement} root
 * @param {HTMLElement} problem
 * @param {HTMLElement | null} input
 * @param {string | null} text
 */
function complain(root, problem, input, text) {
  problem.textContent = text ?? "";
  root.classList.toggle("is-wrong", text !== null);
  if (input && text !== null) input.setAttribute("aria-invalid", "true");
  else input?.removeAttribute("aria-invalid");
}
