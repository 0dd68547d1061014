//! The run: from a checked dive to everything that can be asked of it.
//!
//! ```text
//! for every stretch of the dive            (cut at leg ends, interfaces of the water, changes)
//!     cylinders that come or go now        -> the controls of suit and wing answer
//!     repeat until the end of the stretch
//!         the next event                   (a cylinder dry, a bag full, empty or turning)
//!         step() there                     breathe, move, suit, wing: exact, however far
//! ```
//!
//! A run is pulled: [`Run`] gives one [`Span`] after the other, each smooth inside and able to give the moment at any
//! time. [`Trace`] keeps them all.
//!
//! Order of reading: [`state`] what changes, and the balance · [`terms`] the same as a list, thing by thing ·
//! [`mod@step`] from a knot to a moment · [`control`] what suit and wing do · [`events`] where steps must end · [`span`]
//! what lies between · [`trace`] a whole dive, and rows of it. Nothing here prints, reads files, or knows about plan
//! files.

pub(crate) mod circuit;
pub(crate) mod control;
pub mod events;
mod locate;
pub mod span;
pub mod state;
pub(crate) mod step;
pub mod terms;
pub mod trace;

use std::cell::Cell;

use thiserror::Error;

use crate::physics::gas::Species;
use crate::rig::{CylinderSet, LOOP, SUIT, WING};
use crate::scenario::{Scenario, Segment};
use crate::sim::control::Limits;
use crate::sim::events::Search;
use crate::sim::locate::NODES;
use crate::sim::span::node_s;
use crate::sim::step::step;
use crate::units::{ATMOSPHERE_PA, STANDARD_GRAVITY_M_S2};

pub use events::{Event, Happening};
pub use span::Span;
pub use state::{Ambient, Balance, Now, State, Unmet};
pub use terms::{Owner, Term, terms};
pub use trace::{CylinderAt, Sample, Trace};

/// Largest relative error of the gas ledger that a run accepts.
pub const LEDGER_TOLERANCE: f64 = 1e-9;
/// Pressures at the ends of a moving span have at most this ratio: over a doubling, foam and gas are smooth enough that
/// five moments tell the course of everything.
const PRESSURE_RATIO: f64 = 2.2;

/// What can go wrong in a run of a checked dive.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum SimError {
    /// Gas appeared or vanished.
    #[error("at {time_s} s the ledger of {species} is off by {relative:e} of all gas, more than {LEDGER_TOLERANCE:e}")]
    Ledger {
        /// When, s.
        time_s: f64,
        /// Which gas.
        species: &'static str,
        /// Error relative to all gas there was.
        relative: f64,
    },
    /// A number is not finite.
    #[error("at {time_s} s the {quantity} is {value}")]
    NotFinite {
        /// When, s.
        time_s: f64,
        /// Which quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
    },
}

/// Runs a dive and keeps it.
///
/// # Errors
/// A broken gas ledger or a value that is not finite; neither can come from a checked dive unless the model itself is at
/// fault.
pub fn run(scenario: &Scenario) -> Result<Trace, SimError> {
    Trace::of(scenario)
}

/// A run that is under way: an iterator over its spans.
///
/// ```
/// # #[cfg(feature = "plan")] {
/// # use lightpoint::{Plan, Run};
/// let dive = Plan::demonstration(&[]).unwrap().build().unwrap().scenario;
/// let heaviest_kg = Run::new(&dive).map(|span| span.unwrap().start().balance.bare_kg()).fold(0.0, f64::min);
/// assert!(heaviest_kg < -7.0);
/// # }
/// ```
pub struct Run<'a> {
    scenario: &'a Scenario,
    now: Now,
    /// the stretch under way, and whether its start has been dealt with
    segment: usize,
    entered: bool,
    begun: bool,
    changes: usize,
    steps: Cell<usize>,
    at_start: Species,
    ledger_error: f64,
    events: Vec<Event>,
    told: Told,
}

