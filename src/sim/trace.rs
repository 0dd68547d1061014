//! A whole dive, and rows of it for looking at.

use crate::physics::gas::OXYGEN_KG_MOL;
use crate::rig::{CylinderSet, LOOP, SUIT, WING};
use crate::scenario::Scenario;
use crate::sim::circuit::oxygen_pa;
use crate::sim::events::Event;
use crate::sim::span::Span;
use crate::sim::state::Now;
use crate::sim::{Run, SimError};

/// A dive that was run: every stretch of it, and what happened.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    spans: Vec<Span>,
    events: Vec<Event>,
    filled_kg: f64,
    ledger_error: f64,
    evaluations: usize,
}

impl Trace {
    pub(super) fn of(scenario: &Scenario) -> Result<Self, SimError> {
        let mut run = Run::new(scenario);
        let mut spans = Vec::with_capacity(2 * scenario.segments().len() + 2);
        for span in run.by_ref() {
            spans.push(span?);
        }
        Ok(Self {
            spans,
            filled_kg: run.at_start.mass_kg(),
            ledger_error: run.ledger_error(),
            evaluations: run.evaluations(),
            events: run.events,
        })
    }

    /// The stretches in order of time; never empty. Where something jumps, one ends and the next begins at the same
    /// time.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// What happened, in order of time.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// All gas there was before the dive, kg: fills, and what suit and wing were closed with.
    pub fn filled_kg(&self) -> f64 {
        self.filled_kg
    }

    /// Worst error of the gas ledger over the run, of any species, relative to all gas.
    pub fn ledger_error(&self) -> f64 {
        self.ledger_error
    }

    /// How often the run worked out the balance of the whole diver.
    pub fn evaluations(&self) -> usize {
        self.evaluations
    }

    /// The first moment.
    pub fn first(&self) -> &Now {
        self.spans[0].start()
    }

    /// The last moment.
    pub fn last(&self) -> &Now {
        self.spans[self.spans.len() - 1].end()
    }

    /// Places of the spans that have a part between two times, in order.
    pub fn spans_between(&self, from_s: f64, to_s: f64) -> &[Span] {
        let first = self.spans.partition_point(|span| span.end_s() < from_s);
        let end = self.spans.partition_point(|span| span.start_s() <= to_s);
        &self.spans[first..end.max(first)]
    }

    /// The span that holds a time; where one ends and the next begins, the later.
    pub fn span_at(&self, time_s: f64) -> &Span {
        let after = self.spans.partition_point(|span| span.start_s() <= time_s);
        &self.spans[after.saturating_sub(1)]
    }

    /// The moment at a time, exactly as the run would give it; where something jumps, after the jump.
    pub fn at(&self, scenario: &Scenario, time_s: f64) -> Now {
        self.span_at(time_s).at(scenario, time_s)
    }

    /// The moment at a time; where something jumps, before the jump.
    pub fn before(&self, scenario: &Scenario, time_s: f64) -> Now {
        let reaching = self.spans.partition_point(|span| span.end_s() < time_s);
        self.spans[reaching.min(self.spans.len() - 1)].at(scenario, time_s)
    }

    /// Moments for looking at, each with its leg: at whole multiples of `every_s`, at the times `also_s`, and at both ends
    /// of every span.
    pub fn series(&self, scenario: &Scenario, every_s: f64, also_s: &[f64]) -> Vec<(Now, usize)> {
        let count = (self.last().state.time_s / every_s) as usize + 2 * self.spans.len() + also_s.len();
        let mut series: Vec<(Now, usize)> = Vec::with_capacity(count);
        let mut also_s = also_s.to_vec();
        also_s.sort_unstable_by(f64::total_cmp);
        let (mut multiple, mut also) = (0.0, 0);
        for span in &self.spans {
            let leg = span.segment.leg;
            if series.last().is_none_or(|(now, _)| now != span.start()) {
                series.push((*span.start(), leg));
            }
            // a time that falls on an end but for rounding is the end
            let slack_s = 1e-9 * every_s;
            loop {
                let next = [multiple * every_s, also_s.get(also).copied().unwrap_or(f64::INFINITY)];
                let time_s = next[0].min(next[1]);
                if time_s >= span.end_s() - slack_s {
                    break;
                }
                multiple += f64::from(u8::from(next[0] <= time_s));
                also += usize::from(next[1] <= time_s);
                if time_s > span.start_s() + slack_s {
                    series.push((span.at(scenario, time_s), leg));
                }
            }
            if !span.is_instant() {
                series.push((*span.end(), leg));
            }
        }
        series
    }
}

