//! The answers of the live page: the same numbers as `run --json`, a sentence that never says what the lines do not, and a
//! way up that is the one of the findings.

use lightpoint::UnitSystem;
use lightpoint::internals::answer::{
    Carry, DiveFacts, FailureAt, Pieces, Quick, Ready, TrimFacts, WholeFacts, handout::sizes, problems::placed,
};
use lightpoint::internals::findings::trim::Lever;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::plan::change::place;
use lightpoint::internals::report::Source;
use lightpoint::internals::report::bench::{
    Ask, Level, MishapAsk, PlaceMark, PlanCylinder, WholeAsk, check, dive, problems, whole,
};
use lightpoint::internals::report::html::{Paper, Sheet, Side};
use serde_json::{Value, json};

use crate::command::json as printed;
use crate::common::plans;

fn source(plan: &Plan) -> Source {
    Source {
        title: plan.title().to_owned(),
        plan: "plan.toml".into(),
        sha256: plan.checksum().to_owned(),
        note: plan.file().note.clone(),
        takes_the_sea: plan.file().site.is_none(),
    }
}

fn demonstration(name: &str) -> Plan {
    Plan::load(plans().into_iter().find(|path| path.ends_with(format!("{name}.toml"))).unwrap()).unwrap()
}

fn dive_json(plan: &Plan, units: UnitSystem, moment_s: Option<f64>, failure_s: Option<f64>) -> Value {
    let quick = Quick::of(plan).unwrap();
    let source = source(plan);
    let cylinders: Vec<PlanCylinder> = quick
        .built
        .scenario
        .rig()
        .cylinders
        .iter()
        .map(|one| PlanCylinder { control: Some(format!("fill {}", one.name())), ..PlanCylinder::default() })
        .collect();
    let mark = |mark: place::Mark| PlaceMark { word: mark.word.into(), at: mark.at };
    let marks: Vec<PlaceMark> = place::marks(&quick.built).into_iter().map(mark).collect();
    let levels: Vec<Level> = quick.findings.holds.iter().take(1).map(level).collect();
    let ask = Ask {
        source: &source,
        name: plan.name(),
        sets: plan.sets(),
        units,
        moment_s,
        failure_s,
        controls: &[],
        levels: &levels,
        cylinders: &cylinders,
        marks: &marks,
        mishaps: MishapAsk::default(),
    };
    json!(dive(&ask, &quick))
}

fn level(hold: &lightpoint::Hold) -> Level {
    Level {
        id: "stop".into(),
        start_s: hold.start_s,
        end_s: hold.end_s,
        depth_m: hold.depth_m,
        what: "a stop".into(),
        moves_depth: true,
        moves_length: false,
    }
}

fn whole_json(plan: &Plan, units: UnitSystem, facts: &WholeFacts) -> Value {
    let source = source(plan);
    let notes: Vec<String> = facts.dive.built.notes.iter().map(|note| note.brief(units)).collect();
    json!(whole(&WholeAsk { source: &source, notes: &notes, units }, facts))
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|one| one.as_f64().expect("a finite number")).collect()
}

/// What the page holds of a run is what the program prints of it, to the last digit.
#[test]
fn the_numbers_are_those_of_the_program() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let run = printed(&["run", path.to_str().unwrap(), "--json", "--no-files"]);
        let answer = dive_json(&plan, UnitSystem::Metric, None, None);
        assert_eq!(answer["exact"]["findings"], run["findings"], "{}", path.display());
        for (key, value) in answer["exact"]["lead"].as_object().unwrap() {
            assert_eq!(value, &run["lead"][key], "{}: {key}", path.display());
        }
        let facts = WholeFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap();
        let mut result = whole_json(&plan, UnitSystem::Metric, &facts)["result"].clone();
        // the path as it was typed
        result["plan"]["file"] = run["plan"]["file"].clone();
        assert_eq!(result, run, "{}", path.display());
    }
}