/// Shortages that have been told; each is told once, when it begins.
#[derive(Default)]
struct Told {
    /// what was breathed then, and the place of the event
    out_of_gas: Vec<(CylinderSet, usize)>,
    suit: bool,
    oxygen: bool,
    diluent: bool,
    wing: bool,
}

impl<'a> Run<'a> {
    /// A run at its start.
    pub fn new(scenario: &'a Scenario) -> Self {
        Self {
            scenario,
            now: Now::start(scenario),
            segment: 0,
            entered: false,
            begun: false,
            changes: 0,
            steps: Cell::new(1),
            at_start: Now::ledger_at_start(scenario),
            ledger_error: 0.0,
            events: Vec::new(),
            told: Told::default(),
        }
    }

    /// The moment up to which it has come.
    pub(crate) fn now(&self) -> &Now {
        &self.now
    }

    /// What happened so far, in order of time.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// How often the balance of the whole diver was worked out so far.
    pub fn evaluations(&self) -> usize {
        self.steps.get()
    }

    /// Worst error of the gas ledger so far, of any species, relative to all gas there was.
    pub fn ledger_error(&self) -> f64 {
        self.ledger_error
    }

    fn next_span(&mut self) -> Option<Span> {
        let segments = self.scenario.segments();
        let Some(&segment) = segments.get(self.segment) else {
            let last = segments.last().copied().unwrap_or_else(|| self.point());
            if self.begun && !self.apply_changes(f64::INFINITY) {
                return None;
            }
            self.begun = true;
            return Some(Span::instant(last, self.now));
        };
        if !self.entered {
            let before = self.now;
            let changed = self.apply_changes(segment.start_s);
            // a loop answers to another setpoint, or to being breathed again
            if changed || self.now.ambient.layer != segment.layer || segment.on_loop.is_some() {
                self.settle(segment.layer);
            }
            self.entered = true;
            if !self.begun && changed {
                self.begun = true;
                return Some(Span::instant(segment, before));
            }
        }
        self.begun = true;
        let span = self.advance(&segment);
        self.now = *span.end();
        if self.now.state.time_s >= segment.end_s {
            self.segment += 1;
            self.entered = false;
        }
        Some(span)
    }

    /// The stretch of a dive that is a single point.
    fn point(&self) -> Segment {
        let State { time_s, depth_m, .. } = self.now.state;
        Segment {
            leg: 0,
            layer: self.now.ambient.layer,
            start_s: time_s,
            end_s: time_s,
            start_m: depth_m,
            end_m: depth_m,
            source: CylinderSet::EMPTY,
            rate_m3_s: 0.0,
            on_loop: None,
        }
    }

    /// The controls answer to a change of water or of what is carried.
    fn settle(&mut self, layer: usize) {
        let on_loop = self.scenario.segments().get(self.segment).and_then(|segment| segment.on_loop);
        let Now { state, ambient, balance } = &mut self.now;
        *ambient = Ambient::at(self.scenario, layer, state.depth_m);
        *balance = state::settle(self.scenario, ambient, state, on_loop);
        self.steps.set(self.steps.get() + 1);
    }

