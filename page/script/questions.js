// @ts-check
/** The questions of an empty page, section by section. */

import { el } from "./dom.js";
import { FED_BY, breathe, cylinder } from "./answers.js";
import { UNITS, radioField, selectField, textField, tick } from "./fields.js";
import { button } from "./sheet.js";

/**
 * @typedef {import("./fields.js").Field} Field
 * @typedef {import("./answers.js").Typed} Typed
 * @typedef {{ typed: Typed, fields: Record<string, Field>, choices: any, told: () => void, rebuild: (focus?: string) => void }} Form
 *   what is typed, its fields by name, what the engine offers, and whom to tell
 */

/** What every rig has, in whatever kind: the usual gear stands for it until the plan lists its own. */
const USUAL = /plate|fins|mask|regulator|wing/;

/**
 * @param {string} title
 * @param {...(Node | null | false)} children
 */
export function section(title, ...children) {
  return el("section", { class: "begin-part" }, el("h3", {}, title), ...children);
}

/**
 * A field of the form, named as its answer.
 * @param {Form} form
 * @param {string} name
 * @param {string} label
 * @param {object} [more]
 */
function ask(form, name, label, more = {}) {
  const { typed } = form;
  const field = textField({ label, value: typed[name], typed: (text) => keep(form, name, text), ...more });
  form.fields[name] = field;
  return field.root;
}

/**
 * @param {Form} form
 * @param {string} name
 * @param {string} text
 */
function keep(form, name, text) {
  form.typed[name] = text;
  form.fields[name]?.complain(null);
  form.told();
}

/** @param {string[]} words */
const options = (words) => words.map((value) => ({ value, label: value }));

/** @param {Form} form */
export function diver(form) {
  const unit = UNITS[form.typed.units];
  const sexes = [{ value: "", label: "not said" }, ...options(["man", "woman"])];
  const sex = selectField({ label: "Sex", value: form.typed.sex ?? "", typed: (text) => keep(form, "sex", text), options: sexes });
  form.fields.sex = sex;
  return section(
    "The diver",
    el("div", { class: "ask-row" }, ask(form, "mass", "Mass", { unit: unit.mass, isWanted: true, help: "Without gear." })),
    el("p", { class: "ask-help" }, "These three narrow what the body does in water:"),
    el(
      "div",
      { class: "ask-row" },
      sex.root,
      ask(form, "height", "Height", { unit: unit.height }),
      ask(form, "age", "Age", { unit: "years", whole: true }),
    ),
  );
}

/** @param {Form} form */
export function suit(form) {
  const { typed } = form;
  const unit = UNITS[typed.units];
  const group = (/** @type {string} */ kind) => (kind.startsWith("wet") ? "Wet suit" : kind.startsWith("dry") ? "Dry suit" : "None");
  const kinds = form.choices.suits.map((/** @type {string} */ value) => ({ value, label: value, group: group(value) }));
  const pick = selectField({
    label: "Suit",
    isWanted: true,
    isWide: true,
    value: typed.suit ?? "",
    options: [{ value: "", label: "choose" }, ...kinds],
    typed: (text) => {
      keep(form, "suit", text);
      show();
    },
  });
  form.fields.suit = pick;
  const gas = ask(form, "gas_volume", "Gas in the suit, if known", { unit: unit.volume });
  const show = () => {
    gas.hidden = !(typed.suit ?? "").startsWith("dry");
  };
  show();
  return section("The suit", el("div", { class: "ask-row" }, pick.root, gas), gear(form));
}

/** @param {Form} form */
function gear(form) {
  const { typed } = form;
  const ticks = form.choices.gear.filter((/** @type {string} */ name) => !USUAL.test(name)).map(
    (/** @type {string} */ name) =>
      tick({
        label: name,
        value: typed.gear.includes(name),
        typed: (isOn) => {
          typed.gear = isOn ? [...typed.gear, name] : typed.gear.filter((other) => other !== name);
          form.told();
        },
      }).root,
  );
  return el(
    "details",
    { class: "more", open: typed.gear.length > 0 },
    el("summary", {}, "What else is worn"),
    el("p", { class: "ask-help" }, "Plate, harness, fins, mask, regulators and wing are taken as typical; what you tick comes to them."),
    el("div", { class: "ticks" }, ...ticks),
  );
}

