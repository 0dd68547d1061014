//! What checks of how the diver hung say and moved, as JSON; words for people are metric.

use schemars::JsonSchema;
use serde::Serialize;

use crate::answer::{HungFound, HungSeen};
use crate::report::hung::{expected_text, seen_text};
use crate::report::json::calibrate::ContradictsCode;
use crate::report::json::micro;
use crate::report::measure::UnitSystem;

/// What is said of a check of how the diver hung
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct HungCheckVerdict {
    check: String,
    depth_m: f64,
    /// What was seen
    seen: String,
    /// Pitch that was seen, head up positive, degrees; 0 where lead had to be added to hang level
    pitch_deg: f64,
    /// Half-width of it (95 %), degrees; left out where lead had to be added
    #[serde(skip_serializing_if = "Option::is_none")]
    pitch_half_width_deg: Option<f64>,
    /// Lead that had to be added; left out where there was none
    #[serde(skip_serializing_if = "Option::is_none")]
    needed_kg: Option<f64>,
    /// What the plan expects
    expected: String,
    /// Torque that the plan expects of a diver held as was seen: above zero it lifts the head
    off_n_m: f64,
    /// The same in standard deviations of what could be
    residual: f64,
    /// Null where it agrees
    contradicts: Option<ContradictsCode>,
}

/// A distance that checks moved
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct MovedPlace {
    key: String,
    label: String,
    before_m: f64,
    before_half_width_m: Option<f64>,
    after_m: f64,
    after_half_width_m: Option<f64>,
    /// In standard uncertainties of the distance before
    shift_sigmas: f64,
}

impl HungCheckVerdict {
    /// Of all checks.
    pub(super) fn all(found: &HungFound) -> Vec<Self> {
        let units = UnitSystem::Metric;
        let one = |verdict: &crate::answer::HungVerdict| {
            let (pitch, needed_kg) = match &verdict.seen {
                HungSeen::Pitch(row) => (Some(row), None),
                HungSeen::Needed(needed) => (None, Some(micro(needed.lead.value))),
            };
            Self {
                check: verdict.label.clone(),
                depth_m: micro(verdict.depth_m),
                seen: seen_text(units, &verdict.seen),
                pitch_deg: micro(pitch.map_or(0.0, |row| row.pitch_rad.to_degrees())),
                pitch_half_width_deg: pitch.map(|row| micro(row.half_width_rad.to_degrees())),
                needed_kg,
                expected: expected_text(units, verdict.expected),
                off_n_m: micro(verdict.off_nm),
                residual: verdict.residual_ratio,
                contradicts: verdict.against.map(ContradictsCode::of),
            }
        };
        found.verdicts.iter().map(one).collect()
    }
}

impl MovedPlace {
    /// Of all that moved.
    pub(super) fn all(found: &HungFound) -> Vec<Self> {
        let moved = found.moved.iter().filter_map(|moved| Some((moved, found.before.get(moved.input)?)));
        moved
            .map(|(moved, input)| Self {
                key: input.path.to_string(),
                label: input.label.clone(),
                before_m: micro(moved.before.value),
                before_half_width_m: moved.before.doubt.map(|doubt| micro(doubt.half_width)),
                after_m: micro(moved.after.value),
                after_half_width_m: moved.after.doubt.map(|doubt| micro(doubt.half_width)),
                shift_sigmas: moved.shift_sigmas,
            })
            .collect()
    }
}
