//! The dive, drawn twice: wide for paper and laptop, upright for the phone; and the panel of the moment under the
//! pointer, which only a script can fill and which stays hidden without one.

use maud::{Markup, PreEscaped, html};

use crate::report::chart::{ChartError, Compared, DiveLook, Facts, dive};
use crate::report::html::Handout;
use crate::report::measure::Quantity;

/// Width and height, px: on paper and on a laptop.
const WIDE_PX: (f64, f64) = (800.0, 470.0);
/// Width and height, px: on a phone, where it is shown at nearly this size.
const UPRIGHT_PX: (f64, f64) = (400.0, 520.0);

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Result<Markup, ChartError> {
    let report = handout.report;
    let facts = Facts {
        title: &report.source.title,
        note: None,
        scenario: report.scenario,
        rows: report.rows,
        events: report.trace.events(),
        findings: report.findings,
        needless_kg: handout.carry.needless.map_or(0.0, |needless| needless.excess_kg()),
        leads: &[],
        units: report.units,
    };
    let other = handout.beside.as_ref().map(|beside| Compared {
        label: "plan B",
        rows: beside.report.rows,
        findings: beside.report.findings,
    });
    let look =
        |(width_px, height_px): (f64, f64)| dive(&facts, &DiveLook { width_px, height_px, has_heading: false, other });
    let (wide, upright) = (look(WIDE_PX), look(UPRIGHT_PX));
    Ok(html! {
        section aria-labelledby="dive" {
            h2 #dive { (wide.message()) }
            figure #figure {
                div.wide { (PreEscaped(wide.svg_in_page()?)) }
                div.upright { (PreEscaped(upright.svg_in_page()?)) }
                figcaption {
                    "Above: the dive. Below: what the whole diver would weigh in the water if the wing were empty, "
                    "above zero floating, below zero sinking; "
                    @if handout.beside.is_some() { "plan A " }
                    @if report.findings.failed_wing.beyond.is_empty() {
                        "nowhere more than the diver can swim up."
                    } @else {
                        "shaded where a failed wing is more than the diver can swim up."
                    }
                    @if handout.beside.is_some() { " The green dash-dotted lines are plan B." }
                }
            }
            (moment(handout))
        }
    })
}

/// The panel of a moment. The script fills it.
fn moment(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let (units, diver) = (report.units, report.scenario.rig());
    let end_s = report.trace.last().state.time_s;
    html! {
        div.moment #moment hidden {
            label for="time" { "Move through the dive" }
            input #time type="range" min="0" max=(end_s) step="any" value="0";
            p.marks #marks role="group" aria-label="Go to a moment" {}
            div.facts {
                dl.values {
                    dt { "time" } dd #v-time {}
                    dt { "depth" } dd #v-depth {}
                    dt { "water pressure" } dd #v-ambient {}
                    @for (i, cylinder) in diver.cylinders.iter().enumerate() {
                        dt { (cylinder.name()) } dd id={ "v-gauge-" (i) } {}
                    }
                    @if diver.wing.is_some() { dt { "gas in the wing" } dd #v-wing {} }
                    @if diver.suit.is_some() { dt { "gas in the suit" } dd #v-suit {} }
                    dt { "net, wing empty" } dd #v-bare {}
                    dt { "swim-up load" } dd #v-load {}
                    @if report.findings.failed_wing_with_suit.is_some() {
                        dt { "load with the suit’s lift" } dd #v-load-suit {}
                    }
                    @if handout.beside.is_some() { dt { "plan B, net, wing empty" } dd #v-other {} }
                }
                div.bars-side {
                    p.bar.bars-head {
                        span { "lift now, " (units.symbol(Quantity::Mass)) }
                        span.ends { span { "◀ sinks" } span { "lifts ▶" } }
                    }
                    div.bars #bars {}
                }
            }
            p.verdict { b { "If the wing failed now: " } span #v-verdict {} }
            p.unseen #live aria-live="polite" {}
        }
    }
}
