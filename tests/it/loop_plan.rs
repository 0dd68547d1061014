//! A plan says a closed circuit: which cylinders feed it, setpoints and oxygen use over the dive, the bail-out, typical figures,
//! and what is odd and noted.

use std::path::PathBuf;

use lightpoint::internals::estimate::Origin;
use lightpoint::internals::physics::water::Water;
use lightpoint::internals::plan::change::levels::{LevelTo, levels, move_level};
use lightpoint::internals::plan::loop_note::LoopNote;
use lightpoint::internals::plan::typical::{Typical, circuit};
use lightpoint::internals::plan::{Built, Note, Plan, ProblemCode, Problems};
use lightpoint::internals::rig::{BreathingLoop, CylinderSet};
use lightpoint::internals::units::UnitSystem;
use proptest::prelude::*;

const HEAD: &str = "gear = \"none\"\n[site]\nwater = \"sea\"\ntemperature = \"10 °C\"\n[diver]\nmass = \"80 kg\"\nvolume = \"79.5 L\"\n[breathing]\nrate = \"20 L/min\"\n";
const LEGS: &str = "[dive]\n[[dive.leg]]\nto = \"60 m\"\nover = \"4 min\"\n[[dive.leg]]\nstay = \"16 min\"\n[[dive.leg]]\nto = \"21 m\"\nover = \"4 min\"\n[[dive.leg]]\nstay = \"3 min\"\n[[dive.leg]]\nto = \"6 m\"\nover = \"2 min\"\n[[dive.leg]]\nstay = \"10 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"2 min\"\n";

fn cylinder(name: &str, gas: &str) -> String {
    format!("[[cylinder]]\nname = \"{name}\"\nsize = \"steel 3 L 232 bar\"\ngas = \"{gas}\"\nfill = \"200 bar\"\n")
}

/// Oxygen, diluent, and the two of a bail-out: in this order.
fn cylinders() -> String {
    [("oxygen", "oxygen"), ("diluent", "trimix 18/50"), ("deep", "trimix 18/50"), ("fifty", "nitrox 50")]
        .map(|(name, gas)| cylinder(name, gas))
        .concat()
}

fn plan_of(parts: &[&str]) -> Result<Plan, Problems> {
    Plan::parse(&parts.join("\n"), "plan.toml", PathBuf::new())
}

fn build(parts: &[&str]) -> Built {
    plan_of(parts).and_then(|plan| plan.build()).unwrap_or_else(|problems| panic!("{problems}"))
}

fn problems(parts: &[&str]) -> Problems {
    plan_of(parts).and_then(|plan| plan.build()).map(|_| ()).unwrap_err()
}

fn circuit_of(built: &Built) -> BreathingLoop {
    built.scenario.rig().breathing_loop.expect("a loop")
}

/// The loop with these keys on the dive to 60 m.
fn with(keys: &str) -> Built {
    build(&[HEAD, &format!("[loop]\n{keys}"), &cylinders(), LEGS])
}

/// End, depth at the end and cylinders of each leg; on the loop none.
fn legs(built: &Built) -> Vec<(f64, f64, CylinderSet, bool)> {
    let legs = built.scenario.profile().legs().iter();
    legs.map(|leg| (leg.end_s / 60.0, leg.end_m, leg.source, leg.loop_mol_s.is_some())).collect()
}

fn notes(built: &Built) -> Vec<LoopNote> {
    let notes = built.notes.iter();
    notes.filter_map(|note| if let Note::Loop(note) = note { Some(note.clone()) } else { None }).collect()
}

const BAIL_OUT: &str = "bail_out_on = [\"deep\", \"fifty from 21 m\"]\n";

