//! The README's sessions are run, in order, in one folder: every line that it shows must come out.
//!
//! A block marked `console` holds commands after `$ ` and lines of their output. A line `…` stands for lines left out.

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A command and the lines shown under it.
#[derive(Debug)]
struct Shown {
    line: usize,
    command: String,
    output: Vec<String>,
}

fn sessions(text: &str) -> Vec<Shown> {
    let mut found: Vec<Shown> = Vec::new();
    let mut inside = false;
    for (number, line) in text.lines().enumerate() {
        if line.starts_with("```") {
            inside = line == "```console";
            continue;
        }
        if !inside {
            continue;
        }
        match line.strip_prefix("$ ") {
            Some(command) => found.push(Shown { line: number + 1, command: command.into(), output: Vec::new() }),
            None => found.last_mut().expect("a command first").output.push(line.trim_end().into()),
        }
    }
    found
}

/// Splits a command as a shell would, double quotes only.
fn words(command: &str) -> Vec<String> {
    let (mut words, mut word, mut quoted, mut any) = (Vec::new(), String::new(), false, false);
    for c in command.chars() {
        match c {
            '"' => (quoted, any) = (!quoted, true),
            ' ' if !quoted => {
                if any {
                    words.push(std::mem::take(&mut word));
                }
                any = false;
            }
            other => {
                word.push(other);
                any = true;
            }
        }
    }
    if any {
        words.push(word);
    }
    words
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
}

#[test]
fn every_session_comes_out_as_shown() {
    let text = std::fs::read_to_string(root().join("README.md")).unwrap();
    let sessions = sessions(&text);
    assert!(sessions.len() >= 8, "the README shows sessions");
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("profiles"), &folder.path().join("profiles"));
    for shown in sessions {
        let mut words = words(&shown.command);
        assert_eq!(words.remove(0), "lightpoint", "line {}: {}", shown.line, shown.command);
        let output = Command::new(env!("CARGO_BIN_EXE_lightpoint"))
            .args(&words)
            .current_dir(folder.path())
            .output()
            .expect("starts");
        let stdout = String::from_utf8_lossy(&output.stdout);
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "README line {}: {}\n{stderr}", shown.line, shown.command);
        // the lines shown come in this order; without an ellipsis between, one right after the other
        let mut real = stdout.lines().map(str::trim_end);
        let mut may_skip = true;
        for expected in &shown.output {
            if expected == "…" {
                may_skip = true;
                continue;
            }
            let found = if may_skip { real.any(|line| line == expected) } else { real.next() == Some(expected) };
            assert!(found, "README line {}: {}\ndoes not print\n{expected}\nbut\n{stdout}", shown.line, shown.command);
            may_skip = false;
        }
    }
}

/// Every key of the plan stands in the reference.
#[test]
fn the_reference_names_every_key() {
    let reference = std::fs::read_to_string(root().join("docs/plan.md")).unwrap();
    let table = |name: &str| std::fs::read_to_string(root().join("src/plan/file").join(name)).unwrap();
    let tables = table("mod.rs") + &table("check.rs") + &table("circuit.rs");
    // a word of the language cannot be a name in it
    let tables = tables.replace("pub breathing_loop:", "pub loop:");
    let keys =
        tables.lines().filter_map(|line| line.trim().strip_prefix("pub ")?.split_once(": Option<")).map(|(key, _)| key);
    let named = |key: &str| {
        let forms = [format!("`{key}`"), format!("`{key} = "), format!("[{key}]")];
        forms.iter().any(|form| reference.contains(form))
    };
    let missing: Vec<&str> = keys.filter(|key| !named(key)).collect();
    assert!(missing.is_empty(), "not in docs/plan.md: {missing:?}");
}
