//! Identities that hold for every dive, whatever its numbers.

use crate::parts::{cylinder, rigid};
use crate::support::constant_water;
use lightpoint::diver::{Cylinder, CylinderSet, CylinderSpec, Diver, Part, Role, SuitGas, Wing};
use lightpoint::findings::Findings;
use lightpoint::physics::foam::Foam;
use lightpoint::physics::gas::{EquationOfState, GasMix};
use lightpoint::profile::{Change, Leg, Move, Profile};
use lightpoint::scenario::{Scenario, ScenarioError, Settings};
use lightpoint::sim::{self, LEDGER_TOLERANCE};
use proptest::prelude::*;

/// The numbers of a random dive.
#[derive(Clone, Debug)]
struct Dive {
    person_l: f64,
    lead_kg: f64,
    foam_l: f64,
    loft_l: Option<f64>,
    wing_l: Option<f64>,
    fills_bar: Vec<f64>,
    he_frac: f64,
    legs: Vec<(f64, f64, usize, f64)>,
    /// which cylinder is left at which share of the dive
    left: Option<(usize, f64)>,
    density: f64,
    equation: EquationOfState,
}

fn dives() -> impl Strategy<Value = Dive> {
    let rig = (
        70.0..90.0f64,
        0.0..12.0f64,
        0.0..12.0f64,
        proptest::option::of(0.0..15.0f64),
        proptest::option::of(0.0..25.0f64),
        proptest::collection::vec(5.0..250.0f64, 1..4),
        0.0..0.7f64,
    );
    let course = (
        proptest::collection::vec((0.2..15.0f64, 0.0..70.0f64, 0..4usize, 0.0..40.0f64), 0..7),
        proptest::option::of((0..4usize, 0.05..0.95f64)),
        990.0..1035.0f64,
        any::<bool>(),
    );
    (rig, course).prop_map(
        |((person_l, lead_kg, foam_l, loft_l, wing_l, fills_bar, he_frac), (legs, left, density, ideal))| Dive {
            person_l,
            lead_kg,
            foam_l,
            loft_l,
            wing_l,
            fills_bar,
            he_frac,
            legs,
            left,
            density,
            equation: if ideal { EquationOfState::Ideal } else { EquationOfState::Gerg2008 },
        },
    )
}

impl Dive {
    /// The dive, or `None` where a leg would breathe a cylinder that was left; any other refusal is a fault. Such draws
    /// do not count as cases: `prop_assume` has them drawn anew.
    fn scenario(&self) -> Option<Scenario> {
        let mix = GasMix::new(0.2, self.he_frac).expect("a breathable mixture");
        let count = self.fills_bar.len();
        let cylinders: Vec<Cylinder> = self
            .fills_bar
            .iter()
            .enumerate()
            .map(|(i, &bar)| {
                let spec = CylinderSpec { removable: i > 0, ..cylinder(&format!("c{i}"), 10.0, 12.0, 12.5, mix, bar) };
                Cylinder::fill(spec, self.equation).expect("valid cylinder")
            })
            .collect();
        let mut parts = vec![
            rigid("diver", Role::Person, 80.0, self.person_l / 1e3),
            rigid("lead", Role::Ballast, self.lead_kg, self.lead_kg / 11_340.0),
        ];
        if self.foam_l > 0.1 {
            let foam = Foam { volume0_m3: self.foam_l / 1e3, gas_frac: 0.75, squeeze_frac: 0.9 };
            let body = lightpoint::diver::Body::Foam { mass_kg: 3.0, foam };
            parts.push(Part { name: "suit".into(), role: Role::Suit, count: 1, body, ditchable: false });
        }
        let mut time_s = 0.0;
        let legs: Vec<Leg> = self
            .legs
            .iter()
            .map(|&(minutes, end_m, source, litres)| {
                time_s += minutes * 60.0;
                let source = CylinderSet::of([source % count]);
                Leg { end_s: time_s, end_m, source, rate_m3_s: litres / 60e3 }
            })
            .collect();
        let changes = match self.left {
            Some((which, share)) if count > 1 && time_s > 0.0 => {
                vec![Change { time_s: share * time_s, cylinder: which % count, kind: Move::Leave }]
            }
            _ => vec![],
        };
        let supply = CylinderSet::of([0]);
        let diver = Diver {
            parts,
            suit_gas: self.loft_l.map(|litres| SuitGas { loft_m3: litres / 1e3, spare_m3: 4e-3, supply }),
            wing: self.wing_l.map(|litres| Wing { capacity_m3: litres / 1e3, supply }),
            cylinders,
            lung_trim_m3: 1e-3,
            swim_up_kg: 7.0,
            head_out_m3: 8e-3,
        };
        let profile = Profile::new(0.0, legs, changes).expect("valid profile");
        let settings = Settings { step_s: 7.0, equation: self.equation, last_stop_m: None };
        match Scenario::new(diver, constant_water(self.density, 283.15), profile, settings) {
            Ok(scenario) => Some(scenario),
            Err(ScenarioError::NotCarried { .. }) => None,
            Err(other) => panic!("{other}"),
        }
    }
}

