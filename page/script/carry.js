// @ts-check
/** Texts in and out of the page: downloads, the clipboard, files. */

import { el } from "./dom.js";
import { layDraft } from "./draft.js";
import { isWrong } from "./problems.js";
import { button, call } from "./sheet.js";

/** @typedef {import("./sheet.js").Bench} Bench */

/**
 * The plan's name as that of a file.
 * @param {Bench} bench
 */
export function fileName(bench) {
  const name = bench.state.name || "my-dive.toml";
  return /\.toml$/i.test(name) ? name : `${name}.toml`;
}

/**
 * The plan's text with all changes in it.
 * @param {Bench} bench
 * @returns {string}
 */
export function textOf(bench) {
  return bench.state.text ? (bench.ask("text").ok?.text ?? bench.state.text) : "";
}

/**
 * @param {string} name
 * @param {string} text
 * @param {string} type
 */
export function download(name, text, type) {
  const url = URL.createObjectURL(new Blob([text], { type: `${type};charset=utf-8` }));
  const link = el("a", { href: url, download: name, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/**
 * A button that copies a text, and shows it to be copied by hand where the browser does not let it.
 * @param {string} label
 * @param {() => string} text
 */
export function copyButton(label, text) {
  const root = el("div", { class: "copy" });
  const says = el("span", { class: "copy-says", role: "status" });
  const copy = button(label, async () => {
    try {
      await navigator.clipboard.writeText(text());
      says.textContent = "Copied.";
      root.querySelector("textarea")?.remove();
    } catch {
      says.textContent = "The browser does not let the page copy. The text below is selected: copy it by hand.";
      const area = root.querySelector("textarea") ?? el("textarea", { readonly: true, rows: 6, "aria-label": "Text to copy" });
      area.value = text();
      root.append(area);
      area.focus();
      area.select();
    }
  });
  root.append(copy, says);
  return root;
}

/**
 * Opens a plan. What has problems is laid into the editor, where they show; the picture stays as it was.
 * @param {Bench} bench
 * @param {{ name: string, text: string }} plan
 * @returns {boolean} whether it has a dive
 */
export function openPlan(bench, plan) {
  if (bench.open(plan)) return true;
  layDraft(plan, textOf(bench));
  call("plan");
  return false;
}

/**
 * Opens a plan from files: the TOML, and the CSV files beside it, which are written in.
 * @param {Bench} bench
 * @param {Iterable<File>} files
 * @returns {Promise<{ opened: string | null, says: string }>}
 */
export async function openFiles(bench, files) {
  const list = [...files];
  const plans = list.filter((file) => /\.toml$/i.test(file.name));
  const beside = list.filter((file) => !/\.toml$/i.test(file.name));
  const plan = plans[0] ?? (list.length === 1 && !/\.csv$/i.test(list[0].name) ? list[0] : null);
  if (!plan) return { opened: null, says: "There is no plan among these files: choose the .toml file together with its .csv files." };
  if (plans.length > 1) return { opened: null, says: "These are several plans: choose one .toml file, and the .csv files beside it." };
  const text = await plan.text();
  const others = await Promise.all(beside.filter((file) => file !== plan).map(async (file) => [file.name, await file.text()]));
  const given = { name: plan.name, text };
  const written = bench.ask("write_in", { ...given, sets: [], files: Object.fromEntries(others) });
  const ready = isWrong(written) ? given : { name: plan.name, text: written.ok.text };
  if (openPlan(bench, ready)) return { opened: plan.name, says: `${plan.name} is open. “Back” brings the plan before it.` };
  return { opened: null, says: `${plan.name} has problems.` };
}

/**
 * What chooses files to open a plan from.
 * @param {Bench} bench
 * @param {string} label
 * @param {(opened: string | null, says: string) => void} done
 */
export function filePicker(bench, label, done) {
  const input = el("input", {
    type: "file",
    multiple: true,
    accept: ".toml,.csv,text/csv,text/plain,application/toml",
    onchange: async () => {
      const { opened, says } = await openFiles(bench, input.files ?? []);
      input.value = "";
      done(opened, says);
    },
  });
  return el("label", { class: "file-picker" }, el("span", {}, label), input);
}
