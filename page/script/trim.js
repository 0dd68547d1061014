// @ts-check
/** Where the diver hangs: the panel with the lever, the torque over the dive, and the words of both. */

import { clock, el, number, signed } from "./dom.js";
import { Field } from "./field.js";
import { Lever } from "./lever.js";
import { say } from "./path.js";
import { button, call, noPlan, sheet } from "./sheet.js";
import { isFresh, put } from "./side.js";
import { Torque } from "./torque.js";

const HINT = "Each thing on the diver pulls at its place. Drag a piece of lead along the body and see how the diver tips.";
/** Steps of the keys of the moment, seconds. */
const KEYS = /** @type {Record<string, number>} */ ({ ArrowLeft: -10, ArrowDown: -10, ArrowRight: 10, ArrowUp: 10, PageDown: -60, PageUp: 60 });

/**
 * @param {Element} root
 * @param {any} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "trim", "Trim", HINT);
  const said = el("p", { class: "trim-said", role: "status" });
  const hold = el("p", { class: "panel-quiet" });
  const lever = new Lever(bench);
  const torque = new Torque();
  const moment = makeMoment(bench);
  const surer = el("div", { class: "trim-surer" });
  const table = makeTable();
  const fields = makeFields(bench);
  const inside = el("div", { class: "trim-inside" },
    said,
    el("div", { class: "trim-stage" }, el("div", {}, lever.element, lever.rows), el("div", {}, torque.element, moment.element, hold)),
    surer,
    el("section", { class: "trim-part" }, el("h3", {}, "Places of the lead"), fields.element),
    el("section", { class: "trim-part" }, el("h3", {}, "What pulls where"), table.element));
  const none = el("p", {}, "The place of something on this diver is not known.");
  frame.body.append(inside, none);
  frame.body.tabIndex = 0;

  function draw() {
    if (!frame.dialog.open || !bench.dive) return;
    const { trim } = bench.dive;
    inside.hidden = !trim;
    none.hidden = Boolean(trim);
    if (!trim) return;
    const { text, rest } = trim.moment;
    say(said, `At ${clock(trim.moment.time_s)} held level: ${text}. Let go, at rest: ${rest}.`);
    say(hold, `Grey band: what fins and posture hold, ${trim.hold.text}.`);
    lever.draw(bench.dive);
    torque.draw(bench);
    moment.draw(bench.dive);
    table.draw(bench.dive);
    fields.draw(bench.dive);
    drawSurer();
  }

  /** What takes longer; while it is of before, it is grey. */
  function drawSurer() {
    put(surer, "class", isFresh(bench) ? "trim-surer" : "trim-surer is-stale");
    const known = bench.whole?.trim;
    const key = JSON.stringify(known ?? null);
    if (surer.dataset.key === key) return;
    surer.dataset.key = key;
    surer.replaceChildren(...(known ? surerParts(bench, known) : []));
  }

  for (const happening of ["dive", "whole", "moment", "drag"]) bench.on(happening, draw);
  new ResizeObserver(draw).observe(frame.body);

  return {
    open() {
      frame.open();
      frame.foot.replaceChildren();
      none.replaceChildren(bench.dive ? "The place of something on this diver is not known." : noPlan());
      inside.hidden = !bench.dive;
      none.hidden = Boolean(bench.dive);
      frame.foot.append(button("How sure", () => call("sure")), button("Each figure’s origin", () => call("plan", { part: "figures" })));
      draw();
    },
  };
}

/**
 * @param {any} bench
 * @param {any} known
 */
function surerParts(bench, known) {
  const { symbol } = bench.dive.trim.unit;
  const { lead } = known;
  const row = (/** @type {{ name: string, mass: number, all: number }} */ { name, mass, all }) =>
    el("tr", {}, el("th", { scope: "row" }, name), el("td", { class: "num" }, number(mass, 2)), el("td", { class: "num" }, number(all, 0)));
  const head = ["place", `lead, ${bench.dive.units.mass.symbol}`, `all of it there, at worst ${symbol}`];
  return [
    el("p", {}, el("b", {}, "Over the dive: "), known.text, known.next ? `; ${known.next}` : "", "."),
    lead ? el("p", {}, el("b", {}, "Lead goes: "), lead.text, ".") : null,
    lead ? el("table", { class: "trim-table" }, el("thead", {}, el("tr", {}, ...head.map((word, i) => el("th", { scope: "col", class: i ? "num" : null }, word)))), el("tbody", {}, ...lead.places.map(row))) : null,
    lead?.moves.length ? el("p", {}, "One piece moved from there:") : null,
    lead?.moves.length ? el("ul", {}, ...lead.moves.map((/** @type {string} */ words) => el("li", {}, words))) : null,
  ].filter((part) => part !== null);
}

