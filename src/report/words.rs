//! Sentences that several formats share, made from findings.

use crate::findings::{Beyond, CylinderFinding, Hold, LettingGo, SwimUp};
use crate::profile::Move;
use crate::report::Report;
use crate::report::fins::{by, floats_up};
use crate::report::measure::{LONG_S, Quantity, UnitSystem, clock, fixed, moment};
use crate::rig::{LOOP, SUIT};
use crate::scenario::Scenario;
use crate::sim::{Event, Happening, Owner};
use crate::units::ATMOSPHERE_PA;

/// A text with a capital in front.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A moment: time, and depth.
pub fn at(units: UnitSystem, time_s: f64, depth_m: f64) -> String {
    format!("at {}, {}", moment(time_s), units.text(Quantity::Length, depth_m))
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
    from_to(beyond.start_s, beyond.end_s)
}

/// A time of the dive: `8:00 to 31:00 min`.
pub fn from_to(start_s: f64, end_s: f64) -> String {
    match end_s > LONG_S {
        true => format!("{} to {}", moment(start_s), moment(end_s)),
        false => format!("{} to {}", clock(start_s), moment(end_s)),
    }
}

/// Times beyond the capacity, the first three in words.
pub fn spans(beyond: &[&Beyond]) -> String {
    let spans: Vec<_> = beyond.iter().map(|beyond| span(beyond)).collect();
    let more = if spans.len() > 3 { format!(" and {} more times", spans.len() - 3) } else { String::new() };
    format!("{}{more}", spans[..spans.len().min(3)].join(", "))
}

/// The name of a thing that can be let go of, with its count where there are several.
pub fn thing(scenario: &Scenario, owner: Owner) -> String {
    let rig = scenario.rig();
    match owner {
        Owner::Part(i) if rig.parts[i].count > 1 => format!("{} × {}", rig.parts[i].count, rig.parts[i].name),
        Owner::Part(i) => rig.parts[i].name.clone(),
        Owner::Cylinder(i) | Owner::Gas(i) | Owner::Hung { cylinder: i, .. } => rig.cylinders[i].name().to_owned(),
        Owner::Bag(SUIT) => "gas in the suit".into(),
        Owner::Bag(LOOP) => "gas in the loop".into(),
        Owner::Bag(_) => "gas in the wing".into(),
        Owner::Absorbed => "absorbed carbon dioxide".into(),
        Owner::Metabolised => "body, on the loop".into(),
    }
}

