// @ts-check
/** The questions of an empty page; the plan is written as they are answered. */

import { el } from "./dom.js";
import { answersOf, emptyAnswers, gaugesOf, inUnits, questionOf, unanswered } from "./answers.js";
import { filePicker, textOf } from "./carry.js";
import { checkForm, emptyCheck } from "./checkform.js";
import { afterRest, layDraft, recall, remember } from "./draft.js";
import { radioField, textField, tick } from "./fields.js";
import { countOf, isWrong, problemList } from "./problems.js";
import { cylinders, dive, diver, lead, section, suit, water } from "./questions.js";
import { button, call, sheet } from "./sheet.js";

/**
 * @typedef {import("./sheet.js").Bench} Bench
 * @typedef {import("./sheet.js").Answer} Answer
 * @typedef {import("./questions.js").Form} Form
 */

const DRAFT = "answers";
const HINT = "Answer what you know. Typical figures, with their doubt, stand for the rest; what you weigh later takes their place.";

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "begin", "Another plan", HINT);
  const place = el("div", { class: "begin-form" });
  const says = el("p", { class: "begin-says", role: "status" });
  const wrong = el("div", { class: "begin-wrong" });
  const text = el("pre", { class: "begin-text", tabindex: 0, "aria-label": "The plan as it grows", role: "region" });
  const side = el("details", { class: "begin-plan" }, el("summary", {}, "The plan as it grows"), text);
  const writing = afterRest(300, write);
  let form = /** @type {Form} */ ({ typed: emptyAnswers(), fields: {}, choices: null, told: () => {}, rebuild: () => {} });
  let check = /** @type {ReturnType<typeof checkForm> | null} */ (null);
  let plan = "";
  let isPressed = false;

  const picked = el("span", { role: "status" });
  const picker = filePicker(bench, "Open a plan", (opened, words) => {
    picked.textContent = words;
    if (opened) frame.close();
  });
  const others = el("div", { class: "take-row begin-others" }, picker, button("Write or paste", () => call("plan")), picked);
  frame.body.append(others, el("div", { class: "begin-columns" }, place, side));
  frame.foot.append(
    wrong,
    says,
    button("To the bench", finish, { class: "is-main" }),
  );

  function told() {
    remember(DRAFT, form.typed);
    writing.soon();
  }

  /** @param {string} [focus] name of the field to go on in */
  function rebuild(focus) {
    const scroll = frame.body.scrollTop;
    form.fields = {};
    place.replaceChildren(units(), diver(form), suit(form), cylinders(form), water(form), dive(form), lead(form), checkPart(), lastPart());
    frame.body.scrollTop = scroll;
    if (focus) form.fields[focus]?.focus();
    told();
  }

  function units() {
    const kinds = [
      { value: "metric", label: "kg, m, bar" },
      { value: "us", label: "lb, ft, psi" },
    ];
    const pick = radioField({
      label: "Units",
      isShort: true,
      value: form.typed.units,
      options: kinds,
      typed: (value) => {
        inUnits(form.typed, value === "us" ? "us" : "metric");
        rebuild("units");
      },
    });
    form.fields.units = pick;
    return el("section", { class: "begin-part" }, pick.root);
  }

  function lastPart() {
    const title = textField({
      label: "What is it called?",
      value: form.typed.title,
      hint: "Saturday, the wreck",
      typed: (value) => {
        form.typed.title = value;
        told();
      },
    });
    form.fields.title = title;
    return section(
      "The plan",
      title.root,
      el("div", { class: "take-row" }, button("Go on in the plan’s text", toText), button("Start over", startOver, { class: "is-link" })),
    );
  }

  function checkPart() {
    const { typed } = form;
    const has = tick({
      label: "I have made one with this rig",
      value: typed.check !== null,
      typed: (isOn) => {
        typed.check = isOn ? (recall("answers-check") ?? emptyCheck(typed.units)) : (remember("answers-check", typed.check), null);
        rebuild(isOn ? "check outcome" : undefined);
      },
    });
    const options = { typed: told, leadHint: "as above", hasLead: () => Boolean(form.typed.lead) };
    check = typed.check && checkForm(typed.check, typed.units, gaugesOf(typed), options);
    for (const [name, field] of Object.entries(check?.fields ?? {})) form.fields[`check ${name}`] = field;
    return section(
      "A check in the water",
      el("p", { class: "ask-help" }, "What was seen in the water corrects every answer: worth more than any typical figure. It can be written down later."),
      has.root,
      check?.root ?? null,
    );
  }

  /** Writes the plan; what is wrong shows beside its field once somebody wants to go on. */
  function write() {
    writing.stop();
    const begun = bench.ask("begin", { name: fileOf(form.typed), text: "", sets: [], answers: answersOf(form.typed) });
    plan = begun.ok?.text ?? plan;
    text.textContent = plan;
    const missing = [...unanswered(form.typed)];
    const read = isWrong(begun) ? begun : bench.ask("dive", { name: fileOf(form.typed), text: plan, sets: [] });
    show(missing, read);
    return missing.length === 0 && (check?.missing().length ?? 0) === 0 && !isWrong(read);
  }

  /**
   * @param {[string, string][]} missing
   * @param {Answer} read
   */
  function show(missing, read) {
    for (const field of Object.values(form.fields)) field.complain(null);
    check?.calm();
    const isMissing = new Set(missing.map(([name]) => name));
    // of a plan that is not yet whole only what is wrong with an answer counts
    const isAnswered = (/** @type {string | null} */ name) => (name && form.fields[name]?.read() ? !isMissing.has(name) : false);
    const lines = (read.problems ?? []).filter(({ key }) => missing.length === 0 || isAnswered(questionOf(key)));
    const left = lines.filter((problem) => {
      const field = form.fields[questionOf(problem.key) ?? ""];
      // a wrong entry is told at once, an unanswered question when one wants to go on
      field?.complain([problem.message, problem.help].filter(Boolean).join("; "));
      return !field;
    });
    if (isPressed) {
      for (const [name, words] of missing) form.fields[name]?.complain(words);
      for (const [field, words] of check?.missing() ?? []) field.complain(words);
    }
    const isTold = missing.length === 0 && (left.length > 0 || read.error);
    wrong.replaceChildren(isTold ? problemList({ ...read, problems: left }, fileOf(form.typed), null) : "");
    says.replaceChildren(...summary(missing.length, lines.length, read));
  }

  function finish() {
    isPressed = true;
    const isReady = write();
    if (isReady && bench.open({ name: fileOf(form.typed), text: plan })) {
      remember(DRAFT, null);
      remember("answers-check", null);
      frame.close();
      return;
    }
    if (isReady) wrong.replaceChildren(problemList(bench.problems ?? { error: "This plan has no dive." }, fileOf(form.typed), null));
    const first = place.querySelector(".ask.is-wrong");
    first?.scrollIntoView({ block: "center" });
    const input = first?.querySelector("input, select");
    if (input instanceof HTMLElement) input.focus({ preventScroll: true });
  }

  function toText() {
    write();
    layDraft({ name: fileOf(form.typed), text: plan }, textOf(bench));
    call("plan");
  }

  function startOver() {
    const before = form.typed;
    isPressed = false;
    form.typed = emptyAnswers();
    rebuild("units");
    says.replaceChildren(
      button("Bring my answers back", () => {
        form.typed = before;
        rebuild("units");
      }),
    );
    writing.stop();
  }

  return {
    open() {
      const choices = bench.ask("choices", { text: "", sets: [] }).ok ?? {};
      const offered = { suits: [], gases: ["air"], waters: ["sea", "fresh"], gear: [], ...choices, sizes: namesOf(choices.sizes) };
      form = { typed: recall(DRAFT) ?? emptyAnswers(), fields: {}, choices: offered, told, rebuild };
      isPressed = false;
      side.open = globalThis.matchMedia?.("(min-width: 62rem)").matches ?? false;
      picked.textContent = "";
      frame.open();
      rebuild();
      write();
    },
  };
}

/**
 * Names of sizes, which may come with more than their name.
 * @param {(string | { name: string })[] | undefined} sizes
 */
function namesOf(sizes) {
  return (sizes ?? []).map((size) => (typeof size === "string" ? size : size.name));
}

/**
 * Name of the plan's file, by its title.
 * @param {Form["typed"]} typed
 */
function fileOf(typed) {
  const words = (typed.title ?? "").toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
  return `${words.slice(0, 6).join("-") || "my-dive"}.toml`;
}

/**
 * @param {number} missing
 * @param {number} wrong
 * @param {Answer} read
 * @returns {(Node | string)[]}
 */
function summary(missing, wrong, read) {
  if (missing + wrong > 0) {
    const parts = [missing && `${missing} still to answer`, wrong && countOf(wrong)].filter(Boolean);
    return [parts.join(", ")];
  }
  return [isWrong(read) ? "There is no answer yet." : "Nothing is missing."];
}
