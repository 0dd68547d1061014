//! One run reduced to the few numbers that decide about lead, without recording it.

use crate::diver::{CylinderSet, MAX_CYLINDERS};
use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::SAME_DEPTH_M;
use crate::findings::hold::low_mol;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::{self, Moment, Now, SimError, Watch};
use crate::study::solve::lead_pull_frac;

/// What one run says about lead. All of it equals what [`crate::findings`] read from a recorded run.
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
    /// The same with every breathable cylinder on the diver drained to its low pressure, kg.
    pub drained_kg: f64,
    /// The same, and with the set of removable cylinders gone that leaves the diver lightest, kg.
    pub worst_kg: f64,
    /// Where `drained_kg` arises.
    pub drained_at: StopAt,
    /// Where `worst_kg` arises.
    pub worst_at: StopAt,
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
    /// Amounts that count in the cylinders: drained where breathable, mol.
    pub counted_mol: [f64; MAX_CYLINDERS],
    /// Removable cylinders taken away.
    pub gone: CylinderSet,
}

impl Probe {
    /// Runs a dive as it is.
    ///
    /// # Errors
    /// As [`sim::run`].
    pub fn of(scenario: &Scenario) -> Result<Self, SimError> {
        Self::after_dropping(scenario, 0.0)
    }

    /// Runs a dive as it is, and asks for the load of a diver who drops so much lead when the wing fails. Nothing but
    /// [`Probe::load_kg`] and [`Probe::load_at`] follows from the drop.
    ///
    /// # Errors
    /// As [`sim::run`].
    pub fn after_dropping(scenario: &Scenario, dropped_kg: f64) -> Result<Self, SimError> {
        let mut scout = Scout::new(scenario, dropped_kg);
        sim::drive(scenario, &mut scout)?;
        Ok(scout.found)
    }

    /// The same, with the run shown to `also`.
    pub(crate) fn watched(scenario: &Scenario, also: &mut impl Watch) -> Result<Self, SimError> {
        let mut both = Both { scout: Scout::new(scenario, 0.0), also };
        sim::drive(scenario, &mut both)?;
        Ok(both.scout.found)
    }
}

/// The moments of a run that count as the last stop.
#[derive(Clone, Copy, Debug)]
enum Window {
    /// A stay from one time to another: every moment counts.
    Stay { start_s: f64, end_s: f64 },
    /// No stay: the last moment that is at least so deep counts, and none before this time can be it.
    Passing { from_s: f64 },
}

impl Window {
    /// The last stop as [`crate::findings::hold::holds`] sees it.
    fn of(scenario: &Scenario) -> Self {
        let (profile, last_m) = (scenario.profile(), scenario.last_stop_m());
        let deep_enough = |depth_m: f64| depth_m >= last_m - SAME_DEPTH_M;
        let last_stay = profile.stops().into_iter().rfind(|stop| deep_enough(stop.depth_m));
        if let Some(stay) = last_stay.filter(|stop| (stop.depth_m - last_m).abs() <= SAME_DEPTH_M) {
            return Self::Stay { start_s: stay.start_s, end_s: stay.end_s };
        }
        let last_deep = (0..profile.legs().len())
            .rfind(|&leg| deep_enough(profile.leg_start(leg).1) || deep_enough(profile.legs()[leg].end_m));
        Self::Passing { from_s: last_deep.map_or(0.0, |leg| profile.leg_start(leg).0) }
    }
}

/// Lift that is rounding, kg. Drained cylinders make every moment of a stop alike; of equal moments the last is named,
/// when the gas has really been breathed.
const ROUNDING_KG: f64 = 1e-10;

/// Watches a run and keeps the extremes.
struct Scout {
    /// lead dropped when the wing fails, kg
    dropped_kg: f64,
    window: Window,
    last_stop_m: f64,
    breathable: CylinderSet,
    removable: CylinderSet,
    /// amounts at low pressure, and the layer for which they hold
    low: Option<(usize, [f64; MAX_CYLINDERS])>,
    /// least water density at or above the top of a layer, kg/m³, and that layer
    thinnest: Option<(usize, f64)>,
    found: Probe,
}

