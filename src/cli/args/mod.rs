//! What may be typed. `choices` holds the words that an option may have.

mod choices;
mod lead;

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

use crate::answer::Key;
use crate::plan::starter::MAX_STAGES;

pub use choices::{CylindersChoice, FigureName, PaperSize, SuitChoice, Units};
pub use lead::{BallastArgs, LeadArgs, TrimArgs};

/// Net buoyancy of a diver through a whole dive: how much lead, what a failed wing means, when the dive is lightest.
#[derive(Debug, Parser)]
#[command(version, about, propagate_version = true, max_term_width = 100, after_help = CAUTION)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const CAUTION: &str = "A planning and teaching aid; it plans no decompression. Verify every figure in the water, \
confined water first, with a partner. Agency standards, local rules and a qualified instructor come first.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Simulate a dive, print the findings, write the series, the figures and the result
    Run(RunArgs),
    /// Find out how much lead, and why
    Ballast(BallastArgs),
    /// Where the diver hangs, and where to put the lead
    Trim(TrimArgs),
    /// Write one self-contained page for student and team: the answer, the dive, a check list for the pool
    Handout(HandoutArgs),
    /// Write one page that holds the plan and the engine, and open it: the dive is computed again while it is changed
    Bench(BenchArgs),
    /// Answer for a class at once: a row for each student, the lead to bring, every page
    Class(ClassArgs),
    /// Hold dives against one another, or a finding against a changing quantity
    Compare(CompareArgs),
    /// Find out how sure the answers are, and what to weigh next
    Doubt(DoubtArgs),
    /// Bring checks made in the water back into a plan
    Calibrate(CalibrateArgs),
    /// Say whether a plan is valid, and where each of its figures comes from; nothing is computed
    Check(CheckArgs),
    /// List the generic cylinder sizes that a plan may name
    Cylinders(CylindersArgs),
    /// Write a starter plan, with a comment on every figure
    New(NewArgs),
    /// Print the JSON Schema of a plan, for editors, or of the result of a run
    Schema(SchemaArgs),
    /// Print what a shell needs to complete commands and options
    Completions(CompletionsArgs),
    /// Print the manual page, or write the pages of all commands
    Man(ManArgs),
}

/// Changes to a plan that are not written into its file.
#[derive(Clone, Debug, Default, ClapArgs)]
pub struct Variation {
    /// Change a value of the plan for this run, e.g. --set suit.gas_volume="14 L"
    #[arg(long = "set", value_name = "KEY=VALUE", value_parser = key_value)]
    pub sets: Vec<(String, String)>,
}

fn key_value(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((key, value)) if !key.trim().is_empty() => {
            let value = value.trim();
            // quotes that a shell left around a text; others belong to it
            let bare = value.strip_prefix('"').and_then(|value| value.strip_suffix('"'));
            let bare = bare.filter(|text| !text.is_empty() && !text.contains('"'));
            Ok((key.trim().to_owned(), bare.unwrap_or(value).to_owned()))
        }
        _ => Err("expected KEY=VALUE, for example suit.gas_volume=\"14 L\"".into()),
    }
}

