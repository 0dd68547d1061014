//! What a total wing failure would mean at every moment: the load that the diver has to swim up.

use crate::findings::elsewhere::Elsewhere;
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};

/// What the diver can do after a failed wing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SwimUp {
    /// The load stays within the swim-up capacity.
    CanSwim,
    /// It does so only after dropping what is ditchable.
    AfterDitching,
    /// It does not, even after dropping what is ditchable.
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
    /// Largest load on the way up, kg; negative when the diver floats all the way.
    pub load_kg: f64,
    /// Depth at which that load is met, m.
    pub at_m: f64,
    /// Largest load on the way up after dropping what is ditchable, kg.
    pub ditched_kg: f64,
}

/// A time during which the load exceeds the capacity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beyond {
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
    /// The times beyond the capacity.
    pub beyond: Vec<Beyond>,
    /// The worst of the dive.
    pub verdict: SwimUp,
}

/// The diver of a moment whose wing has failed.
fn failed<'a>(scenario: &'a Scenario, now: &Now, suit: SuitUse) -> Elsewhere<'a> {
    let elsewhere = Elsewhere::of(scenario, now);
    match suit {
        SuitUse::Kept => elsewhere,
        SuitUse::AsLift => elsewhere.with_suit_as_lift(now),
    }
}

/// Load that a wing failure at a moment leaves to be swum up, kg: `max(−B(z))` on the way straight up.
pub fn load_kg(scenario: &Scenario, now: &Now, suit: SuitUse) -> f64 {
    -failed(scenario, now, suit).heaviest_on_the_way_up().bare_kg
}

fn ditched_kg(scenario: &Scenario, now: &Now, suit: SuitUse) -> f64 {
    -failed(scenario, now, suit).after_ditching().heaviest_on_the_way_up().bare_kg
}

impl FailedWing {
    /// Asks every moment of a dive.
    pub fn of(scenario: &Scenario, trace: &Trace, suit: SuitUse) -> Self {
        let capacity_kg = scenario.rig().swim_up_kg;
        let load = |now: &Now| load_kg(scenario, now, suit);
        let (mut worst, mut worst_kg) = (*trace.first(), load(trace.first()));
        for span in trace.spans() {
            if let Some((now, here_kg)) = span.greatest_above(scenario, worst_kg, load) {
                (worst, worst_kg) = (now, here_kg);
            }
        }
        let worst = Worst {
            now: worst,
            time_s: worst.state.time_s,
            depth_m: worst.state.depth_m,
            load_kg: worst_kg,
            at_m: failed(scenario, &worst, suit).heaviest_on_the_way_up().depth_m,
            ditched_kg: ditched_kg(scenario, &worst, suit),
        };
        let beyond =
            if worst_kg > capacity_kg { Spans { scenario, suit, capacity_kg }.beyond(trace) } else { Vec::new() };
        let verdict = beyond.iter().map(|span| span.verdict).max().unwrap_or(SwimUp::CanSwim);
        Self { suit, capacity_kg, worst, beyond, verdict }
    }

    /// Time beyond the capacity, s.
    pub fn beyond_s(&self) -> f64 {
        self.beyond.iter().map(|span| span.end_s - span.start_s).sum()
    }
}

/// The times beyond the capacity.
struct Spans<'a> {
    scenario: &'a Scenario,
    suit: SuitUse,
    capacity_kg: f64,
}

impl Spans<'_> {
    fn beyond(&self, trace: &Trace) -> Vec<Beyond> {
        let excess = |now: &Now| load_kg(self.scenario, now, self.suit) - self.capacity_kg;
        let mut found: Vec<Beyond> = Vec::new();
        let mut open: Option<Beyond> = None;
        for span in trace.spans() {
            // cut where the load passes the capacity; each piece lies on one side
            let mut edges = vec![*span.start()];
            edges.extend(span.zeros(self.scenario, excess));
            edges.push(*span.end());
            for pair in edges.windows(2) {
                let (from, to) = (pair[0].state, pair[1].state);
                let middle = span.at(self.scenario, 0.5 * (from.time_s + to.time_s));
                if excess(&middle) <= 0.0 {
                    found.extend(open.take());
                    continue;
                }
                let piece = span.clipped(self.scenario, from.time_s, to.time_s);
                let piece = piece.as_ref().unwrap_or(span);
                let (_, above_kg) = piece.greatest(self.scenario, excess);
                let here = open.get_or_insert(Beyond {
                    start_s: from.time_s,
                    start_m: from.depth_m,
                    end_s: to.time_s,
                    end_m: to.depth_m,
                    verdict: SwimUp::AfterDitching,
                    load_kg: f64::NEG_INFINITY,
                });
                (here.end_s, here.end_m) = (to.time_s, to.depth_m);
                here.load_kg = here.load_kg.max(above_kg + self.capacity_kg);
                let ditched = |now: &Now| ditched_kg(self.scenario, now, self.suit);
                if piece.greatest(self.scenario, ditched).1 > self.capacity_kg {
                    here.verdict = SwimUp::Cannot;
                }
            }
        }
        found.extend(open);
        found
    }
}
