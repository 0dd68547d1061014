// @ts-check
/** The form of one check made in the water: what was seen, with how much lead and gas. */

import { el } from "./dom.js";
import { UNITS, quantity, radioField, selectField, textField, tick } from "./fields.js";

/**
 * @typedef {import("./fields.js").Field} Field
 * @typedef {{ name: string, isUsual: boolean }} Gauge a cylinder, and whether it is usually on the diver at a check
 * @typedef {Record<string, any>} CheckModel what is in the form, as typed
 */

const OUTCOMES = [
  { value: "neutral", label: "Hovered", help: "neither up nor down, breathing as usual" },
  { value: "eye level", label: "Hung still at the surface", help: "the water at eye level" },
  { value: "could stay", label: "Stayed down, or sank", help: "how heavy is not known" },
  { value: "could not stay", label: "Could not stay down, floated up", help: "how light is not known" },
  { value: "needed", label: "Needed more or less lead to hover", help: "and it is known how much" },
  { value: "reading", label: "A scale held the whole diver", help: "and showed so much" },
];

/** Where lead goes so that a diver hangs level: words of a plan. */
const LEVEL_AT = ["ankles", "tail", "belt", "chest", "shoulders"];

/**
 * An empty form.
 * @param {"metric" | "us"} system
 */
export function emptyCheck(system) {
  return { outcome: "", depth: system === "us" ? "10" : "3", lead: "", water: "pool", sign: "", gauges: {}, absent: {} };
}

/**
 * The form's answers as keys of a `[[weight_check]]`.
 * @param {CheckModel} model
 * @param {"metric" | "us"} system
 * @param {Gauge[]} gauges
 * @returns {Record<string, string>}
 */
export function checkOf(model, system, gauges) {
  const unit = UNITS[system];
  /** @type {Record<string, string>} */
  const check = {
    outcome: outcomeOf(model, unit.mass),
    depth: model.outcome === "eye level" ? `0 ${unit.depth}` : quantity(model.depth, unit.depth),
    lead: quantity(model.lead, unit.mass),
    water: model.water === "density" ? quantity(model.density, "kg/m3") : model.water,
    breath: model.breath ?? "",
    wing: quantity(model.wing, unit.volume),
    doubt: quantity(model.doubt, unit.mass),
    hung: hungOf(model),
    needed: model.level_lead ? `${quantity(model.level_lead, unit.mass)} at the ${model.level_at || LEVEL_AT[0]}` : "",
    note: (model.note ?? "").trim(),
  };
  for (const gauge of gauges) {
    if (!isAbsent(model, gauge)) check[gauge.name] = quantity(model.gauges?.[gauge.name], unit.pressure);
  }
  return Object.fromEntries(Object.entries(check).filter(([, text]) => text));
}

/**
 * @param {CheckModel} model
 * @param {string} mass
 */
function outcomeOf(model, mass) {
  if (model.outcome !== "needed" && model.outcome !== "reading") return model.outcome;
  const amount = quantity(model.amount, mass);
  const isMinus = model.sign === "less" || model.sign === "sinks";
  return `${model.outcome} ${isMinus && !/^[-−]/.test(amount) ? "-" : ""}${amount}`;
}

/** @param {CheckModel} model */
function hungOf({ hung, tilt }) {
  if (hung !== "head down" && hung !== "head up") return hung ?? "";
  return `${hung} ${(tilt ?? "").replace(/\s*°\s*$/, "").trim()}°`;
}

/**
 * @param {CheckModel} model
 * @param {Gauge} gauge
 */
export const isAbsent = (model, gauge) => model.absent?.[gauge.name] ?? !gauge.isUsual;

/**
 * @param {CheckModel} model is written to as one types
 * @param {"metric" | "us"} system
 * @param {Gauge[]} gauges
 * @param {{ typed: () => void, leadHint: string, hasLead: () => boolean }} options hasLead: whether the plan has lead
 */