#[test]
fn a_loop_that_says_nothing_is_typical() {
    let built = with(BAIL_OUT);
    let circuit = circuit_of(&built);
    let set = |names: &[usize]| CylinderSet::of(names.iter().copied());
    assert_eq!((circuit.oxygen, circuit.diluent, circuit.bail_out), (set(&[0]), set(&[1]), set(&[2, 3])));
    assert_eq!((circuit.volume_m3, circuit.play_m3, circuit.absorbs_mol), (6e-3, 0.0, None));
    assert!(circuit.at.is_some() && circuit.canister_at.is_some());
    // every leg breathes it; 1.1 and 0.8 L/min of 1 atm / (R · 273.15 K) = 44.615 mol/m³ (ideal gas, by hand)
    let profile = built.scenario.profile();
    let use_mol_s: Vec<f64> = profile.legs().iter().map(|leg| leg.loop_mol_s.unwrap()).collect();
    for (leg, litres_min) in [1.1, 1.1, 1.1, 0.8, 1.1, 0.8, 1.1].into_iter().enumerate() {
        let expected_mol_s = litres_min * 44.615e-3 / 60.0;
        assert!((use_mol_s[leg] / expected_mol_s - 1.0).abs() < 1e-6, "{leg}: {}", use_mol_s[leg]);
    }
    // the bottom is reached after 4 min
    let setpoints: Vec<(f64, f64)> = profile.setpoints().iter().map(|set| (set.time_s, set.pressure_pa)).collect();
    assert_eq!(setpoints, [(0.0, 0.7e5), (240.0, 1.3e5)]);
    let typical: Vec<&str> =
        built.inputs.iter().filter(|one| one.origin == Origin::Typical).map(|one| one.label.as_str()).collect();
    for label in
        ["gas of the loop", "respiratory quotient", "oxygen use, bottom", "oxygen use, stop", "setpoint at the start"]
    {
        assert!(typical.contains(&label), "{label}: {typical:?}");
    }
    // the rates of one diver err together
    let groups = built.inputs.iter().filter(|one| one.label.starts_with("oxygen use")).map(|one| one.group.as_deref());
    assert!(groups.into_iter().all(|group| group == Some("oxygen use")));
}

/// Typical figures against what is printed elsewhere: oxygen use at work against 5 kg, 1.2 and 1.6 L/min (Koch et al. 2022, seen);
/// a quotient of fat, 0.70, and of sugar, 1.00 (physiology, from memory); absorbent below a mole for each mole of calcium
/// hydroxide, 22.41 L for 74.09 g (ideal gas; atomic masses), with the test of Pollock et al. 2018 (183 L/kg) within a little
/// more than its half-width.
#[test]
fn typical_figures_lie_where_printed_ones_do() {
    let ends = |of: &Typical| {
        let half_width = of.estimate.doubt.unwrap().half_width;
        (of.estimate.value - half_width, of.estimate.value + half_width)
    };
    let (low, high) = ends(&circuit::OXYGEN_USE[1].1);
    assert!((low * 6e4 - 0.6).abs() < 1e-9 && (high * 6e4 - 1.6).abs() < 1e-9);
    let (low, high) = ends(&circuit::QUOTIENT);
    assert!(low > 0.70 && high < 1.00);
    let most_l_kg = 22.41 / 0.07409;
    let (low, high) = ends(&circuit::ABSORBS);
    assert!(low > 0.0 && 1e3 * high < most_l_kg && 183.0 < 1.02 * 1e3 * high, "{low} {high}");
    // calcium hydroxide of 2.21 kg/L (handbook, from memory) with a sixth of water, without pores
    let solid_kg_l = 1.0 / ((5.0 / 6.0) / 2.21 + (1.0 / 6.0) / 1.0);
    let (low, high) = ends(&circuit::ABSORBENT_DENSITY);
    assert!((low..high).contains(&(1e3 * solid_kg_l)));
}

