// @ts-check
/** A text with its line numbers beside it. */

import { el } from "./dom.js";

/**
 * @param {string} label
 * @param {() => void} typed
 */
export function editor(label, typed) {
  const gutter = el("div", { class: "editor-gutter", "aria-hidden": "true" });
  const area = el("textarea", {
    class: "editor-text",
    "aria-label": label,
    spellcheck: "false",
    autocapitalize: "off",
    autocomplete: "off",
    autocorrect: "off",
    wrap: "off",
    oninput: () => {
      number();
      typed();
    },
    onscroll: () => {
      gutter.scrollTop = area.scrollTop;
    },
  });
  let marked = /** @type {Set<number>} */ (new Set());

  function number() {
    const count = area.value.split("\n").length;
    while (gutter.childElementCount > count) gutter.lastElementChild?.remove();
    for (let line = gutter.childElementCount + 1; line <= count; line += 1) gutter.append(el("div", {}, String(line)));
    paint();
  }

  function paint() {
    for (const [index, row] of [...gutter.children].entries()) row.classList.toggle("is-wrong", marked.has(index + 1));
    gutter.scrollTop = area.scrollTop;
  }

  return {
    root: el("div", { class: "editor" }, gutter, area),
    area,
    /** @param {string} text */
    write(text) {
      area.value = text;
      area.scrollTop = 0;
      number();
    },
    /** @param {Iterable<number>} lines lines with something wrong */
    mark(lines) {
      marked = new Set(lines);
      paint();
    },
    /**
     * Puts the cursor to a place and shows it.
     * @param {number} line from 1
     * @param {number | null} [column] from 1, in characters
     * @param {number | null} [end] where it ends
     */
    go(line, column, end) {
      const lines = area.value.split("\n");
      const at = Math.min(Math.max(line, 1), lines.length);
      const before = lines.slice(0, at - 1).reduce((sum, text) => sum + text.length + 1, 0);
      const text = lines[at - 1];
      const from = before + unitsTo(text, column ?? 1);
      const to = column ? before + unitsTo(text, end ?? column) : before + text.length;
      area.focus();
      area.setSelectionRange(from, Math.max(from, to));
      const height = area.scrollHeight / Math.max(lines.length, 1);
      area.scrollTop = Math.max(0, (at - 1) * height - area.clientHeight / 3);
    },
  };
}

/**
 * Length in the browser's units of what stands before a column that counts characters.
 * @param {string} text
 * @param {number} column
 */
function unitsTo(text, column) {
  return [...text].slice(0, column - 1).join("").length;
}
