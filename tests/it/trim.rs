//! Where a diver hangs: torques of whole rigs against forces added up by hand, and what holds for every dive.

mod hung;

use hung::{Hung, hung_dive, moved, placed};
use proptest::prelude::*;

use crate::parts::{cylinder, layers, legs, reading, rigid};
use crate::rig::large;
use lightpoint::internals::findings::Trim;
use lightpoint::internals::findings::trim::{Hang, Lever, TrimAt, moment_of};
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::physics::place::{Centres, Moment, Point};
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Leg, Profile};
use lightpoint::internals::rig::{Bag, BagStart, Body, Cylinder, CylinderSet, CylinderSpec, Lie, Part, Rig, Role};
use lightpoint::internals::scenario::{LEAD_KG_M3, Scenario, Settings, TOLERANCE_KG};
use lightpoint::internals::sim::terms::terms;
use lightpoint::internals::sim::{self, Now, Owner, Trace};
use lightpoint::internals::units::STANDARD_GRAVITY_M_S2;

/// Water of the dives by hand.
const SEA_KG_M3: f64 = 1025.0;
/// Sums of up to 40 terms of up to 1000 N at up to 3 m, which doubles add up to 1e-12 of them.
const ROUNDING_NM: f64 = 1e-8;
/// A run is exact to its tolerance; the farthest thing of these rigs is 2.5 m from the lungs. Twice, for two moments held
/// against each other.
const RUN_NM: f64 = 2.0 * TOLERANCE_KG * STANDARD_GRAVITY_M_S2 * 2.5;

fn trim_of(dive: &Scenario) -> (Trace, Trim) {
    let trace = sim::run(dive).expect("runs");
    let trim = Trim::of(dive, &trace).expect("places are known");
    (trace, trim)
}

fn at(along_m: f64, left_m: f64, up_m: f64) -> Option<Centres> {
    Some(Centres::at(Point::new(along_m, left_m, up_m)))
}

/// A cylinder as a point: shell, gas and valve at one place.
fn point_cylinder(place: Point) -> Cylinder {
    let spec = cylinder("back", 12.0, 14.2, 15.0, GasMix::AIR, 200.0);
    Cylinder::new(spec).unwrap().lying(Lie { valve: place, length_m: 1e-9 }).unwrap()
}

fn hour_at_ten_metres(rig: Rig) -> Scenario {
    let profile = Profile::new(10.0, legs(&[(60.0, 10.0, 0, 0.0)]), vec![]).unwrap();
    let settings = Settings { equation: EquationOfState::Ideal, ..Settings::default() };
    Scenario::new(rig, layers(&[(0.0, Brine::Density(SEA_KG_M3))], 283.15), profile, settings).unwrap()
}

/// The diver of check T1: a wing with a lift of 6 kg, cylinders of −4, lead of −4 and a body of +2; the lead at a distance from
/// the shoulders, all of it moved by some way. Nobody breathes, so nothing changes.
fn four_pulls(lead_along_m: f64, by: Point) -> Trim {
    let place = |along_m: f64, up_m: f64| Point::new(along_m, 0.0, up_m) + by;
    let pull = |name: &str, lift_kg, at| Part { at: Some(Centres::at(at)), ..reading(name, Role::Gear, lift_kg) };
    let mut float_kg = 0.0;
    loop {
        let back = place(0.0, 0.20);
        let rig = Rig {
            parts: vec![
                pull("lead", -4.0, place(lead_along_m, -0.10)),
                pull("body", 2.0, place(0.15, 0.0)),
                pull("float", float_kg, back),
            ],
            wing: Some(Bag::wing(0.020, CylinderSet::of([0])).placed(place(0.10, 0.12))),
            cylinders: vec![point_cylinder(back)],
            lungs: Some(place(-0.16, 0.0)),
            ..Rig::default()
        };
        let dive = hour_at_ten_metres(rig);
        let (trace, trim) = trim_of(&dive);
        // cylinder and float together are the cylinders of the check, with the gas that is left in them
        let pull_kg: f64 = trim
            .pulls_heavy
            .iter()
            .filter(|pull| (pull.at.up_m - 0.20 - by.up_m).abs() < 1e-6)
            .map(|pull| pull.lift_kg)
            .sum();
        if (pull_kg + 4.0).abs() < 1e-9 {
            assert!(trace.last().balance.net_kg().abs() <= TOLERANCE_KG);
            return trim;
        }
        float_kg -= pull_kg + 4.0;
    }
}

