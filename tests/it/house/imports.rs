//! Imports go one way. Every path is resolved from the module it stands in: `crate::`, `self::`, `super::`, the crate's own
//! name, groups, globs, what macros and attributes hold. A name that `lib.rs` re-exports counts as where it comes from.

use std::collections::BTreeMap;

use super::rules::{BESIDE, LAYERS, NEVER, ROOT};
use super::source::{Mention, Offence, Source};

/// What the crate's root offers: top modules, and names by the module they come from.
pub struct Root {
    rooms: Vec<String>,
    names: BTreeMap<String, String>,
}

impl Root {
    pub fn of(sources: &BTreeMap<String, Source>) -> Self {
        let mut root = Self { rooms: vec![], names: BTreeMap::new() };
        let Some(lib) = sources.get("lib.rs") else { return root };
        root.rooms = sources.values().filter(|s| s.file != "lib.rs").map(|s| s.room().to_owned()).collect();
        root.rooms.dedup();
        for mention in lib.mentions().into_iter().filter(|mention| mention.is_use) {
            let path: Vec<&str> =
                mention.segments.iter().map(String::as_str).filter(|name| !["crate", "self"].contains(name)).collect();
            match path[..] {
                [room, .., "*"] => {
                    let within: Vec<&str> = path[..path.len() - 1].to_vec();
                    for name in public_names(sources, &within, 0) {
                        root.names.insert(name, room.to_owned());
                    }
                }
                [room, .., name] => drop(root.names.insert(name.to_owned(), room.to_owned())),
                _ => {}
            }
        }
        root
    }

    /// How many names there are to import.
    pub fn count(&self) -> usize {
        self.names.len()
    }

    /// The room that a mention leads to, if it leads out of its own; `Err`: the whole root, where everything is.
    fn target(&self, mention: &Mention) -> Result<Option<String>, ()> {
        let mut segments = mention.segments.iter().map(String::as_str).peekable();
        let mut base = mention.module.as_slice();
        match segments.peek() {
            Some(&("crate" | "lightpoint")) => {
                base = &[];
                segments.next();
            }
            Some(&("self" | "super")) => {
                while let Some(&up) = segments.peek() {
                    match up {
                        "self" => {}
                        "super" => base = base.split_last().map_or(base, |(_, above)| above),
                        _ => break,
                    }
                    segments.next();
                }
            }
            _ => return Ok(None),
        }
        if !base.is_empty() {
            return Ok(None);
        }
        // the same modules by a door for tests
        let is_room_or_name = |name: &&str| *name != "internals";
        match segments.find(is_room_or_name) {
            None if mention.is_use => Err(()),
            None => Ok(None), // `pub(crate)`
            Some("*") => Err(()),
            Some(name) if self.rooms.iter().any(|room| room == name) => Ok(Some(name.to_owned())),
            Some(name) => Ok(Some(self.names.get(name).map_or(ROOT, String::as_str).to_owned())),
        }
    }
}

/// Names that a module offers, its own and its re-exports.
fn public_names(sources: &BTreeMap<String, Source>, module: &[&str], deep: u8) -> Vec<String> {
    let Some(source) = sources.values().find(|source| source.module == *module) else { return vec![] };
    let mut names = vec![];
    for item in &source.tree.items {
        names.extend(match item {
            syn::Item::Struct(it) => Some(it.ident.to_string()),
            syn::Item::Enum(it) => Some(it.ident.to_string()),
            syn::Item::Fn(it) => Some(it.sig.ident.to_string()),
            syn::Item::Const(it) => Some(it.ident.to_string()),
            syn::Item::Static(it) => Some(it.ident.to_string()),
            syn::Item::Trait(it) => Some(it.ident.to_string()),
            syn::Item::Type(it) => Some(it.ident.to_string()),
            syn::Item::Mod(it) => Some(it.ident.to_string()),
            _ => None,
        });
    }
    for mention in source.mentions().into_iter().filter(|mention| mention.is_use) {
        match mention.segments.iter().map(String::as_str).filter(|name| *name != "self").collect::<Vec<_>>()[..] {
            [ref within @ .., "*"] if deep < 4 && !within.contains(&"super") && !within.contains(&"crate") => {
                names.extend(public_names(sources, &[module, within].concat(), deep + 1));
            }
            [.., name] => names.push(name.to_owned()),
            [] => {}
        }
    }
    names
}

