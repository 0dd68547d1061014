//! One run reduced to the few numbers that decide about lead, without keeping it.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::{SAME_DEPTH_M, below};
use crate::findings::failed_wing::{Load, largest_load};
use crate::findings::hold::{StopTime, sides, stop_times};
use crate::physics::bulk::Bulk;
use crate::rig::CylinderSet;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::terms::cylinder_bulk;
use crate::sim::{Event, Now, Run, SimError, Span, Trace};

/// What one run says about lead: what [`crate::Findings`] say of a run that was kept, within a hundredth of a gram.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// Heavy point: the most negative net lift with the wing empty, kg.
    pub heavy_kg: f64,
    /// Light point: the most positive net lift with the wing empty at or below the last stop, kg.
    pub light_kg: f64,
    /// Largest load that a failed wing leaves to the fins, kg: `max(−B(z))` on the way straight up, under an overhead
    /// `−B` where the diver is.
    pub load_kg: f64,
    /// Where that load arises.
    pub load_at: LoadAt,
    /// Greatest net lift of the final ascent at or below the last stop, wing empty, gas as planned, kg. Above zero the
    /// diver floats up.
    pub ascent_kg: f64,
    /// Greatest net lift at a stop with the wing empty and every cylinder that counts so at its reserve, kg.
    pub at_reserve_kg: f64,
    /// The same, and with the set of removable cylinders gone that leaves the diver lightest, kg.
    pub worst_kg: f64,
    /// Where `ascent_kg` arises.
    pub ascent_at: StopAt,
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

/// What the cylinders count with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counted {
    /// Their gas as planned.
    AsPlanned,
    /// Every one that counts so is down to its reserve.
    AtReserve,
}

/// A moment at which the diver must stay down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopAt {
    /// The diver then, cylinders as they are.
    pub now: Now,
    /// Leg, by index.
    pub leg: usize,
    /// Depth at which the diver is looked at, m.
    pub depth_m: f64,
    /// Layer in which the diver is looked at.
    pub layer: usize,
    /// What the cylinders count with.
    pub counted: Counted,
    /// Removable cylinders taken away.
    pub gone: CylinderSet,
}

impl StopAt {
    /// The diver who counts, wing empty. None of the cylinders is taken away.
    pub(crate) fn diver<'a>(&self, scenario: &'a Scenario) -> Elsewhere<'a> {
        let diver = Elsewhere::of(scenario, &self.now);
        match self.counted {
            Counted::AsPlanned => diver,
            Counted::AtReserve => counted_at_reserve(scenario, diver, self.now.state.carried, self.layer),
        }
    }

    /// Own lift of each removable cylinder on the diver, kg, in the order of the diver's list.
    #[cfg(feature = "doubt")]
    pub(crate) fn removable_kg<'a>(&self, scenario: &'a Scenario) -> impl Iterator<Item = f64> + 'a {
        let (water_kg_m3, amounts_mol) = (self.water_kg_m3(scenario), *self.diver(scenario).cylinder_mol());
        let bodies = &scenario.rig().cylinders;
        let removable = self.now.state.carried.iter().filter(|&i| bodies[i].is_removable());
        removable.map(move |i| cylinder_bulk(scenario, i, amounts_mol[i]).net_kg(water_kg_m3))
    }

    /// Density of the water in which the diver is looked at, kg/m³.
    pub(crate) fn water_kg_m3(&self, scenario: &Scenario) -> f64 {
        scenario.water().density_kg_m3(self.layer, self.depth_m)
    }
}

/// A diver with every cylinder that counts so down to its reserve.
fn counted_at_reserve<'a>(
    scenario: &'a Scenario,
    diver: Elsewhere<'a>,
    carried: CylinderSet,
    layer: usize,
) -> Elsewhere<'a> {
    let which = scenario.down_to_reserve().and(carried);
    diver.at_reserve(which, layer)
}

/// What a diver lets go of as the wing fails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LetGo {
    /// Nothing.
    Nothing,
    /// So much lead, kg, and everything else that is marked as ditchable and counts: parts other than ballast, and
    /// cylinders.
    Lead(f64),
}

