//! Plans, gear lists, profiles, checks and `--set` as nobody meant them: right ones with tokens, numbers, bytes and lines
//! changed by a seeded generator. Whatever comes of it: no panic; problems, or a dive that runs with every finding finite.
//!
//! Some hundreds in the usual run. `LIGHTPOINT_FUZZ_SECONDS=60` goes on for a minute from `LIGHTPOINT_FUZZ_SEED` (1), and
//! tells the slowest; a failure names the seed and the text. Cases have the seeds that follow each other: runs side by side
//! start from seeds far apart.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use lightpoint::internals::answer::class::Pile;
use lightpoint::internals::answer::{AnswerError, ClassAsk, ClassFacts, ClassWatch, DiveFacts, Pieces, Ready};
use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::plan::checks::checks_from;
use lightpoint::internals::plan::class::{Class, PoolWater};
use lightpoint::internals::plan::listed::FromReadings;
use lightpoint::internals::plan::said::SaidCheck;
use lightpoint::internals::plan::starter::{Cylinders, Starter, Suit, Units};
use lightpoint::internals::sim;
use lightpoint::internals::study::{Probe, lead_bounds_from};

/// Cases of the usual run.
const USUAL_CASES: u64 = 1500;

/// A dive takes less in a release build; what takes longer is shown.
const SLOW: Duration = Duration::from_millis(500);

/// SplitMix64 (Steele, Lea and Flood 2014): small, and the same everywhere.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Below a bound above zero.
    fn below(&mut self, bound: usize) -> usize {
        (self.next() % bound as u64) as usize
    }

    fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// What is put in place of a quoted text.
const TEXTS: [&str; 62] = [
    "",
    " ",
    "0 kg",
    "-0 kg",
    "1e308 kg",
    "-1e308 kg",
    "1e-308 kg",
    "999 kg",
    "-999 kg",
    "nan kg",
    "inf L",
    "1e400 L",
    "0 L",
    "1e-12 L",
    "1000 L",
    "999 ± 999 L",
    "5 ± 1e300 kg",
    "5 ± 1e-300 kg",
    "1 ± 1 kg (99.999999%)",
    "0.0001 m",
    "349 m",
    "350 m",
    "1e9 m",
    "0 min",
    "1e-9 min",
    "9999 min",
    "99:59:59",
    "00:00",
    "1e-9 m/min",
    "1e9 m/min",
    "0 bar",
    "1e-9 bar",
    "599 bar",
    "600 bar",
    "1e9 bar",
    "-273.15 °C",
    "40 °C",
    "-2 °C",
    "0 PSU",
    "42 PSU",
    "0 %",
    "100 %",
    "0 L/min",
    "500 L/min",
    "trimix 0/100",
    "nitrox 0",
    "pool",
    "site",
    "2 ± 1 kg (guess)",
    "11 L (95%, guess)",
    "wet 7 mm",
    "wet 0.5 mm two-piece",
    "dry membrane",
    "dry membrane heavy",
    "dry neoprene",
    "swimwear",
    "typical",
    "woman",
    "6 m 10 min",
    "1e-9 m 1e9 min",
    "hood 7 mm",
    "rubber fins",
];
/// What is put in place of a number.
const NUMBERS: [&str; 16] =
    ["0", "1", "-1", "2", "16", "17", "99", "100", "0.5", "1e3", "1e-3", "1e-9", "1e9", "1e308", "1e-308", "00"];
/// What is put anywhere.
const BITS: [&str; 24] = [
    "\"", "'", "[", "]", "[[", "]]", "{", "}", "=", "#", ",", ";", ".", "\n", "\r", "\t", "±", "−", "\u{feff}", "\0",
    "é", "true", "nan", "\\",
];

/// The text with one to three changes, most often one.
fn mutated(random: &mut Random, text: &str, others: &[String]) -> String {
    let mut text = text.to_owned();
    for _ in 0..=(random.below(3) * random.below(2)) {
        text = match random.below(8) {
            0 | 1 => with_token(random, &text),
            2 | 3 => with_number(random, &text),
            4 => with_bits(random, &text),
            5 => with_lines(random, &text),
            6 => with_line_of(random, &text, others),
            _ => with_token_of(random, &text),
        };
    }
    text
}

