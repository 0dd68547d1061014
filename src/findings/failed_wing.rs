//! What a total wing failure would mean at every moment: the load that the diver has to swim up. Under an overhead nobody
//! swims up: there it is what the fins must carry for the diver to hover.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::mishaps::{Befalling, Mishap};
use crate::rig::CylinderSet;
use crate::scenario::Scenario;
use crate::sim::terms::{Owner, cylinder_kg};
use crate::sim::{Now, Span, Trace};
use crate::units::ATMOSPHERE_PA;

/// What the diver can do after a failed wing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SwimUp {
    /// The load stays within the swim-up capacity.
    CanSwim,
    /// It does so only after letting go of what is ditchable.
    AfterDitching,
    /// It does not, even after letting go of what is ditchable.
    Cannot,
}

/// How the dry suit is used on the way up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SuitUse {
    /// Kept at its gas volume.
    Kept,
    /// Blown up by its extra volume as a second lift.
    AsLift,
}

/// The moment with the largest load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// The diver then.
    pub now: Now,
    /// Moment of the failure, s.
    pub time_s: f64,
    /// Depth of the failure, m.
    pub depth_m: f64,
    /// Largest load on the way up, kg; negative when the diver floats all the way. Under an overhead the load there.
    pub load_kg: f64,
    /// Depth at which that load is met, m.
    pub at_m: f64,
    /// Leg, by index.
    pub leg: usize,
    /// Largest load on the way up after letting go of all that counts, kg.
    pub ditched_kg: f64,
}

/// A thing that can be let go of, at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LettingGo {
    /// A part or a cylinder.
    pub owner: Owner,
    /// Its own lift there with all that hangs on it, kg: above zero it floats, and letting go of it makes the diver
    /// heavier.
    pub lift_kg: f64,
    /// Gas that goes with it, as a volume at one atmosphere, m³.
    pub gas_m3: f64,
    /// Whether the plan still breathes from it, then or later: such a cylinder does not count.
    pub is_needed: bool,
}

impl LettingGo {
    /// Whether it helps a diver who cannot swim up, and may be let go of.
    pub fn counts(&self) -> bool {
        !self.is_needed && self.lift_kg < 0.0
    }
}

/// A time during which the load exceeds the capacity. Where an overhead begins or ends another one begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beyond {
    /// Whether it lies under an overhead: the diver cannot hover, instead of swimming up.
    pub is_overhead: bool,
    /// Start, s.
    pub start_s: f64,
    /// Depth at the start, m.
    pub start_m: f64,
    /// End, s.
    pub end_s: f64,
    /// Depth at the end, m.
    pub end_m: f64,
    /// The worst of this time.
    pub verdict: SwimUp,
    /// Largest load of this time, kg.
    pub load_kg: f64,
}

/// Failed wing, for the whole dive.
#[derive(Clone, Debug, PartialEq)]
pub struct FailedWing {
    /// How the suit is used.
    pub suit: SuitUse,
    /// Load that the diver can swim up, kg.
    pub capacity_kg: f64,
    /// The worst moment.
    pub worst: Worst,
    /// All that can be let go of, at the worst moment: parts in the diver's order, then cylinders.
    pub lets_go: Vec<LettingGo>,
    /// The times beyond the capacity.
    pub beyond: Vec<Beyond>,
    /// The worst of the dive.
    pub verdict: SwimUp,
}

/// Load that a wing failure at a moment of a leg leaves to the fins, kg: `max(−B(z))` on the way straight up, under an
/// overhead `−B` where the diver is.
pub fn load_kg(scenario: &Scenario, now: &Now, leg: usize, suit: SuitUse) -> f64 {
    Failure::of_wing(scenario, suit).load_kg(now, leg)
}

/// The same question after any mishap; `None` where it can happen at no moment.
pub(super) fn after(scenario: &Scenario, trace: &Trace, befalling: Befalling<'_>) -> Option<FailedWing> {
    let first = trace.spans().iter().find(|span| befalling.mishap().can_happen(span.start()))?;
    Some(Failure { scenario, suit: SuitUse::Kept, befalling }.ask(trace, first))
}

/// A failing wing, or another mishap, and how the suit is used then.
#[derive(Clone, Copy)]
struct Failure<'a> {
    scenario: &'a Scenario,
    suit: SuitUse,
    befalling: Befalling<'a>,
}

impl<'a> Failure<'a> {
    fn of_wing(scenario: &'a Scenario, suit: SuitUse) -> Self {
        Self { scenario, suit, befalling: Befalling::new(scenario, Mishap::WING) }
    }