#[test]
fn what_is_written_counts() {
    let built = with(
        "name = \"unit\"\nkind = \"closed\"\nvolume = \"7 ± 1 L\"\nplay = \"1.2 L\"\noxygen = [\"oxygen\"]\ndiluent = \"diluent\"\n\
         setpoint = \"1.1 bar\"\nmetabolic_rate = \"1.0 ± 0.3 L/min\"\nquotient = \"0.9 ± 0.05\"\nabsorbent = \"2.5 kg\"\nabsorbs = \
         \"100 L/kg\"\nabsorbent_density = \"2 kg/L\"\ngas_at = { along = \"-10 cm\", up = \"5 cm\", left = \"2 cm\" }\ncanister_at = \
         \"plate\"\n[[loop.setpoint_change]]\nto = \"1.3 bar\"\nat = \"5 min\"\n[[loop.setpoint_change]]\nto = \"1.4 bar\"\nleg = 4\n\
         [[loop.setpoint_change]]\nto = \"0.7 bar\"\ndepth = \"3 m\"\nway = \"up\"\n",
    );
    let circuit = circuit_of(&built);
    // half of the play above and half below
    assert_eq!((circuit.volume_m3, circuit.play_m3), (7e-3, 0.6e-3));
    assert_eq!(circuit.quotient_frac, 0.9);
    // 250 L at 0 °C and 1 atm: 250 / 22.414 = 11.154 mol
    assert!((circuit.absorbs_mol.unwrap() - 11.154).abs() < 1e-3);
    let at = circuit.at.unwrap();
    assert!((at.along_m + 0.10).abs() < 1e-12 && (at.up_m - 0.05).abs() < 1e-12 && (at.left_m - 0.02).abs() < 1e-12);
    let absorbent = built.scenario.rig().parts.iter().find(|part| part.name == "absorbent").unwrap();
    let bulk = absorbent.bulk(1e5);
    assert!((bulk.mass_kg - 2.5).abs() < 1e-12 && (bulk.volume_m3 - 1.25e-3).abs() < 1e-12);
    assert_eq!(absorbent.at.unwrap().mass, circuit.canister_at.unwrap());
    let setpoints: Vec<(f64, f64)> =
        built.scenario.profile().setpoints().iter().map(|set| (set.time_s / 60.0, set.pressure_pa / 1e5)).collect();
    // the last way up of 6 m in 2 min crosses 3 m after one
    assert_eq!(setpoints.len(), 4);
    for (found, expected) in setpoints.iter().zip([(0.0, 1.1), (5.0, 1.3), (24.0, 1.4), (40.0, 0.7)]) {
        assert!((found.0 - expected.0).abs() < 1e-9 && (found.1 - expected.1).abs() < 1e-9, "{found:?}");
    }
    let rates = built.scenario.profile().legs().iter().map(|leg| leg.loop_mol_s.unwrap() * 60.0 / 44.615e-3);
    assert!(rates.into_iter().all(|litres_min| (litres_min - 1.0).abs() < 1e-6));
    // asked for once, however many legs
    assert_eq!(built.inputs.iter().filter(|one| one.label.starts_with("oxygen use")).count(), 1);
    assert!(built.inputs.iter().any(|one| one.label == "unit, volume" && one.estimate.doubt.is_some()));
}

/// Plain numbers, shares and quoted ones are one quotient; rates by the kind of leg stand beside one for the rest.
#[test]
fn one_loop_in_different_forms() {
    for quotient in ["0.9", "\"0.9\"", "\"90 %\"", "\"0.9 (guess)\"", "\"90 %\""] {
        assert_eq!(circuit_of(&with(&format!("quotient = {quotient}\n"))).quotient_frac, 0.9, "{quotient}");
    }
    let doubt = |text: &str| {
        let built = with(&format!("quotient = {text}\n"));
        let of = built.inputs.iter().find(|one| one.path == "loop.quotient").unwrap().estimate.doubt;
        of.unwrap().half_width
    };
    assert!((doubt("\"0.85 ± 0.1\"") - 0.1).abs() < 1e-12 && (doubt("\"85 ± 10 %\"") - 0.1).abs() < 1e-12);
    let by_kind = |keys: &str| {
        let built = with(keys);
        let legs = built.scenario.profile().legs().to_vec();
        legs.iter().map(|leg| (leg.loop_mol_s.unwrap() * 60.0 / 44.615e-6).round() / 1e3).collect::<Vec<f64>>()
    };
    let kinds = "metabolic_rate = { rate = \"1.0 L/min\", bottom = \"1.5 L/min\", stop = \"0.6 L/min\" }\n";
    assert_eq!(by_kind(kinds), [1.0, 1.5, 1.0, 0.6, 1.0, 0.6, 1.0]);
    let some = "[loop.metabolic_rate]\ndescent = \"2 L/min\"\n";
    assert_eq!(by_kind(some), [2.0, 1.1, 1.1, 0.8, 1.1, 0.8, 1.1]);
    // a partial pressure is absolute, whatever its unit
    let setpoint = |text: &str| with(&format!("setpoint = \"{text}\"\n")).scenario.profile().setpoints()[0].pressure_pa;
    assert_eq!((setpoint("1.3 bar"), setpoint("130 kPa"), setpoint("1 atm")), (1.3e5, 1.3e5, 101_325.0));
}

