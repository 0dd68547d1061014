// @ts-check
/** Every control that has no place of its own, as typed values in groups; the main ones beside a slider, always in sight. */

import { el } from "./dom.js";
import { Field } from "./field.js";
import { makeFold, put } from "./side.js";
import { stepped } from "./slider.js";

const GROUPS = /** @type {const} */ ([
  ["lead", "Lead"], ["diver", "Diver"], ["suit", "Suit"], ["loop", "Loop"], ["cylinder", "Cylinders"], ["water", "Water"],
  ["dive", "Dive"],
]);
/** What the class changes most, the first two that the plan has: our own choice. */
const MAIN = ["suit gas", "swim up", "suit foam", "suit sheet"];
const MOST_MAIN = 2;
/** A slider has so many places for each step of a key: our own choice. */
const FINE = 5;

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const main = el("div", { class: "controls-main" });
  const groups = el("div", { class: "controls-groups", role: "group", "aria-label": "Values of the plan" });
  root.classList.add("controls");
  root.append(el("h2", { class: "hidden-text" }, "Values"), main, groups);
  /** @type {Map<string, { update: (control: import("./side.js").Control) => void }>} */
  let fields = new Map();
  let shown = "";
  const redraw = () => {
    const controls = bench.dive?.controls ?? [];
    const key = controls.map((control) => `${control.group}/${control.id}`).join("\n");
    if (key !== shown) {
      shown = key;
      fields = build(bench, controls, main, groups);
    }
    for (const control of controls) fields.get(control.id)?.update(control);
  };
  bench.on("dive", redraw);
  redraw();
}

/** @param {import("./side.js").Control} control */
const isElsewhere = ({ id }) => id === "lead";
/**
 * @param {import("./side.js").Control[]} controls
 * @returns {string[]}
 */
const mainOf = (controls) => MAIN.filter((id) => controls.some((control) => control.id === id)).slice(0, MOST_MAIN);

/**
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Control[]} controls
 * @param {HTMLElement} main
 * @param {HTMLElement} groups
 */
function build(bench, controls, main, groups) {
  const fields = new Map();
  const mains = mainOf(controls);
  const isMain = (/** @type {import("./side.js").Control} */ { id }) => mains.includes(id);
  const make = (/** @type {import("./side.js").Control} */ control) => {
    const field = isMain(control) ? withSlider(bench, control.id) : new Field(bench, control.id);
    fields.set(control.id, field);
    return field.element;
  };
  const rest = controls.filter((control) => !isElsewhere(control));
  main.replaceChildren(...rest.filter(isMain).map(make));
  main.hidden = main.childElementCount === 0;
  groups.replaceChildren();
  for (const [group, name] of GROUPS) {
    const own = rest.filter((control) => control.group === group && !isMain(control));
    if (own.length > 0) groups.append(...groupNodes(name, own, make));
  }
  return fields;
}

/**
 * @param {string} name
 * @param {import("./side.js").Control[]} controls
 * @param {(control: import("./side.js").Control) => HTMLElement} make
 */
function groupNodes(name, controls, make) {
  const fold = makeFold(name);
  fold.body.append(...controls.map(make));
  fold.body.classList.add("controls-fields");
  return [fold.button, fold.panel];
}

/**
 * A field with a slider; both are the same control.
 * @param {import("./side.js").Bench} bench
 * @param {string} id
 */
function withSlider(bench, id) {
  const field = new Field(bench, id);
  const range = el("input", { type: "range", class: "entry-range" });
  /** @type {import("./side.js").Control | null} */
  let held = null;
  let isHeld = false;
  const hold = () => {
    if (isHeld) return;
    isHeld = true;
    bench.dragStart();
  };
  const loose = () => {
    if (!isHeld) return;
    isHeld = false;
    bench.dragEnd();
  };
  range.addEventListener("input", () => {
    hold();
    bench.change({ control: id, to: Number(range.value) });
  });
  range.addEventListener("pointerdown", hold);
  range.addEventListener("keydown", (event) => {
    const steps = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 }[event.key];
    if (steps === undefined || !held || typeof held.value !== "number") return;
    // whole steps of the control, as in the field; the slider's own step is one digit
    event.preventDefault();
    hold();
    bench.change({ control: id, to: Number(stepped(held, held.value, steps).toFixed(held.decimals)) });
  });
  for (const name of ["change", "pointerup", "pointercancel", "keyup", "blur"]) range.addEventListener(name, loose);
  field.element.append(range);
  field.element.classList.add("has-range");
  /** @param {import("./side.js").Control} control */
  const update = (control) => {
    held = control;
    field.update(control);
    put(range, "min", control.min);
    put(range, "max", control.max);
    put(range, "step", Math.max(10 ** -control.decimals, control.step / FINE));
    put(range, "aria-label", `${control.label}, slider`);
    put(range, "aria-valuetext", `${control.value} ${control.unit}`);
    if (range.value !== String(control.value)) range.value = String(control.value);
  };
  return { element: field.element, update };
}