/// What the diver lacks is within the run's tolerance, at the lungs instead of at the wing: 0.28 m apart and less.
const FOUR_KG_M: f64 = 0.3 * TOLERANCE_KG;

fn is_moment(found: Moment, along_kg_m: f64, up_kg_m: f64) {
    assert!(
        (found.along_kg_m - along_kg_m).abs() < FOUR_KG_M && (found.up_kg_m - up_kg_m).abs() < FOUR_KG_M,
        "{found:?}"
    );
    assert_eq!(found.left_kg_m, 0.0);
}

// check T1, an identity: M = Σ b·r = (1.50, 0.32) kg·m, 77.96° head up, 14.71 N·m held level, at most 15.04
#[test]
fn a_dive_of_four_pulls() {
    let trim = four_pulls(-0.15, Point::ORIGIN);
    for here in [trim.heavy, trim.light, trim.head_heaviest, trim.feet_heaviest, trim.worst()] {
        is_moment(here.moment, 1.50, 0.32);
        // angles and torques to the digits that are printed
        assert!((here.moment.pitch_rad().to_degrees() - 77.96).abs() < 0.005 + 0.003);
        assert!((here.torque_nm() - 14.71).abs() < 0.005 + RUN_NM);
        assert!((here.moment.most_torque_nm() - 15.04).abs() < 0.005 + RUN_NM);
        // steeper than 30° is a direction
        assert_eq!(here.hang(), Hang::HeadUp);
    }
}

// check T2: the same with the lead at +0.15 m: (0.30, 0.32) kg·m, 43.15°, at most 4.30 N·m
#[test]
fn lead_at_the_shoulders_lowers_the_head() {
    let here = four_pulls(0.15, Point::ORIGIN).heavy;
    is_moment(here.moment, 0.30, 0.32);
    assert!((here.moment.pitch_rad().to_degrees() - 43.15).abs() < 0.005 + 0.006);
    assert!((here.moment.most_torque_nm() - 4.30).abs() < 0.005 + RUN_NM);
}

// check T3: lifts that sum to zero have a moment that no origin changes
#[test]
fn the_origin_is_no_matter() {
    for by in [Point::new(0.7, -0.4, 1.1), Point::new(-1.5, 0.0, -0.3)] {
        let (here, there) = (four_pulls(-0.15, Point::ORIGIN).heavy.moment, four_pulls(-0.15, by).heavy.moment);
        assert!(
            (here.along_kg_m - there.along_kg_m).abs() < FOUR_KG_M && (here.up_kg_m - there.up_kg_m).abs() < FOUR_KG_M
        );
    }
}

/// A kilogram of lead lifts ρ/11340 − 1 kg.
fn lead_pull_frac() -> f64 {
    1.0 - SEA_KG_M3 / LEAD_KG_M3
}

// by hand: 1 kg · 0.1 m · 9.80665 m/s² = 0.98 N·m, times what of the weight is left in water
#[test]
fn a_kilogram_moved_by_ten_centimetres() {
    let with_lead_at = |along_m: f64, left_m: f64| {
        let lead = Part { at: at(along_m, left_m, 0.0), ..rigid("lead", Role::Ballast, 1.0, 1.0 / LEAD_KG_M3) };
        let rig = Rig {
            parts: vec![lead, Part { at: at(0.0, 0.0, 0.0), ..reading("float", Role::Gear, 2.0) }],
            cylinders: vec![point_cylinder(Point::new(-0.3, 0.0, 0.2))],
            lungs: Some(Point::new(-0.16, 0.0, -0.01)),
            ..Rig::default()
        };
        trim_of(&hour_at_ten_metres(rig)).1.heavy
    };
    let (belt, headward, aside) = (with_lead_at(-0.4, 0.0), with_lead_at(-0.3, 0.0), with_lead_at(-0.4, 0.1));
    let expected_nm = -0.980_665 * lead_pull_frac();
    assert!((headward.torque_nm() - belt.torque_nm() - expected_nm).abs() < ROUNDING_NM);
    assert_eq!(headward.roll_nm(), belt.roll_nm());
    // to the left it presses the left side down
    assert!((aside.roll_nm() - belt.roll_nm() - expected_nm).abs() < ROUNDING_NM);
    assert!((aside.torque_nm() - belt.torque_nm()).abs() < ROUNDING_NM);
}

