//! Checks that a plan has: they correct every answer, also from another rig, and only as far as they can be believed.

use lightpoint::internals::answer::{DiveFacts, Logged, Ready};
use lightpoint::internals::estimate::Figures;
use lightpoint::internals::estimate::doubt::{normal_quantile, standard_uncertainty};
use lightpoint::internals::plan::checks::log::log_from;
use lightpoint::internals::plan::checks::{Breath, EYE_LEVEL_OUT_M3};
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::scenario::LEAD_KG_M3;
use lightpoint::internals::study::calibrate::{
    Against, Check, Gauge, Outcome, RigThen, Take, WaterThen, WingThen, correct,
};
use lightpoint::internals::study::doubt::draw::unit_point;
use lightpoint::internals::study::doubt::{Draws, Sequence};
use lightpoint::internals::study::lead_bounds;
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA};

/// The wet suit diver, with something added.
fn wet(more: &str) -> Plan {
    let text = std::fs::read_to_string("profiles/single-wetsuit.toml").expect("a plan");
    Plan::parse(&format!("{text}\n{more}"), "wet.toml", "profiles").expect("a plan")
}

fn ready(plan: &Plan) -> Ready {
    Ready::of(plan).expect("an answer")
}

fn least_kg(built: &Built) -> f64 {
    lead_bounds(&built.scenario).expect("bounds").least_kg
}

// Who hangs neutral at the last stop with the cylinder at its reserve has measured the least lead itself: it is the lead
// carried, and as doubtful as the check, over what a kilogram of lead pulls. Tolerance: a twentieth of the half-width, for
// the check knows nothing of salinity and temperature beyond the site's, and ends come from draws.
#[test]
fn a_check_of_the_planned_rig_pins_the_least_lead() {
    let plan = wet(
        "[[weight_check]]\ndepth = \"5 m\"\nlead = \"3.5 kg\"\nback = \"40 bar\"\noutcome = \"neutral\"\ndoubt = \"0.3 kg (95%)\"\n",
    );
    let facts = DiveFacts::of(&plan).expect("an answer");
    let pull = 1.0 - facts.built.scenario.water().density_kg_m3(0, 5.0) / LEAD_KG_M3;
    let interval = facts.trials.interval();
    let half_kg = 0.5 * (interval.high - interval.low);
    assert!((half_kg - 0.3 / pull).abs() < 0.05 * 0.3, "{half_kg}");
    // the prior, ± 1.2 kg, pulls by (0.3/1.2)² of what the check found
    let found_kg = facts.lead.least_kg;
    let before_kg = least_kg(&wet("").build().expect("a dive"));
    let expected_kg = before_kg + (3.5 - before_kg) * (1.0 - (0.3f64 / 1.2).powi(2));
    assert!((found_kg - expected_kg).abs() < 0.02, "{found_kg} {expected_kg}");
}

