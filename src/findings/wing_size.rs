//! How large the wing must be.

use crate::findings::elsewhere::Elsewhere;
use crate::rig::WING;
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};

/// What a wing must hold for a diver of a net buoyancy without it, kg, to lie still at the surface with a volume above the
/// water, m³: `(ρ·V_above − B)/ρ`, not less than nothing.
pub(crate) fn afloat_m3(scenario: &Scenario, bare_kg: f64, above_m3: f64) -> f64 {
    (above_m3 - bare_kg / scenario.water().density_kg_m3(0, 0.0)).max(0.0)
}

/// The volumes that a wing must hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WingSize {
    /// Largest volume that holds the diver neutral during the dive, m³.
    pub neutral_m3: f64,
    /// When that is, s.
    pub neutral_s: f64,
    /// Where that is, m.
    pub neutral_m: f64,
    /// Largest volume that holds head and shoulders out of the water at the surface, before or after the dive, m³.
    pub surface_m3: f64,
    /// Volume of head and shoulders that was taken for it, m³.
    pub head_out_m3: f64,
    /// The larger of both, m³.
    pub needed_m3: f64,
    /// Capacity of the plan's wing, m³; `None` without a wing.
    pub capacity_m3: Option<f64>,
}

impl WingSize {
    /// Asks a trace. At the surface: `ρ·(V_wing − V_head) = −B`, with the gas of the first and of the last moment.
    pub fn of(scenario: &Scenario, trace: &Trace) -> Self {
        let head_out_m3 = scenario.rig().head_out_m3;
        let needed = |now: &Now| now.balance.bags[WING].volume_m3 + now.state.unmet.bag_m3[WING];
        let (mut largest, mut largest_m3) = (*trace.first(), needed(trace.first()));
        for span in trace.spans() {
            if let Some((now, here_m3)) = span.greatest_above(scenario, largest_m3, needed) {
                (largest, largest_m3) = (now, here_m3);
            }
        }
        let at_surface = |now: &Now| {
            let bare_kg = Elsewhere::of(scenario, now).bare_kg(0, 0.0);
            afloat_m3(scenario, bare_kg, head_out_m3)
        };
        let surface_m3 = at_surface(trace.first()).max(at_surface(trace.last()));
        Self {
            neutral_m3: largest_m3,
            neutral_s: largest.state.time_s,
            neutral_m: largest.state.depth_m,
            surface_m3,
            head_out_m3,
            needed_m3: largest_m3.max(surface_m3),
            capacity_m3: scenario.rig().wing.map(|wing| wing.capacity_m3()),
        }
    }

    /// Whether the plan's wing is large enough; `true` without a wing when none is needed under water.
    pub fn is_enough(&self) -> bool {
        match self.capacity_m3 {
            Some(capacity_m3) => capacity_m3 >= self.needed_m3,
            None => self.neutral_m3 <= 0.0,
        }
    }
}
