//! Fifty drags with a mouse, each replayed on the command line with the words that the page gives.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use super::{Live, differences, differences_within, result};
use crate::common::plans;

/// Drags that changed the plan, on all plans together.
const DRAGS: usize = 50;

/// A crossing of zero or of a limit is looked for until its bracket is narrower than a thousandth of a stretch, in steps; a
/// last bit can make it one step more. Half a millisecond was seen, in one drag of twenty; a millisecond moves no digit
/// that is printed.
const LOCATED_S: f64 = 1e-3;

/// Numbers by a fixed seed: splitmix64 (Steele, Lea, Flood 2014; from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).unwrap()
    }

    /// Evenly between minus and plus a size.
    fn around(&mut self, size: f64) -> f64 {
        size * (2.0 * (self.next() >> 11) as f64 / (1u64 << 53) as f64 - 1.0)
    }
}

/// The handles that a mouse can take: name, x, y. A point counts if what lies there belongs to the handle.
const HANDLES: &str = "[...document.querySelectorAll('#bench [role=slider], #bench input[type=range]')] \
    .filter(e => !e.closest('dialog') && e.checkVisibility()).flatMap(e => { \
      const parts = [e, ...e.querySelectorAll('*')].map(p => p.getBoundingClientRect()).filter(b => b.width && b.height); \
      const spots = parts.map(b => [b.x + b.width / 2, b.y + b.height / 2]); \
      const spot = spots.find(([x, y]) => e.contains(document.elementFromPoint(x, y))); \
      return spot ? [[e.getAttribute('aria-label') ?? e.labels?.[0]?.textContent ?? '', ...spot]] : []; })";

fn handles(live: &mut Live) -> Vec<(String, f64, f64)> {
    serde_json::from_value(live.ask(HANDLES)).unwrap()
}

/// What a changed key is about: `dive.leg[2].stay` is `dive.leg stay`.
fn kind(key: &str) -> String {
    let key: String = key.split(']').map(|part| part.split('[').next().unwrap()).collect();
    let parts: Vec<&str> = key.split('.').collect();
    match parts[..] {
        [table, .., last] if table == "cylinder" || table == "dive" => format!("{table} {last}"),
        _ => key,
    }
}

/// What a shell makes of the line that the page gives, with the program in its path.
fn by_shell(dir: &Path, line: &str) -> Value {
    let program = Path::new(env!("CARGO_BIN_EXE_lightpoint"));
    let path = std::env::join_paths(
        std::iter::once(program.parent().unwrap().to_owned())
            .chain(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default())),
    );
    let mut shell = Command::new("sh");
    shell.args(["-c", &format!("{line} --json --no-files")]).current_dir(dir).env("PATH", path.unwrap());
    let output = shell.output().unwrap();
    assert!(output.status.success(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// One drag by a random way; whether it changed the plan.
fn drag(live: &mut Live, dice: &mut Dice, seen: &mut BTreeSet<String>) -> bool {
    let before = live.sets();
    let handles = handles(live);
    assert!(handles.len() >= 4, "{}: {handles:?}", live.name);
    // those that were never taken come first
    let fresh: Vec<_> = handles.iter().filter(|(name, ..)| !seen.contains(name)).collect();
    let (name, x, y) =
        if fresh.is_empty() { &handles[dice.below(handles.len())] } else { fresh[dice.below(fresh.len())] };
    seen.insert(name.clone());
    // sideways handles are moved by the first number, the others by the second
    let to = (x + dice.around(150.0), y + dice.around(90.0));
    live.pull((*x, *y), to);
    live.frames();
    live.mouse("mouseReleased", to);
    live.rest();
    live.sets() != before
}

/// Without what says only which of two moments with one and the same load is named: a last bit decides that. The load itself
/// is compared.
fn but_for_ties(found: Vec<String>) -> Vec<String> {
    let names_a_moment = |path: &String| {
        path.starts_with(".findings.failed_wing")
            && [".worst_time_s", ".worst_depth_m"].iter().any(|key| path.contains(key))
    };
    let is_tie = found.iter().all(names_a_moment);
    if is_tie { Vec::new() } else { found }
}

/// The page's answer, its words and its line against the command line.
fn is_replayed(live: &mut Live, dir: &Path, file: &str, what: &str) {
    let words = live.words();
    let given = live.answer("words", json!({}));
    assert_eq!(given["words"], json!(words), "{what}");
    let here = live.result();
    let found = but_for_ties(differences_within(&here, &result(dir, file, &words), LOCATED_S));
    assert_eq!(found, Vec::<String>::new(), "{what}: {words:?}");
    let line = given["line"].as_str().unwrap();
    let found = but_for_ties(differences_within(&here, &by_shell(dir, line), LOCATED_S));
    assert_eq!(found, Vec::<String>::new(), "{what}: {line}");
    // what is on the screen is of that state too
    let exact = live.ask("bench.dive.exact.lead");
    for (key, value) in exact.as_object().unwrap() {
        assert_eq!(differences(value, &here["lead"][key]), Vec::<String>::new(), "{what}: {key}");
    }
}

#[test]
fn replay_on_the_command_line() {
    let Some(mut live) = Live::new("bench drags") else { return };
    let mut dice = Dice(11);
    let mut kinds = BTreeSet::new();
    let plans = plans();
    let mut drags = 0;
    for (i, plan) in plans.iter().enumerate() {
        live.show(plan, (1280, 720));
        let (dir, file) = live.plan_file();
        let mut seen = BTreeSet::new();
        let (mut steps, mut tries) = (0, 0);
        while drags < DRAGS * (i + 1) / plans.len() {
            tries += 1;
            assert!(tries < 80, "{}: handles that move nothing, of {seen:?}", live.name);
            if !drag(&mut live, &mut dice, &mut seen) {
                continue;
            }
            (drags, steps) = (drags + 1, steps + 1);
            let what = format!("{}, drag {drags}", live.name);
            is_replayed(&mut live, dir.path(), &file, &what);
            kinds.extend(live.sets().iter().map(|(key, _)| kind(key)));
        }
        // each drag is one step back, whatever it passed through
        for _ in 0..steps {
            assert_ne!(live.sets(), [], "{}", live.name);
            live.button("Back");
            live.rest();
        }
        assert_eq!(live.sets(), [], "{}", live.name);
        live.is_quiet();
    }
    println!("{drags} drags moved {kinds:?}");
    // depths and times of levels, gas of cylinders and suit, lead, the limit: each was among them
    for wanted in ["dive", "cylinder", "suit", "ballast", "diver"] {
        assert!(kinds.iter().any(|kind| kind.starts_with(wanted)), "no drag moved {wanted}: {kinds:?}");
    }
}