// Without `breath` a diver at eye level has taken a usual breath; what is out of the water does not lift.
#[test]
fn eye_level_is_a_diver_with_a_head_half_out() {
    let found = |breath: &str| {
        let plan = wet(&format!(
            "[[weight_check]]\nwater = \"fresh\"\ndepth = \"0 m\"\nlead = \"4 kg\"\nback = \"50 bar\"\noutcome = \"eye level\"\n{breath}"
        ));
        let checked = ready(&plan).checked.expect("a check");
        (checked.checks[0].clone(), checked.checks[0].predicted(&checked.scenario_before))
    };
    let (check, usual) = found("");
    let more_m3 = Breath::Normal.more_m3().value - EYE_LEVEL_OUT_M3.value;
    assert!((check.more_m3 - more_m3).abs() < 1e-15 && check.outcome == Outcome::Neutral);
    let bare = Check { more_m3: 0.0, ..check.clone() }.predicted(&wet("").build().expect("a dive").scenario);
    assert!((usual.net_kg - bare.net_kg - more_m3 * usual.water_kg_m3).abs() < 1e-9);
    // u² = u_check² + ρ²(u_out² + u_lungs²) + (V·u_ρ)², all of 95 % but the water, even over ± 0.9 kg/m³
    let lungs = standard_uncertainty(&Breath::Normal.more_m3().doubt.expect("a doubt"));
    let out = standard_uncertainty(&EYE_LEVEL_OUT_M3.doubt.expect("a doubt"));
    let squares = [
        0.7 / normal_quantile(0.975),
        usual.water_kg_m3 * lungs,
        usual.water_kg_m3 * out,
        usual.volume_m3 * 0.9 / 3f64.sqrt(),
    ];
    let expected_kg = squares.iter().map(|u| u * u).sum::<f64>().sqrt();
    // the volume with and without what is out of the water: a part in fifty of the smallest term
    assert!((check.sigma_kg() - expected_kg).abs() < 1e-3, "{} {expected_kg}", check.sigma_kg());
    // more in the lungs, and the same diver must be heavier by it
    let (_, full) = found("breath = \"full\"\n");
    let more_kg = usual.water_kg_m3 * (Breath::Full.more_m3().value - Breath::Normal.more_m3().value);
    assert!((full.net_kg - usual.net_kg - more_kg).abs() < 1e-9);
}

const OTHER: &str = "{ suit = { name = \"thick\", mass = \"4 kg\", foam = { volume = \"9 ± 2 L\" } }, cylinder = \"steel 12 L 232 bar\" }";

fn with_rig(rig: &str) -> String {
    format!(
        "[[weight_check]]\nwater = \"pool\"\ndepth = \"3 m\"\nlead = \"1 kg\"\nback = \"50 bar\"\noutcome = \"needed 0.5 kg\"\nrig = {rig}\n"
    )
}

/// Another rig as tables is the same as another rig as a plan of its own.
#[test]
fn another_rig_by_its_tables_or_by_its_file() {
    let by_tables = ready(&wet(&with_rig(OTHER)));
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string("profiles/single-wetsuit.toml").expect("a plan");
    std::fs::copy("profiles/gear.csv", folder.path().join("gear.csv")).expect("copied");
    let (start, end) = (text.find("[suit]").expect("a suit"), text.find("[[part]]").expect("parts"));
    let suit = "[suit]\nname = \"thick\"\nmass = \"4 kg\"\nfoam = { volume = \"9 ± 2 L\" }\n\n";
    let other =
        format!("{}{suit}{}", &text[..start], &text[end..]).replace("aluminium 11 L 207 bar", "steel 12 L 232 bar");
    std::fs::write(folder.path().join("other.toml"), other.replace("nitrox 32", "air")).expect("written");
    let plan = format!("{text}\n{}", with_rig("\"other.toml\""));
    let by_file = ready(&Plan::parse(&plan, "wet.toml", folder.path()).expect("a plan"));
    let (a, b) = (by_tables.checked.expect("a check"), by_file.checked.expect("a check"));
    for (one, other) in a.correction.after.iter().zip(&b.correction.after) {
        assert!((one.value - other.value).abs() < 1e-9, "{one:?} {other:?}");
    }
    assert!((least_kg(&by_tables.built) - least_kg(&by_file.built)).abs() < 1e-6);
    // what only that rig has takes its share, and the planned rig is less sure than with a check of its own
    assert!(a.correction.elsewhere_kg.abs() > 0.01, "{}", a.correction.elsewhere_kg);
}

