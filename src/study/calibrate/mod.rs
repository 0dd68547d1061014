//! Checks made in the water, brought back into the plan.
//!
//! A check says what net lift a diver of this plan had at some moment. All checks together update all uncertain inputs
//! by Bayes' rule: linear-Gaussian where the checks are linear enough in the inputs, by weighted draws where they are
//! not or where a check is one-sided. [`Calibrated::method`] says which.
//!
//! *Linear enough* means: over draws from the plan, the distance of a check's prediction from a straight line through
//! them is at most [`LINEAR_FRAC`] of the check's own standard uncertainty. Taken as noise it then widens that by three
//! parts in a hundred at most.
//!
//! The weighted draws come from the linear-Gaussian answer with doubled doubts of the checks, not from the plan, so that
//! sharp checks do not leave a handful of draws; the weights make up for it: `w = prior · likelihood / proposal`. How
//! many independent draws they are worth is reported, `(Σw)²/Σw²`.
//!
//! [`check`] what was seen and what is predicted · [`linear`] the closed form · [`verdict`] contradictions ·
//! [`moved`] what is written back.

pub mod check;
pub mod linear;
mod model;
pub mod moved;
pub mod verdict;

use std::fmt::Display;
use std::sync::atomic::Ordering;

use thiserror::Error;

use crate::estimate::Input;
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::calibrate::model::{Model, Point, effective, resampled, standard_normals, variances_kg2};
use crate::study::doubt::run::threads;
use crate::study::doubt::{BLOCK, Control, Draws, Made, Outlook, Settings, Worth};

pub use check::{Check, Gauge, Outcome, Predicted, WaterThen, WingThen};
pub use moved::Moved;
pub use verdict::{Against, Reason, Verdict};

/// Largest distance from a straight line, in standard uncertainties of the check, that counts as linear.
pub const LINEAR_FRAC: f64 = 0.25;
/// Draws from the plan, and draws that each outlook is made from.
pub const DRAWS: u64 = 2 * BLOCK;
/// Independent draws that the weighted ones must be worth before no more are made.
pub const ENOUGH_EFFECTIVE: f64 = 1000.0;
/// Most weighted draws.
pub const MAX_WEIGHTED: u64 = 32 * BLOCK;

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

/// How the update was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Method {
    /// In closed form.
    LinearGaussian,
    /// By weighting draws.
    Weighted {
        /// Draws made.
        draws: u64,
        /// Independent draws that they are worth.
        effective: f64,
        /// Why: a one-sided check, or one that is not linear enough.
        one_sided: bool,
    },
}

/// A plan calibrated.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibrated {
    /// How.
    pub method: Method,
    /// Largest distance of a check that was used from its straight line, in its standard uncertainties.
    pub off_line_frac: f64,
    /// Every check, in the order given.
    pub verdicts: Vec<Verdict>,
    /// Inputs that moved, the largest shift first.
    pub moved: Vec<Moved>,
    /// What the plan says as it is.
    pub before: Outlook,
    /// What it says with the checks. A plan in which only the values of `moved` are changed ([`rewritten`]) is less sure:
    /// a check ties inputs together (one heavier, the other lighter), and a plan has no words for that.
    pub after: Outlook,
    /// How `before` and `after` were made.
    pub made: Made,
}

