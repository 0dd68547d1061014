//! Invented dives with uncertain figures, built in code.
#![allow(dead_code)] // every test file uses its own part of it

use crate::parts::{cylinder, layers, lead, leg, part, reading, rigid};
use lightpoint::internals::estimate::{Doubt, Estimate, Input, Origin, Shape};
use lightpoint::internals::physics::foam::Foam;
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Leg, Profile};
use lightpoint::internals::rig::{Bag, BagStart, Body, Cylinder, CylinderSet, CylinderSpec, Rig, Role};
use lightpoint::internals::scenario::{GasTables, Scenario, Settings};
use lightpoint::internals::units::{BAR_PA, Quantity};

pub const EQUATION: EquationOfState = EquationOfState::Gerg2008;

/// An input of a dive.
pub fn input(label: &str, quantity: Quantity, estimate: Estimate) -> Input {
    Input {
        path: lightpoint::internals::estimate::KeyPath::ROOT.field(label),
        label: label.into(),
        quantity,
        estimate,
        origin: Origin::Estimated,
        group: None,
        note: None,
    }
}

/// A normal doubt: 95 % within the half-width.
pub fn normal(value: f64, half_width: f64) -> Estimate {
    Estimate { value, doubt: Some(Doubt { half_width, shape: Shape::Normal { coverage_frac: 0.95 } }) }
}

/// Builds a dive from its figures, asked for one after the other.
type Shaper = fn(&Uncertain, &mut dyn FnMut() -> f64) -> Result<Scenario, String>;

/// A dive whose figures may be drawn.
pub struct Uncertain {
    pub inputs: Vec<Input>,
    tables: GasTables,
    shape: Shaper,
}

impl Uncertain {
    fn new(inputs: Vec<Input>, shape: Shaper) -> Self {
        let mut dive = Self { inputs, tables: GasTables::default(), shape };
        dive.tables = dive.build(&dive.central()).expect("a valid dive").tables();
        dive
    }

    pub fn central(&self) -> Vec<f64> {
        self.inputs.iter().map(|input| input.estimate.value).collect()
    }

    pub fn build(&self, values: &[f64]) -> Result<Scenario, String> {
        let mut values = values.iter().copied();
        (self.shape)(self, &mut || values.next().expect("a value for every input"))
    }

    fn scenario(&self, diver: Rig, brine: Brine, legs: Vec<Leg>) -> Result<Scenario, String> {
        let water = layers(&[(0.0, brine)], 281.15);
        let profile = Profile::new(0.0, legs, vec![]).map_err(|e| e.to_string())?;
        let settings = Settings { equation: EQUATION, ..Settings::default() };
        Scenario::with_tables(diver, water, profile, settings, &self.tables).map_err(|e| e.to_string())
    }
}

fn fill(spec: CylinderSpec, fill_gauge_pa: f64) -> Result<Cylinder, String> {
    Cylinder::new(CylinderSpec { fill_gauge_pa, ..spec }).map_err(|e| e.to_string())
}

const L: f64 = 1e-3;
const L_MIN: f64 = 1e-3 / 60.0;

fn back_mix() -> GasMix {
    GasMix::new(0.18, 0.45).expect("a gas")
}

fn half_mix() -> GasMix {
    GasMix::new(0.5, 0.0).expect("a gas")
}

/// Cold-water dive of 70 minutes to 60 m with four cylinders and 28 uncertain figures; the breathing rates are one
/// group, and so are the readings of one scale.
pub fn large() -> Uncertain {
    let mut inputs = vec![
        input("body mass", Quantity::Mass, normal(82.0, 0.5)),
        input("body lift", Quantity::Mass, Estimate::within(-1.5, 0.9)),
        input("undergarment lift", Quantity::Mass, Estimate::within(0.6, 0.8)),
        input("shell lift", Quantity::Mass, Estimate::triangular(0.9, 0.5)),
        input("suit gas", Quantity::Volume, Estimate::within(12.0 * L, 2.5 * L)),
        input("hood volume", Quantity::Volume, Estimate::within(2.6 * L, 0.4 * L)),
        input("hood gas fraction", Quantity::Fraction, Estimate::within(0.745, 0.095)),
        input("wing lift", Quantity::Mass, normal(-1.5, 0.2)),
        input("plate lift", Quantity::Mass, normal(-2.5, 0.05)),
        input("lamp lift", Quantity::Mass, normal(-0.8, 0.1)),
        input("reels lift", Quantity::Mass, normal(-0.5, 0.15)),
        input("lead mass", Quantity::Mass, normal(8.0, 0.05)),
        input("salinity", Quantity::Salinity, Estimate::within(33.0, 1.5)),
        input("swim-up capacity", Quantity::Mass, Estimate::triangular(7.0, 1.5)),
        input("rate down and bottom", Quantity::FlowRate, Estimate::within(18.0 * L_MIN, 3.0 * L_MIN)),
        input("rate at stops", Quantity::FlowRate, Estimate::within(14.0 * L_MIN, 2.5 * L_MIN)),
    ];
    for (name, shell_kg, volume_l, bar) in [
        ("twins", 31.0, 28.6, 220.0),
        ("suit bottle", 2.1, 2.0, 190.0),
        ("half", 14.6, 13.2, 205.0),
        ("oxygen", 9.9, 8.6, 200.0),
    ] {
        inputs.push(input(&format!("{name} mass"), Quantity::Mass, normal(shell_kg, 0.02 * shell_kg)));
        inputs.push(input(
            &format!("{name} volume"),
            Quantity::Volume,
            Estimate::within(volume_l * L, 0.01 * volume_l * L),
        ));
        inputs.push(input(&format!("{name} fill"), Quantity::Pressure, Estimate::within(bar * BAR_PA, 5.0 * BAR_PA)));
    }
    for input in &mut inputs {
        if input.label.starts_with("rate") {
            input.group = Some("breathing".into());
        } else if ["wing lift", "lamp lift", "reels lift"].contains(&input.label.as_str()) {
            input.group = Some("scale".into());
        }
    }
    Uncertain::new(inputs, build_large)
}

