//! Under an overhead there is no way straight up: the load of a failed wing is the one at that depth, and a diver too light is
//! held by the ceiling.

use lightpoint::internals::answer::FailureAt;
use lightpoint::internals::findings::failed_wing::load_kg;
use lightpoint::internals::findings::{Findings, SuitUse};
use lightpoint::internals::physics::gas::EquationOfState;
use lightpoint::internals::physics::water::{Brine, Water};
use lightpoint::internals::plan::{Built, Plan, ProblemCode};
use lightpoint::internals::profile::{OverheadTime, Profile, ProfileError};
use lightpoint::internals::scenario::Scenario;
use lightpoint::internals::sim;
use lightpoint::internals::study::{LeadRange, Probe, lead_bounds};
use proptest::prelude::*;

use crate::command::{Cli, json};
use crate::parts::layers;
use crate::rig::random::dive;
use crate::support::{constant_water, square};

/// Sums of some hundred kilograms in another order, kg.
const ROUNDING_KG: f64 = 1e-9;

/// The same dive with legs under an overhead.
fn under(dive: &Scenario, legs: Vec<usize>) -> Scenario {
    let profile = dive.profile().clone().with_overhead(legs).unwrap();
    Scenario::new(dive.rig().clone(), dive.water().clone(), profile, *dive.settings()).unwrap()
}

/// The times under an overhead, from start to end.
fn times_s(profile: &Profile) -> Vec<(f64, f64)> {
    profile.overhead_times().iter().map(|&OverheadTime { start_s, end_s }| (start_s, end_s)).collect()
}

fn findings(dive: &Scenario) -> Findings {
    Findings::of(dive, &sim::run(dive).unwrap())
}

/// A square dive below fresh water of 12 m, nothing in it squeezed but the gas of the wing.
fn below_fresh_water() -> Scenario {
    let water: Water = layers(&[(0.0, Brine::Density(1000.0)), (12.0, Brine::Density(1025.0))], 283.15);
    square(0.0, water, Some(-3.0), EquationOfState::Ideal).scenario
}

/// Archimedes by hand: diver, rig and cylinder displace 0.100 + 0.0142 = 0.1142 m³, whose water weighs 25 kg/m³ less above
/// 12 m. Straight up the diver meets that, under an overhead at 30 m nobody does: 0.1142 · 25 = 2.855 kg.
#[test]
fn under_an_overhead_fresh_water_above_does_not_count() {
    let free = below_fresh_water();
    let roofed = under(&free, vec![1]);
    let trace = sim::run(&free).unwrap();
    let bottom = trace.at(&free, 600.0);
    let [up_kg, here_kg] = [&free, &roofed].map(|dive| load_kg(dive, &bottom, 1, SuitUse::Kept));
    assert!((up_kg - here_kg - 2.855).abs() < ROUNDING_KG, "{up_kg} {here_kg}");
    assert!((here_kg + bottom.balance.bare_kg()).abs() < ROUNDING_KG);
    // on the leg down, which is free, it is met all the same
    assert_eq!(load_kg(&free, &bottom, 0, SuitUse::Kept), load_kg(&roofed, &bottom, 0, SuitUse::Kept));

    let at = FailureAt::of(&roofed, &sim::run(&roofed).unwrap(), 600.0);
    assert!(at.is_overhead && at.way == [at.worst]);
    assert!((at.worst.load_kg - here_kg).abs() < ROUNDING_KG && at.worst.depth_m == bottom.state.depth_m);
    assert!(!FailureAt::of(&free, &trace, 600.0).is_overhead);
}