/// Updates the uncertain inputs by all checks together.
///
/// A check that contradicts the plan or the others is reported in its [`Verdict`] and takes no part.
///
/// # Errors
/// A check that does not fit the dive, no uncertain input, no check, draws that all fail, or an end from outside.
pub fn calibrate<F, E, P>(
    inputs: &[Input],
    checks: &[Check],
    build: &F,
    settings: &Settings,
    mut control: Control<'_, P>,
) -> Result<Calibrated, CalibrateError>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    P: FnMut(u64),
{
    let draws = Draws::new(inputs, settings.sequence, settings.seed);
    if draws.factors().is_empty() {
        return Err(CalibrateError::Nothing {
            what: "no figure of the plan has a doubt, so there is nothing to calibrate",
        });
    }
    if checks.is_empty() {
        return Err(CalibrateError::Nothing { what: "there is no check" });
    }
    let central = build(draws.central()).map_err(|error| StudyError::Central { reason: error.to_string() })?;
    checks.iter().try_for_each(|check| check.fits(&central))?;
    let pool = threads(settings.threads)?;
    let cancelled = || control.cancel.load(Ordering::Relaxed);
    let model = Model { draws: &draws, checks, build, cancelled: &cancelled };

    let prior: Vec<Point> = pool.install(|| model.points(|i| standard_normals(settings.seed, i, &draws), 0..DRAWS))?;
    let lines = model.lines(&prior, |scores| scores.to_vec())?;
    let sigma_kg: Vec<f64> = checks.iter().map(Check::sigma_kg).collect();
    let variance_kg2 = variances_kg2(&sigma_kg, &lines);
    let verdicts = model.judged(&prior, &central, &sigma_kg)?;
    let used: Vec<usize> = (0..checks.len()).filter(|&c| verdicts[c].against.is_none()).collect();
    let off_line_frac = used.iter().map(|&c| lines.off_line_kg[c] / sigma_kg[c]).fold(0.0, f64::max);
    let one_sided = used.iter().any(|&c| checks[c].outcome.is_one_sided());
    let two_sided: Vec<usize> = used.iter().copied().filter(|&c| !checks[c].outcome.is_one_sided()).collect();

    // another stream than the draws from the plan
    let seed = settings.seed.wrapping_add(1);
    let is_linear = !one_sided && off_line_frac <= LINEAR_FRAC;
    let spread_kg2 = |c: usize| if is_linear { variance_kg2[c] } else { 4.0 * variance_kg2[c] };
    let of_used: Vec<f64> = two_sided.iter().map(|&c| spread_kg2(c)).collect();
    let normal = lines.only(&two_sided).update(draws.factors().len(), &of_used);
    let normal = normal.ok_or(CalibrateError::TooFew { left: 0, of: DRAWS as usize })?;
    let (points, weights, method) = if is_linear {
        let points = pool.install(|| model.points(|i| normal.point(&standard_normals(seed, i, &draws)), 0..DRAWS))?;
        let weights = points.iter().map(|point| if point.surplus_kg.is_some() { 1.0 } else { 0.0 }).collect();
        (points, weights, Method::LinearGaussian)
    } else {
        let (points, weights) = pool.install(|| model.weighted(&normal, seed, &used))?;
        let method = Method::Weighted { draws: points.len() as u64, effective: effective(&weights), one_sided };
        (points, weights, method)
    };
    if effective(&weights) < 10.0 {
        return Err(CalibrateError::TooFew { left: effective(&weights) as usize, of: points.len() });
    }
    (control.progress)(DRAWS + points.len() as u64);

    let moved = model.moved(inputs, &points, &weights);
    let before: Vec<&[f64]> = prior.iter().map(|point| point.scores.as_slice()).collect();
    let after: Vec<&[f64]> =
        resampled(&weights, DRAWS as usize).into_iter().map(|i| points[i].scores.as_slice()).collect();
    let made = pool.install(|| model.made(&after, settings));
    let (stand_in, worth) = match &made {
        Made::StandIn(stand_in) => (Some(&**stand_in), stand_in.worth()),
        Made::Trials { .. } => (None, Worth::RUN),
    };
    let outlook = |scores: &[&[f64]]| Outlook::worth(&model.rows(scores, stand_in), settings.coverage_frac, worth);
    let (before, after) = pool.install(|| (outlook(&before), outlook(&after)));
    if cancelled() {
        return Err(CalibrateError::Cancelled);
    }
    Ok(Calibrated { method, off_line_frac, verdicts, moved, before, after, made })
}

/// The inputs with the calibrated values in place of the old ones.
pub fn rewritten(inputs: &[Input], moved: &[Moved]) -> Vec<Input> {
    let mut inputs = inputs.to_vec();
    for (i, input) in inputs.iter_mut().filter(|input| input.estimate.doubt.is_some()).enumerate() {
        if let Some(moved) = moved.iter().find(|moved| moved.input == i) {
            input.estimate = moved.after;
        }
    }
    inputs
}