// a cylinder by hand: a valve of 0.8 kg of brass (8500 kg/m³) at its end, the rest of shell and volume and all gas in the
// middle, what hangs on it at the valve, what has a place of its own there
#[test]
fn a_cylinder_is_a_rod_with_its_valve_at_one_end() {
    let (valve, length_m) = (Point::new(-0.09, 0.28, 0.03), 0.63);
    let lungs = Point::new(-0.16, 0.0, -0.01);
    let own_place = Point::new(-0.5, 0.3, 0.0);
    let regulator = rigid("regulator", Role::Gear, 1.2, 0.19e-3);
    let tail_float = Part { at: Some(Centres::at(own_place)), ..reading("float", Role::Gear, 0.3) };
    let spec = CylinderSpec {
        lie: Some(Lie { valve, length_m }),
        rigging: vec![regulator, tail_float],
        ..cylinder("side", 11.1, 13.2, 14.6, GasMix::AIR, 200.0)
    };
    let rig = Rig { cylinders: vec![Cylinder::new(spec).unwrap()], lungs: Some(lungs), ..Rig::default() };
    let dive = hour_at_ten_metres(rig);
    let found = trim_of(&dive).1.heavy.moment;
    // by hand
    let middle = Point::new(valve.along_m - length_m / 2.0, valve.left_m, valve.up_m);
    let valve_m3 = 0.8 / 8500.0;
    let gas_kg = 11.1e-3 * (200e5 + 101_325.0) / (8.314_462_618 * 293.15) * GasMix::AIR.molar_kg_mol();
    let forces = [
        (-0.8, valve),
        (SEA_KG_M3 * valve_m3, valve),
        (-(14.6 - 0.8), middle),
        (SEA_KG_M3 * (13.2e-3 - valve_m3), middle),
        (-gas_kg, middle),
        (SEA_KG_M3 * 0.19e-3 - 1.2, valve),
        (0.3, own_place),
    ];
    let by_hand: Moment = forces.iter().map(|(lift_kg, at)| Moment::of(*lift_kg, *at - lungs)).sum();
    assert_same(found, by_hand, ROUNDING_NM);
}

fn assert_same(found: Moment, expected: Moment, within_nm: f64) {
    let apart = found - expected;
    let most_nm = STANDARD_GRAVITY_M_S2
        * [apart.along_kg_m, apart.left_kg_m, apart.up_kg_m].map(f64::abs).into_iter().fold(0.0, f64::max);
    assert!(most_nm < within_nm, "{found:?} against {expected:?}: {most_nm} N·m apart");
}

