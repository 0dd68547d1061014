//! A plan written again with better figures: only their values change; order, comments and layout stay.
//!
//! A typical figure that moved becomes a key of its own beside what it belongs to. What has no place in the plan is left
//! out and told: figures of the gear list, and a typical share that only the program knows.

use toml_edit::{DocumentMut, InlineTable, Item, Key, Table, Value};

use crate::estimate::{Doubt, Estimate, Input, KeyPath, Origin, Segment, Shape};
use crate::plan::assemble::is_guess;
use crate::plan::catalogue::size;
use crate::plan::checks::with_line_ends_of;
use crate::plan::unit::unit_named;
use crate::plan::written::number_and_unit;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, Unit};

/// A plan written again.
#[derive(Clone, Debug, PartialEq)]
pub struct CalibratedPlan {
    /// Its text.
    pub text: String,
    /// The figures that were written, counted among those with a doubt.
    pub written: Vec<usize>,
    /// The figures that could not be, and why.
    pub left: Vec<(usize, Left)>,
    /// The distances that were written, counted among those with a doubt.
    pub places_written: Vec<usize>,
    /// The distances that could not be, and why.
    pub places_left: Vec<(usize, Left)>,
}

/// Why a figure was not written into the plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Left {
    /// It stands in a file beside the plan.
    Beside {
        /// File, line and column.
        place: String,
        /// What to write there.
        text: String,
    },
    /// A typical figure that pieces of the gear list use as well.
    SharedWithList,
    /// A usual place at which several things are.
    SharedPlace,
    /// A figure for which a plan has no key.
    NoKey,
}

impl Plan {
    /// The plan's text with other estimates for some of the figures of [`Built::uncertain`], each with its index there.
    /// Values are written in the unit that stands in the plan, with two digits of the doubt.
    pub fn calibrated(&self, built: &Built, values: &[(usize, Estimate)]) -> CalibratedPlan {
        let text = self.sources[0].text.to_string();
        let (places_written, places_left) = (Vec::new(), Vec::new());
        let mut calibrated =
            CalibratedPlan { text, written: Vec::new(), left: Vec::new(), places_written, places_left };
        let Ok(mut document) = calibrated.text.parse::<DocumentMut>() else { return calibrated };
        let uncertain: Vec<(usize, &Input)> =
            built.inputs.iter().enumerate().filter(|(_, input)| input.estimate.doubt.is_some()).collect();
        for (index, estimate) in values {
            let Some(&(at, input)) = uncertain.get(*index) else { continue };
            // a guess stands in the plan; with a better value it is none any more
            let outcome = if input.origin == Origin::Typical && !is_guess(input) {
                let whole = self.with_shell(built, &uncertain, values, input, *estimate);
                let why = if whole == *estimate { "" } else { ", for the mass of the size" };
                add_typical(&mut document, built, &places(built, at), input, &whole, why)
            } else {
                replace(&mut document, input, estimate)
            };
            match outcome {
                Ok(()) => calibrated.written.push(*index),
                Err(left) => calibrated.left.push((*index, left)),
            }
        }
        calibrated.text = with_line_ends_of(&calibrated.text, document.to_string());
        calibrated
    }

    /// The displaced volume of a size follows a mass of its own; written out, it must hold that part itself.
    fn with_shell(
        &self,
        built: &Built,
        uncertain: &[(usize, &Input)],
        values: &[(usize, Estimate)],
        input: &Input,
        estimate: Estimate,
    ) -> Estimate {
        let ("cylinder", [_, Segment::Index(index), Segment::Key(key)]) = (input.path.first(), input.path.segments())
        else {
            return estimate;
        };
        let table = self.file.cylinder.get(*index).filter(|_| key == "external");
        let Some(size) = table.and_then(|table| table.size.as_deref()).and_then(size) else { return estimate };
        let mass_path = input.path.parent().field("mass");
        let moved = values.iter().find(|(i, _)| uncertain.get(*i).is_some_and(|(_, mass)| mass.path == mass_path));
        let planned = built.inputs.iter().find(|input| input.path == mass_path).map(|input| input.estimate.value);
        let mass_kg = moved.map(|(_, mass)| mass.value).or(planned).unwrap_or(size.mass_kg);
        Estimate { value: estimate.value + (mass_kg - size.mass_kg) / size.metal_kg_m3(), ..estimate }
    }
}

