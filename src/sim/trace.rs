//! What is recorded of a run.

use crate::diver::CylinderSet;
use crate::profile::{Change, Move};
use crate::scenario::Scenario;
use crate::sim::{LEDGER_TOLERANCE, Moment, Now, SimError, State, Watch};

/// One row of the series. Amounts and pressures of the cylinders stand beside it, see [`Trace::cylinder`].
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
    /// Amount of the suit's gas, mol.
    pub suit_mol: f64,
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

/// A cylinder at a sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderAt {
    /// Amount inside, mol.
    pub amount_mol: f64,
    /// Absolute pressure at the water's temperature, Pa.
    pub pressure_pa: f64,
}

/// Something that happened, in order of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// What.
    pub what: Happening,
}

/// What can happen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happening {
    /// A cylinder came or went.
    Moved {
        /// Which, by index.
        cylinder: usize,
        /// How.
        kind: Move,
        /// Its own lift at that moment, kg.
        lift_kg: f64,
        /// Net lift of the diver before, kg.
        net_before_kg: f64,
        /// Net lift of the diver after, before suit and wing answer, kg.
        net_after_kg: f64,
        /// Wing volume before, m³.
        wing_before_m3: f64,
        /// Wing volume after the wing answered, m³.
        wing_after_m3: f64,
    },
    /// A leg asked for more gas than its source had.
    OutOfGas {
        /// The cylinders it breathed.
        source: CylinderSet,
        /// The leg, by index.
        leg: usize,
    },
    /// The suit fell below its loft because its supply was empty or not carried.
    SuitSupplyEmpty,
    /// The wing could not hold the diver neutral: at its capacity, or its supply empty or not carried.
    WingShort,
}

/// The recorded series of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    samples: Vec<Sample>,
    cylinders: Vec<CylinderAt>,
    cylinder_count: usize,
    events: Vec<Event>,
    filled_kg: f64,
    ledger_error: f64,
    steps: usize,
}

impl Trace {
    /// The rows in order of time; never empty. At a change of layer or of what is carried there are two with the same
    /// time, before and after.
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

    /// What happened, in order of time.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// All gas filled before the dive, kg.
    pub fn filled_kg(&self) -> f64 {
        self.filled_kg
    }

    /// Worst relative error of the mass ledger over the run.
    pub fn ledger_error(&self) -> f64 {
        self.ledger_error
    }

