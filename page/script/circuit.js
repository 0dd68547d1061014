// @ts-check
/** The breathing loop as a row above the cylinders: its oxygen between the limits, the setpoint, what the absorbent has taken up. */

import { el, number } from "./dom.js";
import { isGuessing, lift, makeMark, put, say } from "./side.js";

/** The bar ends so much above the upper limit. */
const BEYOND = 1.25;

/** @param {import("./side.js").Bench} bench */
export function makeLoop(bench) {
  const state = el("span", { class: "cyl-state" });
  const rest = el("span", { class: "cyl-gas" });
  const mark = makeMark();
  const who = el("div", { class: "cyl-who" }, el("span", { class: "cyl-name" }, "loop"), " ", state, " ", mark.element, " ", rest);
  const [fill, now, least, most, setpoint] = ["fill", "now", "reserve", "reserve", "setpoint"].map((part) => el("div", { class: `cyl-bar-${part}` }));
  const track = el("div", { class: "cyl-bar-track" }, fill, now, least, most, setpoint);
  const gauge = el("div", { class: "cyl-bar", role: "img" }, track);
  const pressure = el("span", { class: "cyl-pressure" });
  const pulls = el("span", { class: "cyl-lift" });
  const element = el("li", { class: "cyl cyl-loop" }, who, gauge, pressure, pulls);
  /** @param {import("./side.js").Dive} dive */
  const update = (dive) => {
    const at = dive.moment.loop;
    element.hidden = at === null;
    if (at === null) return;
    say(state, at.is_breathed ? "breathed" : "not breathed");
    mark.show(at.mark);
    say(rest, at.rest);
    put(who, "title", at.text);
    put(gauge, "aria-label", at.text);
    put(track, "title", at.text);
    const end = Math.max(BEYOND * at.most_bar, at.oxygen_bar, at.setpoint_bar ?? 0);
    const share = (/** @type {number} */ bar) => `${((100 * bar) / end).toFixed(2)}%`;
    fill.style.width = "100%";
    now.style.width = share(at.oxygen_bar);
    least.style.left = share(at.least_bar);
    most.style.left = share(at.most_bar);
    setpoint.hidden = at.setpoint_bar === null;
    setpoint.style.left = share(at.setpoint_bar ?? 0);
    put(element, "data-breathed", at.is_breathed ? "yes" : null);
    say(pressure, `${number(at.oxygen_bar, 2)} bar`);
    const own = dive.moment.terms.filter(({ kind }) => kind === "loop").reduce((sum, term) => sum + term.lift, 0);
    say(pulls, isGuessing(bench) ? "" : `${lift(dive, own)} ${own > 0 ? "floats" : "sinks"}`);
  };
  return { element, update };
}
