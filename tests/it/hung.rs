//! Checks of how the diver hung: they move the places of things, and only as far as they can be believed.

use lightpoint::internals::answer::{HungExpected, Ready, TrimFacts};
use lightpoint::internals::estimate::doubt::standard_uncertainty;
use lightpoint::internals::findings::trim::Lever;
use lightpoint::internals::physics::place::Moment;
use lightpoint::internals::plan::checks::{CheckRow, HungRow, checks_from};
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::scenario::Scenario;
use lightpoint::internals::sim;
use lightpoint::internals::study::Pieces;
use lightpoint::internals::study::calibrate::hung::HungCheck;
use lightpoint::internals::study::calibrate::{Against, Check, Gauge, Outcome, WaterThen, WingThen};
use lightpoint::internals::study::doubt::{Draws, Sequence};
use lightpoint::internals::units::UnitSystem;

/// The wet suit diver, with something added.
fn wet(more: &str) -> Plan {
    let text = std::fs::read_to_string("profiles/single-wetsuit.toml").expect("a plan");
    Plan::parse(&format!("{text}\n{more}"), "wet.toml", "profiles").expect("a plan")
}

/// A check at rest at 5 m, half full, as the plan has it but for what is added.
fn check(seen: &str) -> String {
    format!("[[weight_check]]\ndepth = \"5 m\"\nback = \"100 bar\"\n{seen}\n")
}

fn ready(plan: &Plan) -> Ready {
    Ready::of(plan).expect("an answer")
}

/// What the study sees of [`check`] with the pitch `pitch_rad`.
fn seen(pitch_rad: f64) -> HungCheck {
    let check = Check {
        label: String::new(),
        depth_m: 5.0,
        cylinders: vec![Gauge { cylinder: 0, gauge_pa: 100e5 }],
        lead_kg: None,
        wing: WingThen::Empty,
        water: WaterThen::AsPlanned,
        more_m3: 0.0,
        outcome: Outcome::Neutral,
        doubt: lightpoint::internals::plan::checks::CHECK_DOUBT,
    };
    HungCheck { check, wing_holds: true, extra: vec![], pitch_rad }
}

fn moment(scenario: &Scenario) -> Moment {
    seen(0.0).moment(scenario).expect("all places")
}

/// Half-widths of all distances, m.
fn standard_m(built: &Built) -> Vec<f64> {
    let doubts = built.uncertain_places().filter_map(|input| input.estimate.doubt.as_ref());
    doubts.map(standard_uncertainty).collect()
}

// The moment of the check is that of a lever with what was worn: by hand from the list of terms of a run that stands at the
// same depth, which holds the diver neutral by the wing as the check says. The dive reaches 5 m with a cylinder that is not at
// 100 bar, so the check asks for the pressure it has. Tolerance: the run holds neutral within a gram, a check reads the gauge
// with the wing blown already; a gram at half a metre is 5·10⁻⁴ kg·m.
#[test]
fn a_check_sees_the_diver_that_a_run_does() {
    let built = wet("").build().expect("a dive");
    let trace = sim::run(&built.scenario).expect("a run");
    let now = trace.at(&built.scenario, trace.last().state.time_s - 61.0);
    let rows = trace.at(&built.scenario, now.state.time_s);
    let lever = Lever::of(&built.scenario).expect("places").moment(&built.scenario, &rows);
    let layer = rows.ambient.layer;
    let density = now.state.cylinder_mol[0] / built.scenario.rig().cylinders[0].water_m3();
    let mut one = seen(0.0);
    one.check.depth_m = now.state.depth_m;
    // the pressure of that density by bisection
    let (mut low_pa, mut high_pa) = (1e5, 250e5);
    for _ in 0..60 {
        let middle_pa = 0.5 * (low_pa + high_pa);
        let is_more = built.scenario.isotherm(layer, 0).density_mol_m3(middle_pa + 101_325.0) > density;
        if is_more { high_pa = middle_pa } else { low_pa = middle_pa }
    }
    one.check.cylinders[0].gauge_pa = low_pa;
    let found = one.moment(&built.scenario).expect("places");
    assert!((found.along_kg_m - lever.along_kg_m).abs() < 5e-4, "{found:?} {lever:?}");
    assert!((found.up_kg_m - lever.up_kg_m).abs() < 5e-4, "{found:?} {lever:?}");
}

