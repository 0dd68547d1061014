//! What goes wrong on a dive, one thing or several at once, by names that a reader may say.

use thiserror::Error;

use crate::answer::Quick;
use crate::findings::{Mishap, MishapFound, MishapVerdict, Thing};
use crate::scenario::Scenario;

/// The word for the usual mishaps of a rig.
pub const USUAL: &str = "usual";

/// The mishaps of a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct MishapFacts {
    /// What each would mean, the worst first.
    pub found: Vec<MishapFound>,
    /// Those that were asked for and can happen at no moment.
    pub never: Vec<Mishap>,
}

/// A name that is no mishap of this rig.
#[derive(Clone, Debug, Error, PartialEq)]
#[error(
    "\"{said}\" is nothing that goes wrong on this rig; what can: {}. A + joins what happens at once, a comma stands \
between two mishaps",
    .can_say.join(", ")
)]
pub struct MishapNameError {
    /// What was said.
    pub said: String,
    /// What can be said.
    pub can_say: Vec<String>,
}

/// What a thing that goes wrong is called in questions: `wing`, `suit`, `loop`, `lead`, `ditchable lead`, or the name of a
/// cylinder.
pub fn thing_name(scenario: &Scenario, thing: Thing) -> String {
    match thing {
        Thing::Wing => "wing".into(),
        Thing::Suit => "suit".into(),
        Thing::Loop => "loop".into(),
        Thing::Cylinder(i) => scenario.rig().cylinders[i].name().to_owned(),
        Thing::DitchableLead => "ditchable lead".into(),
        Thing::Lead => "lead".into(),
    }
}

/// What a mishap is called in questions: `wing + suit`.
pub fn mishap_name(scenario: &Scenario, mishap: Mishap) -> String {
    mishap.things().into_iter().map(|thing| thing_name(scenario, thing)).collect::<Vec<_>>().join(" + ")
}

/// The mishaps of a list such as `wing + suit, oxygen`: names joined by `+` happen at once, commas stand between mishaps,
/// and [`USUAL`] stands for the usual ones. Capitals and blanks do not matter.
///
/// # Errors
/// The first name that is none.
pub fn named(scenario: &Scenario, list: &str) -> Result<Vec<Mishap>, MishapNameError> {
    let names = names(scenario);
    let mut found: Vec<Mishap> = Vec::new();
    let mut add = |mishap: Mishap| {
        if !found.contains(&mishap) {
            found.push(mishap);
        }
    };
    let mut rest = list.trim();
    let mut open: Option<Mishap> = None;
    loop {
        if let (None, Some(after)) = (open, word(rest, USUAL)) {
            Mishap::usual(scenario).into_iter().for_each(&mut add);
            rest = after.strip_prefix(',').unwrap_or(after).trim_start();
            if after.is_empty() { break } else { continue }
        }
        // the longest name first: `stage two` is not `stage`
        let Some((after, thing)) = names.iter().find_map(|(name, thing)| Some((word(rest, name)?, *thing))) else {
            let said = rest.split([',', '+']).next().unwrap_or_default().trim();
            let said = if said.is_empty() { list.trim() } else { said }.to_owned();
            let can_say = things(scenario).into_iter().map(|thing| thing_name(scenario, thing)).collect();
            return Err(MishapNameError { said, can_say });
        };
        let mishap = open.map_or(Mishap::of(thing), |mishap| mishap.and(thing));
        if let Some(more) = after.strip_prefix('+') {
            (open, rest) = (Some(mishap), more.trim_start());
            continue;
        }
        add(mishap);
        open = None;
        if after.is_empty() {
            break;
        }
        rest = after[1..].trim_start();
    }
    Ok(found)
}

/// What follows a name at the start of a text: nothing, `+…` or `,…`; `None` where the text starts with another.
fn word<'t>(text: &'t str, name: &str) -> Option<&'t str> {
    let mut rest = text.chars();
    for expected in name.chars() {
        if !rest.next()?.to_lowercase().eq(expected.to_lowercase()) {
            return None;
        }
    }
    let rest = rest.as_str().trim_start();
    (rest.is_empty() || rest.starts_with(['+', ','])).then_some(rest)
}

/// All names of a rig with what they mean, longer ones first; a word of ours before a cylinder of the same name.
fn names(scenario: &Scenario) -> Vec<(String, Thing)> {
    let mut names: Vec<(String, Thing)> =
        things(scenario).into_iter().map(|thing| (thing_name(scenario, thing), thing)).collect();
    names.sort_by_key(|(name, _)| std::cmp::Reverse(name.chars().count()));
    names
}

/// All that can go wrong on a rig: what the usual mishaps are made of, and every other cylinder.
fn things(scenario: &Scenario) -> Vec<Thing> {
    let usual: Vec<Thing> = Mishap::usual(scenario).into_iter().flat_map(Mishap::things).collect();
    let cylinders = (0..scenario.rig().cylinders.len()).map(Thing::Cylinder);
    let mut things: Vec<Thing> = Vec::new();
    for thing in usual.into_iter().chain(cylinders) {
        if !things.contains(&thing) {
            things.push(thing);
        }
    }
    things.sort();
    things
}

impl Quick {
    /// What goes wrong on this dive, by a list as [`named`] has it.
    ///
    /// # Errors
    /// A name that is none.
    pub fn mishaps(&self, list: &str) -> Result<MishapFacts, MishapNameError> {
        Ok(self.ask_mishaps(&named(&self.built.scenario, list)?))
    }

    /// The usual mishaps of this dive.
    pub fn usual_mishaps(&self) -> MishapFacts {
        self.ask_mishaps(&Mishap::usual(&self.built.scenario))
    }

    /// Some mishaps of this dive.
    pub fn ask_mishaps(&self, asked: &[Mishap]) -> MishapFacts {
        let (mut found, mut never) = (Vec::new(), Vec::new());
        for &mishap in asked {
            match MishapFound::of(&self.built.scenario, &self.trace, mishap) {
                Some(one) => found.push(one),
                None => never.push(mishap),
            }
        }
        // a stable sort: of equal ones the first named
        found.sort_by(|a, b| b.badness(a));
        MishapFacts { found, never }
    }
}

impl MishapFacts {
    /// The worst of one thing alone, and of several at once; what cannot come by a slip only where there is nothing else.
    pub fn worst(&self, scenario: &Scenario) -> [Option<&MishapFound>; 2] {
        [true, false].map(|single| {
            let mut all = self.found.iter().filter(|found| found.mishap.is_single() == single);
            let first = all.clone().next();
            all.find(|found| found.mishap.can_slip(scenario)).or(first)
        })
    }

    /// The worst single mishap that nobody expects: a diver who can neither swim up, even after ditching, nor stay down.
    /// A failed wing has a line of its own in every answer, and lead that is fastened is not lost.
    pub fn beyond(&self, scenario: &Scenario) -> Option<&MishapFound> {
        let is_beyond = |found: &MishapFound| found.verdict() >= MishapVerdict::FloatsUp;
        let is_news = |found: &MishapFound| {
            found.mishap.is_single() && found.mishap != Mishap::WING && found.mishap.can_slip(scenario)
        };
        self.found.iter().find(|found| is_beyond(found) && is_news(found))
    }
}