/// Weights and buoyancies of a moment, each at its place, added up one by one about a point, what is lacking at the lungs.
fn by_hand(dive: &Scenario, now: &Now, about: Point) -> Moment {
    let lungs = dive.rig().lungs.unwrap();
    let (mut sum, mut lift_kg) = (Moment::NONE, 0.0);
    let mut push = |kg: f64, place: Point| {
        sum += Moment::of(kg, place - about);
        lift_kg += kg;
    };
    for term in terms(dive, &now.state, &now.ambient) {
        let place = term.at.expect("known");
        push(-term.bulk.mass_kg, place.mass);
        push(now.ambient.water_kg_m3 * term.bulk.volume_m3, place.volume);
        push(term.bulk.lift_kg, place.mass);
    }
    sum + Moment::of(-lift_kg, lungs - about)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn the_lever_the_terms_and_a_sum_by_hand_are_one(dive in hung_dive(), share in 0.0..=1.0f64) {
        let dive = dive.scenario();
        let trace = sim::run(&dive).expect("runs");
        let lever = Lever::of(&dive).expect("places are known");
        let lungs = dive.rig().lungs.unwrap();
        let time_s = share * trace.last().state.time_s;
        for now in [trace.at(&dive, time_s), *trace.first(), *trace.last()] {
            let of_lever = lever.moment(&dive, &now);
            let list = terms(&dive, &now.state, &now.ambient);
            assert_same(of_lever, moment_of(&list, now.ambient.water_kg_m3, lungs).unwrap(), ROUNDING_NM);
            assert_same(of_lever, by_hand(&dive, &now, lungs), ROUNDING_NM);
            // what it is added up about is no matter, as the lifts sum to zero with what is at the lungs
            assert_same(of_lever, by_hand(&dive, &now, Point::new(1.3, -0.7, 2.0)), ROUNDING_NM);
        }
    }

    #[test]
    fn no_dive_knows_its_origin(dive in hung_dive(), by in prop::array::uniform3(-1.5..1.5f64)) {
        let dive = dive.scenario();
        let by = Point::new(by[0], by[1], by[2]);
        let there = moved(&dive, |point| point + by);
        same_course(&dive, &there, |moment| moment);
    }

    #[test]
    fn a_mirrored_diver_leans_to_the_other_side(dive in hung_dive()) {
        let dive = dive.scenario();
        let mirrored = moved(&dive, |point| Point { left_m: -point.left_m, ..point });
        same_course(&dive, &mirrored, |moment| Moment { left_kg_m: -moment.left_kg_m, ..moment });
    }

    #[test]
    fn the_heaviest_ends_are_the_extremes_of_the_dive(dive in hung_dive()) {
        let dive = dive.scenario();
        let (trace, trim) = trim_of(&dive);
        let lever = Lever::of(&dive).unwrap();
        let series = trace.series(&dive, 0.5, &[]);
        let moments: Vec<Moment> = series.iter().map(|(now, _)| lever.moment(&dive, now)).collect();
        let most = |f: fn(&Moment) -> f64| moments.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
        let ends = [
            (trim.feet_heaviest.torque_nm(), most(|moment| moment.pitch_torque_nm())),
            (-trim.head_heaviest.torque_nm(), most(|moment| -moment.pitch_torque_nm())),
            (trim.most_uneven.roll_nm().abs(), most(|moment| moment.roll_torque_nm().abs())),
        ];
        for (found_nm, sampled_nm) in ends {
            prop_assert!(found_nm >= sampled_nm - RUN_NM, "{found_nm} below {sampled_nm}");
            // half a second is at most 15 cm of depth here: the gas of suit, wing and foam changes by less than 2 %
            let between_nm = RUN_NM + 0.02 * 30.0 * STANDARD_GRAVITY_M_S2;
            prop_assert!(found_nm <= sampled_nm + between_nm, "{found_nm} above {sampled_nm}");
        }
        // each is what the dive has at its time, before or after a jump
        for end in [trim.feet_heaviest, trim.head_heaviest, trim.most_uneven] {
            let there = [trace.at(&dive, end.time_s), trace.before(&dive, end.time_s)];
            let off = |now: &Now| (lever.moment(&dive, now).pitch_torque_nm() - end.torque_nm()).abs();
            prop_assert!(there.iter().any(|now| off(now) < RUN_NM), "{end:?}");
        }
        let worst_nm = trim.worst().torque_nm().abs();
        prop_assert!(trim.course.iter().all(|at| at.torque_nm().abs() <= worst_nm + RUN_NM));
    }

    #[test]
    fn a_diver_of_which_all_is_in_the_middle_does_not_roll(dive in hung_dive()) {
        let flat = moved(&dive.scenario(), |point| Point { left_m: 0.0, ..point });
        let (_, trim) = trim_of(&flat);
        prop_assert!(trim.course.iter().all(|at| at.roll_nm() == 0.0) && trim.most_uneven.roll_nm() == 0.0);
    }
}

