// @ts-check
/**
 * Labels: how wide words are, and a place for each that hides no curve and no other label. A label stays where it was as
 * long as that is about as good, so that nothing jumps in a drag.
 *
 * @import { Box } from "./axes.js"
 * @typedef {{ x: number, y: number }} Point
 */

import { svg } from "./dom.js";
import { attr, say, show } from "./path.js";

/** Width of the columns in which curves are looked up, px. */
const COLUMN_PX = 4;
/** A label moves only if the better place is better by so much. */
const STAYS = 60;
/** A long label is shortened rather than hide more than this. */
const ROOMY = 100;
const PAD_PX = 3;
/** A label so far from its point gets a line to it, px. */
const LEAD_PX = 16;

/** @type {CanvasRenderingContext2D | null} */
let canvas = null;
/** @type {Map<string, number>} */
const widths = new Map();
let fonts = ["13px sans-serif", "600 13px sans-serif"];

/**
 * The letters that words are measured in.
 * @param {string} size
 * @param {string} family
 */
export function measureIn(size, family) {
  const next = [`${size} ${family}`, `600 ${size} ${family}`];
  if (next[0] === fonts[0]) return;
  fonts = next;
  widths.clear();
}

/**
 * @param {string} words
 * @param {boolean} [isBold]
 */
export function measure(words, isBold = false) {
  const key = (isBold ? "b" : "n") + words;
  const known = widths.get(key);
  if (known !== undefined) return known;
  canvas ??= document.createElement("canvas").getContext("2d");
  if (!canvas) return words.length * 7;
  canvas.font = fonts[isBold ? 1 : 0];
  const width = canvas.measureText(words).width;
  if (widths.size > 2000) widths.clear();
  widths.set(key, width);
  return width;
}

/** Directions in which a label may lie from its point: right, left, above, below, and between. */
const AROUND = [
  [1, -1], [-1, -1], [1, 1], [-1, 1], [0, -1], [0, 1], [1, 0], [-1, 0],
];
const DISTANCES = [7, 12, 22, 38, 58, 82, 110];

/** Finds places, one drawing long. */
export class Placer {
  /**
   * @param {number} width
   * @param {Map<string, number>} last which place each label had last
   */
  constructor(width, last) {
    this.columns = Math.ceil(width / COLUMN_PX) + 1;
    this.last = last;
    /** @type {Float32Array[]} lowest and highest px of each curve in each column */
    this.curves = [];
    /** @type {Box[]} */
    this.boxes = [];
  }

  /** @param {number[]} points */
  keepCurve(points) {
    const spans = new Float32Array(2 * this.columns);
    for (let i = 0; i < this.columns; i++) [spans[2 * i], spans[2 * i + 1]] = [Infinity, -Infinity];
    for (let i = 0; i + 3 < points.length; i += 2) {
      const [x0, y0, x1, y1] = [points[i], points[i + 1], points[i + 2], points[i + 3]];
      const first = Math.max(0, Math.floor(x0 / COLUMN_PX));
      const last = Math.min(this.columns - 1, Math.floor(x1 / COLUMN_PX));
      for (let column = first; column <= last; column++) {
        const [a, b] = [Math.max(x0, column * COLUMN_PX), Math.min(x1, (column + 1) * COLUMN_PX)];
        const slope = x1 > x0 ? (y1 - y0) / (x1 - x0) : 0;
        const ya = x1 > x0 ? y0 + (a - x0) * slope : y0;
        const yb = x1 > x0 ? y0 + (b - x0) * slope : y1;
        spans[2 * column] = Math.min(spans[2 * column], ya, yb);
        spans[2 * column + 1] = Math.max(spans[2 * column + 1], ya, yb);
      }
    }
    this.curves.push(spans);
  }

  /** @param {Box} box */
  keepBox(box) {
    this.boxes.push(box);
  }

  /**
   * How much a place hides; no longer counted when it is above `enough`.
   * @param {Box} box
   * @param {number} cost what it costs in any case
   * @param {number} enough
   */
  #cost(box, cost, enough) {
    for (const other of this.boxes) {
      const wide = Math.min(box.right, other.right) - Math.max(box.left, other.left);
      const high = Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top);
      if (wide > 0 && high > 0) cost += 200 + wide * high;
    }
    const first = Math.max(0, Math.floor(box.left / COLUMN_PX));
    const last = Math.min(this.columns - 1, Math.floor(box.right / COLUMN_PX));
    for (const spans of this.curves) {
      if (cost > enough) return cost;
      for (let column = first; column <= last; column++) {
        if (spans[2 * column] < box.bottom && spans[2 * column + 1] > box.top) cost += 25;
      }
    }
    return cost;
  }

  /**
   * A place for a label near one of its points, inside of `bounds`; null if every place hides more than `most`.
   * @param {string} id
   * @param {{ width: number, height: number }} size
   * @param {Point[]} points
   * @param {Box} bounds
   * @param {number} [most]
   * @returns {{ box: Box, at: Point } | null}
   */
  place(id, size, points, bounds, most = Infinity) {
    /** @type {{ box: Box, at: Point, cost: number, index: number } | null} */
    let best = null;
    /** @type {{ box: Box, at: Point, cost: number, index: number } | null} */
    let before = null;
    const last = this.last.get(id);
    let index = 0;
    for (const distance of DISTANCES) {
      for (const at of points) {
        for (const [dx, dy] of AROUND) {
          index += 1;
          const near = 1.2 * distance + index * 0.05;
          if (best && near > best.cost && index !== last) continue;
          const box = boxAt(at, size, dx, dy, distance, bounds);
          const sure = near + (box.isMoved ? 30 : 0) + this.#crossed(box, at);
          const cost = this.#cost(box, sure, index === last ? Infinity : (best?.cost ?? Infinity));
          const place = { box, at, cost, index };
          if (!best || cost < best.cost) best = place;
          if (index === last) before = place;
        }
      }
    }
    const chosen = before && best && before.cost < best.cost + STAYS ? before : best;
    if (!chosen || chosen.cost > most) {
      this.last.delete(id);
      return null;
    }
    this.last.set(id, chosen.index);
    this.boxes.push(chosen.box);
    return chosen;
  }

  /**
   * How much the line from a label to its point crosses.
   * @param {Box} box
   * @param {Point} at
   */
  #crossed(box, at) {
    const x = Math.max(box.left, Math.min(at.x, box.right));
    const y = Math.max(box.top, Math.min(at.y, box.bottom));
    if (Math.hypot(x - at.x, y - at.y) < LEAD_PX) return 0;
    const [mx, my] = [0.5 * (x + at.x), 0.5 * (y + at.y)];
    const isCrossed = this.boxes.some((other) => mx > other.left && mx < other.right && my > other.top && my < other.bottom);
    return isCrossed ? 150 : 8;
  }
}