/// `lightpoint run`
#[derive(Debug, ClapArgs)]
pub struct RunArgs {
    /// The plan; without one, a built-in demonstration dive
    pub plan: Option<PathBuf>,
    /// Folder for the files [default: lightpoint-out/PLAN-NAME]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write no files
    #[arg(long, conflicts_with = "out")]
    pub no_files: bool,
    /// Print the result as JSON, SI, instead of the summary
    #[arg(long)]
    pub json: bool,
    /// Figures to draw; may be given more than once [default: dive, cylinders, gas, and where there is a loop, loop]
    #[arg(long, value_name = "NAME", value_enum)]
    pub figure: Vec<FigureName>,
    /// Say what goes wrong when the wing fails, suit or loop is flooded, a cylinder or the lead is lost; or only of those
    /// named, e.g. --mishaps="wing + suit, lead": + joins what happens at once
    #[arg(long, value_name = "LIST", num_args = 0..=1, require_equals = true, default_missing_value = "usual")]
    pub mishaps: Option<String>,
    /// Write each figure as PNG too, beside its SVG
    #[arg(long)]
    pub png: bool,
    /// Keep only one row of the series for so many seconds
    #[arg(long, value_name = "SECONDS")]
    pub every: Option<f64>,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    /// Exit with 1 if the diver cannot swim up somewhere, cannot hold the last stop, needs a larger wing, or runs out
    /// of gas
    #[arg(long)]
    pub strict: bool,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// `lightpoint compare`
#[derive(Debug, ClapArgs)]
pub struct CompareArgs {
    /// Two to six plans; one, with --set or --sweep; or any number, with --list
    #[arg(required = true, num_args = 1.., value_name = "PLAN")]
    pub plans: Vec<PathBuf>,
    /// A plan a row instead of a plan a column, up to 10 000; a plan with problems leaves the others' rows standing
    #[arg(long, conflicts_with_all = ["sweep", "png"])]
    pub list: bool,
    /// Let a quantity of the plan change, e.g. --sweep "suit.gas_volume=6 L..16 L/10"
    #[arg(long, value_name = "KEY=FROM..TO/STEPS", value_parser = crate::cli::sweep::parse)]
    pub sweep: Option<crate::cli::sweep::Asked>,
    /// What to show against it; may be given more than once [default: least_lead, most_lead]
    #[arg(long, value_name = "NAME", value_parser = finding, requires = "sweep")]
    pub finding: Vec<Finding>,
    /// Folder for the files [default: lightpoint-out/compare]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write no files
    #[arg(long, conflicts_with = "out")]
    pub no_files: bool,
    /// Print the comparison as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Write the figure as PNG too, beside its SVG
    #[arg(long)]
    pub png: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// A finding that may be compared, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finding(pub Key);

fn finding(name: &str) -> Result<Finding, String> {
    Key::ALL.into_iter().find(|key| key.name() == name).map(Finding).ok_or_else(|| {
        let names: Vec<_> = Key::ALL.iter().map(|key| key.name()).collect();
        format!("expected one of {}", names.join(", "))
    })
}

/// `lightpoint handout`
#[derive(Debug, ClapArgs)]
pub struct HandoutArgs {
    /// The plan
    pub plan: PathBuf,
    /// The page [default: PLAN-NAME-handout.html in the current folder]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// A second plan beside it, such as the same diver with needless lead; --set changes the first plan only
    #[arg(long, value_name = "PLAN")]
    pub compare: Option<PathBuf>,
    /// Put the engine behind the page: a button opens the dive, to be changed and computed again
    #[arg(long)]
    pub live: bool,
    /// Date to print on the page, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// Paper for printing [default: a4, letter with US units]
    #[arg(long, value_name = "SIZE", value_enum)]
    pub paper: Option<PaperSize>,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// `lightpoint bench`
#[derive(Debug, ClapArgs)]
pub struct BenchArgs {
    /// The plan; without one, a built-in demonstration dive
    pub plan: Option<PathBuf>,
    /// Begin with questions instead of a plan, and write the plan from the answers
    #[arg(long, conflicts_with_all = ["plan", "sets"])]
    pub blank: bool,
    /// The page [default: PLAN-NAME-bench.html in the current folder]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Do not open the page
    #[arg(long)]
    pub no_open: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// `lightpoint class`
#[derive(Debug, ClapArgs)]
pub struct ClassArgs {
    /// The class: what all share as in a plan, and a student table for each with what differs
    pub class: PathBuf,
    /// Leave the trials out: quicker, but no lead is advised and none is called needless
    #[arg(long)]
    pub no_trials: bool,
    /// Round up to whole pieces of this mass [default: those of the class, else of 2, 1 and 0.5 kg, or 4, 2 and 1 lb]
    #[arg(long, value_name = "MASS")]
    pub piece: Option<String>,
    /// All the lead that there is, to be shared among the students, e.g. --own "10 x 2 kg, 12 x 1 kg"
    #[arg(long, value_name = "MASSES", value_delimiter = ',', conflicts_with = "piece")]
    pub own: Vec<String>,
    /// Write every student's page into this folder
    #[arg(long, value_name = "DIR")]
    pub handouts: Option<PathBuf>,
    /// Write all pages into one file, in the order of print
    #[arg(long, value_name = "FILE")]
    pub print: Option<PathBuf>,
    /// Write every student's plan, as it was put together, and the files beside it into this folder
    #[arg(long, value_name = "DIR")]
    pub plans: Option<PathBuf>,
    /// Write the rows as CSV
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Date to print on the pages, YYYY-MM-DD [default: that of the class]
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// Paper for printing [default: a4, letter with US units]
    #[arg(long, value_name = "SIZE", value_enum)]
    pub paper: Option<PaperSize>,
    /// Threads; the result does not depend on it [default: one for each core]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub threads: usize,
    /// Print the answer as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Units of everything that is shown [default: those that the class asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// `lightpoint doubt`
#[derive(Debug, ClapArgs)]
pub struct DoubtArgs {
    /// The plan
    pub plan: PathBuf,
    /// Make exactly so many trials, each a run of the dive [default: a few hundred runs where they are shown to suffice,
    /// otherwise as many trials as the tolerance asks for]
    #[arg(long, value_name = "N", conflicts_with = "tolerance")]
    pub draws: Option<u64>,
    /// Seed of the draws; the same seed gives the same draws
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Make one draw again, alone, and show its figures and answers
    #[arg(long, value_name = "N", conflicts_with_all = ["draws", "tolerance"])]
    pub draw: Option<u64>,
    /// How well the ends of the intervals must be known before the draws stop: a mass, or digits such as "2 digits"
    /// [default: 0.05 kg]
    #[arg(long, value_name = "MASS")]
    pub tolerance: Option<String>,
    /// Threads; the result does not depend on it [default: one for each core]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub threads: usize,
    /// Leave out what to weigh next
    #[arg(long)]
    pub no_weigh: bool,
    /// Show the statistics too: shares of the variance, residuals, how it was worked out
    #[arg(long)]
    pub details: bool,
    /// Folder for the files [default: lightpoint-out/PLAN-NAME]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write no files
    #[arg(long, conflicts_with = "out")]
    pub no_files: bool,
    /// Print the result as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Write each figure as PNG too, beside its SVG
    #[arg(long)]
    pub png: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    /// Change a value of the plan for this run, e.g. --set suit.gas_volume="14 ± 2 L"
    #[arg(long = "set", value_name = "KEY=VALUE", value_parser = key_value)]
    pub sets: Vec<(String, String)>,
}

impl DoubtArgs {
    /// The changes to the plan.
    pub fn variation(&self) -> Variation {
        Variation { sets: self.sets.clone() }
    }
}

/// `lightpoint calibrate`
#[derive(Debug, ClapArgs)]
pub struct CalibrateArgs {
    /// The plan
    pub plan: PathBuf,
    /// The checks: a CSV file with the columns depth, outcome, one for each cylinder by its name with the pressure on its
    /// gauge, and perhaps lead, wing, water, breath, doubt, note. Or the gauges of a dive: time and one for each cylinder,
    /// which corrects the breathing rates
    pub checks: PathBuf,
    /// File for the calibrated plan; it must not be there yet [default: PLAN-calibrated.toml beside the plan]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write no plan
    #[arg(long, conflicts_with = "out")]
    pub no_files: bool,
    /// Write the corrected figures into the plan, instead of the checks themselves
    #[arg(long)]
    pub figures: bool,
    /// Show the statistics too: shares of the variance, residuals, how it was worked out
    #[arg(long)]
    pub details: bool,
    /// Seed of the draws
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Threads; the result does not depend on it [default: one for each core]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub threads: usize,
    /// Print the result as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// `lightpoint check`
#[derive(Debug, ClapArgs)]
pub struct CheckArgs {
    /// The plan
    pub plan: PathBuf,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// `lightpoint schema`
#[derive(Debug, ClapArgs)]
pub struct SchemaArgs {
    /// The form of what the commands print with `--json` instead of that of a plan
    #[arg(long, conflicts_with = "class")]
    pub result: bool,
    /// The form of the file of a class
    #[arg(long)]
    pub class: bool,
}

/// `lightpoint cylinders`
#[derive(Debug, ClapArgs)]
pub struct CylindersArgs {
    /// Only sizes whose name has all these words
    #[arg(value_name = "WORD")]
    pub words: Vec<String>,
    /// Units of everything that is shown
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
}

/// `lightpoint new`
#[derive(Debug, ClapArgs)]
pub struct NewArgs {
    /// The plan to write; a file that is there is never replaced
    pub file: PathBuf,
    /// Write a plan of ten lines, in which typical figures stand for all the rest
    #[arg(long)]
    pub short: bool,
    /// Make the plan of a list of readings: a CSV file with the columns piece, in_water, water, and perhaps pressure, mass,
    /// count, gas, note
    #[arg(long, value_name = "FILE", conflicts_with_all = ["short", "suit", "cylinders", "stages"])]
    pub readings: Option<PathBuf>,
    /// Write a check made in the water into the plan, e.g. --weight-check "6 kg, fresh, 3 m, 50 bar": lead, water, depth,
    /// what the gauges showed (of several cylinders with their names: left 80 bar), and what was seen, if not neutral
    #[arg(long, value_name = "CHECK")]
    pub weight_check: Option<String>,
    /// What the diver wears
    #[arg(long, value_enum, default_value_t = SuitChoice::Dry)]
    pub suit: SuitChoice,
    /// Main cylinders
    #[arg(long, value_enum, default_value_t = CylindersChoice::Single)]
    pub cylinders: CylindersChoice,
    /// Stages, breathed before the main cylinders, or instead of a loop that fails: 0 to 4; one with a loop, else none
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=i64::from(MAX_STAGES)))]
    pub stages: Option<u32>,
    /// Units of the plan's figures
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
}

/// `lightpoint completions`
#[derive(Debug, ClapArgs)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// `lightpoint man`
#[derive(Debug, ClapArgs)]
pub struct ManArgs {
    /// Write one page for every command into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}