    /// The diver of a moment after it.
    fn diver(&self, now: &Now) -> Elsewhere<'a> {
        let elsewhere = self.befalling.diver(now);
        match self.suit {
            SuitUse::Kept => elsewhere,
            SuitUse::AsLift => elsewhere.with_suit_as_lift(now),
        }
    }

    /// Whether it can happen in a span: what is carried changes between two.
    fn can_happen(&self, span: &Span) -> bool {
        self.befalling.mishap().can_happen(span.start())
    }

    /// The same diver after letting go of all that counts in a leg.
    fn ditched(&self, now: &Now, leg: usize) -> Elsewhere<'a> {
        self.befalling.after_ditching(self.diver(now), leg)
    }

    fn load_kg(&self, now: &Now, leg: usize) -> f64 {
        -self.diver(now).heaviest_on_the_way_up(leg).bare_kg
    }

    /// The moment of a span with the largest load, if that is above a floor.
    fn largest(&self, span: &Span, floor_kg: f64) -> Option<Load> {
        largest_load(self.scenario, span, floor_kg, |now| self.diver(now))
    }

    /// The same after letting go of all that counts.
    fn largest_ditched(&self, span: &Span, floor_kg: f64) -> Option<Load> {
        largest_load(self.scenario, span, floor_kg, |now| self.ditched(now, span.segment.leg))
    }
}

/// A load that a failed wing leaves at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Load {
    /// The diver then.
    pub now: Now,
    /// What is to be swum up, kg.
    pub load_kg: f64,
}

/// The moment of a span with the largest load on the way out, if that is above a floor: first by a bound that needs no
/// search on the way, since most spans of a dive cannot exceed what was seen before.
pub(crate) fn largest_load<'a>(
    scenario: &Scenario,
    span: &Span,
    floor_kg: f64,
    diver: impl Fn(&Now) -> Elsewhere<'a>,
) -> Option<Load> {
    let leg = span.segment.leg;
    span.greatest_value_above(scenario, floor_kg, |now| -diver(now).at_least_kg(leg))?;
    let found = span.greatest_above(scenario, floor_kg, |now| -diver(now).heaviest_on_the_way_up(leg).bare_kg);
    found.map(|(now, load_kg)| Load { now, load_kg })
}

impl FailedWing {
    /// Asks every moment of a dive.
    pub fn of(scenario: &Scenario, trace: &Trace, suit: SuitUse) -> Self {
        Failure::of_wing(scenario, suit).ask(trace, &trace.spans()[0])
    }

    /// The times beyond the capacity, also where one goes on as an overhead begins or ends.
    pub fn whole_beyond(&self) -> Vec<Beyond> {
        let mut whole: Vec<Beyond> = Vec::with_capacity(self.beyond.len());
        for span in &self.beyond {
            match whole.last_mut() {
                Some(before) if before.end_s == span.start_s => {
                    (before.end_s, before.end_m) = (span.end_s, span.end_m);
                    before.verdict = before.verdict.max(span.verdict);
                    before.load_kg = before.load_kg.max(span.load_kg);
                    before.is_overhead &= span.is_overhead;
                }
                _ => whole.push(*span),
            }
        }
        whole
    }

    /// Time beyond the capacity, s.
    pub fn beyond_s(&self) -> f64 {
        self.beyond.iter().map(|span| span.end_s - span.start_s).sum()
    }
}

impl Failure<'_> {
    /// Asks every moment at which it can happen, of which the first is the start of a span.
    fn ask(&self, trace: &Trace, first: &Span) -> FailedWing {
        let Self { scenario, suit, befalling } = *self;
        let capacity_kg = scenario.rig().swim_up_kg;
        let (mut worst, mut leg) = (*first.start(), first.segment.leg);
        let mut worst_kg = self.load_kg(&worst, leg);
        for span in trace.spans().iter().filter(|span| self.can_happen(span)) {
            if let Some(found) = self.largest(span, worst_kg) {
                (worst, leg, worst_kg) = (found.now, span.segment.leg, found.load_kg);
            }
        }
        let diver = self.diver(&worst);
        let mut lets_go = lets_go(scenario, &worst, leg);
        lets_go.retain(|thing| !befalling.mishap().takes(scenario, thing.owner));
        let worst = Worst {
            now: worst,
            time_s: worst.state.time_s,
            depth_m: worst.state.depth_m,
            load_kg: worst_kg,
            at_m: diver.heaviest_on_the_way_up(leg).depth_m,
            leg,
            ditched_kg: -self.ditched(&worst, leg).heaviest_on_the_way_up(leg).bare_kg,
        };
        let is_beyond = worst_kg > capacity_kg;
        let beyond = if is_beyond { Spans { failure: *self, capacity_kg }.beyond(trace) } else { Vec::new() };
        let verdict = beyond.iter().map(|span| span.verdict).max().unwrap_or(SwimUp::CanSwim);
        FailedWing { suit, capacity_kg, worst, lets_go, beyond, verdict }
    }
}

