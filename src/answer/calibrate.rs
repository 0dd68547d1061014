//! Checks made in the water, brought back into the plan.

use crate::answer::{AnswerError, Carry, Checked, DrawSettings, Pieces, Ready, Stage, Watch};
use crate::estimate::Estimate;
use crate::plan::calibrated::CalibratedPlan;
use crate::plan::checks::CheckRow;
use crate::plan::{Built, Plan};
use crate::study::doubt::{DoubtStudy, Stopped, doubt_study};

/// What checks say of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The plan as it was, with the checks that it has.
    pub before: Asked,
    /// The same with the new checks among its own.
    pub after: Asked,
    /// All checks, those of the plan first, and what they did.
    pub checked: Checked,
    /// How many of them the plan had already.
    pub own: usize,
    /// The plan with the new checks written into it.
    pub with_checks: String,
    /// The plan with the figures that moved in place of all checks.
    pub with_figures: CalibratedPlan,
}

/// What a plan answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The plan, built and corrected by its checks.
    pub built: Built,
    /// What many draws of it say.
    pub study: DoubtStudy,
    /// What to carry by it.
    pub carry: Carry,
}

impl Calibration {
    /// Calibrates the plan with the checks: writes them into it, and asks that plan as any other. `name` is what messages
    /// call it.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::study::calibrate::correct`], [`crate::study::doubt::doubt_study`] and
    /// [`crate::study::lead_bounds`]; ended from outside.
    pub fn of(
        plan: &Plan,
        rows: &[CheckRow],
        settings: &DrawSettings,
        pieces: &Pieces,
        name: &str,
        mut watch: Watch<'_>,
    ) -> Result<Self, AnswerError> {
        let with_checks = plan.with_checks(rows);
        let calibrated = plan.beside_this(&with_checks, name)?;
        let Ready { built, checked } = Ready::of(&calibrated)?;
        let Some(mut checked) = checked else { return Err(AnswerError::Corrected("there is no check".into())) };
        let own = checked.checks.len().saturating_sub(rows.len());
        for (i, row) in rows.iter().enumerate() {
            checked.checks[own + i].label.clone_from(&row.label);
            checked.correction.verdicts[own + i].label.clone_from(&row.label);
        }
        let values: Vec<(usize, Estimate)> =
            checked.correction.moved.iter().map(|moved| (moved.input, moved.after)).collect();
        let bare = plan.without_checks();
        let bare = plan.beside_this(&bare, name)?;
        let with_figures = bare.calibrated(&bare.build()?, &values);
        let before = Asked::of(plan, Ready::of(plan)?.built, settings, pieces, &mut watch)?;
        let after = Asked::of(&calibrated, built, settings, pieces, &mut watch)?;
        Ok(Self { before, after, checked, own, with_checks, with_figures })
    }
}

impl Asked {
    fn of(
        plan: &Plan,
        built: Built,
        settings: &DrawSettings,
        pieces: &Pieces,
        watch: &mut Watch<'_>,
    ) -> Result<Self, AnswerError> {
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let study = doubt_study(built.figures(), &build, settings, watch.during(Stage::Draws))?;
        if study.stopped == Stopped::Cancelled {
            return Err(AnswerError::Cancelled);
        }
        Ok(Self { study, carry: Carry::of(plan, &built, pieces)?, built })
    }
}