impl LetGo {
    fn from<'a>(self, scenario: &Scenario, diver: Elsewhere<'a>, leg: usize) -> Elsewhere<'a> {
        match self {
            Self::Nothing => diver,
            Self::Lead(lead_kg) => {
                let parts = Bulk::new(lead_kg, lead_kg / LEAD_KG_M3) + scenario.fixed().ditchable_gear;
                diver.without(parts).without_cylinders(diver.sinkers(leg))
            }
        }
    }
}

impl Probe {
    /// Runs a dive as it is.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn of(scenario: &Scenario) -> Result<Self, SimError> {
        Self::after(scenario, LetGo::Nothing)
    }

    /// Runs a dive as it is, and asks for the load of a diver who lets go of something when the wing fails. Nothing but
    /// [`Probe::load_kg`] and [`Probe::load_at`] follows from that.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn after(scenario: &Scenario, dropped: LetGo) -> Result<Self, SimError> {
        Self::along(scenario, dropped, |_| ())
    }

    /// The same, with every span of the run shown to `also`.
    pub(crate) fn along(scenario: &Scenario, dropped: LetGo, mut also: impl FnMut(&Span)) -> Result<Self, SimError> {
        let mut run = Run::new(scenario);
        let mut scout = Scout::new(scenario, dropped, run.now());
        for span in run.by_ref() {
            let span = span?;
            scout.look(&span);
            also(&span);
        }
        Ok(scout.finish(run.events()))
    }

    /// The same as [`Probe::of`], from a run that was kept.
    pub fn of_trace(scenario: &Scenario, trace: &Trace) -> Self {
        let mut scout = Scout::new(scenario, LetGo::Nothing, trace.first());
        trace.spans().iter().for_each(|span| scout.look(span));
        scout.finish(trace.events())
    }

    /// What decides about the least lead, whichever removable cylinders are gone: a stop at reserve, or a moment of the
    /// final ascent. Its greatest net lift, kg, and where.
    pub fn lightest(&self) -> (f64, &StopAt) {
        self.lighter(self.worst_kg, &self.worst_at)
    }

    /// The same with no cylinder gone but those that the plan leaves behind.
    pub fn lightest_as_planned(&self) -> (f64, &StopAt) {
        self.lighter(self.at_reserve_kg, &self.at_reserve_at)
    }

    fn lighter<'a>(&'a self, stop_kg: f64, stop_at: &'a StopAt) -> (f64, &'a StopAt) {
        if stop_kg >= self.ascent_kg { (stop_kg, stop_at) } else { (self.ascent_kg, &self.ascent_at) }
    }
}

/// Lift that is rounding, kg. Cylinders at reserve make every moment of a stop alike; of equal moments the last is named,
/// when the gas has really been breathed.
const ROUNDING_KG: f64 = 1e-10;

/// Looks at a run and keeps the extremes.
struct Scout<'a> {
    scenario: &'a Scenario,
    /// what is let go of when the wing fails
    dropped: LetGo,
    stops: Vec<StopTime>,
    ascent_s: f64,
    removable: CylinderSet,
    found: Probe,
}

impl<'a> Scout<'a> {
    fn new(scenario: &'a Scenario, dropped: LetGo, first: &Now) -> Self {
        let cylinders = &scenario.rig().cylinders;
        let now = *first;
        let (layer, depth_m) = (now.ambient.layer, now.state.depth_m);
        // Extremes start at infinity, so the first moment that counts takes their place. There always is one: the run
        // shows its start, and the leg that reaches the last stop.
        let nowhere = StopAt { now, leg: 0, depth_m, layer, counted: Counted::AtReserve, gone: CylinderSet::EMPTY };
        let found = Probe {
            heavy_kg: f64::INFINITY,
            light_kg: f64::NEG_INFINITY,
            load_kg: f64::NEG_INFINITY,
            load_at: LoadAt { now, leg: 0, depth_m, layer },
            ascent_kg: f64::NEG_INFINITY,
            at_reserve_kg: f64::NEG_INFINITY,
            worst_kg: f64::NEG_INFINITY,
            ascent_at: StopAt { counted: Counted::AsPlanned, ..nowhere },
            at_reserve_at: nowhere,
            worst_at: nowhere,
            out_of_gas: false,
        };
        Self {
            scenario,
            dropped,
            stops: stop_times(scenario),
            ascent_s: scenario.profile().final_ascent_s(),
            removable: CylinderSet::of((0..cylinders.len()).filter(|&i| cylinders[i].is_removable())),
            found,
        }
    }