/// All places where a figure is used.
fn places(built: &Built, at: usize) -> Vec<&KeyPath> {
    let also = built.also.iter().filter(|(index, _)| *index == at).map(|(_, path)| path);
    std::iter::once(&built.inputs[at].path).chain(also).collect()
}

/// A better value in place of a written one.
pub(super) fn replace(document: &mut DocumentMut, input: &Input, estimate: &Estimate) -> Result<(), Left> {
    let beside = |unit: &Unit| Left::Beside { place: input.path.to_string(), text: written(estimate, unit) };
    let usual = usual_unit(input.quantity);
    if input.path.is_beside() {
        return Err(beside(usual));
    }
    let (mut table, key) = Place::of(document.as_table_mut(), &input.path).ok_or(Left::NoKey)?;
    let value = table.value(key).ok_or(Left::NoKey)?;
    let name = value.as_str().and_then(number_and_unit).map_or("", |(_, unit)| unit).to_owned();
    // what is written in another quantity, a wing's lift, is written again in its own
    let text = match unit_named(input.quantity, &name) {
        Some(unit) => written_as(estimate, unit, &name),
        None => written(estimate, usual),
    };
    table.replace(key, &text)
}

/// A typical figure as a key of its own, in every place that uses it.
fn add_typical(
    document: &mut DocumentMut,
    built: &Built,
    places: &[&KeyPath],
    input: &Input,
    estimate: &Estimate,
    why: &str,
) -> Result<(), Left> {
    if places.iter().any(|path| path.is_beside()) {
        return Err(Left::SharedWithList);
    }
    // typical of `head_out` is a share of the body, while the key holds a volume
    if places.iter().any(|path| path.last() == "head_out") {
        return Err(Left::NoKey);
    }
    let unit = usual_unit(input.quantity);
    let text = written(estimate, unit);
    let comment = format!("  # typical before the checks: {}{why}", written(&input.estimate, unit));
    let mut copy = document.clone();
    for path in places {
        with_table(copy.as_table_mut(), path);
        let (mut table, key) = Place::of(copy.as_table_mut(), path).ok_or(Left::NoKey)?;
        match (key, input.quantity) {
            ("water", Quantity::Salinity) => table.rename(key, "salinity", &text)?,
            ("material", _) if table.value(key).is_some() => table.rename(key, "density", &text)?,
            ("material", _) => table.insert("density", &text, &comment),
            ("read_in", _) => table.replace(key, &text)?,
            ("in_water", _) => {
                table.insert(key, &text, &comment);
                add_beside_reading(&mut table, built, input);
            }
            _ => table.insert(key, &text, &comment),
        }
    }
    *document = copy;
    Ok(())
}

/// What a typical lift in water is worth nothing without: its water, and of a piece known by its name its mass.
fn add_beside_reading(table: &mut Place, built: &Built, reading: &Input) {
    let mass_path = reading.path.parent().field("mass");
    let mass = built.inputs.iter().find(|input| input.path == mass_path && input.origin == Origin::Typical);
    if let Some(mass) = mass.filter(|_| table.value("mass").is_none()) {
        table.insert("mass", &written(&mass.estimate, usual_unit(Quantity::Mass)), "  # typical");
    }
    if table.value("read_in").is_none() {
        table.insert("read_in", "fresh", "");
    }
}

/// A short plan may have no table of the figure yet: `[breathing]`, `[site]`.
fn with_table(root: &mut Table, path: &KeyPath) {
    if let [Segment::Key(table), Segment::Key(_)] = path.segments()
        && !root.contains_key(table)
        && SHORT_OF.contains(&table.as_str())
    {
        root.insert(table, Item::Table(Table::new()));
    }
    // oxygen use by the kind of leg has a table of its own
    if let [Segment::Key(table), Segment::Key(inner), Segment::Key(_)] = path.segments()
        && (table.as_str(), inner.as_str()) == OXYGEN_USE
        && let Some(outer) = root.get_mut(table).and_then(Item::as_table_like_mut)
        && !outer.contains_key(inner)
    {
        outer.insert(inner, Item::Value(Value::InlineTable(InlineTable::new())));
    }
}

