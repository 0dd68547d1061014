// @ts-check
/** Texts in and out of the page: downloads, the clipboard, files, print. */

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

let sheetOfPaper = /** @type {HTMLIFrameElement | null} */ (null);

/**
 * Prints a page of its own, out of sight. The policy of this page, which lets no other style or script in, holds there too.
 * @param {string} html
 */
export function printPage(html) {
  sheetOfPaper?.remove();
  const frame = el("iframe", { title: "The handout, for the printer", tabindex: -1, "aria-hidden": "true" });
  Object.assign(frame.style, { position: "fixed", left: "-100vw", width: "60rem", height: "60rem", border: "0" });
  sheetOfPaper = frame;
  const naked = undressed(html);
  return new Promise((done) => {
    frame.addEventListener("load", async () => {
      const inside = frame.contentWindow;
      if (!inside) return done(false);
      dress(inside, naked.styles);
      await inside.document.fonts?.ready;
      inside.focus();
      inside.print();
      done(true);
    });
    frame.srcdoc = naked.html;
    // beside the bench, which is not shown on paper
    document.body.append(frame);
  });
}

/**
 * The page without what the policy would keep out: its style comes back by script, and paper has no use for its script.
 * @param {string} html
 */
function undressed(html) {
  const styles = /** @type {string[]} */ ([]);
  // before it is parsed: even a page that nobody sees is held to the policy
  const bare = html.replace(/<style[^>]*>([^]*?)<\/style>/gi, (_, style) => (styles.push(style), ""));
  const page = new DOMParser().parseFromString(bare, "text/html");
  for (const element of page.querySelectorAll("script, meta[http-equiv]")) element.remove();
  for (const element of page.querySelectorAll("[style]")) {
    element.setAttribute("data-style", element.getAttribute("style") ?? "");
    element.removeAttribute("style");
  }
  return { html: `<!DOCTYPE html>\n${page.documentElement.outerHTML}`, styles };
}

/**
 * @param {any} inside the window of the page
 * @param {string[]} styles
 */
function dress(inside, styles) {
  const page = /** @type {Document} */ (inside.document);
  page.adoptedStyleSheets = styles.map((style) => {
    const made = new inside.CSSStyleSheet();
    made.replaceSync(style);
    return made;
  });
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (page.querySelectorAll("[data-style]"))) {
    element.style.cssText = element.dataset.style ?? "";
  }
}
