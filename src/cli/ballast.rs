//! `lightpoint ballast`: how much lead, and why.

use std::process::ExitCode;

use crate::answer::{AnswerError, BallastFacts, Paper, Pieces};
use crate::cli::CliError;
use crate::cli::args::{BallastArgs, LeadArgs};
use crate::cli::load::load;
use crate::cli::output::{print, print_json};
use crate::plan::pieces as typed;
use crate::report::{advice, calibrate, json, lead as words, paper as on_paper, text, trim};
use crate::units::UnitSystem;

/// Nobody owns more pieces of one mass.
const MOST_PIECES: usize = 99;

/// Runs the command.
pub fn ballast(args: &BallastArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    let units = loaded.units(args.units);
    let pieces = pieces(&args.lead, units)?;
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
    let mut out = text::heading(&loaded.source);
    let (first, corrected) = calibrate::around(units, facts.checked.as_ref());
    let trim = trim::of_ballast(units, &facts);
    let lines = first.into_iter().chain(advice::lines(units, scenario, &facts.carry)).chain(trim).chain(corrected);
    lines.for_each(|line| line.write(&mut out));
    if let Some(paper) = &paper {
        on_paper::answer(units, paper).write(&mut out);
        for part in [
            on_paper::reasons(units, paper),
            on_paper::end(units, scenario, paper),
            on_paper::start(units, scenario, paper),
        ] {
            out.push_str(&format!("\n{part}\n"));
        }
        out.push_str(&format!("\n{}\n", on_paper::rules()));
    }
    let tried: Vec<_> = facts.tried.iter().filter(|tried| tried.closes_kg > words::WORTH_SHOWING_KG).collect();
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
pub(super) fn pieces(args: &LeadArgs, units: UnitSystem) -> Result<Pieces, CliError> {
    let pieces = if !args.own.is_empty() {
        let mut owned = Vec::new();
        for text in &args.own {
            let (count, mass) = typed::counted(text, MOST_PIECES);
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

/// A mass typed on the command line.
pub(super) fn mass_kg(option: &'static str, text: &str) -> Result<f64, CliError> {
    let text = text.trim();
    typed::mass_kg(text).map_err(|expected| CliError::Option { option, value: text.into(), expected })
}
