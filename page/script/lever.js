// @ts-check
/**
 * The diver as a plain lever from the side, head to the right: an arrow for each pull at its place; under it a track for each
 * piece of lead, along which it is dragged.
 */

import { el, number, svg } from "./dom.js";
import { attr, pool, say } from "./path.js";
import { measure } from "./place.js";
import { put } from "./side.js";
import { slide } from "./slider.js";

/** Broad lines of the figure, cm at any size: nothing hangs on them. */
const BROAD = /** @type {Record<string, number>} */ ({ torso: 17, thigh: 12, shank: 8, foot: 5, "upper-arm": 7, forearm: 6, hand: 5 });
/** An inch, cm: the figure's lines are as broad in either unit. */
const INCH_CM = 2.54;
/** A piece is drawn to a place of the trade from so near, cm: our own choice. */
const NEAR_CM = 2.5;
/** Longest arrow, px. */
const ARROW_PX = 60;
/** Below this an arrow is only a dot, px. */
const DOT_PX = 5;
/** Room beside the body, px. */
const SIDE_PX = 6;
/** Room for a number at the tip of an arrow, and for the words of the places below, px. */
const NUMBER_PX = 15;
const WORDS_PX = 30;
/** Half the width of a piece on its track, px. */
const PIECE_PX = 15;

/** Words of the trade under the body; the first have their place before the others. */
const TICKS = ["shoulders", "belt", "feet", "knees", "head", "hip"];

export class Lever {
  /** @param {any} bench */
  constructor(bench) {
    this.bench = bench;
    const layer = () => svg("g");
    const [body, ticks, arrows] = [layer(), layer(), layer()];
    this.picture = svg("svg", { class: "lever", role: "img" }, body, ticks, arrows);
    this.element = el("div", { class: "lever-frame" }, this.picture);
    this.rows = el("div", { class: "lever-rows" });
    this.lines = pool(body, () => svg("line", { class: "lever-body" }));
    this.head = svg("circle", { class: "lever-body lever-head" });
    this.lungs = svg("path", { class: "lever-lungs" });
    body.append(this.head, this.lungs);
    this.ticks = pool(ticks, () => svg("path", { class: "lever-tick" }));
    this.tickWords = pool(ticks, () => svg("text", { class: "lever-word" }));
    this.arrows = pool(arrows, () => svg("path"));
    this.arrowWords = pool(arrows, () => svg("text", { class: "lever-number" }));
    /** @type {Piece[]} */
    this.pieces = [];
    /** px of the shoulder line and px for each unit of length */
    this.scale = { zero: 0, per: 1, wide: 0 };
    this.range = { low: 0, high: 1 };
    /** px of the middle of the body from the top, and of all */
    this.room = { top: 0, tall: 0 };
    /** the greatest pull: its arrow is the longest */
    this.most = 1;
  }

  /** @param {any} dive */
  draw(dive) {
    const { trim } = dive;
    const wide = this.element.clientWidth;
    if (wide === 0) return;
    this.#fit(dive, wide);
    const { per } = this.scale;
    const cm = trim.length.symbol === "in" ? 1 / INCH_CM : 1;
    if (!this.bench.isDragging) this.room = this.#room(trim, cm);
    const { top, tall } = this.room;
    const y = (/** @type {number} */ up) => top - up * per;
    attr(this.picture, "viewBox", `0 0 ${wide} ${tall}`);
    attr(this.picture, "height", tall);
    attr(this.picture, "aria-label", `The diver from the side, head to the right, ${trim.moment.text}. The table says what pulls where.`);
    this.#body(trim, y, cm);
    this.#ticks(trim, tall);
    this.#arrows(trim, y);
    this.#pieces(dive);
  }

