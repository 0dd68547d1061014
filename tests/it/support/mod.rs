//! Dives built in code for the tests, so that the engine is tested without the plan reader.
#![allow(dead_code)] // each test file uses its own part of it

use crate::parts::{cylinder, foam, layers, legs, reading, rigid, sea};
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::physics::water::{Brine, Water};
use lightpoint::internals::profile::Profile;
use lightpoint::internals::rig::{Bag, BagStart, Cylinder, CylinderSet, CylinderSpec, Part, Rig, Role};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::{Sample, Trace};
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA};

/// A water of one constant density.
pub fn constant_water(density_kg_m3: f64, temperature_k: f64) -> Water {
    layers(&[(0.0, Brine::Density(density_kg_m3))], temperature_k)
}

/// The square dive of 30 m in instrument metres (1 bar = 10 m): 12 L of air at 232 bar absolute, 20 L/min, 10 °C,
/// water of 1025 kg/m³, with a foam of `foam_l` litres, neutral with an empty wing at the end of the 5 m stop.
pub struct Square {
    pub scenario: Scenario,
    /// What makes it neutral at the end of the stop: volume of a weightless float (or, negative, a mass), kg.
    pub trim_kg: f64,
}

/// Ends of the legs of the square dive, min.
pub const SQUARE_ENDS_MIN: [f64; 5] = [1.5, 21.5, 21.5 + 25.0 / 9.0, 24.5 + 25.0 / 9.0, 24.5 + 30.0 / 9.0];

pub fn square(foam_l: f64, water: Water, trim_kg: Option<f64>, equation: EquationOfState) -> Square {
    let depth = |reading_m: f64| water.depth_of_instrument_m(reading_m).expect("within the column");
    let points: Vec<_> = SQUARE_ENDS_MIN
        .iter()
        .zip([30.0, 30.0, 5.0, 5.0, 0.0])
        .map(|(&minute, reading_m)| (minute, depth(reading_m), 0, 20.0))
        .collect();
    let profile = Profile::new(0.0, legs(&points), vec![]).expect("valid profile");
    let build = |trim_kg: f64| {
        let mut spec = cylinder("back", 12.0, 14.2, 15.0, GasMix::AIR, 232.0 - ATMOSPHERE_PA / BAR_PA);
        spec.fill_temperature_k = 283.15;
        let mut parts = vec![
            // a diver and rig of 100 kg and 0.1 m³, so that the shift into fresh water is that of a usual diver
            rigid("diver", Role::Person, 100.0, 0.100),
            // a bare reading: the same lift in every water
            reading("trim", Role::Gear, trim_kg),
        ];
        if foam_l > 0.0 {
            parts.push(foam("foam", 2.0, foam_l, 0.838));
        }
        let diver = Rig {
            parts,
            suit: None,
            breathing_loop: None,
            wing: Some(Bag::wing(0.020, CylinderSet::of([0]))),
            cylinders: vec![Cylinder::new(spec).expect("valid cylinder")],
            lung_trim_m3: 1e-3,
            swim_up_kg: 7.0,
            head_out_m3: 8e-3,
            lungs: None,
        };
        let settings = Settings { equation, ..Settings::default() };
        Scenario::new(diver, water.clone(), profile.clone(), settings).expect("valid dive")
    };
    // the float that is missing at the end of the stop; a bare reading shifts everything alike, so one correction
    // is enough but for the wing's own gas, which a second one settles
    let mut kg = trim_kg.unwrap_or(0.0);
    if trim_kg.is_none() {
        for _ in 0..4 {
            let dive = build(kg);
            let trace = lightpoint::internals::sim::run(&dive).expect("runs");
            kg -= bare_at(&dive, &trace, SQUARE_ENDS_MIN[3]);
        }
    }
    Square { scenario: build(kg), trim_kg: kg }
}

/// Net lift with empty wing at a minute.
pub fn bare_at(dive: &Scenario, trace: &Trace, minute: f64) -> f64 {
    trace.at(dive, minute * 60.0).balance.bare_kg()
}

/// The row at a minute.
pub fn row_at(dive: &Scenario, trace: &Trace, minute: f64) -> Sample {
    Sample::of(&trace.at(dive, minute * 60.0), 0)
}

/// Rows at whole multiples of `every_s` and at both ends of every span.
pub fn rows(dive: &Scenario, trace: &Trace, every_s: f64) -> Vec<Sample> {
    trace.series(dive, every_s, &[]).iter().map(|(now, leg)| Sample::of(now, *leg)).collect()
}

