//! How sure the lead is, as far as an answer about one dive needs it: the least and the most lead in a few thousand
//! trials of the plan's doubtful figures.

use std::sync::atomic::AtomicBool;

use crate::answer::{AnswerError, DrawSettings};
use crate::estimate::Origin;
use crate::estimate::doubt::normal_quantile;
use crate::plan::{Built, Plan};
use crate::sim::Trace;
use crate::study::doubt::interval::Interval;
use crate::study::doubt::{Control, DoubtStudy, Draws, Row, doubt_study};
use crate::study::side_by_side::side_by_side;

/// Trials: the 95 % point of the least lead is then known to about 0.03 kg, a sixteenth of the smallest usual piece.
const TRIALS: u64 = 4096;
/// The same where nothing can stand in for runs: ends of the 95 % interval are then off by 0.04 kg where the standard
/// uncertainty is 0.5 kg, by 0.15 kg where it is 2.2 kg (16 seeds against 40 000 trials, root mean square).
const RUNS: u64 = 512;
/// Share of the trials in which advised lead holds: our own choice, the usual one of statistics.
pub const SURE_FRAC: f64 = 0.95;
/// Upper end of the 95 % interval that the least lead is told with.
const UPPER_FRAC: f64 = 0.975;
/// Share of the doubt above which typical figures are too much of it for an advice: more than half of the variance.
const TYPICAL_FRAC: f64 = 0.5;

/// Evaluations of a run above which trials are too long to wait for with every answer: a run takes half a millisecond there,
/// the dives of the demonstration plans about a hundred evaluations.
const MANY_EVALUATIONS: usize = 1_500;
/// Points of a distribution that is known by its mean and its standard uncertainty.
const POINTS: usize = 1000;

/// The lead of a plan in many trials.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadTrials {
    /// least lead of each trial, rising, kg
    least_kg: Vec<f64>,
    /// most lead of each trial, rising, kg
    most_kg: Vec<f64>,
    /// Share of the variance of the least lead that comes from typical figures, 0..1.
    pub typical_frac: f64,
    /// Whether checks in the water correct the plan.
    pub is_checked: bool,
    /// Whether slopes and a normal distribution stand for trials, because a run is too long to make so many.
    pub is_by_slopes: bool,
}

impl LeadTrials {
    /// Of a built plan and its run; where nothing is doubtful, one trial says all.
    ///
    /// # Errors
    /// As [`crate::study::doubt::doubt_study`].
    pub fn of(plan: &Plan, built: &Built, trace: &Trace) -> Result<Self, AnswerError> {
        if built.uncertain().next().is_none() {
            return Ok(Self::from_rows(&[Row::of(&built.scenario)?], 0.0));
        }
        let trials = if trace.evaluations() > MANY_EVALUATIONS {
            Self::by_slopes(plan, built)?
        } else {
            Self::by_trials(plan, built)?
        };
        Ok(Self { is_checked: built.ties.is_some(), ..trials })
    }

    fn by_trials(plan: &Plan, built: &Built) -> Result<Self, AnswerError> {
        let settings = DrawSettings { max_draws: TRIALS, max_runs: RUNS, ..DrawSettings::default() };
        let build = |values: &[f64]| plan.build_draw(values, built);
        let control = Control { cancel: &AtomicBool::new(false), progress: |_| () };
        let found = doubt_study(built.figures(), &build, &settings, control)?;
        let draws = Draws::new(built.figures(), settings.sequence, settings.seed);
        let squares = squared_correlations(&draws, &found);
        Ok(Self::from_rows(&found.rows, typical_frac(built, &draws, squares.into_iter())))
    }

    /// By the law of propagation of uncertainty (JCGM 100:2008, 5.1.2) instead of trials: the slopes of least and most lead in
    /// every factor, one run each, and a normal distribution. Both ends are nearly straight lines in the figures; what bends
    /// (a cylinder that may be gone and hardly sinks) is off by some hundred grams, which is why short dives have trials.
    fn by_slopes(plan: &Plan, built: &Built) -> Result<Self, AnswerError> {
        let central = Row::of(&built.scenario)?;
        let settings = DrawSettings::default();
        let draws = Draws::new(built.figures(), settings.sequence, settings.seed);
        let count = draws.factors().len();
        let slope = |factor: usize| {
            let aside = [0.75, 0.25].into_iter().find_map(|p| {
                let mut point = vec![0.5; count];
                point[factor] = p;
                let dive = plan.build_draw(&draws.values_at(&point), built).ok()?;
                Some((Row::of(&dive).ok()?, draws.score(factor, p)))
            });
            // a figure that can move nowhere has no share
            aside.map_or([0.0; 2], |(row, score)| {
                [(row.least_kg - central.least_kg) / score, (row.most_kg - central.most_kg) / score]
            })
        };
        let slopes = side_by_side((0..count).collect(), slope);
        let [least, most] = [0, 1].map(|end| slopes.iter().map(|slopes| slopes[end].powi(2)).sum::<f64>());
        let spread = |mean_kg: f64, variance: f64| -> Vec<f64> {
            let share = |i: usize| (i as f64 + 0.5) / POINTS as f64;
            (0..POINTS).map(|i| mean_kg + variance.sqrt() * normal_quantile(share(i))).collect()
        };
        Ok(Self {
            least_kg: spread(central.least_kg, least),
            most_kg: spread(central.most_kg, most),
            typical_frac: typical_frac(built, &draws, slopes.iter().map(|slopes| slopes[0].powi(2))),
            is_checked: false,
            is_by_slopes: true,
        })
    }