/** @param {Form} form */
export function cylinders(form) {
  const { typed } = form;
  const add = button("Add a stage", () => {
    const count = typed.cylinders.filter((c) => c.name.startsWith("stage")).length;
    typed.cylinders.push(cylinder(`stage ${count + 1}`, typed.units));
    form.rebuild(`cylinder ${typed.cylinders.length} size`);
  });
  const pick = radioField({
    label: "Breathed is",
    isShort: true,
    value: typed.unit ? "loop" : "cylinder",
    options: [
      { value: "cylinder", label: "a cylinder" },
      { value: "loop", label: "a loop", help: "closed circuit" },
    ],
    typed: (text) => {
      breathe(typed, text === "loop");
      form.rebuild("breathed");
    },
  });
  form.fields.breathed = pick;
  const all = typed.cylinders.map((_, index) => oneCylinder(form, index));
  return section("Cylinders", pick.root, typed.unit ? loop(form, typed.unit) : null, ...all, typed.cylinders.length < 8 && add);
}

/**
 * The unit of a closed circuit.
 * @param {Form} form
 * @param {import("./answers.js").UnitAnswer} unit
 */
function loop(form, unit) {
  const symbols = UNITS[form.typed.units];
  const kept = (/** @type {keyof typeof unit} */ key) => (/** @type {string} */ text) => {
    unit[key] = text;
    form.fields[`unit ${key}`].complain(null);
    form.told();
  };
  const text = (/** @type {keyof typeof unit} */ key, /** @type {string} */ label, /** @type {object} */ more) => {
    const field = textField({ label, value: unit[key], typed: kept(key), ...more });
    form.fields[`unit ${key}`] = field;
    return field.root;
  };
  const waters = [...new Set(["pool", ...form.choices.waters])];
  const water = selectField({ label: "Read in", value: unit.read_in, options: options(waters), typed: kept("read_in") });
  form.fields["unit read_in"] = water;
  return el(
    "fieldset",
    { class: "cylinder" },
    el("legend", {}, "The unit"),
    el("p", { class: "ask-help" }, "Weighed and read in water on a spring scale with no gas in the loop, no absorbent and none of its cylinders."),
    el(
      "div",
      { class: "ask-row" },
      text("mass", "Its mass", { unit: symbols.mass, isWanted: true }),
      text("in_water", "In water", { unit: symbols.mass, isWanted: true, isSigned: true, hint: form.typed.units === "us" ? "-9 ± 2" : "-4 ± 1", help: "Minus: it sinks." }),
      water.root,
      text("absorbent", "Absorbent filled in", { unit: symbols.mass }),
      text("volume", "Gas in the loop, if known", { unit: symbols.volume }),
    ),
  );
}

/** @param {Form["typed"]} typed @param {number} index */
function use(typed, index) {
  const { name } = typed.cylinders[index];
  if (!typed.unit) return index ? `${name}, carried all the way` : "Breathed: back";
  return index < FED_BY ? `Feeds the loop: ${name}` : `Breathed if the loop fails: ${name}`;
}

/**
 * @param {Form} form
 * @param {number} index
 */
function oneCylinder(form, index) {
  const { typed, fields } = form;
  const c = typed.cylinders[index];
  const number = index + 1;
  const keepIn = (/** @type {"size" | "count" | "gas" | "fill"} */ key) => (/** @type {string} */ text) => {
    c[key] = text;
    fields[`cylinder ${number} ${key}`].complain(null);
    form.told();
  };
  const common = (/** @type {"size" | "count" | "gas" | "fill"} */ key) => ({ value: c[key], typed: keepIn(key) });
  const counts = [
    { value: "1", label: "one" },
    { value: "2", label: "two alike" },
  ];
  const size = selectField({ label: "Size", isWanted: true, isWide: true, help: index || typed.unit ? "" : "Twin sets, with their manifold, are in the list too.", options: sizes(form), ...common("size") });
  const count = selectField({ label: "How many", options: counts, ...common("count") });
  const fill = textField({ label: "Filled to", unit: UNITS[typed.units].pressure, isWanted: true, ...common("fill") });
  const gas = gasField(form, c.gas, keepIn("gas"));
  Object.assign(fields, {
    [`cylinder ${number} size`]: size,
    [`cylinder ${number} count`]: count,
    [`cylinder ${number} fill`]: fill,
    [`cylinder ${number} gas`]: gas,
  });
  const remove = () => {
    typed.cylinders.splice(index, 1);
    form.rebuild("cylinder 1 size");
  };
  return el(
    "fieldset",
    { class: "cylinder" },
    el("legend", {}, use(typed, index)),
    el("div", { class: "ask-row" }, size.root, count.root, gas.root, fill.root),
    index > (typed.unit ? FED_BY : 0) ? button(`Without ${c.name}`, remove, { class: "is-link" }) : null,
  );
}