/// Ranges of what stands between quotes.
fn quoted(text: &str) -> Vec<(usize, usize)> {
    let quotes: Vec<usize> = text.match_indices('"').map(|(at, _)| at).collect();
    quotes.chunks_exact(2).map(|pair| (pair[0] + 1, pair[1])).collect()
}

fn replaced(text: &str, (from, to): (usize, usize), with: &str) -> String {
    format!("{}{with}{}", &text[..from], &text[to..])
}

fn with_token(random: &mut Random, text: &str) -> String {
    let tokens = quoted(text);
    if tokens.is_empty() {
        return text.to_owned();
    }
    let at = *random.one(&tokens);
    replaced(text, at, random.one::<&str>(&TEXTS))
}

/// One quoted text in place of another of the same file.
fn with_token_of(random: &mut Random, text: &str) -> String {
    let tokens = quoted(text);
    if tokens.is_empty() {
        return text.to_owned();
    }
    let (at, (from, to)) = (*random.one(&tokens), *random.one(&tokens));
    replaced(text, at, &text[from..to])
}

fn with_number(random: &mut Random, text: &str) -> String {
    let bytes = text.as_bytes();
    let is_digit = |i: usize| bytes[i].is_ascii_digit();
    let starts: Vec<usize> = (0..bytes.len()).filter(|&i| is_digit(i) && (i == 0 || !is_digit(i - 1))).collect();
    if starts.is_empty() {
        return text.to_owned();
    }
    let from = *random.one(&starts);
    let to = (from..bytes.len()).find(|&i| !is_digit(i) && bytes[i] != b'.').unwrap_or(bytes.len());
    let old: f64 = text[from..to].parse().unwrap_or(1.0);
    match random.below(3) {
        0 => replaced(text, (from, to), random.one::<&str>(&NUMBERS)),
        1 => replaced(text, (from, to), &(old * [0.01, 0.1, 0.5, 1.1, 2.0, 10.0, 100.0][random.below(7)]).to_string()),
        _ => replaced(text, (from, to), &(old + [-1.0, 1.0, 0.001][random.below(3)]).to_string()),
    }
}

fn with_bits(random: &mut Random, text: &str) -> String {
    let from = text.floor_char_boundary(random.below(text.len() + 1));
    let to = text.ceil_char_boundary((from + random.below(3)).min(text.len()));
    replaced(text, (from, to), random.one::<&str>(&BITS))
}

fn with_lines(random: &mut Random, text: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    if lines.is_empty() {
        return text.to_owned();
    }
    let (a, b) = (random.below(lines.len()), random.below(lines.len()));
    match random.below(3) {
        0 => _ = lines.remove(a),
        1 => lines.insert(a, lines[b]),
        _ => lines.swap(a, b),
    }
    lines.join("\n")
}

fn with_line_of(random: &mut Random, text: &str, others: &[String]) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let other: Vec<&str> = random.one(others).lines().collect();
    if !other.is_empty() {
        let from = random.below(other.len());
        let count = (1 + random.below(6)).min(other.len() - from);
        let at = random.below(lines.len() + 1);
        lines.splice(at..at, other[from..from + count].iter().copied());
    }
    lines.join("\n")
}

/// The texts of a folder's files with one ending; what is no UTF-8 is left out.
fn texts(folder: &str, ending: &str) -> Vec<String> {
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == ending));
    paths.sort();
    paths.iter().filter_map(|path| std::fs::read_to_string(path).ok()).collect()
}

/// Checks of a plan in every form.
const CHECKS: &str = "[[weight_check]]\ndepth = \"3 m\"\nwater = \"pool\"\nlead = \"6 kg\"\nback = \"50 bar\"\noutcome = \"neutral\"\n\
[[weight_check]]\ndepth = \"0 m\"\nbreath = \"full\"\nback = \"60 bar\"\noutcome = \"eye level\"\nrig = { suit = \"wet 5 mm\", cylinder = \
\"steel 12 L 232 bar\" }\n[[weight_check]]\ndepth = \"5 m\"\nwing = \"1 L\"\nback = \"50 bar\"\noutcome = \"floated\"\ndoubt = \"0.5 kg\"\n";

