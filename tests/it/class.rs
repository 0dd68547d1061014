//! A class: what it says of each student is what single runs say; a fault in one leaves the others' answers standing and is
//! told at its place; lead and gear for all; the pages.

use serde_json::Value;

use crate::command::{Cli, Done, json, number};
use lightpoint::internals::plan::Plan;
use lightpoint::internals::plan::class::Class;

/// A class of which the tests change one thing.
const BASE: &str = r#"
title = "Two (invented)"
gear_list = "gear.csv"
[class]
pieces = ["2 kg", "1 kg", "0.5 kg"]
[site]
water = "sea"
temperature = "15 °C"
[suit]
name = "wet suit"
mass = "3 kg"
foam = { volume = "6 ± 0.4 L" }
[[part]]
piece = "fins"
[[cylinder]]
name = "back"
size = "steel 12 L 232 bar"
in_water = "-0.2 ± 0.1 kg"
read_in = "fresh"
gas = "air"
fill = "200 bar"
[breathing]
rate = "18 L/min"
[dive]
leg = [{ to = "18 m", over = "2 min" }, { stay = "20 min" }, { to = "5 m", speed = "9 m/min" }, { stay = "3 min" }, { to = "0 m", over = "1 min" }]
[[student]]
name = "Ana"
diver = { mass = "60 kg", volume = "60.5 ± 0.3 L" }
[[student]]
name = "Ben"
diver = { mass = "85 kg", volume = "84.5 ± 0.3 L" }
"#;
const GEAR: &str = "name,count,mass,volume\nfins,2,2 kg,1.7 L\ntorch,,0.6 kg,0.4 L\n";

/// The class with a third student.
fn with(student: &str) -> String {
    format!("{BASE}[[student]]\n{student}")
}

fn cli(text: &str, args: &[&str]) -> Cli {
    Cli::new(&[&["class", "class.toml"], args].concat()).file("class.toml", text).file("gear.csv", GEAR)
}

fn answer(text: &str, args: &[&str]) -> Value {
    parsed(&cli(text, &[args, &["--json"]].concat()).ok())
}

fn parsed(done: &Done) -> Value {
    serde_json::from_str(&done.stdout).expect("JSON and nothing else")
}

fn student<'v>(value: &'v Value, name: &str) -> &'v Value {
    value["students"].as_array().unwrap().iter().find(|one| one["name"] == name).expect("a student")
}

#[test]
fn each_row_is_what_single_runs_say_digit_by_digit() {
    let class = std::fs::canonicalize("profiles/class.toml").unwrap();
    let done = Cli::new(&["class", class.to_str().unwrap(), "--json", "--plans", "plans"]).ok();
    let value = parsed(&done);
    let files = done.files();
    let students = value["students"].as_array().unwrap();
    assert_eq!(students.len(), 5);
    let dir = tempfile::tempdir().unwrap();
    for file in &files {
        let name = file.strip_prefix("plans/").unwrap();
        std::fs::write(dir.path().join(name), done.read(file)).unwrap();
    }
    for one in students {
        let plan = dir.path().join(format!("{}.toml", one["name"].as_str().unwrap().to_lowercase()));
        let plan = plan.to_str().unwrap();
        let alone = json(&["ballast", plan, "--json"]);
        let run = json(&["run", plan, "--json", "--no-files"]);
        let lead = &one["lead"];
        assert_eq!((&lead["least_kg"], &lead["most_kg"]), (&alone["least"]["lead_kg"], &alone["most"]["lead_kg"]));
        let same = [
            "advised_kg",
            "least_in_pieces_kg",
            "least_low_kg",
            "least_high_kg",
            "typical_frac",
            "own_kg",
            "needless_kg",
        ];
        for key in same {
            assert_eq!(lead[key], alone[key], "{key} of {}", one["name"]);
        }
        let kinds: Vec<&str> =
            lead["trouble"].as_array().unwrap().iter().map(|trouble| trouble["kind"].as_str().unwrap()).collect();
        assert_eq!(kinds.contains(&"needless-lead"), !alone["needless_kg"].is_null(), "{kinds:?}");
        if number(lead, "/own_kg") > 0.0 {
            let verdict = run["findings"]["failed_wing"]["verdict"].as_str().unwrap();
            assert_eq!(kinds.contains(&"failed-wing"), verdict != "can-swim", "{verdict} {kinds:?}");
        }
    }
}