  /**
   * What the figure and its arrows need, px: where the middle of the body lies, and how tall it is with the words below.
   * @param {any} trim
   * @param {number} cm
   */
  #room(trim, cm) {
    const { per } = this.scale;
    const { pulls } = trim.moment;
    this.most = Math.max(...pulls.map((/** @type {any} */ pull) => Math.abs(pull.lift)), 1e-6);
    const reach = [];
    for (const { part, from, to, radius } of trim.outline) {
      const half = radius ?? 0.5 * (BROAD[part] ?? 0) * cm;
      reach.push((from[1] + half) * per, (from[1] - half) * per, (to[1] + half) * per, (to[1] - half) * per);
    }
    for (const { lift, up } of pulls) reach.push(up * per + (lift / this.most) * ARROW_PX + Math.sign(lift) * NUMBER_PX);
    const top = Math.max(...reach) + 4;
    return { top, tall: Math.round(top - Math.min(...reach) + WORDS_PX) };
  }

  /**
   * The body fills the width, with all the way of a piece; while one is dragged nothing moves but that.
   * @param {any} dive
   * @param {number} wide
   */
  #fit({ trim, controls }, wide) {
    if (this.bench.isDragging && this.scale.wide === wide) return;
    const alongs = trim.outline.flatMap((/** @type {any} */ line) => [line.from[0] - (line.radius ?? 0), line.to[0] + (line.radius ?? 0)]);
    for (const pull of trim.moment.pulls) alongs.push(pull.along);
    const ids = trim.lead.map((/** @type {any} */ lead) => lead.control);
    for (const control of controls) if (ids.includes(control.id)) alongs.push(control.min, control.max);
    const [low, high] = [Math.min(...alongs), Math.max(...alongs)];
    const per = (wide - 2 * SIDE_PX - 2 * PIECE_PX) / (high - low);
    this.range = { low, high };
    this.scale = { zero: SIDE_PX + PIECE_PX - low * per, per, wide };
  }

  /** @param {number} along */
  x(along) {
    return this.scale.zero + along * this.scale.per;
  }

  /** @param {number} px */
  along(px) {
    return (px - this.scale.zero) / this.scale.per;
  }

  /**
   * @param {any} trim
   * @param {(up: number) => number} y
   * @param {number} cm
   */
  #body(trim, y, cm) {
    const limbs = trim.outline.filter((/** @type {any} */ line) => line.part !== "head");
    this.lines(limbs.length).forEach((node, i) => {
      const { part, from, to } = limbs[i];
      attr(node, "x1", this.x(from[0]));
      attr(node, "y1", y(from[1]));
      attr(node, "x2", this.x(to[0]));
      attr(node, "y2", y(to[1]));
      attr(node, "stroke-width", BROAD[part] * cm * this.scale.per);
    });
    const head = trim.outline.find((/** @type {any} */ line) => line.part === "head");
    attr(this.head, "cx", this.x(head.from[0]));
    attr(this.head, "cy", y(head.from[1]));
    attr(this.head, "r", head.radius * this.scale.per);
    const [along, up] = trim.lungs;
    attr(this.lungs, "d", `M${this.x(along)} ${y(up) - 1}l6 11h-12z`);
  }

  /**
   * @param {any} trim
   * @param {number} tall
   */
  #ticks(trim, tall) {
    const places = TICKS.flatMap((word) => trim.places.filter((/** @type {any} */ place) => place.word === word));
    const words = this.tickWords(places.length);
    /** @type {[number, number][]} */
    const taken = [];
    this.ticks(places.length).forEach((node, i) => {
      const x = Math.round(this.x(places[i].along)) + 0.5;
      attr(node, "d", `M${x} ${tall - 24}V${tall - 17}`);
      attr(words[i], "x", x);
      attr(words[i], "y", tall - 5);
      const half = 0.5 * measure(places[i].word) + 3;
      const isFree = taken.every(([from, to]) => x + half < from || x - half > to);
      say(words[i], isFree ? places[i].word : "");
      if (isFree) taken.push([x - half, x + half]);
    });
  }

  /**
   * @param {any} trim
   * @param {(up: number) => number} y
   */
  #arrows(trim, y) {
    const { pulls } = trim.moment;
    const words = this.arrowWords(pulls.length);
    /** @type {{ x: number, y: number }[]} */
    const said = [];
    this.arrows(pulls.length).forEach((node, i) => {
      const { kind, lift, along, up } = pulls[i];
      const px = Math.min(Math.abs(lift) / this.most, 1) * ARROW_PX;
      const [at, from] = [Math.round(this.x(along)) + 0.5, y(up)];
      const sign = lift < 0 ? 1 : -1;
      const end = from + sign * px;
      const tip = px < DOT_PX ? "" : `M${at - 4} ${end - sign * 6}L${at} ${end}L${at + 4} ${end - sign * 6}`;
      attr(node, "d", `M${at - 2.5} ${from}a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0 -5 0M${at} ${from}V${end}${tip}`);
      attr(node, "class", `lever-arrow ${lift < 0 ? "is-sinking" : "is-floating"} is-${kind.replace(" ", "-")}`);
      const word = free(said, at, end + (sign > 0 ? 11 : -3), sign);
      attr(words[i], "x", word.x);
      attr(words[i], "y", word.y);
      say(words[i], String(i + 1));
    });
  }

  /** @param {any} dive */
  #pieces(dive) {
    const { lead } = dive.trim;
    const ids = lead.map((/** @type {any} */ { control }) => control).join("\n");
    if (this.ids !== ids) {
      this.ids = ids;
      this.pieces = lead.filter((/** @type {any} */ { control }) => control).map((/** @type {any} */ { control }) => new Piece(this, control));
      this.rows.replaceChildren(...this.pieces.map((piece) => piece.element));
    }
    for (const piece of this.pieces) piece.draw(dive);
  }
}

