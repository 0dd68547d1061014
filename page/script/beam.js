// @ts-check
/** A balance for the moment held: what lifts on the left, what sinks on the right, the beam tilted by the net. */

import { clock, el, number, svg } from "./dom.js";
import { makePile, sorted } from "./pile.js";
import { isGuessing, lift, makeFold, put, say, sinksOrFloats } from "./side.js";

/** Greatest tilt, degrees: our own choice, small enough to read the names. */
const MOST_TILT_DEG = 7;

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const parts = makeParts();
  root.classList.add("beam");
  root.append(parts.head, parts.gone, parts.picture, parts.fold.panel);
  const size = { wide: 0, high: 0, font: 12 };
  /** @type {{ most: number, system: string, dive: object | null }} */
  const scale = { most: 0, system: "", dive: null };
  const redraw = () => {
    const { dive } = bench;
    const isHidden = dive === null || isGuessing(bench);
    root.classList.toggle("is-empty", isHidden);
    root.classList.toggle("has-none", dive === null);
    if (dive === null || isHidden) {
      say(parts.net, dive ? "The balance is hidden until you reveal." : "");
      say(parts.when, "");
      return;
    }
    rescale(scale, bench, dive);
    speak(parts, dive);
    if (size.wide > 0) draw(parts, dive, size, scale.most);
    if (parts.fold.isOpen()) fillTable(parts, dive);
  };
  parts.fold.panel.addEventListener("beforetoggle", () => bench.dive && fillTable(parts, bench.dive));
  new ResizeObserver(([entry]) => {
    Object.assign(size, { wide: entry.contentRect.width, high: entry.contentRect.height });
    size.font = Number.parseFloat(getComputedStyle(parts.picture).fontSize);
    redraw();
  }).observe(parts.picture);
  for (const name of ["dive", "moment", "guess", "drag"]) bench.on(name, redraw);
  redraw();
}

function makeParts() {
  const net = el("strong", { class: "beam-net" });
  const when = el("span", { class: "beam-when" });
  const gone = el("p", { class: "beam-gone when-roomy" });
  const fold = makeFold("Table", "What lifts and what sinks");
  const rows = el("tbody");
  const foot = el("tfoot");
  const caption = el("caption");
  const column = (/** @type {string} */ name, isNumber = false) => el("th", { scope: "col", class: isNumber && "num" }, name);
  const top = el("tr", {}, column("Part"), column("Lift", true), column("Drawn with"));
  fold.body.append(el("table", { class: "beam-table" }, caption, el("thead", {}, top), rows, foot));
  const head = el("div", { class: "beam-head" }, el("h2", { class: "when-roomy" }, "Balance"), el("p", {}, net, " ", when), fold.button);
  const piles = { lifts: makePile("lifts"), sinks: makePile("sinks") };
  const bar = svg("g", { class: "beam-bar" }, svg("line", { class: "beam-line" }));
  const stand = svg("path", { class: "beam-stand" });
  const at = svg("text", { class: "beam-side" });
  const titles = { lifts: svg("text", { class: "beam-side" }), sinks: svg("text", { class: "beam-side" }) };
  say(titles.lifts, "lifts");
  say(titles.sinks, "sinks");
  const drawn = [stand, bar, piles.lifts.group, piles.sinks.group, titles.lifts, titles.sinks, at];
  const picture = svg("svg", { class: "beam-picture", role: "img" }, ...drawn);
  return { at, net, when, gone, fold, rows, foot, caption, head, piles, bar, stand, titles, picture };
}

/** @typedef {ReturnType<typeof makeParts>} Parts */

/**
 * One scale for the dive: the higher pile of the moment with all that the net swings over the dive. It grows where it must,
 * and shrinks only with another plan or other units.
 * @param {{ most: number, system: string, dive: object | null }} scale
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Dive} dive
 */
function rescale(scale, bench, dive) {
  const isOther = scale.system !== dive.units.system || scale.dive !== bench.ghost;
  const now = Math.max(...piled(dive.moment.terms));
  if (!isOther && now <= scale.most) return;
  const swing = bench.isDragging ? 0 : Math.max(0, dive.moment.bare - lowest(dive.curve.bare));
  scale.most = Math.max(now, isOther ? now + swing : now * 1.1, 1);
  scale.system = dive.units.system;
  scale.dive = bench.ghost;
}

/** @param {import("./side.js").Term[]} terms */
function piled(terms) {
  let [up, down] = [0, 0];
  for (const term of terms) {
    if (term.lift > 0) up += term.lift;
    else down -= term.lift;
  }
  return [up, down];
}

