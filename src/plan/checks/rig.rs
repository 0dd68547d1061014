//! The rigs of checks that were not made with the plan's own: each a plan of its own, composed from this one.
//!
//! What the check does not name is this plan's. The dive itself is left out: a check is a moment at rest. What hung on
//! this plan's cylinders goes with them, and hangs on the check's; a supply that is not there is the first of those.

use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use crate::estimate::{KeyPath, Segment};
use crate::plan::Plan;
use crate::plan::catalogue::size;
use crate::plan::file::RigOfCheck;
use crate::plan::inside::is_text;
use crate::plan::problem::{Problem, Problems, Source};
use crate::plan::read::Told;

/// Name of the only cylinder that a check names by its size.
const BACK: &str = "back";

impl Plan {
    /// Reads the rigs of the checks, each once. A check of this plan's own rig was made before `--set` changed anything.
    pub(crate) fn read_rigs(&mut self, told: &mut Told) {
        let checks = self.file.weight_check.clone();
        let mut known: Vec<(Option<RigOfCheck>, usize)> = Vec::new();
        for (i, check) in checks.iter().enumerate() {
            let path = KeyPath::ROOT.field("weight_check").index(i).field("rig");
            let is_told = told.paths.iter().any(|told| told.is_within(&path));
            if is_told || (check.rig.is_none() && !self.is_changed()) {
                self.rig_of_check.push(None);
                continue;
            }
            if let Some((_, at)) = known.iter().find(|(rig, _)| *rig == check.rig) {
                self.rig_of_check.push(Some(*at));
                continue;
            }
            match self.rig_of(i, check.rig.as_ref()) {
                Ok(plan) => {
                    let source = self.inside_rig(i, check.rig.as_ref(), &plan.sources);
                    self.source_of_rig.push(source);
                    known.push((check.rig.clone(), self.other_rigs.len()));
                    self.rig_of_check.push(Some(self.other_rigs.len()));
                    self.other_rigs.push(plan);
                }
                // a plan that only `--set` makes right is its own rig
                Err(_) if check.rig.is_none() => self.rig_of_check.push(None),
                Err(found) => {
                    let source = self.inside_rig(i, check.rig.as_ref(), &found.sources);
                    told.problems.extend(in_rig(i, &found, source));
                    told.paths.push(path);
                    self.rig_of_check.push(None);
                }
            }
        }
    }

    /// The sources of a rig that stands in the plan itself, as sources of the plan: the first of them.
    fn inside_rig(&mut self, index: usize, rig: Option<&RigOfCheck>, sources: &[Source]) -> Option<usize> {
        let Some(RigOfCheck::OfPlan(_)) = rig.filter(|rig| is_inside(rig)) else { return None };
        let key = KeyPath::ROOT.field("weight_check").index(index).field("rig");
        let mut noted = sources.iter().enumerate().map(|(i, source)| {
            let inner = source.name.rsplit_once(" (").map_or("", |(_, inner)| inner.trim_end_matches(')'));
            let key = if i > 0 { format!("{key}, {inner}") } else { key.to_string() };
            self.note_inside(&key, &source.text)
        });
        let first = noted.next();
        noted.for_each(drop);
        first
    }

    /// Whether `--set` changed something that is no figure of the diver and no check.
    fn is_changed(&self) -> bool {
        self.sets().iter().any(|(key, _)| !stays(key))
    }

    fn rig_of(&self, index: usize, rig: Option<&RigOfCheck>) -> Result<Plan, Problems> {
        if let Some(RigOfCheck::OfPlan(file)) = rig {
            let mut plan = match is_text(file) {
                true => Plan::parse(file, &format!("{} (the rig of check {})", self.shown(), index + 1), &self.dir)?,
                false => Plan::load(self.dir.join(file))?,
            };
            // what was seen with that rig is its own matter
            plan.file.weight_check.clear();
            return Ok(plan);
        }
        let sets: Vec<_> = self.sets().iter().filter(|(key, _)| stays(key)).cloned().collect();
        let original = self.original.strip_prefix('\u{feff}').unwrap_or(&self.original);
        let text = crate::plan::set::apply(original, &sets).unwrap_or_else(|_| original.to_owned());
        let text = composed(&text, index, rig.is_some()).unwrap_or(text);
        Plan::parse(&text, &format!("{} (the rig of check {})", self.name(), index + 1), &self.dir)
    }
}

/// Whether the plan of a rig stands in the plan itself.
fn is_inside(rig: &RigOfCheck) -> bool {
    matches!(rig, RigOfCheck::OfPlan(file) if is_text(file))
}

/// Whether a change holds for the day of a check too: the diver is the same, and so is the check.
fn stays(key: &str) -> bool {
    key.starts_with("diver") || key.starts_with("weight_check")
}

