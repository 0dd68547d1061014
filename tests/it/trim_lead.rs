//! Where the lead goes, held against the plan built again with its lead at every place in every way.

use std::collections::BTreeMap;
use std::path::Path;

use lightpoint::internals::answer::trim::LeadWhere;
use lightpoint::internals::answer::{Carry, Ready};
use lightpoint::internals::findings::Trim;
use lightpoint::internals::plan::{Plan, Problems};
use lightpoint::internals::sim;
use lightpoint::internals::study::Pieces;

/// What is compared: a run is exact to a tenth of a gram, and the lead is at most 1.3 m from the lungs; the places are written
/// to the nanometre.
const WITHIN_NM: f64 = 2e-4 * 9.80665 * 1.3;

fn whole(plan: &Plan, pieces: &Pieces) -> LeadWhere {
    let Ready { built, .. } = Ready::of(plan).unwrap();
    let carry = Carry::of(plan, &built, pieces).unwrap();
    LeadWhere::of(&built, &carry).unwrap().expect("lead")
}

/// The plan with so much lead at each place, kg, built and run anew: its worst torque, pitch and roll together.
fn worst_nm(plan: &Plan, lead: &LeadWhere, at_kg: &[f64]) -> Result<f64, Problems> {
    let pieces = lead.places.iter().zip(at_kg).filter(|(_, kg)| **kg > 0.0);
    let pieces = pieces.map(|(place, kg)| {
        let at = place.at;
        format!(
            "{{ name = \"{}\", mass = \"{kg} kg\", at = {{ along = \"{:.9} m\", up = \"{:.9} m\", left = \"{:.9} m\" }} }}",
            place.name, at.along_m, at.up_m, at.left_m
        )
    });
    let list = format!("[{}]", pieces.collect::<Vec<_>>().join(", "));
    let dive = plan.with_sets(&[("ballast".to_owned(), list)])?.build()?.scenario;
    let trace = sim::run(&dive).expect("runs");
    let course = Trim::of(&dive, &trace).expect("placed").course;
    Ok(course.iter().map(|at| at.torque_nm().hypot(at.roll_nm())).fold(0.0, f64::max))
}

/// Every way to put the pieces at the places, each once by what is at each place, in grams.
fn ways(pieces_kg: &[f64], places: usize) -> Vec<Vec<f64>> {
    let mut ways: BTreeMap<Vec<i64>, Vec<f64>> = BTreeMap::new();
    ways.insert(vec![0; places], vec![0.0; places]);
    for piece_kg in pieces_kg {
        let mut next = BTreeMap::new();
        for (grams, at_kg) in &ways {
            for place in 0..places {
                let (mut grams, mut at_kg) = (grams.clone(), at_kg.clone());
                grams[place] += (piece_kg * 1e3).round() as i64;
                at_kg[place] += piece_kg;
                next.entry(grams).or_insert(at_kg);
            }
        }
        ways = next;
    }
    ways.into_values().collect()
}

fn check(plan: &Plan, pieces: &Pieces) -> LeadWhere {
    let lead = whole(plan, pieces);
    assert!(lead.lead.pieces_kg.len() <= 8 && lead.places.len() <= 4, "{:?}", lead.lead);
    let ditchable_kg = |at_kg: &[f64]| -> f64 {
        lead.places.iter().zip(at_kg).filter(|(place, _)| place.lets_go).map(|(_, kg)| kg).sum()
    };
    let holds = |at_kg: &[f64]| {
        lead.places.iter().zip(at_kg).all(|(place, kg)| place.most_kg.is_none_or(|most| *kg <= most + 1e-9))
    };
    let ways = ways(&lead.lead.pieces_kg, lead.places.len());
    let allowed: Vec<&Vec<f64>> = ways.iter().filter(|at_kg| holds(at_kg)).collect();
    let most_kg = allowed.iter().map(|at_kg| ditchable_kg(at_kg)).fold(0.0, f64::max);
    let need_kg = lead.ditchable_kg.min(most_kg);
    let allowed = allowed.into_iter().filter(|at_kg| ditchable_kg(at_kg) >= need_kg - 1e-9);
    let best_nm = allowed.map(|at_kg| worst_nm(plan, &lead, at_kg).unwrap()).fold(f64::INFINITY, f64::min);
    let split = &lead.split;
    assert!(holds(&split.at_kg) && ditchable_kg(&split.at_kg) >= need_kg - 1e-9, "{lead:?}");
    assert!((split.lacks_ditchable_kg - (lead.ditchable_kg - most_kg).max(0.0)).abs() < 1e-9);
    // what it says of itself is so, and no other way is better
    assert!((split.worst_nm - worst_nm(plan, &lead, &split.at_kg).unwrap()).abs() < WITHIN_NM, "{split:?}");
    assert!((split.worst_nm - best_nm).abs() < WITHIN_NM, "{} against {best_nm}", split.worst_nm);
    // all at one place
    for (k, told_nm) in lead.all_at_nm.iter().enumerate() {
        let mut at_kg = vec![0.0; lead.places.len()];
        at_kg[k] = lead.lead.lead_kg;
        assert!((told_nm - worst_nm(plan, &lead, &at_kg).unwrap()).abs() < WITHIN_NM, "{}", lead.places[k].name);
    }
    // one piece moved
    for moved in &lead.moves {
        let mut at_kg = split.at_kg.clone();
        at_kg[moved.from] -= moved.piece_kg;
        at_kg[moved.to] += moved.piece_kg;
        let found_nm = worst_nm(plan, &lead, &at_kg.iter().map(|kg| kg.max(0.0)).collect::<Vec<_>>()).unwrap();
        assert!((moved.worst_nm - found_nm).abs() < WITHIN_NM, "{moved:?}: {found_nm}");
    }
    lead
}