/** @param {Form} form */
function sizes(form) {
  const isUs = form.typed.units === "us";
  const groupOf = (/** @type {string} */ size) => {
    const kind = size.startsWith("twin") ? "Twin set" : size.startsWith("steel") ? "Steel" : "Aluminium";
    return `${kind}${/cuft/.test(size) ? ", cubic feet" : ""}`;
  };
  const list = form.choices.sizes.map((/** @type {string} */ value) => ({ value, label: value, group: groupOf(value) }));
  const first = list.filter((/** @type {any} */ size) => /cuft/.test(size.value) === isUs);
  const then = list.filter((/** @type {any} */ size) => /cuft/.test(size.value) !== isUs);
  return [{ value: "", label: "choose" }, ...first, ...then];
}

/**
 * A gas of the list, or one that is written.
 * @param {Form} form
 * @param {string} value
 * @param {(text: string) => void} typed
 * @returns {Field}
 */
function gasField(form, value, typed) {
  const isOfList = form.choices.gases.includes(value);
  const other = textField({ label: "Gas, by its name", value: isOfList ? "" : value, hint: "trimix 18/45", typed });
  const show = () => {
    other.root.hidden = pick.read() !== "other";
  };
  const pick = selectField({
    label: "Gas",
    value: isOfList ? value : "other",
    options: [...options(form.choices.gases), { value: "other", label: "another…" }],
    typed: (text) => {
      show();
      typed(text === "other" ? other.read() : text);
    },
  });
  show();
  return {
    ...pick,
    root: el("div", { class: "gas" }, pick.root, other.root),
    complain: (text) => (other.root.hidden ? pick : other).complain(text),
    focus: () => (other.root.hidden ? pick : other).focus(),
  };
}

/** @param {Form} form */
export function water(form) {
  const { typed } = form;
  const kinds = [...options(form.choices.waters), { value: "density", label: "its density is known" }];
  const density = ask(form, "density", "Density", { unit: "kg/m3" });
  const show = () => {
    density.hidden = typed.water !== "density";
  };
  const kind = selectField({
    label: "Water",
    value: typed.water,
    options: kinds,
    typed: (text) => {
      keep(form, "water", text);
      show();
    },
  });
  form.fields.water = kind;
  show();
  const temperature = { unit: UNITS[typed.units].temperature, hint: typed.units === "us" ? "59 ± 14" : "15 ± 8" };
  return section(
    "The water",
    el("div", { class: "ask-row" }, kind.root, density, ask(form, "temperature", "Temperature", temperature)),
  );
}

/** @param {Form} form */
export function dive(form) {
  const { typed } = form;
  const kinds = [
    { value: "usual", label: "the usual one", help: typed.units === "us" ? "3 min at 5 m, 16 ft" : "3 min at 5 m" },
    { value: "own", label: "these" },
    { value: "none", label: "none" },
  ];
  const pick = radioField({
    label: "Stops on the way up",
    isShort: true,
    value: typed.stopsAre,
    options: kinds,
    typed: (text) => {
      typed.stopsAre = text;
      if (text === "own" && typed.stops.length === 0) typed.stops.push({ depth: "", time: "" });
      form.told();
      form.rebuild(text === "own" ? "stop 1" : "stops");
    },
  });
  form.fields.stops = pick;
  const unit = UNITS[typed.units];
  const times = { unit: "min", isWanted: true, isWide: true, help: "From leaving the surface to leaving the bottom." };
  return section(
    "The dive",
    el("div", { class: "ask-row" }, ask(form, "depth", "Deepest", { unit: unit.depth, isWanted: true }), ask(form, "time", "Time", times)),
    pick.root,
    typed.stopsAre === "own" && stops(form, unit.depth),
  );
}

/**
 * @param {Form} form
 * @param {string} unit
 */
function stops(form, unit) {
  const { typed, fields } = form;
  const rows = typed.stops.map((stop, index) => {
    const keepIn = (/** @type {"depth" | "time"} */ key) => (/** @type {string} */ text) => {
      stop[key] = text;
      fields.stops.complain(null);
      form.told();
    };
    const depth = textField({ label: `Stop ${index + 1}, depth`, unit, value: stop.depth, typed: keepIn("depth") });
    const time = textField({ label: "Stay", unit: "min", value: stop.time, typed: keepIn("time") });
    fields[`stop ${index + 1}`] = depth;
    return el("div", { class: "ask-row" }, depth.root, time.root);
  });
  const add = button("Another stop", () => {
    typed.stops.push({ depth: "", time: "" });
    form.rebuild(`stop ${typed.stops.length}`);
  });
  return el("div", { class: "stops" }, ...rows, typed.stops.length < 12 && add);
}

/** @param {Form} form */
export function lead(form) {
  const unit = UNITS[form.typed.units];
  const help = "If you have dived this rig: what you carried. Left empty, the answer says how much it takes.";
  return section("Lead", el("div", { class: "ask-row" }, ask(form, "lead", "Lead that is carried", { unit: unit.mass, isWide: true, help })));
}
