//! `lightpoint doubt`: how sure the answers are, and what to weigh next.

use std::process::ExitCode;

use crate::answer::{AnswerError, DoubtFacts, Draw, DrawSettings, Stage, Tolerance, Watch};
use crate::cli::CliError;
use crate::cli::args::DoubtArgs;
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, figure_files, json_text, print, print_json, write_all};
use crate::cli::watch::{EXIT_CANCELLED, Progress, cancel};
use crate::estimate::{Input, Origin};
use crate::plan::typical::GUESS;
use crate::plan::unit;
use crate::plan::written::Written;
use crate::report::calibrate;
use crate::report::doubt::{self as words, DoubtReport, uncertain};
use crate::report::doubt_pictures::pictures;
use crate::report::inputs::weigh_first;
use crate::report::{json, text, weigh};

/// Most draws that may be asked for: a million results take about 200 MB.
const MAX_DRAWS: u64 = 5_000_000;

/// Runs the command.
pub fn doubt(args: &DoubtArgs) -> Result<ExitCode, CliError> {
    let cancel = cancel();
    let settings = settings(args)?;
    let loaded = load(Some(&args.plan), &args.variation())?;
    if let Some(number) = args.draw {
        match Draw::of(&loaded.plan, &settings, number)? {
            Some(draw) => show_draw(args, &loaded, &settings, number, &draw)?,
            None => nothing_doubtful(args, &loaded)?,
        }
        return Ok(ExitCode::SUCCESS);
    }
    let draws = Progress::new("draws", settings.draws);
    let weighing = Progress::new("what to weigh next, dives", None);
    let mut progress = |stage, count| match stage {
        Stage::Draws => draws.show(count),
        Stage::Weighing => weighing.show(count),
    };
    let watch = Watch { cancel, progress: &mut progress };
    let found = DoubtFacts::of(&loaded.plan, settings.clone(), !args.no_weigh, watch);
    draws.clear();
    match found {
        Err(AnswerError::Cancelled) => {
            eprintln!("ended by Ctrl-C before the first draws were done; there is nothing to show");
            return Ok(ExitCode::from(EXIT_CANCELLED));
        }
        other => match other? {
            Some(found) => show(args, &loaded, &found)?,
            None => nothing_doubtful(args, &loaded)?,
        },
    }
    Ok(ExitCode::SUCCESS)
}

fn nothing_doubtful(args: &DoubtArgs, loaded: &Loaded) -> Result<(), CliError> {
    if args.json {
        return Ok(print_json(&json::doubt::certain(&loaded.source))?);
    }
    Ok(print(&format!("{}{}", text::heading(&loaded.source), NOTHING_DOUBTFUL))?)
}

const NOTHING_DOUBTFUL: &str = "\
Nothing in this plan has a doubt, so there is nothing to doubt: every answer is as sure as the figures are.

Write what you know of a figure behind it, in the plan or in the gear list:
  volume = \"80.4 ± 0.5 L\"           anywhere within half a litre
  in_water = \"-2.6 ± 0.3 kg (95%)\"  a normal distribution, 95 % of it within 0.3 kg
  bottom = \"19 ± 3 L/min (triangular)\"
";

/// From the options to the settings of the draws.
fn settings(args: &DoubtArgs) -> Result<DrawSettings, CliError> {
    if let Some(draws) = args.draws.filter(|draws| !(1..=MAX_DRAWS).contains(draws)) {
        let expected = format!("1 to {MAX_DRAWS} draws can be made");
        return Err(CliError::Option { option: "--draws", value: draws.to_string(), expected });
    }
    let tolerance = args.tolerance.as_deref().map(tolerance).transpose()?;
    let usual = DrawSettings::default();
    Ok(DrawSettings {
        seed: args.seed,
        draws: args.draws,
        tolerance: tolerance.unwrap_or(usual.tolerance),
        threads: args.threads,
        ..usual
    })
}