impl Scout {
    fn new(scenario: &Scenario, dropped_kg: f64) -> Self {
        let cylinders = &scenario.diver().cylinders;
        let now = Now::start(scenario);
        let layer = now.ambient.layer;
        // Extremes start at infinity, so the first moment that counts takes their place. There always is one: the run
        // shows its start, and the end of the leg that reaches the last stop.
        let nowhere = StopAt { now, leg: 0, layer, counted_mol: now.state.cylinder_mol, gone: CylinderSet::EMPTY };
        let found = Probe {
            heavy_kg: f64::INFINITY,
            light_kg: f64::NEG_INFINITY,
            load_kg: f64::NEG_INFINITY,
            load_at: LoadAt { now, leg: 0, depth_m: now.state.depth_m, layer },
            planned_kg: f64::NEG_INFINITY,
            drained_kg: f64::NEG_INFINITY,
            worst_kg: f64::NEG_INFINITY,
            drained_at: nowhere,
            worst_at: nowhere,
        };
        Self {
            dropped_kg,
            window: Window::of(scenario),
            last_stop_m: scenario.last_stop_m(),
            breathable: scenario.breathable(),
            removable: CylinderSet::of((0..cylinders.len()).filter(|&i| cylinders[i].removable)),
            low: None,
            thinnest: None,
            found,
        }
    }

    /// The load of a moment, looked for only where it can exceed the largest so far.
    ///
    /// On the way up the volume only grows (foam swells, a suit vents at its loft) and the mass only falls (what the
    /// suit vents), so `B(z) ≥ ρ(z)·V − m ≥ B − (ρ − ρ_min)·V` with `ρ_min` the least density above. A moment with
    /// `−B + (ρ − ρ_min)·V` below the largest load so far cannot exceed it.
    fn weigh_load(&mut self, at: &Moment<'_>, bare_kg: f64) {
        let Now { ambient, balance, .. } = at.now;
        let thinning_kg_m3 = (ambient.water_kg_m3 - self.thinnest_kg_m3(at.scenario, ambient.layer)).max(0.0);
        let load_kg = -bare_kg - self.dropped_kg * lead_pull_frac(ambient.water_kg_m3);
        let bound_kg = load_kg + thinning_kg_m3 * (balance.solid_m3 + balance.suit_m3);
        if bound_kg <= self.found.load_kg {
            return;
        }
        let diver = Elsewhere::of_now(at.scenario, at.now).without(self.dropped_kg, self.dropped_kg / LEAD_KG_M3);
        let (lift_kg, depth_m) = diver.heaviest_on_the_way_up();
        if -lift_kg > self.found.load_kg {
            let layer = heaviest_layer(at.scenario, &diver, ambient.layer, depth_m);
            self.found.load_kg = -lift_kg;
            self.found.load_at = LoadAt { now: *at.now, leg: at.leg, depth_m, layer };
        }
    }

    fn thinnest_kg_m3(&mut self, scenario: &Scenario, layer: usize) -> f64 {
        match self.thinnest {
            Some((known, least_kg_m3)) if known == layer => least_kg_m3,
            _ => {
                let water = scenario.water();
                let top_kg_m3 = |layer: usize| water.density_kg_m3(layer, water.layer_span_m(layer).0);
                let least_kg_m3 = (0..=layer).map(top_kg_m3).fold(f64::INFINITY, f64::min);
                self.thinnest = Some((layer, least_kg_m3));
                least_kg_m3
            }
        }
    }