/**
 * A place for a number near a point that no other has.
 * @param {{ x: number, y: number }[]} said
 * @param {number} x
 * @param {number} y
 * @param {number} sign
 */
function free(said, x, y, sign) {
  const at = { x, y };
  while (said.some((other) => Math.abs(other.x - at.x) < 13 && Math.abs(other.y - at.y) < 11)) at.y += sign * 11;
  said.push(at);
  return at;
}

/** A piece of lead on its track. */
class Piece {
  /**
   * @param {Lever} lever
   * @param {string} id of its control
   */
  constructor(lever, id) {
    this.lever = lever;
    this.id = id;
    this.track = svg("path", { class: "lever-track" });
    this.dots = svg("path", { class: "lever-dots" });
    this.block = svg("g", { class: "lever-piece", role: "slider", tabindex: 0, "aria-orientation": "horizontal" },
      svg("rect", { class: "lever-reach", x: -22, y: -14, width: 44, height: 28 }),
      svg("rect", { class: "lever-block", x: -PIECE_PX, y: -9, width: 2 * PIECE_PX, height: 18, rx: 3 }),
      svg("path", { class: "lever-grip", d: "M-4 -4V4M0 -4V4M4 -4V4" }));
    this.picture = svg("svg", { class: "lever-row", height: 30 }, this.track, this.dots, this.block);
    this.words = el("p", { class: "lever-said", "aria-hidden": "true" });
    this.element = el("div", {}, this.words, this.picture);
    slide(this.block, lever.bench, {
      range: () => this.control(),
      at: (event) => this.drawn(lever.along(event.clientX - this.picture.getBoundingClientRect().left)),
      move: (value) => lever.bench.change({ control: id, to: this.snapped(value) }),
    });
    this.block.addEventListener("pointerdown", () => (this.isByHand = true));
    this.block.addEventListener("keydown", () => (this.isByHand = false));
    this.isByHand = false;
  }

  /** The control that moves it, within the body. */
  control() {
    const control = this.lever.bench.dive?.controls.find((/** @type {any} */ one) => one.id === this.id);
    return control ?? null;
  }

  /** @param {number} along */
  drawn(along) {
    return Math.max(this.lever.range.low, Math.min(along, this.lever.range.high));
  }

  /**
   * A hand that is near a place of the trade means that place; the keys go step by step.
   * @param {number} value
   */
  snapped(value) {
    const { trim } = this.lever.bench.dive;
    if (!this.isByHand) return value;
    const near = trim.length.symbol === "in" ? NEAR_CM / INCH_CM : NEAR_CM;
    const places = trim.places.filter((/** @type {any} */ place) => Math.abs(place.along - value) < near);
    places.sort((/** @type {any} */ a, /** @type {any} */ b) => Math.abs(a.along - value) - Math.abs(b.along - value));
    return places.length ? Number(places[0].along.toFixed(trim.length.decimals)) : value;
  }

  /** @param {any} dive */
  draw(dive) {
    const control = this.control();
    const piece = dive.trim.lead.find((/** @type {any} */ lead) => lead.control === this.id);
    if (!control || !piece) return;
    const { lever } = this;
    const { wide } = lever.scale;
    attr(this.picture, "viewBox", `0 0 ${wide} 30`);
    attr(this.track, "d", `M${lever.x(lever.range.low)} 15H${lever.x(lever.range.high)}`);
    attr(this.dots, "d", dive.trim.places.map((/** @type {any} */ { along }) => `M${Math.round(lever.x(along)) + 0.5} 10V20`).join(""));
    attr(this.block, "transform", `translate(${Math.round(lever.x(piece.along) * 10) / 10} 15)`);
    const mass = `${number(piece.mass, dive.units.mass.decimals)} ${dive.units.mass.symbol}`;
    say(this.words, `${piece.name}, ${mass}: ${piece.text}`);
    put(this.block, "aria-label", `${piece.name} along the body`);
    put(this.block, "aria-valuemin", control.min);
    put(this.block, "aria-valuemax", control.max);
    put(this.block, "aria-valuenow", control.value);
    put(this.block, "aria-valuetext", `${piece.name}: ${piece.text}`);
  }
}