/// A diver whose weights are known, and the place of everything but the gas of the wing.
const KNOWN: &str = r#"title = "One doubt (invented)"
[site]
temperature = "19 °C"
salinity = "35 PSU"
[diver]
mass = "75 kg"
volume = "76 L"
height = "1.75 m"
buoyancy_ahead = "2 cm"
buoyancy_above = "1 cm"
swim_up = "4 kg"
lung_trim = "0.5 L"
[[part]]
name = "plate"
mass = "3 kg"
density = "8000 kg/m3"
at = { along = "-22 cm", up = "12 cm" }
[[ballast]]
name = "belt"
mass = "8 kg"
density = "11340 kg/m3"
at = { along = "-12 cm", up = "-12 cm" }
[wing]
mass = "1 kg"
volume = "1 L"
capacity = "15 L"
supply = "back"
gas_at = { along = "-24 ± 8 cm (95%)", up = "15 cm" }
[[cylinder]]
name = "back"
water = "12 L"
mass = "14 kg"
external = "15.5 L"
length = "60 cm"
at = { along = "0 cm", up = "22 cm" }
gas = "air"
fill = "200 bar"
[breathing]
rate = "16 L/min"
[dive]
[[dive.leg]]
to = "10 m"
speed = "10 m/min"
[[dive.leg]]
stay = "10 min"
[[dive.leg]]
to = "0 m"
speed = "10 m/min"
"#;

/// Lines of [`KNOWN`] that say where things are.
const AT: [&str; 4] = ["at = {", "gas_at", "length", "buoyancy_"];

/// A plan of which one distance alone is in doubt: how far headward the gas of the wing lies. All others are written, and
/// nothing of its weights is in doubt.
fn one_doubt(more: &str) -> Plan {
    Plan::parse(&format!("{KNOWN}{more}"), "one.toml", "").expect("a plan")
}

/// Ten degrees lower than a plan expects, and its words.
fn ten_lower(built: &Built) -> (f64, String) {
    let pitch_deg = moment(&built.scenario).pitch_rad().to_degrees().round() - 10.0;
    let way = if pitch_deg < 0.0 { "down" } else { "up" };
    (pitch_deg, format!("hung = \"head {way} {:.0} ± 8°\"", pitch_deg.abs()))
}

// Closed form, by hand: x ~ N(x̄, u²); at the pitch seen f = Mx·cos θ − Mz·sin θ is f₀ + g·(x − x̄) with g = b·cos θ, b the lift
// of the wing's gas, and has the noise r = m·u_θ with E[m²] = m₀² + (b·sin θ·u)². The update of a normal distribution (a text
// book's, from memory): x̄ − g·u²·f₀/(g²u² + r²), u²·r²/(g²u² + r²). 10 parts in 10⁹ for what the slope's small step leaves.
#[test]
fn one_doubtful_place_is_updated_as_by_hand() {
    let prior = one_doubt("").build().expect("a dive");
    let doubtful: Vec<_> = prior.uncertain_places().filter(|input| input.path.first() == "wing").collect();
    assert_eq!(doubtful.len(), 1);
    let index = prior.uncertain_places().position(|input| input.path.first() == "wing").expect("the wing");
    let (x_m, u_m) = (doubtful[0].estimate.value, standard_uncertainty(&doubtful[0].estimate.doubt.expect("a doubt")));
    assert!((u_m - 0.08 / 1.959_963_985).abs() < 1e-9, "{u_m}"); // 95 % of a normal distribution, tables
    let (pitch_deg, words) = ten_lower(&prior);
    let pitch_rad = pitch_deg.to_radians();
    let moment = seen(pitch_rad).moment(&prior.scenario).expect("places");
    // lift of the wing's gas: by how much the moment moves with it
    let moved = |by_m: f64| {
        let mut at = prior.central_places();
        at[index] += by_m;
        let dive = one_doubt("").build_placed(&prior.central(), &at, &prior).expect("a dive");
        seen(pitch_rad).moment(&dive).expect("places")
    };
    let wing_kg = (moved(0.1).along_kg_m - moment.along_kg_m) / 0.1;
    assert!(wing_kg > 1.0, "{wing_kg}");
    let (sin, cos) = pitch_rad.sin_cos();
    let (f, m) = (moment.along_kg_m * cos - moment.up_kg_m * sin, moment.along_kg_m * sin + moment.up_kg_m * cos);
    let g = wing_kg * cos;
    let u_pitch_rad = 8f64.to_radians() / 1.959_963_985;
    let noise2 = u_pitch_rad.powi(2) * (m * m + (wing_kg * sin * u_m).powi(2));
    let s = g * g * u_m * u_m + noise2;
    let (after_m, after_u_m) = (x_m - g * u_m * u_m * f / s, u_m * (noise2 / s).sqrt());
    let plan = one_doubt(&check(&words));
    let Ready { built, checked } = ready(&plan);
    let checked = checked.expect("a check");
    assert_eq!(checked.hung.verdicts[0].against, None, "{:?}", checked.hung.verdicts);
    assert!((checked.hung.verdicts[0].residual_ratio - f / s.sqrt()).abs() < 1e-6);
    let ties = built.place_ties.as_ref().expect("moved");
    assert!((ties.mean[index] - after_m).abs() < 1e-8, "{} {after_m}", ties.mean[index]);
    assert!((ties.standard_m()[index] - after_u_m).abs() < 1e-8, "{} {after_u_m}", ties.standard_m()[index]);
    // and the dive is that of the new middle
    let dive = plan.build_placed(&built.central(), &ties.mean, &built).expect("a dive");
    assert_eq!(dive, built.scenario);
}

