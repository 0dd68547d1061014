//! `lightpoint doubt`: how sure the answers are, and what to weigh next.

use std::process::ExitCode;

use serde_json::Value;

use crate::cli::CliError;
use crate::cli::args::DoubtArgs;
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, print, write_all};
use crate::cli::watch::{EXIT_CANCELLED, Progress, cancel};
use crate::estimate::Origin;
use crate::plan::DrawError;
use crate::plan::unit;
use crate::plan::written::Written;
use crate::report::chart::{self, PNG_WIDTH_PX, Picture, SpreadBand};
use crate::report::doubt::{self as words, DoubtReport, percent, share_text, uncertain};
use crate::report::{text, weigh};
use crate::scenario::Scenario;
use crate::study::spread::{
    Answer, Control, Draws, Risk, Settings, Spread, Stopped, Tolerance, WeighNext, one, spread as study, weigh_next,
};

/// Times at which the band of the figure is taken: one every seven pixels.
const BAND_POINTS: usize = 120;
/// Most draws that may be asked for: a million results take about 200 MB.
const MAX_DRAWS: u64 = 5_000_000;

/// Runs the command.
pub fn doubt(args: &DoubtArgs) -> Result<ExitCode, CliError> {
    let cancel = cancel();
    let settings = settings(args)?;
    let loaded = load(Some(&args.plan), &args.variation())?;
    let inputs = &loaded.built.inputs;
    if uncertain(inputs).next().is_none() {
        print(&format!("{}{}", text::heading(&loaded.source.title), NOTHING_DOUBTFUL))?;
        return Ok(ExitCode::SUCCESS);
    }
    let build = |values: &[f64]| loaded.plan.build_draw(values, &loaded.built);
    if let Some(draw) = args.draw {
        one_draw(args, &loaded, &settings, draw, &build)?;
        return Ok(ExitCode::SUCCESS);
    }
    let settings = Settings { band_times_s: band_times_s(&loaded.built.scenario), ..settings };
    let progress = Progress::new("draws", settings.draws);
    let control = Control { cancel, progress: |draws| progress.show(draws) };
    let found = study(inputs, &build, &settings, control);
    progress.clear();
    let found = found?;
    if found.rows.is_empty() && found.stopped == Stopped::Cancelled {
        eprintln!("ended by Ctrl-C before the first draws were done; there is nothing to show");
        return Ok(ExitCode::from(EXIT_CANCELLED));
    }
    let next = if args.no_weigh || found.stopped == Stopped::Cancelled {
        None
    } else {
        let progress = Progress::new("what to weigh next, dives", None);
        let control = Control { cancel, progress: |runs| progress.show(runs) };
        let next = weigh_next(inputs, &build, &settings, &found, control);
        progress.clear();
        next?
    };
    show(args, &loaded, &settings, &found, next.as_ref())?;
    Ok(ExitCode::SUCCESS)
}

const NOTHING_DOUBTFUL: &str = "\
Nothing in this plan has a doubt, so there is nothing to doubt: every answer is as sure as the figures are.

Write what you know of a figure behind it, in the plan or in the gear list:
  volume = \"80.4 ± 0.5 L\"           anywhere within half a litre
  in_water = \"-2.6 ± 0.3 kg (95%)\"  a normal distribution, 95 % of it within 0.3 kg
  bottom = \"19 ± 3 L/min (triangular)\"
";