/**
 * @param {Point} at
 * @param {{ width: number, height: number }} size
 * @param {number} dx
 * @param {number} dy
 * @param {number} distance
 * @param {Box} bounds
 */
function boxAt(at, size, dx, dy, distance, bounds) {
  const side = dx === 0 ? -0.5 * size.width : dx > 0 ? distance * (dy ? 0.7 : 1) : -size.width - distance * (dy ? 0.7 : 1);
  const rise = dy === 0 ? -0.5 * size.height : dy > 0 ? distance * (dx ? 0.7 : 1) : -size.height - distance * (dx ? 0.7 : 1);
  const wanted = { left: at.x + side, top: at.y + rise };
  const left = Math.max(bounds.left, Math.min(wanted.left, bounds.right - size.width));
  const top = Math.max(bounds.top, Math.min(wanted.top, bounds.bottom - size.height));
  const isMoved = Math.abs(left - wanted.left) + Math.abs(top - wanted.top) > 1;
  return { left, top, right: left + size.width, bottom: top + size.height, isMoved };
}

/** Up to two lines of words with a line to the point they belong to. */
export class Label {
  /**
   * @param {Element} layer
   * @param {string} name class
   */
  constructor(layer, name) {
    this.lead = svg("path", { class: "pic-lead" });
    this.first = svg("text", { class: "pic-first" });
    this.second = svg("text");
    this.node = svg("g", { class: `pic-label ${name}` }, this.lead, this.first, this.second);
    layer.append(this.node);
    show(this.node, false);
  }

  hide() {
    show(this.node, false);
  }

  /**
   * @param {string[]} words one or two lines; the first is bold
   * @param {number} line height of a line, px
   */
  static size(words, line) {
    const width = Math.max(...words.map((each, i) => measure(each, i === 0)));
    return { width: Math.ceil(width) + 2 * PAD_PX, height: words.length * line + 2 };
  }

  /**
   * @param {string[]} words
   * @param {Box | null} box
   * @param {number} line
   * @param {Point} [at] where a line leads to
   */
  set(words, box, line, at) {
    show(this.node, box !== null);
    if (!box) return;
    // moved as a whole: that costs no new layout of the letters
    attr(this.node, "transform", `translate(${Math.round(box.left + PAD_PX)} ${Math.round(box.top)})`);
    [this.first, this.second].forEach((text, i) => {
      say(text, words[i] ?? "");
      attr(text, "y", (i + 0.78) * line);
    });
    attr(this.lead, "d", at ? leadTo(box, at) : "");
  }
}

/**
 * A line from a label to its point, where the two are well apart.
 * @param {Box} box
 * @param {Point} at
 */
function leadTo(box, at) {
  const x = Math.max(box.left, Math.min(at.x, box.right));
  const y = Math.max(box.top, Math.min(at.y, box.bottom));
  const far = Math.hypot(x - at.x, y - at.y);
  if (far < LEAD_PX) return "";
  const share = 7 / far;
  // from the label's own corner
  const [left, top] = [box.left + PAD_PX, box.top];
  return `M${Math.round(x - left)} ${Math.round(y - top)}L${Math.round(at.x + share * (x - at.x) - left)} ${Math.round(at.y + share * (y - at.y) - top)}`;
}

/**
 * Places the first variant of a label that fits.
 * @param {Label} label
 * @param {Placer} placer
 * @param {string} id
 * @param {string[][]} variants
 * @param {Point | Point[]} at a point, or several of which any will do
 * @param {Box} bounds
 * @param {number} line
 * @param {number} [most]
 */
export function put(label, placer, id, variants, at, bounds, line, most = Infinity) {
  for (const [i, words] of variants.entries()) {
    const size = Label.size(words, line);
    const isLast = i === variants.length - 1;
    if (size.width > bounds.right - bounds.left && !isLast) continue;
    const place = placer.place(id, size, Array.isArray(at) ? at : [at], bounds, isLast ? most : Math.min(most, ROOMY));
    if (!place) continue;
    label.set(words, place.box, line, place.at);
    return place.box;
  }
  label.hide();
  return null;
}
