// @ts-check
/**
 * Curves as paths: rows in, few points out. A row for every second of a long dive is far more than a screen shows; what is
 * left out lies within a third of a pixel of what is drawn.
 *
 * @import { Scale } from "./axes.js"
 */

/** Farthest that a row left out lies from the line drawn, px. */
const TOLERANCE_PX = 0.3;

/**
 * Points of a curve on the screen: x and y in turn. Each is one of the rows; where two rows have one time, both stay.
 * @param {ArrayLike<number>} times
 * @param {ArrayLike<number>} values
 * @param {Scale} x
 * @param {Scale} y
 * @param {number} [sign] minus one turns the values over
 * @returns {number[]}
 */
export function trace(times, values, x, y, sign = 1) {
  /** @type {number[]} */
  const points = [];
  const rows = times.length;
  let [fromX, fromY, lastX, lastY] = [0, 0, 0, 0];
  let [low, high] = [-Infinity, Infinity];
  for (let i = 0; i < rows; i++) {
    const px = x.at(times[i]);
    const py = y.at(sign * values[i]);
    const isNext = i > 0 && px > fromX;
    const slope = isNext ? (py - fromY) / (px - fromX) : 0;
    const isJump = i > 0 && px === lastX && Math.abs(py - lastY) > TOLERANCE_PX;
    if (i > 0 && (isJump || slope < low || slope > high)) {
      points.push(lastX, lastY);
      [fromX, fromY, low, high] = [lastX, lastY, -Infinity, Infinity];
      if (isJump) {
        points.push(px, py);
        [fromX, fromY] = [px, py];
      }
    }
    if (i === 0) {
      points.push(px, py);
      [fromX, fromY] = [px, py];
    } else if (px > fromX) {
      low = Math.max(low, (py - TOLERANCE_PX - fromY) / (px - fromX));
      high = Math.min(high, (py + TOLERANCE_PX - fromY) / (px - fromX));
    }
    [lastX, lastY] = [px, py];
  }
  if (rows > 1) points.push(lastX, lastY);
  return points;
}

/** @param {number} px */
function short(px) {
  return Math.round(px * 10) / 10;
}

/**
 * @param {number[]} points
 * @param {boolean} [isBackwards]
 */
export function line(points, isBackwards = false) {
  const words = [];
  const count = points.length / 2;
  for (let i = 0; i < count; i++) {
    const at = 2 * (isBackwards ? count - 1 - i : i);
    words.push(`${short(points[at])} ${short(points[at + 1])}`);
  }
  return words.length ? `M${words.join("L")}` : "";
}

/**
 * The area between a curve and a level line.
 * @param {number[]} points
 * @param {number} level px
 */
export function areaTo(points, level) {
  if (points.length < 4) return "";
  const [first, last] = [short(points[0]), short(points[points.length - 2])];
  return `${line(points)}L${last} ${short(level)}L${first} ${short(level)}Z`;
}

/**
 * The area between two curves.
 * @param {number[]} upper
 * @param {number[]} lower
 */
export function areaBetween(upper, lower) {
  if (upper.length < 4 || lower.length < 4) return "";
  return `${line(upper)}L${line(lower, true).slice(1)}Z`;
}

/**
 * Height of a curve at a place; before and after it, that of its ends. At a jump, the later one.
 * @param {number[]} points
 * @param {number} x px
 */
export function heightAt(points, x) {
  if (points.length < 2) return 0;
  let [low, high] = [0, points.length / 2 - 1];
  if (x <= points[0]) return points[1];
  if (x >= points[2 * high]) return points[2 * high + 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (points[2 * middle] <= x) low = middle;
    else high = middle;
  }
  const [x0, y0, x1, y1] = points.slice(2 * low, 2 * low + 4);
  return x1 > x0 ? y0 + ((x - x0) / (x1 - x0)) * (y1 - y0) : y1;
}

/** What was last written to a node: to compare with that is cheaper than to ask the page. */
const WRITTEN = Symbol("written");

/**
 * @param {any} node
 * @returns {Record<string, string | number | boolean>}
 */
function written(node) {
  return (node[WRITTEN] ??= {});
}

/**
 * Sets an attribute that nothing else sets, if it is another one than last time.
 * @param {Element} node
 * @param {string} name
 * @param {string | number} value
 */
export function attr(node, name, value) {
  const last = written(node);
  if (last[name] === value) return;
  last[name] = value;
  node.setAttribute(name, typeof value === "number" ? String(short(value)) : value);
}

/**
 * The same for the words in a node.
 * @param {Node} node
 * @param {string} text
 */
export function say(node, text) {
  const last = written(node);
  if (last.text === text) return;
  last.text = text;
  node.textContent = text;
}

/**
 * @param {Element} node
 * @param {boolean} isShown
 */
export function show(node, isShown) {
  const last = written(node);
  if (last.shown === isShown) return;
  last.shown = isShown;
  if (isShown) node.removeAttribute("display");
  else node.setAttribute("display", "none");
}

/**
 * Nodes that are used again: as many as are asked for are shown, the others hidden. None is made anew while there are
 * enough.
 * @template {SVGElement} T
 * @param {Element} parent
 * @param {(index: number) => T} make
 * @returns {(count: number) => T[]}
 */
export function pool(parent, make) {
  /** @type {T[]} */
  const nodes = [];
  return (count) => {
    while (nodes.length < count) {
      const node = make(nodes.length);
      nodes.push(node);
      parent.append(node);
    }
    nodes.forEach((node, i) => show(node, i < count));
    return nodes.slice(0, count);
  };
}