#[test]
fn any_number_of_threads_says_the_same() {
    let one = cli(BASE, &["--json", "--threads", "1"]).ok().stdout;
    assert_eq!(cli(BASE, &["--json", "--threads", "5"]).ok().stdout, one);
}

#[test]
fn one_bad_and_two_good_students() {
    let good = answer(BASE, &[]);
    let text = with("name = \"Cleo\"\ndiver = { mass = \"70\", volume = \"70 L\" }\n");
    let done = cli(&text, &["--json", "--csv", "out/rows.csv", "--handouts", "pages"]).run();
    assert_eq!(done.code, 2, "{}", done.stderr);
    let value = parsed(&done);
    for name in ["Ana", "Ben"] {
        assert_eq!(student(&value, name), student(&good, name));
    }
    let line = text.lines().position(|line| line.contains("\"70\"")).unwrap() + 1;
    let cleo = student(&value, "Cleo");
    assert!(cleo["lead"].is_null());
    let problem = &cleo["problems"][0];
    assert_eq!((&problem["code"], &problem["line"]), (&Value::from("no-unit"), &Value::from(line)), "{cleo}");
    assert!(done.stderr.contains("Cleo: ") && done.stderr.contains(&format!("class.toml:{line}:")), "{}", done.stderr);
    assert_eq!(value["bring"], good["bring"], "who has no answer takes no lead");
    let rows = done.read("out/rows.csv");
    assert_eq!(rows.lines().count(), 4, "{rows}");
    assert!(rows.lines().nth(3).unwrap().starts_with("Cleo,,") && rows.contains("no answer"));
    let pages: Vec<String> = done.files().into_iter().filter(|file| file.starts_with("pages/")).collect();
    assert_eq!(pages, ["pages/ana-handout.html", "pages/ben-handout.html"]);
    // and as a table: the good rows and the bad one
    let table = cli(&text, &[]).run();
    assert_eq!(table.code, 2);
    assert!(table.stdout.contains("No answer          Cleo") && table.stdout.contains(" Ana "), "{}", table.stdout);
}

/// Problems as `code line: message`.
fn told(text: &str, dir: &std::path::Path) -> Vec<String> {
    let class = Class::parse(text, "class.toml", dir).unwrap();
    let plans: Vec<_> = (0..class.len()).map(|i| class.plan(i).and_then(|plan| plan.build())).collect();
    let wrong: Vec<_> = plans.iter().enumerate().filter_map(|(i, plan)| Some((i, plan.as_ref().err()?))).collect();
    let faults = class.faults(&wrong);
    let lines = faults.list.iter().map(|fault| {
        let source = &faults.sources[fault.problem.source];
        let (line, _) = source.line_column(fault.problem.span.start);
        format!("{}:{line} {}", source.name.rsplit('/').next().unwrap(), fault.problem.message)
    });
    lines.collect()
}

fn folder() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("gear.csv"), GEAR).unwrap();
    dir
}

fn line_of(text: &str, what: &str) -> usize {
    text.lines().position(|line| line.contains(what)).unwrap() + 1
}