fn layer(room: &str) -> Option<u8> {
    LAYERS.iter().find(|(name, _)| *name == room).map(|(_, layer)| *layer)
}

/// Why one room may not import another; `None`: it may.
fn forbidden(from: &str, to: &str) -> Option<&'static str> {
    let (own, theirs) = (layer(from)?, layer(to)?);
    if from == to || BESIDE.contains(&(from, to)) {
        return None;
    }
    if theirs >= own {
        return Some("imports go to lower layers");
    }
    NEVER.iter().find(|(room, never, _)| *room == from && never.contains(&to)).map(|(_, _, why)| *why)
}

pub fn offences(source: &Source, root: &Root) -> Vec<Offence> {
    let rule = "imports";
    let room = source.room();
    if source.file == "lib.rs" {
        return vec![];
    }
    if layer(room).is_none() {
        return vec![source.offence(rule, proc_macro2::Span::call_site(), format!("{room} has no layer"))];
    }
    let mut found = vec![];
    for mention in source.mentions() {
        let path = mention.segments.join("::");
        match root.target(&mention) {
            Err(()) => {
                found.push(source.offence(rule, mention.span, format!("{path}: the root is everything at once")))
            }
            Ok(Some(to)) => {
                if let Some(why) = forbidden(room, &to) {
                    found.push(source.offence(rule, mention.span, format!("{room} → {to} ({path}): {why}")));
                }
            }
            Ok(None) => {}
        }
    }
    found
}

/// The same, one for each room that a file reaches: what the table of allowances counts.
pub fn edges(source: &Source, root: &Root) -> Vec<Offence> {
    let mut edges: Vec<Offence> = vec![];
    for offence in offences(source, root) {
        let edge = |of: &Offence| of.what.split(" (").next().map(str::to_owned);
        if !edges.iter().any(|known| edge(known) == edge(&offence)) {
            edges.push(offence);
        }
    }
    edges
}

#[cfg(test)]
mod planted {
    use super::*;

    const LIB: &str = "
        pub mod units; pub mod physics; pub mod profile; pub mod sim; pub mod study; pub mod plan; pub mod cli;
        pub use sim::{Trace, state::State};
        pub use study::*;
        pub use physics::gas::GasMix;
        pub enum Error { A }";
    const STUDY: &str = "mod range; pub use range::*; pub struct Ballast;";
    const RANGE: &str = "pub struct LeadRange; pub fn lead_bounds() {}";

    fn found(file: &str, text: &str) -> Vec<String> {
        let texts = [
            ("lib.rs", LIB),
            ("units.rs", ""),
            ("physics/mod.rs", ""),
            ("profile.rs", ""),
            ("rig/mod.rs", ""),
            ("scenario/mod.rs", ""),
            ("sim/mod.rs", ""),
            ("findings/mod.rs", ""),
            ("study/mod.rs", STUDY),
            ("study/range.rs", RANGE),
            ("plan/mod.rs", ""),
            ("report/mod.rs", ""),
            ("cli/mod.rs", ""),
            (file, text),
        ];
        let sources: BTreeMap<_, _> =
            texts.iter().map(|(file, text)| ((*file).to_owned(), Source::parse(file, text))).collect();
        offences(&sources[file], &Root::of(&sources)).into_iter().map(|offence| offence.what).collect()
    }

    #[track_caller]
    fn caught(file: &str, text: &str, times: usize) {
        let found = found(file, text);
        assert_eq!(found.len(), times, "{text}: {found:?}");
    }

