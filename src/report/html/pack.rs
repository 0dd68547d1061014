//! What to pack: cylinders with their fill on land, lead, water, the dive in a few words.

use maud::{Markup, html};

use crate::findings::Hold;
use crate::physics::gas::GasMix;
use crate::physics::water::Water;
use crate::profile::Profile;
use crate::report::html::answer::upper;
use crate::report::html::{Handout, lead};
use crate::report::measure::{LONG_S, Quantity, UnitSystem, clock, fixed};
use crate::report::{Report, circuit, words};
use crate::rig::{Cylinder, Part, Rig, Role};
use crate::sim::Happening;
use crate::units::{ATMOSPHERE_PA, HOUR_S, MINUTE_S};

/// Below this water is fresh, from the next on salt, and between them brackish, kg/m³: a salinity of 5 and of 25 at 15 °C
/// (by EOS-80, from memory). A choice of words alone.
const FRESH_KG_M3: f64 = 1003.0;
const SALT_KG_M3: f64 = 1018.0;
/// So much less air pressure than at the sea is said, Pa: 150 m of height, more than the weather does.
const HEIGHT_PA: f64 = 1800.0;
/// More stops than this are told by their ends.
const STOPS: usize = 9;
/// Shares of a mixture that differ by less have one name.
const SAME_FRAC: f64 = 5e-4;

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let units = report.units;
    let of_which = if handout.beside.is_some() { " (plan A)" } else { "" };
    html! {
        section.pack aria-labelledby="pack" {
            h2 #pack { "What to pack" (of_which) }
            table.cards.packed {
                thead { tr { @for column in COLUMNS { th scope="col" { (column) } } } }
                tbody {
                    @for (i, cylinder) in report.scenario.rig().cylinders.iter().enumerate() { tr {
                        th scope="row" { (cylinder.name()) }
                        @for (column, cell) in COLUMNS[1..].iter().zip(cells(report, handout.sizes, i)) {
                            td data-name=(column) { (cell) }
                        }
                    } }
                }
            }
            p.small { (upper(&words::reserve(units, report.scenario))) "." }
            dl.rest {
                div { dt { "Lead" } dd { (lead_words(handout)) } }
                div { dt { "Water" } dd { (water(units, report.scenario.water())) "." } }
                div { dt { "Dive" } dd { (dive(report)) "." } }
                @if let Some(circuit) = &report.findings.circuit {
                    div { dt { "Loop" } dd { (upper(&circuit::settings(report, circuit))) ". " b { (circuit::CAUTION) } } }
                }
                @if let Some(moves) = moves(report) { div { dt { "On the way" } dd { (moves) "." } } }
                @for note in handout.mind {
                    div { dt { "Mind" } dd { (note) "." } }
                }
            }
        }
    }
}

const COLUMNS: [&str; 7] = ["cylinder", "size", "gas", "fill on land", "reserve", "breathed", "on it"];

/// What stands beside a cylinder's name.
fn cells(report: &Report<'_>, sizes: &[Option<String>], index: usize) -> [String; 6] {
    let units = report.units;
    let cylinder = &report.scenario.rig().cylinders[index];
    let bar = |gauge_pa: f64| units.text(Quantity::GaugePressure, gauge_pa + ATMOSPHERE_PA);
    let reserve =
        if report.scenario.down_to_reserve().contains(index) { bar(cylinder.reserve_gauge_pa()) } else { "—".into() };
    [
        size(units, cylinder, sizes.get(index)),
        gas(cylinder.mix()),
        fill(units, cylinder),
        reserve,
        rate(report, index),
        hung(cylinder),
    ]
}

/// As the plan names it, or its capacity.
fn size(units: UnitSystem, cylinder: &Cylinder, named: Option<&Option<String>>) -> String {
    if let Some(Some(name)) = named {
        return name.clone();
    }
    let one = units.text(Quantity::Volume, cylinder.spec().water_m3);
    if cylinder.count() > 1 { format!("{} × {one}", cylinder.count()) } else { one }
}

/// Pressure and temperature of the fill.
fn fill(units: UnitSystem, cylinder: &Cylinder) -> String {
    let gauge = units.text(Quantity::GaugePressure, cylinder.fill_gauge_pa() + ATMOSPHERE_PA);
    format!("{gauge} at {}", units.text(Quantity::Temperature, cylinder.spec().fill_temperature_k))
}

/// Size, gas and fill in one line.
pub(super) fn in_short(report: &Report<'_>, sizes: &[Option<String>], index: usize) -> String {
    let [size, gas, fill, ..] = cells(report, sizes, index);
    format!("{size}, {gas}, {fill}")
}

