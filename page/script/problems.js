// @ts-check
/** What is wrong with a plan, in the terminal's words, each with the way to its place. */

import { el } from "./dom.js";

/**
 * @typedef {import("./sheet.js").Problem} Problem
 * @typedef {import("./sheet.js").Answer} Answer
 */

/**
 * @param {Answer} answer
 * @returns {boolean} whether the answer is one of what is wrong
 */
export const isWrong = (answer) => answer.ok === undefined || answer.ok === null;

/**
 * @param {number} count
 */
export const countOf = (count) => (count === 1 ? "1 problem" : `${count} problems`);

/**
 * @param {Problem} problem
 * @param {string} plan name of the plan; other sources are named
 */
export function placeOf(problem, plan) {
  const file = problem.source && problem.source !== plan ? `${problem.source}, ` : "";
  if (problem.line === null || problem.line === undefined) return file.replace(/, $/, "");
  return `${file}line ${problem.line}${problem.column ? `, column ${problem.column}` : ""}`;
}

/**
 * @param {Answer} answer
 * @param {string} plan name of the plan
 * @param {((problem: Problem) => void) | null} go puts the cursor to the place of a problem of the plan itself
 */
export function problemList(answer, plan, go) {
  if (answer.error) return el("p", { class: "wrong-error" }, answer.error);
  const list = answer.problems ?? [];
  return el("ul", { class: "wrong-list" }, ...list.map((problem) => entry(problem, plan, go)));
}

/**
 * @param {Problem} problem
 * @param {string} plan
 * @param {((problem: Problem) => void) | null} go
 */
function entry(problem, plan, go) {
  const place = placeOf(problem, plan);
  const isHere = problem.line && (!problem.source || problem.source === plan);
  const message = el("span", { class: "wrong-message" }, problem.message);
  const where = place && el("span", { class: "wrong-place" }, place);
  return el(
    "li",
    {},
    isHere && go ? el("button", { type: "button", class: "wrong-go", onclick: () => go(problem) }, where, message) : where,
    isHere && go ? null : message,
    problem.help ? el("span", { class: "wrong-help" }, problem.help) : null,
  );
}