    fn from_rows(rows: &[Row], typical_frac: f64) -> Self {
        let sorted = |of: fn(&Row) -> f64| {
            let mut values: Vec<f64> = rows.iter().map(of).collect();
            values.sort_unstable_by(f64::total_cmp);
            values
        };
        let (least_kg, most_kg) = (sorted(|row| row.least_kg), sorted(|row| row.most_kg));
        Self { least_kg, most_kg, typical_frac, is_checked: false, is_by_slopes: false }
    }

    /// Lead that holds in a share of the trials, kg: never below zero.
    fn holding_kg(&self, share: f64) -> f64 {
        self.quantile_kg(share).max(0.0)
    }

    /// The least lead of so large a share of the trials, kg; below zero where none is needed.
    fn quantile_kg(&self, share: f64) -> f64 {
        let last = self.least_kg.len().saturating_sub(1);
        let index = ((share * self.least_kg.len() as f64).ceil() as usize).saturating_sub(1).min(last);
        self.least_kg.get(index).copied().unwrap_or(0.0)
    }

    /// Half of the 95 % interval of the least lead, kg, whether or not it reaches below zero.
    pub fn half_width_kg(&self) -> f64 {
        0.5 * (self.quantile_kg(UPPER_FRAC) - self.quantile_kg(1.0 - UPPER_FRAC))
    }

    /// Lead that holds in [`SURE_FRAC`] of the trials, kg.
    pub fn sure_kg(&self) -> f64 {
        self.holding_kg(SURE_FRAC)
    }

    /// Upper end of the 95 % interval of the least lead, kg; not below zero.
    pub fn upper_kg(&self) -> f64 {
        self.holding_kg(UPPER_FRAC)
    }

    /// The 95 % interval of the least lead, kg; not below zero.
    pub fn interval(&self) -> Interval {
        Interval { low: self.holding_kg(1.0 - UPPER_FRAC), high: self.upper_kg() }
    }

    /// Share of the trials in which a lead stays down at every stop and all the way up.
    pub fn holds_frac(&self, lead_kg: f64) -> f64 {
        let holding = self.least_kg.partition_point(|least| *least <= lead_kg + GRAM_KG);
        holding as f64 / self.least_kg.len().max(1) as f64
    }

    /// Share of the trials in which a lead can be swum up with a failed wing.
    pub fn swims_frac(&self, lead_kg: f64) -> f64 {
        let too_little = self.most_kg.partition_point(|most| *most < lead_kg - GRAM_KG);
        1.0 - too_little as f64 / self.most_kg.len().max(1) as f64
    }

    /// Whether a lead stays down in [`SURE_FRAC`] of the trials, and can be swum up in as many.
    pub fn is_sure(&self, lead_kg: f64) -> bool {
        self.holds_frac(lead_kg) >= SURE_FRAC && self.swims_frac(lead_kg) >= SURE_FRAC
    }

    /// Whether typical figures are more of the doubt than what is known of this rig.
    pub fn is_mostly_typical(&self) -> bool {
        self.typical_frac > TYPICAL_FRAC
    }

    /// Whether the lead is a guess: typical figures are most of its doubt, and no check has told enough of this rig.
    pub fn is_guess(&self) -> bool {
        self.is_mostly_typical() && !(self.is_checked && self.half_width_kg() <= CHECKED_KG)
    }

    /// Whether it is, and so wide that the answer begins with that.
    pub fn is_wide_guess(&self) -> bool {
        self.is_guess() && self.half_width_kg() > WIDE_KG
    }
}

/// Half-width of the least lead up to which a check has told enough, kg. One of the rig itself, ± 0.7 kg, leaves ± 0.9 to
/// 1.3 kg in another water and at another pressure; one that only says which way it went, or of another rig, may leave as
/// much as there was (our own choice).
const CHECKED_KG: f64 = 1.5;

/// Half-width of the least lead above which typical figures do not choose lead, kg: two of the usual pieces (our own
/// choice).
const WIDE_KG: f64 = 1.0;
/// Lead that nobody can weigh, kg.
const GRAM_KG: f64 = 1e-3;

