// @ts-check
/** A plan dropped or pasted onto the page. */

import { el } from "./dom.js";
import { openFiles, openPlan } from "./carry.js";

/** @typedef {import("./sheet.js").Bench} Bench */

/**
 * @param {Element} root
 * @param {Bench} bench
 */
export function mount(root, bench) {
  // popovers: they are seen over an open panel too
  const toast = el("p", { class: "panel-toast", role: "status", popover: "manual" });
  const words = el("p", {}, "Drop a plan here, with its CSV files");
  const veil = el("div", { class: "panel-veil", "aria-hidden": "true", popover: "manual" }, words);
  root.append(toast, veil);
  let timer = 0;
  const tell = (/** @type {string} */ text) => {
    toast.hidePopover();
    toast.showPopover();
    toast.textContent = text;
    clearTimeout(timer);
    timer = setTimeout(() => toast.hidePopover(), 8000);
  };
  const take = async (/** @type {FileList} */ files) => {
    const { opened, says } = await openFiles(bench, files);
    if (opened) closeAll(root);
    tell(says);
  };

  document.addEventListener("dragover", (event) => {
    if (!hasFiles(event.dataTransfer)) return;
    event.preventDefault();
    if (!veil.matches(":popover-open")) veil.showPopover();
  });
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) veil.hidePopover();
  });
  document.addEventListener("drop", (event) => {
    veil.hidePopover();
    if (!event.dataTransfer || !hasFiles(event.dataTransfer)) return;
    event.preventDefault();
    take(event.dataTransfer.files);
  });
  document.addEventListener("paste", (event) => {
    if (isTyping(event.target) || !event.clipboardData) return;
    if (event.clipboardData.files.length) {
      event.preventDefault();
      take(event.clipboardData.files);
      return;
    }
    const text = event.clipboardData.getData("text/plain");
    if (!looksLikePlan(text)) return;
    event.preventDefault();
    if (!openPlan(bench, { name: "pasted.toml", text })) return;
    closeAll(root);
    tell("The pasted plan is open. “Back” brings the plan before it.");
  });
}

/** @param {DataTransfer | null} transfer */
const hasFiles = (transfer) => transfer?.types.includes("Files") ?? false;

/** @param {EventTarget | null} target */
function isTyping(target) {
  return target instanceof HTMLElement && target.closest("input, textarea, select, [contenteditable]") !== null;
}

/**
 * A table's head or a key with its value; or more than one line, which the engine then judges.
 * @param {string} text
 */
export function looksLikePlan(text) {
  return /^\s*(\[\[?[\w.]+\]\]?|[\w.]+\s*=)/m.test(text) || text.trim().includes("\n");
}

/** @param {Element} root */
function closeAll(root) {
  for (const dialog of root.querySelectorAll("dialog")) dialog.close();
}
