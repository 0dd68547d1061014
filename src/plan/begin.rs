//! A plan from the answers to a few questions, and what the questions offer.
//!
//! It is as short as the plan in ten lines: what nobody answers is left out, and typical figures with their doubts stand
//! for it. Answers are text as a plan has it, `80 kg`; nothing is checked here: reading the plan tells what is wrong with
//! them.

use serde::Deserialize;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value, value};

use crate::plan::catalogue::sizes;
use crate::plan::checks::with_line_ends_of;
use crate::plan::typical::{gear, suit};

/// The answers. An empty one is none.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default, deny_unknown_fields)]
pub struct Answers {
    /// Title of the dive.
    pub title: String,
    /// `metric` or `us`.
    pub units: String,
    /// The diver's mass.
    pub mass: String,
    /// `man` or `woman`.
    pub sex: String,
    /// Height.
    pub height: String,
    /// Age in whole years.
    pub age: String,
    /// Kind of the suit.
    pub suit: String,
    /// Gas in a dry suit, where it is known.
    pub gas_volume: String,
    /// The cylinders, the main ones first; with a unit its oxygen, its diluent, and what is breathed if it fails.
    pub cylinders: Vec<CylinderAnswer>,
    /// The unit of a closed circuit; without it the first cylinder is breathed.
    pub unit: Option<UnitAnswer>,
    /// `sea`, `fresh`, a salinity or a density.
    pub water: String,
    /// Temperature of the water.
    pub temperature: String,
    /// Depth of the dive.
    pub depth: String,
    /// Time to leaving the bottom.
    pub time: String,
    /// Stops, each as `6 m 10 min`; empty: none at all; unless answered the usual one.
    pub stops: Option<Vec<String>>,
    /// All lead that is carried.
    pub lead: String,
    /// Gear by the names of [`choices`] that comes to the typical one.
    pub gear: Vec<String>,
    /// A check made in the water: keys of a `[[weight_check]]`.
    pub check: Vec<(String, String)>,
}

/// A cylinder, or several that are alike.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default, deny_unknown_fields)]
pub struct CylinderAnswer {
    /// Name; the first is `back` unless stated, the others `stage 1`, `stage 2`.
    pub name: String,
    /// Name of the size.
    pub size: String,
    /// How many act as one: `2` for twins of a single size.
    pub count: String,
    /// The gas.
    pub gas: String,
    /// Pressure of the fill.
    pub fill: String,
}

/// The unit of a closed circuit, without its cylinders.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default, deny_unknown_fields)]
pub struct UnitAnswer {
    /// Mass, without absorbent.
    pub mass: String,
    /// What it does in water, without gas in the loop and without absorbent.
    pub in_water: String,
    /// The water of that reading.
    pub read_in: String,
    /// Gas in the loop, where it is known.
    pub volume: String,
    /// Mass of the absorbent.
    pub absorbent: String,
}

/// What the questions offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Choices {
    /// Kinds of suits.
    pub suits: Vec<&'static str>,
    /// Cylinder sizes.
    pub sizes: Vec<SizeChoice>,
    /// Names of gases.
    pub gases: Vec<&'static str>,
    /// Waters of a site.
    pub waters: Vec<&'static str>,
    /// Pieces of gear with typical figures.
    pub gear: Vec<&'static str>,
}

/// A size and its group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeChoice {
    /// As a plan names it.
    pub name: &'static str,
    /// `steel`, `twin steel`, `aluminium`.
    pub group: &'static str,
    /// Gauge pressure that it is made for, Pa: a fill to begin with.
    pub working_pa: f64,
}

/// What the questions of an empty page offer; other words of the plan can be typed as well.
pub fn choices() -> Choices {
    // the suits that a plan says nothing else of; "dry membrane" alone asks for its undergarment
    let whole = suit::KINDS.iter().filter(|kind| **kind != "dry membrane" && !kind.starts_with("wet"));
    let wet = ["wet 3 mm", "wet 5 mm", "wet 7 mm", "wet 5 mm two-piece", "wet 7 mm two-piece"];
    let size = |size: &'static crate::plan::catalogue::Size| SizeChoice {
        name: &size.name,
        group: group(&size.name),
        working_pa: size.working_pa,
    };
    Choices {
        suits: wet.into_iter().chain(whole.copied()).collect(),
        sizes: sizes().iter().map(size).collect(),
        gases: vec!["air", "nitrox 32", "nitrox 36", "nitrox 50", "oxygen", "trimix 21/35", "trimix 18/45", "argon"],
        waters: vec!["sea", "fresh"],
        gear: gear::names(),
    }
}