/// All that a diver can let go of at a moment of a leg, whether it counts or not.
pub(crate) fn lets_go(scenario: &Scenario, now: &Now, leg: usize) -> Vec<LettingGo> {
    let rig = scenario.rig();
    let (pressure_pa, water_kg_m3) = (now.ambient.pressure_pa, now.ambient.water_kg_m3);
    let parts = rig.parts.iter().enumerate().filter(|(_, part)| part.ditchable).map(|(i, part)| LettingGo {
        owner: Owner::Part(i),
        lift_kg: part.bulk(pressure_pa).net_kg(water_kg_m3),
        gas_m3: 0.0,
        is_needed: false,
    });
    let marked = |i: &usize| rig.cylinders[*i].is_ditchable();
    let free_mol_m3 = |i| scenario.isotherm(now.ambient.layer, i).ambient_mol_m3(ATMOSPHERE_PA);
    let needed: CylinderSet = scenario.needed_from(leg);
    let cylinders = now.state.carried.iter().filter(marked).map(|i| LettingGo {
        owner: Owner::Cylinder(i),
        lift_kg: cylinder_kg(scenario, now, i),
        gas_m3: now.state.cylinder_mol[i] / free_mol_m3(i),
        is_needed: needed.contains(i),
    });
    parts.chain(cylinders).collect()
}

/// The times beyond the capacity.
struct Spans<'a> {
    failure: Failure<'a>,
    capacity_kg: f64,
}

impl Spans<'_> {
    fn beyond(&self, trace: &Trace) -> Vec<Beyond> {
        let mut found: Vec<Beyond> = Vec::new();
        let mut open: Option<Beyond> = None;
        for span in trace.spans() {
            if !self.failure.can_happen(span) {
                found.extend(open.take());
                continue;
            }
            let is_overhead = self.failure.scenario.is_overhead(span.segment.leg);
            found.extend(open.take_if(|open| open.is_overhead != is_overhead));
            for (from, to) in self.cut(span) {
                if !self.is_beyond(span, &from, &to) {
                    found.extend(open.take());
                    continue;
                }
                let piece = span.clipped(self.failure.scenario, from.state.time_s, to.state.time_s);
                let piece = piece.as_deref().unwrap_or(span);
                let here = open.get_or_insert(Beyond {
                    is_overhead,
                    start_s: from.state.time_s,
                    start_m: from.state.depth_m,
                    end_s: to.state.time_s,
                    end_m: to.state.depth_m,
                    verdict: SwimUp::AfterDitching,
                    load_kg: f64::NEG_INFINITY,
                });
                (here.end_s, here.end_m) = (to.state.time_s, to.state.depth_m);
                if let Some(found) = self.failure.largest(piece, here.load_kg) {
                    here.load_kg = found.load_kg;
                }
                if here.verdict < SwimUp::Cannot && self.failure.largest_ditched(piece, self.capacity_kg).is_some() {
                    here.verdict = SwimUp::Cannot;
                }
            }
        }
        found.extend(open);
        found
    }

    /// A span, cut where the load passes the capacity; each piece lies on one side.
    fn cut(&self, span: &Span) -> Vec<(Now, Now)> {
        let (failure, capacity_kg, leg) = (&self.failure, self.capacity_kg, span.segment.leg);
        let ends = || vec![(*span.start(), *span.end())];
        // the load is at least what the diver weighs here, and at most what the bound on the way up says
        let over = |now: &Now| -failure.diver(now).here_kg() > capacity_kg;
        let under = |now: &Now| -failure.diver(now).at_least_kg(leg) <= capacity_kg;
        if span.nodes().iter().all(under) || span.nodes().iter().all(over) {
            return ends();
        }
        let zeros = span.zeros(failure.scenario, |now| failure.load_kg(now, leg) - capacity_kg);
        let edges: Vec<Now> = std::iter::once(*span.start()).chain(zeros).chain([*span.end()]).collect();
        edges.windows(2).map(|pair| (pair[0], pair[1])).collect()
    }

    /// Whether a piece of a span lies beyond the capacity, by its middle.
    fn is_beyond(&self, span: &Span, from: &Now, to: &Now) -> bool {
        let middle = span.at(self.failure.scenario, 0.5 * (from.state.time_s + to.state.time_s));
        self.failure.load_kg(&middle, span.segment.leg) > self.capacity_kg
    }
}
