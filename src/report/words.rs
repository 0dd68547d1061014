//! Sentences that several formats share, made from findings.

use crate::findings::{Beyond, CylinderFinding, FailedWing, Hold, SwimUp, WingSize};
use crate::profile::Move;
use crate::report::Report;
use crate::report::measure::{Quantity, UnitSystem, clock};
use crate::sim::{Event, Happening};

/// A moment: time, and depth.
pub fn at(units: UnitSystem, time_s: f64, depth_m: f64) -> String {
    format!("at {} min, {}", clock(time_s), units.text(Quantity::Length, depth_m))
}

/// The word for what the diver can do after a failed wing.
pub fn swim_up_word(verdict: SwimUp) -> &'static str {
    match verdict {
        SwimUp::CanSwim => "can swim up",
        SwimUp::AfterDitching => "only after ditching",
        SwimUp::Cannot => "cannot swim up",
    }
}

/// A time beyond the capacity: `from 0:00 to 8:07 min`.
pub fn span(beyond: &Beyond) -> String {
    format!("{} to {} min", clock(beyond.start_s), clock(beyond.end_s))
}

/// The failed-wing answer in one line.
pub fn failed_wing(units: UnitSystem, finding: &FailedWing) -> String {
    let capacity = units.text(Quantity::Mass, finding.capacity_kg);
    let worst = units.text(Quantity::Mass, finding.worst.load_kg.max(0.0));
    match finding.verdict {
        SwimUp::CanSwim => format!("within the {capacity} swim-up limit all the time; largest load {worst}"),
        verdict => {
            let spans: Vec<_> = finding.beyond.iter().map(span).collect();
            let total = finding.beyond.len();
            let shown = spans[..total.min(3)].join(", ");
            let more = if total > 3 { format!(" and {} more times", total - 3) } else { String::new() };
            let remedy = match verdict {
                SwimUp::AfterDitching => "within it only after ditching",
                _ => "beyond it even after ditching",
            };
            format!("beyond the {capacity} swim-up limit {shown}{more}; {remedy}; largest load {worst}")
        }
    }
}

/// The hold answer of a stop in one line.
pub fn hold(units: UnitSystem, hold: &Hold) -> String {
    let one = |bare_kg: f64| {
        let margin = units.text(Quantity::Mass, bare_kg.abs());
        if bare_kg <= 0.0 { format!("holds with {margin} to spare") } else { format!("floats up, {margin} too light") }
    };
    format!("as planned {}; at reserve {}", one(hold.planned.bare_kg), one(hold.at_reserve.bare_kg))
}

/// The wing's size in one line.
pub fn wing(units: UnitSystem, wing: &WingSize) -> String {
    let needs = format!(
        "needs {} ({} under water, {} at the surface with head and shoulders out)",
        units.text(Quantity::Volume, wing.needed_m3),
        units.text(Quantity::Volume, wing.neutral_m3),
        units.text(Quantity::Volume, wing.surface_m3)
    );
    match wing.capacity_m3 {
        None => format!("{needs}; the plan has no wing"),
        Some(capacity_m3) => {
            let has = units.text(Quantity::Volume, capacity_m3);
            let verdict = if wing.is_enough() { "is enough" } else { "is too small" };
            format!("{needs}; the plan's {has} {verdict}")
        }
    }
}

/// When a cylinder turns buoyant, in one line; `None` if it does not.
pub fn turn(units: UnitSystem, name: &str, finding: &CylinderFinding) -> Option<String> {
    finding.turn.map(|turn| {
        format!(
            "{name} {}, {} left",
            at(units, turn.time_s, turn.depth_m),
            units.text(Quantity::GaugePressure, turn.pressure_pa)
        )
    })
}

/// The verb for a cylinder that comes or goes.
pub fn moved(kind: Move) -> &'static str {
    match kind {
        Move::Leave => "left behind",
        Move::Take => "picked up",
        Move::HandOff => "handed off",
        Move::Receive => "received",
    }
}

/// What happened, in one line.
pub fn event(report: &Report<'_>, event: &Event) -> String {
    let units = report.units;
    let cylinders = &report.scenario.rig().cylinders;
    let when = at(units, event.time_s, event.depth_m);
    match event.what {
        Happening::Moved { cylinder, kind, lift_kg, net_before_kg, net_after_kg, wing_before_m3, wing_after_m3 } => {
            let verb = moved(kind);
            format!(
                "{} {verb} {when}: its own lift {}, the diver's net changes by {}, the wing goes from {} to {}",
                cylinders[cylinder].name(),
                units.signed_text(Quantity::Mass, lift_kg),
                units.signed_text(Quantity::Mass, net_after_kg - net_before_kg),
                units.text(Quantity::Volume, wing_before_m3),
                units.text(Quantity::Volume, wing_after_m3)
            )
        }
        Happening::OutOfGas { source, leg } => {
            let names: Vec<_> = source.iter().map(|i| cylinders[i].name()).collect();
            format!("OUT OF GAS {when}: leg {} asks for more than {} holds", leg + 1, names.join(" and "))
        }
        Happening::SuitSupplyEmpty => {
            format!("the suit falls below its loft {when}: its supply is empty or not carried")
        }
        Happening::WingShort => {
            format!(
                "the wing cannot hold the diver neutral {when}: at its capacity, or its supply is empty or not carried"
            )
        }
    }
}