/// The name of a mixture.
fn gas(mix: GasMix) -> String {
    let is = |share: f64, wanted: f64| (share - wanted).abs() < SAME_FRAC;
    let percent = |share: f64| {
        let text = fixed(100.0 * share, 1);
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    let (o2, he, ar) = (mix.o2_frac(), mix.he_frac(), mix.ar_frac());
    let whole = [(o2, "oxygen"), (he, "helium"), (ar, "argon"), (mix.n2_frac(), "nitrogen")];
    if mix == GasMix::AIR {
        "air".into()
    } else if let Some((_, name)) = whole.iter().find(|(share, _)| is(*share, 1.0)) {
        (*name).into()
    } else if ar >= SAME_FRAC {
        format!("{} % oxygen, {} % helium, {} % argon", percent(o2), percent(he), percent(ar))
    } else if is(he, 0.0) {
        format!("nitrox {}", percent(o2))
    } else if is(o2 + he, 1.0) {
        format!("heliox {}/{}", percent(o2), percent(he))
    } else {
        format!("trimix {}/{}", percent(o2), percent(he))
    }
}

/// The breathing rates of the legs that use a cylinder.
fn rate(report: &Report<'_>, index: usize) -> String {
    let units = report.units;
    let legs = report.scenario.profile().legs().iter();
    let rates = legs.filter(|leg| leg.source.contains(index) && leg.rate_m3_s > 0.0).map(|leg| leg.rate_m3_s);
    let (low, high) = rates.fold((f64::INFINITY, 0.0_f64), |(low, high), rate| (low.min(rate), high.max(rate)));
    if high <= 0.0 {
        return unbreathed(report.scenario.rig(), index);
    }
    let (from, to) = (units.number(Quantity::FlowRate, low), units.text(Quantity::FlowRate, high));
    if to.split(' ').next() == Some(&from) { to } else { format!("{from} to {to}") }
}

/// What a cylinder is for that no leg breathes from.
fn unbreathed(rig: &Rig, index: usize) -> String {
    let of_loop = rig.breathing_loop.and_then(|circuit| {
        let roles = [
            (circuit.oxygen, "by the loop: its oxygen"),
            (circuit.diluent, "by the loop: its diluent"),
            (circuit.bail_out, "if the loop fails"),
        ];
        roles.into_iter().find(|(of, _)| of.contains(index)).map(|(_, words)| words)
    });
    let bags = [(rig.suit, "inflates the suit"), (rig.wing, "inflates the wing")];
    let fed = bags.into_iter().filter(|(bag, _)| bag.is_some_and(|bag| bag.supply().contains(index)));
    let fed: Vec<&str> = fed.map(|(_, words)| words).collect();
    match (of_loop, fed.is_empty()) {
        (Some(words), true) => words.into(),
        (Some(words), false) => format!("{words}; {}", fed.join(", ")),
        (None, true) => "no".into(),
        (None, false) => format!("no: {}", fed.join(", ")),
    }
}

/// What hangs on a cylinder.
fn hung(cylinder: &Cylinder) -> String {
    let names: Vec<String> = cylinder.rigging().iter().map(counted).collect();
    if names.is_empty() { "—".into() } else { names.join(", ") }
}

fn counted(part: &Part) -> String {
    if part.count > 1 { format!("{} × {}", part.count, part.name) } else { part.name.clone() }
}

/// The lead, and the plan's own where that is something else.
fn lead_words(handout: &Handout<'_>) -> String {
    let (units, carry) = (handout.report.units, handout.carry);
    let own_kg = carry.range.own.ballast_kg;
    let own = own_lead(handout.report);
    match &handout.check.advised {
        Some(choice) if (choice.lead_kg - own_kg).abs() < 0.05 => format!("as in the plan: {own}."),
        Some(choice) if choice.pieces_kg.is_empty() => format!("none. The plan as it stands has {own}."),
        Some(choice) => {
            let pieces = lead::pieces(units, choice).map_or(String::new(), |pieces| format!(": {pieces}"));
            format!("{}{pieces}. The plan as it stands has {own}.", lead::mass(units, choice.lead_kg))
        }
        None if carry.range.is_empty() => format!("no lead is right: change the rig first. The plan has {own}."),
        None => format!("none is advised yet. The check in confined water is made with what the plan has, {own}."),
    }
}

/// The plan's ballast: its mass and its pieces, and what can be let go of.
fn own_lead(report: &Report<'_>) -> String {
    let ballast: Vec<&Part> = report.scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast).collect();
    if ballast.is_empty() {
        return "no lead".into();
    }
    let piece = |part: &&Part| {
        let each = lead::mass(report.units, part.mass_kg() / f64::from(part.count));
        let go = if part.ditchable { ", ditchable" } else { "" };
        format!("{} of {each}{go}", counted(part))
    };
    let sum_kg = ballast.iter().map(|part| part.mass_kg()).sum();
    let pieces: Vec<String> = ballast.iter().map(piece).collect();
    format!("{}: {}", lead::mass(report.units, sum_kg), pieces.join("; "))
}

