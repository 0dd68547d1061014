//! Where the lead goes, how the diver hangs, and how sure that is.

use maud::{Markup, PreEscaped, html};

use crate::answer::{LeadWhere, TrimFacts};
use crate::findings::trim::TrimAt;
use crate::report::advice::piece_list;
use crate::report::chart::{ChartError, LeverSize, TrimLook, lever_sized};
use crate::report::html::{Handout, lead};
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::trim as said;
use crate::report::words;

/// Distances that are named to be measured first.
const MEASURED: usize = 3;

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Result<Markup, ChartError> {
    let (facts, units) = (handout.trim, handout.report.units);
    let of_which = if handout.beside.is_some() { " (plan A)" } else { "" };
    let look = TrimLook { title: &handout.report.source.title, note: None, facts, units };
    let wide = lever_sized(&look, LeverSize::ON_SHEET);
    let upright = lever_sized(&look, LeverSize::UPRIGHT);
    Ok(html! {
        section.trim aria-labelledby="trim" {
            h2 #trim { "Where your lead goes" (of_which) }
            @match &facts.lead {
                Some(lead) => (places(units, facts, lead)),
                None => p { "This dive carries no lead." },
            }
            h3 { (wide.message()) }
            figure.still {
                div.wide { (PreEscaped(wide.svg_in_page()?)) }
                div.upright { (PreEscaped(upright.svg_in_page()?)) }
            }
            p.caption {
                "The diver from the side, held level, with the lead where the plan has it. Each arrow is what a thing lifts or "
                "sinks there, with its torque about the lungs. A part whose weight and volume lie apart turns more than its "
                "arrow shows."
            }
            dl.rest {
                div { dt { "At rest" } dd { (at_rest(facts)) } }
                div { dt { "Worst" } dd { (worst(units, facts)) } }
                div { dt { "How sure" } dd { (how_sure(units, facts)) } }
                @if let Some(first) = first(units, facts) { div { dt { "Measure first" } dd { (first) } } }
                div { dt { "Fins" } dd { (hold(units, facts)) } }
            }
        }
    })
}

/// The pieces at each place.
fn places(units: UnitSystem, facts: &TrimFacts, lead: &LeadWhere) -> Markup {
    let number = |kg: f64| lead::short(units, kg);
    let unit = units.symbol(Quantity::Mass);
    let total = lead::mass(units, lead.lead.lead_kg);
    let whose = if lead.is_advice { "The lead that is advised" } else { "The lead of the plan, as none is advised" };
    let own_nm = facts.own_worst_nm();
    html! {
        table.where-lead {
            thead { tr {
                th scope="col" { "place" }
                th scope="col" { "pieces, " (unit) }
                th.number scope="col" { "lead, " (unit) }
                th.number scope="col" { "worst torque with all of it there, " (units.symbol(Quantity::Torque)) }
            } }
            tbody { @for (i, spot) in lead.places.iter().enumerate() { tr {
                th scope="row" { (spot.name) @if spot.lets_go { " (can be dropped)" } }
                td { @if lead.split.pieces_kg[i].is_empty() { "—" } @else { (piece_list(&lead.split.pieces_kg[i], number)) } }
                td.number { @if lead.split.at_kg[i] > 0.0 { (number(lead.split.at_kg[i])) } @else { "—" } }
                td.number { (units.number(Quantity::Torque, lead.all_at_nm[i])) }
            } } }
        }
        p {
            (whose) ", " (total) ", in the pieces that turn the diver least. The worst torque of the dive is then "
            (said::torque(units, lead.split.worst_nm)) ", instead of " (said::torque(units, own_nm)) " with the lead of the plan where it is now."
            @if lead.split.lacks_ditchable_kg > 0.0 {
                " Of what must be droppable " (lead::mass(units, lead.split.lacks_ditchable_kg)) " finds no place."
            }
        }
    }
}

/// The angle or the way at both points.
fn at_rest(facts: &TrimFacts) -> String {
    let of = |at: &TrimAt| said::at_rest(facts, *at);
    let (heavy, light) = (of(&facts.trim.heavy), of(&facts.trim.light));
    if heavy == light {
        return format!("At the heavy and at the light point {heavy}.");
    }
    format!("At the heavy point {heavy}, at the light point {light}.")
}

fn worst(units: UnitSystem, facts: &TrimFacts) -> String {
    let one =
        |at: &TrimAt| format!("{} {}", said::tips(units, at.torque_nm()), words::at(units, at.time_s, at.depth_m));
    let (head, feet) = (facts.trim.head_heaviest, facts.trim.feet_heaviest);
    if head.time_s == feet.time_s {
        return format!("Held level, {} and all through.", one(&head));
    }
    format!("Held level, head heaviest: {}; feet heaviest: {}.", one(&head), one(&feet))
}

fn how_sure(units: UnitSystem, facts: &TrimFacts) -> String {
    let half_nm = facts.doubt.half_width_nm;
    let open = if half_nm > facts.trim.worst().torque_nm().abs() {
        " That is more than the torque itself: the diver may hang either way."
    } else {
        ""
    };
    format!("± {} at the worst moment, with 95 %.{open}", said::torque(units, half_nm))
}

/// Distances that make most of the doubt.
fn first(units: UnitSystem, facts: &TrimFacts) -> Option<String> {
    let named: Vec<String> = facts
        .doubt
        .places
        .iter()
        .take(MEASURED)
        .map(|of| format!("{} (± {})", said::place_label(of), said::torque(units, of.half_width_nm)))
        .collect();
    (!named.is_empty()).then(|| format!("{}.", named.join("; ")))
}

fn hold(units: UnitSystem, facts: &TrimFacts) -> String {
    let ask = &facts.built.trim;
    let whose = if ask.is_hold_written { "your choice" } else { "a choice, no measured figure" };
    format!(
        "With posture they are taken to hold {} ± {}: {whose}.",
        units.number(Quantity::Torque, ask.hold_nm),
        said::torque(units, ask.hold_half_width_nm)
    )
}