/// From the options to the settings of the draws.
fn settings(args: &DoubtArgs) -> Result<Settings, CliError> {
    if let Some(draws) = args.draws.filter(|draws| !(1..=MAX_DRAWS).contains(draws)) {
        let expected = format!("1 to {MAX_DRAWS} draws can be made");
        return Err(CliError::Option { option: "--draws", value: draws.to_string(), expected });
    }
    let tolerance = args.tolerance.as_deref().map(tolerance).transpose()?;
    let usual = Settings::default();
    Ok(Settings {
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

fn band_times_s(scenario: &Scenario) -> Vec<f64> {
    let end_s = scenario.profile().end_s();
    (0..BAND_POINTS).map(|i| end_s * i as f64 / (BAND_POINTS - 1) as f64).collect()
}

/// One draw again, alone.
fn one_draw<F>(args: &DoubtArgs, loaded: &Loaded, settings: &Settings, draw: u64, build: &F) -> Result<(), CliError>
where
    F: Fn(&[f64]) -> Result<Scenario, DrawError>,
{
    let (inputs, units) = (&loaded.built.inputs, args.units.into());
    let draws = Draws::new(inputs, settings.sequence, settings.seed);
    let (values, row) = one(&draws, build, draw);
    if args.json {
        let value = words::draw_json(units, settings, draw, inputs, &values, &row);
        print(&format!("{}\n", serde_json::to_string_pretty(&value).unwrap_or_default()))?;
        return Ok(());
    }
    let mut out = text::heading(&loaded.source.title);
    out.push_str(&format!("Draw {draw} of seed {}\n\n", settings.seed));
    out.push_str(&words::draw_table(units, inputs, &values));
    out.push_str("\n\n");
    match &row {
        Ok(row) => words::draw_answers(units, row).iter().for_each(|line| line.write(&mut out)),
        Err(reason) => text::Line { label: "Failed".into(), text: reason.clone(), within: Some(false) }.write(&mut out),
    }
    print(&format!("{out}\n{}", text::footer(&loaded.notes))).map_err(CliError::from)
}

fn show(
    args: &DoubtArgs,
    loaded: &Loaded,
    settings: &Settings,
    found: &Spread,
    next: Option<&WeighNext>,
) -> Result<(), CliError> {
    let (inputs, units) = (&loaded.built.inputs, args.units.into());
    let report = DoubtReport {
        units,
        source: &loaded.source,
        scenario: &loaded.built.scenario,
        inputs,
        settings,
        spread: found,
    };
    let value = words::json(&report, next.map_or(Value::Null, |next| weigh::json(units, inputs, next)));
    let mut json_text = serde_json::to_string_pretty(&value).unwrap_or_default();
    json_text.push('\n');
    let mut written = Vec::new();
    if !args.no_files {
        let mut files = vec![OutFile { name: "doubt.json".into(), bytes: json_text.clone().into_bytes() }];
        files.extend(figures(&report, next)?);
        written = write_all(&loaded.out_dir(args.out.as_deref()), files, &loaded.inputs())?;
    }
    if args.json {
        print(&json_text)?;
        return Ok(());
    }
    let mut out = text::heading(&loaded.source.title);
    out.push_str(&words::lead_in(&report));
    words::answer(&report).iter().for_each(|line| line.write(&mut out));
    out.push('\n');
    match next {
        Some(next) => {
            out.push_str(&weigh::table(units, inputs, next));
            out.push_str("\n\n");
            for sentence in weigh::sentences(units, inputs, next) {
                out.push_str(&format!("{}\n", textwrap::fill(&sentence, 100)));
            }
            out.push('\n');
        }
        None if found.stopped == Stopped::Cancelled => out.push_str("What to weigh next was not looked at.\n\n"),
        None if args.no_weigh => {}
        None => out.push_str("What to weigh next could not be told: ended by Ctrl-C, or too many draws failed.\n\n"),
    }
    print(&out)?;
    for path in &written {
        print(&format!("wrote {}\n", path.display()))?;
    }
    let mut notes = loaded.notes.clone();
    if uncertain(inputs).all(|input| input.origin == Origin::Typical) {
        let note = "the plan itself writes no doubt: all of this comes from typical figures; write what you know of \
                    yours, such as \"80.4 ± 0.5 L\"";
        notes.insert(0, note.to_owned());
    }
    print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&notes)))?;
    Ok(())
}

/// The band around the curve, and the shares of the doubt.
fn figures(report: &DoubtReport<'_>, next: Option<&WeighNext>) -> Result<Vec<OutFile>, CliError> {
    let mut files = Vec::new();
    let mut add = |name: &str, picture: Picture| -> Result<(), CliError> {
        files.push(OutFile { name: format!("{name}.svg"), bytes: picture.svg()?.into_bytes() });
        files.push(OutFile { name: format!("{name}.png"), bytes: picture.png(PNG_WIDTH_PX)? });
        Ok(())
    };
    if let Some(band) = &report.spread.band {
        let (low_kg, high_kg): (Vec<f64>, Vec<f64>) = band.interval_kg.iter().map(|one| (one.low, one.high)).unzip();
        let figure = SpreadBand {
            title: &title(report),
            subject: &report.source.title,
            band: &format!("{} of the draws", percent(report.settings.coverage_frac)),
            time_s: &band.times_s,
            low_kg: &low_kg,
            middle_kg: &band.median_kg,
            high_kg: &high_kg,
            capacity_kg: report.scenario.rig().swim_up_kg,
            units: report.units,
        };
        add("doubt", chart::spread_band(&figure)?)?;
    }
    if let Some(next) = next {
        let shares = weigh::shares(report.units, report.inputs, next, Answer::Least);
        if let Some(first) = shares.first() {
            let part = if first.alone_frac > 0.5 { "most of it" } else { "the largest part" };
            let title = format!("Doubt of the least lead: {part} from {}", first.name);
            add("shares", chart::shares(&title, &report.source.title, &shares)?)?;
        }
    }
    Ok(files)
}

/// The message of the band's figure.
fn title(report: &DoubtReport<'_>) -> String {
    let found = report.spread.outlook.risks.iter().find(|(one, _)| *one == Risk::CannotSwimUp);
    match found {
        Some((_, chance)) if chance.is_below_floor() => {
            format!("Beyond the swim-up limit in fewer than {} of the draws", percent(chance.floor_frac))
        }
        Some((_, chance)) if chance.hits == chance.of => "Beyond the swim-up limit in all draws".into(),
        Some((_, chance)) if chance.hits > 0 => {
            format!("Beyond the swim-up limit in {} of the draws", share_text(chance))
        }
        _ => "Within the swim-up limit in all draws".into(),
    }
}
