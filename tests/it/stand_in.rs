//! What stands in for thousands of trials, held against trials: on the demonstration plans, and where it must not.

use std::sync::atomic::AtomicBool;

use lightpoint::internals::plan::Plan;
use lightpoint::internals::study::doubt::{
    Answer, Control, DoubtStudy, Made, Refusal, Settings, Summary, WeighNext, doubt_study, weigh_next,
};

const PLANS: [&str; 4] = ["single-wetsuit", "cold-trimix", "coastal-cave", "mountain-lake"];
/// Cylinders weighed: with the doubt that a class leaves, 1.1 kg of the oxygen one alone, the worst of the removable
/// cylinders changes from draw to draw, the answers bend by more than a certificate takes, and every draw is run.
const WEIGHED: [(&str, &[(&str, &str)]); 2] = [
    ("cold-trimix", &[("cylinder.back.mass", "32.3 ± 1.2 kg"), ("cylinder.oxygen.mass", "7.7 ± 0.3 kg")]),
    (
        "coastal-cave",
        &[
            ("cylinder.back.mass", "32.6 ± 1.2 kg"),
            ("cylinder.stage one.mass", "15.1 ± 0.6 kg"),
            ("cylinder.stage two.mass", "15.1 ± 0.6 kg"),
            ("cylinder.oxygen.mass", "7.7 ± 0.3 kg"),
        ],
    ),
];
/// Answers whose intervals are stated in words of kilograms of lead or lift.
const STATED: [Answer; 4] = [Answer::Least, Answer::Most, Answer::Heavy, Answer::Light];
/// What the ends of an interval may be off, kg.
const ENDS_KG: f64 = 0.015;

fn plan(name: &str, sets: &[(&str, &str)]) -> Plan {
    let sets: Vec<_> = sets.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
    Plan::load_with(format!("profiles/{name}.toml"), &sets).expect("a plan")
}

fn study(plan: &Plan, settings: &Settings) -> (DoubtStudy, WeighNext) {
    let built = plan.build().expect("a dive");
    let build = |values: &[f64]| plan.build_draw(values, &built);
    let cancel = AtomicBool::new(false);
    let control = || Control { cancel: &cancel, progress: |_| {} };
    let found = doubt_study(&built.inputs, &build, settings, control()).expect("a study");
    let next = weigh_next(&built.inputs, &build, settings, &found, control()).expect("threads").expect("a result");
    (found, next)
}

/// Every minute of the shortest of the dives.
fn times_s() -> Vec<f64> {
    (0..36).map(|i| f64::from(i) * 60.0).collect()
}

// The same draws, once worked out and once run: the ends differ by what the surrogate is off, and by chance only as far
// as that differs from draw to draw. 2048 draws put 51 beyond each end, so that scatter is its root mean square over √51;
// three times that is allowed. The whole interval, from sixteen times as many draws, differs by the scatter of the trials
// too.
#[test]
fn it_says_what_trials_say_on_the_demonstration_plans() {
    for name in PLANS {
        let weighed = WEIGHED.iter().find(|(weighed, _)| *weighed == name).map_or(&[][..], |(_, sets)| sets);
        let plan = plan(name, weighed);
        let settings = Settings { band_times_s: times_s(), ..Settings::default() };
        let (quick, quick_next) = study(&plan, &settings);
        let Made::StandIn(stand_in) = &quick.made else { panic!("{name}: {:?}", quick.made) };
        assert!(stand_in.certificate().inside_kg <= 0.025, "{name}: {:?}", stand_in.certificate());
        let (run, run_next) = study(&plan, &Settings { draws: Some(2048), ..settings });
        assert_eq!(run.made, Made::Trials { refused: None });
        for answer in STATED {
            let ends = |found: &DoubtStudy| {
                let values: Vec<f64> = found.rows[..2048].iter().map(|row| answer.of(row)).collect();
                Summary::of(&values, 0.95).expect("values")
            };
            let (said, seen) = (ends(&quick), ends(&run));
            let off_kg = |to: &Summary| {
                let (low, high) = (to.symmetric.low - seen.symmetric.low, to.symmetric.high - seen.symmetric.high);
                low.abs().max(high.abs())
            };
            let by_chance_kg = 3.0 * stand_in.certificate().inside_kg / 51f64.sqrt();
            assert!(off_kg(&said) < ENDS_KG + by_chance_kg, "{name}, {answer:?}: {} kg", off_kg(&said));
            assert!((said.std_uncertainty / seen.std_uncertainty - 1.0).abs() < 0.005, "{name}, {answer:?}");
            let whole = quick.outlook.summary(answer).expect("a summary");
            // ends of 2048 draws scatter by 14 to 59 g on these plans, measured with twelve seeds
            let scatter_kg = 2.0 * 0.060;
            assert!(off_kg(whole) < ENDS_KG + scatter_kg, "{name}, {answer:?}: {} kg", off_kg(whole));
        }
        // the band at every time from the same draws, a pixel of the figure is 20 g or more
        let (quick_band, run_band) = (quick.band.expect("a band"), run.band.expect("a band"));
        assert_eq!(quick_band.draws, 2048);
        for (said, seen) in quick_band.interval_kg.iter().zip(&run_band.interval_kg) {
            assert!((said.low - seen.low).abs() < 0.02 && (said.high - seen.high).abs() < 0.02, "{name}");
        }
        // shares of the variance, from pairs that are run and from pairs that are not
        assert_eq!(quick_next.runs, 0);
        for one in &quick_next.factors {
            let other = run_next.factors.iter().find(|other| other.factor == one.factor).expect("the factor");
            for (said, seen) in one.total.iter().zip(&other.total) {
                assert!((said.0 - seen.0).abs() < 0.02, "{name}, {}: {said:?}, run {seen:?}", one.factor.label);
            }
            // what knowing it is worth: half-widths of 2048 and 8192 draws scatter by two parts in a hundred
            if let (Some(said), Some(seen)) = (&one.known_half_width_kg, &other.known_half_width_kg) {
                assert!((said[0] / seen[0] - 1.0).abs() < 0.06, "{name}, {}: {said:?}, {seen:?}", one.factor.label);
            }
        }
    }
}