/// `--set` changes the plan after the check was made: the check is still one of the rig as it is written.
#[test]
fn a_change_does_not_change_the_day_of_the_check() {
    let check = "[[weight_check]]\nwater = \"pool\"\ndepth = \"3 m\"\nlead = \"4 kg\"\nback = \"50 bar\"\noutcome = \"neutral\"\n";
    let plan = wet(check);
    let written = ready(&plan).checked.expect("a check");
    let set = |key: &str, value: &str| ready(&plan.with_sets(&[(key.into(), value.into())]).expect("a plan"));
    let heavier = set("cylinder.back.size", "steel 12 L 232 bar");
    let checked = heavier.checked.expect("a check");
    let off_kg = |checked: &lightpoint::internals::answer::Checked| checked.correction.verdicts[0].off_kg;
    assert!((off_kg(&checked) - off_kg(&written)).abs() < 1e-9, "{} {}", off_kg(&checked), off_kg(&written));
    // what the check found of body and suit holds for the other cylinder too
    let found =
        |built: &Built, label: &str| built.inputs.iter().find(|input| input.label == label).expect(label).estimate;
    let same = ready(&plan).built;
    for label in ["diver, in water", "gas share of the foam"] {
        assert!((found(&heavier.built, label).value - found(&same, label).value).abs() < 1e-9, "{label}");
    }
    // of the diver it does
    let other = set("diver.in_water", "1.9 kg");
    assert!((off_kg(&other.checked.expect("a check")) - off_kg(&written)).abs() > 0.5);
}

/// A check that contradicts leads, is left out, and no lead is advised.
#[test]
fn a_check_that_contradicts_is_not_averaged_away() {
    let plan = wet("[[weight_check]]\ndepth = \"5 m\"\nlead = \"16 kg\"\nback = \"40 bar\"\noutcome = \"floated\"\n");
    let Ready { built, checked } = ready(&plan);
    let checked = checked.expect("a check");
    assert_eq!(checked.correction.verdicts[0].against, Some(Against::Plan));
    assert!((least_kg(&built) - least_kg(&wet("").build().expect("a dive"))).abs() < 1e-9);
    let dispute = checked.dispute.expect("both answers");
    assert!(dispute.by_checks_kg.expect("a diver") > dispute.by_figures_kg + 5.0, "{dispute:?}");
    let gear = std::fs::read_to_string("profiles/gear.csv").expect("a list");
    let text = crate::command::Cli::new(&["ballast", "plan.toml"])
        .plan(&plan.sources()[0].text)
        .file("gear.csv", gear)
        .ok()
        .stdout;
    let first = text.lines().nth(2).expect("an answer");
    assert!(first.starts_with("! Repeat the check"), "{text}");
    assert!(text.contains("none until the check is repeated"), "{text}");
}