/// What is wrong with the rig of a check: at its place in a rig that stands in the plan, whose sources begin with `source`,
/// else where the plan names it.
pub(crate) fn in_rig(index: usize, found: &Problems, source: Option<usize>) -> Vec<Problem> {
    let path = KeyPath::ROOT.field("weight_check").index(index).field("rig");
    let one = |problem: &Problem| {
        // a key of the tables that the check names stands in the plan
        let inner = problem.path.segments().iter().fold(path.clone(), |path, segment| match segment {
            Segment::Key(key) => path.field(key),
            Segment::Index(index) => path.index(*index),
        });
        Problem {
            code: problem.code,
            path: if problem.path.is_beside() { path.clone() } else { inner },
            source: source.map_or(0, |first| first + problem.source),
            span: source.map_or(0..0, |_| problem.span.clone()),
            message: format!("in the rig of this check: {}", problem.message),
            help: problem.help.clone(),
        }
    };
    found.list.iter().map(one).collect()
}

/// The plan's text with the tables of the check's rig in place, and a moment at rest in place of the dive.
fn composed(text: &str, index: usize, has_tables: bool) -> Option<String> {
    let mut document: DocumentMut = text.parse().ok()?;
    let rig = if has_tables { Some(rig_table(&document, index)?) } else { None };
    let root = document.as_table_mut();
    root.remove("weight_check");
    for key in ["part", "cylinder"] {
        if let Some(list) = root.get(key).filter(|item| item.is_value()).cloned() {
            root.insert(key, tables(list));
        }
    }
    let hung = hung_on_first(root);
    if let Some(rig) = rig {
        let has = |wanted: &str| rig.iter().any(|(key, _)| key == wanted);
        let (has_cylinders, has_parts) = (has("cylinder"), has("part"));
        let hung_before = hung_names(root);
        for (key, item) in rig {
            let item = match key.as_str() {
                "suit" => suit(item),
                "cylinder" => cylinders(item, &hung),
                "part" => tables(item),
                _ => item,
            };
            root.insert(&key, item);
        }
        if has_cylinders {
            mend_supplies(root);
            mend_loop(root);
        }
        if has_cylinders && !has_parts {
            recount(root, &hung_before);
        }
    }
    at_rest(root);
    Some(document.to_string())
}

/// The tables of a check's rig, as items.
fn rig_table(document: &DocumentMut, index: usize) -> Option<Vec<(String, Item)>> {
    let list = document.get("weight_check")?;
    let rig = match list {
        Item::ArrayOfTables(list) => list.get(index)?.get("rig")?.clone(),
        Item::Value(Value::Array(list)) => Item::Value(list.get(index)?.as_inline_table()?.get("rig")?.clone()),
        _ => return None,
    };
    let rig = rig.into_table().ok()?;
    Some(rig.into_iter().map(|(key, item)| (key.to_string(), item)).collect())
}

/// A suit by its kind becomes a table.
fn suit(item: Item) -> Item {
    match item.as_str() {
        Some(kind) => {
            let mut table = Table::new();
            table.insert("kind", Item::Value(Value::from(kind)));
            Item::Table(table)
        }
        None => item,
    }
}

/// Cylinders as a list of tables; the names of what hung on the plan's first one hang on each that names nothing.
fn cylinders(item: Item, hung: &Option<Item>) -> Item {
    let list: Vec<Table> = match item.as_str() {
        Some(size) => {
            let mut table = Table::new();
            for (key, value) in [("name", BACK), ("size", size), ("gas", "air"), ("fill", "200 bar")] {
                table.insert(key, Item::Value(Value::from(value)));
            }
            vec![table]
        }
        None => list_of(item),
    };
    let names_any = list.iter().any(|table| table.contains_key("with") || table.contains_key("rigging"));
    let mut all = ArrayOfTables::new();
    for mut table in list {
        if let Some(hung) = hung.as_ref().filter(|_| !names_any) {
            table.insert("with", hung.clone());
        }
        // what was in it is on its gauge
        for (key, value) in [("gas", "air"), ("fill", "200 bar")] {
            if !table.contains_key(key) {
                table.insert(key, Item::Value(Value::from(value)));
            }
        }
        all.push(table);
    }
    Item::ArrayOfTables(all)
}

/// A list of tables in whichever form it is written.
fn tables(item: Item) -> Item {
    let mut all = ArrayOfTables::new();
    list_of(item).into_iter().for_each(|table| all.push(table));
    Item::ArrayOfTables(all)
}

fn list_of(item: Item) -> Vec<Table> {
    match item {
        Item::Table(table) => vec![table],
        Item::Value(Value::InlineTable(table)) => vec![table.into_table()],
        Item::Value(Value::Array(list)) => {
            let table = |value: Value| match value {
                Value::InlineTable(table) => Some(InlineTable::into_table(table)),
                _ => None,
            };
            list.into_iter().filter_map(table).collect()
        }
        Item::ArrayOfTables(list) => list.into_iter().collect(),
        _ => Vec::new(),
    }
}

/// What hangs on the plan's first cylinder.
fn hung_on_first(root: &Table) -> Option<Item> {
    root.get("cylinder")?.as_array_of_tables()?.get(0)?.get("with").cloned()
}

