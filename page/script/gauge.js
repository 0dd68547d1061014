// @ts-check
/** How full a cylinder is: a lying bar with the fill, what is left now, and the reserve; its end is dragged to fill or empty. */

import { el, number } from "./dom.js";
import { controlOf, put } from "./side.js";
import { slide } from "./slider.js";

/**
 * @param {import("./side.js").Bench} bench
 * @param {() => import("./side.js").Cylinder | null} own
 */
export function makeGauge(bench, own) {
  const [fill, now, reserve] = ["fill", "now", "reserve"].map((part) => el("div", { class: `cyl-bar-${part}` }));
  const handle = el("div", { class: "cyl-bar-handle", role: "slider", tabindex: 0, "aria-orientation": "horizontal" });
  const track = el("div", { class: "cyl-bar-track" }, fill, now, reserve);
  const element = el("div", { class: "cyl-bar" }, track, handle);
  const control = () => controlOf(bench.dive, own()?.control ?? null);
  const range = () => {
    const has = control();
    if (!has || typeof has.value !== "number") return null;
    return { value: has.value, min: has.min, max: has.max, step: has.step, decimals: has.decimals };
  };
  const at = (/** @type {PointerEvent} */ event) => {
    const place = track.getBoundingClientRect();
    return ((event.clientX - place.left) / place.width) * (control()?.max ?? 0);
  };
  slide(handle, bench, { range, at, move: (value) => bench.change({ control: own()?.control, to: value }) });

  /**
   * @param {import("./side.js").Dive} dive
   * @param {import("./side.js").Cylinder} cylinder
   */
  const update = (dive, cylinder) => {
    const has = control();
    const most = Math.max(has?.max ?? 0, cylinder.fill, 1);
    const share = (/** @type {number} */ value) => `${Math.min(100, Math.max(0, (100 * value) / most)).toFixed(2)}%`;
    fill.style.width = share(cylinder.fill);
    now.style.width = share(cylinder.now);
    reserve.hidden = cylinder.reserve === null || cylinder.reserve === undefined;
    reserve.style.left = share(cylinder.reserve ?? 0);
    handle.style.left = share(cylinder.fill);
    handle.hidden = has === null;
    const { symbol, decimals } = dive.units.pressure;
    const words = (/** @type {number} */ value) => `${number(value, decimals)} ${symbol}`;
    const all = [`filled to ${words(cylinder.fill)}`, `${words(cylinder.now)} now`];
    if (!reserve.hidden) all.push(`reserve ${words(cylinder.reserve ?? 0)}`);
    put(track, "title", all.join("; "));
    put(handle, "aria-label", `Fill of ${cylinder.name}`);
    put(handle, "aria-valuemin", has?.min ?? 0);
    put(handle, "aria-valuemax", most);
    put(handle, "aria-valuenow", cylinder.fill);
    put(handle, "aria-valuetext", `filled to ${words(cylinder.fill)}, ${words(cylinder.now)} now`);
  };
  return { element, update };
}