/// With the whole dive below the fresh water under an overhead the most lead grows by what the fresh water took, turned into
/// lead that pulls 1 − 1000/11340 or 1 − 1025/11340 of its mass there; the least lead does not know of it. Both ends are good
/// to half a gram, and the wing's gas makes another run of another lead: a hundredth of the change.
#[test]
fn the_most_lead_follows_the_load_and_the_least_does_not() {
    let free = below_fresh_water();
    // the way down and the way up pass the interface: the heaviest moment of the free dive is its start in fresh water
    let deep = under(&free, vec![1, 2]);
    let [a, b] = [&free, &deep].map(|dive| lead_bounds(dive).unwrap());
    assert!((a.least_kg - b.least_kg).abs() < 1e-3, "{a:?} {b:?}");
    // the load of the way down, straight up at its end, is what is left: nothing is gained by roofing the bottom alone
    assert!((a.most_kg - b.most_kg).abs() < 1e-3, "{a:?} {b:?}");
    let salt = constant_water(1025.0, 283.15);
    let all_salt = square(0.0, salt, Some(-3.0), EquationOfState::Ideal).scenario;
    assert_eq!(
        lead_bounds(&all_salt),
        lead_bounds(&under(&all_salt, vec![1, 2])),
        "in one rigid water nothing changes"
    );
}

/// Without an overhead, and with an empty list of legs, nothing changes in any bit; with one nothing of the run does.
#[test]
fn the_run_does_not_know_of_it() {
    let free = below_fresh_water();
    assert_eq!(under(&free, Vec::new()), free);
    let roofed = under(&free, vec![1, 3]);
    assert_eq!(sim::run(&roofed).unwrap().spans(), sim::run(&free).unwrap().spans());
    let (a, b) = (findings(&free), findings(&roofed));
    assert_eq!((a.heavy, a.light, &a.holds, a.ascent, a.wing), (b.heavy, b.light, &b.holds, b.ascent, b.wing));
    assert!(a.overhead.is_none());
    let time = |leg: usize| (free.profile().leg_start(leg).0, free.profile().legs()[leg].end_s);
    assert_eq!(b.overhead.unwrap().times, roofed.profile().overhead_times());
    assert_eq!(times_s(roofed.profile()), [time(1), time(3)]);
}

/// To hover or to be held: what the finding says is the least and the greatest net lift at any second under the overhead. A
/// second moves the lift by less than the 20 L/min of 1.2 kg/m³ at 4 bar, 1.6 g.
#[test]
fn floor_and_ceiling_are_the_extremes_under_the_overhead() {
    let dive = under(&below_fresh_water(), vec![1, 2]);
    let trace = sim::run(&dive).unwrap();
    let found = findings(&dive).overhead.unwrap();
    let bare = trace.series(&dive, 1.0, &[]).into_iter().filter(|(_, leg)| dive.is_overhead(*leg));
    let bare: Vec<f64> = bare.map(|(now, _)| now.balance.bare_kg()).collect();
    let low_kg = bare.iter().copied().fold(f64::INFINITY, f64::min);
    let high_kg = bare.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    assert!(found.heaviest.bare_kg <= low_kg && found.heaviest.bare_kg > low_kg - 1.6e-3, "{found:?} {low_kg}");
    assert!(found.lightest.bare_kg >= high_kg && found.lightest.bare_kg < high_kg + 1.6e-3, "{found:?} {high_kg}");
    assert_eq!((found.floor_kg(), found.ceiling_kg()), (-found.heaviest.bare_kg, found.lightest.bare_kg.max(0.0)));
    assert!(found.length_s() > 1200.0 && found.covers(100.0) && !found.covers(80.0));
}

