// @ts-check
/** The answers to the questions of an empty page: as typed, and as the engine takes them (`begin` in `page/README.md`). */

import { checkOf } from "./checkform.js";
import { UNITS, quantity } from "./fields.js";

/**
 * @typedef {"metric" | "us"} System
 * @typedef {{ name: string, size: string, count: string, gas: string, fill: string }} CylinderAnswer
 * @typedef {{ depth: string, time: string }} StopAnswer
 * @typedef {{ mass: string, in_water: string, read_in: string, volume: string, absorbent: string }} UnitAnswer a closed circuit
 * @typedef {Record<string, any> & { units: System, cylinders: CylinderAnswer[], unit: UnitAnswer | null, stops: StopAnswer[],
 *   stopsAre: string, gear: string[], check: any }} Typed
 */

/** What the plan of ten lines has without asking. @returns {Typed} */
export function emptyAnswers() {
  return {
    units: "metric",
    title: "",
    cylinders: [cylinder("back", "metric")],
    unit: null,
    gear: [],
    water: "sea",
    stopsAre: "usual",
    stops: [],
    check: null,
  };
}

/**
 * @param {string} name
 * @param {System} units
 * @returns {CylinderAnswer}
 */
export function cylinder(name, units) {
  return { name, size: "", count: "1", gas: "air", fill: units === "us" ? "3000" : "200" };
}

/** Cylinders that feed a loop, oxygen and diluent; the others are breathed if it fails. */
export const FED_BY = 2;

/**
 * Breathes a loop, or a cylinder again: what was typed for the other one is kept.
 * @param {Typed} typed
 * @param {boolean} isLoop
 */
export function breathe(typed, isLoop) {
  if (isLoop === Boolean(typed.unit)) return;
  const now = { cylinders: typed.cylinders, unit: typed.unit };
  const before = typed.otherwise ?? {
    cylinders: isLoop
      ? [{ ...cylinder("oxygen", typed.units), gas: "oxygen" }, cylinder("diluent", typed.units), cylinder("stage 1", typed.units)]
      : [cylinder("back", typed.units)],
    unit: isLoop ? { mass: "", in_water: "", read_in: "pool", volume: "", absorbent: "" } : null,
  };
  Object.assign(typed, before, { otherwise: now });
}

/** What is written in which unit. */
const UNIT_OF = /** @type {Record<string, "mass" | "depth" | "height" | "volume" | "temperature">} */ ({
  mass: "mass",
  height: "height",
  gas_volume: "volume",
  temperature: "temperature",
  depth: "depth",
  lead: "mass",
});

/** The same of a loop's unit. */
const UNIT_OF_LOOP = /** @type {Record<string, "mass" | "volume">} */ ({ mass: "mass", in_water: "mass", volume: "volume", absorbent: "mass" });

/**
 * What was typed of the unit, each with the symbol that stands beside it.
 * @param {UnitAnswer | null | undefined} loop
 * @param {Record<string, string>} symbols
 * @returns {UnitAnswer | null}
 */
function unitIn(loop, symbols) {
  if (!loop) return null;
  const texts = Object.entries(UNIT_OF_LOOP).map(([key, of]) => [key, quantity(loop[/** @type {keyof UnitAnswer} */ (key)], symbols[of])]);
  return { ...loop, ...Object.fromEntries(texts) };
}

/**
 * @param {Typed} typed
 * @returns {Record<string, any>}
 */
export function answersOf(typed) {
  const unit = UNITS[typed.units];
  const texts = Object.fromEntries(Object.entries(UNIT_OF).map(([key, of]) => [key, quantity(typed[key], unit[of])]));
  const suit = typed.suit ?? "";
  return {
    ...texts,
    units: typed.units,
    title: (typed.title ?? "").trim(),
    sex: typed.sex ?? "",
    age: (typed.age ?? "").trim(),
    suit,
    gas_volume: suit.startsWith("dry") ? texts.gas_volume : "",
    gear: typed.gear,
    cylinders: typed.cylinders.map((c) => ({ ...c, gas: c.gas.trim(), fill: quantity(c.fill, unit.pressure) })),
    unit: unitIn(typed.unit, unit),
    water: typed.water === "density" ? quantity(typed.density, "kg/m3") : typed.water,
    time: quantity(typed.time, "min"),
    ...stopsOf(typed, unit.depth),
    check: typed.check ? Object.entries(checkOf(typed.check, typed.units, gaugesOf(typed))) : [],
  };
}

/**
 * @param {Typed} typed
 * @param {string} depth
 */
function stopsOf(typed, depth) {
  if (typed.stopsAre === "usual") return {};
  if (typed.stopsAre === "none") return { stops: [] };
  const written = typed.stops.filter((stop) => stop.depth || stop.time);
  return { stops: written.map((stop) => `${quantity(stop.depth, depth)} ${quantity(stop.time, "min")}`) };
}

