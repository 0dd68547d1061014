//! Mishaps: identities by hand, the list of terms, every moment of the demonstration plans, and the command.

use crate::command::{Cli, json, number, quiet, run};
use crate::common::plans;
use crate::parts::{cylinder, layers, lead, legs, rigid};
use lightpoint::internals::answer::Quick;
use lightpoint::internals::answer::mishaps::{mishap_name, named};
use lightpoint::internals::findings::mishaps::{Side, left_kg, wing_empty_kg};
use lightpoint::internals::findings::{FailedWing, Mishap, MishapFound, MishapVerdict, SuitUse, Thing};
use lightpoint::internals::physics::gas::GasMix;
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::profile::Profile;
use lightpoint::internals::rig::{Bag, Cylinder, CylinderSet, LOOP, Part, Rig, Role, SUIT, WING};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::{Now, Owner, Term, Trace, run as simulate, terms};
use lightpoint::internals::study::removable::loss;

/// Water of one density, kg/m³.
const WATER_KG_M3: f64 = 1025.0;

/// A dive to 20 m in a suit of so many litres with a wing of 15 L and 6 kg of lead of which some can be dropped; a stage is
/// carried and never breathed. Wing and suit are blown out of what `supply` says.
fn dive(suit_l: f64, ditchable_kg: f64, supply: usize) -> Scenario {
    let removable = |name: &str, removable: bool| {
        let mut spec = cylinder(name, 11.0, 13.2, 14.6, GasMix::AIR, 200.0);
        spec.removable = removable;
        Cylinder::new(spec).unwrap()
    };
    let mut parts = vec![rigid("diver", Role::Person, 80.0, 0.079), lead(6.0 - ditchable_kg)];
    if ditchable_kg > 0.0 {
        parts.push(Part { name: "belt".into(), ditchable: true, ..lead(ditchable_kg) });
    }
    let rig = Rig {
        parts,
        suit: (suit_l > 0.0).then(|| Bag::suit(suit_l * 1e-3, CylinderSet::of([0]))),
        wing: Some(Bag::wing(0.015, CylinderSet::of([supply]))),
        cylinders: vec![removable("back", false), removable("stage", true)],
        swim_up_kg: 7.0,
        ..Rig::default()
    };
    let ends = legs(&[
        (2.0, 20.0, 0, 18.0),
        (25.0, 20.0, 0, 18.0),
        (27.0, 5.0, 0, 18.0),
        (30.0, 5.0, 0, 18.0),
        (31.0, 0.0, 0, 18.0),
    ]);
    let profile = Profile::new(0.0, ends, vec![]).unwrap();
    Scenario::new(rig, layers(&[(0.0, Brine::Density(WATER_KG_M3))], 285.0), profile, Settings::default()).unwrap()
}

fn moments(scenario: &Scenario, trace: &Trace) -> Vec<(Now, usize)> {
    trace.series(scenario, 7.0, &[])
}

fn found(scenario: &Scenario, trace: &Trace, mishap: Mishap) -> MishapFound {
    MishapFound::of(scenario, trace, mishap).expect("it can happen")
}

/// What all terms of an owner lift, kg.
fn sum_kg(list: &[Term], water_kg_m3: f64, is_mine: impl Fn(Owner) -> bool) -> f64 {
    list.iter().filter(|term| is_mine(term.owner)).map(|term| term.net_kg(water_kg_m3)).sum()
}

/// `ρ·V − m`, and of a bag of 5 L about 5.1 kg (an identity: 1025 kg/m³ · 5 L less the grams of gas in it). A loop of 5 L is
/// such a bag.
#[test]
fn a_flooded_bag_of_five_litres_costs_five_kilograms() {
    let scenario = dive(5.0, 0.0, 0);
    let trace = simulate(&scenario).unwrap();
    for (now, _) in moments(&scenario, &trace) {
        let after_kg = wing_empty_kg(&scenario, &now, Mishap::of(Thing::Suit)).unwrap();
        let lost_kg = now.balance.bare_kg() - after_kg;
        let gas = now.balance.bags[SUIT];
        // rounding of a sum of some hundred kilograms
        assert!((lost_kg - (WATER_KG_M3 * gas.volume_m3 - gas.mass_kg)).abs() < 1e-9);
        assert!((gas.volume_m3 - 0.005).abs() < 1e-7, "the suit keeps its volume");
        // air of 3 bar in 5 L is 18 g
        assert!((5.10..5.12).contains(&lost_kg), "{lost_kg}");
    }
}

