//! Levels of a dive that is written in rows: the list with other times and depths, as a text in the plan.

use super::figure::number;
use super::legs::last_stop;
use super::levels::{LevelTo, Run, spread};
use super::{Sets, written_depth_m};
use crate::plan::assemble::{ProfileRow, ProfileRows};
use crate::plan::csv::Records;
use crate::plan::set::as_text;
use crate::plan::unit::unit_named;
use crate::plan::written::number_and_unit;
use crate::plan::{Built, Plan};
use crate::units::{MINUTE_S, Quantity, Unit};

/// Decimals of a time, in any unit: a second in hours.
const TIME_DECIMALS: usize = 4;

/// Cells to be written anew: their bytes and their text.
type Edits = Vec<((usize, usize), String)>;

pub(super) fn set(plan: &Plan, built: &Built, run: &Run, to: LevelTo) -> Result<Sets, String> {
    let rows = plan.rows.as_ref().ok_or("the plan has no rows")?;
    let text = &plan.sources()[rows.source].text;
    let cells = Cells { text, rows, has_commas: Records::of(text).has_decimal_commas() };
    let mut sets = Sets::new();
    let edits = match to {
        LevelTo::Depth(depth_m) => {
            let written_m = written_depth_m(plan, built.scenario.water(), depth_m);
            let (edits, old_m, rounded_m) = cells.depths(run, written_m)?;
            if let Some(dive) = &plan.file().dive {
                let unit = |old: &str| {
                    number_and_unit(old)
                        .and_then(|(_, name)| unit_named(Quantity::Length, name))
                        .map_or(1.0, |unit| unit.factor)
                };
                let name = |old: &str| number_and_unit(old).map_or("m", |(_, name)| name).to_owned();
                sets.extend(last_stop(dive, old_m, &|old| {
                    format!("{} {}", number(rounded_m / unit(old.text()), 4), name(old.text()))
                }));
            }
            edits
        }
        LevelTo::Length(length_s) => cells.times(run, length_s)?,
    };
    sets.push(("dive.profile".into(), as_text(&edited(text, edits))));
    Ok(sets)
}

/// The list's text and its rows.
struct Cells<'p> {
    text: &'p str,
    rows: &'p ProfileRows,
    has_commas: bool,
}

impl Cells<'_> {
    /// The rows of a level at another depth; what it was and what is written, m.
    fn depths(&self, run: &Run, written_m: f64) -> Result<(Edits, f64, f64), String> {
        let rows = self.rows.rows.get(run.first..run.last + 2).ok_or("the list has no such rows")?;
        let old_m = rows.first().and_then(|row| Some(row.depth.0.estimate().ok()?.value)).unwrap_or(f64::NAN);
        let unit =
            rows.first().map_or(1.0, |row| self.unit(row.depth.1, self.rows.depth_unit, Quantity::Length).factor);
        let is_feet = unit > 0.2 && unit < 0.5;
        let decimals = if is_feet { 0 } else { 1 };
        // one number for all rows, whatever their units
        let rounded_m = (written_m / unit * 10f64.powi(decimals)).round() / 10f64.powi(decimals) * unit;
        let edit =
            |row: &ProfileRow| (row.depth.1, self.cell(row.depth.1, self.rows.depth_unit, Quantity::Length, rounded_m));
        Ok((rows.iter().map(edit).collect(), old_m, rounded_m))
    }

    /// The rows of a level and all behind it at other times.
    fn times(&self, run: &Run, length_s: f64) -> Result<Edits, String> {
        let all = &self.rows.rows;
        let times: Vec<f64> = all.iter().map(|row| row.time.0.estimate().map_or(f64::NAN, |time| time.value)).collect();
        let of_run = times.get(run.first..run.last + 2).ok_or("the list has no such rows")?;
        let lengths: Vec<f64> = of_run.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let more_s = length_s - lengths.iter().sum::<f64>();
        let new = spread(lengths, length_s).ok_or("that is too short for the rows of this level")?;
        let mut now_s = of_run[0];
        let within: Vec<f64> = new
            .iter()
            .map(|length_s| {
                now_s += length_s;
                now_s
            })
            .collect();
        let moved = |i: usize| within.get(i - run.first - 1).copied().unwrap_or(times[i] + more_s);
        let edit =
            |i: usize| (all[i].time.1, self.cell(all[i].time.1, self.rows.time_unit, Quantity::Duration, moved(i)));
        Ok((run.first + 1..all.len()).map(edit).collect())
    }

    fn raw(&self, span: (usize, usize)) -> String {
        let raw = self.text[span.0..span.1].trim_matches(['"', ' ']);
        if self.has_commas { raw.replace(',', ".") } else { raw.to_owned() }
    }

    /// The unit of a cell: that of its header, else its own.
    fn unit(&self, span: (usize, usize), header: Option<&'static Unit>, quantity: Quantity) -> &'static Unit {
        let raw = self.raw(span);
        let own = || number_and_unit(&raw).and_then(|(_, name)| unit_named(quantity, name));
        header.or_else(own).unwrap_or(&quantity.units()[0])
    }

    /// Another value in a cell, as the list writes it there.
    fn cell(&self, span: (usize, usize), header: Option<&'static Unit>, quantity: Quantity, si: f64) -> String {
        let raw = self.raw(span);
        let unit = self.unit(span, header, quantity);
        let number = number((si - unit.zero) / unit.factor, TIME_DECIMALS);
        let text = match (raw.contains(':'), header) {
            (true, _) => clock(si),
            (false, Some(_)) => number,
            (false, None) => format!("{number} {}", number_and_unit(&raw).map_or(unit.names[0], |(_, name)| name)),
        };
        let text = if self.has_commas { text.replace('.', ",") } else { text };
        if self.text[span.0..].starts_with('"') { format!("\"{text}\"") } else { text }
    }
}

fn clock(si: f64) -> String {
    let seconds = si.round();
    format!("{}:{:02}", (seconds / MINUTE_S).floor(), seconds % MINUTE_S)
}

/// A text with cells written anew.
fn edited(text: &str, mut edits: Edits) -> String {
    edits.sort_by_key(|(span, _)| span.0);
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for ((from, to), new) in edits {
        out.push_str(&text[at..from]);
        out.push_str(&new);
        at = to;
    }
    out.push_str(&text[at..]);
    out
}
