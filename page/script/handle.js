// @ts-check
/**
 * Handles on the picture: each is a slider for the keyboard and for a screen reader, and can be dragged. Where handles lie
 * close together, the nearest to the finger is taken.
 *
 * @typedef {{ x: number, y: number }} Point
 * @typedef {{ label: string, min: number, max: number, now: number, text: string }} Said
 * @typedef {object} Moves
 * @property {"vertical" | "horizontal"} way
 * @property {boolean} [isChange] the dive is computed again while it is dragged
 * @property {() => unknown} [start]
 * @property {(to: Point, from: Point) => void} drag where the pointer is, and where it was at first
 * @property {(steps: number, isSideways: boolean) => void} step by arrow key: +1 is up or right; ±5 with shift
 * @property {() => void} [escape]
 */

import { svg } from "./dom.js";
import { attr, show, say } from "./path.js";
import { measure } from "./place.js";

/** Radius of what reacts, px: a finger's width across. */
const REACH_PX = 13;
/** Below this a press is no drag, px. */
const STILL_PX = 2;
/** Steps of an arrow key with shift. */
const BIG = 5;

const KEYS = /** @type {Record<string, number>} */ ({ ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: BIG, PageDown: -BIG });

/** All handles of a picture. */
export class Handles {
  /**
   * @param {SVGSVGElement} picture
   * @param {any} bench
   */
  constructor(picture, bench) {
    this.picture = picture;
    this.bench = bench;
    /** @type {Handle[]} */
    this.all = [];
    /** @type {Handle | null} */
    this.held = null;
  }

  /**
   * @param {Element} layer
   * @param {Moves} moves
   * @param {...SVGElement} shape drawn around 0, 0
   */
  make(layer, moves, ...shape) {
    const handle = new Handle(this, moves, shape);
    layer.append(handle.node);
    this.all.push(handle);
    return handle;
  }

  /** @param {PointerEvent} event */
  at(event) {
    const box = this.picture.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  /** @param {Point} at */
  nearest(at) {
    const near = this.all.filter((handle) => handle.isShown && Math.hypot(handle.x - at.x, handle.y - at.y) < 2 * REACH_PX);
    return near.sort((a, b) => Math.hypot(a.x - at.x, a.y - at.y) - Math.hypot(b.x - at.x, b.y - at.y))[0];
  }
}

export class Handle {
  /**
   * @param {Handles} owner
   * @param {Moves} moves
   * @param {SVGElement[]} shape
   */
  constructor(owner, moves, shape) {
    this.owner = owner;
    this.moves = moves;
    this.x = 0;
    this.y = 0;
    this.isShown = true;
    this.back = svg("rect", { class: "pic-bubble-back", rx: 3 });
    this.words = svg("text", { class: "pic-bubble-words" });
    this.bubble = svg("g", { class: "pic-bubble", "aria-hidden": "true" }, this.back, this.words);
    this.node = svg(
      "g",
      { class: `pic-handle is-${moves.way}`, role: "slider", tabindex: 0, "aria-orientation": moves.way },
      svg("circle", { class: "pic-reach", r: REACH_PX }),
      ...shape,
      this.bubble,
    );
    this.node.addEventListener("pointerdown", (event) => this.#down(event));
    this.node.addEventListener("keydown", (event) => this.#key(event));
  }

  /**
   * @param {number} x
   * @param {number} y
   */
  place(x, y) {
    this.x = x;
    this.y = y;
    attr(this.node, "transform", `translate(${Math.round(x * 10) / 10} ${Math.round(y * 10) / 10})`);
  }

  /** @param {boolean} isShown */
  show(isShown) {
    this.isShown = isShown;
    show(this.node, isShown);
  }

  /**
   * @param {Said} said
   * @param {{ left: number, right: number, top: number, line: number }} room where the bubble may lie
   */
  say({ label, min, max, now, text }, room) {
    const set = { "aria-label": label, "aria-valuemin": min, "aria-valuemax": max, "aria-valuenow": now, "aria-valuetext": text };
    for (const [name, value] of Object.entries(set)) {
      attr(this.node, name, String(value));
    }
    say(this.words, text);
    const half = 0.5 * measure(text, true) + 5;
    const x = Math.max(room.left + half, Math.min(this.x, room.right - half)) - this.x;
    const below = this.y - REACH_PX - room.line - 4 < room.top;
    const y = below ? REACH_PX + 3 : -REACH_PX - room.line - 3;
    attr(this.back, "x", x - half);
    attr(this.back, "y", y);
    attr(this.back, "width", 2 * half);
    attr(this.back, "height", room.line + 2);
    attr(this.words, "x", x);
    attr(this.words, "y", y + 0.8 * room.line);
  }

  /** @param {PointerEvent} event */
  #down(event) {
    if (event.button !== 0 || this.owner.held) return;
    event.preventDefault();
    event.stopPropagation();
    const from = this.owner.at(event);
    const handle = this.owner.nearest(from) ?? this;
    this.owner.held = handle;
    handle.#hold(event.pointerId, from);
  }

  /**
   * @param {number} pointer
   * @param {Point} from
   */
  #hold(pointer, from) {
    const { node, moves, owner } = this;
    // the grip keeps its distance from the finger
    const off = { x: this.x - from.x, y: this.y - from.y };
    let isMoving = false;
    node.setPointerCapture(pointer);
    node.focus({ preventScroll: true });
    node.classList.add("is-held");
    const move = (/** @type {PointerEvent} */ event) => {
      const at = owner.at(event);
      if (!isMoving && Math.hypot(at.x - from.x, at.y - from.y) < STILL_PX) return;
      if (!isMoving && moves.isChange) owner.bench.dragStart();
      if (!isMoving) moves.start?.();
      isMoving = true;
      moves.drag({ x: at.x + off.x, y: at.y + off.y }, { x: from.x + off.x, y: from.y + off.y });
    };
    const end = () => {
      node.classList.remove("is-held");
      node.removeEventListener("pointermove", move);
      for (const name of /** @type {const} */ (["pointerup", "pointercancel", "lostpointercapture"])) node.removeEventListener(name, end);
      owner.held = null;
      if (isMoving && moves.isChange) owner.bench.dragEnd();
    };
    node.addEventListener("pointermove", move);
    for (const name of /** @type {const} */ (["pointerup", "pointercancel", "lostpointercapture"])) node.addEventListener(name, end);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape" && this.moves.escape) {
      event.preventDefault();
      this.moves.escape();
    }
    const steps = KEYS[event.key];
    if (!steps) return;
    event.preventDefault();
    this.moves.step(event.shiftKey && Math.abs(steps) === 1 ? BIG * steps : steps, /Left|Right/.test(event.key));
  }
}

/**
 * A value on a grid of steps.
 * @param {number} value
 * @param {number} step
 * @param {number} min
 * @param {number} max
 */
export function snap(value, step, min, max) {
  const snapped = Math.round(value / step) * step;
  return Number(Math.max(min, Math.min(max, snapped)).toFixed(6));
}