/// Cylinders by their names, else the only one that can be meant.
#[test]
fn cylinders_are_found() {
    let find = |keys: &str, cylinders: &[(&str, &str)]| {
        let list: String = cylinders.iter().map(|(name, gas)| cylinder(name, gas)).collect();
        let circuit = circuit_of(&build(&[HEAD, &format!("[loop]\n{keys}"), &list, LEGS]));
        (circuit.oxygen.iter().collect::<Vec<_>>(), circuit.diluent.iter().collect::<Vec<_>>())
    };
    assert_eq!(find("", &[("a", "oxygen"), ("b", "air")]), (vec![0], vec![1]));
    // one called oxygen that is a bail-out is not the loop's
    let three = [("oxygen", "oxygen"), ("left", "oxygen"), ("b", "air")];
    assert_eq!(
        find("bail_out_on = [\"b2\", \"oxygen from 6 m\"]\n", &[three[0], three[1], three[2], ("b2", "air")]),
        (vec![1], vec![2])
    );
    // several share
    assert_eq!(
        find("oxygen = [\"a\", \"b\"]\n", &[("a", "oxygen"), ("b", "oxygen"), ("c", "air")]),
        (vec![0, 1], vec![2])
    );
    // what inflates the suit alone is no diluent, and the wing takes from the diluent
    let suit = "[suit]\nname = \"s\"\nmass = \"3 kg\"\nvolume = \"3 L\"\ngas_volume = \"9 L\"\nsupply = \"argon\"\n[wing]\nmass = \"1 kg\"\nvolume = \"1 L\"\ncapacity = \"18 L\"\n";
    let list: String =
        [("argon", "argon"), ("o", "oxygen"), ("d", "air")].map(|(name, gas)| cylinder(name, gas)).concat();
    let built = build(&[HEAD, suit, "[loop]\n", &list, LEGS]);
    assert_eq!(circuit_of(&built).diluent, CylinderSet::of([2]));
    assert_eq!(built.scenario.rig().wing.unwrap().supply(), CylinderSet::of([2]));
}

#[test]
fn a_bail_out_cuts_the_legs_of_the_loop() {
    let set = |i: usize| CylinderSet::of([i]);
    let on_loop = (CylinderSet::EMPTY, true);
    let at_ten = with(&format!("{BAIL_OUT}bail_out = \"10 min\"\n"));
    let expected = [
        (4.0, 60.0, on_loop),
        (10.0, 60.0, on_loop),
        (20.0, 60.0, (set(2), false)),
        (24.0, 21.0, (set(2), false)),
        (27.0, 21.0, (set(3), false)),
        (29.0, 6.0, (set(3), false)),
        (39.0, 6.0, (set(3), false)),
        (41.0, 0.0, (set(3), false)),
    ];
    let found = legs(&at_ten);
    assert_eq!(found.len(), expected.len());
    for (found, (end_min, end_m, source)) in found.iter().zip(expected) {
        assert!((found.0 - end_min).abs() < 1e-9 && (found.1 - end_m).abs() < 1e-9, "{found:?}");
        assert_eq!((found.2, found.3), source);
    }
    // the same moment in three ways; on the way up the cylinder changes within the leg
    let at_leg = with(&format!("{BAIL_OUT}bail_out = \"leg 3\"\n"));
    let at_time = with(&format!("{BAIL_OUT}bail_out = \"20:00\"\n"));
    assert_eq!(legs(&at_leg), legs(&at_time));
    let plan = plan_of(&[HEAD, "[loop]\n", BAIL_OUT, &cylinders(), LEGS]).unwrap();
    let set_by_hand = plan.with_sets(&[("loop.bail_out".into(), "20 min".into())]).unwrap().build().unwrap();
    assert_eq!(legs(&set_by_hand), legs(&at_time));
    let deeper = with("bail_out_on = [\"deep\", \"fifty from 40.5 m\"]\nbail_out = \"leg 3\"\n");
    // 60 to 21 m in 4 min passes 40.5 m halfway
    let cut = legs(&deeper);
    assert!(
        (cut[2].0 - 22.0).abs() < 1e-9 && (cut[2].1 - 40.5).abs() < 1e-9 && cut[2].2 == set(2) && cut[3].2 == set(3)
    );
    // none, the word for it, and legs that breathe cylinders anyway
    assert_eq!(legs(&with(&format!("{BAIL_OUT}bail_out = \"none\"\n"))), legs(&with(BAIL_OUT)));
    let open = LEGS.replace("to = \"0 m\"", "to = \"0 m\"\nbreathe = \"deep\"");
    let built = build(&[HEAD, &format!("[loop]\n{BAIL_OUT}bail_out = \"leg 6\"\n"), &cylinders(), &open]);
    assert_eq!(legs(&built).last().unwrap().2, set(2));
}

