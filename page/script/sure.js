// @ts-check
/** How sure the answer is, and what would make it surer. */

import { el, number, svg } from "./dom.js";
import { answerLine, button, call, checkLines, noPlan, sheet } from "./sheet.js";

/** @typedef {import("./sheet.js").Bench} Bench */

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "sure", "How sure is that?", "Most figures are estimates. All of them were drawn many times within their doubt, and the dive with them.");
  const status = el("p", { class: "working", role: "status" });
  const inside = el("div", { class: "sure-inside" });
  frame.body.append(status, inside);
  // there may be nothing in it that takes the focus, and it scrolls
  frame.body.tabIndex = 0;

  function draw() {
    if (!frame.dialog.open) return;
    const whole = bench.whole;
    const isWorking = bench.isStale || !whole;
    status.textContent = isWorking ? (bench.problems?.error ?? "working…") : "";
    inside.classList.toggle("is-stale", bench.isStale);
    if (whole) inside.replaceChildren(...parts(bench, whole));
    else inside.replaceChildren();
  }

  bench.on("whole", draw);
  bench.on("dive", draw);

  return {
    open() {
      frame.open();
      frame.foot.replaceChildren();
      if (!bench.dive) {
        inside.replaceChildren(noPlan());
        return;
      }
      frame.foot.append(
        button("Pool check", () => call("checks")),
        button("Each figure’s origin", () => call("plan", { part: "figures" })),
      );
      draw();
    },
  };
}

/**
 * @param {Bench} bench
 * @param {any} whole
 */
function parts(bench, whole) {
  return [
    section("What to carry", lines(whole.advice), whole.pieces ? el("p", { class: "sure-pieces" }, `In pieces, ${bench.dive.units.mass.symbol}: ${whole.pieces}`) : null),
    whole.lead ? section("Least lead, 95 in 100 trials", interval(bench, whole.lead)) : null,
    whole.checked?.length ? section("What checks in the water did", checkLines(whole.checked)) : null,
    whole.next?.length ? section("What to weigh next", named(whole.next, "ol")) : null,
    whole.alternatives?.length ? section("Single changes, each simulated", named(whole.alternatives, "ul")) : null,
    section("All that was found", lines(whole.lines)),
  ].filter((part) => part !== null);
}

/**
 * @param {string} title
 * @param {...(Node | null)} children
 */
function section(title, ...children) {
  return el("section", { class: "sure-part" }, el("h3", {}, title), ...children);
}

/** @param {any[] | null | undefined} list */
const lines = (list) => el("ul", { class: "answer-lines" }, ...(list ?? []).map((line) => answerLine(line)));

/**
 * @param {{ name: string, text: string }[]} list
 * @param {"ol" | "ul"} tag
 */
function named(list, tag) {
  return el(tag, { class: "sure-named" }, ...list.map(({ name, text }) => el("li", {}, el("b", {}, name), el("span", {}, text))));
}

/**
 * The interval in words, and as a bar with the plan's lead on it.
 * @param {Bench} bench
 * @param {{ low: number, high: number }} lead
 */
function interval(bench, lead) {
  const { symbol, decimals } = bench.dive.units.mass;
  const show = (/** @type {number} */ value) => `${number(value, decimals)} ${symbol}`;
  const plan = bench.dive.lead?.plan;
  const hasPlan = typeof plan === "number";
  const top = Math.max(lead.high, hasPlan ? plan : 0) * 1.15 || 1;
  const bottom = Math.min(0, lead.low);
  const at = (/** @type {number} */ value) => (100 * (value - bottom)) / (top - bottom);
  const words = `${show(lead.low)} to ${show(lead.high)}`;
  return el(
    "div",
    {},
    el("p", { class: "sure-interval" }, el("b", {}, words), hasPlan ? `; the plan carries ${show(plan)}` : ""),
    svg(
      "svg",
      { class: "sure-bar", viewBox: "0 0 100 8", preserveAspectRatio: "none", "aria-hidden": "true" },
      svg("rect", { class: "sure-axis", x: 0, y: 5.5, width: 100, height: 1 }),
      svg("rect", { class: "sure-range", x: at(lead.low), y: 3, width: Math.max(at(lead.high) - at(lead.low), 0.5), height: 4 }),
      hasPlan ? svg("rect", { class: "sure-plan", x: at(plan) - 0.4, y: 0, width: 0.8, height: 8 }) : null,
    ),
    el("p", { class: "panel-quiet" }, `From ${show(bottom)} to ${show(top)}. Broad bar: 95 in 100 trials.`, hasPlan ? " Upright: the plan’s lead." : ""),
  );
}
