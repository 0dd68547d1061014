//! A plan made ready to be asked: built, and corrected by the checks that it has.

use crate::answer::AnswerError;
use crate::answer::hung::{HungFound, hung};
use crate::estimate::doubt::{normal_quantile, standard_uncertainty};
use crate::estimate::{Doubt, Estimate, Figures, Input, PlaceTies, Shape};
use crate::plan::checks::{CheckRow, EYE_LEVEL_OUT_M3, OutcomeRow};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::calibrate::{Check, Correction, Gauge, Outcome, RigThen, Take, WaterThen, WingThen, correct};
use crate::study::doubt::{Draws, Sequence};
use crate::study::lead_bounds;

/// A plan ready to be asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ready {
    /// The plan, built, and corrected where it has checks.
    pub built: Built,
    /// What the checks did.
    pub checked: Option<Checked>,
}

/// Checks made in the water, and what they did to a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// The checks that say something of the lead, in the order of the plan.
    pub checks: Vec<Check>,
    /// Remarks written beside them.
    pub remarks: Vec<Option<String>>,
    /// What they say.
    pub correction: Correction,
    /// What checks of how the diver hung did to the places of things.
    pub hung: HungFound,
    /// The figures before them.
    pub before: Vec<Input>,
    /// The dive before them.
    pub scenario_before: Scenario,
    /// Where a check contradicts and is left out: both answers.
    pub dispute: Option<Dispute>,
}

/// The least lead by the figures alone, and if a check that contradicts them were right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dispute {
    /// By the figures alone, kg.
    pub by_figures_kg: f64,
    /// By all checks, guesses taken as wide as they may become, kg; `None` where that is no diver at all.
    pub by_checks_kg: Option<f64>,
}

impl Checked {
    /// As if no check said anything of the lead.
    fn nothing(built: &Built) -> Self {
        Self {
            checks: vec![],
            remarks: vec![],
            correction: Correction::none(&built.inputs),
            before: built.inputs.clone(),
            scenario_before: built.scenario.clone(),
            dispute: None,
            hung: HungFound::default(),
        }
    }

    /// Whether any check is used, of the lead or of the trim.
    pub fn is_used(&self) -> bool {
        self.correction.is_used() || self.hung.used().0 > 0
    }

    /// How many checks of the lead are used, and how many there are.
    pub fn used(&self) -> (usize, usize) {
        let verdicts = &self.correction.verdicts;
        (verdicts.iter().filter(|verdict| verdict.against.is_none()).count(), verdicts.len())
    }
}

impl Ready {
    /// Of a plan.
    ///
    /// # Errors
    /// A plan with problems; as [`correct`].
    pub fn of(plan: &Plan) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        if built.checks.is_empty() {
            return Ok(Self { built, checked: None });
        }
        let checks: Vec<_> = built.checks.iter().map(|one| (one.rig.map_or(0, |rig| rig + 1), &one.row)).collect();
        Self::corrected(plan, &built, &checks)
    }

    /// Of a built plan, corrected by these checks of it; each names its rig: 0 the plan's own, else one of its others.
    ///
    /// # Errors
    /// As [`correct`].
    pub fn corrected(plan: &Plan, built: &Built, rows: &[(usize, &CheckRow)]) -> Result<Self, AnswerError> {
        let dive_of = |rig: usize| if rig == 0 { &built.scenario } else { &built.rigs[rig - 1].scenario };
        let of_lead: Vec<_> = rows.iter().filter(|(_, row)| row.outcome.is_some()).copied().collect();
        let of_trim: Vec<_> =
            rows.iter().filter(|(_, row)| row.hung.is_some() || row.needed.is_some()).copied().collect();
        let (built, mut checked) = match of_lead.is_empty() {
            true => (built.clone(), Checked::nothing(built)),
            false => Self::by_lead(plan, built, &of_lead)?,
        };
        let of_trim: Vec<_> = of_trim.into_iter().map(|(rig, row)| (rig, row, check(row, dive_of(rig)))).collect();
        let Some((found, ties)) = hung(plan, &built, &of_trim) else {
            return Ok(Self { built, checked: Some(checked) });
        };
        let is_used = found.used().0 > 0;
        let built = if is_used { placed(plan, built, &found, ties)? } else { built };
        checked.hung = found;
        Ok(Self { built, checked: Some(checked) })
    }

    /// The weights of a built plan, corrected by the checks that say something of its lead.
    fn by_lead(plan: &Plan, built: &Built, rows: &[(usize, &CheckRow)]) -> Result<(Built, Checked), AnswerError> {
        let dive_of = |rig: usize| if rig == 0 { &built.scenario } else { &built.rigs[rig - 1].scenario };
        let checks: Vec<(usize, Check)> = rows.iter().map(|(rig, row)| (*rig, check(row, dive_of(*rig)))).collect();
        let own = |values: &[f64]| plan.build_draw(values, built).map_err(|error| error.to_string());
        let others: Vec<_> = plan
            .other_rigs()
            .iter()
            .zip(&built.rigs)
            .map(|(plan, built)| {
                move |values: &[f64]| plan.build_draw(values, built).map_err(|error| error.to_string())
            })
            .collect();
        let mut rigs = vec![RigThen { inputs: &built.inputs, build: &own }];
        rigs.extend(built.rigs.iter().zip(&others).map(|(built, build)| RigThen { inputs: &built.inputs, build }));
        let dive_by = |take: Take| -> Result<(Correction, Scenario), AnswerError> {
            let correction = correct(&rigs, &checks, take)?;
            let dive = corrected_dive(plan, built, &correction)?;
            Ok((correction, dive))
        };
        // checks that only an impossible diver could fit contradict
        let (correction, scenario) = match dive_by(Take::Agreeing) {
            Err(AnswerError::Corrected(_)) => dive_by(Take::Nothing)?,
            other => other?,
        };
        let dispute = match correction.contradicts() {
            true => Some(Dispute {
                by_figures_kg: lead_bounds(&built.scenario)?.least_kg,
                by_checks_kg: match dive_by(Take::All) {
                    Ok((_, dive)) => Some(lead_bounds(&dive)?.least_kg),
                    Err(AnswerError::Corrected(_)) => None,
                    Err(other) => return Err(other),
                },
            }),
            false => None,
        };
        let checked = Checked {
            checks: checks.into_iter().map(|(_, check)| check).collect(),
            remarks: rows.iter().map(|(_, row)| row.note.clone()).collect(),
            before: built.inputs.clone(),
            scenario_before: built.scenario.clone(),
            dispute,
            correction,
            hung: HungFound::default(),
        };
        let Correction { after, ties, .. } = &checked.correction;
        let is_disputed = checked.correction.contradicts();
        let built = built.clone().corrected(scenario, after, ties.clone(), is_disputed);
        Ok((built, checked))
    }
}