/// A leg's own rate is one figure, however often the leg is cut.
#[test]
fn a_rate_of_a_cut_leg_is_asked_for_once() {
    let rated = LEGS.replace("to = \"21 m\"", "rate = \"25 ± 4 L/min\"\nto = \"21 m\"");
    let keys = "bail_out_on = [\"deep\", \"fifty from 40 m\"]\nbail_out = \"21 min\"\n";
    let built = build(&[HEAD, &format!("[loop]\n{keys}"), &cylinders(), &rated]);
    assert_eq!(built.inputs.iter().filter(|one| one.path == "dive.leg[3].rate").count(), 1);
    let legs = built.scenario.profile().legs();
    assert_eq!(legs[2].rate_m3_s, 0.0);
    assert!((legs[3].rate_m3_s * 6e4 - 25.0).abs() < 1e-9 && legs[3].rate_m3_s == legs[4].rate_m3_s);
    assert!((legs[5].rate_m3_s * 6e4 - 20.0).abs() < 1e-9);
}

/// Levels are those of the plan's own legs, however a bail-out cuts them.
#[test]
fn levels_move_under_a_bail_out() {
    let text = [HEAD, "[loop]\n", BAIL_OUT, "bail_out = \"10 min\"\n", &cylinders(), LEGS].join("\n");
    let plan = Plan::parse(&text, "plan.toml", PathBuf::new()).unwrap();
    let built = plan.build().unwrap();
    let found: Vec<(String, f64)> = levels(&plan, &built).iter().map(|one| (one.id.clone(), one.depth_m)).collect();
    let expected = [("leg 2", 60.0), ("leg 4", 21.0), ("leg 6", 6.0)].map(|(id, depth_m)| (id.to_owned(), depth_m));
    assert_eq!(found, expected);
    let sets = move_level(&plan, &built, "leg 6", LevelTo::Length(840.0), UnitSystem::Metric).unwrap();
    assert_eq!(sets, [("dive.leg[6].stay".to_owned(), "14 min".to_owned())]);
    let sets = move_level(&plan, &built, "leg 2", LevelTo::Depth(55.0), UnitSystem::Metric).unwrap();
    assert_eq!(sets, [("dive.leg[1].to".to_owned(), "55 m".to_owned())]);
}

#[test]
fn short_dives_and_rows_breathe_the_loop() {
    let short = "[dive]\ndepth = \"30 m\"\ntime = \"20 min\"\n";
    assert!(legs(&build(&[HEAD, "[loop]\n", &cylinders(), short])).iter().all(|leg| leg.3));
    let open = "[dive]\ndepth = \"30 m\"\ntime = \"20 min\"\nbreathe = \"deep\"\n";
    let built = build(&[HEAD, "[loop]\n", &cylinders(), open]);
    assert!(legs(&built).iter().all(|leg| !leg.3));
    assert!(notes(&built).contains(&LoopNote::NeverBreathed));
    let rows = "[dive]\nprofile = \"\"\"time,depth,breathe\n0 min,0 m,\n2 min,30 m,loop\n20 min,30 m,\n24 min,0 m,deep\n\"\"\"\n";
    let on_loop: Vec<bool> = legs(&build(&[HEAD, "[loop]\n", &cylinders(), rows])).iter().map(|leg| leg.3).collect();
    assert_eq!(on_loop, [true, true, false]);
    // a dive raises its setpoint at the bottom
    let shallow = "[dive]\ndepth = \"12 m\"\ntime = \"20 min\"\n";
    let built = build(&[HEAD, "[loop]\n", &cylinders(), shallow]);
    assert_eq!(built.scenario.profile().setpoints()[1].time_s, built.scenario.profile().legs()[0].end_s);
}

#[test]
fn a_setpoint_above_the_pressure_around_is_explained() {
    let built = with(&format!("{BAIL_OUT}setpoint = \"1.3 bar\"\n"));
    let found = notes(&built);
    let [LoopNote::AboveAmbient { setpoint_pa, from_m }] = found.as_slice() else { panic!("{found:?}") };
    // 95 % of the pressure there is the setpoint; by hand 1.3684 − 1.01325 bar are 3.53 m of sea water of 1027 kg/m³
    assert_eq!(*setpoint_pa, 1.3e5);
    let water: &Water = built.scenario.water();
    assert!((0.95 * water.pressure_pa(0, *from_m) - 1.3e5).abs() < 20.0 && (from_m - 3.53).abs() < 0.02, "{from_m}");
    let text = found[0].text(UnitSystem::Metric);
    assert_eq!(
        text,
        "a setpoint of 1.30 bar can be held from 3.5 m down: above that the loop has 95 % of oxygen at the most"
    );
    // held low near the surface it is reached everywhere
    let low = "setpoint = \"0.7 bar\"\n[[loop.setpoint_change]]\nto = \"1.3 bar\"\ndepth = \"20 m\"\nway = \"down\"\n[[loop.setpoint_change]]\nto = \"0.7 bar\"\nleg = 7\n";
    assert_eq!(notes(&with(&format!("{BAIL_OUT}{low}"))), []);
    assert!(
        matches!(notes(&with(&format!("{BAIL_OUT}setpoint = \"1.8 bar\"\n")))[1], LoopNote::HighSetpoint(pa) if pa == 1.8e5)
    );
}

