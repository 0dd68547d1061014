//! Identities that hold for every dive, whatever its numbers.

use crate::parts::{cylinder, layers, rigid};
use crate::support::constant_water;
use lightpoint::internals::findings::elsewhere::Elsewhere;
use lightpoint::internals::findings::failed_wing::load_kg;
use lightpoint::internals::findings::{Findings, SuitUse};
use lightpoint::internals::physics::foam::Foam;
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Change, Leg, Move, Profile};
use lightpoint::internals::rig::{Bag, BagStart, Cylinder, CylinderSet, CylinderSpec, Part, Rig, Role, WING};
use lightpoint::internals::scenario::{Scenario, ScenarioError, Settings, TOLERANCE_KG};
use lightpoint::internals::sim::{self, LEDGER_TOLERANCE, Sample, Trace, trace::pressure_pa};
use proptest::prelude::*;

/// The numbers of a random dive.
#[derive(Clone, Debug)]
struct Dive {
    person_l: f64,
    lead_kg: f64,
    foam_l: f64,
    /// litres of gas, and what they are at the start
    suit: Option<(f64, BagStart)>,
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
        proptest::option::of((0.0..15.0f64, prop_oneof![Just(BagStart::Air), Just(BagStart::Supply)])),
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
        |((person_l, lead_kg, foam_l, suit, wing_l, fills_bar, he_frac), (legs, left, density, ideal))| Dive {
            person_l,
            lead_kg,
            foam_l,
            suit,
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
                Cylinder::new(spec).expect("valid cylinder")
            })
            .collect();
        let mut parts = vec![
            rigid("diver", Role::Person, 80.0, self.person_l / 1e3),
            rigid("lead", Role::Ballast, self.lead_kg, self.lead_kg / 11_340.0),
        ];
        if self.foam_l > 0.1 {
            let foam = Foam { volume0_m3: self.foam_l / 1e3, gas_frac: 0.75, compliance_frac: 0.9 };
            let body = lightpoint::internals::rig::Body::Foam { mass_kg: 3.0, foam };
            parts.push(Part { name: "suit".into(), role: Role::Suit, count: 1, body, ditchable: false, at: None });
        }
        let mut time_s = 0.0;
        let legs: Vec<Leg> = self
            .legs
            .iter()
            .map(|&(minutes, end_m, source, litres)| {
                time_s += minutes * 60.0;
                let source = CylinderSet::of([source % count]);
                Leg { end_s: time_s, end_m, source, rate_m3_s: litres / 60e3, loop_mol_s: None }
            })
            .collect();
        let changes = match self.left {
            Some((which, share)) if count > 1 && time_s > 0.0 => {
                vec![Change { time_s: share * time_s, cylinder: which % count, kind: Move::Leave }]
            }
            _ => vec![],
        };
        let supply = CylinderSet::of([0]);
        let diver = Rig {
            parts,
            suit: self.suit.map(|(litres, start)| Bag::suit(litres / 1e3, supply).with_extra(4e-3).starting(start)),
            breathing_loop: None,
            wing: self.wing_l.map(|litres| Bag::wing(litres / 1e3, supply)),
            cylinders,
            lung_trim_m3: 1e-3,
            swim_up_kg: 7.0,
            head_out_m3: 8e-3,
            lungs: None,
        };
        let profile = Profile::new(0.0, legs, changes).expect("valid profile");
        let settings = Settings { equation: self.equation, ..Settings::default() };
        match Scenario::new(diver, constant_water(self.density, 283.15), profile, settings) {
            Ok(scenario) => Some(scenario),
            Err(ScenarioError::NotCarried { .. }) => None,
            Err(other) => panic!("{other}"),
        }
    }
}

impl Dive {
    /// The same with every leg cut into pieces of at most so many seconds.
    fn in_pieces(&self, piece_s: f64) -> Dive {
        let mut start_m = 0.0;
        let mut legs = Vec::new();
        for &(minutes, end_m, source, litres) in &self.legs {
            let count = (minutes * 60.0 / piece_s).ceil();
            for i in 1..=count as usize {
                let depth_m = if i as f64 == count { end_m } else { start_m + (end_m - start_m) * i as f64 / count };
                legs.push((minutes / count, depth_m, source, litres));
            }
            start_m = end_m;
        }
        Dive { legs, ..self.clone() }
    }
}