/// Every number is one, columns are as long as one another, time never goes back, and both ends are there.
#[test]
fn rows_are_whole() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let quick = Quick::of(&plan).unwrap();
        let answer = dive_json(&plan, UnitSystem::Us, None, Some(600.0));
        let curve = answer["curve"].as_object().unwrap();
        let columns: Vec<Vec<f64>> = curve.values().map(numbers).collect();
        assert!(columns.iter().all(|column| column.len() == columns[0].len()));
        let time_s = &columns[0];
        assert!(time_s.len() > 150 && time_s.len() < 800, "{}: {}", path.display(), time_s.len());
        assert!(time_s.windows(2).all(|pair| pair[0] <= pair[1]));
        assert_eq!((time_s[0], time_s.last().copied()), (0.0, answer["end_s"].as_f64()));
        // the extremes stand in the curve: 4 places are rounded
        let bare = numbers(&answer["curve"]["bare"]);
        let least_lb = bare.iter().copied().fold(f64::INFINITY, f64::min);
        assert!((least_lb - answer["heavy"]["net"].as_f64().unwrap()).abs() < 1.1e-4);
        let load = numbers(&answer["curve"]["load"]);
        let most_lb = load.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        // an international pound is 0.45359237 kg
        assert!((most_lb - quick.findings.failed_wing.worst.load_kg / 0.453_592_37).abs() < 1.1e-4);
        let net: f64 =
            answer["moment"]["terms"].as_array().unwrap().iter().map(|term| term["lift"].as_f64().unwrap()).sum();
        // each of some twenty terms is rounded to half of 1e-4
        assert!((net - answer["moment"]["net"].as_f64().unwrap()).abs() < 2e-3);
    }
}

/// A failure at the worst moment is that of the findings, and nowhere on its way is more to be swum up than is told.
#[test]
fn the_way_up_is_that_of_the_findings() {
    for path in plans() {
        let quick = Quick::of(&Plan::load(&path).unwrap()).unwrap();
        let (scenario, worst) = (&quick.built.scenario, &quick.findings.failed_wing.worst);
        let end_s = quick.trace.last().state.time_s;
        for i in 0..=20 {
            let time_s = end_s * f64::from(i) / 20.0;
            let at = FailureAt::of(scenario, &quick.trace, time_s);
            // under an overhead there is no way, and the diver is where the dive has the diver
            let end_m = if at.is_overhead { at.now.state.depth_m } else { 0.0 };
            assert_eq!(at.way.last().unwrap().depth_m, end_m, "{}", path.display());
            assert!(at.way.contains(&at.worst) && at.way.len() < 60);
            assert!(at.way.windows(2).all(|pair| pair[0].depth_m >= pair[1].depth_m));
            // the place of the worst is found to a centimetre, its load far better
            assert!(
                at.way.iter().all(|point| point.load_kg <= at.worst.load_kg + 1e-5),
                "{}: {time_s}",
                path.display()
            );
            assert!(at.worst.load_kg <= worst.load_kg + 1e-9);
            if let Some(ditched_kg) = at.ditched_kg {
                assert!(ditched_kg < at.worst.load_kg);
            }
        }
        let at = FailureAt::of(scenario, &quick.trace, worst.time_s);
        // of two moments at one time the other may be the worst
        if at.now == worst.now {
            assert_eq!(at.worst.load_kg, worst.load_kg);
        }
    }
}

/// Numbers between two ends, the same every time: a linear congruence (Knuth's MMIX constants, from memory; nothing hangs on
/// how good it is).
struct Chance(u64);