/// A kilogram moved in the thirteenth figure is rounding; the tolerance leaves three figures for the sums.
const ROUNDING_KG: f64 = 1e-9;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The run checks its ledger itself at every step; here the trace is asked again from its own columns.
    #[test]
    fn mass_is_conserved_and_nothing_panics(dive in dives()) {
        let scenario = dive.scenario();
        prop_assume!(scenario.is_some());
        let scenario = scenario.unwrap();
        let trace = sim::run(&scenario).unwrap();
        prop_assert!(trace.ledger_error() < LEDGER_TOLERANCE);
        for (row, sample) in trace.samples().iter().enumerate() {
            let in_cylinders: f64 = scenario
                .diver()
                .cylinders
                .iter()
                .zip(trace.cylinders(row))
                .map(|(body, now)| body.gas_kg(now.amount_mol))
                .sum();
            let sum = in_cylinders + sample.wing_kg + sample.suit_kg + sample.breathed_kg + sample.vented_kg;
            prop_assert!((sum / trace.filled_kg() - 1.0).abs() < LEDGER_TOLERANCE);
            prop_assert!(trace.cylinders(row).iter().all(|now| now.amount_mol > 0.0 && now.pressure_pa > 0.0));
        }
        let findings = Findings::of(&scenario, &trace);
        prop_assert!(findings.heavy.bare_kg <= findings.light.bare_kg);
        prop_assert!(findings.failed_wing.loads_kg.len() == trace.samples().len());
        let heaviest = -findings.heavy.bare_kg;
        prop_assert!(findings.failed_wing.worst.load_kg >= heaviest - ROUNDING_KG, "the way up starts here");
    }

    /// More lead never makes any moment lighter. Where no supply ends, it drags by no more than its own weight: what the
    /// larger wing costs in gas makes the diver lighter by less than that, and only a suit that is no longer fed could
    /// make the diver heavier by more.
    #[test]
    fn more_lead_never_makes_anything_lighter(dive in dives(), more_kg in 0.01..5.0f64) {
        let heavier = Dive { lead_kg: dive.lead_kg + more_kg, ..dive.clone() };
        let both = dive.scenario().zip(heavier.scenario());
        prop_assume!(both.is_some());
        let (a, b) = both.unwrap();
        let (a, b) = (sim::run(&a).unwrap(), sim::run(&b).unwrap());
        let fed = b.events().iter().all(|event| matches!(event.what, sim::Happening::Moved { .. }));
        for (light, heavy) in a.samples().iter().zip(b.samples()) {
            prop_assert!(heavy.bare_kg <= light.bare_kg + ROUNDING_KG);
            prop_assert!(!fed || heavy.bare_kg >= light.bare_kg - more_kg - ROUNDING_KG);
        }
    }

    /// From fresh to salt water every moment is lifted by the displaced volume times the difference of the densities.
    /// Without bags and foam nothing else changes, so this holds to rounding; the breathed gas depends on pressure, so
    /// nothing is breathed here.
    #[test]
    fn salt_water_lifts_by_the_displaced_volume(dive in dives()) {
        let rigid = Dive {
            foam_l: 0.0,
            loft_l: None,
            wing_l: None,
            legs: dive.legs.iter().map(|&(minutes, depth, source, _)| (minutes, depth, source, 0.0)).collect(),
            ..dive
        };
        let salt = Dive { density: rigid.density + 20.0, ..rigid.clone() };
        let both = rigid.scenario().zip(salt.scenario());
        prop_assume!(both.is_some());
        let (a, b) = both.unwrap();
        let (fresh, salty) = (sim::run(&a).unwrap(), sim::run(&b).unwrap());
        for (light, heavy) in fresh.samples().iter().zip(salty.samples()) {
            let external_m3: f64 = light.carried.iter().map(|i| a.diver().cylinders[i].external_m3).sum();
            let volume_m3 = a.fixed().volume_m3 + external_m3;
            prop_assert!((heavy.bare_kg - light.bare_kg - 20.0 * volume_m3).abs() < ROUNDING_KG);
        }
    }

    /// The order of the parts does not matter.
    #[test]
    fn a_permuted_list_of_parts_changes_nothing(dive in dives()) {
        let scenario = dive.scenario();
        prop_assume!(scenario.is_some());
        let scenario = scenario.unwrap();
        let mut diver = scenario.diver().clone();
        diver.parts.reverse();
        let turned = scenario.with_diver(diver).unwrap();
        let (a, b) = (sim::run(&scenario).unwrap(), sim::run(&turned).unwrap());
        for (one, other) in a.samples().iter().zip(b.samples()) {
            prop_assert!((one.bare_kg - other.bare_kg).abs() < ROUNDING_KG);
        }
    }
}