    /// Number of steps made.
    pub fn steps(&self) -> usize {
        self.steps
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

/// Builds a [`Trace`] while the run goes on.
pub(crate) struct Recorder {
    trace: Trace,
    /// changes whose wing answer is not known yet
    pending: Vec<Event>,
    out_of_gas: Option<(CylinderSet, usize)>,
    suit_short: bool,
    wing_short: bool,
}

impl Recorder {
    pub(crate) fn new(scenario: &Scenario) -> Self {
        let cylinder_count = scenario.diver().cylinders.len();
        let rows = (scenario.profile().end_s() / scenario.settings().step_s).ceil() as usize
            + 2 * scenario.segments().len()
            + scenario.profile().changes().len()
            + 2;
        let filled_kg = scenario.diver().cylinders.iter().map(|c| c.gas_kg(c.filled_mol)).sum();
        Self {
            trace: Trace {
                samples: Vec::with_capacity(rows),
                cylinders: Vec::with_capacity(rows * cylinder_count),
                cylinder_count,
                events: Vec::new(),
                filled_kg,
                ledger_error: 0.0,
                steps: 0,
            },
            pending: Vec::new(),
            out_of_gas: None,
            suit_short: false,
            wing_short: false,
        }
    }

    pub(crate) fn finish(mut self) -> Trace {
        self.trace.steps = self.trace.samples.windows(2).filter(|pair| pair[1].time_s > pair[0].time_s).count();
        self.trace
    }

    fn event(&mut self, state: &State, what: Happening) {
        self.trace.events.push(Event { time_s: state.time_s, depth_m: state.depth_m, what });
    }

    /// Shortages are told once, when they begin.
    fn note_shortages(&mut self, at: &Moment<'_>) {
        let state = &at.now.state;
        let unmet = state.unmet;
        if unmet.breath_frac > 0.0 {
            let source = at.scenario.profile().legs()[at.leg].source;
            if self.out_of_gas != Some((source, at.leg)) {
                self.out_of_gas = Some((source, at.leg));
                // the gas ended inside the step: at the share that was still served
                let before_s = self.trace.samples.last().map_or(0.0, |sample| sample.time_s);
                let time_s = state.time_s - unmet.breath_frac * (state.time_s - before_s);
                let what = Happening::OutOfGas { source, leg: at.leg };
                self.trace.events.push(Event { time_s, depth_m: at.scenario.profile().depth_m(time_s), what });
            }
        }
        if unmet.suit_m3 > 0.0 && !self.suit_short {
            self.event(state, Happening::SuitSupplyEmpty);
        }
        self.suit_short = unmet.suit_m3 > 0.0;
        let has_wing = at.scenario.diver().wing.is_some();
        if has_wing && unmet.wing_m3 > 0.0 && !self.wing_short {
            self.event(state, Happening::WingShort);
        }
        self.wing_short = unmet.wing_m3 > 0.0;
    }
}

impl Watch for Recorder {
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError> {
        let (scenario, Now { state, ambient, balance }) = (at.scenario, at.now);
        let mut ledger_kg = balance.wing_kg + balance.suit_kg + state.breathed_kg + state.vented_kg;
        for (i, &amount_mol) in state.cylinder_mol[..self.trace.cylinder_count].iter().enumerate() {
            let cylinder = scenario.quick(i);
            ledger_kg += amount_mol * cylinder.molar_kg_mol;
            let pressure_pa = scenario.isotherm(ambient.layer, i).pressure_pa(amount_mol / cylinder.water_m3);
            self.trace.cylinders.push(CylinderAt { amount_mol, pressure_pa });
        }
        let filled_kg = self.trace.filled_kg;
        let relative = (ledger_kg - filled_kg).abs() / filled_kg.max(f64::MIN_POSITIVE);
        // so that a NaN counts as broken too
        if relative.partial_cmp(&LEDGER_TOLERANCE) != Some(std::cmp::Ordering::Less) && filled_kg > 0.0 {
            return Err(SimError::Ledger { time_s: state.time_s, relative, filled_kg });
        }
        if filled_kg > 0.0 {
            self.trace.ledger_error = self.trace.ledger_error.max(relative);
        }
        self.note_shortages(at);
        for mut event in self.pending.drain(..) {
            if let Happening::Moved { wing_after_m3, .. } = &mut event.what {
                *wing_after_m3 = balance.wing_m3;
            }
            self.trace.events.push(event);
        }
        self.trace.samples.push(Sample {
            time_s: state.time_s,
            depth_m: state.depth_m,
            leg: at.leg,
            layer: ambient.layer,
            ambient_pa: ambient.pressure_pa,
            water_kg_m3: ambient.water_kg_m3,
            net_kg: balance.net_kg(),
            bare_kg: balance.bare_kg(),
            bare_mass_kg: balance.mass_kg - balance.wing_kg,
            wing_m3: balance.wing_m3,
            wing_needed_m3: balance.wing_m3 + state.unmet.wing_m3,
            wing_kg: balance.wing_kg,
            suit_mol: state.suit_mol,
            suit_m3: balance.suit_m3,
            suit_kg: balance.suit_kg,
            foam_m3: balance.foam_m3,
            carried_gas_kg: balance.carried_gas_kg,
            breathed_kg: state.breathed_kg,
            vented_kg: state.vented_kg,
            carried: state.carried,
        });
        Ok(())
    }

    fn changed(&mut self, change: &Change, before: &Moment<'_>) {
        let cylinder = &before.scenario.diver().cylinders[change.cylinder];
        let balance = before.now.balance;
        let lift_kg = cylinder.lift_kg(balance.water_kg_m3, before.now.state.cylinder_mol[change.cylinder]);
        let net_before_kg = balance.net_kg();
        let sign = if change.kind.is_carried_after() { 1.0 } else { -1.0 };
        self.pending.push(Event {
            time_s: change.time_s,
            depth_m: before.now.state.depth_m,
            what: Happening::Moved {
                cylinder: change.cylinder,
                kind: change.kind,
                lift_kg,
                net_before_kg,
                net_after_kg: net_before_kg + sign * lift_kg,
                wing_before_m3: balance.wing_m3,
                wing_after_m3: balance.wing_m3,
            },
        });
    }
}