    #[test]
    fn imports_upwards() {
        caught("physics/gas.rs", "use crate::{sim, Trace};", 2);
        caught("physics/gas.rs", "use crate::{units::BAR_PA, sim::{self as s, state::State}};", 2);
        caught("physics/gas.rs", "use super::super::study;", 1);
        caught("physics/gas.rs", "use super::super::study::*;", 1);
        caught("physics/mod.rs", "pub use super::sim::*;", 1);
        caught("physics/mod.rs", "use self::super::sim::State;", 1);
        caught("physics/mod.rs", "use ::lightpoint::sim;", 1);
        caught("physics/mod.rs", "use crate::internals::sim::State;", 1);
        caught("physics/mod.rs", "mod inner { use super::super::sim; }", 1);
        caught("units.rs", "use crate::GasMix;", 1);
    }

    #[test]
    fn what_the_root_re_exports_by_a_glob() {
        caught("physics/mod.rs", "use crate::{Ballast, LeadRange};", 2);
        caught("physics/mod.rs", "use crate::lead_bounds as quick;", 1);
        caught("physics/mod.rs", "use crate::Error;", 1);
    }

    #[test]
    fn the_root_as_a_whole() {
        caught("physics/mod.rs", "use crate::*;", 1);
        caught("physics/mod.rs", "use crate as everything;", 1);
        caught("physics/gas.rs", "use super::super as up;", 1);
        caught("physics/gas.rs", "use crate::internals;", 1);
        caught("physics/gas.rs", "use crate::{self as all};", 1);
    }

    #[test]
    fn paths_without_a_use() {
        caught("physics/mod.rs", "fn f() { let _ = crate::sim::run(); }", 1);
        caught("physics/mod.rs", "fn f(of: &crate::Trace) -> Vec<super::study::Ballast> { vec![] }", 2);
        caught("physics/mod.rs", "impl From<<crate::sim::A as Into<u8>>::B> for u8 {}", 1);
        caught("physics/mod.rs", "pub(in crate::sim) fn f() {}", 1);
    }

    #[test]
    fn what_macros_and_attributes_hold() {
        caught("physics/mod.rs", "fn f() { assert!(crate::sim::ok(), \"{}\", crate::Trace::len()); }", 2);
        caught("physics/mod.rs", "macro_rules! m { () => { $crate::sim::run() } }", 1);
        caught("physics/mod.rs", "macro_rules! m { () => { use $crate::{study, sim::{Trace}}; } }", 2);
        caught("physics/mod.rs", "macro_rules! m { () => { use $crate::*; } }", 1);
        caught("physics/mod.rs", "struct A { #[serde(with = \"crate::sim::trace\")] b: u8 }", 1);
    }

    #[test]
    fn what_is_lower_and_forbidden_all_the_same() {
        caught("plan/mod.rs", "use crate::{sim, study}; use crate::scenario::Scenario;", 2);
        caught("report/mod.rs", "use crate::plan::Plan;", 1);
        caught("cli/mod.rs", "use crate::study::Ballast; use crate::plan::Plan;", 1);
    }

    #[test]
    fn a_room_that_is_not_in_the_plan_of_the_house() {
        caught("shed.rs", "", 1);
    }

    #[test]
    fn what_is_right_stays() {
        caught("physics/gas.rs", "use crate::units::BAR_PA; use super::water; pub(crate) fn f() {}", 0);
        caught("sim/mod.rs", "use crate::GasMix; use crate::{Trace, sim::State}; pub use self::step::*;", 0);
        caught("profile.rs", "use crate::rig::CylinderSet;", 0);
        caught("physics/mod.rs", "#[cfg(test)] mod tests { use crate::sim; }", 0);
        caught("physics/mod.rs", "#[cfg(test)] mod far { use crate::sim; } // crate::sim", 0);
        caught("physics/mod.rs", "/// See [`crate::sim`].\nfn f() { let _ = \"crate::sim is higher\"; }", 0);
        caught("main.rs", "fn main() { lightpoint::internals::cli::main() }", 0);
    }
}