/// Tables that a short plan leaves out and that are all typical figures.
const SHORT_OF: [&str; 1] = ["breathing"];
/// Where the oxygen use of each kind of leg stands.
const OXYGEN_USE: (&str, &str) = ("loop", "metabolic_rate");

/// A table, on lines of its own or within a line.
pub(super) enum Place<'t> {
    Table(&'t mut Table),
    Inline(&'t mut InlineTable),
}

impl<'t> Place<'t> {
    /// The table that a path leads to, and the key in it: `cylinder[2].fill`.
    pub fn of<'k>(root: &'t mut Table, path: &'k KeyPath) -> Option<(Self, &'k str)> {
        let [tables @ .., Segment::Key(key)] = path.segments() else { return None };
        let mut here = Place::Table(root);
        let mut rest = tables;
        while let [Segment::Key(name), after @ ..] = rest {
            let (index, after) = match after {
                [Segment::Index(index), after @ ..] => (Some(*index), after),
                _ => (None, after),
            };
            here = here.step(name, index)?;
            rest = after;
        }
        Some((here, key))
    }

    fn step(self, name: &str, index: Option<usize>) -> Option<Self> {
        let value = match self {
            Place::Inline(table) => table.get_mut(name)?,
            Place::Table(table) => match (table.get_mut(name)?, index) {
                (Item::Table(inner), None) => return Some(Place::Table(inner)),
                (Item::ArrayOfTables(list), Some(index)) => return list.get_mut(index).map(Place::Table),
                (Item::Value(value), _) => value,
                _ => return None,
            },
        };
        match (value, index) {
            (Value::InlineTable(inner), None) => Some(Place::Inline(inner)),
            (Value::Array(list), Some(index)) => list.get_mut(index)?.as_inline_table_mut().map(Place::Inline),
            _ => None,
        }
    }

    pub fn value(&mut self, key: &str) -> Option<&mut Value> {
        match self {
            Place::Table(table) => table.get_mut(key)?.as_value_mut(),
            Place::Inline(table) => table.get_mut(key),
        }
    }

    /// Another text in place of a value; what stands around it stays.
    fn replace(&mut self, key: &str, text: &str) -> Result<(), Left> {
        let value = self.value(key).ok_or(Left::NoKey)?;
        let decor = value.decor().clone();
        *value = Value::from(text);
        *value.decor_mut() = decor;
        Ok(())
    }

    /// A new key at the end of the table. A table within a line has no room for the comment.
    pub fn insert(&mut self, key: &str, text: &str, comment: &str) {
        let mut value = Value::from(text);
        match self {
            Place::Table(table) => {
                *value.decor_mut() = toml_edit::Decor::new(" ", comment);
                table.insert(key, Item::Value(value));
            }
            Place::Inline(table) => {
                // the space before the brace belongs to the last value
                let last = table.iter().last().map(|(key, _)| key.to_owned());
                if let Some(last) = last.and_then(|key| table.get_mut(&key)) {
                    let space = last.decor().suffix().and_then(|space| space.as_str()).unwrap_or_default().to_owned();
                    last.decor_mut().set_suffix("");
                    *value.decor_mut() = toml_edit::Decor::new(" ", space);
                }
                table.insert(key, value);
            }
        }
    }

    /// A value at a key, at the end of the table if there is none.
    pub fn insert_value(&mut self, key: &str, value: Value) {
        match self {
            Place::Table(table) => _ = table.insert(key, Item::Value(value)),
            Place::Inline(table) => _ = table.insert(key, value),
        }
    }

    /// Another key in the place of one, with its comment: `water = "sea"` becomes `salinity = "34.1 PSU"`.
    fn rename(&mut self, key: &str, other: &str, text: &str) -> Result<(), Left> {
        let Place::Table(table) = self else { return Err(Left::NoKey) };
        let order: Vec<String> =
            table.iter().map(|(name, _)| if name == key { other } else { name }.to_owned()).collect();
        let (old, item) = table.remove_entry(key).ok_or(Left::NoKey)?;
        let mut value = Value::from(text);
        if let Some(before) = item.as_value() {
            *value.decor_mut() = before.decor().clone();
        }
        let new = Key::new(other).with_leaf_decor(old.leaf_decor().clone());
        table.insert_formatted(&new, Item::Value(value));
        let place = |name: &str| order.iter().position(|known| known == name).unwrap_or(order.len());
        table.sort_values_by(|a, _, b, _| place(a.get()).cmp(&place(b.get())));
        Ok(())
    }
}