/// Nothing but a suit and the bottle of ideal air that feeds it, at `bottle_bar` gauge: a bag that is taken to depths
/// one after the other, from the first on, a minute each. Nobody breathes.
pub fn suit_alone(suit: Bag, bottle_bar: f64, water: Water, depths_m: &[f64]) -> Scenario {
    let mut bottle = cylinder("bottle", 1.5, 2.0, 2.1, GasMix::AIR, bottle_bar);
    bottle.fill_temperature_k = water.layer(0).temperature_k;
    let diver =
        Rig { suit: Some(suit), cylinders: vec![Cylinder::new(bottle).expect("valid cylinder")], ..Rig::default() };
    let points: Vec<_> = (1..depths_m.len()).map(|i| (i as f64, depths_m[i], 0, 0.0)).collect();
    let profile = Profile::new(depths_m[0], legs(&points), vec![]).expect("valid profile");
    let settings = Settings { equation: EquationOfState::Ideal, ..Settings::default() };
    Scenario::new(diver, water, profile, settings).expect("valid dive")
}

/// The reference dive of `tests/reference/case-a`, built in code: 70 minutes, four cylinders.
pub fn case_a(settings: Settings) -> Scenario {
    let mut parts: Vec<Part> = [
        ("diver", Role::Person, 1, 84.0, 83.85),
        ("dry suit shell", Role::Suit, 1, 4.0, 3.6),
        ("undergarment fibres", Role::Suit, 1, 2.2, 1.6),
        ("wing (empty)", Role::Wing, 1, 1.9, 1.8),
        ("steel plate", Role::Gear, 1, 2.6, 0.33),
        ("harness", Role::Gear, 1, 0.9, 0.8),
        ("manifold and bands", Role::Gear, 1, 2.4, 0.30),
        ("regulators", Role::Gear, 4, 1.1, 0.16),
        ("light with battery", Role::Gear, 1, 1.6, 0.75),
        ("fins, mask, small things", Role::Gear, 1, 3.4, 2.6),
    ]
    .into_iter()
    .map(|(name, role, count, kg, litres)| Part { count, ..rigid(name, role, kg, litres / 1e3) })
    .collect();
    parts.push(rigid("lead", Role::Ballast, 3.0, 3.0 / 11_340.0));
    let trimix = GasMix::new(0.21, 0.35).expect("valid mixture");
    let nitrox = GasMix::new(0.50, 0.0).expect("valid mixture");
    let fill = |spec| Cylinder::new(spec).expect("valid cylinder");
    let diver = Rig {
        parts,
        suit: Some(Bag::suit(0.011, CylinderSet::of([3])).starting(BagStart::Supply)),
        breathing_loop: None,
        wing: Some(Bag::wing(0.020, CylinderSet::of([0]))),
        cylinders: vec![
            fill(CylinderSpec { count: 2, ..cylinder("back", 10.5, 12.20, 13.4, trimix, 220.0) }),
            fill(CylinderSpec { removable: true, ..cylinder("deco50", 11.1, 16.45, 15.0, nitrox, 200.0) }),
            fill(CylinderSpec { removable: true, ..cylinder("oxygen", 5.7, 8.41, 7.8, GasMix::OXYGEN, 180.0) }),
            fill(cylinder("argon", 1.5, 2.40, 2.6, GasMix::ARGON, 150.0)),
        ],
        lung_trim_m3: 1e-3,
        swim_up_kg: 7.0,
        head_out_m3: 8e-3,
        lungs: None,
    };
    let points = [
        (3.0, 48.0, 0, 18.0),
        (25.0, 48.0, 0, 20.0),
        (28.0, 21.0, 0, 18.0),
        (31.0, 21.0, 1, 16.0),
        (32.0, 18.0, 1, 16.0),
        (34.0, 18.0, 1, 16.0),
        (35.0, 15.0, 1, 16.0),
        (37.0, 15.0, 1, 16.0),
        (38.0, 12.0, 1, 16.0),
        (41.0, 12.0, 1, 16.0),
        (42.0, 9.0, 1, 16.0),
        (47.0, 9.0, 1, 16.0),
        (48.0, 6.0, 1, 16.0),
        (64.0, 6.0, 2, 15.0),
        (70.0, 0.0, 2, 15.0),
    ];
    let profile = Profile::new(0.0, legs(&points), vec![]).expect("valid profile");
    Scenario::new(diver, sea(33.0, 280.15), profile, settings).expect("valid dive")
}
