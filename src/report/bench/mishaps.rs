//! What goes wrong: a list of mishaps, each with its sentence, and what those that are switched on leave over time.

use serde::Serialize;

use crate::answer::Quick;
use crate::answer::mishaps::{mishap_name, named};
use crate::findings::mishaps::left_kg;
use crate::findings::{Mishap, MishapFound};
use crate::report::bench::{LabelledLine, Mark, Shown, seconds};
use crate::report::mishaps::{lines, name, sentence, within};
use crate::sim::Now;

/// The mishaps that a page asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct MishapAsk<'a> {
    /// Whether all are looked at: the usual ones beside those that are on.
    pub all: bool,
    /// Those that are drawn, by their names.
    pub on: &'a [String],
}

/// What goes wrong.
#[derive(Serialize)]
pub(super) struct Mishaps {
    /// the worst alone, the worst of several at once
    lines: Vec<LabelledLine>,
    list: Vec<Listed>,
}

/// A mishap.
#[derive(Serialize)]
struct Listed {
    /// as it is asked for
    name: String,
    label: String,
    text: String,
    mark: Mark,
    is_single: bool,
    /// whether it is drawn
    is_on: bool,
    /// where it is worst
    worst: Worst,
    /// what it leaves at the rows of the dive, null where it cannot happen; null where it is not drawn
    left: Option<Vec<Option<f64>>>,
}

#[derive(Serialize)]
struct Worst {
    time_s: f64,
    left: f64,
}

/// Those that are asked for, in their usual order; `None` where none is.
pub(super) fn mishaps(shown: Shown, quick: &Quick, ask: MishapAsk<'_>, rows: &[(Now, usize)]) -> Option<Mishaps> {
    if !ask.all && ask.on.is_empty() {
        return None;
    }
    let scenario = &quick.built.scenario;
    // a name that this rig does not have is one of another rig
    let on: Vec<Mishap> = ask.on.iter().filter_map(|one| named(scenario, one).ok()).flatten().collect();
    let mut asked = if ask.all { Mishap::usual(scenario) } else { Vec::new() };
    for mishap in &on {
        if !asked.contains(mishap) {
            asked.push(*mishap);
        }
    }
    let facts = quick.ask_mishaps(&asked);
    let one = |found: &MishapFound| {
        let is_on = on.contains(&found.mishap);
        let left = |(now, leg): &(Now, usize)| left_kg(scenario, now, *leg, found.mishap).map(|kg| shown.mass(kg));
        Listed {
            name: mishap_name(scenario, found.mishap),
            label: name(scenario, found.mishap),
            text: sentence(shown.units, scenario, found),
            mark: Mark::of(within(found)),
            is_single: found.mishap.is_single(),
            is_on,
            worst: Worst { time_s: seconds(found.now().state.time_s), left: shown.mass(found.left_kg()) },
            left: is_on.then(|| rows.iter().map(left).collect()),
        }
    };
    let of = |mishap: &Mishap| facts.found.iter().find(|found| found.mishap == *mishap);
    Some(Mishaps {
        lines: lines(shown.units, scenario, &facts).into_iter().map(LabelledLine::of).collect(),
        list: asked.iter().filter_map(of).map(one).collect(),
    })
}