/** @param {Typed} typed */
export function gaugesOf(typed) {
  return typed.cylinders.map(({ name }, index) => ({ name, isUsual: index < (typed.unit ? FED_BY : 1) }));
}

/**
 * Other units: what was typed keeps the unit in which it was typed, what nobody touched changes with them.
 * @param {Typed} typed
 * @param {System} units
 */
export function inUnits(typed, units) {
  const unit = UNITS[typed.units];
  for (const [key, of] of Object.entries(UNIT_OF)) {
    if (typed[key]) typed[key] = quantity(typed[key], unit[of]);
  }
  const usual = cylinder("", typed.units).fill;
  const other = typed.otherwise ?? { cylinders: [], unit: null };
  for (const c of [...typed.cylinders, ...other.cylinders]) c.fill = c.fill === usual ? cylinder("", units).fill : quantity(c.fill, unit.pressure);
  typed.unit = unitIn(typed.unit, unit);
  other.unit = unitIn(other.unit, unit);
  for (const stop of typed.stops) stop.depth = quantity(stop.depth, unit.depth);
  checkInUnits(typed, units, unit);
  typed.units = units;
}

/**
 * @param {Typed} typed
 * @param {System} units the new ones
 * @param {{ mass: string, depth: string, volume: string, pressure: string }} unit
 */
function checkInUnits(typed, units, unit) {
  const { check } = typed;
  if (!check) return;
  const isUntouched = check.depth === (typed.units === "us" ? "10" : "3");
  if (isUntouched) check.depth = units === "us" ? "10" : "3";
  const keys = { amount: unit.mass, level_lead: unit.mass, lead: unit.mass, doubt: unit.mass, ...(isUntouched ? {} : { depth: unit.depth }), wing: unit.volume };
  for (const [key, symbol] of Object.entries(keys)) if (check[key]) check[key] = quantity(check[key], symbol);
  for (const name of Object.keys(check.gauges ?? {})) check.gauges[name] = quantity(check.gauges[name], unit.pressure);
}

const FIELD_OF = [
  [/^diver\.(mass|sex|height|age)$/, "$1"],
  [/^diver/, "mass"],
  [/^suit\.gas_volume$/, "gas_volume"],
  [/^suit/, "suit"],
  [/^cylinder\[(\d+)\]\.(size|count|gas|fill)$/, "cylinder $1 $2"],
  [/^cylinder\[(\d+)\]/, "cylinder $1 size"],
  [/^cylinder/, "cylinder 1 size"],
  [/^part\[1\]\.(mass|in_water|read_in)$/, "unit $1"],
  [/^part\[1\]/, "unit mass"],
  [/^loop\.(volume|absorbent)$/, "unit $1"],
  [/^loop/, "unit mass"],
  [/^site\.temperature$/, "temperature"],
  [/^site\.density$/, "density"],
  [/^site/, "water"],
  [/^dive\.time$/, "time"],
  [/^dive\.stops/, "stops"],
  [/^dive/, "depth"],
  [/^ballast/, "lead"],
  [/^(title|units)$/, "$1"],
  [/^weight_check\[\d+\]\.(outcome|depth|lead|water|breath|wing|doubt|note|hung)$/, "check $1"],
  [/^weight_check\[\d+\]\.needed$/, "check level_lead"],
  [/^weight_check\[\d+\]\."?([^"]+)"?$/, "check gauge $1"],
  [/^weight_check/, "check outcome"],
];

/**
 * The question that a problem's key belongs to.
 * @param {string} key
 * @returns {string | null}
 */
export function questionOf(key) {
  for (const [pattern, name] of FIELD_OF) {
    const found = /** @type {RegExp} */ (pattern).exec(key ?? "");
    if (found) return String(name).replace(/\$(\d)/g, (_, group) => found[Number(group)]);
  }
  return null;
}

/**
 * What must be answered and is not: names of questions, in the order of the page.
 * @param {Typed} typed
 * @returns {[string, string][]} name of the question, and what to do
 */
export function unanswered(typed) {
  /** @type {[string, string][]} */
  const list = [];
  const want = (/** @type {unknown} */ value, /** @type {string} */ name, /** @type {string} */ text) => {
    if (!value || !String(value).trim()) list.push([name, text]);
  };
  want(typed.mass, "mass", "Write the diver’s mass.");
  want(typed.suit, "suit", "Choose the suit; “swimwear” is none.");
  if (typed.unit) {
    want(typed.unit.mass, "unit mass", "Write what the unit weighs.");
    want(typed.unit.in_water, "unit in_water", "Write what the scale showed under water, with a minus if it sinks.");
  }
  typed.cylinders.forEach((c, index) => {
    want(c.size, `cylinder ${index + 1} size`, "Choose a size.");
    want(c.gas, `cylinder ${index + 1} gas`, "Write the gas.");
    want(c.fill, `cylinder ${index + 1} fill`, "Write the pressure of the fill.");
  });
  want(typed.depth, "depth", "Write the deepest depth.");
  want(typed.time, "time", "Write the time.");
  return list;
}
