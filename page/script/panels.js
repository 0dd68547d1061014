// @ts-check
/** All panels: each opens by the event `bench:panel` with its name. */

import { mount as begin } from "./begin.js";
import { mount as checks } from "./checks.js";
import { mount as mishaps } from "./mishaps.js";
import { mount as plan } from "./plan.js";
import { mount as sure } from "./sure.js";
import { mount as take } from "./take.js";
import { mount as trim } from "./trim.js";

/**
 * @param {Element} root `#panels`
 * @param {any} bench
 */
export function mount(root, bench) {
  /** @type {Record<string, import("./sheet.js").Panel>} */
  const panels = {
    begin: begin(root, bench),
    checks: checks(root, bench),
    mishaps: mishaps(root, bench),
    plan: plan(root, bench),
    sure: sure(root, bench),
    take: take(root, bench),
    trim: trim(root, bench),
  };
  document.addEventListener("bench:panel", (event) => {
    const call = /** @type {CustomEvent<import("./sheet.js").Call>} */ (event).detail;
    panels[call.name]?.open(call);
  });
  document.addEventListener("bench:open-plan", (event) => {
    const { line, column } = /** @type {CustomEvent<{ line: number | null, column: number | null }>} */ (event).detail;
    panels.plan.open({ name: "plan", line, column });
  });
}