#[test]
fn a_shared_fault_is_told_once_and_at_its_place() {
    let dir = folder();
    assert_eq!(told(BASE, dir.path()), [""; 0]);
    let text = BASE.replace("\"200 bar\"", "\"200\"");
    let found = told(&text, dir.path());
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].starts_with(&format!("class.toml:{} fill", line_of(&text, "fill ="))), "{found:?}");
    // missing everywhere: once, and of nobody alone
    let text = BASE.replace("rate = \"18 L/min\"", "");
    let found = told(&text, dir.path());
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(!found[0].contains("Ana"), "{found:?}");
    // a key that no plan has
    let text = BASE.replace("[site]", "[siet]");
    let found = told(&text, dir.path());
    assert!(found.iter().any(|one| one.contains("siet")) && found.len() < 4, "{found:?}");
    // in a file beside it
    std::fs::write(dir.path().join("gear.csv"), GEAR.replace("1.7 L", "1.7")).unwrap();
    let found = told(BASE, dir.path());
    assert!(found.len() == 1 && found[0].starts_with("gear.csv:2 "), "{found:?}");
}

#[test]
fn a_student_s_fault_stands_in_the_student_s_table() {
    let dir = folder();
    let place = |student: &str, what: &str| {
        let text = with(&format!("name = \"Cleo\"\n{student}"));
        let found = told(&text, dir.path());
        assert!(found.len() == 1 && found[0].contains("Cleo: "), "{found:?}");
        let line = line_of(&text, what);
        assert!(found[0].starts_with(&format!("class.toml:{line} ")), "line {line}: {found:?}");
    };
    let diver = "diver = { mass = \"70 kg\", volume = \"70 L\" }\n";
    // a list of the student's own, whose second entry has no place in the shared one
    let own = "ballast = [{ name = \"one\", mass = \"1 kg\" },\n  { name = \"two\", mass = \"2\" }]\n";
    place(&format!("{diver}{own}"), "name = \"two\"");
    place(&format!("{diver}extra_part = [\n  {{ piece = \"no such piece\" }},\n]\n"), "no such piece");
    place(&format!("{diver}[student.suit]\nfoam = {{ volume = \"nan L\" }}\n"), "nan L");
    place(&format!("{diver}[student.dive]\nlast_stop = \"25 m\"\n"), "25 m");
    place("diver = { volume = \"70 L\" }\n", "diver = { volume = \"70 L\" }");
    place(&format!("{diver}colour = \"red\"\n"), "colour");
    place("plan = \"none.toml\"\n", "none.toml");
    // one who has nothing of a table that others wrote for themselves is told at the heading
    let text = with("name = \"Cleo\"\n");
    let found = told(&text, dir.path());
    let heading = text.lines().count() - 1;
    assert!(
        !found.is_empty() && found.iter().all(|one| one.starts_with(&format!("class.toml:{heading} "))),
        "{found:?}"
    );
}

#[test]
fn names_are_needed_and_told_apart() {
    let dir = folder();
    let twice = BASE.replace("\"Ben\"", "\"Ana\"");
    assert!(told(&twice, dir.path())[0].contains("student 1 and again student 2"));
    let none = BASE.replace("name = \"Ben\"\n", "");
    assert!(told(&none, dir.path())[0].contains("student 2: this student has no name"));
}

#[test]
fn what_leaves_no_answer_for_anybody_is_refused() {
    for (text, said) in [
        ("a = [", "not TOML"),
        ("title = \"x\"\n", "the class has no student"),
        ("student = 5\n", "the class has no student"),
        ("student = [1, 2]\n", "the class has no student"),
        (&BASE.replace("[class]", "[class]\ndate = \"24.5.2031\""), "must be a day"),
        (&BASE.replace("[class]", "[class]\nown = [\"ten x 1 kg\"]"), "own: "),
        (&BASE.replace("\"0.5 kg\"", "\"0.5\""), "a mass needs its unit"),
        (&BASE.replace("[class]", "[class]\npool = { water = \"fersh\" }"), "did you mean \"fresh\"?"),
        (&BASE.replace("[class]", "[class]\npool = { depth = \"-2 m\" }"), "must be between 0 and 60"),
        (&BASE.replace("[class]", "[class]\nday = \"2031-05-24\""), "no key \"class.day\""),
    ] {
        let stderr = cli(text, &[]).refused();
        assert!(stderr.contains(said), "{said}: {stderr}");
    }
    assert!(cli(BASE, &["--own", "ten x 1 kg"]).refused().contains("--own"));
    assert!(cli(BASE, &["--date", "24.5.2031"]).refused().contains("YYYY-MM-DD"));
}