// Recovery over 200 divers whose weights are known: all places drawn from what is usual; each is seen to hang at a pitch with
// an error of its own (± 10°, 95 %). The torque of the true diver held level at that moment must lie in the 95 % interval in 95
// of 100 cases: of 200, within 190 ± 9 (three standard deviations of the binomial distribution, √(200·0.95·0.05) = 3.1). Divers
// who would hang steeper than is written, or on their backs, give no check and are left out. Lead is at the chest and the
// cylinder floats, so that few do.
#[test]
fn the_truth_lies_in_95_of_100_intervals() {
    const CASES: usize = 200;
    let usual = |line: &&str| !AT.iter().any(|key| line.starts_with(key));
    let text: Vec<&str> = KNOWN.lines().filter(usual).collect();
    let text = text.join("\n").replace("mass = \"8 kg\"", "mass = \"8 kg\"\nat = \"chest\"");
    let plan = Plan::parse(&text, "usual.toml", "").expect("a plan");
    let built = plan.build().expect("a dive");
    let central = built.central();
    let draws = Draws::new(&built.places, Sequence::Random, 11);
    let errors = Draws::new(&built.places, Sequence::Random, 12);
    let (mut hits, mut cases) = (0, 0);
    for case in 0..1000 {
        if cases == CASES {
            break;
        }
        let truth = plan.build_placed(&central, &draws.values(case), &built).expect("a dive");
        let true_moment = moment(&truth);
        // an error from a coordinate of another sequence: standard normal by its score
        let error = errors.score(0, errors.coordinates(case)[0]);
        let u_rad = HungRow::LEVEL.standard_rad();
        let pitch_deg = (true_moment.pitch_rad() + error * u_rad).to_degrees();
        if true_moment.up_kg_m <= 0.0 || pitch_deg.abs() > 60.0 {
            continue;
        }
        cases += 1;
        let way = if pitch_deg < 0.0 { "down" } else { "up" };
        let seen = format!("hung = \"head {way} {:.3}°\"", pitch_deg.abs());
        let with = Plan::parse(&format!("{text}\n{}", check(&seen)), "usual.toml", "").expect("a plan");
        let found = ready(&with).built;
        let Some(ties) = &found.place_ties else { continue }; // one that contradicts misses
        let level = |at: &[f64]| moment(&with.build_placed(&central, at, &found).expect("a dive")).along_kg_m;
        let middle = level(&ties.mean);
        let by = ties.moves.iter().map(|moved| {
            let at: Vec<f64> = ties.mean.iter().zip(moved).map(|(at, by)| at + by).collect();
            (level(&at) - middle).powi(2)
        });
        let deviation = by.sum::<f64>().sqrt();
        hits += usize::from((true_moment.along_kg_m - middle).abs() < 1.96 * deviation);
    }
    assert_eq!(cases, CASES, "too few divers hang near level");
    assert!((181..=199).contains(&hits), "{hits} of {CASES}");
}

