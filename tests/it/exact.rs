//! The run against itself in another way: against a hundredth of its tolerance, and against the same dive cut into
//! pieces of a tenth of a second, on which no kink can hide and every way that gas goes is followed closely.
//!
//! Tolerances: 0.1 g of any mass is what the run promises. A net lift is the difference of sums of some twenty masses and
//! volumes, of which four bags and cylinders move with the gas: 0.2 g. An event is promised to 0.01 s, or to the time in
//! which its quantity moves by 0.1 g.

use crate::rig::{self, random};
use lightpoint::internals::findings::Findings;
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::profile::{Leg, Profile};
use lightpoint::internals::rig::{Bag, BagStart, CylinderSet};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::{self, Happening, Now, Trace};
use lightpoint::internals::study::Probe;
use proptest::prelude::*;

const MASS_KG: f64 = 1e-4;
const NET_KG: f64 = 2e-4;
const PLANS: [&str; 4] = ["cold-trimix", "coastal-cave", "mountain-lake", "single-wetsuit"];

fn plan(name: &str, sets: &[(&str, &str)]) -> Scenario {
    let path = format!("{}/profiles/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let sets: Vec<(String, String)> = sets.iter().map(|(key, value)| ((*key).into(), (*value).into())).collect();
    Plan::load_with(std::path::Path::new(&path), &sets).unwrap().build().unwrap().scenario
}

/// The same dive, every leg cut into pieces of at most `piece_s`.
fn chopped(dive: &Scenario, piece_s: f64) -> Scenario {
    let profile = dive.profile();
    let mut legs = Vec::new();
    for (i, leg) in profile.legs().iter().enumerate() {
        let (start_s, start_m) = profile.leg_start(i);
        let pieces = ((leg.end_s - start_s) / piece_s).ceil().max(1.0);
        for piece in 1..=(pieces as usize) {
            let share = piece as f64 / pieces;
            let (end_s, end_m) = (start_s + share * (leg.end_s - start_s), start_m + share * (leg.end_m - start_m));
            // to the bit, or a bottom that is a rounding deeper on the way makes a stop of itself
            let last = piece == pieces as usize;
            legs.push(if last { *leg } else { Leg { end_s, end_m, ..*leg } });
        }
    }
    let setpoints = profile.setpoints().to_vec();
    let profile = Profile::new(profile.start_m(), legs, profile.changes().to_vec()).unwrap();
    let profile = profile.with_setpoints(setpoints).unwrap();
    // the last stop is named, since a cut leg may find another
    let settings = Settings { last_stop_m: Some(dive.last_stop_m()), ..*dive.settings() };
    Scenario::new(dive.rig().clone(), dive.water().clone(), profile, settings).unwrap()
}

/// The large rig of the tests on another profile: minute and depth of each leg's end, back gas at one rate.
fn profiled(points: &[(f64, f64)], rate_l_min: f64, last_stop_m: Option<f64>) -> Scenario {
    let base = rig::large_with(4.0, 12.0, &[(0.0, Brine::PracticalSalinity(33.0))]);
    let legs = points.iter().map(|&(minute, depth_m)| crate::parts::leg(minute, depth_m, 0, rate_l_min)).collect();
    let profile = Profile::new(0.0, legs, Vec::new()).unwrap();
    let settings = Settings { last_stop_m, ..Settings::default() };
    Scenario::new(base.rig().clone(), base.water().clone(), profile, settings).unwrap()
}

fn finer(dive: &Scenario) -> Scenario {
    let settings = Settings { tolerance_kg: 0.01 * dive.settings().tolerance_kg, ..*dive.settings() };
    dive.with_settings(settings).unwrap()
}

/// Every mass of a moment, kg, and the net lifts.
fn masses(dive: &Scenario, now: &Now) -> (Vec<f64>, [f64; 2]) {
    let mut masses: Vec<f64> =
        dive.rig().cylinders.iter().zip(now.state.cylinder_mol).map(|(cylinder, mol)| cylinder.gas_kg(mol)).collect();
    masses.extend(now.balance.bags.map(|bag| bag.mass_kg));
    masses.extend([now.state.breathed.mass_kg(), now.state.vented.mass_kg()]);
    (masses, [now.balance.net_kg(), now.balance.bare_kg()])
}

/// Two runs of one dive agree at many moments. Moments close to a jump of either are left out: it lies at one time, but
/// to rounding.
fn agree(name: &str, dive: &Scenario, one: &Trace, other: &Trace) {
    let end_s = one.last().state.time_s;
    let setpoints = dive.profile().setpoints().iter().map(|at| at.time_s);
    let jumps: Vec<f64> = dive.profile().changes().iter().map(|change| change.time_s).chain(setpoints).collect();
    for i in 0..=200 {
        let time_s = end_s * f64::from(i) / 200.0;
        if jumps.iter().any(|jump_s| (jump_s - time_s).abs() < 1e-6) {
            continue;
        }
        let interface = |now: &Now| {
            let (top_m, _) = dive.water().layer_span_m(now.ambient.layer);
            (now.state.depth_m - top_m).abs() < 1e-6
        };
        let (a, b) = (one.at(dive, time_s), other.at(dive, time_s));
        if interface(&a) || interface(&b) {
            continue;
        }
        let ((a, nets_a), (b, nets_b)) = (masses(dive, &a), masses(dive, &b));
        for (k, (a, b)) in a.iter().zip(&b).enumerate() {
            assert!((a - b).abs() < MASS_KG, "{name}: mass {k} at {time_s} s: {a} {b}");
        }
        for (a, b) in nets_a.iter().zip(nets_b) {
            assert!((a - b).abs() < NET_KG, "{name}: net at {time_s} s: {a} {b}");
        }
    }
}

/// What decides about lead agrees.
fn decide(name: &str, one: &Scenario, other: &Scenario) {
    let (a, b) = (Probe::of(one).unwrap(), Probe::of(other).unwrap());
    for (what, a, b) in [
        ("heavy", a.heavy_kg, b.heavy_kg),
        ("light", a.light_kg, b.light_kg),
        ("load", a.load_kg, b.load_kg),
        ("ascent", a.ascent_kg, b.ascent_kg),
        ("at reserve", a.at_reserve_kg, b.at_reserve_kg),
        ("worst", a.worst_kg, b.worst_kg),
    ] {
        assert!((a - b).abs() < NET_KG, "{name}: {what}: {a} {b}");
    }
    assert_eq!(a.out_of_gas, b.out_of_gas, "{name}");
}

/// Holds a dive against itself, finer and in pieces.
pub fn hold(name: &str, dive: &Scenario, piece_s: f64) {
    let trace = sim::run(dive).unwrap();
    agree(name, dive, &trace, &sim::run(&finer(dive)).unwrap());
    decide(name, dive, &finer(dive));
    let cut = chopped(dive, piece_s);
    agree(name, dive, &trace, &sim::run(&cut).unwrap());
    decide(name, dive, &cut);
}

#[test]
fn all_plans() {
    for name in PLANS {
        hold(name, &plan(name, &[]), 0.1);
    }
}

/// The suit's bottle runs dry on the way down, and has something to give again on the way up.
#[test]
fn a_suit_bottle_that_runs_dry_on_the_way_down() {
    for bar in ["5 bar", "10 bar", "20 bar", "40 bar"] {
        for start in ["air", "supply"] {
            let dive = plan("cold-trimix", &[("cylinder.argon.fill", bar), ("suit.start", start)]);
            let trace = sim::run(&dive).unwrap();
            let is_short = trace.events().iter().any(|event| event.what == Happening::SuitSupplyEmpty);
            assert!(is_short || bar == "40 bar", "{bar} {start}");
            hold(&format!("argon {bar}, {start}"), &dive, 0.1);
        }
    }
}

#[test]
fn a_wing_that_is_too_small() {
    for litres in ["2 L", "5 L", "7.5 L"] {
        let dive = plan("cold-trimix", &[("wing.capacity", litres)]);
        let trace = sim::run(&dive).unwrap();
        assert!(trace.events().iter().any(|event| event.what == Happening::WingShort), "{litres}");
        hold(litres, &dive, 0.1);
    }
}

/// Back gas that ends on the bottom, and on the way up, where what expands is breathed.
#[test]
fn a_diver_who_runs_out_of_gas() {
    for bar in ["30 bar", "60 bar", "90 bar", "120 bar"] {
        let dive = plan("single-wetsuit", &[("cylinder[1].fill", bar)]);
        hold(bar, &dive, 0.1);
    }
}

/// A last stop that is passed without staying is asked where the profile is that deep for the last time, not at the
/// nearest row.
#[test]
fn a_stop_that_is_passed() {
    let dive = profiled(&[(3.0, 20.0), (20.0, 20.0), (20.0 + 100.0 / 60.0, 0.0)], 15.0, Some(6.0));
    let trace = sim::run(&dive).unwrap();
    let hold_at = Findings::of(&dive, &trace).last_hold().planned;
    // up from 20 m in 100 s, 6 m after 70 s: from the profile itself
    let ascent_s = dive.profile().leg_start(dive.profile().legs().len() - 1).0;
    assert!((hold_at.time_s() - (ascent_s + 70.0)).abs() < 1e-9, "{}", hold_at.time_s());
    assert!((hold_at.now.state.depth_m - 6.0).abs() < 1e-9);
    hold("passing", &dive, 0.1);
}

#[test]
fn a_halocline_at_a_stop() {
    let brines = [(0.0, Brine::PracticalSalinity(3.0)), (6.0, Brine::PracticalSalinity(36.0))];
    hold("halocline", &rig::large_with(4.0, 12.0, &brines), 0.1);
}

/// Ten hours, and 200 m. Cut into whole seconds: what a tenth would show beyond that is less than rounding.
#[test]
fn a_long_dive_and_a_deep_one() {
    hold("long", &profiled(&[(2.0, 40.0), (600.0, 40.0), (605.0, 0.0)], 0.6, None), 1.0);
    hold("deep", &profiled(&[(9.0, 200.0), (12.0, 200.0), (40.0, 6.0), (60.0, 6.0), (61.0, 0.0)], 3.0, None), 1.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_dives(random in random::dive(), closed in any::<bool>(), bottle_bar in 6.0..210.0f64) {
        let mut dive = random.scenario();
        let mut diver = dive.rig().clone();
        if closed {
            diver.suit = diver.suit.map(|suit: Bag| suit.starting(BagStart::Air));
        }
        // an inflation bottle that may end anywhere
        let spec = diver.cylinders[1].spec().clone();
        let low = lightpoint::internals::rig::CylinderSpec { fill_gauge_pa: bottle_bar * 1e5, ..spec };
        diver.cylinders[1] = lightpoint::internals::rig::Cylinder::new(low).unwrap();
        dive = dive.with_rig(diver).unwrap();
        hold("random", &dive, 0.1);
    }
}

/// The work that a run takes: an innocent change that doubles it is seen here.
#[test]
fn evaluations_of_the_plans() {
    let counts: Vec<String> =
        PLANS.iter().map(|name| format!("{name}: {}", sim::run(&plan(name, &[])).unwrap().evaluations())).collect();
    insta::assert_snapshot!(counts.join("\n"));
}

#[test]
fn a_supply_of_two_gases_mixes_in_the_bag() {
    let dive = rig::large_with(4.0, 12.0, &[(0.0, Brine::PracticalSalinity(33.0))]);
    let mut diver = dive.rig().clone();
    // suit bottle and half: air and nitrox 50, even shares
    diver.suit = diver.suit.map(|suit| Bag::suit(suit.kept_m3(), CylinderSet::of([1, 2])).starting(BagStart::Air));
    let dive = dive.with_rig(diver).unwrap();
    let trace = sim::run(&dive).unwrap();
    assert!(trace.ledger_error() < 1e-12);
    hold("two gases", &dive, 0.1);
}
