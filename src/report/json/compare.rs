//! Dives side by side, and findings against a changing figure, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::report::json::{Head, PlanSource, si, si_key};
use crate::report::{CAUTIONS, Source};
use crate::study::{Comparison, Dive, Key, SweepPoint};

/// Dives side by side
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CompareResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "compare"))]
    command: &'static str,
    /// In the order given; the first is what the others are held against
    dives: Vec<ComparedDive>,
    cautions: &'static str,
}

/// A dive and its figures; a figure is null where there is none
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ComparedDive {
    /// Its short name: the plan's, or what was set
    label: String,
    plan: PlanSource,
    #[serde(flatten)]
    figures: Figures,
    /// Parts known only by a reading in water
    unweighed: Vec<String>,
}

/// The figures of a dive
#[derive(Serialize, JsonSchema)]
pub(super) struct Figures {
    /// Below zero: no lead is needed
    least_lead_kg: Option<f64>,
    /// Below zero: too heavy without any
    most_lead_kg: Option<f64>,
    /// Below zero: no lead is right
    lead_width_kg: Option<f64>,
    heavy_point_kg: Option<f64>,
    light_point_kg: Option<f64>,
    /// After a wing failure
    largest_load_kg: Option<f64>,
    time_beyond_capacity_s: Option<f64>,
    /// Least margin of staying down: every stop at reserve, the final ascent as planned
    staying_down_margin_kg: Option<f64>,
    /// At the last stop
    hold_margin_planned_kg: Option<f64>,
    hold_margin_at_reserve_kg: Option<f64>,
    largest_wing_volume_m3: Option<f64>,
    /// At the last stop
    band_up_m: Option<f64>,
    /// Null where the lungs can trim any squeeze
    band_down_m: Option<f64>,
    gas_used_kg: Option<f64>,
    /// Everything but the diver's own body when the dive starts, less what is unweighed
    weight_on_land_kg: Option<f64>,
}

/// Findings against one figure of the plan that changes
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct SweepResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "compare"))]
    command: &'static str,
    plan: PlanSource,
    /// Key of the figure that changes
    key: String,
    /// Its unit as it stands in the plan; empty where it has none
    unit: String,
    /// What was asked for, each with its SI unit at the end
    findings: Vec<String>,
    points: Vec<Point>,
    cautions: &'static str,
}

/// The dive at one value of the figure
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Point {
    /// The value, in the unit of the plan
    at: f64,
    /// One number for each finding asked for, null where there is none; null as a whole where the dive fails
    values: Option<Vec<Option<f64>>>,
    /// Why there are no numbers
    failed: Option<String>,
}

/// The dives side by side, each with its short name and where it comes from.
pub fn result(labels: &[String], sources: &[&Source], comparison: &Comparison) -> Value {
    let named = labels.iter().zip(sources);
    json!(CompareResult {
        head: Head::new(),
        command: "compare",
        dives: named.zip(&comparison.dives).map(|((label, source), dive)| compared(label, source, dive)).collect(),
        cautions: CAUTIONS,
    })
}

/// The findings asked for at each value of the figure `key`, which has the unit `unit` in the plan.
pub fn sweep(source: &Source, key: &str, unit: &str, findings: &[Key], points: &[SweepPoint]) -> Value {
    let rounded = |values: &Vec<Option<f64>>| {
        findings.iter().zip(values).map(|(finding, value)| value.map(|value| si(finding.quantity(), value))).collect()
    };
    let point = |point: &SweepPoint| Point {
        at: point.at,
        values: point.figures.as_ref().ok().map(rounded),
        failed: point.figures.as_ref().err().map(ToString::to_string),
    };
    json!(SweepResult {
        head: Head::new(),
        command: "compare",
        plan: PlanSource::of(source),
        key: key.to_owned(),
        unit: unit.to_owned(),
        findings: findings.iter().map(|finding| si_key(finding.name(), finding.quantity())).collect(),
        points: points.iter().map(point).collect(),
        cautions: CAUTIONS,
    })
}

fn compared(label: &str, source: &Source, dive: &Dive) -> ComparedDive {
    ComparedDive {
        label: label.to_owned(),
        plan: PlanSource::of(source),
        figures: figures(|key| dive.figure(key)),
        unweighed: dive.unweighed.clone(),
    }
}

/// The figures, each as it is found.
pub(super) fn figures(found: impl Fn(Key) -> Option<f64>) -> Figures {
    let figure = |key: Key| found(key).map(|value| si(key.quantity(), value));
    Figures {
        least_lead_kg: figure(Key::LeastLead),
        most_lead_kg: figure(Key::MostLead),
        lead_width_kg: figure(Key::LeadWidth),
        heavy_point_kg: figure(Key::Heavy),
        light_point_kg: figure(Key::Light),
        largest_load_kg: figure(Key::Load),
        time_beyond_capacity_s: figure(Key::Beyond),
        staying_down_margin_kg: figure(Key::StayingDown),
        hold_margin_planned_kg: figure(Key::HoldPlanned),
        hold_margin_at_reserve_kg: figure(Key::HoldAtReserve),
        largest_wing_volume_m3: figure(Key::Wing),
        band_up_m: figure(Key::BandUp),
        band_down_m: figure(Key::BandDown),
        gas_used_kg: figure(Key::GasUsed),
        weight_on_land_kg: figure(Key::LandWeight),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The figures stand under the names by which a sweep asks for them, with their units, and none is forgotten.
    #[test]
    fn figures_have_the_names_of_a_sweep() {
        let schema = schemars::schema_for!(ComparedDive).to_value();
        let found: Vec<&str> = schema["properties"].as_object().unwrap().keys().map(String::as_str).collect();
        let figures: Vec<String> = Key::ALL.iter().map(|key| si_key(key.name(), key.quantity())).collect();
        assert_eq!(found[..2], ["label", "plan"]);
        assert_eq!(found[2..figures.len() + 2], figures);
        assert_eq!(found[figures.len() + 2..], ["unweighed"]);
    }
}