impl Chance {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn varied(plan: &Plan, chance: &mut Chance) -> Option<Plan> {
    let mut sets: Vec<(String, String)> = Vec::new();
    let mut set = |key: String, value: String| sets.push((key, value));
    set("diver.swim_up".into(), format!("{:.1} kg", chance.between(1.0, 14.0)));
    for i in 0..plan.file().ballast.len() {
        set(format!("ballast[{}].mass", i + 1), format!("{:.2} kg", chance.between(0.2, 4.0)));
    }
    for i in 0..plan.file().cylinder.len() {
        set(format!("cylinder[{}].fill", i + 1), format!("{:.0} bar", chance.between(110.0, 230.0)));
    }
    if plan.file().wing.is_some() && chance.between(0.0, 1.0) < 0.3 {
        set("wing.capacity".into(), format!("{:.0} L", chance.between(6.0, 20.0)));
    }
    plan.with_sets(&sets).ok()
}

/// The sentence is a breach where a line is, never longer than two lines of the page, and a tick only where every line has
/// one.
#[test]
fn the_sentence_says_what_the_lines_say() {
    let (mut chance, mut tried) = (Chance(11), 0);
    let mut marks = std::collections::BTreeMap::<String, usize>::new();
    for round in 0..45 {
        for path in plans() {
            let plan = Plan::load(&path).unwrap();
            let plan = if round == 0 {
                plan
            } else {
                match varied(&plan, &mut chance) {
                    Some(plan) => plan,
                    None => continue,
                }
            };
            let Ok(facts) = DiveFacts::of(&plan) else { continue };
            tried += 1;
            let units = if round % 3 == 1 { UnitSystem::Us } else { UnitSystem::Metric };
            let what = format!("{} {:?}", path.display(), plan.sets());
            let quick = dive_json(&plan, units, None, None);
            let carry = Carry::of_dive(&facts, &Pieces::Usual(units)).unwrap();
            let facts = WholeFacts { dive: facts, carry, tried: Vec::new(), doubt: None, lead: None };
            let answer = whole_json(&plan, units, &facts);
            let lines = answer["lines"].as_array().unwrap();
            // what one run cannot know: how wide the doubt is, and what is needless
            let of_trials = ["Not known yet", "Needless lead"];
            let is_broken = |all: bool| {
                let known = |line: &&Value| all || !of_trials.contains(&line["label"].as_str().unwrap());
                lines.iter().filter(known).any(|line| line["mark"] == "breach")
            };
            for (sentence, is_broken) in
                [(&quick["sentence"], is_broken(false)), (&answer["sentence"], is_broken(true))]
            {
                let text = sentence["text"].as_str().unwrap();
                assert_eq!(sentence["mark"] == "breach", is_broken, "{what}: {text}\n{lines:#?}");
                assert!(text.chars().count() <= 141, "{what}: {text}");
                assert!(text.ends_with('.') && text.starts_with(|c: char| !c.is_lowercase()), "{text}");
                assert!(!text.to_lowercase().contains("safe"));
                if crossed(&quick) && !text.starts_with("Out of gas") && !text.starts_with("Not known") {
                    assert!(text.to_lowercase().contains("no lead is right"), "{what}: {text}");
                }
            }
            assert_ne!(quick["sentence"]["mark"], "met", "one run knows no doubt");
            let is_met = answer["sentence"]["mark"] == "met";
            let ticks = ["Lead", "Failed wing", "Staying down", "Wing"]
                .iter()
                .all(|label| lines.iter().any(|line| line["label"] == *label && line["mark"] == "met"));
            assert!(!is_met || ticks && !is_broken(true), "{what}");
            *marks.entry(answer["sentence"]["mark"].to_string()).or_default() += 1;
            for said in SAID {
                let is_said = answer["sentence"]["text"].as_str().unwrap().to_lowercase().contains(said);
                *marks.entry((*said).to_owned()).or_default() += usize::from(is_said);
            }
        }
    }
    assert!(tried >= 150, "{tried}");
    // every sort of sentence was among them
    let wanted = ["\"breach\"", "\"none\"", "\"met\""].iter().chain(SAID);
    for wanted in wanted {
        assert!(marks.get(*wanted).is_some_and(|count| *count > 0), "{wanted}: {marks:#?}");
    }
}

fn crossed(answer: &Value) -> bool {
    answer["lead"]["crossed"] == true
}

/// What a sentence may say.
const SAID: &[&str] = &[
    "out of gas",
    "not known yet",
    "too much until",
    "too much from start to end",
    "no lead is right",
    "floats up",
    "more than needed",
    "can be swum up all through",
    "every stop holds",
    "with all doubt",
];

/// Long columns by their length, numbers to a tenth; what is held elsewhere left out.
fn readable(value: &Value) -> Value {
    match value {
        Value::Array(list) if list.len() > 30 => json!(format!("{} of them", list.len())),
        Value::Array(list) => list.iter().map(readable).collect(),
        Value::Object(map) => map
            .iter()
            .filter(|(key, _)| !["exact", "result"].contains(&key.as_str()))
            .map(|(key, value)| (key.clone(), readable(value)))
            .collect(),
        Value::Number(number) if !number.is_u64() => {
            json!((number.as_f64().unwrap() * 10.0).round() / 10.0 + 0.0)
        }
        other => other.clone(),
    }
}

#[test]
fn the_answers_read_well() {
    for name in ["cold-trimix", "ten-lines"] {
        let plan = demonstration(name);
        let dive = readable(&dive_json(&plan, UnitSystem::Metric, None, Some(900.0)));
        insta::assert_snapshot!(format!("dive-{name}"), serde_json::to_string_pretty(&dive).unwrap());
        let facts = WholeFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap();
        let whole = readable(&whole_json(&plan, UnitSystem::Metric, &facts));
        insta::assert_snapshot!(format!("whole-{name}"), serde_json::to_string_pretty(&whole).unwrap());
    }
}

/// Sentences of dives that end in other ways.
#[test]
fn sentences_of_many_dives() {
    let cases: [(&str, &[(&str, &str)]); 9] = [
        ("cold-trimix", &[]),
        ("cold-trimix", &[("diver.swim_up", "20 kg")]),
        ("cold-trimix", &[("cylinder[1].fill", "90 bar")]),
        ("cold-trimix", &[("ballast[1].mass", "0.1 kg")]),
        ("cold-trimix", &[("ballast[1].mass", "9 kg")]),
        ("cold-trimix", &[("wing.capacity", "9 L"), ("diver.swim_up", "20 kg")]),
        ("single-wetsuit", &[]),
        ("single-wetsuit", &[("diver.swim_up", "0.5 kg")]),
        ("ten-lines", &[]),
    ];
    let mut out = String::new();
    for (name, sets) in cases {
        let sets: Vec<_> = sets.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        let plan = demonstration(name).with_sets(&sets).unwrap();
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let facts = DiveFacts::of(&plan).unwrap();
            let carry = Carry::of_dive(&facts, &Pieces::Usual(units)).unwrap();
            let facts = WholeFacts { dive: facts, carry, tried: Vec::new(), doubt: None, lead: None };
            let quick = dive_json(&plan, units, None, None);
            let whole = whole_json(&plan, units, &facts);
            out += &format!("{name} {sets:?}\n  run:   {}\n  whole: {}\n", quick["sentence"], whole["sentence"]);
        }
    }
    insta::assert_snapshot!(out);
}