/// Names of what hangs on the plan's cylinders.
fn hung_names(root: &Table) -> Vec<String> {
    let cylinders = root.get("cylinder").and_then(Item::as_array_of_tables);
    cylinders.into_iter().flatten().filter_map(|one| one.get("with")).flat_map(names).collect()
}

/// A name or a list of names.
fn names(item: &Item) -> Vec<String> {
    match item {
        Item::Value(Value::String(name)) => vec![name.value().clone()],
        Item::Value(Value::Array(list)) => list.iter().filter_map(Value::as_str).map(str::to_owned).collect(),
        _ => Vec::new(),
    }
}

/// Of each part that hung on the plan's cylinders there are as many as hang on those of the check.
fn recount(root: &mut Table, hung_before: &[String]) {
    let Some(cylinders) = root.get("cylinder").and_then(Item::as_array_of_tables) else { return };
    let hung: Vec<(Vec<String>, i64)> =
        cylinders.iter().map(|one| (one.get("with").map(names).unwrap_or_default(), singles(one))).collect();
    let Some(Item::ArrayOfTables(parts)) = root.get_mut("part") else { return };
    let name_of = |part: &Table| {
        part.get("name").or_else(|| part.get("piece")).and_then(Item::as_str).unwrap_or_default().to_owned()
    };
    for index in (0..parts.len()).rev() {
        let Some(name) = parts.get(index).map(name_of).filter(|name| hung_before.contains(name)) else { continue };
        let wanted: i64 = hung.iter().filter(|(with, _)| with.contains(&name)).map(|(_, count)| count).sum();
        match parts.get_mut(index).filter(|_| wanted > 0) {
            Some(part) => _ = part.insert("count", Item::Value(Value::from(wanted))),
            None => _ = parts.remove(index),
        }
    }
}

/// Single cylinders of a table.
fn singles(cylinder: &Table) -> i64 {
    let of_size = cylinder.get("size").and_then(Item::as_str).and_then(size).map_or(1, |size| i64::from(size.count));
    of_size * cylinder.get("count").and_then(Item::as_integer).unwrap_or(1)
}

/// A supply that is not there is the first cylinder.
fn mend_supplies(root: &mut Table) {
    let Some(cylinders) = root.get("cylinder").and_then(Item::as_array_of_tables) else { return };
    let names: Vec<String> =
        cylinders.iter().map(|one| one.get("name").and_then(Item::as_str).unwrap_or(BACK).to_owned()).collect();
    let Some(first) = names.first() else { return };
    for bag in ["suit", "wing"] {
        let Some(table) = root.get_mut(bag).and_then(Item::as_table_like_mut) else { continue };
        let is_gone = table.get("supply").and_then(Item::as_str).is_some_and(|name| !names.iter().any(|n| n == name));
        if is_gone {
            table.insert("supply", Item::Value(Value::from(first.as_str())));
        }
    }
}

/// A closed circuit without its cylinders is none; what is breathed when it fails is no matter at rest.
fn mend_loop(root: &mut Table) {
    let Some(cylinders) = root.get("cylinder").and_then(Item::as_array_of_tables) else { return };
    let known: Vec<String> = cylinders.iter().filter_map(|one| Some(one.get("name")?.as_str()?.to_owned())).collect();
    let Some(circuit) = root.get_mut("loop").and_then(Item::as_table_like_mut) else { return };
    let is_there = |key: &str| {
        let named = circuit.get(key).map_or_else(|| vec![key.to_owned()], names);
        named.iter().all(|name| known.contains(name))
    };
    if is_there("oxygen") && is_there("diluent") {
        circuit.remove("bail_out_on");
    } else {
        root.remove("loop");
    }
}

/// A minute at the surface in place of the dive: nothing of a check hangs on it.
fn at_rest(root: &mut Table) {
    let first = root.get("cylinder").and_then(Item::as_array_of_tables).and_then(|list| list.get(0));
    let name = first.and_then(|one| one.get("name")).and_then(Item::as_str).map(str::to_owned);
    let mut leg = InlineTable::new();
    leg.insert("stay", Value::from("1 min"));
    leg.insert("rate", Value::from("15 L/min"));
    let circuit = root.get_mut("loop").and_then(Item::as_table_like_mut);
    if let Some(circuit) = circuit {
        for of_the_dive in ["bail_out", "setpoint_change"] {
            circuit.remove(of_the_dive);
        }
        leg.insert("breathe", Value::from("loop"));
    } else if let Some(name) = name {
        leg.insert("breathe", Value::from(name));
    }
    let mut dive = Table::new();
    if let Some(law) = root.get("dive").and_then(|dive| dive.get("gas_law")).cloned() {
        dive.insert("gas_law", law);
    }
    dive.insert("leg", Item::Value(Value::Array([leg].into_iter().collect())));
    root.insert("dive", Item::Table(dive));
    root.remove("breathing");
}