/// A check that agrees leaves places better known, the torque most of all.
#[test]
fn a_check_that_agrees_narrows_the_doubt() {
    let plain = wet("");
    let before = plain.build().expect("a dive");
    // what the plan expects, told to the degree
    let expected_deg = moment(&before.scenario).pitch_rad().to_degrees();
    let seen = match expected_deg {
        deg if deg.abs() > 60.0 => "needed = \"0.5 kg at the tail\"".to_owned(),
        deg if deg < 0.0 => format!("hung = \"head down {:.0} ± 5°\"", -deg),
        deg => format!("hung = \"head up {deg:.0} ± 5°\""),
    };
    let plan = wet(&check(&seen));
    let Ready { built, checked } = ready(&plan);
    let hung = checked.expect("a check").hung;
    assert_eq!(hung.used(), (1, 1), "{:?}", hung.verdicts);
    let (then, now) = (standard_m(&before), standard_m(&built));
    assert!(now.iter().zip(&then).all(|(now, then)| *now <= then + 1e-12));
    assert!(now.iter().zip(&then).any(|(now, then)| *now < 0.99 * then));
    let doubt =
        |plan: &Plan| TrimFacts::of(plan, &Pieces::Usual(UnitSystem::Metric)).expect("a trim").doubt.half_width_nm;
    let (then_nm, now_nm) = (doubt(&plain), doubt(&plan));
    assert!(now_nm < 0.9 * then_nm, "{now_nm} {then_nm}");
    // it says nothing of the lead
    assert_eq!(built.central(), before.central());
    assert_eq!(built.ties, None);
}

/// A check that no place in doubt explains is told, left out, and moves nothing; one beside it that agrees is used.
#[test]
fn a_check_that_contradicts_is_left_out() {
    let bad = check("needed = \"15 kg at the ankles\"");
    let alone = ready(&wet(&bad));
    let verdicts = alone.checked.expect("a check").hung.verdicts;
    assert_eq!(verdicts[0].against, Some(Against::Plan));
    assert!(verdicts[0].residual_ratio.abs() > 3.0);
    assert_eq!(alone.built.place_ties, None);
    assert_eq!(alone.built.scenario, wet("").build().expect("a dive").scenario);
    let good = check("needed = \"1 kg at the tail\"");
    let both = ready(&wet(&format!("{bad}{good}")));
    assert_eq!(both.checked.expect("checks").hung.used(), (1, 2));
    let only = ready(&wet(&good)).built.place_ties.expect("used");
    let with = both.built.place_ties.expect("used");
    for (a, b) in only.mean.iter().zip(&with.mean) {
        // both make draws of the same weights, so they say the same
        assert!((a - b).abs() < 1e-9, "{a} {b}");
    }
}

// What `needed` expects is the lead with which the diver is level: with it as a part of the plan at that place, the torque of
// the diver held level is none. A gram at a metre is 10⁻³ kg·m; the wing follows, so it is linear within its own gas.
#[test]
fn what_is_needed_makes_the_diver_level() {
    let checked = ready(&wet(&check("needed = \"1 kg at the tail\""))).checked.expect("a check");
    let HungExpected::Needed { lead_kg: kg } = checked.hung.verdicts[0].expected else { panic!("lead") };
    let built = wet("").build().expect("a dive");
    assert!(kg.abs() > 0.05, "{kg}: the test says nothing of a diver who is level already");
    let at = lightpoint::internals::plan::typical::places::place("tail").expect("a place").on(&built.stance).0;
    let mut with = seen(0.0);
    with.extra.push((kg, at));
    let level = with.moment(&built.scenario).expect("places");
    assert!(level.along_kg_m.abs() < 1e-3 * moment(&built.scenario).along_kg_m.abs().max(1.0), "{level:?} {kg}");
    // lead at the feet lets the head up, lead at the head lets it sink
    let by = |along_m: f64| {
        let mut one = seen(0.0);
        one.extra.push((1.0, lightpoint::internals::physics::place::Point::new(along_m, 0.0, 0.0)));
        one.moment(&built.scenario).expect("places").along_kg_m - moment(&built.scenario).along_kg_m
    };
    assert!(by(-1.4) > 0.5 && by(0.2) < 0.0, "{} {}", by(-1.4), by(0.2));
}

/// Which way it moves: a diver seen lower than expected has a more head-heavy plan.
#[test]
fn places_move_to_where_the_diver_was_seen() {
    let before = one_doubt("").build().expect("a dive");
    let after = ready(&one_doubt(&check(&ten_lower(&before).1))).built;
    let (before, after) = (moment(&before.scenario), moment(&after.scenario));
    assert!(after.along_kg_m < before.along_kg_m && before.up_kg_m > 0.0, "{before:?} {after:?}");
}