    /// Cylinders that come or go up to a time; suit and wing answer. Whether there was one.
    fn apply_changes(&mut self, until_s: f64) -> bool {
        let first = self.events.len();
        while let Some(change) = self.scenario.profile().changes().get(self.changes) {
            if change.time_s > until_s {
                break;
            }
            self.changes += 1;
            let balance = self.now.balance;
            let lift_kg = terms::cylinder_kg(self.scenario, &self.now, change.cylinder);
            let net_before_kg = balance.net_kg();
            let state = &mut self.now.state;
            let (carried, sign) = match change.kind.is_carried_after() {
                true => (state.carried.with(change.cylinder), 1.0),
                false => (state.carried.without(change.cylinder), -1.0),
            };
            state.carried = carried;
            self.now.balance = Balance::of(self.scenario, state, &self.now.ambient);
            let wing_m3 = balance.bags[WING].volume_m3;
            let what = Happening::Moved {
                cylinder: change.cylinder,
                kind: change.kind,
                lift_kg,
                net_before_kg,
                net_after_kg: net_before_kg + sign * lift_kg,
                wing_before_m3: wing_m3,
                wing_after_m3: wing_m3,
            };
            self.events.push(Event { time_s: change.time_s, depth_m: self.now.state.depth_m, what });
        }
        if self.events.len() == first {
            return false;
        }
        self.settle(self.now.ambient.layer);
        let after_m3 = self.now.balance.bags[WING].volume_m3;
        for event in &mut self.events[first..] {
            if let Happening::Moved { wing_after_m3, .. } = &mut event.what {
                *wing_after_m3 = after_m3;
            }
        }
        true
    }

    /// From the present knot to the next event.
    fn advance(&mut self, segment: &Segment) -> Span {
        let knot = self.now;
        let from_s = knot.state.time_s;
        let mut to_s = self.far_enough_s(segment);
        loop {
            let count = if segment.start_m == segment.end_m { 2 } else { NODES.len() };
            let mut nodes = Vec::with_capacity(count);
            nodes.push(knot);
            for i in 1..count {
                nodes.push(step(self.scenario, segment, &knot, node_s(from_s, to_s, i, count), Limits::Real));
            }
            self.steps.set(self.steps.get() + count - 1);
            let search = Search { scenario: self.scenario, segment, knot: &knot, nodes: &nodes, steps: &self.steps };
            // an event at the very end of the stretch is where it was located before
            let margin_s = 2.0 * events::SAME_TIME_S;
            match search.first_s().filter(|event_s| *event_s < to_s - margin_s && *event_s > from_s) {
                Some(event_s) => to_s = event_s,
                None => return Span::new(*segment, nodes),
            }
        }
    }

    /// The end of the stretch, or before it where the pressure has changed by much.
    fn far_enough_s(&self, segment: &Segment) -> f64 {
        let (depth_m, pressure_pa) = (self.now.state.depth_m, self.now.ambient.pressure_pa);
        let end_pa = self.scenario.water().pressure_pa(segment.layer, segment.end_m);
        if (PRESSURE_RATIO.recip()..=PRESSURE_RATIO).contains(&(end_pa / pressure_pa)) {
            return segment.end_s;
        }
        let twice_pa = if end_pa > pressure_pa { pressure_pa } else { -0.5 * pressure_pa };
        let way_m = twice_pa / (self.now.ambient.water_kg_m3 * STANDARD_GRAVITY_M_S2);
        let speed_m_s = (segment.end_m - segment.start_m) / (segment.end_s - segment.start_s);
        debug_assert!(depth_m + way_m >= -1e-6);
        let to_s = self.now.state.time_s + way_m / speed_m_s;
        // in next to no time there is no moment between
        if to_s > self.now.state.time_s { to_s.min(segment.end_s) } else { segment.end_s }
    }

    /// Notes a shortage. Inside a span nothing begins: it is there from the span's start on, or its event is the span's end.
    fn tell(&mut self, span: &Span, is_short: fn(&Unmet) -> bool, what: Happening) {
        let middle = span.at(self.scenario, 0.5 * (span.start_s() + span.end_s()));
        let from = if is_short(&middle.state.unmet) { span.start() } else { span.end() };
        self.events.push(Event { time_s: from.state.time_s, depth_m: from.state.depth_m, what });
    }

