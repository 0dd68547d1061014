// @ts-check
/** What goes out of the page and comes in: the printed sheet, the plan, the page itself, another plan. */

import { el } from "./dom.js";
import { copyButton, download, fileName, filePicker, textOf } from "./carry.js";
import { recall, remember } from "./draft.js";
import { lift, printSheet, printsSheet } from "./paper.js";
import { isWrong, problemList } from "./problems.js";
import { button, call, sheet } from "./sheet.js";

/**
 * @typedef {import("./sheet.js").Bench} Bench
 * @typedef {import("./sheet.js").Answer} Answer
 */

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "take", "Take away or open");
  const says = el("p", { class: "take-says", role: "status" });
  const parts = el("div", { class: "take-parts" });
  frame.body.append(says, parts);
  const tell = (/** @type {string} */ text) => {
    says.textContent = text;
  };

  printsSheet(root, () => (bench.dive ? (bench.ask("handout", wanted(bench)).ok?.html ?? null) : null));
  bench.on("dive", lift);

  return {
    open() {
      tell("");
      parts.replaceChildren(
        ...(bench.dive ? [printed(bench, tell), planOut(bench, tell), changes(bench), copyOfPage(bench, tell)] : []),
        another(bench, tell, frame.close),
        ...(bench.dive ? [onDevice(bench, tell)] : []),
      );
      frame.open();
    },
  };
}

/**
 * @param {string} title
 * @param {string} text
 * @param {...(Node | null)} children
 */
function part(title, text, ...children) {
  return el("section", { class: "take-part" }, el("h3", {}, title), el("p", {}, text), ...children);
}

/**
 * What is to be on the sheet, and on what it is printed.
 * @param {Bench} bench
 * @returns {{ date: string | null, paper: "a4" | "letter" }}
 */
function wanted(bench) {
  const usual = bench.dive.units?.system === "us" ? "letter" : "a4";
  return { date: (recall("date") ?? today()) || null, paper: recall("paper") ?? usual };
}

/**
 * The handout of the present state.
 * @param {Bench} bench
 * @param {(text: string) => void} tell
 */
function printed(bench, tell) {
  const date = el("input", { type: "date", id: "take-date", onchange: () => remember("date", date.value) });
  date.value = wanted(bench).date ?? "";
  const wrong = el("div");
  const paper = el(
    "select",
    { id: "take-paper", onchange: () => remember("paper", paper.value) },
    el("option", { value: "a4" }, "A4"),
    el("option", { value: "letter" }, "Letter"),
  );
  paper.value = wanted(bench).paper;
  const make = async (/** @type {(html: string) => void | Promise<unknown>} */ use) => {
    tell("Making the sheet…");
    wrong.replaceChildren();
    const answer = await bench.askSlow("handout", wanted(bench));
    if (isWrong(answer)) {
      tell("There is no sheet:");
      wrong.replaceChildren(problemList(answer, bench.state.name, null));
      return;
    }
    tell("");
    await use(answer.ok.html);
  };
  const file = () => fileName(bench).replace(/\.toml$/i, "-handout.html");
  return part(
    "The sheet for student and team",
    "One page with the lead, the dive, what to pack and the first check, as the plan is now.",
    el("div", { class: "take-row" }, el("label", { for: "take-date" }, "Date on it ", date), el("label", { for: "take-paper" }, "Paper ", paper)),
    el(
      "div",
      { class: "take-row" },
      button("Print it", () => make(printSheet), { class: "is-main" }),
      button("Save it", () => make((html) => saved(tell, file(), html, "text/html"))),
    ),
    wrong,
  );
}

/**
 * @param {(text: string) => void} tell
 * @param {string} name
 * @param {string} text
 * @param {string} type
 */
function saved(tell, name, text, type) {
  download(name, text, type);
  tell(`${name} was given to the browser, which puts it where downloads go.`);
}

/**
 * @param {Bench} bench
 * @param {(text: string) => void} tell
 */
function planOut(bench, tell) {
  const text = () => textOf(bench);
  return part(
    "The plan, with all changes in it",
    "A TOML file: for the program, and to open here again.",
    el(
      "div",
      { class: "take-row" },
      button("Save the plan", () => saved(tell, fileName(bench), text(), "application/toml")),
      copyButton("Copy its text", text),
      button("Read it", () => call("plan")),
    ),
  );
}

/** @param {Bench} bench */
function changes(bench) {
  const answer = bench.ask("words");
  const { words = [], line = "" } = answer.ok ?? {};
  if (words.length === 0) return part("The changes as words", "Nothing has been changed since this plan was opened.");
  return part(
    "The changes as words",
    "For the command line, beside the plan as it was opened.",
    el("pre", { tabindex: 0, "aria-label": "The changes as words", role: "region" }, line),
    copyButton("Copy the line", () => line),
  );
}

/**
 * @param {Bench} bench
 * @param {(text: string) => void} tell
 */
function copyOfPage(bench, tell) {
  const name = fileName(bench).replace(/\.toml$/i, "-bench.html");
  return part(
    "This page, as it is now",
    "One file that works without a network: for a student’s phone or a memory stick. It has the diver’s figures in it.",
    button("Save this page", async () => saved(tell, name, await bench.pageCopy(), "text/html")),
  );
}

/**
 * @param {Bench} bench
 * @param {(text: string) => void} tell
 * @param {() => void} close
 */
function another(bench, tell, close) {
  const picker = filePicker(bench, "Choose files", (opened, says) => {
    tell(says);
    if (opened) close();
  });
  return part(
    "Open another plan",
    "The .toml file; if it has .csv files beside it, choose them with it. A plan can also be dropped or pasted onto the page.",
    el("div", { class: "take-row" }, picker, button("Begin with questions", () => call("begin")), button("Write or paste one", () => call("plan"))),
  );
}

/**
 * Keeping asks first: body data would stay on the device.
 * @param {Bench} bench
 * @param {(text: string) => void} tell
 */
function onDevice(bench, tell) {
  const place = el("div", { class: "take-row" });
  const show = () => place.replaceChildren(...(bench.isKept ? [forget] : [ask]));
  const ask = button("Keep it on this device…", () => {
    place.replaceChildren(
      el("p", { class: "take-ask" }, "Kept here, the diver’s mass and all other figures stay in this browser after the page is closed, and whoever uses this device can read them. On a device of others, better not. Keep them?"),
      keep,
      no,
    );
    keep.focus();
  });
  const keep = button("Yes, keep them here", () => {
    const isKept = bench.keep();
    show();
    (isKept ? forget : ask).focus();
    tell(isKept ? "The plan is kept on this device." : "This browser does not let the page keep anything.");
  });
  const no = button("No", () => {
    show();
    ask.focus();
  });
  const forget = button("Forget it on this device", () => {
    bench.forget();
    show();
    ask.focus();
    tell("The plan is no longer kept on this device. It stays in this tab until that is closed.");
  });
  show();
  return part(
    "On this device",
    "The state outlives a reload, not a closed tab, unless you ask for it. Nothing ever leaves the device by itself.",
    place,
  );
}

/** Today, by the clock of the device. */
function today() {
  const now = new Date();
  const two = (/** @type {number} */ part) => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