struct Corpus {
    plans: Vec<String>,
    lists: Vec<String>,
    class: String,
}

impl Corpus {
    fn new() -> Self {
        // twice those that are right: what is wrong already seldom comes to a dive
        let (class, right): (Vec<String>, Vec<String>) =
            texts("profiles", "toml").into_iter().partition(|text| text.contains("[[student]]"));
        let starters = [(Suit::Dry, Cylinders::Twin, 2), (Suit::Wet, Cylinders::Sidemount, 0)]
            .map(|(suit, cylinders, stages)| Starter { suit, cylinders, stages, units: Units::Us }.text());
        let short = [(Suit::Dry, Cylinders::Twin), (Suit::Wet, Cylinders::Single)].map(|(suit, cylinders)| {
            let text = Starter { suit, cylinders, stages: 0, units: Units::Metric }.short_text().expect("a short one");
            format!(
                "{text}stops = [\"9 m 3 min\", \"6 m 10 min\"]\ndescent_speed = \"15 m/min\"\nlast_stop = \"6 m\"\n[[part]]\n\
                 name = \"hood\"\n[[part]]\nname = \"reel\"\n{CHECKS}"
            )
            .replace("[suit]", "sex = \"man\"\nheight = \"1.80 m\"\nage = 34\n[suit]")
        });
        let plans =
            [right.clone(), right, starters.to_vec(), short.to_vec(), texts("tests/bad_plans", "toml")].concat();
        let lists = [texts("profiles", "csv"), texts("tests/bad_plans", "csv")].concat();
        assert!(plans.len() > 20 && lists.len() > 6);
        Self { plans, lists, class: class.concat() }
    }
}

/// One dive in so many has all its trials of the lead: they are a hundred times the work of its run, and all alike.
const TRIALS_EVERY: usize = 32;

/// A plan read, built and, if it is right, run, with the trials of its lead or without.
fn plan(plan: Result<Plan, impl std::fmt::Display>, has_trials: bool) -> Result<bool, String> {
    let plan = match plan {
        Ok(plan) => plan,
        Err(problems) => {
            let _ = problems.to_string();
            return Ok(false);
        }
    };
    let built = match plan.build() {
        Ok(built) => built,
        Err(problems) => {
            let refused = problems.list.iter().find(|problem| problem.code.as_str() == "refused");
            return refused.map_or(Ok(false), |problem| Err(format!("refused by the engine: {}", problem.message)));
        }
    };
    built.notes.iter().for_each(|note| drop(note.to_string()));
    // checks may leave nothing to correct, or no dive at all; that is told
    let built = match Ready::of(&plan) {
        Ok(ready) => ready.built,
        Err(AnswerError::Calibrate(error)) => {
            let _ = error.to_string();
            return Ok(false);
        }
        Err(error) => return Err(format!("not ready: {error}")),
    };
    let (findings, lead) = if has_trials {
        let dive = DiveFacts::of(&plan).map_err(|error| format!("no answer: {error}"))?;
        (dive.quick.findings, dive.quick.lead)
    } else {
        let dive = &built.scenario;
        let trace = sim::run(dive).map_err(|error| format!("no run: {error}"))?;
        let lead = lead_bounds_from(dive, &Probe::of_trace(dive, &trace));
        (Findings::of(dive, &trace), lead.map_err(|error| format!("no lead: {error}"))?)
    };
    let hold = findings.last_hold();
    let numbers = [
        findings.heavy.bare_kg,
        findings.light.bare_kg,
        findings.failed_wing.worst.load_kg,
        hold.planned.bare_kg,
        hold.at_reserve.bare_kg,
        findings.wing.needed_m3,
        lead.least_kg,
        lead.most_kg,
    ];
    if numbers.iter().all(|number| number.is_finite()) { Ok(true) } else { Err(format!("not finite: {numbers:?}")) }
}