    /// What a span's breathing asks for, as a volume at one atmosphere, m³: `∫ rate·ρₘ(p)/ρₘ(1 atm) dt` by Simpson's rule,
    /// which is far finer than anybody counts missing gas.
    fn demand_m3(&self, span: &Span) -> f64 {
        let (scenario, segment) = (self.scenario, &span.segment);
        let Some(cylinder) = segment.source.first() else { return 0.0 };
        let surface_mol_m3 = scenario.isotherm(segment.layer, cylinder).ambient_mol_m3(ATMOSPHERE_PA);
        let middle = span.at(scenario, 0.5 * (span.start_s() + span.end_s()));
        let times = |now: &Now| now.ambient.gas_mol_m3(scenario, cylinder) / surface_mol_m3;
        let mean = (times(span.start()) + 4.0 * times(&middle) + times(span.end())) / 6.0;
        segment.rate_m3_s * (span.end_s() - span.start_s()) * mean
    }

    /// Takes note of shortages that begin with a span, and checks the ledger at its end.
    fn note(&mut self, span: &Span) -> Result<(), SimError> {
        let end = span.end();
        let time_s = end.state.time_s;
        let mass_kg = end.balance.all().mass_kg;
        if !(mass_kg.is_finite() && end.balance.all().volume_m3.is_finite()) {
            return Err(SimError::NotFinite { time_s, quantity: "mass", value: mass_kg });
        }
        let held = end.ledger(self.scenario);
        let all_mol: f64 = self.at_start.mol.iter().sum();
        for ((held_mol, start_mol), species) in held.mol.iter().zip(self.at_start.mol).zip(Species::NAMES) {
            let relative = (held_mol - start_mol).abs() / all_mol.max(f64::MIN_POSITIVE);
            if relative.is_nan() || relative > LEDGER_TOLERANCE {
                return Err(SimError::Ledger { time_s, species, relative });
            }
            self.ledger_error = self.ledger_error.max(relative);
        }
        let unmet = end.state.unmet;
        let source = span.segment.source;
        // what a loop lacks is told as what it was not fed with
        if unmet.breath_frac > 0.0 && span.segment.on_loop.is_none() {
            let known = self.told.out_of_gas.iter().find(|(told, _)| *told == source).map(|(_, at)| *at);
            let at = known.unwrap_or_else(|| {
                let what = Happening::OutOfGas { source, leg: span.segment.leg, missing_m3: 0.0 };
                self.tell(span, |unmet| unmet.breath_frac > 0.0, what);
                self.told.out_of_gas.push((source, self.events.len() - 1));
                self.events.len() - 1
            });
            let more_m3 = unmet.breath_frac * self.demand_m3(span);
            if let Happening::OutOfGas { missing_m3, .. } = &mut self.events[at].what {
                *missing_m3 += more_m3;
            }
        }
        let short = |index: usize| unmet.bag_m3[index] > 0.0;
        if short(SUIT) && !self.told.suit {
            self.tell(span, |unmet| unmet.bag_m3[SUIT] > 0.0, Happening::SuitSupplyEmpty);
        }
        let (lacks_oxygen, lacks_diluent) = (unmet.oxygen_pa > 0.0, short(LOOP));
        if lacks_oxygen && !self.told.oxygen {
            self.tell(span, |unmet| unmet.oxygen_pa > 0.0, Happening::OxygenOut);
        }
        if lacks_diluent && !self.told.diluent {
            self.tell(span, |unmet| unmet.bag_m3[LOOP] > 0.0, Happening::DiluentOut);
        }
        if self.scenario.gases().bags[WING].is_some() && short(WING) && !self.told.wing {
            self.tell(span, |unmet| unmet.bag_m3[WING] > 0.0, Happening::WingShort);
        }
        (self.told.suit, self.told.wing) = (short(SUIT), short(WING));
        (self.told.oxygen, self.told.diluent) = (lacks_oxygen, lacks_diluent);
        Ok(())
    }
}

impl Iterator for Run<'_> {
    type Item = Result<Span, SimError>;

    fn next(&mut self) -> Option<Self::Item> {
        let span = self.next_span()?;
        Some(self.note(&span).map(|()| span))
    }
}
