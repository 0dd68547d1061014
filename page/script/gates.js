// @ts-check
/** The picture of the rail: ground that is too light or too heavy, the gates at its ends, the plan's piece. */

import { number, svg } from "./dom.js";
import { mass, put, say, uniqueId } from "./side.js";

/**
 * Sizes for letters of a height: room at both ends, so that the piece at zero is whole; the piece itself, wider than a finger's
 * 24 px; height of the ground.
 * @param {number} font
 */
export const sizes = (font) => ({ pad: font * 1.6 + 3, piece: Math.max(34, font * 3.1), ground: Math.max(28, font * 2.4) });

/** Width of a bold letter as a share of its height, at most: measured on "least", "most" and digits. */
const LETTER = 0.62;

/** @typedef {ReturnType<typeof makeRail>} Rail */

export function makeRail() {
  const ids = { light: uniqueId("light"), heavy: uniqueId("heavy") };
  const defs = svg("defs", {}, stripes(ids.light, 45), stripes(ids.heavy, -45));
  const room = svg("rect", { class: "rail-room" });
  const side = (/** @type {"light" | "heavy"} */ kind) => ({
    ground: svg("rect", { class: `rail-ground rail-${kind}`, fill: `url(#${ids[kind]})` }),
    gate: svg("path", { class: "rail-gate" }),
    name: svg("text", { class: "rail-name" }),
  });
  const [light, heavy] = [side("light"), side("heavy")];
  const none = svg("text", { class: "rail-none", "text-anchor": "middle" });
  const interval = svg("path", { class: "rail-likely" });
  const axis = svg("g", { class: "rail-axis" }, svg("line"));
  const weight = svg("text", { class: "rail-weight", "text-anchor": "middle" });
  const body = svg("path", { class: "rail-body" });
  const piece = svg("g", { class: "rail-piece", "aria-orientation": "horizontal" }, body, weight);
  const ends = { light: svg("text", { class: "rail-end" }), heavy: svg("text", { class: "rail-end", "text-anchor": "end" }) };
  say(none, "no lead is right");
  say(ends.light, "too light");
  say(ends.heavy, "too heavy");
  const picture = svg("svg", { class: "rail-picture", role: "group", "aria-label": "Lead that is right, and the plan's" },
    defs, room, light.ground, heavy.ground, interval, axis, light.gate, heavy.gate,
    ends.light, ends.heavy, none, light.name, heavy.name, piece);
  return { picture, room, light, heavy, none, interval, axis, piece, body, weight, ends, ticks: "" };
}

/**
 * @param {string} id
 * @param {number} turn
 */