    /// The last stop: as planned, drained, and with removable cylinders gone.
    ///
    /// A cylinder that is gone takes its own lift along, `Bᵢ = ρ·V_ext − m_shell − n·M`, and nothing else: the wing is
    /// empty, and the gas in suit and foam does not know which cylinders hang on the diver. So for a set `S` that is
    /// gone `B(S) = B − Σ_{i∈S} Bᵢ`. The terms are independent, so of all `2ⁿ` sets the one with the greatest `B(S)`
    /// holds exactly the cylinders with `Bᵢ < 0`: leaving one of those out, or taking another one in, lowers the sum
    /// or leaves it. No set has to be tried. A cylinder counts in one and the same state in `B` and in `Bᵢ`, so how
    /// full it was when it went does not matter.
    fn weigh_stop(&mut self, at: &Moment<'_>, stop: StopWater) {
        let (scenario, now) = (at.scenario, at.now);
        let low_mol = self.low_mol(scenario, stop.layer);
        let mut counted_mol = now.state.cylinder_mol;
        let mut drained_kg = stop.bare_kg;
        for i in self.breathable.and(now.state.carried).iter() {
            let spent_mol = (counted_mol[i] - low_mol[i]).max(0.0);
            counted_mol[i] -= spent_mol;
            drained_kg += spent_mol * scenario.molar_kg_mol(i);
        }
        let (mut worst_kg, mut gone) = (drained_kg, CylinderSet::EMPTY);
        for i in self.removable.and(now.state.carried).iter() {
            let lift_kg = scenario.diver().cylinders[i].lift_kg(stop.water_kg_m3, counted_mol[i]);
            if lift_kg < 0.0 {
                worst_kg -= lift_kg;
                gone = gone.with(i);
            }
        }
        let here = |gone| StopAt { now: *now, leg: at.leg, layer: stop.layer, counted_mol, gone };
        self.found.planned_kg = self.found.planned_kg.max(stop.bare_kg);
        if drained_kg >= self.found.drained_kg - ROUNDING_KG {
            self.found.drained_kg = drained_kg.max(self.found.drained_kg);
            self.found.drained_at = here(CylinderSet::EMPTY);
        }
        if worst_kg >= self.found.worst_kg - ROUNDING_KG {
            self.found.worst_kg = worst_kg.max(self.found.worst_kg);
            self.found.worst_at = here(gone);
        }
    }

    fn low_mol(&mut self, scenario: &Scenario, layer: usize) -> [f64; MAX_CYLINDERS] {
        match self.low {
            Some((known, low)) if known == layer => low,
            _ => {
                let mut low = [0.0; MAX_CYLINDERS];
                for i in self.breathable.iter() {
                    low[i] = low_mol(scenario, layer, i);
                }
                self.low = Some((layer, low));
                low
            }
        }
    }

    /// The last stop of a dive that only passes through its depth: the latest moment takes the place of earlier ones.
    fn weigh_passing(&mut self, at: &Moment<'_>) {
        let diver = Elsewhere::of_now(at.scenario, at.now);
        let layer = diver.layer_at(self.last_stop_m);
        let stop = StopWater {
            layer,
            water_kg_m3: at.scenario.water().density_kg_m3(layer, self.last_stop_m),
            bare_kg: diver.bare_kg(layer, self.last_stop_m),
        };
        let none = f64::NEG_INFINITY;
        (self.found.planned_kg, self.found.drained_kg, self.found.worst_kg) = (none, none, none);
        self.weigh_stop(at, stop);
    }
}

/// The water at the last stop, and the diver's net lift in it with the wing empty.
struct StopWater {
    layer: usize,
    water_kg_m3: f64,
    bare_kg: f64,
}

impl Watch for Scout {
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError> {
        let Now { state, ambient, balance } = at.now;
        let bare_kg = balance.bare_kg();
        self.found.heavy_kg = self.found.heavy_kg.min(bare_kg);
        self.weigh_load(at, bare_kg);
        let deep_enough = state.depth_m >= self.last_stop_m - SAME_DEPTH_M;
        if !deep_enough {
            return Ok(());
        }
        self.found.light_kg = self.found.light_kg.max(bare_kg);
        match self.window {
            Window::Stay { start_s, end_s } if state.time_s >= start_s && state.time_s <= end_s => {
                let stop = StopWater { layer: ambient.layer, water_kg_m3: ambient.water_kg_m3, bare_kg };
                self.weigh_stop(at, stop);
            }
            Window::Passing { from_s } if state.time_s >= from_s => self.weigh_passing(at),
            _ => {}
        }
        Ok(())
    }
}

/// The layer in which a depth makes a diver heaviest: on an interface one of two.
fn heaviest_layer(scenario: &Scenario, diver: &Elsewhere<'_>, from_layer: usize, depth_m: f64) -> usize {
    let spans = |layer: &usize| {
        let (top_m, bottom_m) = scenario.water().layer_span_m(*layer);
        top_m <= depth_m && depth_m <= bottom_m
    };
    let lift_kg = |layer: &usize| diver.bare_kg(*layer, depth_m);
    (0..=from_layer).filter(spans).min_by(|a, b| lift_kg(a).total_cmp(&lift_kg(b))).unwrap_or(from_layer)
}

/// Two that watch one run.
struct Both<'a, W> {
    scout: Scout,
    also: &'a mut W,
}

impl<W: Watch> Watch for Both<'_, W> {
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError> {
        self.scout.moment(at)?;
        self.also.moment(at)
    }
}