export function checkForm(model, system, gauges, options) {
  const unit = UNITS[system];
  const fields = /** @type {Record<string, Field>} */ ({});
  const keep = (/** @type {string} */ key) => (/** @type {string} */ text) => {
    model[key] = text;
    refresh();
    options.typed();
  };
  /**
   * @param {string} key
   * @param {string} label
   * @param {object} more
   */
  const text = (key, label, more = {}) => (fields[key] = textField({ label, value: model[key], typed: keep(key), ...more }));
  const pick = { value: model.outcome, typed: keep("outcome"), options: OUTCOMES };

  fields.outcome = radioField({ label: "What was seen?", ...pick });
  const needed = ["more", "less"].map((word) => ({ value: word, label: `${word} lead` }));
  const read = [
    { value: "sinks", label: "hung on it: sinks" },
    { value: "floats", label: "had to be held down: floats" },
  ];
  text("amount", "How much?", { unit: unit.mass });
  const more = radioField({ label: "More or less?", value: model.sign, typed: keep("sign"), isShort: true, options: needed });
  const scale = radioField({ label: "Which way?", value: model.sign, typed: keep("sign"), options: read });
  text("lead", "Lead carried", { unit: unit.mass, hint: options.leadHint });
  text("depth", "Depth", { unit: unit.depth });
  fields.water = waterField(model, keep("water"));
  text("density", "Density", { unit: "kg/m3" });
  const rows = gauges.map((gauge) => gaugeRow(model, gauge, unit.pressure, fields, options.typed));
  const trim = trimOf(text, fields, model, keep, unit);
  const rest = restOf(text, fields, model, keep, unit);

  function refresh() {
    const { outcome, water } = model;
    fields.amount.root.hidden = outcome !== "needed" && outcome !== "reading";
    more.root.hidden = outcome !== "needed";
    scale.root.hidden = outcome !== "reading";
    fields.depth.root.hidden = outcome === "eye level";
    fields.density.root.hidden = water !== "density";
    fields.tilt.root.hidden = !(model.hung ?? "").startsWith("head");
    fields.level_at.root.hidden = !model.level_lead;
  }
  refresh();

  const root = el(
    "div",
    { class: "checkform" },
    fields.outcome.root,
    el("div", { class: "checkform-how" }, fields.amount.root, more.root, scale.root),
    el("div", { class: "ask-row" }, fields.lead.root, fields.depth.root, fields.water.root, fields.density.root),
    rows.length ? el("div", { class: "check-gauges" }, ...rows) : null,
    trim,
    rest,
  );
  return {
    root,
    fields,
    /** What the form itself sees missing: [field, what to do]. */
    missing() {
      const list = missingOf(model, gauges, fields, model.outcome === "needed" ? more : scale);
      if (!model.lead && !options.hasLead()) list.push([fields.lead, "Write the lead that was carried, 0 if there was none."]);
      return list;
    },
    calm: () => [...Object.values(fields), more, scale].forEach((field) => field.complain(null)),
  };
}

/**
 * @param {CheckModel} model
 * @param {(text: string) => void} typed
 */
function waterField(model, typed) {
  const options = [
    { value: "pool", label: "pool, warm and fresh" },
    { value: "fresh", label: "fresh" },
    { value: "sea", label: "sea" },
    { value: "as planned", label: "that of the plan" },
    { value: "density", label: "its density is known" },
  ];
  return selectField({ label: "Water", isWide: true, value: model.water, typed, options });
}

/**
 * @param {CheckModel} model
 * @param {Gauge} gauge
 * @param {string} unit
 * @param {Record<string, Field>} fields
 * @param {() => void} typed
 */
function gaugeRow(model, gauge, unit, fields, typed) {
  const field = textField({
    label: `Gauge of ${gauge.name}`,
    unit,
    value: model.gauges?.[gauge.name],
    typed: (text) => {
      model.gauges = { ...model.gauges, [gauge.name]: text };
      typed();
    },
  });
  fields[`gauge ${gauge.name}`] = field;
  const show = () => field.root.classList.toggle("is-absent", isAbsent(model, gauge));
  const present = tick({
    label: `${gauge.name} was on the diver`,
    value: !isAbsent(model, gauge),
    typed: (isOn) => {
      model.absent = { ...model.absent, [gauge.name]: !isOn };
      show();
      typed();
    },
  });
  show();
  return el("div", { class: "check-gauge" }, present.root, field.root);
}

