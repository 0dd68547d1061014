//! A check in the water: what was seen, and what a dive predicts for it.

use crate::estimate::Doubt;
use crate::estimate::doubt::{normal_share, standard_uncertainty};
use crate::physics::bulk::Bulk;
use crate::rig::{CylinderSet, Role};
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::control::at_rest;
use crate::sim::{Ambient, Owner, State, Term, Trace, terms};
use crate::study::calibrate::CalibrateError;
use crate::units::{ATMOSPHERE_PA, STANDARD_GRAVITY_M_S2};

/// What was seen in the water.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Name for messages, for example its line in the file.
    pub label: String,
    /// Depth, m.
    pub depth_m: f64,
    /// The cylinders on the diver with the pressure that their gauges showed. A cylinder that is not named was not
    /// carried.
    pub cylinders: Vec<Gauge>,
    /// Lead carried in place of all ballast of the plan, kg; `None`: the plan's ballast.
    pub lead_kg: Option<f64>,
    /// The wing.
    pub wing: WingThen,
    /// The water.
    pub water: WaterThen,
    /// What the diver had more in the water than with half-full lungs, m³: gas in the lungs, less what was out of the
    /// water.
    pub more_m3: f64,
    /// What was seen.
    pub outcome: Outcome,
    /// How sure that is, kg. The gauges count in it too: 5 bar in 12 L are 0.07 kg.
    pub doubt: Doubt,
}

/// A pressure read in the water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Which cylinder, by index.
    pub cylinder: usize,
    /// Gauge pressure at the temperature of the water, Pa.
    pub gauge_pa: f64,
}

/// The wing at a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WingThen {
    /// No gas in it.
    Empty,
    /// So much gas in it.
    Gas {
        /// Volume at the depth of the check, m³.
        gas_m3: f64,
    },
}

/// The water of a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WaterThen {
    /// That of the plan.
    AsPlanned,
    /// Another one of this density; the temperature is that of the plan at the depth of the check.
    Density {
        /// Density, kg/m³.
        water_kg_m3: f64,
    },
}

/// What was seen, lungs half full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// Neither up nor down.
    Neutral,
    /// So much more lead was needed to be neutral, kg; negative: so much less.
    Needed {
        /// Lead, kg.
        lead_kg: f64,
    },
    /// A spring scale that held the whole diver read so much lift, kg: positive floats, negative hangs.
    Reading {
        /// Lift, kg.
        lift_kg: f64,
    },
    /// The diver could just stay down: net lift at most nothing.
    CouldStay,
    /// The diver could just not stay down: net lift at least nothing.
    CouldNotStay,
    /// A gauge that was read during the dive itself; of the check only this and its doubt count, which is one of gas, kg.
    Gauge {
        /// When, s.
        time_s: f64,
        /// Which cylinder, by index.
        cylinder: usize,
        /// Gauge pressure, Pa.
        gauge_pa: f64,
    },
}

impl Outcome {
    /// Whether it is a gauge read during the dive.
    pub fn is_gauge(self) -> bool {
        matches!(self, Outcome::Gauge { .. })
    }

    /// Whether it bounds the net lift on one side only.
    pub fn is_one_sided(self) -> bool {
        matches!(self, Outcome::CouldStay | Outcome::CouldNotStay)
    }
}

/// What a dive predicts for a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Net lift, kg.
    pub net_kg: f64,
    /// Net lift that was seen, in the water of this dive, kg; for one-sided outcomes the limit, which is 0.
    pub seen_kg: f64,
    /// Density of the water, kg/m³.
    pub water_kg_m3: f64,
    /// Volume of everything in the water, m³.
    pub volume_m3: f64,
}

impl Predicted {
    /// Prediction less observation, kg: above zero, the dive makes the diver lighter than was seen.
    pub fn surplus_kg(&self) -> f64 {
        self.net_kg - self.seen_kg
    }
}

impl Check {
    /// Standard uncertainty of what was seen, kg.
    pub fn sigma_kg(&self) -> f64 {
        standard_uncertainty(&self.doubt)
    }

