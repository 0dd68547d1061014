//! `lightpoint compare PLAN --sweep KEY=FROM..TO/STEPS`: findings against a changing quantity.

use std::process::ExitCode;

use crate::answer::{Key, Sweep, Swept};
use crate::cli::CliError;
use crate::cli::args::CompareArgs;
use crate::cli::compare::out_dir;
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, figure_files, print, print_json, print_written, write_all};
use crate::plan::written;
use crate::report::chart;
use crate::report::compare::{axis, axis_title, number};
use crate::report::json;
use crate::report::measure::fixed;
use crate::report::sweep as words;
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text;

/// What is swept: `KEY=FROM..TO/STEPS`.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Key of the plan.
    pub key: String,
    /// First value.
    pub from: f64,
    /// Last value.
    pub to: f64,
    /// Unit of both, as it stands in the plan.
    pub unit: String,
    /// Number of intervals.
    pub steps: usize,
}

/// Most intervals of a sweep: a curve needs no more.
const MAX_STEPS: usize = 200;
/// Intervals where none are given.
const USUAL_STEPS: usize = 10;

/// Reads `KEY=FROM..TO/STEPS`, such as `suit.gas_volume=6 L..16 L/10`; the unit may stand once.
pub fn parse(text: &str) -> Result<Asked, String> {
    const EXPECTED: &str = "expected KEY=FROM..TO/STEPS, for example \"suit.gas_volume=6 L..16 L/10\"";
    let (key, range) = text.split_once('=').ok_or(EXPECTED)?;
    let (ends, steps) = match range.rsplit_once('/') {
        // a slash may also belong to the unit: L/min
        Some((ends, steps)) if steps.trim().chars().all(|c| c.is_ascii_digit()) && !steps.trim().is_empty() => {
            (ends, steps.trim().parse::<usize>().map_err(|_| EXPECTED.to_owned())?)
        }
        _ => (range, USUAL_STEPS),
    };
    let (from, to) = ends.trim_matches('"').split_once("..").ok_or(EXPECTED)?;
    let ((from, from_unit), (to, to_unit)) = (number_and_unit(from)?, number_and_unit(to)?);
    let unit = if to_unit.is_empty() { from_unit.clone() } else { to_unit };
    if !from_unit.is_empty() && from_unit != unit {
        return Err(format!("the ends have different units, {from_unit} and {unit}"));
    }
    if !(1..=MAX_STEPS).contains(&steps) || from == to {
        return Err(format!("a sweep goes from one value to another one in 1 to {MAX_STEPS} steps"));
    }
    Ok(Asked { key: key.trim().into(), from, to, unit, steps })
}

fn number_and_unit(text: &str) -> Result<(f64, String), String> {
    let text = text.trim().trim_matches('"');
    let (number, unit) = written::number_and_unit(text).ok_or_else(|| format!("{text:?} has no number in front"))?;
    Ok((number, unit.to_owned()))
}

/// Runs the sweep.
pub fn sweep(args: &CompareArgs, asked: &Asked) -> Result<ExitCode, CliError> {
    let [plan] = args.plans.as_slice() else {
        return Err(CliError::Option {
            option: "--sweep",
            value: asked.key.clone(),
            expected: "a sweep takes exactly one plan".into(),
        });
    };
    let keys: Vec<Key> = if args.finding.is_empty() {
        vec![Key::LeastLead, Key::MostLead]
    } else {
        args.finding.iter().map(|finding| finding.0).collect()
    };
    let first = keys[0].quantity();
    if keys.iter().any(|key| key.quantity() != first) {
        let names: Vec<_> = keys.iter().map(|key| key.name()).collect();
        return Err(CliError::Option {
            option: "--finding",
            value: names.join(", "),
            expected: "one figure shows findings of one unit".into(),
        });
    }
    let own = load(Some(plan), &args.variation)?;
    let number = |i: usize| {
        let at = asked.from + (asked.to - asked.from) * i as f64 / asked.steps as f64;
        // twelve places: no noise of the division in the plan's text
        (at * 1e12).round() / 1e12
    };
    let numbers = (0..=asked.steps).map(number).collect();
    let swept = Swept { key: asked.key.clone(), unit: asked.unit.clone(), numbers };
    let found = Sweep::of(&own.plan, &swept, &keys)?;
    show(args, &swept, &own, &keys, &found)?;
    Ok(ExitCode::SUCCESS)
}

fn show(args: &CompareArgs, asked: &Swept, own: &Loaded, keys: &[Key], found: &Sweep) -> Result<(), CliError> {
    let units = own.units(args.units);
    let x_title = axis_title(&asked.key, &asked.unit);
    let mut table = new_table();
    let head = |title: String| textwrap::fill(&title, 16);
    table.set_header(std::iter::once(head(x_title.clone())).chain(keys.iter().map(|&key| head(axis(units, key)))));
    let mut csv = vec![std::iter::once(x_title.clone()).chain(keys.iter().map(|&key| axis(units, key))).collect()];
    for point in &found.points {
        let at = fixed(point.at, 3);
        let row = |cell: &dyn Fn(Key, f64) -> String| -> Vec<String> {
            let told = match &point.figures {
                Ok(figures) => keys
                    .iter()
                    .zip(figures)
                    .map(|(&key, figure)| figure.map_or("—".into(), |si| cell(key, si)))
                    .collect(),
                Err(error) => vec![error.to_string()],
            };
            std::iter::once(at.clone()).chain(told).collect()
        };
        table.add_row(row(&|key, si| number(units, key, si)));
        // for machines: the number itself, with their minus sign
        let plain = |key: Key, si: f64| fixed(units.value(key.quantity(), si), 2);
        csv.push(row(&plain).iter().map(|cell| cell.replace('−', "-")).collect::<Vec<_>>());
    }
    align_numbers(&mut table, 0..keys.len() + 1);
    let mut written = Vec::new();
    if !args.no_files {
        let picture = chart::sweep(&words::figure(units, &own.source.title, asked, keys, found))?;
        let mut writer = csv::Writer::from_writer(Vec::new());
        csv.iter().try_for_each(|row| writer.write_record(row))?;
        let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
        let mut files = figure_files("sweep", &picture, args.png)?;
        files.push(OutFile { name: "sweep.csv".into(), bytes });
        written = write_all(&out_dir(args), files, &own.inputs())?;
    }
    if args.json {
        print_json(&json::compare::sweep(&own.source, &asked.key, &asked.unit, keys, &found.points))?;
        return Ok(());
    }
    print(&text::heading(&own.source))?;
    let leave_out: Vec<usize> = (2..=keys.len()).rev().collect();
    print(&plain(&mut table, Fit { fold: 0, leave_out: &leave_out }))?;
    print("\n")?;
    print_written(&written)?;
    print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&[])))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sweeps_are_read() {
        let asked = parse("suit.gas_volume=6 L..16 L/5").unwrap();
        assert_eq!((asked.from, asked.to, asked.unit.as_str(), asked.steps), (6.0, 16.0, "L", 5));
        let asked = parse("breathing.bottom=12..24 L/min").unwrap();
        assert_eq!((asked.from, asked.to, asked.unit.as_str(), asked.steps), (12.0, 24.0, "L/min", USUAL_STEPS));
        assert_eq!(parse("a=-1 kg..2 kg/3").unwrap().from, -1.0);
        for bad in ["a", "a=1", "a=1..x", "a=1 L..2 kg", "a=1..1", "a=1..2/0", "a=1..2/9999", "a=L..2"] {
            assert!(parse(bad).is_err(), "{bad}");
        }
    }
}
