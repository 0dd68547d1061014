//! Checks made in the water, brought back into the plan.
//!
//! A check says what net lift a diver of this plan, or of another rig of the same diver, had at some moment. All checks
//! together update all uncertain figures by Bayes' rule, in closed form: the figures' scores are normal, the checks
//! straight lines in them. What comes out are [`Ties`]: figures that are known together better than each alone.
//!
//! [`check`] what was seen and what is predicted · [`hung`] how the diver hung · [`unknowns`] which figures of several rigs are the same · [`lines`]
//! checks as straight lines · [`surprise`] how far a check may be off · [`verdict`] what contradicts ·
//! `posterior` all checks together · [`mod@moved`] what became of each figure.

pub mod check;
pub mod hung;
pub mod lines;
pub mod moved;
mod posterior;
pub mod surprise;
pub mod unknowns;
pub mod verdict;

use thiserror::Error;

use crate::estimate::ties::Root;
use crate::estimate::{Estimate, Input, Ties};
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::calibrate::lines::Lines;
use crate::study::calibrate::moved::{moved, value_and_deviation};
use crate::study::calibrate::posterior::Posterior;
use crate::study::calibrate::unknowns::Unknowns;
use crate::study::calibrate::verdict::{expected, judge, off_kg, reasons};
use crate::study::doubt::{BLOCK, Draws, Sequence};

pub use check::{Check, Gauge, Outcome, Predicted, WaterThen, WingThen};
pub use moved::Moved;
pub use unknowns::{Build, RigThen};
pub use verdict::{Against, Reason, Verdict};

/// Draws that each outlook is made from.
pub const DRAWS: u64 = 2 * BLOCK;
/// Rounds in which the lines are laid through where the checks lead; two or three settle.
const ROUNDS: usize = 8;
/// Change of a line that is none, kg.
const SETTLED_KG: f64 = 1e-5;

/// Why a plan cannot be calibrated.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum CalibrateError {
    /// A study that failed.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// Nothing to calibrate, or nothing to calibrate with.
    #[error("{what}")]
    Nothing {
        /// What is missing.
        what: &'static str,
    },
    /// A figure of a check is out of range.
    #[error("check {label}: {quantity} is {value} {unit}, expected {expected}")]
    Check {
        /// Name of the check.
        label: String,
        /// Which quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// What would be valid.
        expected: &'static str,
    },
    /// A check names a cylinder that the dive does not have.
    #[error("check {label}: there is no cylinder {cylinder}, the dive has {count}")]
    NoSuchCylinder {
        /// Name of the check.
        label: String,
        /// Index given.
        cylinder: usize,
        /// Cylinders of the dive.
        count: usize,
    },
    /// Too many draws fail, or no draw fits the checks.
    #[error("{left} of {of} draws fit the plan and the checks: too few to calibrate anything")]
    TooFew {
        /// Draws left.
        left: usize,
        /// Draws made.
        of: usize,
    },
    /// Ended from outside.
    #[error("ended before it was done")]
    Cancelled,
}

/// Which checks are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Take {
    /// Those that contradict neither the plan nor each other.
    Agreeing,
    /// All of them, with guesses as wide as they may become: what the checks alone would say.
    All,
    /// None of them, as if all contradicted the plan.
    Nothing,
}

/// What checks make of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// The plan's uncertain figures, tied together.
    pub ties: Ties,
    /// Every uncertain figure by itself after the checks; as before where it did not move.
    pub after: Vec<Estimate>,
    /// Figures that moved, the one first that took most.
    pub moved: Vec<Moved>,
    /// Every check, in the order given.
    pub verdicts: Vec<Verdict>,
    /// Factor by which the variance of guesses was multiplied because a check surprised; 1 where none did.
    pub widened: f64,
    /// What the shifts of figures that only the rigs of the checks have lift the diver at the checks, kg: the mean over them.
    pub elsewhere_kg: f64,
    /// What a check's curve leaves beside its line, in its own standard uncertainties: of the worst that is used.
    pub off_line_frac: f64,
}

impl Correction {
    /// Of no check at all.
    pub fn none(inputs: &[Input]) -> Self {
        let draws = Draws::new(inputs, Sequence::Sobol, 0);
        let factors = draws.factors().len();
        let before: Vec<Estimate> =
            inputs.iter().map(|input| input.estimate).filter(|estimate| estimate.doubt.is_some()).collect();
        let ties = Ties {
            before: before.clone(),
            root: Root::independent(&vec![1.0; factors]),
            shapes: (0..factors).map(|factor| draws.shape(factor)).collect(),
            looks: vec![],
        };
        let (moved, verdicts) = (vec![], vec![]);
        Self { ties, after: before, moved, verdicts, widened: 1.0, elsewhere_kg: 0.0, off_line_frac: 0.0 }
    }

    /// Whether any check is used.
    pub fn is_used(&self) -> bool {
        self.verdicts.iter().any(|verdict| verdict.against.is_none())
    }

    /// Whether a check contradicts.
    pub fn contradicts(&self) -> bool {
        self.verdicts.iter().any(|verdict| verdict.against.is_some())
    }
}