// Recovery over 1 000 divers: figures drawn from what plan and rig of the check allow, the same things the same in both; a
// reading in the pool of one rig, with an error of its own; and the least lead of the other rig in the sea. It must lie in
// the 95 % interval in 95 of 100 cases: of 1 000, within 950 ± 21 (three standard deviations of the binomial distribution,
// √(1000·0.95·0.05) = 6.9). The interval is mean ± 1.96 deviations along a straight line, which the least lead of a plan
// of typical figures, all of them normal, nearly is.
#[test]
fn a_pool_check_carried_to_another_rig_and_water_is_right_in_95_of_100() {
    const CASES: u64 = 1000;
    let text = std::fs::read_to_string("profiles/ten-lines.toml").expect("a plan");
    let rig = "{ suit = \"wet 5 mm\", cylinder = \"aluminium 11 L 207 bar\" }";
    let plan = Plan::parse(&format!("{text}\n{}", with_rig(rig)), "short.toml", "").expect("a plan");
    let built = plan.build().expect("a dive");
    let (rig_plan, rig) = (&plan.other_rigs()[0], &built.rigs[0]);
    let own = |values: &[f64]| plan.build_draw(values, &built).map_err(|error| error.to_string());
    let other = |values: &[f64]| rig_plan.build_draw(values, rig).map_err(|error| error.to_string());
    let rigs = [RigThen { inputs: &built.inputs, build: &own }, RigThen { inputs: &rig.inputs, build: &other }];
    let draws = Draws::new(&built.inputs, Sequence::Random, 7);
    let rig_draws = Draws::new(&rig.inputs, Sequence::Random, 8);
    let uncertain: Vec<_> = built.uncertain().collect();
    let shared: Vec<Option<usize>> = rig
        .uncertain()
        .map(|one| uncertain.iter().position(|mine| mine.label == one.label && mine.estimate == one.estimate))
        .collect();
    assert!(shared.iter().any(Option::is_some) && shared.iter().any(Option::is_none));
    let least = |values: &[f64]| lead_bounds(&own(values).expect("a dive")).expect("bounds").least_kg;
    // slopes of the least lead in the scores, once
    let count = draws.factors().len();
    let slopes: Vec<f64> = (0..count)
        .map(|factor| {
            let at = |p: f64| {
                let mut point = vec![0.5; count];
                point[factor] = p;
                least(&draws.values_at(&point))
            };
            (at(0.75) - at(0.25)) / (2.0 * normal_quantile(0.75))
        })
        .collect();
    let sigma_kg = 0.7 / normal_quantile(0.975);
    let hits = (0..CASES)
        .filter(|&case| {
            let truth = draws.values(case);
            let mut then = rig_draws.values(case);
            then.iter_mut().zip(&shared).for_each(|(value, same)| *value = same.map_or(*value, |same| truth[same]));
            let mut check = Check {
                label: "pool".into(),
                depth_m: 3.0,
                cylinders: vec![Gauge { cylinder: 0, gauge_pa: 50e5 }],
                lead_kg: Some(1.0),
                wing: WingThen::Empty,
                water: WaterThen::Density { water_kg_m3: 997.0 },
                more_m3: 0.0,
                outcome: Outcome::Reading { lift_kg: 0.0 },
                doubt: lightpoint::internals::plan::checks::CHECK_DOUBT,
            };
            let error_kg = sigma_kg * normal_quantile(unit_point(Sequence::Random, 9, case, 1)[0]);
            let lift_kg = check.predicted(&other(&then).expect("a dive")).net_kg + error_kg;
            check.outcome = Outcome::Reading { lift_kg };
            let found = correct(&rigs, &[(1, check)], Take::All).expect("corrected");
            let figures = Figures { inputs: &built.inputs, ties: Some(&found.ties) };
            let mean_kg = least(Draws::new(figures, Sequence::Sobol, 1).central());
            let deviation_kg = found.ties.root.variance_of(&slopes).sqrt();
            (least(&truth) - mean_kg).abs() < normal_quantile(0.975) * deviation_kg
        })
        .count();
    assert!((929..=971).contains(&hits), "{hits} of {CASES}");
}

/// Gauges of a dive at another rate: the rate is found again, within what a gauge of ± 5 bar tells. A cylinder of 12 L gives
/// up 5 bar in three minutes at 18 m, so after half an hour that is a tenth of the rate, and two more readings make it less.
#[test]
fn the_gauges_of_a_dive_find_its_breathing_rate() {
    let short = std::fs::read_to_string("profiles/ten-lines.toml").expect("a plan");
    let rate =
        |rate: &str| Plan::parse(&format!("{short}\n[breathing]\nrate = \"{rate}\"\n"), "a.toml", "").expect("a plan");
    let truth = rate("14 L/min").build().expect("a dive");
    let trace = lightpoint::internals::sim::run(&truth.scenario).expect("a run");
    let shown_bar = |minutes: f64| {
        let now = trace.at(&truth.scenario, minutes * 60.0);
        (lightpoint::internals::sim::trace::pressure_pa(&truth.scenario, &now, 0) - ATMOSPHERE_PA) / BAR_PA
    };
    let rows: Vec<String> = [10.0, 20.0, 30.0].map(|min| format!("{min} min,{:.1} bar", shown_bar(min))).to_vec();
    let rows = log_from(&format!("time,back\n{}\n", rows.join("\n")), "gauges.csv", &["back"], 3600.0).expect("gauges");
    let found = Logged::of(&rate("18 ± 7 L/min (95%)"), &rows).expect("an answer");
    let uncertain: Vec<_> = found.built.uncertain().collect();
    let moved =
        found.correction.moved.iter().find(|moved| uncertain[moved.input].path == "breathing.rate").expect("moved");
    let litres = |m3_s: f64| m3_s * 60e3;
    assert!((litres(moved.after.value) - 14.0).abs() < 0.3, "{}", litres(moved.after.value));
    let doubt = litres(moved.after.doubt.expect("a doubt").half_width);
    assert!((0.5..1.5).contains(&doubt), "{doubt}");
    for one in &found.readings {
        assert!((one.corrected_pa - one.seen_pa).abs() < 2.0 * BAR_PA, "{one:?}");
        assert!(one.planned_pa < one.seen_pa, "{one:?}");
    }
    let again = Plan::parse(&found.plan.text, "b.toml", "").expect("a plan").build().expect("a dive");
    let written = again.inputs.iter().find(|input| input.path == "breathing.rate").expect("written");
    // two digits of the doubt
    assert!((written.estimate.value - moved.after.value).abs() < 0.1 / 60e3);
}

