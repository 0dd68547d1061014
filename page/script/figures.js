// @ts-check
/** Where each figure of a plan comes from. */

import { el } from "./dom.js";
import { isWrong } from "./problems.js";

/**
 * @param {import("./sheet.js").Bench} bench
 * @param {() => object} question the plan to ask about
 */
export function figures(bench, question) {
  const inside = el("div", { class: "figures-inside" });
  const root = el(
    "details",
    {
      class: "figures",
      ontoggle: () => {
        refresh();
        if (root.open) root.scrollIntoView({ block: "start" });
      },
    },
    el("summary", {}, "Where each figure comes from"),
    inside,
  );

  function refresh() {
    if (!root.open) return;
    const answer = bench.ask("check", question());
    if (isWrong(answer)) {
      inside.replaceChildren(el("p", {}, "When the plan has no problems, every figure is listed here."));
      return;
    }
    const { summary, notes = [], figures: rows = [] } = answer.ok;
    const typical = rows.filter((/** @type {any} */ row) => row.is_typical).length;
    inside.replaceChildren(
      el("p", {}, summary ?? "", typical ? ` ${typical} of ${rows.length} figures are typical: nobody measured them.` : ""),
      notes.length ? el("ul", { class: "figures-notes" }, ...notes.map((/** @type {string} */ note) => el("li", {}, note))) : "",
      table(rows),
    );
  }
  return { root, refresh };
}

/** @param {any[]} rows */
function table(rows) {
  const head = ["Figure", "Value", "From"].map((text) => el("th", { scope: "col" }, text));
  return el("table", { class: "figures-table" }, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows.map(row)));
}

/** @param {any} figure */
function row(figure) {
  return el(
    "tr",
    { class: figure.is_typical ? "is-typical" : null },
    el("th", { scope: "row" }, figure.label, figure.note ? el("small", {}, figure.note) : null),
    el("td", {}, figure.value, figure.doubt ? el("small", {}, figure.doubt) : null),
    el("td", {}, figure.is_typical ? el("span", { class: "typical" }, "typical") : figure.origin),
  );
}
