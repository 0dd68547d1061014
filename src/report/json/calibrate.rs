//! What checks in the water changed, as JSON; words for people are metric.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::estimate::Estimate;
use crate::report::CAUTIONS;
use crate::report::calibrate::{CalibrateReport, input_of, outcome_text, reason_text};
use crate::report::json::doubt::{MadeFrom, OutlookFacts};
use crate::report::json::{Head, PlanSource, micro};
use crate::report::measure::UnitSystem;
use crate::study::calibrate::check::Check;
use crate::study::calibrate::verdict::CONTRADICTION;
use crate::study::calibrate::{Against, Method, Moved, Verdict};

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
    method: MethodFacts,
    /// How far the checks lie off straight lines, as a share of their standard uncertainties
    off_line_frac: f64,
    made: MadeFrom,
    /// Residual from which a check contradicts
    contradiction_residual: f64,
    checks: Vec<CheckVerdict>,
    moved: Vec<MovedFigure>,
    /// The plan as it was
    before: OutlookFacts,
    /// With the checks
    after: OutlookFacts,
    /// What the new plan says by itself; null where no figure of it is another one
    calibrated_plan: Option<OutlookFacts>,
    /// Figures that moved and do not stand in the new plan, and why
    not_written: Vec<String>,
    /// Where the new plan was written
    written: Option<String>,
    cautions: &'static str,
}

/// How the checks were brought back
#[derive(Serialize, JsonSchema)]
#[serde(tag = "name", rename_all = "kebab-case")]
#[schemars(deny_unknown_fields)]
enum MethodFacts {
    /// In closed form
    LinearGaussian {},
    WeightedDraws {
        draws: u64,
        /// Independent draws that they are worth
        effective_draws: f64,
        /// Whether a check bounds the lift on one side only
        one_sided: bool,
    },
}

/// What is said of a check
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct CheckVerdict {
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
enum ContradictsCode {
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
}

/// The whole; `not_written` are figures that moved and do not stand in the new plan, `written` is where that is.
pub fn result(report: &CalibrateReport<'_>, not_written: Vec<String>, written: Option<String>) -> Value {
    let calibrated = report.calibrated;
    json!(CalibrateResult {
        head: Head::new(),
        command: "calibrate",
        plan: PlanSource::of(report.source),
        method: match calibrated.method {
            Method::LinearGaussian => MethodFacts::LinearGaussian {},
            Method::Weighted { draws, effective, one_sided } => {
                MethodFacts::WeightedDraws { draws, effective_draws: effective, one_sided }
            }
        },
        off_line_frac: calibrated.off_line_frac,
        made: MadeFrom::of(&calibrated.made),
        contradiction_residual: CONTRADICTION,
        checks: report
            .checks
            .iter()
            .zip(&calibrated.verdicts)
            .map(|(check, said)| verdict(report, check, said))
            .collect(),
        moved: calibrated.moved.iter().filter_map(|moved| moved_figure(report, moved)).collect(),
        before: OutlookFacts::of(&calibrated.before),
        after: OutlookFacts::of(&calibrated.after),
        calibrated_plan: report.written.map(OutlookFacts::of),
        not_written,
        written,
        cautions: CAUTIONS,
    })
}

fn verdict(report: &CalibrateReport<'_>, check: &Check, verdict: &Verdict) -> CheckVerdict {
    let units = UnitSystem::Metric;
    let reason = |reason: &_| reason_text(units, report.scenario, check, *reason);
    CheckVerdict {
        check: check.label.clone(),
        depth_m: micro(check.depth_m),
        outcome: outcome_text(units, check.outcome),
        off_kg: micro(verdict.off_kg),
        residual: verdict.residual,
        contradicts: verdict.against.map(|against| match against {
            Against::Plan => ContradictsCode::Plan,
            Against::OtherChecks => ContradictsCode::OtherChecks,
        }),
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
    })
}