// A suit bottle so small that it runs dry on the way down in half of the draws: without it the suit is squeezed, and the
// answers have a kink. An additive quadratic is off by half a kilogram there.
#[test]
fn a_kinked_plan_is_run() {
    let plan =
        plan("cold-trimix", &[("cylinder.argon.fill", "15 ± 10 bar"), ("suit.start", "supply"), WEIGHED[0].1[0]]);
    let settings = Settings { max_draws: 2048, ..Settings::default() };
    let (found, next) = study(&plan, &settings);
    let Made::Trials { refused: Some(Refusal::Off { off_kg, limit_kg, .. }) } = &found.made else {
        panic!("{:?}", found.made)
    };
    assert!(*off_kg > 0.1 && *limit_kg < 0.11, "{off_kg} kg, {limit_kg} kg");
    // what follows is what plain trials say, to the last bit
    let (plain, _) = study(&plan, &Settings { stand_in: false, ..settings.clone() });
    assert_eq!(plain.made, Made::Trials { refused: None });
    assert!((&found.rows, &found.outlook) == (&plain.rows, &plain.outlook));
    // What the suit bottle's fill is worth is told from these trials, bent as they are: a plan that knows it gives as
    // much. Half-widths of 2048 draws scatter by two parts in a hundred; the fill's own effect, a parabola through a
    // kink, leaves three more.
    let fill = next.factors.iter().find(|one| one.factor.label == "argon, fill").expect("the factor");
    let told_kg = fill.known_half_width_kg.as_ref().expect("it matters");
    let (known, _) = study(
        &self::plan("cold-trimix", &[("cylinder.argon.fill", "15 bar"), ("suit.start", "supply"), WEIGHED[0].1[0]]),
        &settings,
    );
    for (i, answer) in [(0, Answer::Least), (1, Answer::Most)] {
        let given_kg = known.outlook.summary(answer).expect("a summary").symmetric.half_width();
        assert!(told_kg[i] < 0.7 * next.half_width_kg[i]);
        assert!((told_kg[i] / given_kg - 1.0).abs() < 0.08, "{answer:?}: told {} kg, given {given_kg} kg", told_kg[i]);
    }
}

#[test]
fn a_plan_that_runs_out_of_gas_or_fails_is_run() {
    let settings = Settings { max_draws: 256, ..Settings::default() };
    let dry = study(&plan("single-wetsuit", &[("breathing.rate", "28 ± 8 L/min")]), &settings).0;
    assert!(matches!(dry.made, Made::Trials { refused: Some(Refusal::OutOfGas { .. }) }), "{:?}", dry.made);
    // a light of 1.7 kg cannot read less than that
    let never = study(&plan("cold-trimix", &[("part[6].in_water", "-1.5 ± 0.4 kg")]), &settings).0;
    assert!(matches!(never.made, Made::Trials { refused: Some(Refusal::Failed { .. }) }), "{:?}", never.made);
}

#[test]
fn the_same_to_the_last_bit_for_any_number_of_threads() {
    let plan = plan("mountain-lake", &[]);
    let with = |threads| study(&plan, &Settings { threads, band_times_s: times_s(), ..Settings::default() });
    let one = with(1);
    assert!(one.0.stand_in().is_some());
    // thousands of rows: no failure should print them
    assert!(one == with(2));
    assert!(one == with(8));
}

// Nobody has run the dives that would tell one in a thousand.
#[test]
fn no_probability_below_one_in_a_hundred_is_told() {
    let (found, _) = study(&plan("single-wetsuit", &[]), &Settings::default());
    let chances: Vec<_> = found.outlook.risks.iter().map(|(_, chance)| *chance).collect();
    assert!(chances.iter().any(|chance| chance.is_below_floor()), "{chances:?}");
    for chance in chances {
        assert_eq!(chance.floor_frac, 0.01);
        assert!(chance.confidence.high >= 0.01 || !chance.is_below_floor(), "{chance:?}");
        assert!(!chance.is_below_floor() || chance.confidence.low == 0.0, "{chance:?}");
    }
    // the doubt of a chance holds what the surrogate is off: wider than chance alone would make it
    let own = found.outlook.own_lead;
    let alone = lightpoint::internals::study::doubt::Chance::new(own.hits, own.of);
    assert!(own.confidence.low < alone.confidence.low && own.confidence.high > alone.confidence.high);
}