/// The loop at a moment: its oxygen at the setpoint, and the share of the absorbent by hand, 0.85 of 1 L/min for 4 min and
/// 1.2 L/min for 11 min, of 2.6 kg of 120 L/kg.
#[test]
fn the_loop_at_a_moment() {
    let plan = demonstration("closed-circuit");
    let answer = dive_json(&plan, UnitSystem::Us, Some(900.0), None);
    let at = &answer["moment"]["loop"];
    assert_eq!((&at["oxygen_bar"], &at["setpoint_bar"]), (&json!(1.3), &json!(1.3)), "in bar for every reader");
    assert_eq!((&at["is_breathed"], &at["mark"]), (&json!(true), &json!("none")));
    assert!((at["absorbent_frac"].as_f64().unwrap() - 0.85 * 17.2 / 312.0).abs() < 1e-4);
    assert_eq!(at["text"], "oxygen 1.30 bar; setpoint 1.30 bar; absorbent 5 % used");
    let roles: Vec<&Value> = answer["cylinders"].as_array().unwrap().iter().map(|one| &one["role"]).collect();
    assert_eq!(json!(roles), json!(["oxygen", "diluent", "bail-out", "bail-out", null]));
    assert!(answer["moment"]["terms"].as_array().unwrap().iter().any(|term| term["kind"] == "loop"));
    assert!(answer["exact"]["findings"]["circuit"]["taken_mol"].is_number());
    // raised too early there is too much oxygen at the end of the way down: told before all else, and what is met is not
    // told beside it
    let with = |from: &str, to: &str| {
        let text = include_str!("../../profiles/closed-circuit.toml");
        assert!(text.contains(from), "{from} is gone: mend this test");
        Plan::parse(&text.replace(from, to), "plan.toml", std::path::PathBuf::new()).unwrap()
    };
    let early = with("leg = 2  ", "depth = \"20 m\"\nway = \"down\"  ");
    let peak = dive_json(&early, UnitSystem::Metric, Some(240.0), None);
    assert_eq!(peak["moment"]["loop"]["mark"], "breach");
    assert_eq!(
        peak["sentence"],
        json!({"mark": "breach", "text": "The loop's oxygen rises above 1.60 bar at minute 3."})
    );
    let set = |key: &str, value: &str| plan.with_sets(&[(key.to_owned(), value.to_owned())]).unwrap();
    let left = dive_json(&set("loop.bail_out", "20 min"), UnitSystem::Metric, Some(1800.0), None);
    let at = &left["moment"]["loop"];
    assert_eq!((&at["is_breathed"], &at["setpoint_bar"]), (&json!(false), &Value::Null));
    assert!(at["text"].as_str().unwrap().starts_with("not breathed; oxygen "), "{at}");
    assert!(left["cylinders"].as_array().unwrap().iter().any(|one| one["is_breathed"] == true));
    let spent = with("absorbent = \"2.6 ± 0.1 kg\"", "absorbent = \"0.2 kg\"");
    let spent = dive_json(&spent, UnitSystem::Metric, None, None);
    let said = spent["sentence"]["text"].as_str().unwrap();
    assert!(said.starts_with("The absorbent is used up at minute "), "{said}");
    assert_eq!(spent["moment"]["loop"]["mark"], "breach");
    assert!(dive_json(&demonstration("cold-trimix"), UnitSystem::Metric, None, None)["moment"]["loop"].is_null());
}