/// A built plan with its things where checks of the trim leave them.
fn placed(plan: &Plan, built: Built, found: &HungFound, ties: PlaceTies) -> Result<Built, AnswerError> {
    let mut after: Vec<Estimate> = found.before.iter().map(|input| input.estimate).collect();
    found.moved.iter().for_each(|moved| after[moved.input] = moved.after);
    let mut built = built.placed(ties, &after);
    let draws = Draws::new(built.figures(), Sequence::Sobol, 0);
    let dive = plan.build_draw(draws.central(), &built);
    let scenario = dive.map_err(|error| AnswerError::Corrected(error.to_string()))?;
    built.scenario = scenario;
    Ok(built)
}

/// The dive in the middle of what checks leave of the figures.
pub(super) fn corrected_dive(plan: &Plan, built: &Built, correction: &Correction) -> Result<Scenario, AnswerError> {
    let figures = Figures { inputs: &built.inputs, ties: Some(&correction.ties) };
    let draws = Draws::new(figures, Sequence::Sobol, 0);
    plan.build_draw(draws.central(), built).map_err(|error| AnswerError::Corrected(error.to_string()))
}

/// A row as a check. What is not known of the water, of the lungs and of what was out of the water counts with the doubt of
/// the row.
pub(super) fn check(row: &CheckRow, scenario: &Scenario) -> Check {
    let nothing = Estimate::exact(0.0);
    let lungs = row.breath.map_or(nothing, |breath| breath.more_m3());
    let out = if row.outcome == Some(OutcomeRow::EyeLevel) { EYE_LEVEL_OUT_M3 } else { nothing };
    let mut check = Check {
        label: row.label.clone(),
        depth_m: row.depth_m,
        cylinders: row.gauges.iter().map(|&(cylinder, gauge_pa)| Gauge { cylinder, gauge_pa }).collect(),
        lead_kg: row.lead_kg,
        wing: if row.wing_m3 > 0.0 { WingThen::Gas { gas_m3: row.wing_m3 } } else { WingThen::Empty },
        water: row.water.map_or(WaterThen::AsPlanned, |water| WaterThen::Density { water_kg_m3: water.value }),
        more_m3: lungs.value - out.value,
        outcome: match row.outcome {
            // of a check that says nothing of the lead this is not asked
            None | Some(OutcomeRow::Neutral | OutcomeRow::EyeLevel) => Outcome::Neutral,
            Some(OutcomeRow::Needed(lead_kg)) => Outcome::Needed { lead_kg },
            Some(OutcomeRow::Reading(lift_kg)) => Outcome::Reading { lift_kg },
            Some(OutcomeRow::CouldStay) => Outcome::CouldStay,
            Some(OutcomeRow::CouldNotStay) => Outcome::CouldNotStay,
        },
        doubt: row.doubt,
    };
    let predicted = check.predicted(scenario);
    let std = |estimate: Estimate| estimate.doubt.as_ref().map_or(0.0, standard_uncertainty);
    // u² = u_check² + (V·u_ρ)² + (ρ·u_V)², JCGM 100:2008, 5.1.2 (from memory)
    let more_kg = [
        predicted.volume_m3 * row.water.map_or(0.0, std),
        predicted.water_kg_m3 * std(lungs),
        predicted.water_kg_m3 * std(out),
    ];
    if more_kg.iter().any(|kg| *kg > 0.0) {
        let std_kg = more_kg.into_iter().fold(check.sigma_kg(), f64::hypot);
        let coverage_frac = 0.95;
        let half_width = std_kg * normal_quantile(0.5 * (1.0 + coverage_frac));
        check.doubt = Doubt { half_width, shape: Shape::Normal { coverage_frac } };
    }
    check
}