#[test]
fn bad_logs_are_told_with_their_place() {
    let told = |text: &str| log_from(text, "gauges.csv", &["back", "stage"], 3600.0).expect_err(text).to_string();
    for (text, expected) in [
        ("time,bak\n10 min,200 bar\n", "did you mean \"back\"?"),
        ("time\n10 min\n", "a column back or stage is missing"),
        ("time,back\n10,200 bar\n", "time: 10 has no unit"),
        ("time,back\n10 min,200 kg\n", "\"kg\" is not a unit of pressure"),
        ("time,back\n,200 bar\n", "line 2 has no time"),
        ("time,back\n10 min,\n", "no gauge was read in it"),
        ("time,back,doubt\n10 min,200 bar,0 bar\n", "doubt is 0 bar"),
        ("time,back\n2 h,200 bar\n", "time is 2 h, but the dive of the plan ends at 60 min"),
    ] {
        assert!(told(text).contains(expected), "{text}: {}", told(text));
    }
}

/// One word wrong in a check of a plan is told with its place and what was meant.
#[test]
fn bad_checks_of_a_plan_are_told_with_their_place() {
    let told = |check: &str| {
        let text = std::fs::read_to_string("profiles/single-wetsuit.toml").expect("a plan");
        let plan = Plan::parse(&format!("{text}\n[[weight_check]]\n{check}"), "wet.toml", "profiles");
        plan.and_then(|plan| plan.build()).expect_err(check).to_string()
    };
    for (check, expected) in [
        ("depth = \"3 m\"\noutcome = \"neutral\"\n", "check 1 has no pressure of any cylinder"),
        ("outcome = \"neutral\"\nback = \"50 bar\"\n", "check 1 has no depth"),
        ("depth = \"3 m\"\noutcome = \"flooted\"\nback = \"50 bar\"\n", "did you mean \"floated\"?"),
        ("depth = \"3 m\"\noutcome = \"neutral\"\nbak = \"50 bar\"\n", "did you mean \"back\"?"),
        ("depth = \"3 m\"\noutcome = \"neutral\"\nback = 50\n", "has no unit"),
        ("depth = \"3 m\"\noutcome = \"eye level\"\nback = \"50 bar\"\n", "eye level is at the surface"),
        ("depth = \"3 m\"\noutcome = \"neutral\"\nback = \"50 bar\"\nbreath = \"ful\"\n", "did you mean \"full\"?"),
        ("depth = \"3 m\"\noutcome = \"neutral\"\nback = \"50 bar\"\nrig = \"no.toml\"\n", "in the rig of this check"),
        (
            "depth = \"3 m\"\noutcome = \"neutral\"\nback = \"50 bar\"\nrig = { cylinder = \"steel 13\" }\n",
            "in the rig of this check: \"steel 13\" is not a size",
        ),
        (
            "depth = \"3 m\"\noutcome = \"neutral\"\nback = \"50 bar\"\nrig = { suti = \"x\" }\n",
            "did you mean \"suit\"?",
        ),
    ] {
        let told = told(check);
        assert!(told.contains(expected) && told.contains("wet.toml:"), "{check}: {told}");
    }
}

