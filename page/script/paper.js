// @ts-check
/**
 * The sheet on paper. It is laid into this page, seen by the printer alone: a page of its own in a frame is not printed by
 * every phone. The page's policy lets no other style in, so the sheet's own comes by script.
 */

import { el } from "./dom.js";

/** Time in which the browser asks for what it was told to print, ms: our own choice. */
const ASKED_MS = 5000;
/** While a sheet is laid, nothing else is on paper. */
const ALONE = "body > :not(.bench-paper) { display: none !important; }";

let laid = /** @type {{ place: HTMLElement, styles: CSSStyleSheet[] } | null} */ (null);
let isAsked = false;

/**
 * Prints a sheet.
 * @param {string} html
 */
export function printSheet(html) {
  const title = lay(html);
  const before = document.title;
  // the name that a browser gives to what is printed into a file
  document.title = title || before;
  isAsked = true;
  setTimeout(() => (isAsked = false), ASKED_MS);
  window.print();
  document.title = before;
}

/**
 * What the browser's own command prints: the sheet, where the bench is the whole page; else the page around it.
 * @param {Element} root
 * @param {() => string | null} make the sheet of now
 */
export function printsSheet(root, make) {
  const isWhole = root.closest(".bench")?.parentElement === document.body;
  addEventListener("beforeprint", () => {
    if (isAsked) return;
    const html = isWhole ? make() : null;
    if (html) lay(html);
    else lift();
  });
}

/** Takes the sheet away. */
export function lift() {
  if (!laid) return;
  const { place, styles } = laid;
  place.remove();
  document.adoptedStyleSheets = document.adoptedStyleSheets.filter((sheet) => !styles.includes(sheet));
  laid = null;
}

/**
 * @param {string} html
 * @returns {string} its title
 */
function lay(html) {
  lift();
  const texts = /** @type {string[]} */ ([ALONE]);
  // before it is parsed: even a page that nobody sees is held to the policy
  const bare = html.replace(/<style[^>]*>([^]*?)<\/style>/gi, (_, style) => (texts.push(style), ""));
  const page = new DOMParser().parseFromString(bare, "text/html");
  for (const element of page.querySelectorAll("script, meta, link")) element.remove();
  const styled = /** @type {NodeListOf<HTMLElement>} */ (page.querySelectorAll("[style]"));
  const own = [...styled].map((element) => /** @type {const} */ ([element, element.getAttribute("style") ?? ""]));
  for (const [element] of own) element.removeAttribute("style");
  const place = el("div", { class: "bench-paper", "aria-hidden": "true" }, ...page.body.childNodes);
  for (const [element, text] of own) element.style.cssText = text;
  const styles = texts.map((text) => {
    const sheet = new CSSStyleSheet({ media: "print" });
    sheet.replaceSync(text);
    return sheet;
  });
  document.body.append(place);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, ...styles];
  laid = { place, styles };
  return page.title;
}
