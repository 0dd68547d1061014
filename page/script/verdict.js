// @ts-check
/** The living sentence, and under it what is wrong with the last attempt. */

import { el } from "./dom.js";
import { isFresh, isGuessing, makeMark, say } from "./side.js";

/** Rest before the sentence is spoken, ms: our own choice, longer than the pause between two presses of a key. */
const SPEAK_AFTER_MS = 800;

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const mark = makeMark();
  const sentence = el("p", { class: "verdict-text" });
  const spoken = el("p", { class: "hidden-text", role: "status", "aria-live": "polite" });
  const problems = el("div", { class: "problems", role: "alert" });
  root.classList.add("verdict");
  root.append(el("div", { class: "verdict-line" }, mark.element, sentence), spoken, problems);

  let timer = 0;
  const speakLater = () => {
    clearTimeout(timer);
    timer = setTimeout(() => (bench.isDragging ? speakLater() : say(spoken, inWords(bench))), SPEAK_AFTER_MS);
  };
  const redraw = () => {
    const shown = shownSentence(bench);
    mark.show(shown.mark, bench.dive !== null && !isGuessing(bench) && !isFresh(bench));
    say(sentence, shown.text);
    root.classList.toggle("is-old", !isFresh(bench));
    speakLater();
  };
  for (const name of ["dive", "whole", "drag", "guess"]) bench.on(name, redraw);
  bench.on("problems", () => {
    problems.replaceChildren(...problemNodes(bench));
    redraw();
  });
  problems.replaceChildren(...problemNodes(bench));
  redraw();
}

/**
 * The whole answer's sentence as soon as it is there; until then that of one run, which has no tick.
 * @param {import("./side.js").Bench} bench
 * @returns {{ mark: import("./side.js").Mark, text: string }}
 */
function shownSentence(bench) {
  if (bench.dive === null) return { mark: "none", text: bench.problems ? "No dive to show yet." : "No plan yet: begin with a few questions, or open one." };
  if (isGuessing(bench)) return { mark: "none", text: "Guess first: where is the diver heaviest, where lightest, and how much lead is right?" };
  if (isFresh(bench) && bench.whole) return bench.whole.sentence;
  const { mark, text } = bench.dive.sentence;
  return { mark: mark === "met" ? "none" : mark, text };
}

/** @param {import("./side.js").Bench} bench */
function inWords(bench) {
  const { mark, text } = shownSentence(bench);
  const word = { met: "Met: ", breach: "Not met: ", none: "" }[mark];
  return `${word}${text}`;
}

/**
 * @param {import("./side.js").Bench} bench
 * @returns {Node[]}
 */
function problemNodes(bench) {
  const wrong = bench.problems;
  if (!wrong) return [];
  const stays = bench.dive ? "Everything below still shows the last plan that could be worked out." : "Nothing can be shown before that is put right.";
  const list = wrong.problems ?? [];
  if (list.length === 0) return [el("p", { class: "problems-head" }, `${wrong.error ?? "There is no answer."} `, el("span", {}, stays))];
  const head = list.length === 1 ? "There is a problem with the plan." : `There are ${list.length} problems with the plan.`;
  const items = list.map((problem) => problemItem(bench, problem));
  return [el("p", { class: "problems-head" }, el("strong", {}, head), " ", stays), el("ul", {}, ...items)];
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Problem} problem
 */
function problemItem(bench, problem) {
  const { message, help, source, line, column } = problem;
  const isPlan = !source || source === bench.state.name;
  const where = line === null ? null : `${isPlan ? "Line" : `${source}, line`} ${line}${column === null ? "" : `, column ${column}`}: `;
  const open = () => document.dispatchEvent(new CustomEvent("bench:open-plan", { detail: { line, column, source } }));
  const button = line !== null && isPlan && el("button", { type: "button", onclick: open }, `Open the plan at line ${line}`);
  return el("li", {}, where && el("span", { class: "problems-where" }, where), el("span", {}, message), help && el("span", { class: "problems-help" }, ` ${help}`), button && " ", button);
}
