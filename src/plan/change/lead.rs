//! The lead as one figure: all ballast together.

use toml_edit::{InlineTable, Value};

use super::figure::{decimals, number, reader_unit, written_like};
use super::{Sets, entry_key, list_text, tables_at};
use crate::plan::Plan;
use crate::plan::unit::unit_named;
use crate::plan::written::number_and_unit;
use crate::units::{Quantity, UnitSystem};

/// Below this a difference is none, kg.
const NONE_KG: f64 = 1e-6;

/// An entry of the ballast.
struct Entry {
    index: usize,
    /// how many
    count: f64,
    /// of one, kg
    mass_kg: f64,
    /// as written; `None` for a piece of the gear list
    text: Option<String>,
}

/// All lead, kg, and what of it stands in a gear list, which the plan does not change.
pub(super) fn total_kg(plan: &Plan) -> (f64, f64) {
    let entries = entries(plan);
    let sum = |is_fixed: bool| {
        let list = entries.iter().filter(|entry| !is_fixed || entry.text.is_none());
        list.map(|entry| entry.count * entry.mass_kg).sum()
    };
    (sum(false), sum(true))
}

fn entries(plan: &Plan) -> Vec<Entry> {
    let listed = |piece: &str| {
        let list = plan.gear.as_ref()?;
        Some(list.pieces[list.find(piece)?].mass.as_ref()?.quantity.estimate().ok()?.value)
    };
    let tables = plan.file().ballast.iter().enumerate();
    let entry = |(index, table): (usize, &crate::plan::file::Ballast)| {
        let own = table.mass.as_ref();
        let mass_kg = match own {
            Some(mass) => mass.estimate().ok()?.value,
            None => listed(table.piece.as_deref()?)?,
        };
        let text = own.map(|mass| mass.text().to_owned());
        Some(Entry { index, count: table.count.unwrap_or(1) as f64, mass_kg, text })
    };
    tables.filter_map(entry).collect()
}

/// The sets for a total: the difference goes to the largest entry, and what is more than that has to the next.
pub(super) fn set(plan: &Plan, to_kg: f64, system: UnitSystem) -> Result<Sets, String> {
    let mut entries = entries(plan);
    let now_kg: f64 = entries.iter().map(|entry| entry.count * entry.mass_kg).sum();
    let mut more_kg = to_kg - now_kg;
    if to_kg < 0.0 || !to_kg.is_finite() {
        return Err("lead cannot weigh less than nothing".into());
    }
    entries.retain(|entry| entry.text.is_some());
    // a stable order: of two alike the first
    entries.sort_by(|a, b| (b.count * b.mass_kg).total_cmp(&(a.count * a.mass_kg)));
    if entries.is_empty() {
        return added(plan, more_kg, system);
    }
    let mut sets = Sets::new();
    for entry in &entries {
        let whole_kg = entry.count * entry.mass_kg;
        let new_kg = (whole_kg + more_kg).max(0.0);
        if more_kg.abs() < NONE_KG {
            break;
        }
        let table = &plan.file().ballast[entry.index];
        let text = mass_text(entry.text.as_deref(), new_kg / entry.count, entry.count, system);
        sets.push((entry_key("ballast", entry.index, table.name.as_deref()).field("mass").to_string(), text));
        more_kg -= new_kg - whole_kg;
    }
    match more_kg < -NONE_KG {
        true => Err("what is left is lead of the gear list: take its pieces out of the plan".into()),
        false => Ok(sets),
    }
}

/// The mass of one of several, finer where the sum would miss the figure.
fn mass_text(old: Option<&str>, mass_kg: f64, count: f64, system: UnitSystem) -> String {
    let unit = old.and_then(number_and_unit).and_then(|(_, name)| unit_named(Quantity::Mass, name));
    let unit = unit.unwrap_or_else(|| reader_unit(Quantity::Mass, system));
    let text = written_like(old, Quantity::Mass, mass_kg, system);
    let short = number(mass_kg / unit.factor, decimals(unit));
    let fine = number(mass_kg / unit.factor, decimals(unit) + 2);
    match count > 1.0 && fine != short && text.starts_with(&short) {
        true => format!("{fine}{}", &text[short.len()..]),
        false => text,
    }
}

/// Lead that a plan without any gets, or beside pieces of a gear list.
fn added(plan: &Plan, more_kg: f64, system: UnitSystem) -> Result<Sets, String> {
    if more_kg < -NONE_KG {
        return Err("this is lead of the gear list: take its pieces out of the plan".into());
    }
    let mut tables = tables_at(plan, &["ballast"]);
    let names = |name: &str| plan.file().ballast.iter().any(|table| table.name.as_deref() == Some(name));
    let name = if names("lead") { "more lead" } else { "lead" };
    let mut table = InlineTable::new();
    table.insert("name", Value::from(name));
    table.insert("mass", Value::from(written_like(None, Quantity::Mass, more_kg, system)));
    tables.push(table);
    Ok(vec![("ballast".into(), list_text(tables))])
}
