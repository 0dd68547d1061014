// @ts-check
/** The living sentence, and under it what is wrong with the last attempt. */

import { el, set } from "./dom.js";
import { inOneLine, isFresh, isGuessing, makeMark, say } from "./side.js";

/** Rest before the sentence is spoken, ms: our own choice, longer than the pause between two presses of a key. */
const SPEAK_AFTER_MS = 800;

const NO_PLAN = "No plan yet: begin with a few questions, or open one.";
const NO_DIVE = "No dive to show yet.";
const GUESS = "Guess first: where is the diver heaviest, where lightest, and how much lead is right?";
const STAYS = "Everything below still shows the last plan that could be worked out.";
const NOTHING = "Nothing can be shown before that is put right.";

/**
 * @param {HTMLElement} root
 * @param {import("./side.js").Bench} bench
 */
export function mount(root, bench) {
  const mark = makeMark();
  const sentence = el("p", { class: "verdict-text" });
  const spoken = el("p", { class: "hidden-text", role: "status", "aria-live": "polite" });
  const problems = el("div", { class: "problems", role: "alert", "aria-label": "Problems with the plan" });
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
    // who guesses finds no answer in what was spoken last
    if (isGuessing(bench) && spoken.textContent !== GUESS) say(spoken, "");
    speakLater();
  };
  for (const name of ["dive", "whole", "drag", "guess"]) bench.on(name, redraw);
  bench.on("problems", () => {
    problems.replaceChildren(...problemNodes(bench));
    // it scrolls where there is little room
    set(problems, { tabindex: problems.hasChildNodes() ? 0 : null });
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
  if (bench.dive === null) return { mark: "none", text: bench.problems ? NO_DIVE : NO_PLAN };
  if (isGuessing(bench)) return { mark: "none", text: GUESS };
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
  const stays = bench.dive ? STAYS : NOTHING;
  const list = wrong.problems ?? [];
  if (list.length === 0) return [el("p", { class: "problems-head" }, `${wrong.error ?? "There is no answer."} ${stays}`)];
  const head = list.length === 1 ? "There is a problem." : `There are ${list.length} problems.`;
  const items = list.map((problem) => problemItem(bench, problem));
  return [el("p", { class: "problems-head" }, el("strong", {}, head), " ", stays), el("ul", {}, ...items)];
}

/**
 * @param {import("./side.js").Bench} bench
 * @param {import("./side.js").Problem} problem
 */
function problemItem(bench, problem) {
  const { source, line, column } = problem;
  const isPlan = !source || source === bench.state.name;
  const words = [isPlan ? `Line ${line}` : `${source}, line ${line}`, column !== null && `column ${column}`];
  const where = line === null ? null : `${words.filter(Boolean).join(", ")}: `;
  const open = () => document.dispatchEvent(new CustomEvent("bench:open-plan", { detail: { line, column, source } }));
  const button = line !== null && isPlan && el("button", { type: "button", onclick: open }, `Open the plan at line ${line}`);
  const place = where && el("span", { class: "problems-where" }, where);
  return el("li", {}, place, inOneLine(problem), button && " ", button);
}
