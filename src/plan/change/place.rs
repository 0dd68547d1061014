//! Where lead hangs: its place by a word of the trade, or by how far along the body it is.

use toml_edit::{InlineTable, Value};

use super::figure::{distance, usual_distance};
use super::{Sets, entry_key, table_text};
use crate::physics::place::Point;
use crate::plan::file::{At, AtTable, Ballast};
use crate::plan::typical::places::{self, Placed, SPOTS, Usually};
use crate::plan::{Built, Plan};
use crate::rig::{Part, Role};
use crate::units::{Shown, UnitSystem};

/// Words of one side, offered where a plan has them already.
const OF_A_SIDE: [&str; 14] = [
    "left belt",
    "right belt",
    "left shoulders",
    "right shoulders",
    "left chest",
    "right chest",
    "left hip",
    "right hip",
    "left thigh",
    "right thigh",
    "left knees",
    "right knees",
    "left ankles",
    "right ankles",
];

/// A place of the trade on a diver, by its word.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Its word.
    pub word: &'static str,
    /// Where it is.
    pub at: Point,
}

/// The places of the trade on the diver of a plan; of what is one on each side the middle.
pub fn marks(built: &Built) -> Vec<Mark> {
    let mark = |spot: &places::Spot| Mark { word: spot.words[0], at: Placed::middle(*spot).on(&built.stance).0 };
    SPOTS.iter().map(mark).collect()
}

/// Sole of a straight diver and top of the head as shares of stature below the shoulder line (ANSUR II, data seen).
const SOLE_FRAC: f64 = 0.82;
const TOP_FRAC: f64 = -0.18;

/// The ends of the diver along the body, m: feet and head.
pub(super) fn ends_m(built: &Built) -> [f64; 2] {
    [SOLE_FRAC, TOP_FRAC].map(|frac| -frac * built.stance.stature_m)
}

/// Unit of places on the body: both systems measure people by smaller units than water.
pub(super) fn unit(units: UnitSystem) -> Shown {
    // a hand moves lead by less than an inch
    Shown { decimals: if units == UnitSystem::Us { 1 } else { 0 }, ..units.short_length() }
}

/// An entry of the ballast and where it hangs.
pub(super) struct Hung<'p> {
    pub index: usize,
    pub part: &'p Part,
    pub at: Point,
    table: &'p Ballast,
    /// of its word, or what is usual for it
    placed: Usually,
    /// whether that is what is usual for it
    is_usual: bool,
}

/// All ballast, in the order of the plan.
pub(super) fn hung<'p>(plan: &'p Plan, built: &'p Built) -> Vec<Hung<'p>> {
    let parts = built.scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast);
    let one = |((index, table), part): ((usize, &'p Ballast), &'p Part)| {
        let usual = places::of_gear(&part.name).unwrap_or(Usually::At(Placed::middle(places::BELT)));
        let said = match &table.at {
            Some(At::Word(word)) => places::place(word),
            _ => None,
        };
        let is_usual = match (said, &usual) {
            (Some(said), Usually::At(usual)) => said.spot.words == usual.spot.words && said.side == usual.side,
            (said, _) => said.is_none(),
        };
        let placed = said.map_or(usual, Usually::At);
        Some(Hung { index, part, at: part.at?.mass, table, placed, is_usual })
    };
    plan.file().ballast.iter().enumerate().zip(parts).filter_map(one).collect()
}

impl Hung<'_> {
    /// Whether nobody wrote or measured how far along the body it is.
    pub(super) fn is_typical(&self) -> bool {
        let along = self.distances().and_then(|table| table.along.as_ref());
        along.is_none_or(|along| along.is_guess())
    }

    /// The words of its choices, and which of them it has.
    pub(super) fn words(&self) -> (Vec<&'static str>, Option<&'static str>) {
        let mut words = places::words();
        if self.distances().is_some() {
            return (words, None);
        }
        let Usually::At(Placed { spot, side }) = self.placed else { return (words, None) };
        let of_a_side = OF_A_SIDE.iter().find(|word| {
            let (which, rest) = word.split_once(' ').unwrap_or_default();
            side != 0.0 && spot.words[0] == rest && (which == "left") == (side > 0.0)
        });
        words.extend(of_a_side);
        let own = of_a_side.copied().unwrap_or(spot.words[0]);
        let chosen = words.contains(&own).then_some(own);
        (words, chosen)
    }

    fn distances(&self) -> Option<&AtTable> {
        match &self.table.at {
            Some(At::Distances(table)) => Some(table),
            _ => None,
        }
    }

    fn key(&self) -> String {
        entry_key("ballast", self.index, self.table.name.as_deref()).field("at").to_string()
    }

    /// The sets for a place by its word.
    pub(super) fn to_word(&self, word: &str) -> Sets {
        vec![(self.key(), word.to_owned())]
    }

    /// The sets for another distance along the body; how high it is and on which side stays, and so does every doubt.
    pub(super) fn to_along(&self, built: &Built, along_m: f64, units: UnitSystem) -> Sets {
        let (point, along_doubt_m, up_doubt_m) = self.placed.on(&built.stance);
        let mut table = InlineTable::new();
        let mut put = |key: &str, text: String| _ = table.insert(key, Value::from(text));
        let guess = || usual_distance(along_m, along_doubt_m, units);
        let Some(old) = self.distances() else {
            put("along", guess());
            // what is not written is that of the usual place
            if !self.is_usual {
                put("up", usual_distance(point.up_m, up_doubt_m, units));
                put("left", usual_distance(point.left_m, 0.0, units));
            }
            return vec![(self.key(), table_text(table))];
        };
        put("along", old.along.as_ref().map_or_else(guess, |along| distance(along, along_m, units)));
        for (key, old) in [("up", &old.up), ("left", &old.left)] {
            if let Some(old) = old {
                put(key, old.text().to_owned());
            }
        }
        vec![(self.key(), table_text(table))]
    }
}
