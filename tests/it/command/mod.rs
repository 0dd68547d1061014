//! The program as a user runs it: with silence on standard error and success expected unless said otherwise. [`Cli`] gives
//! it a folder of its own; [`quiet`] and [`json`] run it where the package's own plans lie.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// A run of the program that is being put together.
pub struct Cli {
    dir: tempfile::TempDir,
    command: Command,
}

/// What came of it.
pub struct Done {
    dir: tempfile::TempDir,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
    /// Exit code.
    pub code: i32,
}

impl Cli {
    /// The program with its arguments, in a new empty folder.
    pub fn new(args: &[&str]) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_lightpoint"));
        command.args(args).current_dir(dir.path()).stdin(Stdio::null());
        for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS", "LINES"] {
            command.env_remove(name);
        }
        Self { dir, command }
    }

    /// A file in the folder.
    pub fn file(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        std::fs::write(self.dir.path().join(name), text).unwrap();
        self
    }

    /// `plan.toml` in the folder.
    pub fn plan(self, text: &str) -> Self {
        self.file("plan.toml", text)
    }

    /// A variable of the environment.
    pub fn env(mut self, name: &str, value: &str) -> Self {
        self.command.env(name, value);
        self
    }

    /// The folder, before the run.
    pub fn dir(&self) -> &Path {
        self.dir.path()
    }

    /// Runs it, whatever comes of it.
    pub fn run(mut self) -> Done {
        let output = self.command.output().unwrap();
        Done {
            dir: self.dir,
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
            code: output.status.code().unwrap(),
        }
    }

    /// Runs it and expects success and silence on standard error.
    #[track_caller]
    pub fn ok(self) -> Done {
        let done = self.run();
        assert_eq!((done.code, done.stderr.as_str()), (0, ""), "{}", done.stdout);
        done
    }

    /// Runs it and expects bad input: exit code 2, nothing on standard output, and no new file.
    #[track_caller]
    pub fn refused(self) -> String {
        let before = files(self.dir.path());
        let done = self.run();
        assert_eq!((done.code, done.stdout.as_str()), (2, ""), "{}", done.stderr);
        assert_eq!(done.files(), before, "something was written");
        done.stderr
    }
}

impl Done {
    /// All files in the folder, by their paths in it.
    pub fn files(&self) -> Vec<String> {
        files(self.dir.path())
    }

    /// A file's text.
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.dir.path().join(name)).unwrap()
    }
}

/// Runs it in a folder, whatever comes of it.
pub fn run_in(dir: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lightpoint"));
    command.current_dir(dir).args(args).env("NO_COLOR", "1").output().expect("starts")
}

/// Runs it in the package's folder, whatever comes of it.
pub fn run(args: &[&str]) -> Output {
    run_in(Path::new(env!("CARGO_MANIFEST_DIR")), args)
}

/// Standard output of a run in a folder that must succeed and be silent on standard error: a pipe sees no progress bar.
#[track_caller]
pub fn quiet_in(dir: &Path, args: &[&str]) -> String {
    let output = run_in(dir, args);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && stderr.is_empty(), "{args:?}: {stderr}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The same in the package's folder.
#[track_caller]
pub fn quiet(args: &[&str]) -> String {
    quiet_in(Path::new(env!("CARGO_MANIFEST_DIR")), args)
}

/// The same where the output is JSON and nothing else.
#[track_caller]
pub fn json(args: &[&str]) -> Value {
    serde_json::from_str(&quiet(args)).expect("JSON and nothing else")
}

/// A number in JSON by its pointer.
#[track_caller]
pub fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number at {pointer} of {value}"))
}

/// Digits masked: the numbers are held elsewhere, by tolerance.
pub fn masked(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        let letter = if letter.is_ascii_digit() { '#' } else { letter };
        if !(letter == '#' && out.ends_with('#')) {
            out.push(letter);
        }
    }
    out
}

fn files(dir: &Path) -> Vec<String> {
    fn walk(dir: &Path, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() { walk(&path, found) } else { found.push(path) }
        }
    }
    let mut found = Vec::new();
    walk(dir, &mut found);
    let mut names: Vec<String> =
        found.iter().map(|path| path.strip_prefix(dir).unwrap().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// A text without its numbers and what follows from their width: every number is `#`, a wrapped line is one again, runs
/// of spaces and rules are one character. Numbers are held by tolerance, not by snapshot.
pub fn without_numbers(text: &str) -> String {
    let mut out = String::new();
    let mut previous = ' ';
    let unwrapped = text.replace("\n                    ", " "); // the indent of a wrapped answer
    let mut chars = unwrapped.chars().peekable();
    while let Some(c) = chars.next() {
        let in_number = matches!(c, '.' | ':') && previous == '#' && chars.peek().is_some_and(char::is_ascii_digit);
        let shown = if c.is_ascii_digit() || in_number { '#' } else { c };
        if !(matches!(shown, '#' | ' ' | '─') && shown == previous) {
            out.push(shown);
        }
        previous = shown;
    }
    out.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}