/// The trim of the page is that of the library, to the 1e-4 that the page rounds to.
#[test]
fn the_trim_is_that_of_the_library() {
    let close =
        |shown: &Value, exact: f64| assert!((shown.as_f64().unwrap() - exact).abs() < 5.1e-5, "{shown} {exact}");
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let facts = TrimFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap();
        let middle_s = 0.5 * facts.trace.last().state.time_s;
        let answer = dive_json(&plan, UnitSystem::Metric, Some(middle_s), None);
        let shown = &answer["trim"];
        for (torque, at) in numbers(&shown["curve"]["torque"]).iter().zip(&facts.trim.course) {
            close(&json!(torque), at.torque_nm());
        }
        assert_eq!(numbers(&shown["curve"]["torque"]).len(), facts.trim.course.len());
        for (key, at) in [
            ("head", facts.trim.head_heaviest),
            ("feet", facts.trim.feet_heaviest),
            ("worst", facts.trim.worst()),
            ("heavy", facts.trim.heavy),
            ("light", facts.trim.light),
        ] {
            close(&shown[key]["torque"], at.torque_nm());
            close(&shown[key]["depth"], at.depth_m);
        }
        // the moment is that of the lever, and the sum of what pulls: each of some twenty is rounded to half of 1e-4
        let (scenario, now) = (&facts.built.scenario, facts.trace.at(&facts.built.scenario, middle_s));
        let moment = Lever::of(scenario).unwrap().moment(scenario, &now);
        close(&shown["moment"]["torque"], moment.pitch_torque_nm());
        let pulls = shown["moment"]["pulls"].as_array().unwrap();
        let sum: f64 = pulls.iter().map(|pull| pull["torque"].as_f64().unwrap()).sum();
        assert!((sum - moment.pitch_torque_nm()).abs() < 2e-3, "{}", path.display());
        assert_eq!(pulls.iter().filter(|pull| pull["kind"] == "lead").count(), plan.file().ballast.len());
        close(&shown["hold"]["torque"], facts.built.trim.hold_nm);
        // the slow answer
        let whole = WholeFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap();
        let slow = &whole_json(&plan, UnitSystem::Metric, &whole)["trim"];
        for (i, half_nm) in facts.doubt.course_half_width_nm.iter().enumerate() {
            close(&slow["band"]["low"][i], facts.trim.course[i].torque_nm() - half_nm);
            close(&slow["band"]["high"][i], facts.trim.course[i].torque_nm() + half_nm);
        }
        match &facts.lead {
            Some(lead) => close(&slow["lead"]["worst"], lead.split.worst_nm),
            None => assert_eq!(slow["lead"], Value::Null),
        }
    }
}