    /// Prediction less observation, kg: of the lift, or for a gauge of the gas in its cylinder, which the run of the dive
    /// (`trace`) predicts. `NaN` for a gauge without a run.
    pub fn surplus_kg(&self, scenario: &Scenario, trace: Option<&Trace>) -> f64 {
        let Outcome::Gauge { time_s, cylinder, gauge_pa } = self.outcome else {
            return self.predicted(scenario).surplus_kg();
        };
        let Some(trace) = trace else { return f64::NAN };
        let now = trace.at(scenario, time_s);
        let density = scenario.isotherm(now.ambient.layer, cylinder).density_mol_m3(gauge_pa + ATMOSPHERE_PA);
        let seen_mol = scenario.rig().cylinders[cylinder].water_m3() * density;
        (now.state.cylinder_mol[cylinder] - seen_mol) * scenario.molar_kg_mol(cylinder)
    }

    /// Whether the check fits a dive at all.
    ///
    /// # Errors
    /// A cylinder that the dive does not have, or a figure out of range.
    pub fn fits(&self, scenario: &Scenario) -> Result<(), CalibrateError> {
        let fault = |quantity, value, unit, expected| CalibrateError::Check {
            label: self.label.clone(),
            quantity,
            value,
            unit,
            expected,
        };
        let count = scenario.rig().cylinders.len();
        if let Some(gauge) = self.cylinders.iter().find(|gauge| gauge.cylinder >= count) {
            let (label, cylinder) = (self.label.clone(), gauge.cylinder);
            return Err(CalibrateError::NoSuchCylinder { label, cylinder, count });
        }
        let zero_or_more = |value: f64| value.is_finite() && value >= 0.0;
        let wing_m3 = match self.wing {
            WingThen::Empty => 0.0,
            WingThen::Gas { gas_m3 } => gas_m3,
        };
        let outcome_kg = match self.outcome {
            Outcome::Needed { lead_kg } => lead_kg,
            Outcome::Reading { lift_kg } => lift_kg,
            Outcome::Neutral | Outcome::CouldStay | Outcome::CouldNotStay => 0.0,
            Outcome::Gauge { time_s, cylinder, .. } => {
                if cylinder >= count {
                    return Err(CalibrateError::NoSuchCylinder { label: self.label.clone(), cylinder, count });
                }
                if !(zero_or_more(time_s) && time_s <= scenario.profile().end_s()) {
                    return Err(fault("time", time_s, "s", "a time of the dive"));
                }
                0.0
            }
        };
        let density = match self.water {
            WaterThen::AsPlanned => 1000.0,
            WaterThen::Density { water_kg_m3 } => water_kg_m3,
        };
        let range = crate::physics::water::DENSITY_RANGE_KG_M3;
        let deepest_m = crate::physics::water::MAX_DEPTH_M;
        if !(zero_or_more(self.depth_m) && self.depth_m <= deepest_m) {
            return Err(fault("depth", self.depth_m, "m", "0 to 350 m"));
        }
        for gauge in &self.cylinders {
            if !(zero_or_more(gauge.gauge_pa) && gauge.gauge_pa <= crate::physics::gas::MAX_GAS_PA) {
                return Err(fault("pressure", gauge.gauge_pa, "Pa", "0 to 35 MPa"));
            }
        }
        if !self.more_m3.is_finite() || self.more_m3.abs() > 0.1 {
            return Err(fault("volume more in the water", self.more_m3, "m³", "at most 0.1 m³"));
        }
        if !zero_or_more(self.lead_kg.unwrap_or(0.0)) {
            return Err(fault("lead", self.lead_kg.unwrap_or(0.0), "kg", "zero or more"));
        }
        if !zero_or_more(wing_m3) {
            return Err(fault("gas in the wing", wing_m3, "m³", "zero or more"));
        }
        if !range.contains(&density) {
            return Err(fault("density", density, "kg/m³", "950 to 1250 kg/m³"));
        }
        if !outcome_kg.is_finite() {
            return Err(fault("outcome", outcome_kg, "kg", "a finite number"));
        }
        if !(self.doubt.half_width.is_finite() && self.doubt.half_width > 0.0) {
            return Err(fault("doubt", self.doubt.half_width, "kg", "more than zero"));
        }
        Ok(())
    }

