// @ts-check
/** The plan's text, read by the engine while one types, and where each figure comes from. */

import { el } from "./dom.js";
import { PLAN, PLAN_BEFORE, afterRest, draftOf, recall, remember } from "./draft.js";
import { editor } from "./editor.js";
import { countOf, isWrong, problemList } from "./problems.js";
import { button, markOf, sheet } from "./sheet.js";
import { fileName, textOf } from "./carry.js";
import { figures } from "./figures.js";

/**
 * @typedef {import("./sheet.js").Bench} Bench
 * @typedef {import("./sheet.js").Call} Call
 * @typedef {import("./sheet.js").Answer} Answer
 */

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "plan", "The plan’s text");
  const says = el("div", { class: "plan-says", role: "status" });
  const wrong = el("div", { class: "plan-problems" });
  const note = el("div", { class: "plan-note" });
  const text = editor("The plan’s text, TOML", () => {
    keepDraft();
    use.disabled = true;
    reading.soon();
  });
  const reading = afterRest(300, read);
  const use = button("Use this plan", apply, { class: "is-main" });
  const list = figures(bench, question);
  let name = "";
  let current = "";

  frame.body.append(
    note,
    el("div", { class: "plan-columns" }, text.root, el("div", { class: "plan-beside" }, says, wrong)),
    list.root,
  );
  frame.foot.append(
    use,
    el("p", { class: "panel-quiet" }, "Closing keeps what is written."),
  );

  /** What the engine is asked with. */
  function question() {
    return { name, text: text.area.value, sets: [] };
  }

  function keepDraft() {
    remember(PLAN, text.area.value === current ? null : { name, text: text.area.value, base: current });
    tellDraft();
  }

  function read() {
    reading.stop();
    if (text.area.value.trim() === "") return show({ problems: [] }, "Nothing is written yet. A plan of ten lines is enough: “Answer a few questions” writes one.");
    show(bench.ask("dive", question()));
  }

  /**
   * @param {Answer} answer
   * @param {string} [plain] what to say instead
   */
  function show(answer, plain) {
    const problems = answer.problems ?? [];
    use.disabled = isWrong(answer);
    text.mark(problems.filter((p) => p.line && (!p.source || p.source === name)).map((p) => p.line ?? 0));
    says.replaceChildren(el("p", { class: "plan-verdict" }, ...(plain ? [plain] : verdict(answer))));
    wrong.replaceChildren(
      isWrong(answer) ? problemList(answer, name, (p) => text.go(p.line ?? 1, p.column, p.end_column)) : "",
    );
    list.refresh();
  }

  function apply() {
    if (bench.open({ name, text: text.area.value })) {
      remember(PLAN, null);
      frame.close();
    } else {
      show(bench.problems ?? { error: "This plan has no dive." });
    }
  }

  function tellDraft() {
    const differs = text.area.value !== current;
    const before = recall(PLAN_BEFORE);
    note.replaceChildren(
      ...(differs
        ? [el("span", {}, "This text is not in the picture yet. "), button("Show the plan of the picture", () => swap(null))]
        : before
          ? [button("Bring back what was written here before", () => swap(before))]
          : []),
    );
  }

  /** @param {{ name: string, text: string } | null} other the text to show; that of the picture if none */
  function swap(other) {
    const mine = { name, text: text.area.value };
    remember(PLAN_BEFORE, mine.text === current ? null : mine);
    fill(other ?? { name: fileName(bench), text: current });
    keepDraft();
    read();
  }

  /** @param {{ name: string, text: string }} plan */
  function fill(plan) {
    name = plan.name;
    text.write(plan.text);
  }

  return {
    /** @param {Call} call */
    open(call) {
      current = textOf(bench);
      fill(draftOf(current) ?? { name: fileName(bench), text: current });
      tellDraft();
      frame.open();
      read();
      if (call.line) text.go(call.line, call.column);
      if (call.part === "figures") list.root.open = true;
    },
  };
}

/**
 * @param {Answer} answer
 * @returns {(Node | string)[]}
 */
function verdict(answer) {
  if (answer.error) return ["The plan can be read, but there is no answer:"];
  if (isWrong(answer)) return [el("b", {}, countOf(answer.problems?.length ?? 0)), ". What is shown on the page stays as it is."];
  const sentence = answer.ok.sentence ?? {};
  const mark = markOf(sentence.mark);
  return mark ? [mark, " ", sentence.text ?? ""] : [sentence.text ?? "The plan has a dive."];
}
