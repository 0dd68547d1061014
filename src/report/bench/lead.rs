//! The gates of the lead rail.

use serde::Serialize;

use crate::report::bench::{Mark, Shown};
use crate::report::fins::Fins;
use crate::report::verdict::range_of_run;
use crate::study::{LeadBounds, OwnLead};

/// The plan's lead between the least and the most.
#[derive(Serialize)]
pub(super) struct Lead {
    plan: f64,
    /// below zero where none is needed
    least: f64,
    /// below zero where the diver is too heavy without any
    most: f64,
    /// no lead is right
    crossed: bool,
    /// never a tick: that takes the trials
    mark: Mark,
    text: String,
}

pub(super) fn lead(shown: Shown, bounds: LeadBounds, own: &OwnLead, fins: Fins) -> Lead {
    let found = range_of_run(shown.units, bounds, own, fins);
    Lead {
        plan: shown.mass(own.ballast_kg),
        least: shown.mass(bounds.least_kg),
        most: shown.mass(bounds.most_kg),
        crossed: bounds.is_empty(),
        mark: Mark::of(found.within),
        text: format!("{}: {}", found.value, found.text),
    }
}