    /// What a dive predicts for this check: the static balance at the depth, with the cylinders at the pressures read,
    /// the suit at its gas volume and the wing as it was. The check must fit the dive, see [`Check::fits`].
    pub fn predicted(&self, scenario: &Scenario) -> Predicted {
        let wing_m3 = match self.wing {
            WingThen::Empty => 0.0,
            WingThen::Gas { gas_m3 } => gas_m3,
        };
        let (state, ambient) = self.then(scenario, wing_m3);
        let is_replaced = |term: &Term| self.lead_kg.is_some() && is_ballast(scenario, term);
        let lead = |lead_kg: f64| Bulk::new(lead_kg, lead_kg / LEAD_KG_M3);
        let worn = terms(scenario, &state, &ambient).into_iter().filter(|term| !is_replaced(term));
        let bulk: Bulk = worn.map(|term| term.bulk).chain(self.lead_kg.map(lead)).sum();
        let seen_kg = match self.outcome {
            Outcome::Neutral | Outcome::CouldStay | Outcome::CouldNotStay => 0.0,
            Outcome::Needed { lead_kg } => -lead(lead_kg).net_kg(ambient.water_kg_m3),
            Outcome::Reading { lift_kg } => lift_kg,
            // what a gauge shows is no lift
            Outcome::Gauge { .. } => f64::NAN,
        };
        let bulk = bulk + Bulk::new(0.0, self.more_m3);
        Predicted {
            net_kg: bulk.net_kg(ambient.water_kg_m3),
            seen_kg,
            water_kg_m3: ambient.water_kg_m3,
            volume_m3: bulk.volume_m3,
        }
    }

    /// The diver at the moment of the check with so much gas in the wing, and the water around. The check must fit the dive.
    pub(crate) fn then(&self, scenario: &Scenario, wing_m3: f64) -> (State, Ambient) {
        let water = scenario.water();
        let layer = water.layer_at(self.depth_m);
        let ambient = match self.water {
            WaterThen::AsPlanned => Ambient::at(scenario, layer, self.depth_m),
            WaterThen::Density { water_kg_m3 } => {
                let pressure_pa = water.surface_pa() + water_kg_m3 * STANDARD_GRAVITY_M_S2 * self.depth_m;
                Ambient::in_water(scenario, layer, pressure_pa, water_kg_m3)
            }
        };
        let cylinders = &scenario.rig().cylinders;
        let mut state = at_rest(scenario, &ambient, |i| scenario.filled_mol(i), wing_m3);
        state.carried = CylinderSet::of(self.cylinders.iter().map(|gauge| gauge.cylinder));
        for gauge in &self.cylinders {
            // read with suit and wing blown already
            let density = scenario.isotherm(layer, gauge.cylinder).density_mol_m3(gauge.gauge_pa + ATMOSPHERE_PA);
            state.cylinder_mol[gauge.cylinder] = cylinders[gauge.cylinder].water_m3() * density;
        }
        (state, ambient)
    }

    /// Logarithm of the likelihood of what was seen if the dive predicts this surplus.
    ///
    /// Two-sided outcomes count as normal, `−½(s/σ)²`; one-sided ones as the chance that the net lift with the doubt of
    /// the check is on the side seen, `ln Φ(∓s/σ)`.
    pub fn log_likelihood(&self, surplus_kg: f64) -> f64 {
        let scaled = surplus_kg / self.sigma_kg();
        match self.outcome {
            Outcome::CouldStay => normal_share(-scaled).ln(),
            Outcome::CouldNotStay => normal_share(scaled).ln(),
            _ => -0.5 * scaled * scaled,
        }
    }
}

/// Whether a term is lead of the plan.
pub(crate) fn is_ballast(scenario: &Scenario, term: &Term) -> bool {
    matches!(term.owner, Owner::Part(i) if scenario.rig().parts[i].role == Role::Ballast)
}
