// @ts-check
/** The frame of every panel: a modal dialog with a heading, a body and a foot. */

import { el } from "./dom.js";

/**
 * What the panels use of the bench (`bench.js`).
 * @typedef {{ code: string, message: string, help: string | null, source: string, line: number | null,
 *   column: number | null, end_column?: number | null, key: string }} Problem
 * @typedef {{ ok?: any, problems?: Problem[], error?: string }} Answer
 * @typedef {object} Bench
 * @property {{ name: string, text: string, sets: [string, string][], units: string | null }} state
 * @property {any} dive
 * @property {any} whole
 * @property {boolean} isStale
 * @property {Answer | null} problems
 * @property {boolean} canBack
 * @property {boolean} [isKept]
 * @property {(plan: { name: string, text: string }) => boolean} open
 * @property {() => void} back
 * @property {(op: string, extra?: object) => Answer} ask
 * @property {(op: string, extra?: object) => Promise<Answer>} askSlow
 * @property {(event: any, act: () => void) => void} on
 * @property {() => string | Promise<string>} pageCopy
 * @property {() => boolean} keep
 * @property {() => void} forget
 *
 * @typedef {{ name: string, line?: number | null, column?: number | null, part?: string }} Call what the event `bench:panel` says
 * @typedef {{ dialog: HTMLDialogElement, body: HTMLElement, foot: HTMLElement, open: () => void, close: () => void }} Sheet
 * @typedef {{ open: (call: Call) => void }} Panel
 */

/**
 * @param {Element} root
 * @param {string} name
 * @param {string} title
 * @param {string} [hint] a sentence under the heading
 * @returns {Sheet}
 */
export function sheet(root, name, title, hint) {
  const heading = el("h2", { id: `panel-${name}-title`, tabindex: -1 }, title);
  const body = el("div", { class: "panel-body" }, hint ? el("p", { class: "panel-hint" }, hint) : null);
  const foot = el("div", { class: "panel-foot" });
  const dialog = el(
    "dialog",
    { id: `panel-${name}`, class: `panel panel-${name}`, "aria-labelledby": heading.id },
    el("div", { class: "panel-head" }, heading, button("Close", () => dialog.close(), { class: "panel-close" })),
    body,
    foot,
  );
  root.append(dialog);
  const open = () => {
    if (dialog.open) return;
    for (const other of /** @type {NodeListOf<HTMLDialogElement>} */ (root.querySelectorAll("dialog[open]"))) other.close();
    dialog.showModal();
    heading.focus({ preventScroll: true });
    body.scrollTop = 0;
  };
  return { dialog, body, foot, open, close: () => dialog.close() };
}

/**
 * @param {string} text
 * @param {(event: any) => void} act
 * @param {import("./dom.js").Attributes} [attributes]
 */
export function button(text, act, attributes = {}) {
  return el("button", { type: "button", onclick: act, ...attributes }, text);
}

/**
 * Opens another panel.
 * @param {string} name
 * @param {{ line?: number, part?: string }} [more]
 */
export function call(name, more = {}) {
  document.dispatchEvent(new CustomEvent("bench:panel", { detail: { name, ...more } }));
}

/**
 * A mark of the engine in a sign and in words.
 * @param {string} mark `met`, `breach` or `none`
 * @param {{ breach: string, met: string }} [words]
 */
export function markOf(mark, words = OF_PLAN) {
  if (mark === "breach") return el("span", { class: "stamp stamp-breach" }, el("b", { "aria-hidden": "true" }, "!"), ` ${words.breach}`);
  if (mark === "met") return el("span", { class: "stamp stamp-met" }, el("b", { "aria-hidden": "true" }, "✓"), ` ${words.met}`);
  return null;
}

const OF_PLAN = { breach: "not met", met: "met" };
/** What a mark says of a check made in the water. */
const OF_CHECK = { breach: "contradicts", met: "fits" };

/**
 * What the checks did; what contradicts is told first.
 * @param {{ mark?: string }[]} lines
 */
export function checkLines(lines) {
  const sorted = [...lines].sort((a, b) => Number(b.mark === "breach") - Number(a.mark === "breach"));
  return el("ul", { class: "answer-lines" }, ...sorted.map((line) => answerLine(line, OF_CHECK)));
}

/**
 * A line of the answer: label, value, text, mark. A label in small letters belongs to the line before it.
 * @param {{ label?: string, value?: string, text?: string, mark?: string }} line
 * @param {{ breach: string, met: string }} [words]
 */
export function answerLine(line, words) {
  const isUnder = /^\p{Ll}/u.test(line.label ?? "");
  return el(
    "li",
    { class: `answer-line is-${line.mark ?? "none"}${isUnder ? " is-under" : ""}` },
    el("span", { class: "answer-label" }, line.label ?? "", markOf(line.mark ?? "none", words)),
    el("span", { class: "answer-text" }, line.value ? el("b", {}, line.value) : null, line.value && line.text ? " " : null, line.text ?? null),
  );
}

/** What a panel says before there is a plan. */
export function noPlan() {
  return el(
    "div",
    { class: "panel-empty" },
    el("p", {}, "There is no dive yet."),
    button("Answer a few questions", () => call("begin"), { class: "is-main" }),
    button("Write or paste a plan", () => call("plan")),
  );
}