/// Both dives have the same moments, one changed by `change`, at every moment that the run knows.
fn same_course(dive: &Scenario, other: &Scenario, change: impl Fn(Moment) -> Moment) {
    let ((_, one), (_, two)) = (trim_of(dive), trim_of(other));
    assert_eq!(one.course.len(), two.course.len());
    for (one, two) in one.course.iter().zip(&two.course) {
        assert_eq!(one.time_s, two.time_s);
        assert_same(two.moment, change(one.moment), ROUNDING_NM);
    }
    for (one, two) in [(one.head_heaviest, two.head_heaviest), (one.feet_heaviest, two.feet_heaviest)] {
        // of equal moments rounding may take another
        assert!((one.torque_nm() - two.torque_nm()).abs() < RUN_NM);
    }
}

// two alike cylinders, one at each side, breathed together
#[test]
fn a_pair_at_the_sides_stays_even() {
    let side = |name: &str, left_m: f64| {
        let lie = Some(Lie { valve: Point::new(-0.1, left_m, 0.0), length_m: 0.63 });
        Cylinder::new(CylinderSpec { lie, ..cylinder(name, 11.1, 13.2, 14.6, GasMix::AIR, 200.0) }).unwrap()
    };
    let rig = Rig {
        parts: vec![Part { at: at(-0.4, 0.0, 0.0), ..rigid("body", Role::Person, 80.0, 0.081) }],
        wing: Some(Bag::wing(0.020, CylinderSet::of([0, 1])).placed(Point::new(-0.25, 0.0, 0.15))),
        cylinders: vec![side("left", 0.28), side("right", -0.28)],
        lungs: Some(Point::new(-0.16, 0.0, -0.01)),
        ..Rig::default()
    };
    let together = |end_min: f64, end_m: f64, source: CylinderSet| Leg {
        end_s: 60.0 * end_min,
        end_m,
        source,
        rate_m3_s: 20e-3 / 60.0,
        loop_mol_s: None,
    };
    let dive = |source: CylinderSet| {
        let legs = vec![together(2.0, 25.0, source), together(25.0, 25.0, source), together(30.0, 0.0, source)];
        let water = layers(&[(0.0, Brine::Density(SEA_KG_M3))], 283.15);
        Scenario::new(rig.clone(), water, Profile::new(0.0, legs, vec![]).unwrap(), Settings::default()).unwrap()
    };
    let (_, even) = trim_of(&dive(CylinderSet::of([0, 1])));
    assert!(even.most_uneven.roll_nm().abs() < ROUNDING_NM, "{:?}", even.most_uneven);
    // the left one alone becomes the lighter, and the left side comes up
    let (_, left) = trim_of(&dive(CylinderSet::of([0])));
    assert!(left.most_uneven.roll_nm() > 1.0 && left.most_uneven.time_s > 25.0 * 60.0, "{:?}", left.most_uneven);
}

/// The large dive, everything on it at a place.
fn large_placed() -> Scenario {
    let points: Vec<[f64; 3]> = (0..40)
        .map(|i| {
            let turn = f64::from(i) * 0.618_034; // spread evenly, and no two alike
            [turn.fract() * 1.6 - 1.2, (turn * 3.0).fract() * 0.6 - 0.3, (turn * 7.0).fract() * 0.4 - 0.2]
        })
        .collect();
    placed(&large(6.0), &points)
}

