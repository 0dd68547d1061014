//! One run reduced to the few numbers that decide about lead, without keeping it.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::{SAME_DEPTH_M, below};
use crate::findings::hold::{StopTime, reserves_mol, stop_times};
use crate::physics::bulk::Bulk;
use crate::rig::CylinderSet;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::terms::cylinder_bulk;
use crate::sim::{Happening, Now, Run, SimError, Span};

/// What one run says about lead. All of it equals what [`crate::Findings`] say of a run that was kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// Heavy point: the most negative net lift with the wing empty, kg.
    pub heavy_kg: f64,
    /// Light point: the most positive net lift with the wing empty at or below the last stop, kg.
    pub light_kg: f64,
    /// Largest load that a failed wing leaves to be swum up, kg: `max(−B(z))` on the way straight up.
    pub load_kg: f64,
    /// Where that load arises.
    pub load_at: LoadAt,
    /// Greatest net lift at the last stop with the wing empty, gas as planned, kg. Above zero the diver floats up.
    pub planned_kg: f64,
    /// The same with every breathable cylinder on the diver at its reserve, kg.
    pub at_reserve_kg: f64,
    /// The same, and with the set of removable cylinders gone that leaves the diver lightest, kg.
    pub worst_kg: f64,
    /// Where `at_reserve_kg` arises.
    pub at_reserve_at: StopAt,
    /// Where `worst_kg` arises.
    pub worst_at: StopAt,
    /// Whether a leg asked for more gas than there was.
    pub out_of_gas: bool,
}

/// The moment of the largest load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadAt {
    /// The diver then.
    pub now: Now,
    /// Leg, by index.
    pub leg: usize,
    /// Depth at which the load is met, m.
    pub depth_m: f64,
    /// Layer in which it is met.
    pub layer: usize,
}

/// A moment at the last stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopAt {
    /// The diver then, cylinders as they are.
    pub now: Now,
    /// Leg, by index.
    pub leg: usize,
    /// Layer in which the stop is looked at.
    pub layer: usize,
    /// Removable cylinders taken away.
    pub gone: CylinderSet,
}

impl StopAt {
    /// The diver who counts: wing empty, every breathable cylinder at reserve. None is taken away.
    pub(crate) fn counted<'a>(&self, scenario: &'a Scenario) -> Elsewhere<'a> {
        let which = scenario.breathable().and(self.now.state.carried);
        Elsewhere::of(scenario, &self.now).at_reserve(which, &reserves_mol(scenario, self.layer, which))
    }
}

impl Probe {
    /// Runs a dive as it is.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn of(scenario: &Scenario) -> Result<Self, SimError> {
        Self::after_dropping(scenario, 0.0)
    }

    /// Runs a dive as it is, and asks for the load of a diver who drops so much lead when the wing fails. Nothing but
    /// [`Probe::load_kg`] and [`Probe::load_at`] follows from the drop.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn after_dropping(scenario: &Scenario, dropped_kg: f64) -> Result<Self, SimError> {
        Self::along(scenario, dropped_kg, |_| ())
    }

    /// The same, with every span of the run shown to `also`.
    pub(crate) fn along(scenario: &Scenario, dropped_kg: f64, mut also: impl FnMut(&Span)) -> Result<Self, SimError> {
        let mut run = Run::new(scenario);
        let mut scout = Scout::new(scenario, dropped_kg);
        for span in run.by_ref() {
            let span = span?;
            scout.look(&span);
            also(&span);
        }
        scout.found.out_of_gas = run.events().iter().any(|event| matches!(event.what, Happening::OutOfGas { .. }));
        Ok(scout.found)
    }
}

/// Lift that is rounding, kg. Cylinders at reserve make every moment of a stop alike; of equal moments the last is named,
/// when the gas has really been breathed.
const ROUNDING_KG: f64 = 1e-10;

/// Looks at a run and keeps the extremes.
struct Scout<'a> {
    scenario: &'a Scenario,
    /// lead dropped when the wing fails
    dropped: Bulk,
    stop: StopTime,
    removable: CylinderSet,
    /// least water density at or above the top of each layer, kg/m³
    thinnest_kg_m3: Vec<f64>,
    found: Probe,
}

impl<'a> Scout<'a> {
    fn new(scenario: &'a Scenario, dropped_kg: f64) -> Self {
        let cylinders = &scenario.rig().cylinders;
        let now = Now::start(scenario);
        let layer = now.ambient.layer;
        // Extremes start at infinity, so the first moment that counts takes their place. There always is one: the run
        // shows its start, and the leg that reaches the last stop.
        let nowhere = StopAt { now, leg: 0, layer, gone: CylinderSet::EMPTY };
        let found = Probe {
            heavy_kg: f64::INFINITY,
            light_kg: f64::NEG_INFINITY,
            load_kg: f64::NEG_INFINITY,
            load_at: LoadAt { now, leg: 0, depth_m: now.state.depth_m, layer },
            planned_kg: f64::NEG_INFINITY,
            at_reserve_kg: f64::NEG_INFINITY,
            worst_kg: f64::NEG_INFINITY,
            at_reserve_at: nowhere,
            worst_at: nowhere,
            out_of_gas: false,
        };
        let water = scenario.water();
        let top_kg_m3 = |layer: usize| water.density_kg_m3(layer, water.layer_span_m(layer).0);
        let least = |layers: usize| (0..=layers).map(top_kg_m3).fold(f64::INFINITY, f64::min);
        let last_m = scenario.last_stop_m();
        Self {
            scenario,
            dropped: Bulk::new(dropped_kg, dropped_kg / LEAD_KG_M3),
            stop: stop_times(scenario).pop().unwrap_or(StopTime { depth_m: last_m, start_s: 0.0, end_s: 0.0 }),
            removable: CylinderSet::of((0..cylinders.len()).filter(|&i| cylinders[i].is_removable())),
            thinnest_kg_m3: (0..water.layer_count()).map(least).collect(),
            found,
        }
    }

