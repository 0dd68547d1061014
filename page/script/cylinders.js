// @ts-check
/** The cylinders: what is in them, what they lift, and what can be done with them at the moment held. */

import { makeLoop } from "./circuit.js";
import { clock, el, number } from "./dom.js";
import { makeGauge } from "./gauge.js";
import { isGuessing, lift, put, say } from "./side.js";

/** From this width on every row has room for its buttons, in widths of a letter M. */
const WIDE_EM = 38;

const DO = /** @type {const} */ ([["leave", "Leave"], ["hand_off", "Hand off"], ["take", "Take back"], ["receive", "Receive"]]);
const DONE = /** @type {Record<string, string>} */ ({ leave: "left", hand_off: "handed off", take: "taken back", receive: "received" });

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const when = el("span", { class: "cyl-when" });
  const list = el("ul", { class: "cyl-list" });
  root.classList.add("cylinders");
  root.append(el("div", { class: "cyl-head when-roomy" }, el("h2", {}, "Cylinders"), when), list);
  /** @type {ReturnType<typeof makeRow>[]} */
  let rows = [];
  /** @type {string | null} */
  let open = null;
  let names = "";
  let isWide = false;
  const loop = makeLoop(bench);
  const redraw = () => {
    const { dive } = bench;
    const cylinders = dive?.cylinders ?? [];
    root.classList.toggle("is-empty", cylinders.length === 0);
    if (dive === null) return;
    const key = cylinders.map((cylinder) => cylinder.name).join("\n");
    if (key !== names) {
      names = key;
      rows = cylinders.map((_, index) => makeRow(bench, index, (name) => ((open = open === name ? null : name), redraw())));
      list.replaceChildren(loop.element, ...rows.map((row) => row.element));
    }
    loop.update(dive);
    say(when, `at ${clock(dive.moment.time_s)} min`);
    for (const [index, cylinder] of cylinders.entries()) rows[index].update(dive, cylinder, open === cylinder.name, !isWide);
  };
  new ResizeObserver(([entry]) => {
    isWide = entry.contentRect.width >= WIDE_EM * Number.parseFloat(getComputedStyle(root).fontSize);
    root.classList.toggle("is-wide", isWide);
    redraw();
  }).observe(root);
  for (const name of ["dive", "moment", "guess"]) bench.on(name, redraw);
  redraw();
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {number} index
 * @param {(name: string) => void} toggle
 */
function makeRow(bench, index, toggle) {
  const own = () => bench.dive?.cylinders[index] ?? null;
  const name = el("span", { class: "cyl-name" });
  const gas = el("span", { class: "cyl-gas" });
  const press = () => toggle(own()?.name ?? "");
  const button = el("button", { type: "button", class: "cyl-open", onclick: press }, name);
  const plain = el("span", { class: "cyl-open" });
  const state = el("span", { class: "cyl-state" });
  const who = el("div", { class: "cyl-who" }, button, " ", state, " ", gas);
  const gauge = makeGauge(bench, own);
  const pressure = el("span", { class: "cyl-pressure" });
  const pulls = el("span", { class: "cyl-lift" });
  const actions = makeActions(bench, own);
  const element = el("li", { class: "cyl" }, who, gauge.element, pressure, pulls, actions.element);
  /**
   * @param {import("./side.js").Dive} dive
   * @param {import("./side.js").Cylinder} cylinder
   * @param {boolean} isOpen
   * @param {boolean} opens whether its buttons show only when it is open
   */
  const update = (dive, cylinder, isOpen, opens) => {
    const hasActions = cylinder.is_removable || cylinder.can.length > 0 || cylinder.changes.length > 0;
    const isButton = hasActions && opens;
    if ((name.parentNode === button) !== isButton) {
      (isButton ? button : plain).append(name);
      (isButton ? plain : button).replaceWith(isButton ? button : plain);
    }
    say(name, cylinder.name);
    say(gas, cylinder.gas);
    // a name that says it needs no second word
    const shown = cylinder.role && !cylinder.name.toLowerCase().includes(cylinder.role) ? cylinder.role : "";
    say(state, !cylinder.is_carried ? "gone" : cylinder.is_breathed ? "breathed" : shown);
    const role = cylinder.role === null ? "" : `, ${cylinder.role}`;
    put(who, "title", `${cylinder.name}, ${cylinder.gas}${role}${cylinder.is_carried ? "" : ", not on the diver at this moment"}`);
    put(button, "aria-expanded", String(isOpen));
    put(element, "data-carried", cylinder.is_carried ? "yes" : "no");
    put(element, "data-breathed", cylinder.is_breathed ? "yes" : null);
    gauge.update(dive, cylinder);
    say(pressure, `${number(cylinder.now, dive.units.pressure.decimals)} ${dive.units.pressure.symbol}`);
    say(pulls, isGuessing(bench) ? "" : liftText(dive, cylinder));
    actions.element.hidden = !hasActions || (opens && !isOpen);
    if (!actions.element.hidden) actions.update(dive, cylinder);
  };
  return { element, update };
}

/**
 * @param {import("./side.js").Dive} dive
 * @param {import("./side.js").Cylinder} cylinder
 */
const liftText = (dive, cylinder) => `${lift(dive, cylinder.lift)} ${cylinder.floats ? "floats" : "sinks"}`;

/**
 * What can be done at the moment held, and what was done, with a way back.
 * @param {import("./side.js").Bench} bench
 * @param {() => import("./side.js").Cylinder | null} own
 */
function makeActions(bench, own) {
  const act = (/** @type {string} */ kind) => {
    const cylinder = own();
    if (cylinder?.can.includes(kind) && bench.dive) bench.change({ cylinder: cylinder.name, kind, time_s: bench.dive.moment.time_s });
    // the button that was pressed goes; its place is taken by what undoes it
    buttons.find(({ button }) => !button.hidden)?.button.focus();
  };
  const buttons = DO.map(([kind, word]) => ({ kind, word, button: el("button", { type: "button", onclick: () => act(kind) }, word) }));
  const changes = el("ul", { class: "cyl-changes" });
  const element = el("div", { class: "cyl-actions" }, ...buttons.map(({ button }) => button), changes);
  let shown = "";
  /**
   * @param {import("./side.js").Dive} dive
   * @param {import("./side.js").Cylinder} cylinder
   */
  const update = (dive, cylinder) => {
    for (const { kind, word, button } of buttons) {
      put(button, "aria-label", `${word} ${cylinder.name} at ${clock(dive.moment.time_s)} min`);
      button.hidden = !cylinder.can.includes(kind);
    }
    const key = JSON.stringify(cylinder.changes);
    if (key === shown) return;
    shown = key;
    changes.replaceChildren(...cylinder.changes.map((change) => changeItem(bench, cylinder.name, change)));
  };
  return { element, update };
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {string} name
 * @param {import("./side.js").Coming} change
 */
function changeItem(bench, name, { time_s, kind, is_ours }) {
  const words = `${DONE[kind] ?? kind} at ${clock(time_s)} min`;
  const undo = () => bench.change({ cylinder: name, undo_s: time_s });
  const button = is_ours && el("button", { type: "button", onclick: undo, "aria-label": `Undo: ${name} ${words}` }, "Undo");
  return el("li", {}, words, button && " ", button);
}
