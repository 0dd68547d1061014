//! Distances that checks of the trim moved, written into a plan: `at = { along = "-0.31 ± 0.05 m (95%)" }`.
//!
//! A usual place has no key of its own. One thing there gets it; where several share the place, its doubt would be several
//! doubts when written out, so it is left out and told.

use toml_edit::{DocumentMut, InlineTable, Value};

use crate::estimate::{Estimate, Input, KeyPath, Origin};
use crate::physics::place::Point;
use crate::plan::assemble::is_guess;
use crate::plan::calibrated::{CalibratedPlan, Left, Place, replace, usual_unit, written};
use crate::plan::checks::with_line_ends_of;
use crate::plan::typical::places;
use crate::plan::{Built, Plan};
use crate::units::Quantity;

impl Plan {
    /// The plan's text with other estimates for some of the figures of [`Built::uncertain`], and for some of the distances of
    /// [`Built::uncertain_places`], each with its index there.
    pub fn calibrated_with_places(
        &self,
        built: &Built,
        values: &[(usize, Estimate)],
        distances: &[(usize, Estimate)],
    ) -> CalibratedPlan {
        let mut calibrated = self.calibrated(built, values);
        let Ok(mut document) = calibrated.text.parse::<DocumentMut>() else { return calibrated };
        let uncertain: Vec<&Input> = built.uncertain_places().collect();
        for (index, estimate) in distances {
            let Some(input) = uncertain.get(*index) else { continue };
            let is_usual = input.origin == Origin::Typical && !is_guess(input);
            let outcome = match is_usual && !input.path.is_beside() {
                true => add_distance(&mut document, built, input, estimate),
                false => replace(&mut document, input, estimate),
            };
            match outcome {
                Ok(()) => calibrated.places_written.push(*index),
                Err(left) => calibrated.places_left.push((*index, left)),
            }
        }
        calibrated.text = with_line_ends_of(&calibrated.text, document.to_string());
        calibrated
    }
}

/// A usual distance as a key of its own.
fn add_distance(document: &mut DocumentMut, built: &Built, input: &Input, estimate: &Estimate) -> Result<(), Left> {
    let text = distance(estimate);
    let parent = input.path.parent();
    if !["at", "gas_at"].contains(&parent.last()) {
        let (mut table, key) = Place::of(document.as_table_mut(), &input.path).ok_or(Left::NoKey)?;
        table.insert(key, &text, &format!("  # typical before the checks: {}", distance(&input.estimate)));
        return Ok(());
    }
    if things_there(built, input) > 1 {
        return Err(Left::SharedPlace);
    }
    let (mut table, key) = Place::of(document.as_table_mut(), &parent).ok_or(Left::NoKey)?;
    let axis = input.path.last();
    match table.value(key) {
        None => table.insert_value(key, Value::InlineTable(std::iter::once((axis, text)).collect())),
        Some(Value::InlineTable(at)) => _ = at.insert(axis, Value::from(text)),
        Some(Value::String(word)) => {
            let word = word.value().clone();
            let at = spelled_out(built, &parent, &word, axis, text).ok_or(Left::NoKey)?;
            table.insert_value(key, Value::InlineTable(at));
        }
        Some(_) => return Err(Left::NoKey),
    }
    Ok(())
}

/// A place by its word, as distances.
fn spelled_out(built: &Built, at: &KeyPath, word: &str, axis: &str, text: String) -> Option<InlineTable> {
    let found = places::place(word).map(|placed| placed.on(&built.stance).0);
    let point: Point = found.or_else(|| Some(places::valve_of(places::lie_of(word, 0)?, &built.stance).0))?;
    let mut table = InlineTable::new();
    for key in ["along", "up"] {
        let path = at.clone().field(key);
        let own = built.places.iter().find(|input| input.path == path)?;
        let text = if key == axis { text.clone() } else { distance(&own.estimate) };
        table.insert(key, Value::from(text));
    }
    if point.left_m != 0.0 {
        table.insert("left", Value::from(distance(&Estimate::exact(point.left_m))));
    }
    Some(table)
}

/// How many things of the dive are at the place of a usual distance: it is the same number for all of them.
fn things_there(built: &Built, input: &Input) -> usize {
    let rig = built.scenario.rig();
    let is_along = input.path.last() == "along";
    let of = |point: Point| if is_along { point.along_m } else { point.up_m };
    let is_there = |point: &Point| of(*point).to_bits() == input.estimate.value.to_bits();
    let parts = rig.all_parts().filter_map(|part| part.at).map(|at| at.mass);
    let valves = rig.cylinders.iter().filter_map(|body| body.spec().lie).map(|lie| lie.valve);
    parts.chain(valves).filter(is_there).count()
}

fn distance(estimate: &Estimate) -> String {
    written(estimate, usual_unit(Quantity::Length))
}
