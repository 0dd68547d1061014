//! Every starter plan builds, runs, and begins at the right end of its lead range.

use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::loop_note::LoopNote;
use lightpoint::internals::plan::starter::{Cylinders, MAX_STAGES, Starter, Suit, Units};
use lightpoint::internals::plan::{Built, Note, Plan};
use lightpoint::internals::report::lead::ballast_kg;
use lightpoint::internals::sim::{self, Happening, trace::pressure_pa};
use lightpoint::internals::study::lead_bounds;
use lightpoint::internals::units::POUND_KG;

/// All combinations: two suits, four rigs, none to four stages (a loop has one at least), two systems of units.
fn all() -> Vec<Starter> {
    let mut list = Vec::new();
    for units in [Units::Metric, Units::Us] {
        for suit in [Suit::Dry, Suit::Wet] {
            for cylinders in [Cylinders::Single, Cylinders::Twin, Cylinders::Sidemount, Cylinders::Loop] {
                list.extend((u32::from(cylinders == Cylinders::Loop)..=MAX_STAGES).map(|stages| Starter {
                    suit,
                    cylinders,
                    stages,
                    units,
                }));
            }
        }
    }
    assert_eq!(list.len(), 76);
    list
}

fn built(starter: &Starter) -> Built {
    let plan = Plan::parse(&starter.text(), "starter.toml", "").unwrap_or_else(|problems| panic!("{problems}"));
    plan.build().unwrap_or_else(|problems| panic!("{starter:?}\n{problems}"))
}

#[test]
fn every_starter_builds_without_a_remark_and_has_what_was_asked_for() {
    for starter in all() {
        let built = built(&starter);
        // typical figures and guesses are what a starter is made of; anything else would be a mistake in it
        assert!(
            built.notes.iter().all(|note| {
                // near the surface no loop holds 1.3 bar, and a plan that is held there says so
                let is_near_the_surface =
                    matches!(note, Note::Loop(LoopNote::AboveAmbient { from_m, .. }) if *from_m < 4.0);
                is_near_the_surface || matches!(note, Note::Typical(_) | Note::Guesses(_))
            }),
            "{starter:?}: {:?}",
            built.notes
        );
        let diver = built.scenario.rig();
        let stages = diver.cylinders.iter().filter(|cylinder| cylinder.is_removable()).count();
        assert_eq!(stages, starter.stages as usize, "{starter:?}");
        let main: Vec<u32> = diver.cylinders.iter().filter(|c| !c.is_removable()).map(|c| c.count()).collect();
        let expected: &[u32] = match starter.cylinders {
            Cylinders::Single => &[1],
            Cylinders::Twin => &[2],
            Cylinders::Sidemount | Cylinders::Loop => &[1, 1],
        };
        assert_eq!(main, expected, "{starter:?}");
        assert_eq!(diver.suit.is_some(), starter.suit == Suit::Dry, "{starter:?}");
    }
}

#[test]
fn every_starter_runs_to_its_end_with_gas_and_wing_enough() {
    for starter in all() {
        let scenario = built(&starter).scenario;
        let trace = sim::run(&scenario).unwrap();
        let events = trace.events().iter().filter(|event| !matches!(event.what, Happening::Moved { .. }));
        assert_eq!(events.count(), 0, "{starter:?}: {:?}", trace.events());
        let findings = Findings::of(&scenario, &trace);
        assert!(findings.wing.is_enough(), "{starter:?}");
        // the lead holds the last stop: to 20 g, the least lead of the table being rounded to 10 g
        assert!(
            findings.last_hold().at_reserve.bare_kg < 0.02,
            "{starter:?}: {}",
            findings.last_hold().at_reserve.bare_kg
        );
        // at the end every cylinder that was breathed has at least what counts as nearly empty
        for (i, cylinder) in scenario.rig().cylinders.iter().enumerate() {
            let gauge_pa = pressure_pa(&scenario, trace.last(), i) - lightpoint::internals::units::ATMOSPHERE_PA;
            assert!(gauge_pa > cylinder.reserve_gauge_pa(), "{starter:?}: {} {gauge_pa}", cylinder.name());
        }
    }
}

