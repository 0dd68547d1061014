//! How sure the trim is, which place to measure first, and where the lead goes.

use serde::Serialize;

use crate::answer::{LeadWhere, TrimDoubt, WholeFacts};
use crate::findings::Trim;
use crate::report::advice::piece_list;
use crate::report::bench::trim::held_level;
use crate::report::bench::{Shown, seconds};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::words;

/// Pieces moved that are told.
const MOVES: usize = 4;

/// What takes longer of the trim.
#[derive(Serialize)]
pub(super) struct Trimmed {
    /// 95 in 100
    band: Band,
    /// the worst moment with its doubt
    text: String,
    /// what to measure first
    next: Option<String>,
    lead: Option<Split>,
}

#[derive(Serialize)]
struct Band {
    time_s: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
}

/// The lead over its places.
#[derive(Serialize)]
struct Split {
    text: String,
    /// worst torque over the dive then
    worst: f64,
    places: Vec<Share>,
    /// one piece moved
    moves: Vec<String>,
}

#[derive(Serialize)]
struct Share {
    name: String,
    mass: f64,
    /// worst torque with all of it there
    all: f64,
}

pub(super) fn trim(shown: Shown, facts: &WholeFacts) -> Option<Trimmed> {
    let found = facts.dive.findings.trim.as_ref()?;
    let known = facts.trim.as_ref()?;
    Some(Trimmed {
        band: band(shown, found, &known.doubt),
        text: worst(shown.units, found, &known.doubt),
        next: next(shown.units, &known.doubt),
        lead: known.lead.as_ref().map(|lead| split(shown, lead)),
    })
}

fn band(shown: Shown, found: &Trim, doubt: &TrimDoubt) -> Band {
    let edge = |sign: f64| {
        let rows = found.course.iter().zip(&doubt.course_half_width_nm);
        rows.map(|(at, half_nm)| shown.torque(at.torque_nm() + sign * half_nm)).collect()
    };
    Band { time_s: found.course.iter().map(|at| seconds(at.time_s)).collect(), low: edge(-1.0), high: edge(1.0) }
}

fn worst(units: UnitSystem, found: &Trim, doubt: &TrimDoubt) -> String {
    let at = found.worst();
    let half = units.text(Quantity::Torque, doubt.half_width_nm);
    let when = words::at(units, at.time_s, at.depth_m);
    format!("{} {when}, give or take {half} (95 in 100)", held_level(units, at.torque_nm()))
}

fn next(units: UnitSystem, doubt: &TrimDoubt) -> Option<String> {
    let first = doubt.places.first()?;
    let half = units.text(Quantity::Torque, first.half_width_nm);
    Some(format!("{}: gives or takes {half} by itself", first.input.label))
}

fn split(shown: Shown, lead: &LeadWhere) -> Split {
    let units = shown.units;
    let mass = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    let torque = |nm: f64| units.text(Quantity::Torque, nm);
    let name = |i: usize| lead.places[i].name.as_str();
    let there = |(i, pieces): (usize, &Vec<f64>)| {
        (!pieces.is_empty())
            .then(|| format!("{} at the {}", piece_list(pieces, mass), name(i)).replace("at the between", "between"))
    };
    let list: Vec<String> = lead.split.pieces_kg.iter().enumerate().filter_map(there).collect();
    let whose = if lead.is_advice { "the lead to carry" } else { "the lead of the plan" };
    let lacks = match lead.split.lacks_ditchable_kg > 0.005 {
        true => format!(
            "; {} {} less than wanted can be let go",
            mass(lead.split.lacks_ditchable_kg),
            units.symbol(Quantity::Mass)
        ),
        false => String::new(),
    };
    let moves = lead.moves.iter().filter(|moved| moved.allowed).take(MOVES).map(|moved| {
        let step = format!("{} {}", mass(moved.piece_kg), units.symbol(Quantity::Mass));
        format!("{step} from {} to {}: at worst {}", name(moved.from), name(moved.to), torque(moved.worst_nm))
    });
    Split {
        text: format!(
            "Least torque of {whose}, in {}: {}; at worst {} then{lacks}",
            units.symbol(Quantity::Mass),
            list.join(", "),
            torque(lead.split.worst_nm)
        ),
        worst: shown.torque(lead.split.worst_nm),
        places: (0..lead.places.len())
            .map(|i| Share {
                name: name(i).to_owned(),
                mass: shown.mass(lead.split.at_kg[i]),
                all: shown.torque(lead.all_at_nm[i]),
            })
            .collect(),
        moves: moves.collect(),
    }
}
