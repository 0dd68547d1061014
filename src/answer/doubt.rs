//! How sure the answers are, and what to weigh next.

use crate::answer::{AnswerError, Checked, DrawSettings, Ready, Stage, Watch};
use crate::plan::{Built, Plan};
use crate::sim;
use crate::study::doubt::{DoubtStudy, Draws, Row, Stopped, WeighNext, doubt_study, one, weigh_next};

/// Times at which the band around the curve is taken: one every seven pixels of its figure.
const BAND_POINTS: usize = 120;
/// A net lift that changes at once by more than this is a jump in the band, kg: what a figure shows.
const JUMP_KG: f64 = 0.02;
/// The moments on both sides of a jump, s from it: a draw finds the same jump a rounding earlier or later.
const BESIDE_S: f64 = 1e-3;

/// How sure the answers are.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtFacts {
    /// The plan, built.
    pub built: Built,
    /// Checks that correct it.
    pub checked: Option<Checked>,
    /// How the draws were made.
    pub settings: DrawSettings,
    /// What they say.
    pub study: DoubtStudy,
    /// What to weigh next; `None` where it was not asked for, the draws were ended early, or too many of them failed.
    pub next: Option<WeighNext>,
}

impl DoubtFacts {
    /// Draws the figures that have a doubt, as `settings` say, with the band around the curve, and looks where the doubt
    /// comes from if `weigh` asks for it. `None`: nothing in the plan has a doubt.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::study::doubt::doubt_study`]; ended from outside before the first draws were done.
    pub fn of(plan: &Plan, settings: DrawSettings, weigh: bool, watch: Watch<'_>) -> Result<Option<Self>, AnswerError> {
        Self::of_ready(plan, &Ready::of(plan)?, settings, weigh, watch)
    }

    /// The same of a plan that is ready.
    ///
    /// # Errors
    /// As [`DoubtFacts::of`].
    pub fn of_ready(
        plan: &Plan,
        ready: &Ready,
        settings: DrawSettings,
        weigh: bool,
        mut watch: Watch<'_>,
    ) -> Result<Option<Self>, AnswerError> {
        let Ready { built, checked } = ready;
        if built.uncertain().next().is_none() {
            return Ok(None);
        }
        let settings = DrawSettings { band_times_s: band_times_s(built)?, ..settings };
        let build = |values: &[f64]| plan.build_draw(values, built);
        let found = doubt_study(built.figures(), &build, &settings, watch.during(Stage::Draws))?;
        let is_ended = found.stopped == Stopped::Cancelled;
        if is_ended && found.rows.is_empty() {
            return Err(AnswerError::Cancelled);
        }
        let next = if weigh && !is_ended {
            weigh_next(built.figures(), &build, &settings, &found, watch.during(Stage::Weighing))?
        } else {
            None
        };
        Ok(Some(Self { settings, study: found, next, checked: checked.clone(), built: built.clone() }))
    }
}

/// Times of the band: evenly over the dive, and on both sides of every jump. Cylinders come and go, and waters meet, at the
/// same times in every draw: profiles have no doubt.
fn band_times_s(built: &Built) -> Result<Vec<f64>, AnswerError> {
    let scenario = &built.scenario;
    let end_s = scenario.profile().end_s();
    let even = (0..BAND_POINTS).map(|i| end_s * i as f64 / (BAND_POINTS - 1) as f64);
    let trace = sim::run(scenario)?;
    let jumps = trace.spans().windows(2).filter_map(|pair| {
        let (before, after) = (pair[0].end(), pair[1].start());
        let jump_kg = after.balance.bare_kg() - before.balance.bare_kg();
        (jump_kg.abs() > JUMP_KG).then_some(after.state.time_s)
    });
    let mut times_s: Vec<f64> =
        even.chain(jumps.flat_map(|at_s| [(at_s - BESIDE_S).max(0.0), (at_s + BESIDE_S).min(end_s)])).collect();
    times_s.sort_unstable_by(f64::total_cmp);
    times_s.dedup();
    Ok(times_s)
}

/// One draw, alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// The plan, built.
    pub built: Built,
    /// The figures drawn, SI, in the order of [`Built::uncertain`].
    pub drawn: Vec<f64>,
    /// What they answer, or why they make no dive.
    pub row: Result<Row, String>,
}

impl Draw {
    /// Makes the draw of this number again. `None`: nothing in the plan has a doubt.
    ///
    /// # Errors
    /// A plan with problems.
    pub fn of(plan: &Plan, settings: &DrawSettings, number: u64) -> Result<Option<Self>, AnswerError> {
        let built = Ready::of(plan)?.built;
        if built.uncertain().next().is_none() {
            return Ok(None);
        }
        let draws = Draws::new(built.figures(), settings.sequence, settings.seed);
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let (drawn, row) = one(&draws, &build, number);
        Ok(Some(Self { drawn, row, built }))
    }
}
