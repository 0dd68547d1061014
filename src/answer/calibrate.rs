//! Checks made in the water, brought back into the plan.

use crate::answer::{AnswerError, Carry, DrawSettings, Pieces, Stage, Watch};
use crate::estimate::doubt::{normal_quantile, standard_uncertainty};
use crate::estimate::{Doubt, Shape};
use crate::plan::calibrated::CalibratedPlan;
use crate::plan::checks::{CheckRow, OutcomeRow};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::calibrate::{Calibrated, Check, Gauge, Outcome, WaterThen, WingThen, calibrate};
use crate::study::doubt::{Outlook, Stopped, doubt_study};

/// What checks say of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The plan as it was, built.
    pub built: Built,
    /// The checks, in the order of their rows.
    pub checks: Vec<Check>,
    /// What they say.
    pub calibrated: Calibrated,
    /// What to carry by the plan as it was.
    pub before: Carry,
    /// The plan written again.
    pub plan: CalibratedPlan,
    /// What that plan says; `None` where no figure of it is another one.
    pub after: Option<Rewritten>,
}

/// What a plan that was written again says by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Rewritten {
    /// What many draws of it say.
    pub outlook: Outlook,
    /// What to carry by it.
    pub carry: Carry,
}

impl Calibration {
    /// Calibrates the plan with the checks, writes it again, and reads and runs that one as any other. `name` is what
    /// messages call the new plan.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::study::calibrate::calibrate`], [`crate::study::doubt::doubt_study`] and
    /// [`crate::study::lead_bounds`]; ended from outside.
    pub fn of(
        plan: &Plan,
        rows: &[CheckRow],
        settings: &DrawSettings,
        pieces: &Pieces,
        name: &str,
        mut watch: Watch<'_>,
    ) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        let checks: Vec<Check> = rows.iter().map(|row| check(row, &built.scenario)).collect();
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let calibrated = calibrate(&built.inputs, &checks, &build, settings, watch.during(Stage::Draws))?;
        let values: Vec<_> = calibrated.moved.iter().map(|moved| (moved.input, moved.after)).collect();
        let written = plan.calibrated(&built, &values);
        let after = if written.written.is_empty() {
            None
        } else {
            let plan = plan.beside_this(&written.text, name)?;
            Some(Rewritten::of(&plan, settings, pieces, watch)?)
        };
        let before = Carry::of(plan, &built, pieces)?;
        Ok(Self { checks, calibrated, before, plan: written, after, built })
    }
}

impl Rewritten {
    fn of(plan: &Plan, settings: &DrawSettings, pieces: &Pieces, mut watch: Watch<'_>) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        let build = |values: &[f64]| plan.build_draw(values, &built);
        let found = doubt_study(&built.inputs, &build, settings, watch.during(Stage::Draws))?;
        if found.stopped == Stopped::Cancelled {
            return Err(AnswerError::Cancelled);
        }
        Ok(Self { outlook: found.outlook, carry: Carry::of(plan, &built, pieces)? })
    }
}

/// A row as a check. What is not known of the water counts with the doubt of the row.
fn check(row: &CheckRow, scenario: &Scenario) -> Check {
    let mut check = Check {
        label: format!("Line {}", row.line),
        depth_m: row.depth_m,
        cylinders: row.gauges.iter().map(|&(cylinder, gauge_pa)| Gauge { cylinder, gauge_pa }).collect(),
        lead_kg: row.lead_kg,
        wing: if row.wing_m3 > 0.0 { WingThen::Gas { gas_m3: row.wing_m3 } } else { WingThen::Empty },
        water: row.water.map_or(WaterThen::AsPlanned, |water| WaterThen::Density { water_kg_m3: water.value }),
        outcome: match row.outcome {
            OutcomeRow::Neutral => Outcome::Neutral,
            OutcomeRow::Needed(lead_kg) => Outcome::Needed { lead_kg },
            OutcomeRow::Reading(lift_kg) => Outcome::Reading { lift_kg },
            OutcomeRow::CouldStay => Outcome::CouldStay,
            OutcomeRow::CouldNotStay => Outcome::CouldNotStay,
        },
        doubt: row.doubt,
    };
    if let Some(water) = row.water.and_then(|water| water.doubt) {
        // u² = u_check² + (V·u_ρ)², JCGM 100:2008, 5.1.2 (from memory)
        let lift_kg = check.predicted(scenario).volume_m3 * standard_uncertainty(&water);
        let std_kg = check.sigma_kg().hypot(lift_kg);
        let coverage_frac = 0.95;
        let half_width = std_kg * normal_quantile(0.5 * (1.0 + coverage_frac));
        check.doubt = Doubt { half_width, shape: Shape::Normal { coverage_frac } };
    }
    check
}
