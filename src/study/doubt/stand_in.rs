//! A surrogate in place of trials, and the true runs that allow it each time.
//!
//! The answers of a dive are nearly straight lines in its figures, so an additive quadratic from `2k + 1` runs
//! ([`crate::study::surrogate`]) says what thousands of trials would. Nearly is not always: a supply that runs dry, a
//! cylinder that reaches its reserve, an extreme that moves to another moment put a kink where the surrogate is smooth.
//! So each is held against [`CERTIFYING`] runs at points that it has not seen:
//!
//! - one half are ordinary draws, the first ones of the study, and can be looked at by their numbers;
//! - in the other half every factor at once lies in its outer [`OUTER_FRAC`], half of that at either end, where kinks
//!   are and where the answers lie more than twice as far out as in ordinary draws.
//!
//! It stands in for trials when no run failed, none ran out of gas, and the root mean square of what it is off is within
//! the tolerance of every answer: within [`INSIDE_SHARE`] of it in the first half, within [`OUTER_SHARE`] in the second.
//! It tells no probability below [`FLOOR_FRAC`], which nobody has run enough dives to know.

use std::fmt::Display;

use crate::scenario::Scenario;
use crate::study::doubt::answer::{FIGURES, Row};
use crate::study::doubt::ask::Asked;
use crate::study::doubt::draw::{BLOCK, Draws, Sequence, unit_point};
use crate::study::doubt::interval::mean_and_deviation;
use crate::study::doubt::outlook::Worth;
use crate::study::doubt::run::{Dives, Outcome};
use crate::study::doubt::settings::Settings;
use crate::study::side_by_side::side_by_side;
use crate::study::surrogate::{Surrogate, design};

/// Runs that a surrogate is held against.
pub const CERTIFYING: u64 = 256;
/// Of those, how many are made before all other runs.
const EARLY: usize = 32;
/// Share of a factor's values that counts as outer, both ends together.
pub const OUTER_FRAC: f64 = 0.05;
/// Share of the tolerance that ordinary draws may be off, as a root mean square. On twelve plans, smooth and kinked ones,
/// where the worst answer was off by more than 3 g, no end of a 95 % interval was off by more than nine tenths of that
/// (8192 trials each): so 40 g of the usual 50 g leave the ends within the tolerance.
pub const INSIDE_SHARE: f64 = 0.8;
/// The same for draws with every factor in its outer part. No end of an interval is made of such draws; they are there to
/// find kinks that ordinary draws are too few to meet. On the demonstration plans they were off by 13 to 47 g where
/// ordinary ones were off by 1 to 21 g; where a supply ran dry, by 90 to 1050 g.
pub const OUTER_SHARE: f64 = 2.0;
/// The smallest probability that is told.
pub const FLOOR_FRAC: f64 = 0.01;

/// How well a surrogate agrees with runs that it has not seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Certificate {
    /// Dives run: those that the surrogate goes through, and those that it was held against.
    pub runs: u64,
    /// Root mean square of what it is off in ordinary draws, kg: of the answer, or moment of the curve, that is worst.
    pub inside_kg: f64,
    /// The same with every figure at one of its far ends.
    pub outer_kg: f64,
}

/// Why a surrogate may not stand in for trials.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// A run failed.
    Failed {
        /// Why.
        reason: String,
    },
    /// A run ran out of gas.
    OutOfGas {
        /// How many.
        count: usize,
        /// Of so many.
        runs: usize,
    },
    /// It is too far off.
    Off {
        /// Root mean square of what it is off, kg.
        off_kg: f64,
        /// What would do, kg.
        limit_kg: f64,
        /// Whether it is off at the far ends of the figures.
        outer: bool,
    },
    /// The study was ended from outside.
    Cancelled,
}

/// A surrogate that may stand in for trials.
#[derive(Clone, Debug, PartialEq)]
pub struct StandIn {
    figures: Surrogate,
    curve: Surrogate,
    certificate: Certificate,
}

/// Point of the unit cube for a certifying run: the first half are draws of the study, in the second every coordinate is
/// pressed into its outer part.
fn certifying_point(draws: &Draws, seed: u64, run: u64) -> Vec<f64> {
    if run < CERTIFYING / 2 {
        return draws.coordinates(run);
    }
    let outer = |p: f64| if p < 0.5 { OUTER_FRAC * p } else { 1.0 - OUTER_FRAC * (1.0 - p) };
    // a block that no study reaches
    let point = unit_point(Sequence::Sobol, seed, (u64::from(u32::MAX) + 1) * BLOCK + run, draws.factors().len());
    point.into_iter().map(outer).collect()
}