/// The dive of a student of the class, and of a plan written out by hand, are the same.
fn assert_same(class: &str, index: usize, plan: &str) {
    let dir = folder();
    let composed = Class::parse(class, "class.toml", dir.path()).unwrap().plan(index).unwrap();
    let by_hand = Plan::parse(plan, "plan.toml", dir.path()).unwrap();
    let title = composed.file().title.clone();
    let mut expected = by_hand.file().clone();
    expected.title = title;
    assert_eq!(composed.file(), &expected, "{}", composed.sources()[0].text);
}

#[test]
fn a_student_s_keys_go_before_the_shared_ones() {
    let shared = BASE.split("[[student]]").next().unwrap();
    let shared = shared.replace("[class]\npieces = [\"2 kg\", \"1 kg\", \"0.5 kg\"]\n", "");
    let diver = "[diver]\nmass = \"60 kg\"\nvolume = \"60.5 ± 0.3 L\"\n";
    assert_same(BASE, 0, &format!("{shared}{diver}"));
    let cleo = |keys: &str| {
        with(&format!("name = \"Cleo\"\ndiver = {{ mass = \"60 kg\", volume = \"60.5 ± 0.3 L\" }}\n{keys}"))
    };
    // a key of a table; the rest of the table is shared
    let changed = shared.replace("18 L/min", "22 L/min");
    assert_same(&cleo("breathing.rate = \"22 L/min\"\n"), 2, &format!("{changed}{diver}"));
    // another suit is another one: no foam of the shared one is left
    let suit = "[suit]\nname = \"shorty\"\nmass = \"1 kg\"\nvolume = \"1 L\"\n";
    let (before, after) = shared.split_once("[suit]").unwrap();
    let after = after.split_once("[[part]]").unwrap().1;
    let changed = format!("{before}{suit}[[part]]{after}");
    assert_same(&cleo(&suit.replace("[suit]", "[student.suit]")), 2, &format!("{changed}{diver}"));
    // the same suit, with other foam
    let changed = shared.replace("6 ± 0.4 L", "8 L");
    assert_same(&cleo("suit = { foam = { volume = \"8 L\" } }\n"), 2, &format!("{changed}{diver}"));
    // a key that stands for others: layers instead of one water
    let changed = shared.replace(
        "water = \"sea\"\ntemperature = \"15 °C\"",
        "layer = [{ from = \"0 m\", water = \"fresh\", temperature = \"9 °C\" }]",
    );
    let layers = "[student.site]\nlayer = [{ from = \"0 m\", water = \"fresh\", temperature = \"9 °C\" }]\n";
    assert_same(&cleo(layers), 2, &format!("{changed}{diver}"));
    // lists replace, and extra parts come to them
    let changed = shared.replace("piece = \"fins\"", "piece = \"fins\"\n[[part]]\npiece = \"torch\"\n");
    assert_same(&cleo("[[student.extra_part]]\npiece = \"torch\"\n"), 2, &format!("{changed}{diver}"));
    let changed = shared.replace("piece = \"fins\"", "piece = \"torch\"");
    assert_same(&cleo("[[student.part]]\npiece = \"torch\"\n"), 2, &format!("{changed}{diver}"));
}