/// The wing that carries a flooded suit holds what the suit held, less its gas: `V_wing + V_suit − m/ρ`.
#[test]
fn the_wing_takes_over_what_the_suit_held() {
    let scenario = dive(5.0, 0.0, 0);
    let trace = simulate(&scenario).unwrap();
    let found = found(&scenario, &trace, Mishap::of(Thing::Suit));
    let heavy = found.heavy().unwrap();
    let (wing, now) = (heavy.wing.unwrap(), heavy.swim.worst.now);
    let gas = now.balance.bags[SUIT];
    let expected_m3 = now.balance.bags[WING].volume_m3 + gas.volume_m3 - gas.mass_kg / WATER_KG_M3;
    // the run blows the wing to a tenth of a gram, which is 1e-7 m³ of water
    assert!((wing.needed_m3 - expected_m3).abs() < 2e-7, "{} {expected_m3}", wing.needed_m3);
    assert_eq!(wing.most_m3, 0.015);
    // needed and what is left say the same: rigid divers weigh alike all the way up
    let left_m3 = wing.needed_m3 - wing.most_m3;
    assert!((heavy.swim.worst.load_kg - WATER_KG_M3 * left_m3).abs() < 1e-9);
}

/// A wing whose supply is lost with a stage holds what is in it.
#[test]
fn a_lost_supply_fills_no_wing() {
    let scenario = dive(5.0, 0.0, 1);
    let trace = simulate(&scenario).unwrap();
    let both = Mishap::of(Thing::Suit).and(Thing::Cylinder(1));
    let heavy = found(&scenario, &trace, both).heavy().unwrap().clone();
    let now = heavy.swim.worst.now;
    assert_eq!(heavy.wing.unwrap().most_m3, now.balance.bags[WING].volume_m3);
    assert_eq!(found(&scenario, &trace, Mishap::of(Thing::Suit)).heavy().unwrap().wing.unwrap().most_m3, 0.015);
}

#[test]
fn lead_that_is_lost_is_not_dropped_again() {
    let scenario = dive(0.0, 2.0, 0);
    let trace = simulate(&scenario).unwrap();
    let of = |mishap: Mishap| found(&scenario, &trace, mishap);
    let (wing, belt) = (of(Mishap::WING), of(Mishap::WING.and(Thing::DitchableLead)));
    let (wing, belt) = (&wing.heavy().unwrap().swim, &belt.heavy().unwrap().swim);
    // 2 kg of lead of 11 340 kg/m³ in this water
    let belt_kg = 2.0 * (1.0 - WATER_KG_M3 / 11_340.0);
    assert!((wing.worst.load_kg - belt.worst.load_kg - belt_kg).abs() < 1e-9);
    assert!((wing.worst.ditched_kg - belt.worst.load_kg).abs() < 1e-9, "dropped and lost are alike");
    assert!((belt.worst.ditched_kg - belt.worst.load_kg).abs() < 1e-9, "nothing is left to drop");
    assert!(belt.lets_go.is_empty() && !wing.lets_go.is_empty());
    let all = of(Mishap::WING.and(Thing::Lead));
    let all_kg = 6.0 * (1.0 - WATER_KG_M3 / 11_340.0);
    let here_kg = all.light().unwrap().bare_kg - all.light().unwrap().now.balance.bare_kg();
    assert!((here_kg - all_kg).abs() < 1e-9);
    assert_eq!(Mishap::of(Thing::DitchableLead).and(Thing::Lead), Mishap::of(Thing::Lead), "all is more than a part");
}