/// A mass, or a number of digits of the standard uncertainty.
fn tolerance(text: &str) -> Result<Tolerance, CliError> {
    let trimmed = text.trim();
    let count = trimmed.strip_suffix("digits").or_else(|| trimmed.strip_suffix("digit")).unwrap_or(trimmed);
    if let Ok(digits @ 1..=4) = count.trim().parse::<u32>() {
        return Ok(Tolerance::Digits(digits));
    }
    match Written::<unit::Mass>::parse(trimmed).estimate() {
        // below a gram stands what the search for the lead leaves open
        Ok(estimate) if estimate.value >= 1e-3 && estimate.doubt.is_none() => Ok(Tolerance::Kg(estimate.value)),
        _ => Err(CliError::Option {
            option: "--tolerance",
            value: text.to_owned(),
            expected: "a mass from 1 g upwards such as \"0.05 kg\", or 1 to 4 digits such as \"2 digits\", is expected"
                .into(),
        }),
    }
}

/// One draw again, alone.
fn show_draw(
    args: &DoubtArgs,
    loaded: &Loaded,
    settings: &DrawSettings,
    number: u64,
    draw: &Draw,
) -> Result<(), CliError> {
    let (inputs, units) = (&draw.built.inputs, loaded.units(args.units));
    let Draw { drawn, row, .. } = draw;
    if args.json {
        print_json(&json::doubt::draw(&loaded.source, settings, number, inputs, drawn, row))?;
        return Ok(());
    }
    let mut out = text::heading(&loaded.source);
    out.push_str(&format!("Draw {number} of seed {}\n\n", settings.seed));
    out.push_str(&words::draw_table(units, inputs, drawn));
    out.push_str("\n\n");
    match row {
        Ok(row) => words::draw_answers(units, row).iter().for_each(|line| line.write(&mut out)),
        Err(reason) => text::Line { label: "Failed".into(), text: reason.clone(), within: Some(false) }.write(&mut out),
    }
    print(&format!("{out}\n{}", text::footer(&loaded.notes(&draw.built, units)))).map_err(CliError::from)
}

fn show(args: &DoubtArgs, loaded: &Loaded, found: &DoubtFacts) -> Result<(), CliError> {
    let DoubtFacts { built, checked, settings, study, next } = found;
    let (inputs, units, next) = (&built.inputs, loaded.units(args.units), next.as_ref());
    let report = DoubtReport { units, source: &loaded.source, scenario: &built.scenario, inputs, settings, study };
    let result_text = json_text(&json::doubt::result(&report, next));
    let mut written = Vec::new();
    if !args.no_files {
        let mut files = vec![OutFile { name: "doubt.json".into(), bytes: result_text.clone().into_bytes() }];
        for (name, picture) in pictures(&report, next)? {
            files.extend(figure_files(name, &picture, args.png)?);
        }
        written = write_all(&loaded.out_dir(args.out.as_deref()), files, &loaded.inputs())?;
    }
    if args.json {
        print(&result_text)?;
        return Ok(());
    }
    let mut out = text::heading(&loaded.source);
    out.push_str(&words::lead_in(&report));
    let (first, corrected) = calibrate::around(units, checked.as_ref());
    let lines = first.into_iter().chain(words::answer(&report)).chain(corrected);
    lines.for_each(|line| line.write(&mut out));
    out.push('\n');
    match next {
        Some(next) => {
            out.push_str(&weigh::table(units, inputs, next, args.details));
            out.push_str("\n\n");
            for sentence in weigh::sentences(units, inputs, next) {
                out.push_str(&format!("{}\n", text::filled(&sentence)));
            }
            out.push('\n');
        }
        None if args.no_weigh => {}
        None => out.push_str(&format!("{}\n\n", words::not_weighed(study))),
    }
    print(&out)?;
    for path in &written {
        print(&format!("wrote {}\n", path.display()))?;
    }
    let mut notes = loaded.notes(built, units);
    if let Some(advice) = weigh_first(units, inputs) {
        notes.insert(0, advice);
    }
    if uncertain(inputs).all(|input| input.origin == Origin::Typical) {
        let is_guess = |input: &Input| input.note.as_deref() == Some(GUESS);
        let note = match uncertain(inputs).any(is_guess) {
            true => {
                "all of this comes from typical figures and from guesses of the plan; write what you know of yours, such as \
                 \"80.4 ± 0.5 L\", without (guess)"
            }
            false => {
                "the plan itself writes no doubt: all of this comes from typical figures; write what you know of yours, such \
                 as \"80.4 ± 0.5 L\""
            }
        };
        notes.insert(0, note.to_owned());
    }
    print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&notes)))?;
    Ok(())
}