/** The moment looked at, as a slider under the curve. @param {any} bench */
function makeMoment(bench) {
  const input = el("input", { type: "range", id: "trim-moment", class: "trim-moment", min: 0, step: 1 });
  const set = (/** @type {number} */ time_s) => bench.setMoment(Math.round(Math.max(0, Math.min(time_s, bench.dive.end_s))));
  input.addEventListener("input", () => set(Number(input.value)));
  input.addEventListener("keydown", (event) => {
    const step = KEYS[event.key];
    if (!step) return;
    event.preventDefault();
    set(Number(input.value) + step);
  });
  const draw = (/** @type {any} */ dive) => {
    const { time_s } = dive.trim.moment;
    put(input, "max", Math.round(dive.end_s));
    const value = String(Math.round(time_s));
    if (input.value !== value) input.value = value;
    put(input, "aria-valuetext", `${clock(time_s)} min, ${dive.trim.moment.text}`);
  };
  return { element: el("div", { class: "trim-when" }, el("label", { for: "trim-moment" }, "moment of the dive"), input), draw };
}

/** Word and distance of each piece as typed values. @param {any} bench */
function makeFields(bench) {
  const element = el("div", { class: "controls-fields trim-fields" });
  /** @type {Map<string, Field>} */
  let fields = new Map();
  let shown = "";
  const draw = (/** @type {any} */ dive) => {
    const ids = dive.trim.lead.flatMap((/** @type {any} */ lead) => [lead.place, lead.control]).filter(Boolean);
    if (ids.join("\n") !== shown) {
      shown = ids.join("\n");
      fields = new Map(ids.map((/** @type {string} */ id) => [id, new Field(bench, id)]));
      element.replaceChildren(...[...fields.values()].map((field) => field.element));
      if (ids.length === 0) element.replaceChildren(el("p", {}, "This dive carries no lead. Give it some on the rail beside the picture."));
    }
    for (const control of dive.controls) fields.get(control.id)?.update(control);
  };
  return { element, draw };
}

/** What pulls where, in figures: the same as the arrows. */
function makeTable() {
  const body = el("tbody");
  const heads = el("tr");
  const element = el("table", { class: "trim-table" }, el("thead", {}, heads), body);
  /** @type {HTMLElement[][]} */
  let rows = [];
  let shown = "";
  const draw = (/** @type {any} */ { trim, units }) => {
    const { pulls } = trim.moment;
    const titles = ["", "thing", `lift, ${units.mass.symbol}`, `from the shoulders, ${trim.length.symbol}`, `to the back, ${trim.length.symbol}`, `turns, ${trim.unit.symbol}`];
    if (titles.join() !== shown) {
      shown = titles.join();
      heads.replaceChildren(...titles.map((word, i) => el(word ? "th" : "td", { scope: word ? "col" : null, class: i > 1 ? "num" : null }, word)));
    }
    if (rows.length !== pulls.length) {
      rows = pulls.map(() => [0, 1, 2, 3, 4, 5].map((i) => el(i === 1 ? "th" : "td", { scope: i === 1 ? "row" : null, class: i === 1 ? null : "num" })));
      body.replaceChildren(...rows.map((cells) => el("tr", {}, ...cells)));
    }
    pulls.forEach((/** @type {any} */ pull, /** @type {number} */ i) => {
      const { decimals } = trim.length;
      const words = [String(i + 1), pull.name, signed(pull.lift, units.mass.decimals), signed(pull.along, decimals), signed(pull.up, decimals), signed(pull.torque, 1)];
      words.forEach((word, cell) => say(rows[i][cell], word));
    });
  };
  // it scrolls sideways on a phone, so that it takes the focus
  const wrap = el("div", { class: "trim-scroll", role: "region", "aria-label": "What pulls where", tabindex: 0 }, element, el("p", { class: "panel-quiet" }, "Lift: + floats, − sinks. Turns: + lifts the head, − lets it sink."));
  return { element: wrap, draw };
}
