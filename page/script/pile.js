// @ts-check
/** One pile of the beam: blocks as high as what they pull, with their names beside them. */

import { el, signed, svg } from "./dom.js";
import { put, say } from "./side.js";

/** From the pivot outwards: what changes in a dive lies on top, so that the blocks below it stay where they are. */
const ORDER = ["body", "suit", "gear", "small", "lead", "suit gas", "loop", "cylinder", "wing"];
/** Below this a part of the gear is put together with others like it, kg: our own choice, one piece of lead. */
const SMALL = { kg: 0.5, lb: 1 };

/**
 * @typedef {{ name: string, kind: string, lift: number }} Block `lift` as its size, without sign
 */

/**
 * The blocks of both piles. What is small is told by its kind and lift alone, so that it does not come and go.
 * @param {import("./side.js").Term[]} terms
 * @param {string} symbol
 * @returns {{ lifts: Block[], sinks: Block[] }}
 */
export function sorted(terms, symbol) {
  const limit = symbol === "lb" ? SMALL.lb : SMALL.kg;
  const side = (/** @type {number} */ sign) => {
    const own = terms.filter((term) => term.lift * sign > 0).map(({ name, kind, lift }) => ({ name, kind, lift: Math.abs(lift) }));
    // the gas of the wing comes and goes with the moment: it has its own block, however little it is
    const kinds = sign > 0 ? ["gear", "suit", "body"] : ["gear", "suit", "body", "wing"];
    const isSmall = (/** @type {Block} */ block) => block.lift < limit && kinds.includes(block.kind);
    return together(own, isSmall);
  };
  return { lifts: side(1), sinks: side(-1) };
}

/**
 * Puts the small ones together where there is more than one, and all in order.
 * @param {Block[]} blocks
 * @param {(block: Block) => boolean} isSmall
 */
function together(blocks, isSmall) {
  const small = blocks.filter(isSmall);
  const rest = small.length > 1 ? blocks.filter((block) => !isSmall(block)) : blocks;
  const lift = small.reduce((sum, block) => sum + block.lift, 0);
  const list = small.length > 1 ? [...rest, { name: `${small.length} small things`, kind: "small", lift }] : rest;
  const place = (/** @type {Block} */ block) => ORDER.indexOf(block.kind);
  return list.sort((a, b) => place(a) - place(b));
}

/** What is put together first where there is little room, and what it is called then. */
const JOIN = /** @type {[string[], string][]} */ ([
  [["suit", "gear", "small", "body"], "gear and suit"], [["lead"], "lead"], [["cylinder"], "cylinders"],
]);

/**
 * Puts whole kinds together until there are no more than fit as lines of text.
 * @param {Block[]} blocks
 * @param {number} most
 */
export function fitted(blocks, most) {
  let list = blocks;
  for (const [kinds, name] of JOIN) {
    if (list.length <= most) return list;
    const joined = list.filter((block) => kinds.includes(block.kind));
    if (joined.length < 2) continue;
    const kind = joined.some((block) => block.kind === "small") ? "gear" : joined[joined.length - 1].kind;
    const block = { name, kind, lift: joined.reduce((sum, { lift }) => sum + lift, 0) };
    list = list.filter((one) => one === joined[0] || !joined.includes(one)).map((one) => (one === joined[0] ? block : one));
  }
  return list;
}

/**
 * Middles of lines of text, from the lowest up, each as near to its block as the others let it be. Heights count upwards.
 * @param {number[]} wanted rising
 * @param {number} line height of a line
 * @param {number} top highest middle
 */
export function spread(wanted, line, top) {
  const places = [];
  let least = line / 2;
  for (const place of wanted) {
    places.push(Math.max(place, least));
    least = places[places.length - 1] + line;
  }
  let most = top;
  for (let i = places.length - 1; i >= 0 && places[i] > most; i -= 1) {
    places[i] = most;
    most -= line;
  }
  return places;
}

/**
 * @typedef {{ x: number, wide: number, edge: number, floor: number, high: number, scale: number, line: number, font: number }} Frame
 *   `x`: left edge of the pile; `edge`: outer end of the names; `floor`: where it stands; `high`: room above it; `scale`: pixels a kg
 */

/**
 * @param {"lifts" | "sinks"} side
 */