/// A kilogram moved in the thirteenth figure is rounding; the tolerance leaves three figures for the sums.
const ROUNDING_KG: f64 = 1e-9;

/// Rows of two runs at the same times: every seventh second, and wherever something happens in the first.
fn side_by_side<'a>(
    (a, first): (&'a Scenario, &'a Trace),
    (b, second): (&'a Scenario, &'a Trace),
) -> impl Iterator<Item = (Sample, Sample)> {
    let times_s = first.series(a, 7.0, &[]).into_iter().map(|(now, _)| now.state.time_s);
    times_s.map(move |time_s| (Sample::of(&first.at(a, time_s), 0), Sample::of(&second.at(b, time_s), 0)))
}

/// The first of some moments at which two runs of one dive differ by more than the tolerance of a run: when, what, and
/// the two values, kg.
fn apart((a, first): (&Scenario, &Trace), (b, second): (&Scenario, &Trace)) -> Option<(f64, &'static str, f64, f64)> {
    let count = (first.last().state.time_s / 7.0) as usize;
    // never at a change, where one run may be just before it and the other just after
    let times_s = (0..count).map(|i| 7.0 * i as f64 + 1.234_567);
    times_s.filter(|time_s| *time_s < first.last().state.time_s).find_map(|time_s| {
        let (one, other) = (first.at(a, time_s), second.at(b, time_s));
        let (row, its) = (Sample::of(&one, 0), Sample::of(&other, 0));
        let masses = [
            ("bare", row.bare_kg, its.bare_kg),
            ("net", row.net_kg, its.net_kg),
            ("wing gas", row.wing_kg, its.wing_kg),
            ("suit gas", row.suit_kg, its.suit_kg),
            ("breathed", row.breathed_kg, its.breathed_kg),
            ("vented", row.vented_kg, its.vented_kg),
        ];
        let cylinders = (0..a.rig().cylinders.len()).map(|i| {
            let gas_kg = |state: &sim::State| state.cylinder_mol[i] * a.molar_kg_mol(i);
            ("cylinder gas", gas_kg(&one.state), gas_kg(&other.state))
        });
        // a lift is a difference of sums, of which more than one moves with the gas
        let slack_kg = |what: &str| if ["bare", "net"].contains(&what) { 2.0 * TOLERANCE_KG } else { TOLERANCE_KG };
        let far = |(what, one_kg, other_kg): &(&str, f64, f64)| (one_kg - other_kg).abs() > slack_kg(what);
        masses.into_iter().chain(cylinders).find(far).map(|(what, one, other)| (time_s, what, one, other))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The run checks its ledger itself at every event; here it is asked again at any moment, by mass.
    #[test]
    fn mass_is_conserved_and_nothing_panics(dive in dives()) {
        let scenario = dive.scenario();
        prop_assume!(scenario.is_some());
        let scenario = scenario.unwrap();
        let trace = sim::run(&scenario).unwrap();
        prop_assert!(trace.ledger_error() < LEDGER_TOLERANCE);
        for (now, leg) in trace.series(&scenario, 7.0, &[]) {
            let (sample, cylinders) = (Sample::of(&now, leg), &scenario.rig().cylinders);
            let held = cylinders.iter().zip(now.state.cylinder_mol);
            let in_cylinders: f64 = held.map(|(cylinder, amount_mol)| cylinder.gas_kg(amount_mol)).sum();
            let sum = in_cylinders + sample.wing_kg + sample.suit_kg + sample.breathed_kg + sample.vented_kg;
            prop_assert!((sum / trace.filled_kg() - 1.0).abs() < LEDGER_TOLERANCE);
            prop_assert!((0..cylinders.len()).all(|i| now.state.cylinder_mol[i] > 0.0));
            prop_assert!((0..cylinders.len()).all(|i| pressure_pa(&scenario, &now, i) > 0.0));
        }
        let findings = Findings::of(&scenario, &trace);
        prop_assert!(findings.heavy.bare_kg <= findings.light.bare_kg);
        let heaviest = -findings.heavy.bare_kg;
        prop_assert!(findings.failed_wing.worst.load_kg >= heaviest - ROUNDING_KG, "the way up starts here");
    }

    /// The load of a failed wing is the greatest weight at any depth of the way straight up, tried depth by depth, also
    /// under a halocline and with the suit blown up: where foam swells, a suit vents, and water becomes thinner, the
    /// program asks a few places only. Between depths of the trial, a hundredth of the way apart, lies less than a gram:
    /// the lift has no slope at its least, and what jumps at the interface is asked on both sides.
    #[test]
    fn no_depth_of_the_way_up_is_heavier_than_the_load(dive in dives(), salinity in 0.0..40.0f64) {
        let built = dive.scenario();
        prop_assume!(built.is_some());
        let built = built.unwrap();
        let brines = [(0.0, Brine::PracticalSalinity(salinity)), (8.0, Brine::PracticalSalinity(35.0))];
        let layered = layers(&brines, 283.15);
        let dive = Scenario::new(built.rig().clone(), layered, built.profile().clone(), *built.settings()).unwrap();
        let trace = sim::run(&dive).unwrap();
        for (now, leg) in trace.series(&dive, 120.0, &[]) {
            for suit in [SuitUse::Kept, SuitUse::AsLift] {
                let diver = match suit {
                    SuitUse::Kept => Elsewhere::of(&dive, &now),
                    SuitUse::AsLift => Elsewhere::of(&dive, &now).with_suit_as_lift(&now),
                };
                let places = (0..=100).flat_map(|i| {
                    let depth_m = now.state.depth_m * f64::from(i) / 100.0;
                    (0..=now.ambient.layer).map(move |layer| (layer, depth_m))
                });
                let interface = (0..=now.ambient.layer).map(|layer| (layer, 8.0f64.min(now.state.depth_m)));
                let is_there = |(layer, depth_m): &(usize, f64)| {
                    let (top_m, bottom_m) = dive.water().layer_span_m(*layer);
                    (top_m..=bottom_m).contains(depth_m)
                };
                let tried = places.chain(interface).filter(is_there);
                let most_kg = tried.map(|(layer, depth_m)| -diver.bare_kg(layer, depth_m)).fold(f64::NEG_INFINITY, f64::max);
                let load_kg = load_kg(&dive, &now, leg, suit);
                prop_assert!(load_kg > most_kg - ROUNDING_KG && load_kg < most_kg + 1e-3, "{load_kg} {most_kg} {suit:?}");
            }
        }
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
        let (light, heavy) = (sim::run(&a).unwrap(), sim::run(&b).unwrap());
        let fed = heavy.events().iter().all(|event| matches!(event.what, sim::Happening::Moved { .. }));
        for (light, heavy) in side_by_side((&a, &light), (&b, &heavy)) {
            prop_assert!(heavy.bare_kg <= light.bare_kg + ROUNDING_KG);
            prop_assert!(!fed || heavy.bare_kg >= light.bare_kg - more_kg - ROUNDING_KG);
        }
    }

    /// A hundredth of the tolerance is the same dive: no mass differs by more than the tolerance.
    #[test]
    fn a_finer_tolerance_is_the_same_dive(dive in dives()) {
        let usual = dive.scenario();
        prop_assume!(usual.is_some());
        let usual = usual.unwrap();
        let finer = Settings { tolerance_kg: 0.01 * TOLERANCE_KG, ..*usual.settings() };
        let finer = usual.with_settings(finer).unwrap();
        let (a, b) = (sim::run(&usual).unwrap(), sim::run(&finer).unwrap());
        prop_assert_eq!(apart((&usual, &a), (&finer, &b)), None);
    }

    /// The same dive with every leg cut into pieces of some four seconds, which the run cannot step over: no mass differs
    /// by more than the tolerance.
    #[test]
    fn a_dive_in_small_pieces_is_the_same_dive(dive in dives()) {
        let both = dive.scenario().zip(dive.in_pieces(4.0).scenario());
        prop_assume!(both.is_some());
        let (whole, cut) = both.unwrap();
        let (a, b) = (sim::run(&whole).unwrap(), sim::run(&cut).unwrap());
        prop_assert_eq!(apart((&whole, &a), (&cut, &b)), None);
    }

    /// From fresh to salt water every moment is lifted by the displaced volume times the difference of the densities.
    /// Without bags and foam nothing else changes, so this holds to rounding; the breathed gas depends on pressure, so
    /// nothing is breathed here.
    #[test]
    fn salt_water_lifts_by_the_displaced_volume(dive in dives()) {
        let rigid = Dive {
            foam_l: 0.0,
            suit: None,
            wing_l: None,
            legs: dive.legs.iter().map(|&(minutes, depth, source, _)| (minutes, depth, source, 0.0)).collect(),
            ..dive
        };
        let salt = Dive { density: rigid.density + 20.0, ..rigid.clone() };
        let both = rigid.scenario().zip(salt.scenario());
        prop_assume!(both.is_some());
        let (a, b) = both.unwrap();
        let (fresh, salty) = (sim::run(&a).unwrap(), sim::run(&b).unwrap());
        for (light, heavy) in side_by_side((&a, &fresh), (&b, &salty)) {
            let external_m3: f64 = light.carried.iter().map(|i| a.rig().cylinders[i].external_m3()).sum();
            let volume_m3 = a.fixed().bulk.volume_m3 + external_m3;
            prop_assert!((heavy.bare_kg - light.bare_kg - 20.0 * volume_m3).abs() < ROUNDING_KG);
        }
    }

    /// A dive that is built again from its own diver holds the same gas, and so does one with other settings.
    #[test]
    fn the_same_diver_has_the_same_gas(dive in dives()) {
        let Some(scenario) = dive.scenario() else { return Ok(()) };
        let again = scenario.with_rig(scenario.rig().clone()).unwrap();
        let other = scenario.with_settings(*scenario.settings()).unwrap();
        for i in 0..scenario.rig().cylinders.len() {
            prop_assert_eq!(again.filled_mol(i), scenario.filled_mol(i));
            prop_assert_eq!(other.filled_mol(i), scenario.filled_mol(i));
        }
    }

    /// The order of the parts does not matter.
    #[test]
    fn a_permuted_list_of_parts_changes_nothing(dive in dives()) {
        let scenario = dive.scenario();
        prop_assume!(scenario.is_some());
        let scenario = scenario.unwrap();
        let (diver, mut turned) = (scenario.rig().clone(), scenario.rig().clone());
        turned.parts.reverse();
        let (scenario, turned) = (scenario.with_rig(diver).unwrap(), scenario.with_rig(turned).unwrap());
        let (a, b) = (sim::run(&scenario).unwrap(), sim::run(&turned).unwrap());
        for (one, other) in side_by_side((&scenario, &a), (&turned, &b)) {
            let (time_s, one_kg, other_kg) = (one.time_s, one.bare_kg, other.bare_kg);
            prop_assert!((one_kg - other_kg).abs() < ROUNDING_KG, "at {time_s} s: {one_kg} and {other_kg}");
        }
    }
}

/// A profile of a single point is a dive: one moment, all findings.
#[test]
fn a_single_point_is_a_dive() {
    let mut dive = square_numbers();
    dive.legs = vec![];
    let scenario = dive.scenario().unwrap();
    let trace = sim::run(&scenario).unwrap();
    assert_eq!((trace.spans().len(), trace.spans()[0].is_instant(), trace.first()), (1, true, trace.last()));
    let findings = Findings::of(&scenario, &trace);
    assert_eq!(findings.heavy.bare_kg, findings.light.bare_kg);
    assert_eq!(findings.holds.len(), 1);
}

/// A cylinder that ends is told with the leg and the moment, and never holds less than ambient pressure.
#[test]
fn running_out_is_told() {
    let mut dive = square_numbers();
    dive.fills_bar = vec![60.0];
    dive.suit = None;
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
    // on the way up the gas above ambient pressure gives a few more breaths, and then ends again: that is told with it
    assert_eq!(out.iter().map(|(leg, _)| *leg).collect::<Vec<_>>(), [1]);
    // by hand, ideal gas: 60 bar gauge is 61 bar absolute; 4 bar stay inside at 30 m: 57 bar × 10 L = 570 bar·L; the
    // way down takes 20 L × 2.5 bar = 50, the bottom 80 a minute: 1 + 520/80 = 7.5 min. Real air at 60 bar holds 1 %
    // more, and the fill at 20 °C has 3.5 % more pressure than at 10 °C: minute 7.1 to 7.9.
    assert!((out[0].1 - 7.5).abs() < 0.4, "{}", out[0].1);
    for (now, _) in trace.series(&scenario, 1.0, &[]) {
        let inside_pa = pressure_pa(&scenario, &now, 0);
        assert!(inside_pa >= now.ambient.pressure_pa * (1.0 - 1e-6), "at {} s", now.state.time_s);
    }
}

/// A wing that is too small is told when it becomes full, and not before.
#[test]
fn a_short_wing_is_told_when_it_is_full() {
    let mut dive = square_numbers();
    // by hand, kg and L: 1.02 × (80 + 12 + 1 + 5 suit + 5 foam) − (80 + 3 + 12.5 + 2.4 + 12) is −4.8 at the surface, and the
    // foam loses 2.5 L at 30 m
    (dive.wing_l, dive.lead_kg) = (Some(6.0), 12.0);
    let scenario = dive.scenario().unwrap();
    let trace = sim::run(&scenario).unwrap();
    let is_short = |event: &&sim::Event| event.what == sim::Happening::WingShort;
    let short = trace.events().iter().find(is_short).expect("too small a wing");
    assert!(short.time_s > 0.0 && short.time_s < 90.0, "on the way down: {short:?}");
    let wing = trace.at(&scenario, short.time_s).balance.bags[WING];
    // to what lifts as much as the run's tolerance
    assert!((wing.volume_m3 - 6e-3).abs() < TOLERANCE_KG / 1020.0, "{short:?}: {wing:?}");
}

fn square_numbers() -> Dive {
    Dive {
        person_l: 80.0,
        lead_kg: 4.0,
        foam_l: 5.0,
        suit: Some((5.0, BagStart::Supply)),
        wing_l: Some(15.0),
        fills_bar: vec![200.0],
        he_frac: 0.0,
        legs: vec![(1.5, 30.0, 0, 20.0), (20.0, 30.0, 0, 20.0), (3.0, 0.0, 0, 20.0)],
        left: None,
        density: 1020.0,
        equation: EquationOfState::Gerg2008,
    }
}

/// Air that ends on the way down, and is breathed slowly on the way up: the cylinder, squeezed below the ambient pressure
/// meanwhile, gives nothing until the diver is above where it ran dry.
#[test]
fn a_cylinder_that_ran_dry_on_the_way_down_gives_again_on_the_way_up() {
    let dive = Dive {
        person_l: 70.0,
        lead_kg: 0.0,
        foam_l: 0.0,
        suit: None,
        wing_l: None,
        fills_bar: vec![5.0, 71.0],
        he_frac: 0.0,
        legs: vec![(15.0, 34.0, 1, 29.0), (3.5, 0.0, 1, 0.3)],
        left: None,
        density: 990.0,
        equation: EquationOfState::Gerg2008,
    };
    let (whole, cut) = (dive.scenario().unwrap(), dive.in_pieces(1.0).scenario().unwrap());
    let (a, b) = (sim::run(&whole).unwrap(), sim::run(&cut).unwrap());
    let dry_m = a.events().iter().find_map(|event| match event.what {
        sim::Happening::OutOfGas { .. } => Some(event.depth_m),
        _ => None,
    });
    assert!(dry_m.is_some_and(|depth_m| depth_m > 20.0 && depth_m < 34.0), "{dry_m:?}");
    assert_eq!(apart((&whole, &a), (&cut, &b)), None);
}

/// A wing that turns from filling to venting soon after the start of a long stretch leaves some micrograms more in the
/// cylinder that feeds the suit, too; when that runs dry on the way down, they are a gas volume.
#[test]
fn an_early_turn_of_the_wing_counts_where_its_supply_runs_dry_later() {
    let dive = Dive {
        person_l: 86.36,
        lead_kg: 11.79,
        foam_l: 0.6,
        suit: Some((5.704, BagStart::Air)),
        wing_l: Some(2.425),
        fills_bar: vec![20.943, 151.0],
        he_frac: 0.512,
        legs: vec![(2.996, 25.972, 2, 19.925), (8.748, 36.967, 1, 27.452)],
        left: None,
        density: 1012.15,
        equation: EquationOfState::Gerg2008,
    };
    let usual = dive.scenario().unwrap();
    let finer = Settings { tolerance_kg: 0.01 * TOLERANCE_KG, ..*usual.settings() };
    let finer = usual.with_settings(finer).unwrap();
    let (a, b) = (sim::run(&usual).unwrap(), sim::run(&finer).unwrap());
    assert!(b.events().iter().any(|event| event.what == sim::Happening::SuitSupplyEmpty));
    assert_eq!(apart((&usual, &a), (&finer, &b)), None);
}
