// @ts-check
/** What may go wrong: a list of mishaps, each with its sentence; what one leaves is drawn in the picture where it is switched on. */

import { el } from "./dom.js";
import { MOST_DRAWN } from "./left.js";
import { say } from "./path.js";
import { answerLine, button, markOf, noPlan, sheet } from "./sheet.js";

const HINT = "Each at the worst moment of the dive, with nothing else wrong. Switch one on to see in the picture what it leaves when the wing, if it works, has done what it can.";
const WORDS = { breach: "not handled", met: "handled" };

/**
 * @typedef {{ name: string, label: string, text: string, mark: string, is_single: boolean, is_on: boolean }} Mishap
 */

/**
 * @param {Element} root
 * @param {any} bench
 */
export function mount(root, bench) {
  const frame = sheet(root, "mishaps", "What may go wrong", HINT);
  const answer = el("ul", { class: "answer-lines" });
  const spoken = el("div", { role: "status" }, answer);
  const list = el("div", { class: "mishap-list", role: "group", "aria-label": "Mishaps to draw" });
  const full = el("p", { class: "panel-quiet" }, `${MOST_DRAWN} are drawn, as many as can be told apart. Switch one off for another.`);
  const nothing = el("p", {}, "Nothing on this diver can fail, be flooded or be lost.");
  const pair = makePair(bench);
  const inside = el("div", {}, spoken, list, nothing, full, pair.element);
  const none = el("div", {});
  frame.body.append(inside, none);
  frame.body.tabIndex = 0;
  frame.dialog.addEventListener("close", () => bench.setSeesMishaps(false));
  /** @type {{ name: string, element: HTMLElement, draw: (mishap: Mishap, isFull: boolean) => void }[]} */
  let rows = [];
  let said = "";

  function draw() {
    const mishaps = bench.dive?.mishaps;
    if (!frame.dialog.open || !mishaps) return;
    const key = JSON.stringify(mishaps.lines);
    if (key !== said) {
      said = key;
      answer.replaceChildren(...mishaps.lines.map((/** @type {any} */ line) => answerLine(line, WORDS)));
    }
    /** @type {Mishap[]} */
    const all = mishaps.list;
    if (all.length !== rows.length || all.some(({ name }, i) => name !== rows[i].name)) {
      rows = all.map((mishap) => makeRow(bench, mishap));
      list.replaceChildren(...rows.map((row) => row.element));
    }
    const isFull = all.filter(({ is_on }) => is_on).length >= MOST_DRAWN;
    all.forEach((mishap, i) => rows[i].draw(mishap, isFull));
    full.hidden = !isFull;
    nothing.hidden = all.length > 0;
    pair.draw(all, isFull);
  }

  for (const happening of ["dive", "moment", "drag"]) bench.on(happening, draw);

  return {
    open() {
      frame.open();
      inside.hidden = !bench.dive;
      none.hidden = Boolean(bench.dive);
      none.replaceChildren(...(bench.dive ? [] : [noPlan()]));
      frame.foot.replaceChildren(button("See it in the picture", () => frame.close(), { class: "is-main" }));
      bench.setSeesMishaps(true);
      draw();
    },
  };
}

/**
 * Switches one on or off, and leaves the others.
 * @param {any} bench
 * @param {string} name
 * @param {boolean} isOn
 */
function turn(bench, name, isOn) {
  // what the engine calls them: "suit + wing" is its "wing + suit"
  const on = bench.dive.mishaps.list.filter((/** @type {Mishap} */ one) => one.is_on).map((/** @type {Mishap} */ one) => one.name);
  const others = on.filter((/** @type {string} */ other) => other !== name);
  bench.setMishaps(isOn ? [...others, name] : others);
}

/**
 * @param {any} bench
 * @param {Mishap} mishap
 */
function makeRow(bench, { name }) {
  const box = el("input", { type: "checkbox", onchange: () => turn(bench, name, box.checked) });
  const label = el("b");
  const mark = el("span", {});
  const text = el("span", { class: "mishap-text" });
  const element = el("label", { class: "tick mishap" }, box, el("span", {}, el("span", { class: "mishap-head" }, label, mark), text));
  let marked = "";
  const draw = (/** @type {Mishap} */ mishap, /** @type {boolean} */ isFull) => {
    box.checked = mishap.is_on;
    box.disabled = isFull && !mishap.is_on;
    say(label, sentence(mishap.label));
    say(text, `${sentence(mishap.text.slice(mishap.label.length + 2))}.`);
    if (marked === mishap.mark) return;
    marked = mishap.mark;
    mark.replaceChildren(...[markOf(mishap.mark, WORDS)].filter((node) => node !== null));
  };
  return { name, element, draw };
}

/**
 * Two things at once, of those that can go wrong alone.
 * @param {any} bench
 */
function makePair(bench) {
  const [first, second] = ["mishap-first", "mishap-second"].map((id) => el("select", { id }));
  const add = button("Draw both at once", () => turn(bench, `${first.value} + ${second.value}`, true));
  const field = (/** @type {string} */ word, /** @type {HTMLSelectElement} */ select) => el("label", { class: "mishap-pick", for: select.id }, word, " ", select);
  const element = el("fieldset", { class: "mishap-pair" }, el("legend", {}, "Two at once"), field("this", first), field("and this", second), add);
  let known = "";
  let isFull = false;
  const refresh = () => {
    add.disabled = isFull || first.value === second.value;
  };
  for (const select of [first, second]) select.addEventListener("change", refresh);
  const draw = (/** @type {Mishap[]} */ all, /** @type {boolean} */ isFullNow) => {
    isFull = isFullNow;
    const singles = all.filter(({ is_single }) => is_single);
    element.hidden = singles.length < 2;
    const key = JSON.stringify(singles.map(({ name, label }) => [name, label]));
    if (key !== known) {
      known = key;
      [first, second].forEach((select, i) => {
        select.replaceChildren(...singles.map(({ name, label }) => el("option", { value: name }, label)));
        select.selectedIndex = Math.min(i, singles.length - 1);
      });
    }
    refresh();
  };
  return { element, draw };
}

/** @param {string} text */
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
