//! How sure a torque is, held against dives drawn one by one.

use crate::common::plans;
use lightpoint::internals::answer::TrimFacts;
use lightpoint::internals::answer::trim::TrimDoubt;
use lightpoint::internals::estimate::doubt::{Quantile, mean_and_deviation};
use lightpoint::internals::findings::Trim;
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::sim;
use lightpoint::internals::study::doubt::draw::unit_point;
use lightpoint::internals::study::doubt::{Draws, Sequence};

/// Dives drawn for each plan.
const DRAWS: u64 = 2000;

/// Places of a draw, m: each by its own doubt, with random numbers of their own.
fn places_of(built: &Built, draw: u64) -> Vec<f64> {
    let doubts: Vec<_> =
        built.uncertain_places().map(|input| (input.estimate.value, input.estimate.doubt.unwrap())).collect();
    let point = unit_point(Sequence::Random, 71, draw, doubts.len());
    doubts.iter().zip(point).map(|((value, doubt), p)| value + Quantile::of(doubt).offset(p)).collect()
}

fn doubt_of(plan: &Plan) -> (Built, Trim, TrimDoubt) {
    let built = plan.build().unwrap();
    let trace = sim::run(&built.scenario).unwrap();
    let trim = Trim::of(&built.scenario, &trace).unwrap();
    let doubt = TrimDoubt::of(plan, &built, &trace, &trim).unwrap();
    (built, trim, doubt)
}

// JCGM 101:2008 (from memory): drawing is what the sum of variances stands for. The standard deviation of 2000 draws has a
// standard error of 1/√(2·2000) = 1.6 %; that of the figures is from 64 draws, 9 % of it, which is half as much of the whole
// for their share of the variance. Four of both, and 1 % for what figures and places do together.
#[test]
fn it_is_what_drawn_dives_scatter_by() {
    for name in ["single-wetsuit", "cold-trimix"] {
        let plan = Plan::load(format!("profiles/{name}.toml")).unwrap();
        let (built, trim, doubt) = doubt_of(&plan);
        let draws = Draws::new(built.figures(), Sequence::Random, 5);
        let drawn: Vec<Vec<f64>> = (0..DRAWS)
            .filter_map(|draw| {
                let dive = plan.build_placed(&draws.values(draw), &places_of(&built, draw), &built).ok()?;
                let trace = sim::run(&dive).ok()?;
                let trim_of_draw = Trim::of(&dive, &trace)?;
                // the middle of each leg that is level: the same place of the dive in every draw
                Some(levels(&trim).map(|(time_s, _)| torque_nm(&trim_of_draw, time_s)).collect())
            })
            .collect();
        assert!(drawn.len() as u64 > DRAWS * 99 / 100, "{name}: {} draws", drawn.len());
        for (n, (_, index)) in levels(&trim).enumerate() {
            let column: Vec<f64> = drawn.iter().map(|row| row[n]).collect();
            let (_, found_nm) = mean_and_deviation(&column);
            let told_nm = doubt.course_half_width_nm[index] / 1.96;
            let error_frac = (1.0 / (2.0 * DRAWS as f64)).sqrt().hypot(0.5 * 0.09 * 2.0 * doubt.figures_share_frac);
            let within_frac = 0.01 + 4.0 * error_frac;
            assert!(
                (told_nm / found_nm - 1.0).abs() < within_frac,
                "{name} at {} s: {told_nm:.3} told, {found_nm:.3} drawn, N·m",
                trim.course[index].time_s
            );
        }
    }
}

/// Starts of stretches that last a minute or more at one depth, s, with their places in the course.
fn levels(trim: &Trim) -> impl Iterator<Item = (f64, usize)> + '_ {
    let pairs = trim.course.windows(2).enumerate();
    let level = pairs.filter(|(_, pair)| pair[1].time_s - pair[0].time_s > 60.0 && pair[0].depth_m == pair[1].depth_m);
    level.map(|(i, pair)| (pair[0].time_s, i))
}

/// Torque of another dive at a time: on the line between the moments around it.
fn torque_nm(trim: &Trim, time_s: f64) -> f64 {
    let after = trim.course.iter().rposition(|at| at.time_s <= time_s).unwrap();
    let (from, to) = (trim.course[after], trim.course[(after + 1).min(trim.course.len() - 1)]);
    let share = if to.time_s > from.time_s { (time_s - from.time_s) / (to.time_s - from.time_s) } else { 0.0 };
    from.torque_nm() + share * (to.torque_nm() - from.torque_nm())
}