/// Shares times the pressure, by hand: 1.01325 bar and 0.1007 bar for each metre of sea water of 1027 kg/m³.
#[test]
fn diluent_and_bail_out_are_checked_at_their_depths() {
    const LOW: &str = "setpoint = \"0.7 bar\"\n[[loop.setpoint_change]]\nto = \"1.3 bar\"\ndepth = \"20 m\"\nway = \"down\"\n[[loop.setpoint_change]]\nto = \"0.7 bar\"\nleg = 7\n";
    let at = |diluent: &str, deep: &str, fifty: &str, bail_out: &str| {
        let gases = [("oxygen", "oxygen"), ("diluent", diluent), ("deep", deep), ("fifty", fifty)];
        let list: String = gases.map(|(name, gas)| cylinder(name, gas)).concat();
        notes(&build(&[HEAD, &format!("[loop]\n{bail_out}{LOW}"), &list, LEGS]))
    };
    let close =
        |found: f64, expected: f64, within: f64| assert!((found - expected).abs() < within, "{found} {expected}");
    assert_eq!(at("trimix 18/50", "trimix 18/50", "nitrox 50", BAIL_OUT), []);
    let thin = at("trimix 10/70", "trimix 18/50", "nitrox 50", BAIL_OUT);
    let [LoopNote::ThinDiluent { name, above_m }] = thin.as_slice() else { panic!("{thin:?}") };
    assert_eq!(name, "diluent");
    close(*above_m, (1.8 - 1.01325) / 0.1007, 0.05);
    let rich = at("air", "trimix 18/50", "nitrox 50", BAIL_OUT);
    let [LoopNote::RichDiluent { setpoint_pa, below_m, .. }] = rich.as_slice() else { panic!("{rich:?}") };
    assert_eq!(*setpoint_pa, 1.3e5);
    close(*below_m, (1.3 / 0.2095 - 1.01325) / 0.1007, 0.3);
    let hot = at("nitrox 32", "trimix 18/50", "nitrox 50", BAIL_OUT);
    let [LoopNote::RichDiluent { .. }, LoopNote::Oxygen { is_bail_out: false, oxygen_pa, depth_m, .. }] =
        hot.as_slice()
    else {
        panic!("{hot:?}")
    };
    assert_eq!(*depth_m, 60.0);
    close(*oxygen_pa, 0.32 * (1.01325 + 60.0 * 0.1007) * 1e5, 1e3);
    // each bail-out where it may be needed: the deep one from 60 to 21 m, the other above
    let wrong = at("trimix 18/50", "nitrox 32", "trimix 12/60", BAIL_OUT);
    let [
        LoopNote::Oxygen { name: deep, is_bail_out: true, depth_m: deep_m, .. },
        LoopNote::Oxygen { name: fifty, is_bail_out: true, oxygen_pa, depth_m },
    ] = wrong.as_slice()
    else {
        panic!("{wrong:?}")
    };
    assert_eq!((deep.as_str(), *deep_m, fifty.as_str(), *depth_m), ("deep", 60.0, "fifty", 0.0));
    close(*oxygen_pa, 0.12 * 101_325.0, 1.0);
    assert_eq!(at("trimix 18/50", "trimix 12/60", "nitrox 50", BAIL_OUT), [], "12 % at 21 m are 0.38 bar");
    assert_eq!(at("trimix 18/50", "air", "air", ""), [LoopNote::NoBailOut]);
    // a bail-out that is planned is told once
    let planned = format!("{BAIL_OUT}bail_out = \"10 min\"\n");
    assert_eq!(at("trimix 18/50", "nitrox 32", "nitrox 50", &planned), []);
}

