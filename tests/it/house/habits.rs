//! Only the command line prints, ends the program and looks at its surroundings; files are read and written in few places.

use proc_macro2::{Span, TokenTree};
use syn::visit::{self, Visit};

use super::rules::{PRINTS, READS, WRITES};
use super::source::{Offence, Source, flat};

/// Macros that print.
const PRINTING: &[&str] = &["print", "println", "eprint", "eprintln", "dbg"];
/// Functions that only read, of `std::fs` and of paths.
const READING: &[&str] = &[
    "read",
    "read_to_string",
    "read_dir",
    "read_link",
    "metadata",
    "symlink_metadata",
    "canonicalize",
    "exists",
    "try_exists",
    "is_file",
    "is_dir",
    "is_symlink",
];
/// Those of them that are called on a path, and are no common names of anything else.
const ASKING_A_PATH: &[&str] = &[
    "read_dir",
    "read_link",
    "symlink_metadata",
    "canonicalize",
    "exists",
    "try_exists",
    "is_file",
    "is_dir",
    "is_symlink",
];

#[derive(Clone, Copy, PartialEq)]
enum Act {
    Print,
    Read,
    Write,
}

/// What a path does, from its segments.
fn act_of(path: &[&str]) -> Option<Act> {
    let last = *path.last()?;
    let has = |name: &str| path.contains(&name);
    if has("stdout") || has("stderr") || has("stdin") || has("anstream") || path == ["process", "exit"] {
        return Some(Act::Print);
    }
    if path.starts_with(&["std", "process", "exit"])
        || path.starts_with(&["std", "env"])
        || (path.len() > 1 && path[0] == "env")
    {
        return Some(Act::Print);
    }
    if last == "from_path" {
        return Some(Act::Read);
    }
    if has("File") {
        return Some(if last == "open" { Act::Read } else { Act::Write });
    }
    if has("OpenOptions") || has("tempfile") || has("NamedTempFile") || path.starts_with(&["std", "net"]) {
        return Some(Act::Write);
    }
    // `use std::fs` alone opens every door, so it counts as writing
    has("fs").then_some(if READING.contains(&last) { Act::Read } else { Act::Write })
}

struct Habits<'a> {
    source: &'a Source,
    found: Vec<Offence>,
}

impl Habits<'_> {
    fn check(&mut self, act: Act, span: Span, what: &str) {
        let (places, says) = match act {
            Act::Print => (PRINTS, "prints, ends the program or looks at its surroundings"),
            Act::Read => (READS, "reads files"),
            Act::Write => (WRITES, "may write files"),
        };
        if !places.iter().any(|place| self.source.file.starts_with(place)) {
            self.found.push(self.source.offence("habits", span, format!("`{what}` {says}")));
        }
    }
}

impl<'ast> Visit<'ast> for Habits<'_> {
    fn visit_macro(&mut self, mac: &'ast syn::Macro) {
        if let Some(name) = mac.path.segments.last().map(|segment| segment.ident.to_string())
            && PRINTING.contains(&name.as_str())
        {
            self.check(Act::Print, mac.path.segments[0].ident.span(), &format!("{name}!"));
        }
        // inside: `.exists()` and `println!` as tokens; paths are mentions
        for pair in flat(mac.tokens.clone()).windows(2) {
            match pair {
                [TokenTree::Punct(dot), TokenTree::Ident(name)]
                    if dot.as_char() == '.' && ASKING_A_PATH.iter().any(|asking| name == asking) =>
                {
                    self.check(Act::Read, name.span(), &format!(".{name}()"));
                }
                [TokenTree::Ident(name), TokenTree::Punct(bang)]
                    if bang.as_char() == '!' && PRINTING.iter().any(|printing| name == printing) =>
                {
                    self.check(Act::Print, name.span(), &format!("{name}!"));
                }
                _ => {}
            }
        }
        visit::visit_macro(self, mac);
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        if ASKING_A_PATH.iter().any(|asking| call.method == asking) {
            self.check(Act::Read, call.method.span(), &format!(".{}()", call.method));
        }
        visit::visit_expr_method_call(self, call);
    }
}

pub fn offences(source: &Source) -> Vec<Offence> {
    let mut habits = Habits { source, found: vec![] };
    habits.visit_file(&source.tree);
    for mention in source.mentions() {
        let path: Vec<&str> = mention.segments.iter().map(String::as_str).collect();
        if let Some(act) = act_of(&path) {
            habits.check(act, mention.span, &path.join("::"));
        }
    }
    habits.found
}

#[cfg(test)]
mod planted {
    use super::*;

    #[track_caller]
    fn caught(file: &str, text: &str, times: usize) {
        let found = offences(&Source::parse(file, text));
        assert_eq!(found.len(), times, "{text}: {found:?}");
    }

    #[test]
    fn printing() {
        caught("findings/mod.rs", "fn f() { println!(\"{}\", 1); }", 1);
        caught("findings/mod.rs", "fn f() { std::println!(\"a\"); }", 1);
        caught("findings/mod.rs", "macro_rules! say { () => { eprintln!() } }", 1);
        caught("report/text.rs", "use std::io::{self, stdout};", 1);
        caught("report/text.rs", "fn f() { let _ = std::io::stderr(); anstream::print!(); }", 3);
        caught("study/mod.rs", "fn f() { std::process::exit(1) }", 1);
        caught("study/mod.rs", "fn f() -> bool { std::env::var(\"HOME\").is_ok() }", 1);
        caught("cli/show.rs", "fn f() { println!(); std::process::exit(1) }", 0);
    }

    #[test]
    fn files() {
        caught("physics/gas.rs", "use std::fs::OpenOptions;", 1);
        caught("physics/gas.rs", "use std::{fs::{self, File}, path::Path};", 2);
        caught("physics/gas.rs", "fn f() { let _ = std::fs::read_to_string(\"a\"); }", 1);
        caught("report/series.rs", "fn f(p: &Path) -> bool { p.exists() }", 1);
        caught("report/series.rs", "fn f(p: &Path) { assert!(p.is_file()); }", 1);
        caught("sim/mod.rs", "fn f() { let _ = csv::Reader::from_path(\"a\"); }", 1);
        caught("plan/load.rs", "fn f() { let _ = (std::fs::read(\"a\"), std::fs::metadata(\"a\")); }", 0);
        caught("plan/load.rs", "fn f() { let _ = std::fs::write(\"a\", \"b\"); }", 1);
        caught("plan/load.rs", "use std::fs;", 1);
        caught("plan/load.rs", "fn f() { let _ = tempfile::tempdir(); }", 1);
        caught("cli/output.rs", "use std::fs::OpenOptions;", 0);
    }

    #[test]
    fn what_only_looks_alike() {
        caught("report/text.rs", "use std::io::Write; fn f(o: &mut Vec<u8>) { write!(o, \"\").unwrap(); }", 0);
        caught(
            "report/text.rs",
            "const A: &str = include_str!(\"a.css\"); const V: &str = env!(\"CARGO_PKG_VERSION\");",
            0,
        );
        caught("report/text.rs", "/// It does not `println!`.\nfn f() { let _ = \"println!\"; }", 0);
    }
}