impl StandIn {
    /// Makes the runs, and the surrogate from them if it agrees with them.
    ///
    /// # Errors
    /// Why trials are needed.
    pub(crate) fn certified<F, E>(
        dives: &Dives<'_, F>,
        settings: &Settings,
        cancelled: &(impl Fn() -> bool + Sync),
    ) -> Result<Self, Refusal>
    where
        F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
        E: Display,
    {
        let draws = dives.draws;
        let mut points = design(draws.factors().len());
        let made_from = points.len();
        points.extend((0..CERTIFYING).map(|run| certifying_point(draws, settings.seed, run)));
        // the last ones have every figure at a far end: what fails, most often fails there, and need not wait for the others
        let first = points.len() - EARLY;
        let mut early = Seen::run(dives, &points[first..], &settings.band_times_s, cancelled)?;
        let mut seen = Seen::run(dives, &points[..first], &settings.band_times_s, cancelled)?;
        seen.append(&mut early);
        let mut inside = seen.split_off(made_from);
        let through = |answers: &[Vec<f64>]| Surrogate::through(answers, |i, p| draws.score(i, p));
        let (figures, curve) = (through(&seen.figures), through(&seen.curves));
        let certificate = Certificate { runs: points.len() as u64, inside_kg: 0.0, outer_kg: 0.0 };
        let mut stand_in = Self { figures, curve, certificate };
        let half = CERTIFYING as usize / 2;
        let scores: Vec<Vec<f64>> = points[made_from..].iter().map(|point| draws.scores(point)).collect();
        let outer = inside.split_off(half);
        stand_in.certificate.inside_kg = stand_in.held(&scores[..half], &inside, settings, false)?;
        stand_in.certificate.outer_kg = stand_in.held(&scores[half..], &outer, settings, true)?;
        Ok(stand_in)
    }

    /// Root mean square of what it is off, of the answer or moment of the curve that is worst, kg.
    fn held(&self, scores: &[Vec<f64>], seen: &Seen, settings: &Settings, outer: bool) -> Result<f64, Refusal> {
        // what it answers with counts, not what that is made from: of two the larger
        let said: Vec<Vec<f64>> = scores.iter().map(|scores| self.row(scores).answers().to_vec()).collect();
        let answers = off_kg(&said, &seen.answers, settings, outer)?;
        let said: Vec<Vec<f64>> = scores.iter().map(|scores| self.curve.at(scores)).collect();
        Ok(answers.max(off_kg(&said, &seen.curves, settings, outer)?))
    }

    /// How well it agrees.
    pub fn certificate(&self) -> &Certificate {
        &self.certificate
    }

    /// What the rows that it gives are worth.
    pub fn worth(&self) -> Worth {
        Worth { off_kg: self.certificate.inside_kg, floor_frac: FLOOR_FRAC }
    }

    /// The answers at the scores of the factors, in place of a run.
    pub(crate) fn row(&self, scores: &[f64]) -> Row {
        let mut figures = [0.0; FIGURES];
        self.figures.write(scores, &mut figures);
        Row::from_figures(figures)
    }

    /// The same with the curve.
    pub(crate) fn ask(&self, scores: &[f64]) -> Asked {
        let curve_kg = self.curve.at(scores).into_iter().map(|kg| kg as f32).collect();
        Asked { row: self.row(scores), curve_kg }
    }

    /// The surrogate of the figures of a [`Row`].
    pub(crate) fn figures(&self) -> &Surrogate {
        &self.figures
    }
}

/// What a surrogate is off, of the worst answer, kg.
fn off_kg(said: &[Vec<f64>], seen: &[Vec<f64>], settings: &Settings, outer: bool) -> Result<f64, Refusal> {
    let mut worst_kg = 0.0f64;
    for answer in 0..seen.first().map_or(0, Vec::len) {
        // where every dive is over there is no curve, and neither is NaN
        let of_answer = |(said, seen): (&Vec<f64>, &Vec<f64>)| (said[answer], seen[answer]);
        let pairs = || said.iter().zip(seen).map(of_answer).filter(|(said, seen)| !(said.is_nan() && seen.is_nan()));
        let seen_kg: Vec<f64> = pairs().map(|(_, seen)| seen).collect();
        let squares: f64 = pairs().map(|(said, seen)| (said - seen).powi(2)).sum();
        let off_kg = (squares / seen_kg.len().max(1) as f64).sqrt();
        let share = if outer { OUTER_SHARE } else { INSIDE_SHARE };
        let limit_kg = share * settings.tolerance.kg(mean_and_deviation(&seen_kg).1);
        // a NaN is no agreement either
        if off_kg.is_nan() || off_kg > limit_kg {
            return Err(Refusal::Off { off_kg, limit_kg, outer });
        }
        worst_kg = worst_kg.max(off_kg);
    }
    Ok(worst_kg)
}

/// What some runs said.
struct Seen {
    figures: Vec<Vec<f64>>,
    answers: Vec<Vec<f64>>,
    curves: Vec<Vec<f64>>,
}