#[test]
fn every_starter_has_a_plausible_range_and_begins_at_its_right_end() {
    for starter in all() {
        let scenario = built(&starter).scenario;
        let bounds = lead_bounds(&scenario).unwrap();
        // common practice: from next to none with twins to a dozen kilograms in a dry suit
        assert!((0.9..13.0).contains(&bounds.least_kg), "{starter:?}: {}", bounds.least_kg);
        let piece_kg = if starter.units == Units::Metric { 0.5 } else { 0.5 * POUND_KG };
        let above_kg = ballast_kg(&scenario) - bounds.least_kg;
        // 20 g: the table of the starter rounds the least to 10 g or 0.01 lb, for each stage again
        assert!((-0.02..piece_kg + 0.02).contains(&above_kg), "{starter:?}: {above_kg}");
        if bounds.is_empty() {
            // a single cylinder, or any rig without stages, has a range; with stages their gas can exceed the capacity
            assert!(starter.stages > 0, "{starter:?}");
        } else if starter.stages == 0 || bounds.most_kg - bounds.least_kg > piece_kg {
            // no piece may lie in a range that is narrower than one
            assert!(ballast_kg(&scenario) <= bounds.most_kg + 0.02, "{starter:?}: {}", bounds.most_kg);
        }
    }
}

/// What a stage weighs as gas decides how far it narrows the range: an 11 L cylinder from 200 to 50 bar gives 2.2 to
/// 2.4 kg of nitrox 32 (1.37 g a litre at 1 atm and 20 °C; the real gas holds up to 3 % less), plus what is breathed of it
/// before the heavy point.
#[test]
fn a_stage_narrows_the_range_by_the_gas_in_it() {
    let narrowed = |starter: &Starter| starter.stages > u32::from(starter.cylinders == Cylinders::Loop);
    for starter in all().into_iter().filter(narrowed) {
        let width = |stages| {
            let bounds = lead_bounds(&built(&Starter { stages, ..starter }).scenario).unwrap();
            bounds.most_kg - bounds.least_kg
        };
        // lead pulls 91 % of its mass, so the range moves by more than the gas does
        let narrower_kg = width(starter.stages - 1) - width(starter.stages);
        assert!((1.9..2.9).contains(&narrower_kg), "{starter:?}: {narrower_kg}");
    }
}

#[test]
fn figures_are_in_the_units_asked_for_and_round_in_them() {
    for starter in all() {
        let text = starter.text();
        let foreign: &[&str] = match starter.units {
            Units::Metric => &[" lb", " ft", " psi", " °F", " cu ft", " sq ft"],
            // neoprene is sold by the millimetre everywhere
            Units::Us => &[" kg", " m", " L", " bar", " °C", " m2"],
        };
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let figure = line.split(" # ").next().unwrap().replace("5 mm", "");
            // titles, names and names of shapes are no figures; partial pressures are told in bar to every reader
            if ["title", "note", "name", "size", "setpoint", "to = \"1.3 bar\""]
                .iter()
                .any(|key| figure.starts_with(key))
            {
                continue;
            }
            for quoted in figure.split('"').skip(1).step_by(2) {
                let ends = foreign.iter().any(|unit| quoted.ends_with(unit) || quoted.contains(&format!("{unit}/")));
                assert!(!ends, "{starter:?}: {line}");
                for number in quoted.split_whitespace().filter(|word| word.starts_with(|c: char| c.is_ascii_digit())) {
                    let digits = number.replace('.', "");
                    let digits = digits.trim_matches('0');
                    assert!(digits.len() <= 3, "{starter:?}: {number} in {line}");
                }
            }
        }
    }
}

#[test]
fn the_text_is_finished_commented_and_says_that_it_is_invented() {
    for starter in all() {
        let text = starter.text();
        assert!(text.contains("(invented)") && text.to_lowercase().contains("typical"), "{starter:?}");
        for left_over in ["$", "<", "|", "\n\n\n", "\t"] {
            assert!(!text.contains(left_over), "{starter:?}: {left_over:?}");
        }
        for line in text.lines() {
            assert!(line.chars().count() <= 120 && line.trim_end() == line, "{starter:?}: {line}");
        }
        for how in ["***", "spring scale", "bucket", "pool"] {
            assert!(text.contains(how), "{starter:?}: {how}");
        }
    }
}