/// A class read and every student asked, without trials or with them.
fn class(text: &str, has_trials: bool) -> Result<bool, String> {
    let class = match Class::parse(text, "tried.toml", "profiles") {
        Ok(class) => class,
        Err(problems) => {
            let _ = problems.to_string();
            return Ok(false);
        }
    };
    let stock = Some(vec![Pile { piece_kg: 2.0, count: 5 }, Pile { piece_kg: 1.0, count: 3 }]);
    let (pieces, pool) = (Pieces::Sizes(vec![2.0, 1.0]), class.keys().pool.unwrap_or_else(PoolWater::usual));
    let ask = ClassAsk { pieces, stock, pool, has_trials, threads: 1 };
    let watch = ClassWatch { cancel: &AtomicBool::new(false), progress: &|_| () };
    let facts = ClassFacts::of(&class, &ask, &watch).map_err(|error| format!("no class: {error}"))?;
    facts.faults.problems().iter().for_each(|problems| drop(problems.to_string()));
    for student in &facts.students {
        match &student.facts {
            Ok(one) if [one.lead.least_kg, one.lead.most_kg, one.pool_kg].iter().all(|kg| kg.is_finite()) => {}
            Ok(one) => return Err(format!("not finite: {one:?}")),
            Err(AnswerError::Problems(problems)) => {
                if problems.list.iter().any(|problem| problem.code.as_str() == "refused") {
                    return Err(format!("refused by the engine: {problems}"));
                }
            }
            Err(error) => return Err(format!("no answer: {error}")),
        }
    }
    Ok(facts.students.iter().any(|student| student.facts.is_ok()))
}

/// One case: what was tried, and what came of it.
fn case(random: &mut Random, corpus: &Corpus, dir: &Path) -> (String, Result<bool, String>) {
    let caught = |what: String, tried: &dyn Fn() -> Result<bool, String>| {
        let done = catch_unwind(AssertUnwindSafe(tried)).unwrap_or_else(|_| Err("a panic".into()));
        (what, done)
    };
    let has_trials = random.below(TRIALS_EVERY) == 0;
    match random.below(9) {
        8 => {
            let text = mutated(random, &corpus.class, &corpus.plans);
            caught(text.clone(), &|| class(&text, has_trials))
        }
        // files beside a plan: the plans of `profiles/` name these two
        0 | 1 => {
            let mut beside = String::new();
            for name in ["gear.csv", "coastal-cave.csv"] {
                let list = std::fs::read_to_string(Path::new("profiles").join(name)).unwrap();
                let list = mutated(random, &list, &corpus.lists);
                std::fs::write(dir.join(name), &list).unwrap();
                beside.push_str(&format!("{name}:\n{list}\n"));
            }
            let name = ["coastal-cave", "single-wetsuit", "mountain-lake"][random.below(3)];
            let text = std::fs::read_to_string(format!("profiles/{name}.toml")).unwrap();
            caught(format!("{name} beside\n{beside}"), &|| plan(Plan::parse(&text, "tried.toml", dir), has_trials))
        }
        2 if random.below(2) == 0 => {
            let list = mutated(random, crate::readings::LIST, &corpus.lists);
            caught(format!("readings:\n{list}"), &|| {
                let made = FromReadings::of_text(&list, "list.csv", "tried");
                made.map(|made| assert!(!made.text.is_empty())).map_err(|problems| drop(problems.to_string())).ok();
                SaidCheck::of(&list, &["back", "stage 1"]).map(|said| said.table()).ok();
                Ok(false)
            })
        }
        2 => {
            let list = random.one(&corpus.lists);
            let list = mutated(random, list, &corpus.lists);
            caught(format!("checks:\n{list}"), &|| {
                let checks = checks_from(&list, "checks.csv", &["back", "stage 1"]);
                checks.map(|rows| assert!(!rows.is_empty())).map_err(|problems| drop(problems.to_string())).ok();
                Ok(false)
            })
        }
        3 => {
            let keys = [
                "suit.gas_volume",
                "cylinder.back.fill",
                "cylinder[2].gas",
                "dive.leg[1].to",
                "dive.leg.1",
                "wing.capacity",
                "site.temperature",
                "diver.mass",
                "ballast[1].count",
                "units",
                "part[3].foam.volume",
                "dive.last_stop",
                "breathing.rate",
                "gear",
                "suit.kind",
                "suit.undergarment",
                "diver.sex",
                "diver.height",
                "part[2].name",
            ];
            let mut sets: Vec<(String, String)> = Vec::new();
            for _ in 0..=random.below(3) {
                let key = *random.one(&keys);
                let value = (*random.one::<&str>(&TEXTS)).to_owned();
                sets.push((mutated_if(random, key, 4, &corpus.plans), value));
            }
            caught(format!("--set {sets:?}"), &|| plan(Plan::demonstration(&sets), has_trials))
        }
        _ => {
            let text = random.one(&corpus.plans);
            let text = mutated(random, text, &corpus.plans);
            caught(text.clone(), &|| plan(Plan::parse(&text, "tried.toml", "profiles"), has_trials))
        }
    }
}

