//! A breathing loop over the dive, as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::findings::circuit::left_s;
use crate::findings::{self, LoopTime, OxygenAt};
use crate::report::json::{micro, run::kind};
use crate::scenario::Scenario;
use crate::sim;

/// What a breathing loop used, and how far its oxygen stayed from the setpoint
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Circuit {
    /// Oxygen that the body took
    taken_mol: f64,
    /// What the oxygen cylinders gave, to all that they feed
    oxygen_given_mol: f64,
    /// What the diluent cylinders gave, to all that they feed
    diluent_given_mol: f64,
    /// Carbon dioxide that the absorbent took up
    absorbed_mol: f64,
    /// What it can take up; null where nobody says
    absorbs_mol: Option<f64>,
    /// When it has taken that up; null where it does not
    absorbent_spent: Option<Oxygen>,
    /// Least partial pressure of oxygen while the loop is breathed
    least: Oxygen,
    /// Greatest partial pressure of oxygen while it is breathed
    most: Oxygen,
    /// When the ambient pressure is too low for the setpoint
    too_shallow: Vec<Stretch>,
    /// When the partial pressure of oxygen is below what anybody counts on staying awake with
    too_little_oxygen: Vec<Stretch>,
    /// When it is above what anybody plans to breathe
    too_much_oxygen: Vec<Stretch>,
    /// What ran out
    out: Vec<Out>,
    /// When the loop is left for good; null where the dive ends on it
    left_s: Option<f64>,
}

/// The loop's oxygen at a moment
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Oxygen {
    oxygen_pa: f64,
    time_s: f64,
    depth_m: f64,
}

/// A time on the loop
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Stretch {
    start_s: f64,
    start_m: f64,
    end_s: f64,
    end_m: f64,
}

/// A supply that ran out
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Out {
    /// `oxygen-out` or `diluent-out`
    what: String,
    time_s: f64,
    depth_m: f64,
}

impl Circuit {
    pub fn of(scenario: &Scenario, found: &findings::Circuit) -> Self {
        let times = |times: &[LoopTime]| times.iter().map(stretch).collect();
        Self {
            taken_mol: micro(found.taken_mol),
            oxygen_given_mol: micro(found.oxygen_mol),
            diluent_given_mol: micro(found.diluent_mol),
            absorbed_mol: micro(found.absorbed_mol),
            absorbs_mol: found.absorbs_mol.map(micro),
            absorbent_spent: found.spent.map(oxygen),
            least: oxygen(found.least),
            most: oxygen(found.most),
            too_shallow: times(&found.too_shallow),
            too_little_oxygen: times(&found.too_little),
            too_much_oxygen: times(&found.too_much),
            out: found.out.iter().map(out).collect(),
            left_s: left_s(scenario.profile()).map(micro),
        }
    }
}

fn oxygen(at: OxygenAt) -> Oxygen {
    Oxygen { oxygen_pa: micro(at.pressure_pa), time_s: micro(at.time_s), depth_m: micro(at.depth_m) }
}

fn stretch(time: &LoopTime) -> Stretch {
    Stretch {
        start_s: micro(time.start_s),
        start_m: micro(time.start_m),
        end_s: micro(time.end_s),
        end_m: micro(time.end_m),
    }
}

fn out(event: &sim::Event) -> Out {
    Out { what: kind(&event.what), time_s: micro(event.time_s), depth_m: micro(event.depth_m) }
}