export function makePile(side) {
  const group = svg("g", { class: `pile pile-${side}` });
  /** @type {{ group: SVGGElement, rect: SVGRectElement, text: SVGTextElement, lead: SVGPathElement }[]} */
  const pool = [];
  const slot = (/** @type {number} */ index) => {
    if (pool[index]) return pool[index];
    const [rect, lead, text] = [svg("rect"), svg("path", { class: "pile-lead" }), svg("text", { class: "pile-name" })];
    const own = svg("g", {}, rect, lead, text);
    group.append(own);
    pool[index] = { group: own, rect, text, lead };
    return pool[index];
  };
  /**
   * @param {Block[]} blocks
   * @param {Frame} frame
   * @param {number} decimals
   */
  const draw = (blocks, frame, decimals) => {
    const shown = fitted(blocks, Math.max(2, Math.floor(frame.high / frame.line)));
    const { wanted, ends } = stacked(shown, frame.scale);
    const names = spread(wanted, frame.line, frame.high - frame.line / 2);
    for (const [index, block] of shown.entries()) {
      const { rect, lead, text, group: own } = slot(index);
      put(own, "display", null);
      put(own, "class", `block block-${block.kind.replace(" ", "-")}`);
      put(rect, "x", frame.x.toFixed(1));
      put(rect, "width", frame.wide.toFixed(1));
      put(rect, "y", (frame.floor - ends[index]).toFixed(1));
      put(rect, "height", Math.max(0.5, block.lift * frame.scale).toFixed(1));
      const at = { block: frame.floor - wanted[index], name: frame.floor - names[index] };
      write(side, { lead, text }, block, frame, at, decimals);
    }
    for (const { group: own } of pool.slice(shown.length)) put(own, "display", "none");
  };
  return { group, draw };
}

/**
 * Middles and upper ends of blocks on each other.
 * @param {Block[]} blocks
 * @param {number} scale
 */
function stacked(blocks, scale) {
  let end = 0;
  const [wanted, ends] = [/** @type {number[]} */ ([]), /** @type {number[]} */ ([])];
  for (const { lift } of blocks) {
    wanted.push(end + (lift * scale) / 2);
    ends.push((end += lift * scale));
  }
  return { wanted, ends };
}

/** @type {CanvasRenderingContext2D | null} */
let ruler = null;
/** @type {Map<string, string>} */
const short = new Map();

/**
 * A name cut to the room there is; kept, since the same names come back in every frame.
 * @param {SVGElement} like what the text is written in
 * @param {string} name
 * @param {string} value what stands beside it
 * @param {number} room
 */
function cut(like, name, value, room) {
  const key = `${room.toFixed(0)} ${value.length} ${name}`;
  const known = short.get(key);
  if (known !== undefined) return known;
  ruler ??= el("canvas").getContext("2d");
  if (!ruler) return name;
  const { fontWeight, fontSize, fontFamily } = getComputedStyle(like);
  ruler.font = `${fontWeight} ${fontSize} ${fontFamily}`;
  const left = room - ruler.measureText(`${value} `).width;
  let text = name;
  while (text.length > 1 && ruler.measureText(text).width > left) text = `${text.replace(/…$/, "").slice(0, -1).trimEnd()}…`;
  short.set(key, text);
  return text;
}

/**
 * @param {"lifts" | "sinks"} side
 * @param {{ lead: SVGPathElement, text: SVGTextElement }} parts
 * @param {Block} block
 * @param {Frame} frame
 * @param {{ block: number, name: number }} at
 * @param {number} decimals
 */
function write(side, { lead, text }, block, frame, at, decimals) {
  const out = side === "lifts" ? -1 : 1;
  const from = side === "lifts" ? frame.x : frame.x + frame.wide;
  const to = from + out * 9;
  put(lead, "d", `M${from.toFixed(1)} ${at.block.toFixed(1)}L${to.toFixed(1)} ${at.name.toFixed(1)}`);
  const value = signed(out < 0 ? block.lift : -block.lift, decimals);
  const name = cut(text, block.name, value, Math.abs(frame.edge - to) - 3);
  put(text, "x", (to + out * 3).toFixed(1));
  put(text, "y", (at.name + frame.font * 0.35).toFixed(1));
  put(text, "text-anchor", out < 0 ? "end" : "start");
  say(text, out < 0 ? `${name} ${value}` : `${value} ${name}`);
}
