//! Checks made in the water, brought back into the plan.

use crate::answer::ready::corrected_dive;
use crate::answer::{AnswerError, Carry, Checked, DrawSettings, Pieces, Ready, Stage, Watch};
use crate::estimate::{Doubt, Estimate};
use crate::plan::calibrated::CalibratedPlan;
use crate::plan::checks::CheckRow;
use crate::plan::checks::log::LogRow;
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::sim::trace::pressure_pa;
use crate::sim::{self, Trace};
use crate::study::calibrate::{Check, Correction, Moved, Outcome, RigThen, Take, WaterThen, WingThen, correct};
use crate::study::doubt::{DoubtStudy, Stopped, doubt_study};
use crate::units::ATMOSPHERE_PA;

/// What checks say of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The plan as it was, with the checks that it has.
    pub before: Asked,
    /// The same with the new checks among its own.
    pub after: Asked,
    /// All checks, those of the plan first, and what they did.
    pub checked: Checked,
    /// How many of those of the lead the plan had already.
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
        let of_lead: Vec<&CheckRow> = rows.iter().filter(|row| row.outcome.is_some()).collect();
        let own = checked.checks.len().saturating_sub(of_lead.len());
        for (i, row) in of_lead.iter().enumerate() {
            checked.checks[own + i].label.clone_from(&row.label);
            checked.correction.verdicts[own + i].label.clone_from(&row.label);
        }
        let seen = |row: &CheckRow| usize::from(row.hung.is_some()) + usize::from(row.needed.is_some());
        let of_trim: Vec<&String> = rows.iter().flat_map(|row| std::iter::repeat_n(&row.label, seen(row))).collect();
        for (verdict, label) in checked.hung.verdicts.iter_mut().rev().zip(of_trim.iter().rev()) {
            verdict.label.clone_from(label);
        }
        let values: Vec<(usize, Estimate)> =
            checked.correction.moved.iter().map(|moved| (moved.input, moved.after)).collect();
        let bare = plan.without_checks();
        let bare = plan.beside_this(&bare, name)?;
        let places: Vec<(usize, Estimate)> =
            checked.hung.moved.iter().map(|moved| (moved.input, moved.after)).collect();
        let with_figures = bare.calibrated_with_places(&bare.build()?, &values, &places);
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

/// What the gauges of a real dive say of the breathing rates.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// The plan, built.
    pub built: Built,
    /// Every reading, in the order of the file.
    pub readings: Vec<GaugeRead>,
    /// What they say of all figures.
    pub correction: Correction,
    /// The plan with the breathing rates that moved.
    pub plan: CalibratedPlan,
}

/// A gauge read during a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeRead {
    /// Line in the file.
    pub label: String,
    /// Which cylinder, by index.
    pub cylinder: usize,
    /// When, s.
    pub time_s: f64,
    /// Gauge pressure that was read, Pa.
    pub seen_pa: f64,
    /// The same by the plan, Pa.
    pub planned_pa: f64,
    /// By the corrected plan, Pa.
    pub corrected_pa: f64,
}

impl Logged {
    /// Of a plan and the gauges of a dive that was made by it.
    ///
    /// # Errors
    /// A plan with problems; a reading that does not fit the dive; as [`correct`] and [`sim::run`].
    pub fn of(plan: &Plan, rows: &[LogRow]) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        let scenario = &built.scenario;
        let trace = sim::run(scenario)?;
        let checks: Vec<(usize, Check)> = rows
            .iter()
            .flat_map(|row| row.gauges.iter().map(|gauge| (0, reading(scenario, &trace, row, *gauge))))
            .collect();
        let build = |values: &[f64]| plan.build_draw(values, &built).map_err(|error| error.to_string());
        let rigs = [RigThen { inputs: &built.inputs, build: &build }];
        let correction = correct(&rigs, &checks, Take::Agreeing)?;
        let corrected = corrected_dive(plan, &built, &correction)?;
        let after = sim::run(&corrected)?;
        let shown = |dive: &Scenario, trace: &Trace, time_s: f64, cylinder: usize| {
            pressure_pa(dive, &trace.at(dive, time_s), cylinder) - ATMOSPHERE_PA
        };
        let readings = checks.iter().filter_map(|(_, check)| match check.outcome {
            Outcome::Gauge { time_s, cylinder, gauge_pa } => Some(GaugeRead {
                label: check.label.clone(),
                cylinder,
                time_s,
                seen_pa: gauge_pa,
                planned_pa: shown(scenario, &trace, time_s, cylinder),
                corrected_pa: shown(&corrected, &after, time_s, cylinder),
            }),
            _ => None,
        });
        let readings = readings.collect();
        let uncertain: Vec<_> = built.uncertain().collect();
        let of_breathing = |moved: &&Moved| uncertain[moved.input].group.as_deref() == Some("breathing");
        let values: Vec<(usize, Estimate)> =
            correction.moved.iter().filter(of_breathing).map(|moved| (moved.input, moved.after)).collect();
        let plan = plan.calibrated(&built, &values);
        Ok(Self { readings, plan, correction, built })
    }
}

/// A reading as a check of the gas in its cylinder: its doubt in pressure is one of gas by the slope of the density there.
fn reading(scenario: &Scenario, trace: &Trace, row: &LogRow, (cylinder, gauge_pa): (usize, f64)) -> Check {
    let layer = trace.at(scenario, row.time_s).ambient.layer;
    let gas_kg = |gauge_pa: f64| {
        let density = scenario.isotherm(layer, cylinder).density_mol_m3(gauge_pa.max(0.0) + ATMOSPHERE_PA);
        scenario.rig().cylinders[cylinder].water_m3() * density * scenario.molar_kg_mol(cylinder)
    };
    // a bar to either side: the density is nearly straight over that
    const BESIDE_PA: f64 = 1e5;
    let slope = (gas_kg(gauge_pa + BESIDE_PA) - gas_kg(gauge_pa)) / BESIDE_PA;
    Check {
        label: row.label.clone(),
        depth_m: 0.0,
        cylinders: Vec::new(),
        lead_kg: None,
        wing: WingThen::Empty,
        water: WaterThen::AsPlanned,
        more_m3: 0.0,
        outcome: Outcome::Gauge { time_s: row.time_s, cylinder, gauge_pa },
        doubt: Doubt { half_width: row.doubt.half_width * slope, ..row.doubt },
    }
}