/// Share of the squares of the factors that belongs to those in which every figure is a typical one.
fn typical_frac(built: &Built, draws: &Draws, squares: impl Iterator<Item = f64>) -> f64 {
    let doubtful: Vec<_> = built.uncertain().collect();
    let (mut typical, mut all) = (0.0, 0.0);
    for (factor, square) in draws.factors().iter().zip(squares) {
        all += square;
        if factor.inputs.iter().all(|&input| doubtful[input].origin == Origin::Typical) {
            typical += square;
        }
    }
    if all > 0.0 { typical / all } else { 0.0 }
}

/// The squared correlation of every factor with the least lead. Ends of the range are nearly linear in the figures, so the
/// squares add up to nearly one.
fn squared_correlations(draws: &Draws, found: &DoubtStudy) -> Vec<f64> {
    let scores: Vec<Vec<f64>> = found.row_draws().map(|draw| draws.scores(&draws.coordinates(draw))).collect();
    let least_kg: Vec<f64> = found.rows.iter().map(|row| row.least_kg).collect();
    let of = |factor: usize| squared_correlation(scores.iter().map(|of_draw| of_draw[factor]), &least_kg);
    (0..draws.factors().len()).map(of).collect()
}

fn squared_correlation(x: impl Iterator<Item = f64> + Clone, y: &[f64]) -> f64 {
    let count = y.len().max(1) as f64;
    let (mean_x, mean_y) = (x.clone().sum::<f64>() / count, y.iter().sum::<f64>() / count);
    let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in x.zip(y) {
        let (dx, dy) = (x - mean_x, y - mean_y);
        xy += dx * dy;
        xx += dx * dx;
        yy += dy * dy;
    }
    if xx > 0.0 && yy > 0.0 { xy * xy / (xx * yy) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim;

    fn trials(ends_kg: &[(f64, f64)]) -> LeadTrials {
        let row = |&(least_kg, most_kg): &(f64, f64)| Row { least_kg, most_kg, ..Row::default() };
        LeadTrials::from_rows(&ends_kg.iter().map(row).collect::<Vec<_>>(), 0.0)
    }

    #[test]
    fn shares_are_counted() {
        let of_a_hundred: Vec<(f64, f64)> = (1..=100).map(|i| (0.1 * f64::from(i), 5.0 + 0.1 * f64::from(i))).collect();
        let trials = trials(&of_a_hundred);
        assert!((trials.sure_kg() - 9.5).abs() < 1e-12);
        assert!((trials.upper_kg() - 9.8).abs() < 1e-12);
        assert_eq!(trials.holds_frac(9.5), 0.95);
        assert_eq!(trials.swims_frac(7.0), 0.81);
    }

    #[test]
    fn nobody_carries_less_than_none() {
        let trials = trials(&[(-2.0, 1.0), (-1.0, 2.0)]);
        assert_eq!((trials.sure_kg(), trials.interval()), (0.0, Interval { low: 0.0, high: 0.0 }));
        assert_eq!((trials.holds_frac(0.0), trials.swims_frac(1.5)), (1.0, 0.5));
    }

    // Where trials can be made the slopes say the same: ends of the interval to a tenth of its width, which is what kinks and
    // the tails of rectangular doubts leave.
    #[test]
    fn slopes_stand_near_the_trials() {
        for name in ["single-wetsuit", "cold-trimix", "mountain-lake"] {
            let plan = Plan::load(std::path::Path::new(&format!("profiles/{name}.toml"))).unwrap();
            let built = plan.build().unwrap();
            let trace = sim::run(&built.scenario).unwrap();
            let trials = LeadTrials::of(&plan, &built, &trace).unwrap();
            let slopes = LeadTrials::by_slopes(&plan, &built).unwrap();
            let (a, b) = (trials.interval(), slopes.interval());
            let near = 0.1 * (a.high - a.low);
            assert!((a.low - b.low).abs() < near && (a.high - b.high).abs() < near, "{name}: {a:?} {b:?}");
            assert!((trials.typical_frac - slopes.typical_frac).abs() < 0.1, "{name}");
        }
    }

    // y = 3a + 4b of independent a and b: shares 9/25 and 16/25
    #[test]
    fn correlations_share_the_variance() {
        let grid = || (0..10_000).map(|i| (f64::from(i % 100), f64::from(i / 100)));
        let y: Vec<f64> = grid().map(|(a, b)| 3.0 * a + 4.0 * b).collect();
        assert!((squared_correlation(grid().map(|(a, _)| a), &y) - 0.36).abs() < 1e-9);
        assert!((squared_correlation(grid().map(|(_, b)| b), &y) - 0.64).abs() < 1e-9);
    }
}