// the travel cylinder is left at 10 min and taken again at 20 min: what changes is its own moment and that of the wing, which
// takes up what it lifts
#[test]
fn a_cylinder_that_goes_takes_its_moment_along() {
    let dive = large_placed();
    let (trace, trim) = trim_of(&dive);
    let travel = 4;
    let told: Vec<_> =
        trim.gone.iter().map(|gone| (gone.cylinder, gone.comes, gone.before.time_s, gone.after.time_s)).collect();
    assert_eq!(told, [(travel, false, 600.0, 600.0), (travel, true, 1200.0, 1200.0)]);
    let lungs = dive.rig().lungs.unwrap();
    let wing_at = dive.rig().wing.unwrap().at().unwrap() - lungs;
    for gone in &trim.gone {
        let (with, without) = if gone.comes { (gone.after, gone.before) } else { (gone.before, gone.after) };
        let now = if gone.comes { trace.at(&dive, gone.after.time_s) } else { trace.before(&dive, gone.before.time_s) };
        let of_it: Vec<_> = terms(&dive, &now.state, &now.ambient)
            .into_iter()
            .filter(|term| term.owner.cylinder() == Some(travel))
            .collect();
        assert!(of_it.iter().any(|term| matches!(term.owner, Owner::Gas(_))));
        let lift_kg: f64 = of_it.iter().map(|term| term.net_kg(now.ambient.water_kg_m3)).sum();
        let own: Moment = of_it
            .iter()
            .map(|term| {
                let at = term.at.unwrap().moved(lungs * -1.0);
                at.moment(&term.bulk, now.ambient.water_kg_m3)
            })
            .sum();
        assert!(lift_kg < -1.0, "it sinks: {lift_kg}");
        // what fills the wing comes from the twins
        let sides = [trace.before(&dive, gone.before.time_s), trace.at(&dive, gone.after.time_s)];
        let twins_kg = sides.map(|now| {
            let gas = terms(&dive, &now.state, &now.ambient).into_iter().find(|term| term.owner == Owner::Gas(0));
            gas.unwrap().net_kg(now.ambient.water_kg_m3)
        });
        let given_kg = if gone.comes { twins_kg[1] - twins_kg[0] } else { twins_kg[0] - twins_kg[1] };
        let twins_at = dive.rig().cylinders[0].spec().lie.unwrap().middle() - lungs;
        let expected = own + Moment::of(given_kg, twins_at) + Moment::of(-lift_kg - given_kg, wing_at);
        assert_same(with.moment - without.moment, expected, RUN_NM);
    }
}

// gas is breathed evenly at one depth, and the wing gives what it weighed: both are straight lines in time
#[test]
fn a_level_stretch_is_a_straight_line() {
    let dive = large_placed();
    let (trace, trim) = trim_of(&dive);
    let lever = Lever::of(&dive).unwrap();
    let level = trim
        .course
        .windows(2)
        .filter(|pair| pair[1].time_s - pair[0].time_s > 60.0 && pair[0].depth_m == pair[1].depth_m);
    let mut checked = 0;
    for pair in level {
        let (from, to): (&TrimAt, &TrimAt) = (&pair[0], &pair[1]);
        for share in [0.13, 0.5, 0.81] {
            let time_s = from.time_s + share * (to.time_s - from.time_s);
            let here_nm = lever.moment(&dive, &trace.at(&dive, time_s)).pitch_torque_nm();
            let line_nm = from.torque_nm() + share * (to.torque_nm() - from.torque_nm());
            assert!((here_nm - line_nm).abs() < RUN_NM, "{time_s} s: {here_nm} against {line_nm}");
        }
        checked += 1;
    }
    assert!(checked >= 4, "the stops and the bottom");
}

// what is named as a whole adds up to the moment itself
#[test]
fn pulls_add_up_to_the_moment() {
    let (_, trim) = trim_of(&large_placed());
    for (pulls, at) in [(&trim.pulls_heavy, trim.heavy), (&trim.pulls_light, trim.light)] {
        assert_same(pulls.iter().map(|pull| pull.moment).sum(), at.moment, ROUNDING_NM);
        let one = |owner: Owner| pulls.iter().filter(|pull| pull.owner == owner).count();
        assert!(pulls.iter().all(|pull| one(pull.owner) == 1), "each once");
    }
}