/// Updates the uncertain figures of a plan, whose rig is the first, by all checks together; each names its rig.
///
/// # Errors
/// A check that does not fit its rig, no uncertain figure, no check, a rig that makes no dive.
pub fn correct(rigs: &[RigThen<'_>], checks: &[(usize, Check)], take: Take) -> Result<Correction, CalibrateError> {
    let unknowns = Unknowns::of(rigs);
    let Some(draws) = unknowns.own_draws().filter(|draws| !draws.factors().is_empty()) else {
        let what = "no figure of the plan has a doubt, so its checks have nothing to correct: write how sure figures are, such \
                    as \"80.4 ± 0.5 L\", or take the checks out";
        return Err(CalibrateError::Nothing { what });
    };
    if checks.is_empty() {
        return Err(CalibrateError::Nothing { what: "there is no check" });
    }
    let middle = vec![0.0; unknowns.count()];
    let dive = |rig| unknowns.dive(rig, &middle).map_err(|reason| StudyError::Central { reason });
    let dives: Vec<Scenario> = (0..rigs.len()).map(dive).collect::<Result<_, _>>()?;
    checks.iter().try_for_each(|(rig, check)| check.fits(&dives[*rig]))?;

    let seen: Vec<&Check> = checks.iter().map(|(_, check)| check).collect();
    let mut lines = Lines::through(&unknowns, checks).ok_or(CalibrateError::TooFew { left: 0, of: 1 })?;
    let variances_kg2 = |lines: &Lines| -> Vec<f64> {
        (0..seen.len()).map(|c| seen[c].sigma_kg().powi(2) + lines.off_line_kg[c].powi(2)).collect()
    };
    let variance_kg2 = variances_kg2(&lines);
    let judged = lines.in_figures();
    let judged_kg2 = variances_kg2(&judged);
    let (mut verdicts, widened) = surprised(&seen, &judged, &judged_kg2, &unknowns.is_guess, take);
    let deviation = |guess: &bool| if *guess { widened.sqrt() } else { 1.0 };
    let deviations: Vec<f64> = unknowns.is_guess.iter().map(deviation).collect();
    if take == Take::Agreeing {
        judge(&seen, &judged.scaled(&deviations), &judged_kg2, &mut verdicts);
    }
    for ((rig, check), verdict) in checks.iter().zip(&mut verdicts) {
        if verdict.against.is_some() && !check.outcome.is_gauge() {
            verdict.reasons = reasons(check, &dives[*rig], verdict.off_kg, &check.predicted(&dives[*rig]));
        }
    }

    let used: Vec<usize> = (0..seen.len()).filter(|&c| verdicts[c].against.is_none()).collect();
    let used_checks: Vec<&Check> = used.iter().map(|&c| seen[c]).collect();
    let used_kg2: Vec<f64> = used.iter().map(|&c| variance_kg2[c]).collect();
    let mut of_used = lines.only(&used);
    let mut posterior = Posterior::of(&of_used, &used_checks, &used_kg2, &deviations);
    for _ in 0..ROUNDS {
        let mean = posterior.all().mean;
        if lines.shift_to(&unknowns, checks, &mean) < SETTLED_KG {
            break;
        }
        of_used = lines.only(&used);
        posterior = Posterior::of(&of_used, &used_checks, &used_kg2, &deviations);
    }
    let own = unknowns.own();
    let mean_slope_kg =
        |factor: usize| used.iter().map(|&c| lines.slopes_kg[c][factor]).sum::<f64>() / used.len() as f64;
    let all = posterior.all().mean;
    let elsewhere_kg = (own..all.len()).filter(|_| !used.is_empty()).map(|j| mean_slope_kg(j) * all[j]).sum();
    let before: Vec<Estimate> =
        rigs[0].inputs.iter().map(|input| input.estimate).filter(|e| e.doubt.is_some()).collect();
    let sigma_kg: Vec<f64> = used_checks.iter().map(|check| check.sigma_kg()).collect();
    let root = posterior.own(own);
    let looks = posterior.looks(&used_checks, &sigma_kg, own, &unknowns.shapes, &root.mean);
    let ties = Ties { before, root, shapes: unknowns.shapes[..own].to_vec(), looks };
    let factor_of = |input: usize| draws.source(input);
    let mut moved: Vec<Moved> = (0..ties.before.len())
        .filter_map(|i| {
            let (before, factor) = (ties.before[i], factor_of(i));
            let score = ties.root.mean[factor];
            // the first of those that err together has it all
            let is_first = draws.factors()[factor].inputs.first() == Some(&i);
            let took_kg = if is_first && !used.is_empty() { mean_slope_kg(factor) * score } else { 0.0 };
            moved(i, before, value_and_deviation(&before, score, ties.root.deviation(factor)), took_kg)
        })
        .collect();
    let mut after = ties.before.clone();
    moved.iter().for_each(|moved| after[moved.input] = moved.after);
    moved.sort_by(|a, b| b.took_kg.abs().total_cmp(&a.took_kg.abs()));
    let off_line_frac = used.iter().map(|&c| lines.off_line_kg[c] / seen[c].sigma_kg()).fold(0.0, f64::max);
    Ok(Correction { ties, after, moved, verdicts, widened, elsewhere_kg, off_line_frac })
}

/// What each check says of the plan, and by how much the variance of guesses is multiplied.
fn surprised(
    checks: &[&Check],
    lines: &Lines,
    variance_kg2: &[f64],
    is_guess: &[bool],
    take: Take,
) -> (Vec<Verdict>, f64) {
    let expected = expected(checks, lines, variance_kg2, is_guess);
    let mut widened = 1.0f64;
    let verdicts = checks.iter().zip(&expected).enumerate().map(|(c, (check, expected))| {
        let factor = expected.widened();
        let is_against = take == Take::Nothing || (factor.is_none() && take == Take::Agreeing);
        let against = is_against.then_some(Against::Plan);
        widened = match take {
            Take::Nothing => 1.0,
            Take::All => widened.max(factor.unwrap_or(surprise::MOST_WIDENED)),
            Take::Agreeing => widened.max(factor.unwrap_or(1.0)),
        };
        let off_kg = off_kg(check.outcome, lines.intercept_kg[c]);
        let residual = off_kg.signum() * expected.surprise();
        Verdict { label: check.label.clone(), off_kg, residual, against, reasons: vec![] }
    });
    (verdicts.collect(), widened)
}
