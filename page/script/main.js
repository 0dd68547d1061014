// @ts-check
/** The page: one state, one engine here and one in a worker, and the views. */

import * as beam from "./beam.js";
import { Bench } from "./bench.js";
import * as controls from "./controls.js";
import * as cylinders from "./cylinders.js";
import * as drop from "./drop.js";
import { engine, serve, slowly, unpack } from "./engine.js";
import { Keeper } from "./keep.js";
import * as panels from "./panels.js";
import * as picture from "./picture.js";
import * as rail from "./rail.js";
import * as tools from "./tools.js";
import * as verdict from "./verdict.js";

/** @type {[string, { mount: (root: HTMLElement, bench: any) => void }][]} */
const VIEWS = [
  ["verdict", verdict],
  ["picture", picture],
  ["beam", beam],
  ["rail", rail],
  ["cylinders", cylinders],
  ["controls", controls],
  ["tools", tools],
  ["panels", panels],
  ["panels", drop],
];

/** @param {string} id */
function byId(id) {
  return /** @type {HTMLElement} */ (document.getElementById(id));
}

/** @param {string} words */
function sorry(words) {
  const place = byId("verdict");
  place.textContent = words;
}

async function start() {
  // before anything is built: what is handed on is the page as it was sent
  const source = `<!DOCTYPE html>\n${document.documentElement.outerHTML}`;
  const script = document.currentScript?.textContent ?? byId("script").textContent ?? "";
  const { state: sent, frozen = [], isBlank = false } = JSON.parse(byId("plan").textContent ?? "{}");
  const module = await WebAssembly.compile(await unpack(byId("engine").textContent ?? ""));
  const here = engine(module);
  const keeper = new Keeper(source, sent.text);
  const kept = keeper.read();
  const bench = new Bench({ moment_s: null, failure_s: null, mishaps: [], seesBand: false, sets: [], units: null, ...sent, ...kept?.state }, here, slowly(module, script, here));
  Object.assign(bench, {
    keepState: () => keeper.write(bench),
    keep: () => keeper.keep(bench),
    forget: () => keeper.forget(),
    pageCopy: () => keeper.pageCopy(bench),
  });
  Object.defineProperty(bench, "isKept", { get: () => keeper.isKept });
  bench.on("dive", () => {
    const { title, name } = bench.dive;
    document.title = title ?? name;
    byId("bench-title").textContent = title ?? name;
  });
  bench.refreeze(kept?.frozen ?? frozen);
  for (const [id, view] of VIEWS) view.mount(byId(id), bench);
  bench.start();
  if (isBlank && !bench.state.text) document.dispatchEvent(new CustomEvent("bench:panel", { detail: { name: "begin" } }));
  byId("bench").dataset.ready = "";
  // for tests, and for who looks at it in the browser's own tools
  Object.assign(globalThis, { bench });
}

if (typeof document === "undefined") serve();
else start().catch((error) => sorry(`This page does not work in this browser: ${error.message ?? error}`));
