//! How sure the trim is, which place to measure first, and where the lead goes.

use serde::Serialize;

use crate::answer::{LeadWhere, TrimDoubt, WholeFacts};
use crate::findings::Trim;
use crate::report::bench::whole::{Band, on_the_page};
use crate::report::bench::{Shown, seconds};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::trim::{first_to_measure, how_sure, lead_line, over_dive, torque};

/// Pieces moved that are told.
const MOVES: usize = 4;

/// What takes longer of the trim.
#[derive(Serialize)]
pub(super) struct Trimmed {
    /// 95 in 100
    band: Band,
    /// over the dive, with its doubt
    text: String,
    /// what to measure first
    next: Option<String>,
    lead: Option<Split>,
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
    let doubt = facts.dive.trim_doubt.as_ref()?;
    Some(Trimmed {
        band: band(shown, found, doubt),
        text: text(shown.units, found, doubt),
        next: first_to_measure(doubt).map(|text| on_the_page(&text)),
        lead: facts.lead.as_ref().map(|lead| split(shown, lead)),
    })
}

fn band(shown: Shown, found: &Trim, doubt: &TrimDoubt) -> Band {
    let edge = |sign: f64| {
        let rows = found.course.iter().zip(&doubt.course_half_width_nm);
        rows.map(|(at, half_nm)| shown.torque(at.torque_nm() + sign * half_nm)).collect()
    };
    Band { time_s: found.course.iter().map(|at| seconds(at.time_s)).collect(), low: edge(-1.0), high: edge(1.0) }
}

fn text(units: UnitSystem, found: &Trim, doubt: &TrimDoubt) -> String {
    format!("{}, held level; {}", over_dive(units, found), how_sure(units, found, doubt))
}

fn split(shown: Shown, lead: &LeadWhere) -> Split {
    let units = shown.units;
    let mass = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    let name = |i: usize| lead.places[i].name.as_str();
    let moves = lead.moves.iter().filter(|moved| moved.allowed).take(MOVES).map(|moved| {
        let step = format!("{} {}", mass(moved.piece_kg), units.symbol(Quantity::Mass));
        format!("{step} from {} to {}: at worst {}", name(moved.from), name(moved.to), torque(units, moved.worst_nm))
    });
    Split {
        text: lead_line(units, lead),
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