const stripes = (id, turn) =>
  svg("pattern", { id, width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${turn})` },
    svg("line", { x1: 0, y1: 0, x2: 0, y2: 7, class: "rail-stripe" }));

/**
 * @param {Rail} rail
 * @param {{
 *   dive: import("./side.js").Dive, control: import("./side.js").Control | null, value: number | null, hides: boolean, isStale: boolean,
 *   scale: { max: number, wide: number, font: number }, range: { low: number, high: number } | null,
 * }} now
 */
export function drawRail(rail, now) {
  const { dive, scale, hides } = now;
  const { font, wide, max } = scale;
  const { pad, ground } = sizes(font);
  const x = (/** @type {number} */ value) => pad + (Math.min(Math.max(value, 0), max) / max) * (wide - 2 * pad);
  const top = font * 1.35;
  const at = { top, floor: top + ground, axis: top + ground + 9, names: font };
  drawAxis(rail, now, x, at);
  const { room, light, heavy, ends, none } = rail;
  const known = [room, ...Object.values(light), ...Object.values(heavy), ...Object.values(ends), none];
  for (const part of known) put(part, "display", hides ? "none" : null);
  if (!hides) drawGates(rail, now, x, at);
  drawInterval(rail, now, x, at);
  drawPiece(rail, now, x, at);
  const high = at.axis + font * 1.5;
  put(rail.picture, "viewBox", `0 0 ${wide} ${high.toFixed(1)}`);
  put(rail.picture, "height", high.toFixed(1));
  put(rail.picture, "aria-label", hides ? "Your guess of the lead" : dive.lead.text);
}

/** @typedef {Parameters<typeof drawRail>[1]} Now */
/** @typedef {(value: number) => number} Place */
/**
 * @typedef {{ from: number, to: number, left: number, right: number, own: number }} Places `from`: the least; `to`: the most;
 *   `own`: the plan's
 */
/** @typedef {{ top: number, floor: number, axis: number, names: number }} Rows */

/**
 * @param {Rail} rail
 * @param {Now} now
 * @param {Place} x
 * @param {Rows} at
 */
function drawGates(rail, { dive, scale }, x, at) {
  const { least, most, crossed } = dive.lead;
  const [from, to] = [x(least), x(most)];
  const { pad } = sizes(scale.font);
  const [left, right] = [pad * 0.45, scale.wide - pad * 0.45];
  const high = at.floor - at.top;
  box(rail.light.ground, least > 0 ? left : from, from, at.top, high);
  box(rail.heavy.ground, to, right, at.top, high);
  box(rail.room, crossed ? from : from, crossed ? from : to, at.top, high);
  put(rail.light.gate, "d", gate(from, at, 1));
  put(rail.heavy.gate, "d", gate(to, at, -1));
  put(rail.light.gate, "display", least > 0 ? null : "none");
  put(rail.picture, "data-crossed", crossed ? "yes" : null);
  names(rail, dive, { from, to, left, right, own: x(dive.lead.plan) }, at, scale);
}

/**
 * A post with a foot that points to where the lead may be.
 * @param {number} x
 * @param {Rows} at
 * @param {number} towards
 */
const gate = (x, { top, axis }, towards) => `M${x.toFixed(1)} ${axis}V${(top - 2).toFixed(1)}h${towards * 8}l${-towards * 8} 7`;

/**
 * The names of the gates stand on the sides that they close, moved apart and into the picture where they would not fit.
 * @param {Rail} rail
 * @param {import("./side.js").Dive} dive
 * @param {Places} places
 * @param {Rows} at
 * @param {{ wide: number, font: number }} scale
 */
function names(rail, dive, places, at, { wide, font }) {
  const { least, most, crossed } = dive.lead;
  const light = { text: rail.light.name, word: least > 0 ? `least ${mass(dive, least)}` : "least: none", at: places.from, isLeft: !crossed };
  const heavy = { text: rail.heavy.name, word: most >= 0 ? `most ${mass(dive, most)}` : "most: none", at: places.to, isLeft: crossed };
  const pair = crossed ? [heavy, light] : [light, heavy];
  const long = pair.map(({ word }) => word.length * font * LETTER);
  const starts = pair.map(({ at: gate, isLeft }, i) => Math.min(Math.max(isLeft ? gate - 3 - long[i] : gate + 3, 0), wide - long[i]));
  const over = Math.max(0, starts[0] + long[0] + 8 - starts[1]);
  const moved = Math.min(over, starts[0]);
  for (const [i, x] of [starts[0] - moved, starts[1] + over - moved].entries()) {
    put(pair[i].text, "x", x.toFixed(1));
    put(pair[i].text, "y", at.names.toFixed(1));
    say(pair[i].text, pair[i].word);
  }
  grounds(rail, dive, places, at, font);
}

/**
 * What the grounds mean, in words, where they are wide enough for them.
 * @param {Rail} rail
 * @param {import("./side.js").Dive} dive
 * @param {Places} places
 * @param {Rows} at
 * @param {number} font
 */
function grounds({ ends, none }, dive, { from, to, left, right, own }, at, font) {
  const { least, crossed } = dive.lead;
  const room = { light: least > 0 ? Math.min(from, to) - left : 0, heavy: right - Math.max(from, to) };
  // beside the piece where that stands between the gates
  const half = sizes(font).piece / 2;
  const free = own < to - half || own > from + half ? [[to, from]] : [[to, own - half], [own + half, from]];
  const [widest] = free.sort((a, b) => b[1] - b[0] - (a[1] - a[0]));
  const write = (/** @type {SVGTextElement} */ text, /** @type {number} */ x, /** @type {boolean} */ fits) => {
    put(text, "x", x.toFixed(1));
    put(text, "y", ((at.top + at.floor) / 2 + font * 0.35).toFixed(1));
    put(text, "display", fits ? null : "none");
  };
  const wordWide = 9 * font * LETTER + 4;
  const isClear = (/** @type {number} */ start) => own + half < start || own - half > start + wordWide;
  write(ends.light, left + 4, room.light > wordWide && isClear(left));
  write(none, (widest[0] + widest[1]) / 2, crossed && widest[1] - widest[0] > 16 * font * LETTER);
  write(ends.heavy, right - 4, room.heavy > wordWide && isClear(right - wordWide));
}

/**
 * @param {Element} rect
 * @param {number} from
 * @param {number} to
 * @param {number} top
 * @param {number} high
 */
function box(rect, from, to, top, high) {
  put(rect, "x", Math.min(from, to).toFixed(1));
  put(rect, "width", Math.max(0, to - from).toFixed(1));
  put(rect, "y", top.toFixed(1));
  put(rect, "height", high);
}

/**
 * @param {Rail} rail
 * @param {Now} now
 * @param {Place} x
 * @param {Rows} at
 */
function drawInterval({ interval }, { range, hides, isStale }, x, at) {
  put(interval, "display", range && !hides ? null : "none");
  if (!range) return;
  const y = at.floor + 4.5;
  const [low, high] = [x(range.low).toFixed(1), x(range.high).toFixed(1)];
  put(interval, "d", `M${low} ${y - 3}v6M${low} ${y}H${high}M${high} ${y - 3}v6`);
  put(interval, "data-stale", isStale ? "yes" : null);
}

/**
 * @param {Rail} rail
 * @param {Now} now
 * @param {Place} x
 * @param {Rows} at
 */
function drawPiece({ piece, body, weight }, { dive, control, value, hides, scale }, x, at) {
  put(piece, "display", value === null && control === null ? "none" : null);
  const middle = x(value ?? 0);
  const [half, high] = [sizes(scale.font).piece / 2, at.floor - at.top - 4];
  put(piece, "transform", `translate(${middle.toFixed(1)} ${(at.top + 2).toFixed(1)})`);
  put(body, "d", `M${-half + 6} 0H${half - 6}L${half} ${high}H${-half}z`);
  put(weight, "y", (high / 2 + scale.font * 0.38).toFixed(1));
  say(weight, value === null ? "?" : number(value, dive.units.mass.decimals));
  put(piece, "data-fixed", control === null ? "yes" : null);
  put(piece, "tabindex", control === null ? null : 0);
  put(piece, "role", control === null ? "img" : "slider");
  put(piece, "aria-label", hides ? "Guessed lead" : "Lead");
  if (control === null) return;
  put(piece, "aria-valuemin", control.min);
  put(piece, "aria-valuemax", Math.min(control.max, scale.max));
  put(piece, "aria-valuenow", value ?? 0);
  put(piece, "aria-valuetext", value === null ? "not guessed yet" : mass(dive, value));
}

/**
 * @param {Rail} rail
 * @param {Now} now
 * @param {Place} x
 * @param {Rows} at
 */
function drawAxis(rail, { dive, scale: { max, wide, font } }, x, at) {
  const { axis } = rail;
  const key = `${max} ${wide} ${font} ${dive.units.mass.symbol}`;
  if (rail.ticks === key) return;
  rail.ticks = key;
  const step = [1, 2, 5, 10, 20, 50].find((value) => (x(value) - x(0)) > font * 2.6) ?? 100;
  const nodes = [svg("line", { x1: sizes(font).pad * 0.45, x2: wide - sizes(font).pad * 0.45, y1: at.axis, y2: at.axis })];
  for (let value = 0; value <= max; value += step) {
    nodes.push(svg("line", { x1: x(value), x2: x(value), y1: at.axis, y2: at.axis + 4 }));
    const text = svg("text", { x: x(value), y: at.axis + font * 1.2, "text-anchor": "middle" });
    say(text, value === 0 ? `0 ${dive.units.mass.symbol}` : String(value));
    nodes.push(/** @type {any} */ (text));
  }
  axis.replaceChildren(...nodes);
}