#[test]
fn a_whole_plan_dives_at_the_class_s_site_on_its_dive() {
    let shared =
        BASE.split("[[student]]").next().unwrap().replace("[class]\npieces = [\"2 kg\", \"1 kg\", \"0.5 kg\"]\n", "");
    let own = format!("{shared}[diver]\nmass = \"91 kg\"\nvolume = \"90 ± 0.5 L\"\n")
        .replace("temperature = \"15 °C\"", "temperature = \"4 °C\"")
        .replace("to = \"18 m\"", "to = \"30 m\"");
    let dir = folder();
    std::fs::create_dir(dir.path().join("own")).unwrap();
    std::fs::write(dir.path().join("own/cleo.toml"), &own).unwrap();
    std::fs::write(dir.path().join("own/gear.csv"), GEAR).unwrap();
    let text = with("name = \"Cleo\"\nplan = \"own/cleo.toml\"\n");
    let plan = Class::parse(&text, "class.toml", dir.path()).unwrap().plan(2).unwrap();
    let class =
        Plan::parse(&format!("{shared}[diver]\nmass = \"91 kg\"\nvolume = \"90 ± 0.5 L\"\n"), "p.toml", dir.path())
            .unwrap();
    assert_eq!((&plan.file().site, &plan.file().dive), (&class.file().site, &class.file().dive));
    assert_eq!(plan.file().diver, class.file().diver);
    assert_eq!(plan.file().gear_list.as_deref(), Some("own/gear.csv"));
    assert_eq!(plan.title(), "Two (invented): Cleo");
    // a fault in it is told there
    std::fs::write(dir.path().join("own/cleo.toml"), own.replace("91 kg", "91")).unwrap();
    let found = told(&text, dir.path());
    assert!(found.len() == 1 && found[0].starts_with("cleo.toml:") && found[0].contains("Cleo: "), "{found:?}");
    std::fs::write(dir.path().join("own/cleo.toml"), "mass = [").unwrap();
    let found = told(&text, dir.path());
    assert!(found.len() == 1 && found[0].contains("not TOML"), "{found:?}");
}

/// What all take is what is brought; a pile for all is shared, and what is missing of it is told.
#[test]
fn the_lead_to_bring_is_the_sum_of_what_all_take() {
    let value = answer(BASE, &[]);
    let taken: f64 = value["students"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["lead"]["takes_kg"].as_array().unwrap().iter().map(|kg| kg.as_f64().unwrap()).sum::<f64>())
        .sum();
    assert_eq!(number(&value, "/bring/lead_kg"), taken);
    assert!(taken > 1.0, "{value}");
    let piles = value["bring"]["pieces"].as_array().unwrap();
    let listed = |pile: &Value| format!("{} x {} kg", pile["count"], pile["piece_kg"]);
    let enough: Vec<String> = piles.iter().map(listed).collect();
    // what is brought is enough, as a pile
    let with_own = answer(BASE, &["--own", &enough.join(",")]);
    assert_eq!(with_own["bring"]["without"], Value::from(Vec::<Value>::new()), "{with_own}");
    let few = answer(BASE, &["--own", "1 x 2 kg, 1 x 0.5 kg"]);
    assert!(!few["bring"]["missing"].as_array().unwrap().is_empty());
    assert!(!few["bring"]["without"].as_array().unwrap().is_empty());
    // the same in the file, and the option goes before it
    let text = BASE.replace("[class]", "[class]\nown = [\"1 x 2 kg\", \"0.5 kg\"]");
    assert_eq!(answer(&text, &[])["bring"], few["bring"]);
    assert_eq!(answer(&text, &["--own", &enough.join(",")])["bring"], with_own["bring"]);
}

#[test]
fn gear_that_more_want_than_there_is() {
    assert_eq!(answer(BASE, &[])["wanted"], Value::from(Vec::<Value>::new()));
    let third =
        "name = \"Cleo\"\ndiver = { mass = \"70 kg\", volume = \"70 L\" }\nextra_part = [{ piece = \"torch\" }]\n";
    let value = answer(&with(third), &["--no-trials"]);
    let wanted = value["wanted"].as_array().unwrap();
    assert_eq!(wanted.len(), 1, "one torch for one is enough: {wanted:?}");
    assert_eq!((&wanted[0]["piece"], &wanted[0]["wanted"], &wanted[0]["has"]), (&"fins".into(), &3.into(), &2.into()));
    assert_eq!(wanted[0]["students"], Value::from(vec!["Ana", "Ben", "Cleo"]));
    let stderr = cli(BASE, &[]).file("gear.csv", GEAR.replace("fins,2", "fins,two")).run().stderr;
    assert!(stderr.contains("must be a whole number"), "{stderr}");
}

