//! What the gauges of a dive say of the breathing rates, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::Logged;
use crate::report::doubt::uncertain;
use crate::report::json::{Head, PlanSource, micro, significant};
use crate::report::logged::is_rate;
use crate::report::{CAUTIONS, Source};

/// What the gauges of a dive say of the breathing rates
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct LoggedResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "calibrate-log"))]
    command: &'static str,
    plan: PlanSource,
    readings: Vec<Reading>,
    rates: Vec<Rate>,
    /// Where the plan with the corrected rates was written
    written: Option<String>,
    cautions: &'static str,
}

/// A gauge that was read
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Reading {
    line: String,
    cylinder: String,
    time_s: f64,
    seen_pa: f64,
    /// By the plan
    planned_pa: f64,
    /// By the corrected plan
    corrected_pa: f64,
    /// Whether it is left out because it fits neither the plan nor the others
    left_out: bool,
}

/// A breathing rate that moved
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Rate {
    key: String,
    before_m3_s: f64,
    after_m3_s: f64,
    after_half_width_m3_s: Option<f64>,
}

/// The result; `written` is where the corrected plan is.
pub fn result(source: &Source, found: &Logged, written: Option<String>) -> Value {
    let readings = found.readings.iter().zip(&found.correction.verdicts).map(|(one, verdict)| Reading {
        line: one.label.clone(),
        cylinder: found.built.scenario.rig().cylinders[one.cylinder].name().to_owned(),
        time_s: micro(one.time_s),
        seen_pa: micro(one.seen_pa),
        planned_pa: micro(one.planned_pa),
        corrected_pa: micro(one.corrected_pa),
        left_out: verdict.against.is_some(),
    });
    let rates = found.correction.moved.iter().filter(|moved| is_rate(found, moved)).filter_map(|moved| {
        let input = uncertain(&found.built.inputs).nth(moved.input)?;
        Some(Rate {
            key: input.path.to_string(),
            before_m3_s: significant(moved.before.value),
            after_m3_s: significant(moved.after.value),
            after_half_width_m3_s: moved.after.doubt.map(|doubt| significant(doubt.half_width)),
        })
    });
    json!(LoggedResult {
        head: Head::new(),
        command: "calibrate-log",
        plan: PlanSource::of(source),
        readings: readings.collect(),
        rates: rates.collect(),
        written,
        cautions: CAUTIONS,
    })
}