/// The words of a size before its first number.
fn group(name: &str) -> &str {
    let number = name.find(|c: char| c.is_ascii_digit()).unwrap_or(name.len());
    name[..number].trim()
}

/// The plan's text. Empty or impossible answers make a plan that tells what is missing or wrong.
pub fn begin(answers: &Answers) -> String {
    let mut document = DocumentMut::new();
    let root = document.as_table_mut();
    put(root, "title", &answers.title);
    put(root, "units", &answers.units);
    if answers.unit.is_some() || answers.gear.iter().any(|name| !name.trim().is_empty()) {
        // what is listed comes to the typical gear, and does not stand for it
        put(root, "gear", "typical");
    }
    site(root, answers);
    diver(root, answers);
    let mut suit = Table::new();
    put(&mut suit, "kind", &answers.suit);
    put(&mut suit, "gas_volume", &answers.gas_volume);
    section(root, "suit", suit);
    gear(root, answers);
    if !answers.lead.trim().is_empty() {
        let mut lead = Table::new();
        lead.insert("name", value("lead"));
        put(&mut lead, "mass", &answers.lead);
        root.insert("ballast", Item::ArrayOfTables([lead].into_iter().collect()));
    }
    if let Some(unit) = &answers.unit {
        section(root, "loop", breathing_loop(unit, answers));
    }
    let cylinders: ArrayOfTables =
        answers.cylinders.iter().enumerate().map(|(i, one)| cylinder(i, one, answers)).collect();
    if !cylinders.is_empty() {
        root.insert("cylinder", Item::ArrayOfTables(cylinders));
    }
    dive(root, answers);
    with_check(&document.to_string(), &answers.check)
}

fn put(table: &mut Table, key: &str, text: &str) {
    if !text.trim().is_empty() {
        table.insert(key, value(text.trim()));
    }
}

fn section(root: &mut Table, key: &str, table: Table) {
    if !table.is_empty() {
        root.insert(key, Item::Table(table));
    }
}

/// The water under the key that it is: a word, a salinity or a density.
fn site(root: &mut Table, answers: &Answers) {
    use crate::plan::unit::{Density, Salinity};
    use crate::plan::written::Written;
    let mut table = Table::new();
    let water = answers.water.trim();
    let key = match water {
        _ if Written::<Salinity>::parse(water).estimate().is_ok() => "salinity",
        _ if Written::<Density>::parse(water).estimate().is_ok() => "density",
        _ => "water",
    };
    put(&mut table, key, water);
    if water.is_empty() && !answers.temperature.trim().is_empty() {
        // a site needs a water; the sea is what stands for one that nobody writes
        put(&mut table, "water", "sea");
    }
    put(&mut table, "temperature", &answers.temperature);
    section(root, "site", table);
}

fn diver(root: &mut Table, answers: &Answers) {
    let mut table = Table::new();
    put(&mut table, "mass", &answers.mass);
    put(&mut table, "sex", &answers.sex);
    put(&mut table, "height", &answers.height);
    match answers.age.trim().parse::<i64>() {
        Ok(years) => _ = table.insert("age", value(years)),
        Err(_) => put(&mut table, "age", &answers.age),
    }
    section(root, "diver", table);
}

fn gear(root: &mut Table, answers: &Answers) {
    let named = answers.gear.iter().filter(|name| !name.trim().is_empty());
    let unit = answers.unit.iter().map(|unit| {
        let mut table = Table::new();
        table.insert("name", value("unit"));
        put(&mut table, "mass", &unit.mass);
        put(&mut table, "in_water", &unit.in_water);
        put(&mut table, "read_in", &unit.read_in);
        table
    });
    let named = named.map(|name| {
        let mut table = Table::new();
        put(&mut table, "name", name);
        table
    });
    let parts: ArrayOfTables = unit.chain(named).collect();
    if !parts.is_empty() {
        root.insert("part", Item::ArrayOfTables(parts));
    }
}