/// The text, changed once in so many times.
fn mutated_if(random: &mut Random, text: &str, times: usize, others: &[String]) -> String {
    if random.below(times) == 0 { mutated(random, text, others) } else { text.to_owned() }
}

#[test]
fn whatever_is_read_does_no_harm() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let seconds = number("LIGHTPOINT_FUZZ_SECONDS");
    let first = number("LIGHTPOINT_FUZZ_SEED").unwrap_or(1);
    let (corpus, dir, start) = (Corpus::new(), tempfile::tempdir().unwrap(), Instant::now());
    let (mut cases, mut dives, mut slowest) = (0, 0, (Duration::ZERO, 0, String::new()));
    let mut failures: Vec<String> = Vec::new();
    let goes_on = |cases| seconds.map_or(cases < USUAL_CASES, |limit| start.elapsed().as_secs() < limit);
    while goes_on(cases) && failures.len() < 10 {
        // each case has a seed of its own, so that it can be made again alone
        let seed = first + cases;
        let begun = Instant::now();
        let (what, done) = case(&mut Random(seed.wrapping_mul(0xD134_2543_DE82_EF95)), &corpus, dir.path());
        if begun.elapsed() > slowest.0 {
            slowest = (begun.elapsed(), seed, what.clone());
        }
        match done {
            Ok(is_dive) => dives += u64::from(is_dive),
            Err(why) => {
                // at once: a long run may be ended early
                println!("seed {seed}: {why}\n{what}");
                failures.push(format!("seed {seed}: {why}"));
            }
        }
        cases += 1;
    }
    println!("{cases} cases, {dives} dives, slowest {:.3} s (seed {})", slowest.0.as_secs_f64(), slowest.1);
    if slowest.0 > SLOW {
        println!("{}", slowest.2);
    }
    assert!(failures.is_empty(), "{} failures:\n{}", failures.len(), failures.join("\n"));
    // changed by a little, a good part of the plans is still right: else nothing but messages is tried
    assert!(dives * 10 > cases, "{dives} dives of {cases} cases");
}

/// Found by long runs: each once came to a panic, or to no end.
#[test]
fn what_was_found_once_stays_mended() {
    // a wing so small that its gas has no figures left
    let sets = [("suit.gas_volume", "1000 L"), ("wing.capacity", "1e-308 kg")];
    let sets = sets.map(|(key, value)| (key.to_owned(), value.to_owned()));
    assert_eq!(plan(Plan::demonstration(&sets), true), Ok(true));
    // so fast that the speed is no number: a moment on the way was the moment before
    for over in ["1e-308 min", "1e-300 min", "1e-20 min"] {
        let text = format!(
            "[site]\nwater = \"sea\"\ntemperature = \"10 °C\"\n[diver]\nmass = \"80 kg\"\nvolume = \"79.5 L\"\n\
             [[cylinder]]\nname = \"back\"\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n\
             [breathing]\nrate = \"18 L/min\"\n[dive]\nlast_stop = \"25 m\"\n[[dive.leg]]\nto = \"349 m\"\n\
             over = \"{over}\"\n[[dive.leg]]\nstay = \"1 min\"\n[[dive.leg]]\nto = \"0 m\"\nspeed = \"9 m/min\"\n"
        );
        assert_eq!(plan(Plan::parse(&text, "fast.toml", "."), true), Ok(true), "{over}");
    }
}