/// Without trials: least and most as with them, and nothing that needs them.
#[test]
fn without_trials_nothing_is_advised() {
    let (with, without) = (answer(BASE, &[]), answer(BASE, &["--no-trials"]));
    for name in ["Ana", "Ben"] {
        let (with, without) = (&student(&with, name)["lead"], &student(&without, name)["lead"]);
        for key in ["least_kg", "most_kg", "least_in_pieces_kg", "own_kg", "pool_kg"] {
            assert_eq!(with[key], without[key], "{key}");
        }
        for key in ["advised_kg", "needless_kg", "least_high_kg", "holds_frac", "typical_frac"] {
            assert!(without[key].is_null(), "{key}");
        }
        assert!(!with["advised_kg"].is_null());
    }
}

/// With the pool's lead the same rig hangs neutral where the page's first check puts it.
#[test]
fn the_pool_s_lead_is_less_than_the_sea_s() {
    let value = answer(BASE, &[]);
    for name in ["Ana", "Ben"] {
        let lead = &student(&value, name)["lead"];
        // fresh water lifts some 2.5 % less than the sea: of about 85 to 110 L that is 2.1 to 2.8 kg; the foam at 3 m
        // instead of 5 m is larger by a tenth of its gas, 0.4 kg
        let less_kg = number(lead, "/least_kg") - number(lead, "/pool_kg");
        assert!((1.2..3.2).contains(&less_kg), "{name}: {less_kg}");
    }
    let deeper =
        BASE.replace("[class]", "[class]\npool = { depth = \"5 m\", water = \"sea\", temperature = \"15 °C\" }");
    let value = answer(&deeper, &[]);
    for name in ["Ana", "Ben"] {
        let lead = &student(&value, name)["lead"];
        // the water and the depth of the last stop: the same question, but for a layer that knows no altitude and a
        // salinity of exactly 35, and a search that ends within a hundredth of a gram
        let off_kg = number(lead, "/least_kg") - number(lead, "/pool_kg");
        assert!(off_kg.abs() < 1e-3, "{name}: {off_kg}");
    }
}

#[test]
fn all_pages_in_one_file() {
    let done = cli(BASE, &["--print", "all.html", "--handouts", "pages", "--date", "2031-05-24"]).ok();
    let page = done.read("all.html");
    assert_eq!(page.matches("<main").count(), 2);
    assert!(!page.contains("<script") && page.contains("script-src 'none'"), "nothing runs in it");
    assert!(page.contains("Two (invented): Ana") && page.contains("Two (invented): Ben"));
    let ids: Vec<&str> = page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    let mut unique = ids.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(ids.len(), unique.len(), "a name twice");
    for named in page.split("aria-labelledby=\"").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(unique.binary_search(&named).is_ok(), "{named} names nothing");
    }
    assert_eq!(page.matches("http-equiv=\"Content-Security-Policy\"").count(), 1);
    // each page alone says the same to its student
    let alone = done.read("pages/ana-handout.html");
    let lead = |text: &str, id: &str| {
        text.split(&format!("id=\"{id}\">")).nth(1).unwrap().split("</h2>").next().unwrap().to_owned()
    };
    assert_eq!(lead(&alone, "lead"), lead(&page, "s1-lead"));
    assert!(alone.contains("2031-05-24") && page.contains("2031-05-24"));
    // no input is overwritten
    let refused = cli(BASE, &["--print", "class.toml"]).run();
    assert!(refused.code == 2 && refused.stderr.contains("not overwritten"), "{}", refused.stderr);
}

#[test]
fn the_table_as_text() {
    let class = std::fs::canonicalize("profiles/class.toml").unwrap();
    let text = Cli::new(&["class", class.to_str().unwrap()]).ok().stdout;
    insta::assert_snapshot!(text);
}