/// The loop, whose cylinders are named: what was answered may have other names than those that go without saying.
fn breathing_loop(unit: &UnitAnswer, answers: &Answers) -> Table {
    let mut table = Table::new();
    put(&mut table, "volume", &unit.volume);
    put(&mut table, "absorbent", &unit.absorbent);
    let names: Vec<String> = (0..answers.cylinders.len()).map(|index| name_of(index, answers)).collect();
    for (key, name) in ["oxygen", "diluent"].iter().zip(&names) {
        put(&mut table, key, name);
    }
    if names.len() > FED_BY {
        table.insert("bail_out_on", value(names[FED_BY..].iter().map(String::as_str).collect::<toml_edit::Array>()));
    }
    table
}

/// Cylinders that feed a loop: oxygen and diluent.
const FED_BY: usize = 2;

/// Name of a cylinder: as answered, or the usual one.
fn name_of(index: usize, answers: &Answers) -> String {
    let written = answers.cylinders.get(index).map_or("", |one| one.name.trim());
    match (index, answers.unit.is_some()) {
        _ if !written.is_empty() => written.to_owned(),
        (0, true) => "oxygen".into(),
        (1, true) => "diluent".into(),
        (stage, true) => format!("stage {}", stage - 1),
        (0, false) if answers.cylinders.len() == 1 => String::new(), // an only one is called so by itself
        (0, false) => "back".into(),
        (stage, false) => format!("stage {stage}"),
    }
}

fn cylinder(index: usize, one: &CylinderAnswer, answers: &Answers) -> Table {
    let mut table = Table::new();
    put(&mut table, "name", &name_of(index, answers));
    put(&mut table, "size", &one.size);
    match one.count.trim().parse::<i64>() {
        Ok(1) => {}
        Ok(count) => _ = table.insert("count", value(count)),
        Err(_) => put(&mut table, "count", &one.count),
    }
    put(&mut table, "gas", &one.gas);
    put(&mut table, "fill", &one.fill);
    let worn = if answers.unit.is_some() { FED_BY } else { 1 };
    if index >= worn {
        table.insert("removable", value(true));
    }
    table
}

fn dive(root: &mut Table, answers: &Answers) {
    let mut table = Table::new();
    put(&mut table, "depth", &answers.depth);
    put(&mut table, "time", &answers.time);
    if let Some(stops) = &answers.stops {
        let stops: toml_edit::Array = stops.iter().map(|stop| stop.trim()).filter(|stop| !stop.is_empty()).collect();
        table.insert("stops", value(stops));
    }
    // with several the first is breathed, whatever it is called; the only one needs no word, nor does a loop
    if answers.unit.is_none() && answers.cylinders.len() > 1 {
        put(&mut table, "breathe", &name_of(0, answers));
    }
    section(root, "dive", table);
}

/// A plan's text with one more check made in the water behind those that it has; `fields` are the keys of a
/// `[[weight_check]]` with their values as text, empty ones left out. A text that is no TOML gets it as lines at its end.
pub fn with_check(text: &str, fields: &[(String, String)]) -> String {
    let fields: Vec<(&str, &str)> = fields.iter().map(|(key, value)| (key.trim(), value.trim())).collect();
    let mut table = Table::new();
    fields.iter().filter(|(key, _)| !key.is_empty()).for_each(|(key, text)| put(&mut table, key, text));
    if table.is_empty() {
        return text.to_owned();
    }
    let Ok(mut document) = text.parse::<DocumentMut>() else {
        let mut alone = DocumentMut::new();
        alone.insert("weight_check", Item::ArrayOfTables([table].into_iter().collect()));
        return format!("{}\n\n{}", text.trim_end(), alone.to_string().trim_start());
    };
    match document.get_mut("weight_check") {
        Some(Item::Value(Value::Array(list))) => list.push(table.into_inline_table()),
        Some(Item::ArrayOfTables(list)) => list.push(table),
        _ => _ = document.insert("weight_check", Item::ArrayOfTables([table].into_iter().collect())),
    }
    with_line_ends_of(text, document.to_string())
}