/**
 * How the diver hung, which moves places and says nothing of the lead.
 * @param {(key: string, label: string, more?: object) => Field} text
 * @param {Record<string, Field>} fields
 * @param {CheckModel} model
 * @param {(key: string) => (text: string) => void} keep
 * @param {{ mass: string }} unit
 */
function trimOf(text, fields, model, keep, unit) {
  const ways = [
    { value: "", label: "not looked" },
    { value: "level", label: "level" },
    { value: "head down", label: "head down" },
    { value: "head up", label: "head up" },
  ];
  const places = LEVEL_AT.map((value) => ({ value, label: value }));
  fields.hung = selectField({ label: "Hung, still", value: model.hung ?? "", typed: keep("hung"), options: ways });
  text("tilt", "By how much", { unit: "°", hint: "20 ± 10" });
  text("level_lead", "Lead that made it level", { unit: unit.mass, isSigned: true, help: "Minus: it had to go from there." });
  fields.level_at = selectField({ label: "Where", value: model.level_at ?? LEVEL_AT[0], typed: keep("level_at"), options: places });
  return el(
    "details",
    { class: "more", open: Boolean(model.hung || model.level_lead) },
    el("summary", {}, "How the diver hung"),
    el("p", { class: "ask-help" }, "Still, neutral, arms and legs as in the plan: it tells where things are."),
    el("div", { class: "ask-row" }, fields.hung.root, fields.tilt.root, fields.level_lead.root, fields.level_at.root),
  );
}

/**
 * What is seldom asked for.
 * @param {(key: string, label: string, more?: object) => Field} text
 * @param {Record<string, Field>} fields
 * @param {CheckModel} model
 * @param {(key: string) => (text: string) => void} keep
 * @param {{ mass: string, volume: string }} unit
 */
function restOf(text, fields, model, keep, unit) {
  const breaths = [
    { value: "", label: "not noticed" },
    { value: "normal", label: "after breathing in as usual" },
    { value: "full", label: "full" },
    { value: "out", label: "after breathing out all the way" },
  ];
  fields.breath = selectField({ label: "The lungs", isWide: true, value: model.breath ?? "", typed: keep("breath"), options: breaths });
  text("wing", "Gas in the wing", { unit: unit.volume, hint: "empty" });
  text("doubt", "How sure, ±", { unit: unit.mass, isWide: true, help: "± 0.7 kg (1.5 lb) unless you write it: half a breath, and gas trapped here and there." });
  text("note", "Remark", { isWide: true });
  const isOpen = [model.breath, model.wing, model.doubt, model.note].some(Boolean);
  return el(
    "details",
    { class: "more", open: isOpen },
    el("summary", {}, "Lungs, wing, how sure, a remark"),
    el("div", { class: "ask-row" }, fields.breath.root, fields.wing.root, fields.doubt.root, fields.note.root),
  );
}

/**
 * @param {CheckModel} model
 * @param {Gauge[]} gauges
 * @param {Record<string, Field>} fields
 * @param {Field} sign
 * @returns {[Field, string][]}
 */
function missingOf(model, gauges, fields, sign) {
  /** @type {[Field, string][]} */
  const list = [];
  // how the diver hung is worth a check of its own
  if (!model.outcome && !model.hung && !model.level_lead) list.push([fields.outcome, "Choose what was seen."]);
  if (!fields.tilt.root.hidden && !model.tilt) list.push([fields.tilt, "Write by how many degrees."]);
  if (!fields.amount.root.hidden) {
    if (!model.amount) list.push([fields.amount, "Write how much."]);
    const words = model.outcome === "needed" ? ["more", "less"] : ["sinks", "floats"];
    if (!words.includes(model.sign)) list.push([sign, "Choose one."]);
  }
  if (!fields.depth.root.hidden && !model.depth) list.push([fields.depth, "Write the depth."]);
  for (const gauge of gauges) {
    if (!isAbsent(model, gauge) && !model.gauges?.[gauge.name])
      list.push([fields[`gauge ${gauge.name}`], "Write what the gauge showed, or take the tick away if it was not on the diver."]);
  }
  return list;
}