    fn finish(mut self, events: &[Event]) -> Probe {
        self.found.out_of_gas = events.iter().any(|event| event.what.is_out_of_gas());
        self.found
    }

    fn look(&mut self, span: &Span) {
        let weighs = |now: &Now| -now.balance.bare_kg();
        if let Some(kg) = span.greatest_value_above(self.scenario, -self.found.heavy_kg, weighs) {
            self.found.heavy_kg = -kg;
        }
        self.weigh_light(span);
        self.weigh_load(span);
        let first = self.stops.partition_point(|stop| stop.end_s < span.start_s());
        for i in first..self.stops.len() {
            let stop = self.stops[i];
            if stop.start_s > span.end_s() {
                break;
            }
            stop.ends_in(self.scenario, span, |now| {
                // a stop that is passed is asked of the one moment, wherever the profile has the diver then
                if stop.start_s == stop.end_s || (now.state.depth_m - stop.depth_m).abs() <= SAME_DEPTH_M {
                    self.weigh_stop(now, span.segment.leg, stop.depth_m);
                }
            });
        }
    }

    /// The light point, and the lightest moment of the final ascent.
    fn weigh_light(&mut self, span: &Span) {
        let bare = |now: &Now| now.balance.bare_kg();
        let floor_kg = self.found.light_kg.min(self.found.ascent_kg);
        // most spans lift less than what was seen, wherever they lie
        if !span.is_instant() && span.greatest_value_above(self.scenario, floor_kg, bare).is_none() {
            return;
        }
        let Some(deep) = below(self.scenario, span, self.scenario.last_stop_m()) else { return };
        if let Some(kg) = deep.greatest_value_above(self.scenario, self.found.light_kg, bare) {
            self.found.light_kg = kg;
        }
        let Some(rising) = deep.clipped(self.scenario, self.ascent_s, f64::INFINITY) else { return };
        if let Some((now, kg)) = rising.greatest_above(self.scenario, self.found.ascent_kg, bare) {
            let (depth_m, layer, leg) = (now.state.depth_m, now.ambient.layer, span.segment.leg);
            let (counted, gone) = (Counted::AsPlanned, CylinderSet::EMPTY);
            self.found.ascent_kg = kg;
            self.found.ascent_at = StopAt { now, leg, depth_m, layer, counted, gone };
        }
    }

    /// The load of a span, looked for only where it can exceed the largest so far.
    fn weigh_load(&mut self, span: &Span) {
        let (scenario, dropped, leg) = (self.scenario, self.dropped, span.segment.leg);
        let diver = |now: &Now| dropped.from(scenario, Elsewhere::of(scenario, now), leg);
        if let Some(Load { now, load_kg }) = largest_load(scenario, span, self.found.load_kg, diver) {
            let diver = diver(&now);
            let depth_m = diver.heaviest_on_the_way_up(leg).depth_m;
            self.found.load_kg = load_kg;
            self.found.load_at = LoadAt { now, leg, depth_m, layer: diver.heaviest_layer(leg, depth_m) };
        }
    }

    /// A stop at reserve, and with removable cylinders gone.
    ///
    /// A cylinder that is gone takes its own lift along and nothing else: the wing is empty, and the gas in suit and
    /// foam does not know which cylinders hang on the diver. So for a set `S` that is gone `B(S) = B − Σ_{i∈S} Bᵢ`. The
    /// terms are independent, so of all `2ⁿ` sets the one with the greatest `B(S)` holds exactly the cylinders with
    /// `Bᵢ < 0`: leaving one of those out, or taking another one in, lowers the sum or leaves it. No set has to be
    /// tried. A cylinder counts in one and the same state in `B` and in `Bᵢ`, so how full it was when it went does not
    /// matter.
    fn weigh_stop(&mut self, now: &Now, leg: usize, depth_m: f64) {
        let scenario = self.scenario;
        let diver = Elsewhere::of(scenario, now);
        let layer = sides(scenario, &diver, depth_m).fresh;
        let here = |gone| StopAt { now: *now, leg, depth_m, layer, counted: Counted::AtReserve, gone };
        let at_reserve = counted_at_reserve(scenario, diver, now.state.carried, layer);
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
