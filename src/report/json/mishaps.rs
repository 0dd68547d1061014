//! What goes wrong, as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::answer::mishaps::{mishap_name, thing_name};
use crate::findings::{self, MishapFound, MishapVerdict, mishaps};
use crate::report::json::findings::{Floating, WingFailure, floating, wing_failure};
use crate::report::json::{micro, nano};
use crate::report::measure::UnitSystem;
use crate::report::mishaps::sentence;
use crate::scenario::Scenario;

/// What a mishap would mean, at the worst moment of the dive at which it can happen
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct MishapThen {
    /// As it is asked for: `wing + suit`
    name: String,
    /// What goes wrong at once: `wing`, `suit`, `loop`, `ditchable lead`, `lead`, or a cylinder's name
    things: Vec<String>,
    text: String,
    verdict: Verdict,
    worst_time_s: f64,
    worst_depth_m: f64,
    /// Net lift with the wing empty, positive floats; of what sinks the least on the way straight up
    net_wing_empty_kg: f64,
    /// What is left when the wing has done what it can: below zero to be swum up, above zero the diver floats
    left_kg: f64,
    /// The same after letting go of what is ditchable; null where nothing helps
    left_after_ditching_kg: Option<f64>,
    /// Too heavy; null where the mishap makes the diver lighter
    heavy: Option<Heavy>,
    /// The lightest moment at or below the last stop on the final ascent, wing empty; null where it makes the diver heavier
    light: Option<Floating>,
}

/// What a diver can do
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Verdict {
    Held,
    CanSwim,
    AfterDitching,
    FloatsUp,
    Cannot,
}

/// A diver who is too heavy
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Heavy {
    /// What is left to be swum up; of a working wing what it does not hold
    swim: WingFailure,
    /// Null where the wing has failed, or there is none
    wing: Option<WingThen>,
}

/// What the wing must do
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WingThen {
    needed_m3: f64,
    /// Its capacity, or what its supply gives
    most_m3: f64,
    /// With head and shoulders out, before or after the dive
    surface_m3: f64,
}

impl MishapThen {
    pub(super) fn of(scenario: &Scenario, found: &MishapFound) -> Self {
        let state = &found.now().state;
        let wing = |wing: findings::WingThen| WingThen {
            needed_m3: nano(wing.needed_m3),
            most_m3: nano(wing.most_m3),
            surface_m3: nano(wing.surface_m3),
        };
        let heavy =
            |heavy: &mishaps::Heavy| Heavy { swim: wing_failure(scenario, &heavy.swim), wing: heavy.wing.map(wing) };
        Self {
            name: mishap_name(scenario, found.mishap),
            things: found.mishap.things().into_iter().map(|thing| thing_name(scenario, thing)).collect(),
            text: sentence(UnitSystem::Metric, scenario, found),
            verdict: match found.verdict() {
                MishapVerdict::Held => Verdict::Held,
                MishapVerdict::CanSwim => Verdict::CanSwim,
                MishapVerdict::AfterDitching => Verdict::AfterDitching,
                MishapVerdict::FloatsUp => Verdict::FloatsUp,
                MishapVerdict::Cannot => Verdict::Cannot,
            },
            worst_time_s: micro(state.time_s),
            worst_depth_m: micro(state.depth_m),
            net_wing_empty_kg: micro(found.wing_empty_kg()),
            left_kg: micro(found.left_kg()),
            left_after_ditching_kg: found.ditched_kg().map(micro),
            heavy: found.heavy().map(heavy),
            light: found.light().map(floating),
        }
    }
}
