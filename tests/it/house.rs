//! The rules of the house, held by reading the source.

use std::path::{Path, PathBuf};

/// Layers by module, as `DEVELOPERS.md` lists them: a module may import lower numbers only, itself excepted.
const LAYERS: [(&str, u8); 13] = [
    ("units", 1),
    ("physics", 2),
    ("estimate", 2),
    ("diver", 3),
    ("profile", 3),
    ("scenario", 4),
    ("sim", 5),
    ("findings", 6),
    ("study", 7),
    ("plan", 8),
    ("report", 8),
    ("cli", 9),
    ("main", 10),
];

/// `profile` names sets of cylinders, which are a value type of `diver`.
const ALLOWED: [(&str, &str); 1] = [("profile", "diver")];
/// What `plan` must not know, though it lies lower: a dive can be checked without being run.
const FORBIDDEN: [(&str, &str); 3] = [("plan", "sim"), ("plan", "findings"), ("plan", "study")];

fn layer(module: &str) -> Option<u8> {
    LAYERS.iter().find(|(name, _)| *name == module).map(|(_, layer)| *layer)
}

fn sources(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn all() -> Vec<(String, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    sources(&root, &mut paths);
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let within = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
            let module = within.split('/').next().unwrap().trim_end_matches(".rs").to_owned();
            (within, module, std::fs::read_to_string(&path).unwrap())
        })
        .collect()
}

/// The part before the unit tests: tests may look anywhere. Comments and docs do not import.
fn code(text: &str) -> impl Iterator<Item = &str> {
    let end = text.find("#[cfg(test)]\nmod tests").unwrap_or(text.len());
    text[..end].lines().filter(|line| !line.trim_start().starts_with("//"))
}

#[test]
fn imports_go_one_way() {
    let mut wrong = Vec::new();
    for (file, module, text) in all() {
        let Some(own) = layer(&module) else {
            assert_eq!(module, "lib", "{file}: module without a layer");
            continue;
        };
        for line in code(&text) {
            for (at, _) in line.match_indices("crate::") {
                let target: String =
                    line[at + 7..].chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
                let Some(theirs) = layer(&target) else { continue };
                let edge = (module.as_str(), target.as_str());
                let up = theirs >= own && target != module && !ALLOWED.contains(&edge);
                if up || FORBIDDEN.contains(&edge) {
                    wrong.push(format!("{file}: {}", line.trim()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "forbidden imports:\n{}", wrong.join("\n"));
}

#[test]
fn only_cli_prints_and_only_plan_reads() {
    let mut wrong = Vec::new();
    for (file, module, text) in all() {
        for line in code(&text) {
            let prints =
                ["println!", "print!(", "eprintln!", "eprint!(", "dbg!("].iter().any(|word| line.contains(word));
            let reads = ["std::fs::read", "File::open", "fs::read"].iter().any(|word| line.contains(word));
            if (prints && module != "cli") || (reads && module != "plan") {
                wrong.push(format!("{file}: {}", line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "printing or reading in the wrong place:\n{}", wrong.join("\n"));
}

/// Every public number says its unit. Words for what has none: ratios end in `_frac`, the rest is listed.
#[test]
fn public_numbers_say_their_unit() {
    const SUFFIXES: [&str; 18] = [
        "_s", "_m", "_m2", "_m3", "_pa", "_k", "_kg", "_mol", "_n", "_kg_m3", "_m3_s", "_mol_m3", "_kg_mol", "_m_s",
        "_frac", "_j_mol", "_px", "_kg_m4",
    ];
    // layers whose numbers are figures of the plan in the trade's units, ready-made statistics or drawing sizes
    const LAYERS_IN_SI: [&str; 7] = ["physics", "diver", "profile", "scenario", "sim", "findings", "units"];
    // the last two are what a unit is
    const WITHOUT_UNIT: [&str; 3] = ["ledger_error", "factor", "zero"];
    let mut wrong = Vec::new();
    for (file, module, text) in all() {
        if !LAYERS_IN_SI.contains(&module.as_str()) {
            continue;
        }
        for line in code(&text) {
            let line = line.trim();
            let Some((name, kind)) = line.strip_prefix("pub ").and_then(|rest| rest.split_once(": ")) else { continue };
            let is_number = ["f64,", "Option<f64>,", "Vec<f64>,"].contains(&kind);
            if is_number && !WITHOUT_UNIT.contains(&name) && !SUFFIXES.iter().any(|suffix| name.ends_with(suffix)) {
                wrong.push(format!("{file}: {line}"));
            }
        }
    }
    assert!(wrong.is_empty(), "numbers without a unit in their name:\n{}", wrong.join("\n"));
}

/// The program never promises safety; it says what it computed, against which limit.
#[test]
fn the_word_is_not_used() {
    for (file, _, text) in all() {
        for (number, line) in code(&text).enumerate() {
            let line = line.to_lowercase();
            let found = line
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .any(|word| ["safe", "safely", "safety", "unsafe"].contains(&word));
            assert!(!found, "{file}, code line {}: {line}", number + 1);
        }
    }
}

/// Every problem code stands in the developers' guide.
#[test]
fn problem_codes_are_explained() {
    let guide = std::fs::read_to_string("DEVELOPERS.md").unwrap();
    let codes = lightpoint::plan::ProblemCode::ALL.iter().map(|code| code.as_str());
    let missing: Vec<&str> = codes.filter(|code| !guide.contains(&format!("| `{code}` |"))).collect();
    assert!(missing.is_empty(), "not in DEVELOPERS.md: {missing:?}");
}
