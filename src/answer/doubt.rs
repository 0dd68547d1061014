//! How sure the answers are, and what to weigh next.

use crate::answer::{AnswerError, DrawSettings, Stage, Watch};
use crate::plan::{Built, Plan};
use crate::study::doubt::{DoubtStudy, Draws, Row, Stopped, WeighNext, doubt_study, one, weigh_next};

/// Times at which the band around the curve is taken: one every seven pixels of its figure.
const BAND_POINTS: usize = 120;

/// How sure the answers are.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtFacts {
    /// The plan, built.
    pub built: Built,
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
    pub fn of(
        plan: &Plan,
        settings: DrawSettings,
        weigh: bool,
        mut watch: Watch<'_>,
    ) -> Result<Option<Self>, AnswerError> {
        let built = plan.build()?;
        if built.uncertain().next().is_none() {
            return Ok(None);
        }
        let end_s = built.scenario.profile().end_s();
        let band_times_s = (0..BAND_POINTS).map(|i| end_s * i as f64 / (BAND_POINTS - 1) as f64).collect();
        let settings = DrawSettings { band_times_s, ..settings };
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let found = doubt_study(&built.inputs, &build, &settings, watch.during(Stage::Draws))?;
        let is_ended = found.stopped == Stopped::Cancelled;
        if is_ended && found.rows.is_empty() {
            return Err(AnswerError::Cancelled);
        }
        let next = if weigh && !is_ended {
            weigh_next(&built.inputs, &build, &settings, &found, watch.during(Stage::Weighing))?
        } else {
            None
        };
        Ok(Some(Self { settings, study: found, next, built }))
    }
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
        let built = plan.build()?;
        if built.uncertain().next().is_none() {
            return Ok(None);
        }
        let draws = Draws::new(&built.inputs, settings.sequence, settings.seed);
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let (drawn, row) = one(&draws, &build, number);
        Ok(Some(Self { drawn, row, built }))
    }
}