/// What can be let go of at a moment, each with its pull, and what does not help.
pub fn lets_go(units: UnitSystem, scenario: &Scenario, things: &[LettingGo]) -> String {
    let one = |thing: &LettingGo| {
        let name = self::thing(scenario, thing.owner);
        let lift = units.signed_text(Quantity::Mass, thing.lift_kg);
        let why = if thing.is_needed {
            format!(" (does not count: the plan still breathes of its {})", free_gas(units, thing.gas_m3))
        } else if thing.lift_kg >= 0.0 {
            " (floats: letting go of it makes the diver heavier)".into()
        } else {
            String::new()
        };
        format!("{name} {lift}{why}")
    };
    things.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// A volume of gas as it is at the surface: whole litres, or cubic feet.
pub fn free_gas(units: UnitSystem, surface_m3: f64) -> String {
    let decimals = if units == UnitSystem::Metric { 0 } else { 1 };
    format!("{} {}", fixed(units.value(Quantity::Volume, surface_m3), decimals), units.symbol(Quantity::Volume))
}

/// An amount of lift that is never told as zero: who floats by a hair floats.
pub fn small(units: UnitSystem, kg: f64) -> String {
    let text = units.text(Quantity::Mass, kg.abs());
    let least = format!("{} {}", fixed(0.1, 1), units.symbol(Quantity::Mass));
    if text.starts_with("0.0 ") { format!("less than {least}") } else { text }
}

/// Whether a diver stays down, and by how much; under an overhead a ceiling stops who does not.
pub fn margin(units: UnitSystem, bare_kg: f64, is_overhead: bool) -> String {
    let margin = small(units, bare_kg);
    match bare_kg <= 0.0 {
        true => format!("holds, {margin} to spare"),
        false => format!("{} {} {margin}", floats_up(is_overhead), by(is_overhead)),
    }
}

/// The hold answer of a stop in one line.
pub fn hold(units: UnitSystem, hold: &Hold, is_overhead: bool) -> String {
    let one = |bare_kg: f64| margin(units, bare_kg, is_overhead);
    format!("as planned {}; at reserve {}", one(hold.planned.bare_kg), one(hold.at_reserve.bare_kg))
}

/// Cylinders that float: from the start, or from a moment on.
pub fn floaters(report: &Report<'_>) -> String {
    let rig = report.scenario.rig();
    let one = |finding: &CylinderFinding| {
        let name = rig.cylinders[finding.cylinder].name();
        match finding.first {
            Some(_) if finding.first_kg > 0.0 => Some(format!("{name} from the start")),
            _ => turn(report.units, name, finding),
        }
    };
    let all: Vec<_> = report.findings.cylinders.iter().filter_map(one).collect();
    if all.is_empty() { "no cylinder turns from sinker to floater".into() } else { all.join("; ") }
}

/// What "at reserve" covers in this dive.
pub fn reserve(units: UnitSystem, scenario: &Scenario) -> String {
    let down = scenario.down_to_reserve();
    let mut by_pressure: Vec<(f64, Vec<&str>)> = Vec::new();
    let mut kept: Vec<&str> = Vec::new();
    for (i, cylinder) in scenario.rig().cylinders.iter().enumerate() {
        if !down.contains(i) {
            kept.push(cylinder.name());
            continue;
        }
        let reserve_pa = cylinder.reserve_gauge_pa();
        match by_pressure.iter_mut().find(|(pa, _)| *pa == reserve_pa) {
            Some((_, names)) => names.push(cylinder.name()),
            None => by_pressure.push((reserve_pa, vec![cylinder.name()])),
        }
    }
    let groups = by_pressure.iter().map(|(pa, names)| {
        let gauge = units.text(Quantity::GaugePressure, pa + ATMOSPHERE_PA);
        format!("{} at {gauge}, or less where less is left", names.join(", "))
    });
    let groups: Vec<_> = groups.collect();
    let rest = if kept.is_empty() {
        String::new()
    } else {
        let verbs = match (kept.len(), scenario.rig().breathing_loop.is_some()) {
            (1, false) => "only inflates and counts",
            (_, false) => "only inflate and count",
            (1, true) => "only feeds loop, wing or suit and counts",
            (_, true) => "only feed loop, wing or suit and count",
        };
        format!("; {} {verbs} as planned", kept.join(", "))
    };
    format!("at reserve means: {}{rest}", groups.join("; "))
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

/// What a loop has no more of, and what follows.
pub fn loop_shortage(what: &Happening) -> (&'static str, &'static str) {
    match what {
        Happening::OxygenOut => {
            ("the loop's oxygen", "from then on the loop falls below its setpoint, and the body uses up what is in it")
        }
        _ => (
            "the loop's diluent",
            "from then on the loop is not full, and each metre deeper takes more of a breath away",
        ),
    }
}

/// What happened, in one line.
pub fn event(units: UnitSystem, scenario: &Scenario, event: &Event) -> String {
    let cylinders = &scenario.rig().cylinders;
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
        Happening::OutOfGas { source, missing_m3, .. } => {
            let names: Vec<_> = source.iter().map(|i| cylinders[i].name()).collect();
            let missing = free_gas(units, missing_m3);
            format!(
                "OUT OF GAS {when}: {} is empty; {missing} are missing, measured at the surface",
                names.join(" and ")
            )
        }
        Happening::SuitSupplyEmpty => {
            format!("the suit falls below its gas volume {when}: its supply is empty or not carried")
        }
        Happening::OxygenOut | Happening::DiluentOut => {
            let (what, text) = loop_shortage(&event.what);
            format!("OUT OF GAS {when}: {what}; {text}")
        }
        Happening::WingShort => {
            format!(
                "the wing cannot hold the diver neutral {when}: at its capacity, or its supply is empty or not carried"
            )
        }
    }
}