/// A profile of a single point is a dive: one row, no steps, all findings.
#[test]
fn a_single_point_is_a_dive() {
    let mut dive = square_numbers();
    dive.legs = vec![];
    let scenario = dive.scenario().unwrap();
    let trace = sim::run(&scenario).unwrap();
    assert_eq!((trace.samples().len(), trace.steps()), (1, 0));
    let findings = Findings::of(&scenario, &trace);
    assert_eq!(findings.heavy.bare_kg, findings.light.bare_kg);
    assert_eq!(findings.holds.len(), 1);
}

/// A cylinder that ends is told with the leg and the moment, and never holds less than ambient pressure.
#[test]
fn running_out_is_told() {
    let mut dive = square_numbers();
    dive.fills_bar = vec![60.0];
    dive.loft_l = None;
    dive.wing_l = None;
    // 10 L hold about 600 L of gas at the surface; 20 L/min at 30 m (4 bar) take 80 a minute: some 7 minutes
    dive.legs = vec![(1.0, 30.0, 0, 20.0), (20.0, 30.0, 0, 20.0), (3.0, 0.0, 0, 20.0)];
    let scenario = dive.scenario().unwrap();
    let trace = sim::run(&scenario).unwrap();
    let out: Vec<_> = trace
        .events()
        .iter()
        .filter_map(|event| match event.what {
            sim::Happening::OutOfGas { leg, .. } => Some((leg, event.time_s / 60.0)),
            _ => None,
        })
        .collect();
    // on the way up the gas above ambient pressure gives a few more breaths, and then ends again in the next leg
    assert_eq!(out.iter().map(|(leg, _)| *leg).collect::<Vec<_>>(), [1, 2]);
    // by hand, ideal gas: 60 bar gauge is 61 bar absolute; 4 bar stay inside at 30 m: 57 bar × 10 L = 570 bar·L; the
    // way down takes 20 L × 2.5 bar = 50, the bottom 80 a minute: 1 + 520/80 = 7.5 min. Real air at 60 bar holds 1 %
    // more, and the fill at 20 °C has 3.5 % more pressure than at 10 °C: minute 7.1 to 7.9.
    assert!((out[0].1 - 7.5).abs() < 0.4, "{}", out[0].1);
    for (row, sample) in trace.samples().iter().enumerate() {
        assert!(trace.cylinder(row, 0).pressure_pa >= sample.ambient_pa * (1.0 - 1e-6), "at {} s", sample.time_s);
    }
}

fn square_numbers() -> Dive {
    Dive {
        person_l: 80.0,
        lead_kg: 4.0,
        foam_l: 5.0,
        loft_l: Some(5.0),
        wing_l: Some(15.0),
        fills_bar: vec![200.0],
        he_frac: 0.0,
        legs: vec![(1.5, 30.0, 0, 20.0), (20.0, 30.0, 0, 20.0), (3.0, 0.0, 0, 20.0)],
        left: None,
        density: 1020.0,
        equation: EquationOfState::Gerg2008,
    }
}
