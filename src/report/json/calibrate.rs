//! What checks in the water changed, as JSON; words for people are metric.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::{Calibration, Checked};
use crate::estimate::Estimate;
use crate::report::CAUTIONS;
use crate::report::calibrate::{CalibrateReport, input_of, outcome_text, reason_text};
use crate::report::json::doubt::{MadeFrom, OutlookFacts};
use crate::report::json::hung::{HungCheckVerdict, MovedPlace};
use crate::report::json::{Head, PlanSource, micro};
use crate::report::measure::UnitSystem;
use crate::study::calibrate::check::Check;
use crate::study::calibrate::{Against, Moved, Verdict};

/// What checks in the water changed
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CalibrateResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "calibrate"))]
    command: &'static str,
    plan: PlanSource,
    /// By how much the variance of figures that nobody measured was multiplied because a check surprised; 1: not at all
    widened: f64,
    /// How far the checks that are used lie off straight lines, as a share of their standard uncertainties
    off_line_frac: f64,
    made: MadeFrom,
    checks: Vec<CheckVerdict>,
    moved: Vec<MovedFigure>,
    /// Checks of how the diver hung
    #[serde(skip_serializing_if = "Vec::is_empty")]
    hung: Vec<HungCheckVerdict>,
    /// Distances that these moved, the one first that moved most
    #[serde(skip_serializing_if = "Vec::is_empty")]
    places: Vec<MovedPlace>,
    /// The plan as it was
    before: OutlookFacts,
    /// With the checks
    after: OutlookFacts,
    /// Figures that moved and do not stand in the new plan, and why
    not_written: Vec<String>,
    /// Where the new plan was written
    written: Option<String>,
    cautions: &'static str,
}

/// What is said of a check
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CheckVerdict {
    check: String,
    depth_m: f64,
    outcome: String,
    /// Above zero: lighter than expected
    off_kg: f64,
    /// The same in standard uncertainties
    residual: f64,
    /// Null where it agrees
    contradicts: Option<ContradictsCode>,
    /// What may explain it, the likeliest first
    reasons: Vec<String>,
}

/// What a check contradicts
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum ContradictsCode {
    Plan,
    OtherChecks,
}

/// A figure that moved
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct MovedFigure {
    key: String,
    label: String,
    /// SI
    unit: String,
    before: f64,
    before_half_width: Option<f64>,
    after: f64,
    after_half_width: Option<f64>,
    /// In standard uncertainties of the figure before
    shift_sigmas: f64,
    /// What its shift lifts the diver at the checks, kg; figures that err together share it
    took_kg: f64,
}

/// The whole; `not_written` are figures that moved and do not stand in the new plan, `written` is where that is.
pub fn result(report: &CalibrateReport<'_>, not_written: Vec<String>, written: Option<String>) -> Value {
    let Calibration { checked, before, after, .. } = report.found;
    let correction = &checked.correction;
    json!(CalibrateResult {
        head: Head::new(),
        command: "calibrate",
        plan: PlanSource::of(report.source),
        widened: correction.widened,
        off_line_frac: correction.off_line_frac,
        made: MadeFrom::of(&after.study.made),
        checks: CheckVerdict::all(checked),
        moved: correction.moved.iter().filter_map(|moved| moved_figure(report, moved)).collect(),
        hung: HungCheckVerdict::all(&checked.hung),
        places: MovedPlace::all(&checked.hung),
        before: OutlookFacts::of(&before.study.outlook),
        after: OutlookFacts::of(&after.study.outlook),
        not_written,
        written,
        cautions: CAUTIONS,
    })
}

/// Checks that correct an answer
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Corrected {
    /// How many checks there are
    count: usize,
    /// How many of them are used; the others contradict
    used: usize,
    /// By how much the variance of figures that nobody measured was multiplied because a check surprised; 1: not at all
    widened: f64,
    checks: Vec<CheckVerdict>,
    /// Checks of how the diver hung, which correct places
    #[serde(skip_serializing_if = "Vec::is_empty")]
    hung: Vec<HungCheckVerdict>,
    /// Where a check contradicts: the least lead by the figures alone
    #[serde(skip_serializing_if = "Option::is_none")]
    least_by_figures_kg: Option<f64>,
    /// and if every check is right
    #[serde(skip_serializing_if = "Option::is_none")]
    least_by_checks_kg: Option<f64>,
}

impl Corrected {
    pub(super) fn of(checked: &Checked) -> Self {
        let (used, count) = checked.used();
        Self {
            count,
            used,
            widened: checked.correction.widened,
            checks: CheckVerdict::all(checked),
            hung: HungCheckVerdict::all(&checked.hung),
            least_by_figures_kg: checked.dispute.map(|dispute| micro(dispute.by_figures_kg)),
            least_by_checks_kg: checked.dispute.and_then(|dispute| dispute.by_checks_kg).map(micro),
        }
    }
}

impl ContradictsCode {
    pub(super) fn of(against: Against) -> Self {
        match against {
            Against::Plan => Self::Plan,
            Against::OtherChecks => Self::OtherChecks,
        }
    }
}

impl CheckVerdict {
    /// Of all checks.
    pub(super) fn all(checked: &Checked) -> Vec<Self> {
        let verdicts = &checked.correction.verdicts;
        checked.checks.iter().zip(verdicts).map(|(check, said)| verdict(checked, check, said)).collect()
    }
}

fn verdict(checked: &Checked, check: &Check, verdict: &Verdict) -> CheckVerdict {
    let units = UnitSystem::Metric;
    let reason = |reason: &_| reason_text(units, &checked.scenario_before, check, *reason);
    CheckVerdict {
        check: check.label.clone(),
        depth_m: micro(check.depth_m),
        outcome: outcome_text(units, check.outcome),
        off_kg: micro(verdict.off_kg),
        residual: verdict.residual,
        contradicts: verdict.against.map(ContradictsCode::of),
        reasons: verdict.reasons.iter().map(reason).collect(),
    }
}

fn moved_figure(report: &CalibrateReport<'_>, moved: &Moved) -> Option<MovedFigure> {
    let input = input_of(report, moved)?;
    let unit = input.quantity.si();
    let width = |estimate: &Estimate| estimate.doubt.map(|doubt| doubt.half_width);
    Some(MovedFigure {
        key: input.path.to_string(),
        label: input.label.clone(),
        unit: unit.symbol.to_owned(),
        before: unit.number(moved.before.value),
        before_half_width: width(&moved.before),
        after: unit.number(moved.after.value),
        after_half_width: width(&moved.after),
        shift_sigmas: moved.shift_sigmas,
        took_kg: micro(moved.took_kg),
    })
}