/// What the page says of the trim.
#[test]
fn trim_in_words() {
    let mut out = String::new();
    for (name, units) in
        [("cold-trimix", UnitSystem::Metric), ("ten-lines", UnitSystem::Metric), ("cold-trimix", UnitSystem::Us)]
    {
        let plan = demonstration(name);
        let quick = dive_json(&plan, units, None, None);
        let trim = &quick["trim"];
        out += &format!("{name}\n  {}; at rest {}\n", trim["moment"]["text"], trim["moment"]["rest"]);
        out += &format!("  {}; {}\n  {}\n", trim["head"]["text"], trim["feet"]["text"], trim["hold"]["text"]);
        for lead in trim["lead"].as_array().unwrap() {
            out += &format!("  {}: {}\n", lead["name"], lead["text"]);
        }
        let facts = WholeFacts::of(&plan, &Pieces::Usual(units)).unwrap();
        let slow = whole_json(&plan, units, &facts)["trim"].clone();
        out += &format!("  {}\n  {}\n  {}\n", slow["text"], slow["next"], slow["lead"]["text"]);
        for moved in slow["lead"]["moves"].as_array().into_iter().flatten() {
            out += &format!("    {moved}\n");
        }
    }
    insta::assert_snapshot!(out);
}

/// A plan without doubt has no band; what is asked where nothing jumps is what the moment before gives.
#[test]
fn nothing_doubtful_has_no_band() {
    let plan = Plan::parse(include_str!("../command/plan.toml"), "plan.toml", "").unwrap();
    let facts = WholeFacts::of(&plan, &Pieces::Step(0.5)).unwrap();
    let answer = whole_json(&plan, UnitSystem::Metric, &facts);
    assert_eq!(facts.doubt.is_none(), answer["band"].is_null());
    if !facts.dive.built.uncertain().any(|_| true) {
        assert!(answer["band"].is_null() && answer["next"].as_array().unwrap().is_empty());
    }
}

/// Problems stand where the terminal shows them.
#[test]
fn problems_have_their_places() {
    let text = include_str!("../../profiles/cold-trimix.toml").replace("fill = \"225 bar\"", "fill = \"225 baar\"");
    let found = Plan::parse(&text, "mine.toml", "").and_then(|plan| plan.build().map(|_| ())).unwrap_err();
    let answer = json!(problems(&placed(&found)));
    let line = text.lines().position(|line| line.contains("225 baar")).unwrap() + 1;
    assert_eq!((&answer[0]["line"], &answer[0]["source"]), (&json!(line), &json!("mine.toml")), "{answer:#}");
    let (from, to) = (answer[0]["column"].as_u64().unwrap(), answer[0]["end_column"].as_u64().unwrap());
    let cut: String =
        text.lines().nth(line - 1).unwrap().chars().skip(from as usize - 1).take((to - from) as usize).collect();
    assert!(cut.contains("225 baar"), "{cut}");
    let nothing = Plan::load(std::path::Path::new("nowhere.toml")).unwrap_err();
    let answer = json!(problems(&placed(&nothing)));
    assert!(answer[0]["line"].is_null() && answer[0]["message"].as_str().unwrap().starts_with("nowhere.toml: "));
}

/// Every figure of `check`, with its origin, and the printed page of the same plan.
#[test]
fn figures_and_the_printed_page() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let ready = Ready::of(&plan).unwrap();
        let answer = json!(check(UnitSystem::Metric, &ready, &[]));
        assert_eq!(answer["figures"].as_array().unwrap().len(), ready.built.inputs.len());
        let facts = lightpoint::internals::answer::HandoutFacts::of(&plan, None, &Pieces::Step(0.5)).unwrap();
        let (source, sizes) = (source(&plan), sizes(&plan));
        let sheet = Sheet {
            facts: &facts,
            plan: Side { source: &source, notes: &[], sizes: &sizes },
            beside: None,
            mind: &[],
            units: UnitSystem::Metric,
            date: None,
            paper: Paper::usual(UnitSystem::Metric),
        };
        assert!(sheet.page().unwrap().contains("</html>"));
    }
}

