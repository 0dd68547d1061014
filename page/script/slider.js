// @ts-check
/** A handle that is dragged or moved by keys, as one step of history for each hold. */

/**
 * @typedef {{
 *   range: () => { value: number, min: number, max: number, step: number, decimals: number } | null,
 *   at: (event: PointerEvent) => number,
 *   move: (value: number) => void,
 * }} Sliding `range`: what holds now, `null` where nothing can be moved; `at`: the value under a pointer; `move`: takes a value
 */

const KEYS = /** @type {Record<string, number>} */ ({
  ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -5, PageUp: 5, Home: -Infinity, End: Infinity,
});

/**
 * @param {HTMLElement | SVGElement} handle
 * @param {Pick<import("./side.js").Bench, "dragStart" | "dragEnd">} bench
 * @param {Sliding} sliding
 */
export function slide(handle, bench, { range, at, move }) {
  /** @type {{ from: number, offset: number, last: number, by: "pointer" | "key" } | null} */
  let held = null;
  const to = (/** @type {number} */ value) => {
    const now = range();
    if (!now || !held) return;
    const bound = Number(Math.min(now.max, Math.max(now.min, value)).toFixed(now.decimals));
    if (bound === held.last) return;
    held.last = bound;
    move(bound);
  };
  const begin = (/** @type {"pointer" | "key"} */ by, /** @type {number} */ value, offset = 0) => {
    held = { from: value, offset, last: value, by };
    handle.classList.toggle("is-held", by === "pointer");
    bench.dragStart();
  };
  const end = () => {
    if (!held) return;
    held = null;
    handle.classList.remove("is-held");
    bench.dragEnd();
  };
  const on = (/** @type {string} */ name, /** @type {(event: any) => void} */ listener) => handle.addEventListener(name, listener);

  on("pointerdown", (event) => {
    const now = range();
    if (event.button !== 0 || !now) return;
    end();
    handle.setPointerCapture(event.pointerId);
    handle.focus({ preventScroll: true });
    // the piece stays under the finger where it was taken
    begin("pointer", now.value, now.value - at(event));
    event.preventDefault();
  });
  // touch-action does not hold on every part of a drawing
  handle.addEventListener("touchstart", (event) => range() && event.cancelable && event.preventDefault(), { passive: false });
  on("pointermove", (event) => held?.by === "pointer" && to(at(event) + held.offset));
  for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) on(name, () => held?.by === "pointer" && end());
  on("keydown", (event) => {
    const now = range();
    if (!now || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape" && held) {
      to(held.from);
      end();
      event.preventDefault();
    }
    const steps = KEYS[event.key];
    if (steps === undefined || held?.by === "pointer") return;
    event.preventDefault();
    if (!held) begin("key", now.value);
    to(stepped(now, held ? held.last : now.value, steps));
  });
  for (const name of ["keyup", "blur"]) on(name, () => held?.by === "key" && end());
}

/**
 * The next whole step: from 4.2 by steps of 0.5 it is 4.5.
 * @param {{ min: number, max: number, step: number }} range
 * @param {number} value
 * @param {number} steps
 */
export function stepped({ min, max, step }, value, steps) {
  if (!Number.isFinite(steps)) return steps < 0 ? min : max;
  // the share of a step below which a value counts as standing on it: far below any printed digit
  const on = 1e-6;
  const at = value / step;
  const next = steps > 0 ? Math.floor(at + on) + steps : Math.ceil(at - on) + steps;
  return Math.min(max, Math.max(min, next * step));
}