#[test]
fn shares_sum_to_all_of_it() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let (built, trim, doubt) = doubt_of(&plan);
        let places: f64 = doubt.places.iter().map(|place| place.share_frac).sum();
        let all = places + doubt.figures_share_frac;
        // those below 1 % are not named
        let unnamed = built.uncertain_places().count() - doubt.places.len();
        assert!(all < 1.0 + 1e-9 && all > 1.0 - 0.01 * unnamed as f64 - 1e-9, "{}: {all}", path.display());
        // the half-width that each has by itself is its share's root of the whole
        for place in &doubt.places {
            assert!((place.half_width_nm - doubt.half_width_nm * place.share_frac.sqrt()).abs() < 1e-9);
            assert!(place.share_frac >= 0.01 && place.input.estimate.doubt.is_some());
        }
        assert!(doubt.places.windows(2).all(|pair| pair[0].share_frac >= pair[1].share_frac));
        assert_eq!(doubt.course_half_width_nm.len(), trim.course.len());
        let is_there = |nm: &f64| (nm - doubt.half_width_nm).abs() < 1e-12;
        assert!(doubt.course_half_width_nm.iter().any(is_there), "that of the worst moment is one of the course");
    }
}

// before a cylinder goes the diver hangs by what is there then: the doubt of a place is what the place does, and not what the
// cylinder does that goes
#[test]
fn a_jump_is_no_doubt() {
    let leaves = |at: &str| {
        let leave = ("dive.change".to_owned(), format!("[{{ at = \"{at}\", leave = \"fifty\" }}]"));
        doubt_of(&Plan::demonstration(&[leave]).unwrap())
    };
    let (_, trim, doubt) = leaves("50 min");
    let gone = trim.gone.iter().find(|gone| !gone.comes).expect("one goes");
    let around: Vec<usize> = (0..trim.course.len()).filter(|i| trim.course[*i].time_s == gone.before.time_s).collect();
    let (first, last) = (around[0], *around.last().unwrap());
    assert!(first > 0 && first < last, "both sides are told");
    let jump_nm = (gone.after.torque_nm() - gone.before.torque_nm()).abs();
    let width_nm = |i: usize| doubt.course_half_width_nm[i];
    let step_nm = (width_nm(first) - width_nm(first - 1)).abs();
    assert!(step_nm < 0.1 * width_nm(first - 1), "{step_nm} N·m, the jump is {jump_nm}");
    // without its place the cylinder has less doubt
    assert!(width_nm(last) <= width_nm(first) * 1.02);
}

#[test]
fn what_is_known_exactly_has_no_share() {
    let sets = |ahead: &str, trim: &str| {
        [("diver.buoyancy_ahead", ahead), ("ballast[1].at", trim)]
            .map(|(key, value)| (key.to_owned(), value.to_owned()))
    };
    let path = "profiles/single-wetsuit.toml";
    let of = |sets: &[(String, String)]| doubt_of(&Plan::load_with(std::path::Path::new(path), sets).unwrap()).2;
    let usual = of(&[]);
    let has = |doubt: &TrimDoubt, what: &str| doubt.places.iter().any(|place| place.input.label.contains(what));
    assert!(has(&usual, "diver, buoyancy ahead") && has(&usual, "belt, along"), "{:?}", usual.places);
    let exact = of(&sets("0.8 cm", "{ along = \"-38 cm\", up = \"0 cm\", left = \"0 cm\" }"));
    assert!(
        !has(&exact, "buoyancy ahead") && !has(&exact, "belt") && !has(&exact, "belt weight"),
        "{:?}",
        exact.places
    );
    assert!(exact.half_width_nm < usual.half_width_nm);
    // half of a doubt is half of what it does by itself
    let one = |ahead: &str| {
        let doubt = of(&[("diver.buoyancy_ahead".to_owned(), ahead.to_owned())]);
        doubt.places.iter().find(|place| place.input.label.contains("buoyancy ahead")).unwrap().half_width_nm
    };
    let (wide_nm, narrow_nm) = (one("0.8 ± 1.6 cm (95%)"), one("0.8 ± 0.8 cm (95%)"));
    assert!((wide_nm / narrow_nm - 2.0).abs() < 1e-6, "{wide_nm} {narrow_nm}");
}

#[test]
fn facts_hold_it_all() {
    let plan = Plan::demonstration(&[]).unwrap();
    let facts = TrimFacts::of(&plan, &lightpoint::internals::study::Pieces::Step(1.0)).unwrap();
    let (_, trim, doubt) = doubt_of(&plan);
    assert_eq!((facts.trim, facts.doubt), (trim, doubt));
    assert!(facts.lead.is_some());
}