#[test]
fn legs_that_cannot_lie_under_one() {
    let profile = below_fresh_water().profile().clone();
    let last = profile.legs().len() - 1;
    for leg in [0, last, last + 1] {
        let told = profile.clone().with_overhead(vec![1, leg]);
        assert_eq!(told, Err(ProfileError::Overhead { leg: leg + 1 }));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Run, findings and probe ask one function: the load under an overhead is what the diver weighs there, elsewhere that of
    /// the free dive; the probe's is that of the findings to a hundredth of a gram, as it promises.
    #[test]
    fn probe_and_findings_agree(dive in dive(), which in proptest::collection::vec(any::<bool>(), 16), salinity in 0.0..40.0f64) {
        let built = dive.scenario();
        let brines = [(0.0, Brine::PracticalSalinity(salinity)), (8.0, Brine::PracticalSalinity(35.0))];
        let water = layers(&brines, 283.15);
        let free = Scenario::new(built.rig().clone(), water, built.profile().clone(), *built.settings()).unwrap();
        let profile = free.profile();
        let is_deep = |leg: &usize| profile.leg_start(*leg).1.min(profile.legs()[*leg].end_m) > 0.0;
        let legs: Vec<usize> = (0..profile.legs().len()).filter(is_deep).filter(|leg| which[leg % 16]).collect();
        let roofed = under(&free, legs);
        let trace = sim::run(&roofed).unwrap();
        for (now, leg) in trace.series(&roofed, 60.0, &[]) {
            let load = load_kg(&roofed, &now, leg, SuitUse::Kept);
            let expected = if roofed.is_overhead(leg) { -now.balance.bare_kg() } else { load_kg(&free, &now, leg, SuitUse::Kept) };
            prop_assert!((load - expected).abs() < ROUNDING_KG, "{load} {expected}");
        }
        let (found, probe) = (Findings::of(&roofed, &trace), Probe::of(&roofed).unwrap());
        prop_assert!((found.failed_wing.worst.load_kg - probe.load_kg).abs() < 1e-5);
        prop_assert!(probe.load_kg <= Probe::of(&free).unwrap().load_kg + ROUNDING_KG);
        for span in &found.failed_wing.beyond {
            let middle_s = 0.5 * (span.start_s + span.end_s);
            let leg = trace.span_at(middle_s).segment.leg;
            prop_assert_eq!(span.is_overhead, roofed.is_overhead(leg));
        }
        let apart: f64 = found.failed_wing.whole_beyond().iter().map(|span| span.end_s - span.start_s).sum();
        prop_assert!((apart - found.failed_wing.beyond_s()).abs() < 1e-6);
    }
}

/// All of a plan but its dive.
const HEAD: &str = "title = \"Under a deck (invented)\"\n[site]\nwater = \"sea\"\ntemperature = \"15 °C\"\n[diver]\nmass = \"80 kg\"\n\
     [suit]\nkind = \"wet 7 mm\"\n[[cylinder]]\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n[[ballast]]\n\
     name = \"belt\"\nmass = \"4 kg\"\nditchable = true\n";
const SHORT: &str = "[dive]\ndepth = \"18 m\"\ntime = \"30 min\"\nstops = [\"6 m 5 min\"]\n";
/// The same dive in legs: 18 m/min down, 9 m/min up.
const LEGS: &str = "[dive]\nlast_stop = \"6 m\"\nleg = [{ to = \"18 m\", over = \"1 min\" }, { stay = \"7 min\" }, { stay = \"12 min\", \
     overhead = true }, { stay = \"10 min\", overhead = false }, { to = \"6 m\", speed = \"9 m/min\" }, { stay = \"5 min\" }, \
     { to = \"0 m\", speed = \"9 m/min\" }]\n";
const ROWS: &str = "[dive]\nlast_stop = \"6 m\"\nprofile = \"\"\"\ntime,depth_m,overhead\n0:00,0,\n1:00,18,\n8:00,18,no\n20:00,18,yes\n\
     30:00,18,no\n31:20,6,\n36:20,6,\n37:00,0,\n\"\"\"\n";
/// Fresh water over the sea.
const LAYERS: &str = "layer = [{ from = \"0 m\", water = \"fresh\", temperature = \"15 °C\" }, { from = \"10 m\", water = \"sea\", temperature = \"15 °C\" }]";
const TIMES: &str = "dive.overhead=8 min to 20 min";

fn built(dive: &str, sets: &[(&str, &str)]) -> Built {
    let sets: Vec<(String, String)> = sets.iter().map(|(key, value)| ((*key).into(), (*value).into())).collect();
    let plan = Plan::parse(&format!("{HEAD}{dive}"), "plan.toml", "").and_then(|plan| plan.with_sets(&sets));
    plan.and_then(|plan| plan.build()).unwrap_or_else(|problems| panic!("{problems}"))
}

fn codes(dive: &str) -> Vec<ProblemCode> {
    let found = Plan::parse(&format!("{HEAD}{dive}"), "plan.toml", "").and_then(|plan| plan.build().map(drop));
    found.map_or_else(|problems| problems.list.iter().map(|problem| problem.code).collect(), |()| Vec::new())
}

/// By depth and time, in legs, in rows, by times and by --set it is one dive. Depth at a moment is the same number but for
/// rounding, so lifts are, to a milligram.
#[test]
fn all_ways_to_write_it_are_one_dive() {
    let times = [("dive.overhead", "8 min to 20 min")];
    let legs = LEGS.replace("overhead = true", "breathe = \"back\"").replace(", overhead = false", "");
    let by_set = [("dive.leg[3].overhead", "true"), ("dive.leg[4].overhead", "false")];
    let rows = ROWS.replace("yes", "");
    let ways = [
        built(SHORT, &times),
        built(SHORT, &[("dive.overhead", "[\"8:00 to 20:00\"]")]),
        built(&SHORT.replace("[dive]\n", "[dive]\noverhead = [\"8 min to 15 min\", \"15 min to 20 min\"]\n"), &[]),
        built(LEGS, &[]),
        built(&legs, &by_set),
        built(&legs, &times),
        built(ROWS, &[]),
        built(&rows.replace(",no\n", ",\n"), &times),
    ];
    let first = findings(&ways[0].scenario);
    for way in &ways {
        let [(start_s, end_s)] = times_s(way.scenario.profile())[..] else { panic!("one time") };
        assert!((start_s - 480.0).abs() < 1e-6 && (end_s - 1200.0).abs() < 1e-6);
        let found = findings(&way.scenario);
        let [a, b] = [&first, &found].map(|found| found.overhead.as_ref().unwrap());
        assert!((a.floor_kg() - b.floor_kg()).abs() < 1e-6, "{a:?} {b:?}");
        assert!((a.lightest.bare_kg - b.lightest.bare_kg).abs() < 1e-6, "{a:?} {b:?}");
        assert!((first.failed_wing.worst.load_kg - found.failed_wing.worst.load_kg).abs() < 1e-6);
        assert!(way.notes.iter().filter(|note| note.to_string().contains("under an overhead")).count() == 1);
    }
    assert!(findings(&built(SHORT, &[]).scenario).overhead.is_none());
}

/// A time within a way of a short dive cuts it, and the dive stays what it was: the depth there is on the straight line.
#[test]
fn an_overhead_may_begin_on_the_way() {
    let (free, roofed) = (built(SHORT, &[]), built(SHORT, &[("dive.overhead", "0.5 min to 31 min")]));
    let [free, roofed] = [&free, &roofed].map(|built| built.scenario.profile());
    assert_eq!(roofed.legs().len(), free.legs().len() + 2);
    assert_eq!((roofed.legs()[0].end_s, roofed.legs()[0].end_m), (30.0, 9.0)); // 18 m/min down
    for time_s in [10.0, 30.0, 50.0, 1000.0, 1830.0, 1860.0, 1870.0, 2000.0] {
        assert!((free.depth_m(time_s) - roofed.depth_m(time_s)).abs() < 1e-9, "{time_s}");
    }
    assert_eq!(times_s(roofed), [(30.0, 1860.0)]);
    assert_eq!(free.stops(), roofed.stops());
}

/// A record of many rows becomes shorter, and its overheads stay where they were to the row.
#[test]
fn a_long_record_keeps_the_edges() {
    let mut rows = String::from("time_s,depth_m,overhead\n0,0,\n");
    for i in 1..=3600 {
        let depth_m = (f64::from(i) * 0.1).min(20.0).min(f64::from(3600 - i) * 0.1);
        let word = if (601..=1800).contains(&i) { "yes" } else { "no" };
        rows += &format!("{i},{depth_m:.1},{word}\n");
    }
    let dive = format!("[dive]\nlast_stop = \"5 m\"\nprofile = \"\"\"\n{rows}\"\"\"\n");
    let built = built(&dive, &[]);
    assert!(built.scenario.profile().legs().len() < 100);
    assert_eq!(times_s(built.scenario.profile()), [(600.0, 1800.0)]);
    // a drawn dive has the same legs
    let values: Vec<f64> = built.uncertain().map(|input| input.estimate.value).collect();
    let plan = Plan::parse(&format!("{HEAD}{dive}"), "plan.toml", "").unwrap();
    let drawn = plan.build_draw(&values, &built).unwrap();
    assert_eq!(times_s(drawn.profile()), [(600.0, 1800.0)]);
}

#[test]
fn bad_input_is_told() {
    let short = |overhead: &str| codes(&SHORT.replace("[dive]\n", &format!("[dive]\noverhead = {overhead}\n")));
    for text in
        ["\"8 min\"", "\"20 min to 8 min\"", "\"8 min to 2 h\"", "\"0 min to 8 min\"", "\"8 min to 37 min\"", "\"\""]
    {
        assert_eq!(short(text), [ProblemCode::Overhead], "{text}");
    }
    assert_eq!(short("true"), [ProblemCode::WrongType]);
    let open_end = LEGS.replace(", overhead = false", "");
    assert_eq!(codes(&open_end), [ProblemCode::Overhead]);
    assert_eq!(codes(&LEGS.replace("overhead = true", "overhead = \"yes\"")), [ProblemCode::WrongType]);
    assert_eq!(codes(&ROWS.replace("yes", "perhaps")), [ProblemCode::UnknownWord]);
    let both = LEGS.replace("[dive]\n", "[dive]\noverhead = \"8 min to 20 min\"\n");
    assert_eq!(codes(&both), [ProblemCode::WhichKeys]);
    let within = LEGS
        .replace("[dive]\n", "[dive]\noverhead = \"9 min to 20 min\"\n")
        .replace("overhead = true", "breathe = \"back\"");
    assert_eq!(codes(&within.replace(", overhead = false", "")), [ProblemCode::Overhead]);
}

/// The words never let anybody swim up where nobody can, at any width, and fit it.
#[test]
fn words_say_hover_or_be_held() {
    let plan = format!("{HEAD}{SHORT}");
    let commands = [
        ["run", "plan.toml", "--no-files"].as_slice(),
        &["ballast", "plan.toml"],
        &["doubt", "plan.toml", "--no-files"],
    ];
    for args in commands {
        for columns in ["60", "80", "100"] {
            let args = [args, &["--set", TIMES, "--set", "ballast.belt.mass=2 kg"]].concat();
            let text = Cli::new(&args).env("COLUMNS", columns).plan(&plan).ok().stdout;
            let width: usize = columns.parse().unwrap();
            assert!(text.lines().all(|line| line.chars().count() <= width), "{args:?} at {columns}\n{text}");
            let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
            let swims = flat.replace("can be swum up where the way up is free", "");
            assert!(!swims.contains("swum up") && !swims.contains("to swim up"), "{flat}");
            assert_eq!(flat.matches("training of its own").count(), 1, "{flat}");
            assert!(!flat.to_lowercase().contains("safe"), "{flat}");
            if args[0] == "run" {
                assert!(
                    flat.contains(
                        "Overhead no way straight up 8:00 to 20:00 min; with the wing failed the fins must hold"
                    ),
                    "{flat}"
                );
                assert!(flat.contains("and hovered under the overhead"), "{flat}");
            }
        }
    }
}

/// Too light at a stop under a ceiling is not held: the verdict stays, the words and the result say what holds the diver.
#[test]
fn a_ceiling_is_no_hold() {
    let set = ["--set", "dive.overhead=8 min to 36.3333 min", "--set", "ballast.belt.mass=0 kg"];
    let plan = format!("{HEAD}{SHORT}");
    let args = [["run", "plan.toml", "--no-files"].as_slice(), &set].concat();
    let text = Cli::new(&args).plan(&plan).ok().stdout;
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("! Staying down presses against the ceiling with"), "{flat}");
    assert!(!flat.contains("floats up"), "{flat}");
    let found: serde_json::Value =
        serde_json::from_str(&Cli::new(&[args.as_slice(), &["--json"]].concat()).plan(&plan).ok().stdout).unwrap();
    let found = &found["findings"];
    assert_eq!(
        (&found["holds"][0]["at_reserve"]["holds"], &found["holds"][0]["under_overhead"]),
        (&false.into(), &true.into())
    );
    assert!(found["overhead"]["ceiling_kg"].as_f64().unwrap() > 0.0);
    let free = json(&["run", "profiles/ten-lines.toml", "--no-files", "--json"]);
    assert!(free["findings"]["overhead"].is_null() && free["findings"]["holds"][0]["under_overhead"] == false);
}

