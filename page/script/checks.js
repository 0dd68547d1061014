// @ts-check
/** Pool checks, written down at the pool's edge; every answer is corrected by them. */

import { el } from "./dom.js";
import { textOf } from "./carry.js";
import { recall, remember } from "./draft.js";
import { checkForm, checkOf, emptyCheck } from "./checkform.js";
import { isWrong, problemList } from "./problems.js";
import { button, call, checkLines, noPlan, sheet } from "./sheet.js";

/**
 * @typedef {import("./sheet.js").Bench} Bench
 * @typedef {import("./sheet.js").Answer} Answer
 */

const DRAFT = "check";
const HINT = "Every check corrects the answer: it is worth more than any typical figure.";

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "checks", "A check in the water", HINT);
  const told = el("div", { class: "checks-told", role: "status" });
  const count = el("p", { class: "checks-count" });
  const place = el("div");
  const wrong = el("div", { class: "checks-wrong", role: "alert" });
  frame.body.append(told, count, place, wrong);
  let model = emptyCheck("metric");
  let form = /** @type {ReturnType<typeof checkForm> | null} */ (null);
  let isWaiting = false;
  /** What was typed for the check that was added last: it comes back with "take it back". */
  let taken = /** @type {object | null} */ (null);

  function build() {
    model = recall(DRAFT) ?? emptyCheck(system());
    const options = { typed: () => remember(DRAFT, model), leadHint: leadOf(bench), hasLead: () => bench.dive.lead?.plan > 0 };
    form = checkForm(model, system(), gauges(), options);
    place.replaceChildren(form.root);
    wrong.replaceChildren();
  }

  const system = () => (bench.dive?.units?.system === "us" ? "us" : "metric");
  const gauges = () =>
    (bench.dive?.cylinders ?? []).map((/** @type {any} */ c) => ({ name: c.name, isUsual: !c.is_removable }));

  function tellCount() {
    const text = textOf(bench);
    const line = text.split("\n").findIndex((/** @type {string} */ row) => /^\s*\[\[\s*weight_check\s*\]\]/.test(row)) + 1;
    const found = checksIn(text);
    count.replaceChildren(
      found === 0 ? "The plan has no check yet." : `The plan has ${found === 1 ? "1 check" : `${found} checks`} in it. `,
      found ? button(found === 1 ? "See it in the text" : "See them in the text", () => call("plan", { line }), { class: "is-link" }) : "",
    );
  }

  function add() {
    if (!form) return;
    form.calm();
    wrong.replaceChildren();
    const missing = form.missing();
    for (const [field, text] of missing) field.complain(text);
    if (missing.length) return missing[0][0].focus();
    const given = { name: bench.state.name, text: textOf(bench), sets: [] };
    const added = bench.ask("add_check", { ...given, check: checkOf(model, system(), gauges()) });
    if (isWrong(added)) return complain(added);
    const text = added.ok.text;
    const read = bench.ask("dive", { ...given, text });
    if (isWrong(read)) return complain(read);
    if (!bench.open({ name: bench.state.name, text })) return complain(bench.problems ?? { error: "It could not be added." });
    taken = model;
    remember(DRAFT, null);
    isWaiting = true;
    show();
    told.querySelector("button")?.focus({ preventScroll: true });
  }

  /** The form, or what the last check did. */
  function show() {
    tellCount();
    tell();
    frame.body.scrollTop = 0;
    if (isWaiting) {
      place.replaceChildren(button("Write down another check", again));
      frame.foot.replaceChildren(
        button("See what it says now", frame.close, { class: "is-main" }),
        button("Print or save it", () => call("take")),
      );
      return;
    }
    build();
    frame.foot.replaceChildren(button("Add this check to the plan", add, { class: "is-main" }));
  }

  function again() {
    isWaiting = false;
    show();
    form?.fields.outcome.focus();
  }

  /** @param {Answer} answer */
  function complain(answer) {
    const left = (answer.problems ?? []).filter((problem) => {
      const field = form?.fields[fieldOf(problem.key)];
      field?.complain([problem.message, problem.help].filter(Boolean).join("; "));
      return !field;
    });
    if (answer.error || left.length) wrong.replaceChildren(problemList({ ...answer, problems: left }, bench.state.name, null));
    const first = frame.body.querySelector(".is-wrong input, .is-wrong select");
    if (first instanceof HTMLElement) first.focus();
  }

  /** What the checks did; what contradicts is told first. */
  function tell() {
    const lines = bench.whole?.checked;
    const isWorking = bench.isStale || (isWaiting && !lines);
    if (!isWaiting && !lines) return told.replaceChildren();
    told.replaceChildren(
      el("h3", {}, isWaiting ? "The check is in the plan" : "What the checks did"),
      isWorking ? el("p", { class: "working" }, "working…") : "",
      lines?.length ? el("div", { class: isWorking ? "is-stale" : null }, checkLines(lines)) : "",
      isWaiting ? el("p", { class: "told-next" }, back()) : "",
    );
  }

  const back = () =>
    button("Take this check back", () => {
      bench.back();
      remember(DRAFT, taken);
      again();
    });

  bench.on("whole", () => frame.dialog.open && tell());
  bench.on("dive", () => frame.dialog.open && tell());

  return {
    open() {
      isWaiting = false;
      if (bench.dive) {
        show();
      } else {
        place.replaceChildren(noPlan());
        for (const part of [count, told, frame.foot]) part.replaceChildren();
      }
      frame.open();
    },
  };
}

/** @param {string} text a plan */
export const checksIn = (text) => (text.match(/^\s*\[\[\s*weight_check\s*\]\]/gm) ?? []).length;

/**
 * The field of a problem: `weight_check[2].lead` is `lead`, that of a cylinder its gauge.
 * @param {string} key
 */
export function fieldOf(key) {
  const name = /^weight_check\[\d+\]\.(.+)$/.exec(key ?? "")?.[1] ?? "";
  const known = ["outcome", "depth", "lead", "water", "breath", "wing", "doubt", "note", "hung"];
  if (name === "needed") return "level_lead";
  return known.includes(name) ? name : `gauge ${name.replace(/^"|"$/g, "")}`;
}

/** @param {Bench} bench */
function leadOf(bench) {
  const { lead, units } = bench.dive;
  if (typeof lead?.plan !== "number") return "as in the plan";
  return `plan: ${lead.plan.toFixed(units.mass.decimals)}`;
}