/// How long the answer of a frame takes without reading the plan; release only:
/// `cargo test --release --test it -- bench::speed --ignored --nocapture`.
#[test]
#[ignore = "a measurement"]
fn speed() {
    let plan = demonstration("cold-trimix");
    let (source, quick) = (source(&plan), Quick::of(&plan).unwrap());
    let ready = Ready::of(&plan).unwrap();
    let ask = Ask {
        source: &source,
        name: "cold-trimix",
        sets: &[],
        units: UnitSystem::Metric,
        moment_s: None,
        failure_s: Some(900.0),
        controls: &[],
        levels: &[],
        cylinders: &[],
        marks: &[],
        mishaps: MishapAsk::default(),
    };
    let median = |mut work: Box<dyn FnMut() + '_>, times: usize| {
        let mut took: Vec<f64> = (0..times)
            .map(|_| {
                let start = std::time::Instant::now();
                work();
                start.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        took.sort_unstable_by(f64::total_cmp);
        took[times / 2]
    };
    let text = serde_json::to_string(&dive(&ask, &quick)).unwrap();
    println!("{} bytes", text.len());
    let run = median(Box::new(|| drop(Quick::of_ready(ready.clone()).unwrap())), 200);
    let answer = median(Box::new(|| drop(dive(&ask, &quick))), 200);
    let written = median(Box::new(|| drop(serde_json::to_string(&dive(&ask, &quick)).unwrap())), 200);
    let whole = median(Box::new(|| drop(WholeFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap())), 5);
    println!("run {run:.3} ms, answer {answer:.3} ms, with JSON {written:.3} ms, whole {whole:.0} ms");
    assert!(run + written < 1.5);
}

/// The page has no commands, so no text of it names one; what `run --json` says is left as it is.
#[test]
fn no_text_of_the_page_names_a_command() {
    for path in plans() {
        let Ok(plan) = Plan::load(&path) else { continue };
        let facts = WholeFacts::of(&plan, &Pieces::Usual(UnitSystem::Metric)).unwrap();
        let source = source(&plan);
        let mut answer = json!(whole(&WholeAsk { source: &source, notes: &[], units: UnitSystem::Metric }, &facts));
        answer.as_object_mut().unwrap().remove("result");
        assert!(!answer.to_string().contains("lightpoint "), "{}: {answer:#}", path.display());
    }
}

/// The page's list is that of the command, and what is drawn passes through its worst moment's value.
#[test]
fn mishaps_are_those_of_the_command() {
    let plan = demonstration("cold-trimix");
    let quick = Quick::of(&plan).unwrap();
    let source = source(&plan);
    let on = ["suit + wing".to_owned(), "no such thing".to_owned(), "oxygen".to_owned()];
    let ask = |mishaps| Ask {
        source: &source,
        name: plan.name(),
        sets: plan.sets(),
        units: UnitSystem::Metric,
        moment_s: None,
        failure_s: None,
        controls: &[],
        levels: &[],
        cylinders: &[],
        marks: &[],
        mishaps,
    };
    let answer = |mishaps| json!(dive(&ask(mishaps), &quick));
    assert!(answer(MishapAsk::default())["mishaps"].is_null(), "nobody looks");
    let drawn = answer(MishapAsk { all: false, on: &on });
    let names = |answer: &Value| -> Vec<String> {
        let list = answer["mishaps"]["list"].as_array().unwrap();
        list.iter().map(|one| one["name"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(names(&drawn), ["wing + suit", "oxygen"], "as the engine calls them; another rig's name is left out");
    let all = answer(MishapAsk { all: true, on: &on });
    let facts = quick.usual_mishaps();
    assert_eq!(names(&all).len(), facts.found.len());
    for one in all["mishaps"]["list"].as_array().unwrap() {
        let is_on = ["wing + suit", "oxygen"].contains(&one["name"].as_str().unwrap());
        assert_eq!((one["is_on"] == true, one["left"].is_array()), (is_on, is_on), "{one}");
        if !is_on {
            continue;
        }
        let left: Vec<Option<f64>> = one["left"].as_array().unwrap().iter().map(Value::as_f64).collect();
        assert_eq!(left.len(), all["curve"]["time_s"].as_array().unwrap().len());
        let least = left.iter().flatten().copied().fold(f64::INFINITY, f64::min);
        let worst = one["worst"]["left"].as_f64().unwrap();
        // rows are ten seconds apart, in which this load moves by less than 0.1 kg
        assert!(worst <= least + 1e-3 && least - worst < 0.1, "{worst} {least}");
    }
    let line = all["mishaps"]["lines"][0].clone();
    assert_eq!((line["label"].as_str(), line["mark"].as_str()), (Some("One mishap"), Some("breach")));
}