/// The same check as a table of the plan and as a row of a file.
#[test]
fn a_file_says_the_same_as_a_plan() {
    let plan = wet("");
    let text = "depth_m,back_bar,hung,needed,note\n5,100,head down 10 ± 8°,0.5 kg at the ankles,seen by two\n5,,,,\n";
    let rows = checks_from(text, "checks.csv", &["back"]).expect("rows");
    assert_eq!(rows.len(), 1, "a line that was not filled in");
    assert!(rows[0].outcome.is_none());
    let by_file = Plan::parse(&plan.with_checks(&rows), "wet.toml", "profiles").expect("a plan");
    let by_table =
        wet(&check("hung = \"head down 10 ± 8°\"\nneeded = \"0.5 kg at the ankles\"\nnote = \"seen by two\""));
    let (a, b) = (ready(&by_file), ready(&by_table));
    assert_eq!(a.built.place_ties, b.built.place_ties);
    assert_eq!(a.checked.expect("checks").hung, b.checked.expect("checks").hung);
    let own: Vec<&CheckRow> = rows.iter().collect();
    assert_eq!(own[0].hung.expect("a pitch").pitch_rad, (-10f64).to_radians());
}

/// A check of the lead that says how the diver hung too corrects both, the lead as without it.
#[test]
fn a_check_may_say_both() {
    let lead = "lead = \"3.5 kg\"\noutcome = \"needed 0.3 kg\"";
    let both = ready(&wet(&check(&format!("{lead}\nhung = \"level\""))));
    let only = ready(&wet(&check(lead)));
    assert_eq!(both.built.ties, only.built.ties);
    assert_eq!(both.built.inputs, only.built.inputs);
    assert!(both.built.place_ties.is_some() && only.built.place_ties.is_none());
    let checked = both.checked.expect("a check");
    assert_eq!((checked.used(), checked.hung.used()), ((1, 1), (1, 1)));
}

/// A plan without such a check is what it was.
#[test]
fn without_a_check_nothing_moves() {
    let plan = wet("");
    let Ready { built, checked } = ready(&plan);
    assert_eq!(checked, None);
    assert_eq!(built, plan.build().expect("a dive"));
}

/// `--set` comes after the check: places that both rigs have are moved as the plan as written says.
#[test]
fn a_change_does_not_change_how_the_diver_hung() {
    let plan = wet(&check("hung = \"head down 10°\""));
    let written = ready(&plan);
    let other = plan.with_sets(&[("ballast[1].count".into(), "2".into())]).expect("a plan");
    let changed = ready(&other);
    let (a, b) = (written.checked.expect("a check").hung, changed.checked.expect("a check").hung);
    assert_eq!(a.verdicts[0].expected, b.verdicts[0].expected);
    assert!((a.verdicts[0].off_nm - b.verdicts[0].off_nm).abs() < 1e-6);
    let (a, b) = (written.built.place_ties.expect("used"), changed.built.place_ties.expect("used"));
    for (i, (a, b)) in a.mean.iter().zip(&b.mean).enumerate() {
        assert!((a - b).abs() < 1e-6, "{i}: {a} {b}");
    }
}

/// `calibrate --figures` writes a moved distance where it can be written, and the plan with it builds there.
#[test]
fn moved_distances_are_written_into_the_plan() {
    let bare = one_doubt("");
    let built = bare.build().expect("a dive");
    let plan = one_doubt(&check(&ten_lower(&built).1));
    let Ready { checked, .. } = ready(&plan);
    let hung = checked.expect("a check").hung;
    let moved: Vec<_> = hung.moved.iter().map(|moved| (moved.input, moved.after)).collect();
    assert!(!moved.is_empty());
    let found = bare.calibrated_with_places(&built, &[], &moved);
    assert_eq!(found.places_left, vec![]);
    let again = Plan::parse(&found.text, "one.toml", "").expect("a plan").build().expect("a dive");
    for (index, estimate) in moved {
        let now = again.uncertain_places().nth(index).expect("a distance").estimate;
        // two digits of the doubt
        let half_m = estimate.doubt.expect("a doubt").half_width;
        assert!((now.value - estimate.value).abs() < 0.1 * half_m, "{now:?} {estimate:?}");
        assert!((now.doubt.expect("a doubt").half_width / half_m - 1.0).abs() < 0.06);
    }
}
