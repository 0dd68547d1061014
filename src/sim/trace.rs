//! A whole dive, and rows of it for looking at.

use crate::diver::{CylinderSet, SUIT, WING};
use crate::scenario::Scenario;
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
        while let Some(span) = run.next() {
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

    /// Rows at whole multiples of `every_s`, and at both ends of every span.
    pub fn series(&self, scenario: &Scenario, every_s: f64) -> Series {
        let mut series = Series { samples: Vec::new(), cylinders: Vec::new(), cylinder_count: 0 };
        series.cylinder_count = scenario.diver().cylinders.len();
        let mut next = 0.0;
        for span in &self.spans {
            let leg = span.segment.leg;
            if series.samples.last().is_none_or(|row| *row != Sample::of(span.start(), leg)) {
                series.push(scenario, span.start(), leg);
            }
            // a multiple that falls on an end but for rounding is the end
            let slack_s = 1e-9 * every_s;
            while next * every_s <= span.start_s() + slack_s {
                next += 1.0;
            }
            while next * every_s < span.end_s() - slack_s {
                series.push(scenario, &span.at(scenario, next * every_s), leg);
                next += 1.0;
            }
            if !span.is_instant() {
                series.push(scenario, span.end(), leg);
            }
        }
        series
    }
}

/// Rows of a dive. Findings never come from them.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    samples: Vec<Sample>,
    cylinders: Vec<CylinderAt>,
    cylinder_count: usize,
}

impl Series {
    fn push(&mut self, scenario: &Scenario, now: &Now, leg: usize) {
        self.samples.push(Sample::of(now, leg));
        self.cylinders.extend(cylinders_at(scenario, now));
    }

    /// The rows in order of time; never empty. Where something jumps there are two with the same time, before and after.
    pub fn samples(&self) -> &[Sample] {
        &self.samples
    }

    /// A cylinder at a row.
    pub fn cylinder(&self, sample: usize, cylinder: usize) -> CylinderAt {
        self.cylinders[sample * self.cylinder_count + cylinder]
    }

    /// All cylinders at a row, in the diver's order.
    pub fn cylinders(&self, sample: usize) -> &[CylinderAt] {
        &self.cylinders[sample * self.cylinder_count..(sample + 1) * self.cylinder_count]
    }

    /// The row nearest to a time; of two at one time the later.
    pub fn nearest(&self, time_s: f64) -> usize {
        let after = self.samples.partition_point(|row| row.time_s <= time_s);
        let before = after.saturating_sub(1);
        match self.samples.get(after) {
            Some(row) if row.time_s - time_s < time_s - self.samples[before].time_s => after,
            _ => before,
        }
    }

    /// The first row.
    pub fn first(&self) -> &Sample {
        &self.samples[0]
    }

    /// The last row.
    pub fn last(&self) -> &Sample {
        &self.samples[self.samples.len() - 1]
    }
}

/// One row of the series. Amounts and pressures of the cylinders stand beside it, see [`Series::cylinder`].
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
        let [suit, wing] = [balance.bags[SUIT], balance.bags[WING]];
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
    (0..scenario.diver().cylinders.len()).map(|i| {
        let amount_mol = now.state.cylinder_mol[i];
        CylinderAt { amount_mol, pressure_pa: pressure_pa(scenario, now, i) }
    })
}

/// Absolute pressure in a cylinder at a moment, at the water's temperature, Pa.
pub fn pressure_pa(scenario: &Scenario, now: &Now, cylinder: usize) -> f64 {
    let quick = &scenario.gases().quick[cylinder];
    scenario.isotherm(now.ambient.layer, cylinder).pressure_pa(now.state.cylinder_mol[cylinder] / quick.water_m3)
}