fn build_large(dive: &Uncertain, next: &mut dyn FnMut() -> f64) -> Result<Scenario, String> {
    let body_kg = next();
    let body = rigid("body", Role::Person, body_kg, (body_kg + next()) / 1025.0);
    let (undergarment, shell) = (reading("undergarment", Role::Suit, next()), reading("shell", Role::Suit, next()));
    let suit_m3 = next();
    let foam = Foam { volume0_m3: next(), gas_frac: next(), compliance_frac: 1.0 };
    let hood = part("hood", Role::Suit, Body::Foam { mass_kg: 0.6, foam });
    let wing = reading("wing", Role::Wing, next());
    let gear = ["plate", "lamp", "reels"].map(|name| reading(name, Role::Gear, next()));
    let lead = lead(next());
    let salinity = next();
    let swim_up_kg = next();
    let (bottom_rate, stop_rate) = (next() / L_MIN, next() / L_MIN);
    let mut cylinders = Vec::with_capacity(4);
    for (name, water_l, mix, removable) in [
        ("twins", 24.0, back_mix(), false),
        ("suit bottle", 1.5, GasMix::AIR, false),
        ("half", 11.1, half_mix(), true),
        ("oxygen", 7.0, GasMix::OXYGEN, true),
    ] {
        let (shell_kg, volume_m3, fill_pa) = (next(), next(), next());
        let spec = CylinderSpec { removable, ..cylinder(name, water_l, volume_m3 / L, shell_kg, mix, 0.0) };
        cylinders.push(fill(spec, fill_pa)?);
    }
    let mut parts = vec![body, undergarment, shell, hood, wing, lead];
    parts.extend(gear);
    let diver = Rig {
        parts,
        suit: Some(Bag::suit(suit_m3, CylinderSet::of([1])).starting(BagStart::Supply)),
        breathing_loop: None,
        wing: Some(Bag::wing(25.0 * L, CylinderSet::of([0]))),
        cylinders,
        lung_trim_m3: 1.5 * L,
        swim_up_kg,
        head_out_m3: 6.0 * L,
        lungs: None,
    };
    let legs = vec![
        leg(3.0, 60.0, 0, bottom_rate),
        leg(25.0, 60.0, 0, bottom_rate),
        leg(29.0, 24.0, 0, bottom_rate),
        leg(32.0, 21.0, 2, stop_rate),
        leg(36.0, 12.0, 2, stop_rate),
        leg(44.0, 9.0, 2, stop_rate),
        leg(45.0, 6.0, 2, stop_rate),
        leg(69.0, 6.0, 3, stop_rate),
        leg(70.0, 0.0, 3, stop_rate),
    ];
    dive.scenario(diver, Brine::PracticalSalinity(salinity), legs)
}

/// A short dive with one cylinder: 20 m for 20 minutes and a 5 m stop; five uncertain lifts, all with normal doubts, and
/// water of constant density. Nearly linear, and cheap.
pub fn small() -> Uncertain {
    let inputs = vec![
        input("body lift", Quantity::Mass, normal(-1.0, 1.2)),
        input("suit lift", Quantity::Mass, normal(2.0, 1.0)),
        input("gear lift", Quantity::Mass, normal(-1.5, 0.4)),
        input("cylinder mass", Quantity::Mass, normal(14.5, 0.3)),
        input("rate", Quantity::FlowRate, normal(18.0 * L_MIN, 3.0 * L_MIN)),
    ];
    Uncertain::new(inputs, build_small)
}

fn build_small(dive: &Uncertain, next: &mut dyn FnMut() -> f64) -> Result<Scenario, String> {
    let parts = vec![
        rigid("diver", Role::Person, 80.0, 0.080),
        reading("body", Role::Person, next()),
        reading("suit", Role::Suit, next()),
        reading("gear", Role::Gear, next()),
        lead(4.0),
    ];
    let shell_kg = next();
    let rate = next() / L_MIN;
    let cylinder = fill(cylinder("back", 12.0, 14.2, shell_kg, GasMix::AIR, 0.0), 200.0 * BAR_PA)?;
    let diver = Rig {
        parts,
        suit: None,
        breathing_loop: None,
        wing: Some(Bag::wing(18.0 * L, CylinderSet::of([0]))),
        cylinders: vec![cylinder],
        lung_trim_m3: 1.5 * L,
        swim_up_kg: 7.0,
        head_out_m3: 6.0 * L,
        lungs: None,
    };
    let legs = vec![
        leg(2.0, 20.0, 0, rate),
        leg(22.0, 20.0, 0, rate),
        leg(24.0, 5.0, 0, rate),
        leg(27.0, 5.0, 0, rate),
        leg(28.0, 0.0, 0, rate),
    ];
    dive.scenario(diver, Brine::Density(1025.0), legs)
}