// one thing without a place, and nothing is told
#[test]
fn a_rig_with_an_unknown_place_has_no_trim() {
    let known = large_placed();
    let trace = sim::run(&known).unwrap();
    assert!(Trim::of(&known, &trace).is_some());
    let without = |change: fn(&mut Rig)| {
        let mut rig = known.rig().clone();
        change(&mut rig);
        let dive = known.with_rig(rig).unwrap();
        assert!(Trim::of(&dive, &sim::run(&dive).unwrap()).is_none());
    };
    without(|rig| rig.lungs = None);
    without(|rig| rig.parts[2].at = None);
    without(|rig| rig.wing = rig.wing.map(|wing| Bag::wing(wing.capacity_m3(), wing.supply())));
    without(|rig| rig.suit = Some(Bag::suit(0.012, CylinderSet::of([1])).starting(BagStart::Supply)));
    without(|rig| {
        let spec = CylinderSpec { lie: None, ..rig.cylinders[3].spec().clone() };
        rig.cylinders[3] = Cylinder::new(spec).unwrap();
    });
}

// a place must be on or beside a diver
#[test]
fn places_that_cannot_be_are_refused() {
    let known = large_placed();
    let refused = |change: fn(&mut Rig)| {
        let mut rig = known.rig().clone();
        change(&mut rig);
        let told = known.with_rig(rig).unwrap_err().to_string();
        assert!(told.contains("place is") && told.contains("within 3 m of the shoulders"), "{told}");
    };
    refused(|rig| rig.lungs = Some(Point::new(3.1, 0.0, 0.0)));
    refused(|rig| rig.parts[0].at = Some(Centres { volume: Point::new(0.0, f64::NAN, 0.0), ..Centres::default() }));
    refused(|rig| rig.wing = rig.wing.map(|wing| wing.placed(Point::new(0.0, 0.0, -3.5))));
    let lie = Lie { valve: Point::ORIGIN, length_m: 0.0 };
    let told = known.rig().cylinders[0].clone().lying(lie).unwrap_err().to_string();
    assert!(told.contains("length is 0 m, but must be more than zero"), "{told}");
}

/// Foam squeezed at depth pulls less at its place: by hand, from the law of Boyle.
#[test]
fn foam_pulls_less_at_depth() {
    let place = Point::new(-0.9, 0.0, 0.02);
    let lungs = Point::new(-0.16, 0.0, 0.0);
    let foam = Part { at: Some(Centres::at(place)), count: 2, ..crate::parts::foam("boots", 0.4, 1.1, 0.75) };
    assert!(matches!(foam.body, Body::Foam { .. }));
    let rig = Rig { parts: vec![foam], cylinders: vec![point_cylinder(lungs)], lungs: Some(lungs), ..Rig::default() };
    let found = trim_of(&hour_at_ten_metres(rig)).1.heavy.moment;
    // hydrostatic pressure at 10 m in water of one density
    let pressure_pa = 101_325.0 + SEA_KG_M3 * STANDARD_GRAVITY_M_S2 * 10.0;
    let volume_m3 = 1.1e-3 * (0.25 + 0.75 * 101_325.0 / pressure_pa);
    let by_hand = Moment::of(2.0 * (SEA_KG_M3 * volume_m3 - 0.4), place - lungs);
    // pressures are from tables that are off by 2e-7 at most, of a lift of 2.3 kg at 0.74 m
    assert_same(found, by_hand, 2e-7 * 2.3 * STANDARD_GRAVITY_M_S2 * 0.74);
}

/// The random dives of the other tests, hung up.
#[test]
fn random_dives_have_every_kind_of_thing() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let dives: Vec<Hung> = (0..64).map(|_| hung_dive().new_tree(&mut runner).unwrap().current()).collect();
    let rigs: Vec<Rig> = dives.into_iter().map(|dive| dive.scenario().rig().clone()).collect();
    let some = |of: fn(&Rig) -> bool| rigs.iter().filter(|rig| of(rig)).count() > 5;
    assert!(some(|rig| rig.suit.is_some()) && some(|rig| rig.wing.is_some()));
    assert!(some(|rig| rig.parts.iter().any(|part| matches!(part.body, Body::Foam { .. }))));
    assert!(some(|rig| rig.cylinders.iter().any(|body| !body.rigging().is_empty())));
}
