//! The member crate behind the live page keeps the rules too: it asks for answers as the command line does, and what a
//! script may call stands in one file.

use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};

use super::rules::NEVER;
use super::source::{Offence, Source};
use super::words;

/// The only file whose functions a script may call, which the language counts as unsafe.
const BORDER: &str = "abi.rs";

fn files(dir: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(dir).unwrap().map(|entry| entry.unwrap().path());
    let here = entries.filter(|path| !path.ends_with("node_modules"));
    here.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

fn sources() -> Vec<Source> {
    let root = Path::new("page/src");
    let parse = |path: PathBuf| {
        let file = path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
        Source::parse(&file, &text(&path))
    };
    let found: Vec<Source> = files(root).into_iter().map(parse).collect();
    assert!(found.iter().any(|source| source.file == BORDER), "{BORDER} is gone: mend this test");
    found
}

/// Rooms of the library that it may not know, by name behind `internals`.
fn imports(source: &Source) -> Vec<Offence> {
    let never = NEVER.iter().find(|(room, ..)| *room == "page").expect("a rule").1;
    let of = |segments: &[String]| segments.iter().skip_while(|name| *name != "internals").nth(1).cloned();
    let mentions = source.mentions();
    let wrong = mentions.iter().filter_map(|mention| Some((mention, of(&mention.segments)?)));
    let wrong = wrong.filter(|(_, room)| room == "*" || never.contains(&room.as_str()));
    wrong.map(|(mention, room)| source.offence("imports", mention.span, room)).collect()
}

struct Unsafe<'a>(&'a Source, Vec<Offence>);

impl<'ast> Visit<'ast> for Unsafe<'_> {
    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        if attribute.path().is_ident("unsafe") && self.0.file != BORDER {
            self.1.push(self.0.offence("unsafe", attribute.pound_token.span, "an exported name"));
        }
        visit::visit_attribute(self, attribute);
    }

    fn visit_expr_unsafe(&mut self, block: &'ast syn::ExprUnsafe) {
        self.1.push(self.0.offence("unsafe", block.unsafe_token.span, "a block"));
        visit::visit_expr_unsafe(self, block);
    }

    fn visit_signature(&mut self, signature: &'ast syn::Signature) {
        if let syn::Safety::Unsafe(token) = signature.safety {
            self.1.push(self.0.offence("unsafe", token.span, "a function"));
        }
        visit::visit_signature(self, signature);
    }
}

fn unsafety(source: &Source) -> Vec<Offence> {
    let mut found = Unsafe(source, vec![]);
    found.visit_file(&source.tree);
    found.1
}

#[test]
fn it_asks_for_answers_only() {
    let found: Vec<Offence> = sources().iter().flat_map(imports).collect();
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn only_its_border_is_marked() {
    let found: Vec<Offence> = sources().iter().flat_map(unsafety).collect();
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn the_word_is_not_used_in_the_page() {
    let mut found: Vec<String> =
        sources().iter().flat_map(words::offences).map(|offence| format!("{offence:?}")).collect();
    for path in files(Path::new("page")).into_iter().filter(|path| !path.starts_with("page/src")) {
        let ending = path.extension().map(|ending| ending.to_string_lossy().into_owned());
        if matches!(ending.as_deref(), Some("js" | "css" | "html" | "md")) {
            // a length of CSS: what a telephone's rounded corners leave free
            let text = text(&path).replace("safe-area-inset", "");
            found.extend(words::word_in(&text).map(|word| format!("{}: {word}", path.display())));
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// Offences that must be caught.
#[test]
fn planted_offences_are_found() {
    let planted = |file: &str, text: &str| Source::parse(file, text);
    for text in [
        "use lightpoint::internals::sim::run;",
        "use lightpoint::internals::{plan::Plan, findings};",
        "use lightpoint::internals::*;",
    ] {
        assert_eq!(imports(&planted("a.rs", text)).len(), 1, "{text}");
    }
    assert!(imports(&planted("a.rs", "use lightpoint::internals::answer::DiveFacts;")).is_empty());
    let exported = "#[unsafe(no_mangle)] pub extern \"C\" fn a() {}";
    assert_eq!(unsafety(&planted("a.rs", exported)).len(), 1);
    assert!(unsafety(&planted(BORDER, exported)).is_empty());
    assert_eq!(unsafety(&planted(BORDER, "fn a() { unsafe { b() } }")).len(), 1);
    assert_eq!(unsafety(&planted(BORDER, "unsafe fn a() {}")).len(), 1);
}