/// One row of a series: a moment in plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Time from the start, s.
    pub time_s: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Leg, by index.
    pub leg: usize,
    /// Layer of water, by index.
    pub layer: usize,
    /// Absolute pressure of the water, Pa.
    pub ambient_pa: f64,
    /// Density of the water, kg/m³.
    pub water_kg_m3: f64,
    /// Net lift with the wing as it is, kg.
    pub net_kg: f64,
    /// Net lift with the wing empty, kg.
    pub bare_kg: f64,
    /// Mass of everything on the diver without the wing's gas, kg.
    pub bare_mass_kg: f64,
    /// Gas volume of the wing, m³.
    pub wing_m3: f64,
    /// Wing volume that would hold the diver neutral, m³: `wing_m3` plus what capacity or supply withheld.
    pub wing_needed_m3: f64,
    /// Mass of the wing's gas, kg.
    pub wing_kg: f64,
    /// Gas volume of the suit, m³.
    pub suit_m3: f64,
    /// Mass of the suit's gas, kg.
    pub suit_kg: f64,
    /// Gas volume of the loop, m³.
    pub loop_m3: f64,
    /// Mass of the loop's gas, kg.
    pub loop_kg: f64,
    /// Partial pressure of oxygen in the loop, Pa; nothing without one.
    pub loop_oxygen_pa: f64,
    /// Oxygen that the body has taken out of the loop so far, kg.
    pub metabolised_kg: f64,
    /// Volume of all foam, m³.
    pub foam_m3: f64,
    /// Gas in the cylinders that are carried, kg.
    pub carried_gas_kg: f64,
    /// Gas breathed so far, kg.
    pub breathed_kg: f64,
    /// Gas vented so far, kg.
    pub vented_kg: f64,
    /// Cylinders on the diver.
    pub carried: CylinderSet,
}

impl Sample {
    /// The row of a moment.
    pub fn of(now: &Now, leg: usize) -> Self {
        let Now { state, ambient, balance } = now;
        let [suit, circuit, wing] = [SUIT, LOOP, WING].map(|index| balance.bags[index]);
        Self {
            time_s: state.time_s,
            depth_m: state.depth_m,
            leg,
            layer: ambient.layer,
            ambient_pa: ambient.pressure_pa,
            water_kg_m3: ambient.water_kg_m3,
            net_kg: balance.net_kg(),
            bare_kg: balance.bare_kg(),
            bare_mass_kg: balance.bare().mass_kg,
            wing_m3: wing.volume_m3,
            wing_needed_m3: wing.volume_m3 + state.unmet.bag_m3[WING],
            wing_kg: wing.mass_kg,
            suit_m3: suit.volume_m3,
            suit_kg: suit.mass_kg,
            loop_m3: circuit.volume_m3,
            loop_kg: circuit.mass_kg,
            loop_oxygen_pa: oxygen_pa(now),
            metabolised_kg: state.metabolised_mol * OXYGEN_KG_MOL,
            foam_m3: ambient.foam_m3,
            carried_gas_kg: balance.carried_gas_kg,
            breathed_kg: state.breathed.mass_kg(),
            vented_kg: state.vented.mass_kg(),
            carried: state.carried,
        }
    }
}

/// A cylinder at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderAt {
    /// Amount inside, mol.
    pub amount_mol: f64,
    /// Absolute pressure at the water's temperature, Pa.
    pub pressure_pa: f64,
}

/// All cylinders at a moment, in the diver's order.
pub fn cylinders_at(scenario: &Scenario, now: &Now) -> impl Iterator<Item = CylinderAt> {
    (0..scenario.rig().cylinders.len()).map(|i| {
        let amount_mol = now.state.cylinder_mol[i];
        CylinderAt { amount_mol, pressure_pa: pressure_pa(scenario, now, i) }
    })
}

/// Absolute pressure in a cylinder at a moment, at the water's temperature, Pa.
pub fn pressure_pa(scenario: &Scenario, now: &Now, cylinder: usize) -> f64 {
    let quick = &scenario.gases().quick[cylinder];
    scenario.isotherm(now.ambient.layer, cylinder).pressure_pa(now.state.cylinder_mol[cylinder] / quick.water_m3)
}