/// Another rig takes along what hung on the plan's cylinders, as often as it has cylinders, whether tables are written in
/// lines or under headings; a supply that is not there is its first cylinder.
#[test]
fn what_hangs_on_cylinders_follows_the_rig_of_the_check() {
    let rest = "[diver]\nmass = \"80 kg\"\n[suit]\nkind = \"wet 7 mm\"\n[wing]\ncapacity = \"18 L\"\nsupply = \"stage\"\n[dive]\ndepth = \"18 m\"\ntime = \"30 min\"\n";
    let check = "[[weight_check]]\ndepth = \"3 m\"\nlead = \"4 kg\"\nback = \"50 bar\"\noutcome = \"neutral\"\nrig = { cylinder = \"steel 12 L 232 bar\" }\n";
    let in_lines = "part = [{ name = \"regulator\", count = 3, mass = \"2 kg\", volume = \"0.6 L\" }, { name = \"plate\", mass = \"2.8 kg\", volume = \"0.3 L\" }]\n\
                    cylinder = [{ name = \"back\", size = \"twin steel 12 L 232 bar\", gas = \"air\", fill = \"200 bar\", with = \"regulator\" }, \
                    { name = \"stage\", size = \"aluminium 11 L 207 bar\", gas = \"air\", fill = \"200 bar\", with = \"regulator\" }]\n";
    let under_headings = "[[part]]\nname = \"regulator\"\ncount = 3\nmass = \"2 kg\"\nvolume = \"0.6 L\"\n[[part]]\nname = \"plate\"\nmass = \"2.8 kg\"\nvolume = \"0.3 L\"\n\
                          [[cylinder]]\nname = \"back\"\nsize = \"twin steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\nwith = \"regulator\"\n\
                          [[cylinder]]\nname = \"stage\"\nsize = \"aluminium 11 L 207 bar\"\ngas = \"air\"\nfill = \"200 bar\"\nwith = \"regulator\"\n";
    for text in [format!("{in_lines}{rest}{check}"), format!("{rest}{under_headings}{check}")] {
        let built = Plan::parse(&text, "hung.toml", "").expect("a plan").build().expect("a dive");
        let rig = built.rigs[0].scenario.rig();
        assert_eq!(rig.cylinders.len(), 1, "{text}");
        let hung: u32 = rig.cylinders[0].rigging().iter().map(|part| part.count).sum();
        let worn: Vec<&str> = rig.parts.iter().map(|part| part.name.as_str()).collect();
        assert!(hung == 1 && !worn.contains(&"regulator") && worn.contains(&"plate"), "{hung} {worn:?}\n{text}");
        // the plan itself has all three
        let own = built.scenario.rig();
        assert_eq!(own.cylinders.iter().map(|one| one.rigging()[0].count).collect::<Vec<_>>(), [2, 1]);
    }
}

/// A check that only says which way it went leaves the lead a guess, and no lead is advised.
#[test]
fn a_weak_check_advises_nothing() {
    let short = std::fs::read_to_string("profiles/ten-lines.toml").expect("a plan");
    let advised = |outcome: &str| {
        let check = format!(
            "[[weight_check]]\nwater = \"pool\"\ndepth = \"3 m\"\nlead = \"2 kg\"\nback = \"50 bar\"\noutcome = \"{outcome}\"\n"
        );
        crate::command::Cli::new(&["ballast", "plan.toml"]).plan(&format!("{short}{check}")).ok().stdout
    };
    let weak = advised("sank");
    assert!(weak.contains("! Advice             none yet") && weak.contains("in the pool with this rig"), "{weak}");
    assert!(advised("neutral").contains("  Advice             carry"), "{}", advised("neutral"));
}