fn plan(name: &str, sets: &[(&str, &str)]) -> Plan {
    let sets: Vec<_> = sets.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
    Plan::load_with(Path::new(&format!("profiles/{name}.toml")), &sets).unwrap()
}

#[test]
fn the_demonstration_plans() {
    for name in ["single-wetsuit", "cold-trimix", "mountain-lake"] {
        let lead = check(&plan(name, &[]), &Pieces::Step(2.0));
        assert_eq!(lead.places[0].name, "belt");
        assert!(lead.places[0].lets_go && lead.places[1..].iter().all(|place| !place.lets_go));
    }
}

#[test]
fn places_of_the_plan_to_either_side() {
    let places = "[{ at = \"belt\", most = \"4 kg\" }, { at = \"left thigh\" }, { at = \"right thigh\" }, \
                  { name = \"keel\", at = { along = \"-30 cm\", up = \"15 cm\", left = \"0 cm\" }, most = \"2 kg\", ditchable = true }]";
    let lead = check(&plan("single-wetsuit", &[("trim.place", places)]), &Pieces::Step(2.0));
    let names: Vec<&str> = lead.places.iter().map(|place| place.name.as_str()).collect();
    assert_eq!(names, ["belt", "left thigh", "right thigh", "keel"]);
    assert!(lead.places[1].at.left_m > 0.0 && lead.places[1].at.left_m == -lead.places[2].at.left_m);
    assert!(lead.places[3].lets_go && lead.places[3].most_kg == Some(2.0));
}

// what must be ditchable stays where it lets go, also where all would hang better elsewhere
#[test]
fn the_ditchable_share_stays_on_the_belt() {
    let places = "[{ at = \"tail\" }, { at = \"ankles\" }, { at = \"belt\" }]";
    let sets = |ditchable: &'static str| {
        let ballast = format!(
            "[{{ name = \"a\", mass = \"6 kg\", ditchable = {ditchable} }}, {{ name = \"b\", mass = \"2 kg\" }}]"
        );
        plan("single-wetsuit", &[("trim.place", places), ("ballast", &ballast)])
    };
    let kept = check(&sets("true"), &Pieces::Step(2.0));
    assert!(kept.ditchable_kg >= 6.0_f64.min(kept.lead.lead_kg) - 1e-9, "{kept:?}");
    assert!(kept.split.at_kg[2] >= kept.ditchable_kg - 1e-9, "{kept:?}");
}

// the lead's own place bears on nothing but the trim, so a plan that hangs it as told is told the same
#[test]
fn a_plan_that_follows_is_told_the_same() {
    let first = plan("single-wetsuit", &[]);
    let lead = whole(&first, &Pieces::Step(2.0));
    let pieces = lead.places.iter().zip(&lead.split.at_kg).filter(|(_, kg)| **kg > 0.0);
    let pieces = pieces.map(|(place, kg)| {
        format!("{{ name = \"at {0}\", mass = \"{kg} kg\", at = \"{0}\", ditchable = {1} }}", place.name, place.lets_go)
    });
    let list = format!("[{}]", pieces.collect::<Vec<_>>().join(", "));
    let followed = first.with_sets(&[("ballast".to_owned(), list)]).unwrap();
    let again = whole(&followed, &Pieces::Step(2.0));
    assert_eq!(again.split.at_kg, lead.split.at_kg);
    let built = followed.build().unwrap();
    let course = Trim::of(&built.scenario, &sim::run(&built.scenario).unwrap()).unwrap().course;
    let worst_nm = course.iter().map(|at| at.torque_nm().hypot(at.roll_nm())).fold(0.0, f64::max);
    assert!((worst_nm - lead.split.worst_nm).abs() < WITHIN_NM, "{worst_nm} {}", lead.split.worst_nm);
}