#[test]
fn a_bail_out_left_behind_is_told() {
    let left = LEGS.replacen("stay = \"16 min\"", "stay = \"16 min\"\nleave = \"fifty\"", 1).replacen(
        "stay = \"3 min\"",
        "stay = \"3 min\"\ntake = \"fifty\"",
        1,
    );
    let list = cylinders().replace("name = \"fifty\"\n", "name = \"fifty\"\nremovable = true\n");
    let low = "setpoint = \"0.7 bar\"\n";
    let built = build(&[HEAD, &format!("[loop]\n{BAIL_OUT}{low}"), &list, &left]);
    let away = LoopNote::BailOutAway { name: "fifty".into(), time_s: 240.0 };
    assert!(notes(&built).contains(&away), "{:?}", notes(&built));
    assert_eq!(
        away.text(UnitSystem::Us),
        "fifty is a bail-out cylinder, but is not carried at 4 min, while the loop is breathed"
    );
}

/// What nobody lists cannot be weighed.
#[test]
fn the_unit_must_be_listed() {
    let bare = HEAD.replace("gear = \"none\"\n", "");
    let told = problems(&[&bare, "[loop]\n", &cylinders(), LEGS]);
    assert_eq!(told.list.len(), 1, "{told}");
    assert_eq!((told.list[0].code, told.list[0].path.to_string().as_str()), (ProblemCode::MissingKey, "loop"));
    assert!(told.list[0].message.contains("lists no unit: nobody knows what it weighs"), "{told}");
    // beside a unit typical gear stands for the rest; what feeds the loop has the unit's regulators
    let unit = "[[part]]\nname = \"Unit, all of it\"\nmass = \"12 kg\"\nin_water = \"-4 kg\"\nread_in = \"pool\"\n";
    let typical = HEAD.replace("gear = \"none\"", "gear = \"typical\"");
    let built = build(&[&typical, unit, "[loop]\n", &cylinders(), LEGS]);
    let rig = built.scenario.rig();
    let parts: Vec<&str> = rig.parts.iter().map(|part| part.name.as_str()).collect();
    assert!(parts.contains(&"Unit, all of it") && parts.iter().any(|name| name.contains("fins")), "{parts:?}");
    let regulators: Vec<&str> = parts.iter().filter_map(|name| name.strip_prefix("regulator set, ")).collect();
    assert_eq!(regulators, ["deep", "fifty"], "{parts:?}");
    // a hood is no unit
    let hood = unit.replace("Unit, all of it", "hood of the united");
    let told = problems(&[&typical, &hood, "[loop]\n", &cylinders(), LEGS]);
    assert!(told.list[0].message.contains("lists no unit"), "{told}");
}

/// Below the depths of all its cylinders a bail-out breathes nothing.
#[test]
fn a_bail_out_needs_a_gas_for_every_depth() {
    let told =
        problems(&[HEAD, "[loop]\nbail_out_on = [\"deep from 40 m\", \"fifty from 21 m\"]\n", &cylinders(), LEGS]);
    assert_eq!((told.list.len(), told.list[0].code), (1, ProblemCode::BailOut), "{told}");
    let told = problems(&[HEAD, "[loop]\nbail_out = \"20 min\"\n", &cylinders(), LEGS]);
    assert_eq!(told.list[0].path.to_string(), "loop.bail_out_on", "{told}");
    for moment in ["60 min", "soon", "leg 0", "leg", "-1 min", "20 ± 1 min"] {
        let told = problems(&[HEAD, "[loop]\n", BAIL_OUT, &format!("bail_out = \"{moment}\"\n"), &cylinders(), LEGS]);
        assert!(told.list.iter().all(|one| one.path == "loop.bail_out"), "{moment}: {told}");
    }
}

/// Words of this table say nothing that promises.
#[test]
fn notes_promise_nothing() {
    let gases = [LoopNote::NoBailOut, LoopNote::NeverBreathed, LoopNote::HighSetpoint(1.8e5)];
    for note in gases {
        let text = note.text(UnitSystem::Metric).to_lowercase();
        assert!(!text.contains("safe") && !text.contains("breathable"), "{text}");
    }
}