    fn look(&mut self, span: &Span) {
        if let Some((_, kg)) = span.greatest_above(self.scenario, -self.found.heavy_kg, |now| -now.balance.bare_kg()) {
            self.found.heavy_kg = -kg;
        }
        if let Some(deep) = below(self.scenario, span, self.scenario.last_stop_m())
            && let Some((_, kg)) = deep.greatest_above(self.scenario, self.found.light_kg, |now| now.balance.bare_kg())
        {
            self.found.light_kg = kg;
        }
        self.weigh_load(span);
        if let Some(part) = span.clipped(self.scenario, self.stop.start_s, self.stop.end_s) {
            let StopTime { depth_m, start_s, end_s } = self.stop;
            // a stop that is passed is asked of the one moment, wherever the profile has the diver then
            let is_there = |now: &&Now| start_s == end_s || (now.state.depth_m - depth_m).abs() <= SAME_DEPTH_M;
            for now in [part.start(), part.end()].into_iter().filter(is_there) {
                self.weigh_stop(now, span.segment.leg);
            }
        }
    }

    /// The load of a span, looked for only where it can exceed the largest so far.
    ///
    /// On the way up the volume only grows (foam swells, a suit vents at its gas volume) and the mass only falls (what
    /// the suit vents), so the net lift at a depth `z` above is at least `B − (ρ − ρ_min)·V` with `ρ_min` the least
    /// density above. A moment with `−B + (ρ − ρ_min)·V` below the largest load so far cannot exceed it.
    fn weigh_load(&mut self, span: &Span) {
        let (scenario, dropped) = (self.scenario, self.dropped);
        let thinnest_kg_m3 = self.thinnest_kg_m3[span.segment.layer];
        let bound_kg = |now: &Now| {
            let bare = now.balance.bare() - dropped;
            -bare.net_kg(now.ambient.water_kg_m3.min(thinnest_kg_m3))
        };
        if span.greatest_above(scenario, self.found.load_kg, bound_kg).is_none() {
            return;
        }
        let load_kg = |now: &Now| -Elsewhere::of(scenario, now).without(dropped).heaviest_on_the_way_up().bare_kg;
        if let Some((now, load_kg)) = span.greatest_above(scenario, self.found.load_kg, load_kg) {
            let diver = Elsewhere::of(scenario, &now).without(dropped);
            let depth_m = diver.heaviest_on_the_way_up().depth_m;
            self.found.load_kg = load_kg;
            self.found.load_at = LoadAt { now, leg: span.segment.leg, depth_m, layer: diver.heaviest_layer(depth_m) };
        }
    }

    /// The last stop: as planned, at reserve, and with removable cylinders gone.
    ///
    /// A cylinder that is gone takes its own lift along and nothing else: the wing is empty, and the gas in suit and
    /// foam does not know which cylinders hang on the diver. So for a set `S` that is gone `B(S) = B − Σ_{i∈S} Bᵢ`. The
    /// terms are independent, so of all `2ⁿ` sets the one with the greatest `B(S)` holds exactly the cylinders with
    /// `Bᵢ < 0`: leaving one of those out, or taking another one in, lowers the sum or leaves it. No set has to be
    /// tried. A cylinder counts in one and the same state in `B` and in `Bᵢ`, so how full it was when it went does not
    /// matter.
    fn weigh_stop(&mut self, now: &Now, leg: usize) {
        let (scenario, depth_m) = (self.scenario, self.stop.depth_m);
        let diver = Elsewhere::of(scenario, now);
        let layer = diver.layer_at(depth_m);
        let here = |gone| StopAt { now: *now, leg, layer, gone };
        let at_reserve = here(CylinderSet::EMPTY).counted(scenario);
        let at_reserve_kg = at_reserve.bare_kg(layer, depth_m);
        let water_kg_m3 = scenario.water().density_kg_m3(layer, depth_m);
        let (mut worst_kg, mut gone) = (at_reserve_kg, CylinderSet::EMPTY);
        for i in self.removable.and(now.state.carried).iter() {
            let lift_kg = cylinder_bulk(scenario, i, at_reserve.cylinder_mol()[i]).net_kg(water_kg_m3);
            if lift_kg < 0.0 {
                worst_kg -= lift_kg;
                gone = gone.with(i);
            }
        }
        self.found.planned_kg = self.found.planned_kg.max(diver.bare_kg(layer, depth_m));
        if at_reserve_kg >= self.found.at_reserve_kg - ROUNDING_KG {
            self.found.at_reserve_kg = at_reserve_kg.max(self.found.at_reserve_kg);
            self.found.at_reserve_at = here(CylinderSet::EMPTY);
        }
        if worst_kg >= self.found.worst_kg - ROUNDING_KG {
            self.found.worst_kg = worst_kg.max(self.found.worst_kg);
            self.found.worst_at = here(gone);
        }
    }
}