/** @param {number[]} values */
const lowest = (values) => values.reduce((least, value) => Math.min(least, value), Infinity);

/**
 * @param {Parts} parts
 * @param {import("./side.js").Dive} dive
 */
function speak(parts, dive) {
  const { moment, units } = dive;
  const words = sinksOrFloats(dive, moment.bare);
  say(parts.net, words);
  say(parts.when, "with the wing empty");
  say(parts.at, `${clock(moment.time_s)} min, ${number(moment.depth, units.depth.decimals)} ${units.depth.symbol}`);
  say(parts.gone, moment.gone_text ?? "");
  put(parts.gone, "title", moment.gone_text);
  parts.gone.hidden = !moment.gone_text;
}

/**
 * @param {Parts} parts
 * @param {import("./side.js").Dive} dive
 * @param {{ wide: number, high: number, font: number }} size
 * @param {number} most
 */
function draw(parts, dive, { wide, high, font }, most) {
  const line = font * 1.18;
  const arm = Math.max(27, Math.min(wide * 0.1 + Math.max(0, wide - 420) * 0.12, 100));
  const across = Math.max(26, arm * 0.95);
  const sway = arm * Math.sin((MOST_TILT_DEG * Math.PI) / 180) + 2;
  const floor = high - font - sway - 10;
  const room = Math.max(20, floor - sway - 2);
  const { bare } = dive.moment;
  const tilt = -MOST_TILT_DEG * Math.tanh((4 * bare) / most);
  const down = arm * Math.sin((tilt * Math.PI) / 180);
  const blocks = sorted(dive.moment.terms, dive.units.mass.symbol);
  const { decimals } = dive.units.mass;
  const frame = { wide: across, floor, high: room, scale: room / most, line, font };
  const middle = wide / 2;
  parts.piles.lifts.draw(blocks.lifts, { ...frame, x: middle - arm - across / 2, edge: 0 }, decimals);
  parts.piles.sinks.draw(blocks.sinks, { ...frame, x: middle + arm - across / 2, edge: wide }, decimals);
  put(parts.piles.lifts.group, "transform", `translate(0 ${(-down).toFixed(2)})`);
  put(parts.piles.sinks.group, "transform", `translate(0 ${down.toFixed(2)})`);
  drawBar(parts, { middle, floor, reach: arm + across / 2 + 4, tilt, font, arm, high });
  put(parts.picture, "viewBox", `0 0 ${wide} ${high}`);
  put(parts.picture, "aria-label", `A balance: ${sinksOrFloats(dive, bare)} with the wing empty. All parts are in the table.`);
}

/**
 * @param {Parts} parts
 * @param {{ middle: number, floor: number, reach: number, tilt: number, font: number, arm: number, high: number }} at
 */
function drawBar({ bar, stand, titles, at }, { middle, floor, reach, tilt, font, arm, high }) {
  const y = floor + 2.5;
  const beam = /** @type {SVGLineElement} */ (bar.firstChild);
  put(beam, "x1", middle - reach);
  put(beam, "x2", middle + reach);
  put(beam, "y1", y);
  put(beam, "y2", y);
  put(bar, "transform", `rotate(${tilt.toFixed(2)} ${middle} ${y})`);
  put(stand, "d", `M${middle} ${y}l${font} ${high - y - 2}h${-2 * font}z`);
  put(titles.lifts, "x", middle - arm);
  put(titles.sinks, "x", middle + arm);
  for (const title of [titles.lifts, titles.sinks]) put(title, "text-anchor", "middle");
  for (const text of [titles.lifts, titles.sinks, at]) put(text, "y", high - 3);
}

/**
 * @param {Parts} parts
 * @param {import("./side.js").Dive} dive
 */
function fillTable({ rows, foot, caption }, dive) {
  const { moment } = dive;
  say(caption, `At ${clock(moment.time_s)} min; positive floats, negative sinks`);
  const { lifts, sinks } = sorted(moment.terms, dive.units.mass.symbol);
  const own = new Set([...lifts, ...sinks].map((block) => block.name));
  const row = (/** @type {string} */ name, /** @type {number} */ value, note = "") =>
    el("tr", {}, el("th", { scope: "row" }, name), el("td", { class: "num" }, lift(dive, value)), el("td", {}, note));
  const note = (/** @type {import("./side.js").Term} */ term) => (own.has(term.name) || term.lift === 0 ? "" : "small things");
  rows.replaceChildren(...[...moment.terms].sort((a, b) => b.lift - a.lift).map((term) => row(term.name, term.lift, note(term))));
  foot.replaceChildren(row("net, wing empty", moment.bare), row("net", moment.net));
}