impl Seen {
    /// Runs the dives of some points; all must give a result and none may run out of gas.
    fn run<F, E>(
        dives: &Dives<'_, F>,
        points: &[Vec<f64>],
        times_s: &[f64],
        cancelled: &(impl Fn() -> bool + Sync),
    ) -> Result<Self, Refusal>
    where
        F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
        E: Display,
    {
        let run = |point: &Vec<f64>| (!cancelled()).then(|| dives.at(point, times_s));
        let outcomes: Vec<Option<Outcome>> = side_by_side(points.iter().collect(), run);
        let (mut figures, mut answers, mut curves, mut dry) = (Vec::new(), Vec::new(), Vec::new(), 0);
        for outcome in outcomes {
            let asked = outcome.ok_or(Refusal::Cancelled)?.map_err(|reason| Refusal::Failed { reason })?;
            dry += usize::from(asked.row.out_of_gas);
            figures.push(asked.row.figures().to_vec());
            answers.push(asked.row.answers().to_vec());
            curves.push(asked.curve_kg.iter().map(|&kg| f64::from(kg)).collect());
        }
        if dry > 0 {
            Err(Refusal::OutOfGas { count: dry, runs: points.len() })
        } else {
            Ok(Self { figures, answers, curves })
        }
    }

    fn append(&mut self, other: &mut Self) {
        self.figures.append(&mut other.figures);
        self.answers.append(&mut other.answers);
        self.curves.append(&mut other.curves);
    }

    fn split_off(&mut self, at: usize) -> Self {
        Self {
            figures: self.figures.split_off(at),
            answers: self.answers.split_off(at),
            curves: self.curves.split_off(at),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Estimate, Input, KeyPath, Origin};
    use crate::study::doubt::settings::Tolerance;

    /// Factors that are even over ±√3, so that a score is a value.
    fn draws(factors: usize) -> Draws {
        let input = Input {
            path: KeyPath::default(),
            label: "x".into(),
            quantity: crate::units::Quantity::Mass,
            estimate: Estimate::within(0.0, 3f64.sqrt()),
            origin: Origin::Estimated,
            group: None,
            note: None,
        };
        Draws::new(&vec![input; factors], Sequence::Sobol, 1)
    }

    /// What a surrogate of a function is off in ordinary draws and at the far ends, by the rule for dives, with a
    /// tolerance of two digits of the function's own deviation.
    fn held(factors: usize, f: impl Fn(&[f64]) -> f64) -> [Result<f64, Refusal>; 2] {
        let draws = draws(factors);
        let at = |point: &Vec<f64>| vec![f(&draws.scores(point))];
        let surrogate =
            Surrogate::through(&design(factors).iter().map(at).collect::<Vec<_>>(), |i, p| draws.score(i, p));
        let settings = Settings { tolerance: Tolerance::Digits(2), ..Settings::default() };
        let half = CERTIFYING / 2;
        [(0..half, false), (half..CERTIFYING, true)].map(|(runs, outer)| {
            let points: Vec<Vec<f64>> = runs.map(|run| certifying_point(&draws, 1, run)).collect();
            let scores: Vec<Vec<f64>> = points.iter().map(|point| draws.scores(point)).collect();
            let said: Vec<Vec<f64>> = scores.iter().map(|scores| surrogate.at(scores)).collect();
            off_kg(&said, &points.iter().map(at).collect::<Vec<_>>(), &settings, outer)
        })
    }

    #[test]
    fn outer_points_lie_in_the_outer_parts() {
        let draws = draws(5);
        for run in CERTIFYING / 2..CERTIFYING {
            let point = certifying_point(&draws, 1, run);
            assert!(point.iter().all(|p| (0.0..0.025).contains(p) || (0.975..1.0).contains(p)), "{point:?}");
        }
        assert_eq!(certifying_point(&draws, 1, 7), draws.coordinates(7));
    }

    #[test]
    fn a_sum_of_parabolas_is_certified() {
        let [inside, outer] = held(4, |x| 2.0 + x[0] - 3.0 * x[1] + 0.2 * x[2] * x[2] + 0.5 * x[3] + x[3] * x[3]);
        assert!(inside.unwrap() < 1e-12 && outer.unwrap() < 1e-12);
    }

    // Ishigami and Homma's function, a usual test of such methods (from memory): neither additive nor a parabola. With
    // x = πs/√3 it has its usual range.
    #[test]
    fn functions_that_are_not_additive_are_refused() {
        let ishigami = |s: &[f64]| {
            let x: Vec<f64> = s.iter().map(|s| std::f64::consts::PI / 3f64.sqrt() * s).collect();
            x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
        };
        for refused in held(3, ishigami) {
            assert!(matches!(refused, Err(Refusal::Off { .. })), "{refused:?}");
        }
        // a product alone: nothing of it is seen by runs that move one factor at a time
        assert!(held(2, |x| x[0] * x[1]).iter().all(Result::is_err));
        // a kink that only the far ends reach: 2.5 % of each end, which the first runs do not see at all
        let kinked = |x: &[f64]| x[0] + x[1] + 20.0 * (x[0] + x[1] - 3.2).max(0.0);
        assert!(held(2, kinked)[1].is_err());
        // no number where one is expected is no agreement
        assert!(held(1, |x| if x[0] > 1.0 { f64::NAN } else { 0.0 }).iter().all(Result::is_err));
    }
}