/// A check on the loop keeps it; on another rig's cylinders there is none.
#[test]
fn the_rig_of_a_check_keeps_a_loop_that_it_can_feed() {
    let check = |rig: &str, gauges: &str| {
        format!("[[weight_check]]\ndepth = \"3 m\"\noutcome = \"neutral\"\nwater = \"pool\"\n{gauges}{rig}")
    };
    let build_with = |keys: &str, check: &str| build(&[HEAD, &format!("[loop]\n{keys}"), &cylinders(), LEGS, check]);
    let keys = format!("{BAIL_OUT}bail_out = \"20 min\"\n");
    let gauges = "oxygen = \"100 bar\"\ndiluent = \"100 bar\"\ndeep = \"100 bar\"\nfifty = \"100 bar\"\n";
    let other = build_with(&keys, &check("rig = { wing = { capacity = \"12 L\", supply = \"diluent\" } }\n", gauges));
    assert!(other.rigs[0].scenario.rig().breathing_loop.is_some());
    let pool = build_with(&keys, &check("rig = { cylinder = \"steel 12 L 232 bar\" }\n", "back = \"100 bar\"\n"));
    assert!(pool.rigs[0].scenario.rig().breathing_loop.is_none());
}

/// Draws of a plan with a loop: as many numbers as it has uncertain figures, and the central ones give the dive itself; far
/// tails of typical figures give a dive too.
#[test]
fn draws_give_the_loop_back() {
    let plan = Plan::load("profiles/closed-circuit.toml").unwrap();
    let built = plan.build().unwrap_or_else(|problems| panic!("{problems}"));
    let again = plan.build_draw(&built.central(), &built).unwrap();
    assert_eq!(again.rig(), built.scenario.rig());
    assert_eq!(again.profile(), built.scenario.profile());
    let typical = plan_of(&[HEAD, "[loop]\nabsorbent = \"2.5 kg\"\n", &cylinders(), LEGS]).unwrap();
    let own = typical.build().unwrap();
    for side in [-1.0, 1.0] {
        let drawn: Vec<f64> = own
            .uncertain()
            .map(|input| {
                // four standard deviations of a normal doubt, where one in 16 000 lies; others have ends
                let far = if input.path.to_string().starts_with("loop") { 4.0 / 1.96 } else { 0.5 };
                input.estimate.value + side * far * input.estimate.doubt.unwrap().half_width
            })
            .collect();
        typical.build_draw(&drawn, &own).unwrap_or_else(|error| panic!("{side}: {error}"));
    }
}

/// The demonstration is a dive that a reader can learn from: nothing odd beyond the setpoint near the surface.
#[test]
fn the_demonstration_is_sound() {
    let plan = Plan::load("profiles/closed-circuit.toml").unwrap();
    let built = plan.build().unwrap();
    assert!(plan.file().note.as_deref().unwrap().contains("Invented"));
    let found = notes(&built);
    assert!(matches!(found.as_slice(), [LoopNote::AboveAmbient { .. }]), "{found:?}");
    assert!(!built.notes.iter().any(|note| matches!(note, Note::Oxygen { .. } | Note::NoRigging(_))));
    for bail_out in ["20 min", "leg 3", "4 min"] {
        let sets = [("loop.bail_out".to_owned(), bail_out.to_owned())];
        plan.with_sets(&sets).unwrap().build().unwrap_or_else(|problems| panic!("{bail_out}: {problems}"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Wherever the bail-out begins, the profile stays what it is, nothing but the loop is breathed before it, and nothing of
    /// the loop afterwards.
    #[test]
    fn a_bail_out_at_any_moment_leaves_the_profile(second in 0u32..2460, from_m in 1u32..60) {
        let keys = format!("bail_out_on = [\"deep\", \"fifty from {from_m} m\"]\nbail_out = \"{}:{:02}\"\n", second / 60, second % 60);
        let (cut, whole) = (with(&keys), with(""));
        let (cut, whole) = (cut.scenario.profile(), whole.scenario.profile());
        prop_assert_eq!(cut.end_s(), whole.end_s());
        for probe in 0..=100 {
            let time_s = 0.01 * f64::from(probe) * whole.end_s();
            prop_assert!((cut.depth_m(time_s) - whole.depth_m(time_s)).abs() < 1e-9);
        }
        for (i, leg) in cut.legs().iter().enumerate() {
            let start = cut.leg_start(i);
            let middle_s = 0.5 * (start.0 + leg.end_s);
            prop_assert_eq!(leg.loop_mol_s.is_some(), middle_s < f64::from(second), "leg {}", i);
            if leg.loop_mol_s.is_none() {
                let is_shallow = start.1.max(leg.end_m) <= f64::from(from_m) + 1e-6;
                prop_assert_eq!(leg.source, CylinderSet::of([if is_shallow { 3 } else { 2 }]));
            }
        }
    }
}