/// Whether the diver is light or heavy is told by what is worse.
#[test]
fn the_worse_side_is_told() {
    let scenario = dive(5.0, 0.0, 0);
    let trace = simulate(&scenario).unwrap();
    let of = |mishap: Mishap| found(&scenario, &trace, mishap);
    let suit = of(Mishap::of(Thing::Suit));
    assert!(matches!(suit.side(), Side::Heavy(_)) && suit.light().is_none());
    let lead = of(Mishap::of(Thing::Lead));
    assert!(matches!(lead.side(), Side::Light(_)) && lead.heavy().is_none());
    let both = of(Mishap::WING.and(Thing::Lead));
    assert!(both.light().is_some() && both.heavy().is_some());
    assert_eq!(both.verdict() == MishapVerdict::FloatsUp, !both.light().unwrap().holds());
}

/// Every usual mishap of the plans, and pairs of them.
fn all_of(scenario: &Scenario) -> Vec<Mishap> {
    let usual = Mishap::usual(scenario);
    let pairs = usual.iter().flat_map(|mishap| usual.iter().take(2).map(|other| join(*mishap, *other)));
    let mut all: Vec<Mishap> = Vec::new();
    usual.iter().copied().chain(pairs).for_each(|mishap| {
        if !all.contains(&mishap) {
            all.push(mishap);
        }
    });
    all
}

fn join(a: Mishap, b: Mishap) -> Mishap {
    b.things().into_iter().fold(a, Mishap::and)
}

fn dives() -> Vec<(String, Quick)> {
    let one = |path: &std::path::PathBuf| (path.display().to_string(), Quick::of(&Plan::load(path).unwrap()).unwrap());
    plans().iter().map(one).collect()
}

#[test]
fn a_failed_wing_alone_is_the_finding_of_its_name() {
    for (name, dive) in dives() {
        let scenario = &dive.built.scenario;
        let found = found(scenario, &dive.trace, Mishap::WING);
        let heavy = found.heavy().unwrap();
        assert_eq!(heavy.swim, dive.findings.failed_wing, "{name}");
        assert_eq!(heavy.swim, FailedWing::of(scenario, &dive.trace, SuitUse::Kept));
        assert_eq!((heavy.wing, found.light()), (None, None));
    }
}

