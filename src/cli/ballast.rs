//! `lightpoint ballast`: how much lead, and why.

use std::process::ExitCode;

use crate::answer::{AnswerError, BallastFacts, Paper, Pieces};
use crate::cli::CliError;
use crate::cli::args::BallastArgs;
use crate::cli::load::load;
use crate::cli::output::{print, print_json};
use crate::plan::unit;
use crate::plan::written::{QuantityError, Written};
use crate::report::{advice, calibrate, json, lead as words, paper as on_paper, text};
use crate::units::UnitSystem;

/// Nobody owns more pieces of one mass.
const MOST_PIECES: usize = 99;
/// A change that closes less is not worth a line, kg.
const WORTH_SHOWING_KG: f64 = 0.01;

/// Runs the command.
pub fn ballast(args: &BallastArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    let units = loaded.units(args.units);
    let pieces = pieces(args, units)?;
    let facts = BallastFacts::of(&loaded.plan, &pieces)?;
    let scenario = &facts.built.scenario;
    let paper = match args.paper {
        true => Some(Paper::of(&loaded.plan, &facts.built, &facts.carry.range)?),
        false => None,
    };
    if args.json {
        print_json(&json::ballast::result(&loaded.source, &facts, paper.as_ref()))?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut out = text::heading(&loaded.source.title);
    let (first, corrected) = calibrate::around(units, facts.checked.as_ref());
    let lines = first.into_iter().chain(advice::lines(units, scenario, &facts.carry)).chain(corrected);
    lines.for_each(|line| line.write(&mut out));
    if let Some(paper) = &paper {
        on_paper::answer(units, paper).write(&mut out);
        for part in [on_paper::reasons(units, paper), on_paper::end(units, paper), on_paper::start(units, paper)] {
            out.push_str(&format!("\n{part}\n"));
        }
        out.push_str(&format!("\n{}\n", on_paper::rules()));
    }
    let tried: Vec<_> = facts.tried.iter().filter(|tried| tried.closes_kg > WORTH_SHOWING_KG).collect();
    if !tried.is_empty() {
        out.push('\n');
        out.push_str(&words::changes_table(units, &tried));
    }
    if !facts.removable.is_empty() {
        out.push('\n');
        out.push_str(&words::removable_table(units, scenario, &facts.removable));
    }
    let range = &facts.carry.range;
    if args.explain {
        for (title, bound) in [("At the least lead", &range.least), ("At the most lead", &range.most)] {
            out.push('\n');
            out.push_str(&words::sum_table(units, scenario, title, &bound.binding));
            out.push('\n');
        }
        out.push('\n');
        out.push_str(&words::gas_table(units, range));
        out.push('\n');
    }
    print(&format!("{out}\n"))?;
    print(&text::footer(&loaded.notes(&facts.built, units)))?;
    Ok(ExitCode::SUCCESS)
}

/// The pieces of lead that there are.
fn pieces(args: &BallastArgs, units: UnitSystem) -> Result<Pieces, CliError> {
    let pieces = if !args.own.is_empty() {
        let mut owned = Vec::new();
        for text in &args.own {
            let (count, mass) = counted(text);
            let mass_kg = mass_kg("--own", mass)?;
            owned.extend(std::iter::repeat_n(mass_kg, count));
        }
        Pieces::Owned(owned)
    } else if let Some(piece) = &args.piece {
        Pieces::Step(mass_kg("--piece", piece)?)
    } else {
        Pieces::Usual(units)
    };
    pieces.check().map_err(AnswerError::from)?;
    Ok(pieces)
}

/// How many of a mass: `5 x 1 kg`, or one.
fn counted(text: &str) -> (usize, &str) {
    let several = text.split_once(['x', '×', '*']).and_then(|(count, mass)| {
        let count = count.trim().parse().ok().filter(|count| (1..=MOST_PIECES).contains(count))?;
        Some((count, mass))
    });
    several.unwrap_or((1, text))
}

/// A mass typed on the command line.
fn mass_kg(option: &'static str, text: &str) -> Result<f64, CliError> {
    let text = text.trim();
    match Written::<unit::Mass>::parse(text).estimate() {
        Ok(estimate) => Ok(estimate.value),
        Err(error) => Err(CliError::Option { option, value: text.into(), expected: mass_expected(error) }),
    }
}

/// What is wrong with a mass, and what would be right.
fn mass_expected(error: &QuantityError) -> String {
    match error {
        QuantityError::NoUnit { .. } => "a mass needs its unit, such as 0.5 kg or 1 lb".into(),
        other => format!("{other}; a mass is such as 0.5 kg or 1 lb"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_may_be_counted() {
        for (text, expected) in [
            ("5 x 2 kg", (5, " 2 kg")),
            ("5x2 kg", (5, "2 kg")),
            ("3 × 1 lb", (3, " 1 lb")),
            ("2*1 kg", (2, "1 kg")),
            ("2 kg", (1, "2 kg")),
            // told as no mass
            ("0 x 2 kg", (1, "0 x 2 kg")),
            ("1.5 x 2 kg", (1, "1.5 x 2 kg")),
            ("500 x 2 kg", (1, "500 x 2 kg")),
        ] {
            assert_eq!(counted(text), expected);
        }
    }
}