/// The first unit of a kind.
pub(super) fn usual_unit(quantity: Quantity) -> &'static Unit {
    &quantity.units()[0]
}

pub(super) fn written(estimate: &Estimate, unit: &Unit) -> String {
    written_as(estimate, unit, unit.names[0])
}

/// An estimate as a plan has it, the doubt with two significant digits and the value to the same place (the usual
/// advice of JCGM 100:2008, 7.2.6; from memory).
fn written_as(estimate: &Estimate, unit: &Unit, name: &str) -> String {
    let value = (estimate.value - unit.zero) / unit.factor;
    let Some(Doubt { half_width, shape }) = estimate.doubt else { return format!("{value} {name}") };
    let half_width = half_width / unit.factor;
    let decimals = (1 - half_width.log10().floor() as i64).clamp(0, 12) as usize;
    // 0.0 and not -0.0
    let value = if value.abs() < 0.5 * 10f64.powi(-(decimals as i32)) { 0.0 } else { value };
    let shape = match shape {
        Shape::Rectangular => String::new(),
        Shape::Triangular => " (triangular)".into(),
        Shape::Normal { coverage_frac } => format!(" ({}%)", (coverage_frac * 1e4).round() / 1e2),
    };
    format!("{value:.decimals$} ± {half_width:.decimals$} {name}{shape}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_with_two_digits_of_their_doubt() {
        let normal = |value, half_width| Estimate {
            value,
            doubt: Some(Doubt { half_width, shape: Shape::Normal { coverage_frac: 0.95 } }),
        };
        let litre = usual_unit(Quantity::Volume);
        assert_eq!(written(&normal(0.0804321, 0.000346), litre), "80.43 ± 0.35 L (95%)");
        assert_eq!(written(&normal(0.0804321, 0.0123), litre), "80 ± 12 L (95%)");
        assert_eq!(written(&Estimate::within(-2.6, 0.099), usual_unit(Quantity::Mass)), "-2.600 ± 0.099 kg");
        assert_eq!(written(&Estimate::within(280.15, 1.0), usual_unit(Quantity::Temperature)), "7.0 ± 1.0 °C");
    }
    /// A figure keeps its unit, whatever its case; one written as another quantity is written in its own.
    #[test]
    fn a_figure_keeps_its_unit_if_it_is_one_of_its_own() {
        for (key, quantity, old, si, half_width, new) in [
            ("wing.capacity", Quantity::Volume, "40 lb", 0.018, 0.001, "18.0 ± 1.0 L"),
            ("wing.capacity", Quantity::Volume, "18 l", 0.018, 0.001, "18.0 ± 1.0 l"),
            (
                "cylinder[1].fill",
                Quantity::Pressure,
                "3000 PSI",
                3000.0 * crate::units::PSI_PA,
                15.0 * crate::units::PSI_PA,
                "3000 ± 15 PSI",
            ),
        ] {
            let text = format!("[wing]\ncapacity = \"{old}\"\n[[cylinder]]\nfill = \"{old}\"\n");
            let mut document: DocumentMut = text.parse().unwrap();
            let estimate = Estimate::within(si, half_width);
            let input = Input {
                path: key.parse().unwrap(),
                label: String::new(),
                quantity,
                estimate,
                origin: crate::estimate::Origin::Written,
                group: None,
                note: None,
            };
            assert!(replace(&mut document, &input, &estimate).is_ok());
            assert!(document.to_string().contains(&format!("= \"{new}\"")), "{document}");
        }
    }
}
