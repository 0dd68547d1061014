// @ts-check
/**
 * What the axes span.
 *
 * @typedef {{ end_s: number, deepest: number, low: number, high: number }} Range
 */

import { drawn } from "./left.js";

/**
 * The round step that gives at most so many ticks.
 * @param {number} span
 * @param {number} most
 * @param {number[]} [bases]
 */
export function roundStep(span, most, bases = [1, 2, 5]) {
  const rough = span / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough || 1));
  for (const base of [...bases, bases[0] * 10]) if (base * power >= rough * (1 - 1e-9)) return base * power;
  return 10 * power;
}

/**
 * @param {Range} a
 * @param {Range} b
 */
export function isSame(a, b) {
  return a.end_s === b.end_s && a.deepest === b.deepest && a.low === b.low && a.high === b.high;
}

/**
 * Between two ranges.
 * @param {Range} a
 * @param {Range} b
 * @param {number} share
 * @returns {Range}
 */
export function between(a, b, share) {
  const mix = (/** @type {number} */ from, /** @type {number} */ to) => from + share * (to - from);
  return {
    end_s: mix(a.end_s, b.end_s),
    deepest: mix(a.deepest, b.deepest),
    low: mix(a.low, b.low),
    high: mix(a.high, b.high),
  };
}

/**
 * @param {ArrayLike<number>} values
 * @param {[number, number]} ends lowest and highest so far; changed
 * @param {number} [sign]
 */
function widen(values, ends, sign = 1) {
  for (let i = 0; i < values.length; i++) {
    const value = sign * values[i];
    if (value < ends[0]) ends[0] = value;
    if (value > ends[1]) ends[1] = value;
  }
}

/** @type {WeakMap<object, [number, number]>} */
const known = new WeakMap();

/** Lowest and highest net lift of a dive. @param {any} dive */
function endsOf(dive) {
  /** @type {[number, number]} */
  const ends = known.get(dive) ?? [Infinity, -Infinity];
  if (!known.has(dive)) {
    widen(dive.curve.bare, ends);
    widen(dive.curve.load, ends, -1);
    known.set(dive, ends);
  }
  return ends;
}

/**
 * What the axes have to span. While the class guesses, the axis must not tell: it follows from the limit alone.
 * @param {any} bench
 * @returns {Range}
 */
export function rangeOf(bench) {
  const { dive, ghost, frozen, whole, state, guess } = bench;
  const dives = [dive, ghost, ...frozen.map((/** @type {any} */ rig) => rig.dive)].filter(Boolean);
  const end_s = Math.max(60, ...dives.map((each) => each.end_s));
  const deepest = Math.max(1, ...dives.map((each) => each.deepest));
  const depthStep = roundStep(deepest * 1.15, 16);
  /** @type {[number, number]} */
  const ends = [-dive.limit, 0];
  if (guess && !guess.isRevealed) {
    widen([-2 * dive.limit, 0.7 * dive.limit], ends);
  } else {
    for (const each of dives) widen(endsOf(each), ends);
    widen(dive.stops.map((/** @type {any} */ stop) => stop.at_reserve), ends);
    if (state.seesBand && whole?.band) [whole.band.low, whole.band.high].forEach((edge) => widen(edge, ends));
    for (const { left } of drawn(dive)) widen(left.filter((/** @type {number | null} */ value) => value !== null), ends);
    if (guess) widen([guess.heavy, guess.light].filter(Boolean).map((mark) => mark.net), ends);
  }
  const step = roundStep(ends[1] - ends[0], 12);
  return {
    end_s,
    deepest: Math.ceil((deepest * 1.15) / depthStep) * depthStep,
    low: Math.floor((ends[0] - 0.3 * step) / step) * step,
    high: Math.ceil((ends[1] + 0.3 * step) / step) * step,
  };
}