/// A cylinder waits under the roof, below fresh water. Nothing on this diver is squeezed, so straight up all of it would be
/// heavier in the fresh water by V·Δρ: body 80.3 L, two cylinders of 13.9 L, gear and lead 5 L, at 26.5 kg/m³ 3.0 kg, which
/// 3.3 kg of lead pull there. The wing's gas is that of another lead: tolerance a tenth.
#[test]
fn the_most_lead_is_bound_where_the_diver_is() {
    let head = HEAD.replace("water = \"sea\"\ntemperature = \"15 °C\"", LAYERS);
    let head =
        head.replace("[suit]\nkind = \"wet 7 mm\"\n", "").replace("[[cylinder]]\n", "[[cylinder]]\nname = \"back\"\n");
    let stage = "[[cylinder]]\nname = \"stage\"\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\ncarried = false\n";
    let legs = [
        "to = \"5 m\", over = \"1 min\"",
        "to = \"25 m\", over = \"2 min\", overhead = true",
        "stay = \"9 min\", take = \"stage\"",
        "stay = \"1 min\", leave = \"stage\"",
        "to = \"6 m\", over = \"4 min\"",
        "stay = \"5 min\", overhead = false",
        "to = \"0 m\", over = \"2 min\"",
    ];
    let dive = format!("[dive]\nlast_stop = \"6 m\"\nleg = [{{ {} }}]\n", legs.join(" }, { "));
    let build = |text: String| {
        let plan = Plan::parse(&text, "plan.toml", "").and_then(|plan| plan.build());
        plan.unwrap_or_else(|problems| panic!("{problems}")).scenario
    };
    let roofed = build(format!("{head}{stage}{dive}"));
    let dive = dive.replace(", overhead = true", "").replace(", overhead = false", "");
    let free = build(format!("{head}{stage}{dive}"));
    let [roofed_range, free_range] = [&roofed, &free].map(|dive| LeadRange::of(dive).unwrap());
    let (most, open) = (&roofed_range.most, &free_range.most);
    assert!(roofed.is_overhead(most.binding.leg) && most.binding.at_m == most.binding.depth_m, "{most:?}");
    assert!(open.binding.at_m <= 10.0 && open.binding.depth_m == 25.0 && most.binding.depth_m == 25.0, "{open:?}");
    // a hundredth of a gram is what the range promises
    assert!((most.binding.net_kg + roofed_range.capacity_kg).abs() < 1e-5);
    assert!((most.lead_kg - open.lead_kg - 3.3).abs() < 0.33, "{} {}", most.lead_kg, open.lead_kg);
    let [a, b] = [&roofed_range, &free_range].map(|range| range.least.lead_kg);
    assert!((a - b).abs() < 1e-3, "{a} {b}");
}

/// Too heavy to hover: the times, what letting go does, and what it costs on the way out.
#[test]
fn too_heavy_to_hover() {
    let plan = format!("{HEAD}{SHORT}");
    let set = ["--set", TIMES, "--set", "ballast.belt.mass=12 kg"];
    let run = |more: &[&str]| {
        Cli::new(&[["run", "plan.toml", "--no-files"].as_slice(), &set, more].concat()).plan(&plan).ok().stdout
    };
    let flat = run(&[]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("to hover 8:00 to 20:00 min under the overhead"), "{flat}");
    assert!(flat.contains("who lets go under the overhead is lighter by it for the whole way out"), "{flat}");
    let found: serde_json::Value = serde_json::from_str(&run(&["--json"])).unwrap();
    let spans = found["findings"]["failed_wing"]["spans"].as_array().unwrap();
    let under: Vec<bool> = spans.iter().map(|span| span["under_overhead"].as_bool().unwrap()).collect();
    assert!(under.contains(&true) && under.contains(&false), "{spans:?}");
}