/// The water, layer by layer.
pub(super) fn water(units: UnitSystem, water: &Water) -> String {
    let layer = |i: usize| {
        let kind = match water.density_kg_m3(i, water.layer_span_m(i).0) {
            fresh if fresh < FRESH_KG_M3 => "fresh",
            brackish if brackish < SALT_KG_M3 => "brackish",
            _ => "salt",
        };
        let temperature = units.text(Quantity::Temperature, water.layer(i).temperature_k);
        let from = units.text(Quantity::Length, water.layer_span_m(i).0);
        if i == 0 { format!("{kind}, {temperature}") } else { format!("from {from} down {kind}, {temperature}") }
    };
    let layers: Vec<String> = (0..water.layer_count()).map(layer).collect();
    let text = layers.join("; ");
    if water.surface_pa() < ATMOSPHERE_PA - HEIGHT_PA {
        let pressure = fixed(units.value(Quantity::Pressure, water.surface_pa()), 2);
        format!("{text}; above sea level, air pressure {pressure} {}", units.symbol(Quantity::Pressure))
    } else {
        text
    }
}

/// A stretch of time: whole minutes, or with seconds; from an hour on in hours where the dive is told in them.
fn time(seconds: f64, dive_s: f64) -> String {
    if dive_s > LONG_S && seconds >= HOUR_S {
        format!("{} h", clock(seconds / MINUTE_S))
    } else if (seconds / MINUTE_S - (seconds / MINUTE_S).round()).abs() * MINUTE_S < 1.0 {
        format!("{} min", fixed(seconds / MINUTE_S, 0))
    } else {
        format!("{} min", clock(seconds))
    }
}

/// The profile in a few words.
pub(super) fn dive(report: &Report<'_>) -> String {
    let (units, profile): (UnitSystem, &Profile) = (report.units, report.scenario.profile());
    let depth = |m: f64| units.text(Quantity::Length, m);
    let time = |seconds: f64| time(seconds, profile.end_s());
    let whole = format!(
        "to {}, {} in all, final ascent after {}",
        depth(profile.max_depth_m()),
        time(profile.end_s()),
        time(profile.final_ascent_s())
    );
    let holds: Vec<&Hold> = report.findings.holds.iter().filter(|hold| hold.end_s > hold.start_s).collect();
    let stop = |hold: &&Hold| format!("{} for {}", depth(hold.depth_m), time(hold.end_s - hold.start_s));
    let stops = match holds.as_slice() {
        [] => return format!("{whole}, no stop"),
        [first, .., last] if holds.len() > STOPS => {
            format!("{} from {} up, the last at {}", holds.len(), depth(first.depth_m), stop(last))
        }
        some => some.iter().map(stop).collect::<Vec<_>>().join(", "),
    };
    format!("{whole}; stops: {stops}")
}

/// Cylinders that come and go.
fn moves(report: &Report<'_>) -> Option<String> {
    let cylinders = &report.scenario.rig().cylinders;
    let moves: Vec<String> = report
        .trace
        .events()
        .iter()
        .filter_map(|event| match event.what {
            Happening::Moved { cylinder, kind, .. } => {
                let when = words::at(report.units, event.time_s, event.depth_m);
                Some(format!("{} {} {when}", cylinders[cylinder].name(), words::moved(kind)))
            }
            _ => None,
        })
        .collect();
    (!moves.is_empty()).then(|| moves.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::water::{Brine, Layer};
    use crate::units::celsius_to_k;

    #[test]
    fn gases_have_the_names_that_plans_use() {
        let name = |o2, he| gas(GasMix::new(o2, he).unwrap());
        assert_eq!(gas(GasMix::AIR), "air");
        assert_eq!((name(1.0, 0.0), name(0.32, 0.0)), ("oxygen".into(), "nitrox 32".into()));
        assert_eq!((name(0.18, 0.45), name(0.16, 0.84)), ("trimix 18/45".into(), "heliox 16/84".into()));
        assert_eq!(gas(GasMix::ARGON), "argon");
    }

    #[test]
    fn waters_are_told_by_what_they_are() {
        let layer = |top_m, salinity| Layer {
            top_m,
            brine: Brine::PracticalSalinity(salinity),
            temperature_k: celsius_to_k(10.0),
        };
        let words = |layers: &[Layer]| water(UnitSystem::Metric, &Water::new(ATMOSPHERE_PA, layers).unwrap());
        // the Baltic has 7, the open sea 35 (common knowledge)
        assert_eq!(words(&[layer(0.0, 0.0), layer(12.0, 35.0)]), "fresh, 10 °C; from 12 m down salt, 10 °C");
        assert_eq!(words(&[layer(0.0, 7.0)]), "brackish, 10 °C");
    }

    #[test]
    fn times_read_well() {
        let short = |seconds| time(seconds, 5400.0);
        assert_eq!([short(60.0), short(1080.2), short(90.0), short(5400.0)], ["1 min", "18 min", "1:30 min", "90 min"]);
        assert_eq!([time(300.0, 36_000.0), time(36_000.0, 36_000.0)], ["5 min", "10:00 h"]);
    }
}