#[test]
fn a_lost_stage_is_the_loss_of_a_removable_cylinder() {
    let mut seen = 0;
    for (name, dive) in dives() {
        let scenario = &dive.built.scenario;
        for one in &dive.removable {
            let mishap = Mishap::of(Thing::Cylinder(one.cylinder));
            for (now, _) in moments(scenario, &dive.trace) {
                let lost_kg = loss(scenario, &now, one.cylinder).map(|loss| loss.bare_kg);
                match (wing_empty_kg(scenario, &now, mishap), lost_kg) {
                    // rounding of a sum of some hundred kilograms
                    (Some(a), Some(b)) => assert!((a - b).abs() < 1e-9, "{name}: {a} {b}"),
                    (a, b) => assert_eq!((a, b), (None, None), "{name}"),
                }
                seen += 1;
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}

/// What is left is the sum over the terms of everything that is left.
#[test]
fn mishaps_are_sums_over_the_terms() {
    for (name, dive) in dives() {
        let scenario = &dive.built.scenario;
        for mishap in all_of(scenario) {
            let gone = |owner: Owner| match owner {
                Owner::Bag(WING) => true,
                Owner::Bag(SUIT) => mishap.things().contains(&Thing::Suit),
                Owner::Bag(LOOP) => mishap.things().contains(&Thing::Loop),
                Owner::Part(i) => {
                    let part = &scenario.rig().parts[i];
                    let of_lead = |thing| mishap.things().contains(&thing);
                    part.role == Role::Ballast
                        && (of_lead(Thing::Lead) || of_lead(Thing::DitchableLead) && part.ditchable)
                }
                owner => owner.cylinder().is_some_and(|i| mishap.things().contains(&Thing::Cylinder(i))),
            };
            for (now, _) in moments(scenario, &dive.trace) {
                let Some(after_kg) = wing_empty_kg(scenario, &now, mishap) else { continue };
                let list = terms(scenario, &now.state, &now.ambient);
                let sum_kg = sum_kg(&list, now.ambient.water_kg_m3, |owner| !gone(owner));
                // rounding of a sum of some hundred kilograms
                assert!(
                    (after_kg - sum_kg).abs() < 1e-9,
                    "{name} {}: {after_kg} {sum_kg}",
                    mishap_name(scenario, mishap)
                );
            }
        }
    }
}

/// The worst moment is worse than every moment that is looked at, and is what it says at its own; the times beyond the
/// capacity are those at which the load is.
#[test]
fn no_moment_is_worse_than_the_worst() {
    for (name, dive) in dives() {
        let scenario = &dive.built.scenario;
        let capacity_kg = scenario.rig().swim_up_kg;
        for mishap in all_of(scenario) {
            let Some(found) = MishapFound::of(scenario, &dive.trace, mishap) else { continue };
            let what = format!("{name} {}", mishap_name(scenario, mishap));
            let ascent_s = scenario.profile().final_ascent_s();
            for (now, leg) in dive.trace.series(scenario, 3.0, &[]) {
                let Some(left_kg) = left_kg(scenario, &now, leg, mishap) else { continue };
                if let Some(heavy) = found.heavy() {
                    let worst = &heavy.swim.worst;
                    // the run is exact to a tenth of a gram
                    assert!(-left_kg <= worst.load_kg.max(0.0) + 1e-4, "{what} at {}: {left_kg}", now.state.time_s);
                    let is_inside =
                        heavy.swim.beyond.iter().any(|span| (span.start_s..=span.end_s).contains(&now.state.time_s));
                    // at an edge the load is the capacity to the grams of a hundredth of a second
                    let is_edge = (-left_kg - capacity_kg).abs() < 5e-3;
                    let jumps = heavy.swim.beyond.iter().any(|span| {
                        (span.start_s - now.state.time_s).abs().min((span.end_s - now.state.time_s).abs()) < 0.02
                    });
                    assert!(
                        is_inside == (-left_kg > capacity_kg) || is_edge || jumps,
                        "{what} at {}",
                        now.state.time_s
                    );
                }
                if let Some(light) = found.light().filter(|_| now.state.time_s >= ascent_s) {
                    let is_deep = now.state.depth_m >= scenario.last_stop_m();
                    let here_kg = wing_empty_kg(scenario, &now, mishap).unwrap();
                    assert!(!is_deep || here_kg <= light.bare_kg + 1e-4, "{what} at {}: {here_kg}", now.state.time_s);
                }
            }
            let leg = match found.side() {
                Side::Heavy(heavy) => heavy.swim.worst.leg,
                Side::Light(at) => dive.trace.span_at(at.time_s()).segment.leg,
            };
            let there_kg = left_kg(scenario, found.now(), leg, mishap).unwrap();
            assert!((there_kg - found.left_kg()).abs() < 1e-9, "{what}: {there_kg} {}", found.left_kg());
        }
    }
}

/// A flooded suit of 12 L on the cold plan: 12.3 kg at the surface less 15 to 100 g of argon (a sum by hand); the wing of
/// 20 L holds it but for some hundred grams.
#[test]
fn a_flooded_suit_in_the_cold() {
    let result = json(&["run", "profiles/cold-trimix.toml", "--no-files", "--json", "--mishaps"]);
    let all = result["mishaps"].as_array().unwrap();
    let one = |name: &str| all.iter().find(|one| one["name"] == name).unwrap_or_else(|| panic!("{name}"));
    let (suit, both) = (one("suit"), one("wing + suit"));
    let heavy_kg = number(&result, "/findings/failed_wing/worst_load_kg");
    let lost_kg = -number(both, "/net_wing_empty_kg") - heavy_kg;
    assert!((12.0..12.4).contains(&lost_kg), "{lost_kg}");
    let (needed_m3, most_m3) = (number(suit, "/heavy/wing/needed_m3"), number(suit, "/heavy/wing/most_m3"));
    assert!((most_m3 - 0.020).abs() < 1e-9 && (0.0..0.5e-3).contains(&(needed_m3 - most_m3)), "{needed_m3}");
    assert_eq!(suit["verdict"], "can-swim");
    assert_eq!(both["verdict"], "cannot");
    let plain = json(&["run", "profiles/cold-trimix.toml", "--no-files", "--json"]);
    assert!(plain.get("mishaps").is_none(), "only where it is asked for");
}

mod names {
    use super::*;

    #[test]
    fn are_read_as_they_are_said() {
        let (_, dive) = dives().into_iter().find(|(name, _)| name.contains("cold-trimix")).unwrap();
        let scenario = &dive.built.scenario;
        let fifty = scenario.rig().cylinders.iter().position(|one| one.name() == "fifty").unwrap();
        let said = |list: &str| named(scenario, list);
        assert_eq!(said("wing"), Ok(vec![Mishap::WING]));
        assert_eq!(
            said(" Suit+WING ,fifty + ditchable lead").unwrap(),
            [Mishap::WING.and(Thing::Suit), Mishap::of(Thing::Cylinder(fifty)).and(Thing::DitchableLead),]
        );
        let usual = Mishap::usual(scenario);
        assert_eq!(said("usual").unwrap(), usual);
        assert_eq!(said("usual, wing, suit + fifty").unwrap().len(), usual.len() + 1, "none twice");
        // what is written down is read again
        for mishap in all_of(scenario) {
            assert_eq!(said(&mishap_name(scenario, mishap)), Ok(vec![mishap]));
        }
        for (list, wrong) in [
            ("lop", "lop"),
            ("wing, loop", "loop"),
            ("wing + sui", "sui"),
            ("wing +", "wing +"),
            ("", ""),
            ("wing,,suit", "wing,,suit"),
            ("usual + wing", "usual + wing"),
            ("wing suit", "wing suit"),
        ] {
            let error = said(list).unwrap_err();
            assert_eq!(error.said, wrong, "{list}");
            let text = error.to_string();
            for name in ["wing", "suit", "fifty", "oxygen", "argon", "back", "ditchable lead", "lead"] {
                assert!(text.contains(name), "{text}");
            }
            assert!(!error.can_say.contains(&"loop".to_owned()), "this rig has none");
        }
    }

    #[test]
    fn cylinders_may_be_called_anything() {
        let scenario = dive(5.0, 0.0, 0);
        let mut rig = scenario.rig().clone();
        for (i, name) in ["a + b, c", "Fläschchen"].into_iter().enumerate() {
            let spec =
                lightpoint::internals::rig::CylinderSpec { name: name.into(), ..rig.cylinders[i].spec().clone() };
            rig.cylinders[i] = Cylinder::new(spec).unwrap();
        }
        let scenario = scenario.with_rig(rig).unwrap();
        let (a, b) = (Mishap::of(Thing::Cylinder(0)), Mishap::of(Thing::Cylinder(1)));
        assert_eq!(named(&scenario, "a + b, c, wing").unwrap(), [a, Mishap::WING]);
        assert_eq!(named(&scenario, "FLÄSCHCHEN+wing").unwrap(), [b.and(Thing::Wing)]);
    }
}

mod command {
    use super::*;

    #[test]
    fn the_worst_comes_first() {
        for plan in plans() {
            let path = plan.to_str().unwrap();
            for columns in ["60", "80", "100"] {
                let text = Cli::new(&["run", path, "--no-files", "--mishaps"]).env("COLUMNS", columns).ok().stdout;
                let width: usize = columns.parse().unwrap();
                assert!(text.lines().all(|line| line.chars().count() <= width), "{text}");
                let answer = text.split_once("\n\n").unwrap().1;
                assert!(answer.lines().next().unwrap().contains("One mishap"), "{answer}");
                assert!(
                    !text.contains("✓ One mishap") && !text.contains("✓ Two at once"),
                    "nothing is praised: {text}"
                );
            }
        }
    }

    #[test]
    fn texts_are_kept() {
        let plan = plans().into_iter().find(|path| path.ends_with("cold-trimix.toml")).unwrap();
        let text = Cli::new(&["run", plan.to_str().unwrap(), "--no-files", "--mishaps"]).ok().stdout;
        let answer: Vec<&str> = text.lines().take_while(|line| !line.starts_with("! Lead")).collect();
        insta::assert_snapshot!(answer.join("\n"));
    }

    #[test]
    fn the_picture_comes_with_it_or_alone() {
        let done = Cli::new(&["run", "--mishaps=wing", "--out", "out"]).ok();
        assert!(done.files().contains(&"out/mishaps.svg".to_owned()), "{:?}", done.files());
        assert!(done.read("out/mishaps.svg").contains("Wing failed"));
        let alone = Cli::new(&["run", "--figure", "mishaps", "--png", "--out", "out"]).ok();
        assert!(alone.files().contains(&"out/mishaps.png".to_owned()), "{:?}", alone.files());
    }

    #[test]
    fn what_is_no_mishap_is_refused() {
        let refused = Cli::new(&["run", "--mishaps=wing + foo"]).refused();
        assert!(refused.contains("\"foo\" is nothing that goes wrong on this rig; what can: wing, suit"), "{refused}");
        assert!(refused.contains("A + joins"), "{refused}");
        let refused = Cli::new(&["run", "--mishaps", "wing+suit"]).refused();
        assert!(refused.contains("--mishaps=\"wing+suit\""), "{refused}");
        let typo = run(&["run", "--mishaps", "profiles/none.toml", "--no-files"]);
        assert!(String::from_utf8_lossy(&typo.stderr).contains("cannot be read"), "a plan that is not there stays one");
    }

    /// What cannot happen is told; a stage that is left behind and picked up can.
    #[test]
    fn what_cannot_happen_is_told() {
        let plan = include_str!("../../profiles/cold-trimix.toml").replacen(
            "name = \"oxygen\"",
            "name = \"oxygen\"\ncarried = false",
            1,
        );
        let plan = plan.replace("breathe = \"oxygen\"", "breathe = \"fifty\"");
        let text = Cli::new(&["run", "plan.toml", "--no-files", "--mishaps=oxygen,wing"]).plan(&plan).ok().stdout;
        assert!(text.contains("Cannot happen      oxygen lost: at no moment of this dive"), "{text}");
    }

    /// A run that does not ask has one line where a single mishap is beyond what the diver can do, and none where each is
    /// handled.
    #[test]
    fn a_run_tells_what_nobody_expects() {
        let belt = quiet(&["run", "profiles/single-wetsuit.toml", "--no-files"]);
        assert!(belt.contains("  Mishaps            Lead lost: the diver floats up by"), "{belt}");
        assert!(belt.contains("lightpoint run --mishaps"), "{belt}");
        for handled in ["mountain-lake", "cold-trimix"] {
            let text = quiet(&["run", &format!("profiles/{handled}.toml"), "--no-files"]);
            assert!(!text.contains("Mishaps"), "{text}");
        }
        // a wing of 9 L cannot hold what a flooded suit of 12 L held, nor can the diver
        let small = ["run", "profiles/cold-trimix.toml", "--no-files", "--set", "wing.capacity=9 L"];
        let text = quiet(&small);
        let line = text.lines().find(|line| line.contains("Mishaps")).unwrap_or_else(|| panic!("{text}"));
        assert!(line.starts_with("! Mishaps            Suit flooded:"), "{line}");
        let met = text.lines().position(|line| line.starts_with("✓ ")).unwrap();
        assert!(text.lines().position(|told| told == line).unwrap() < met, "what is wrong stands first: {text}");
    }
}
