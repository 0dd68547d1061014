//! The dive, drawn twice: wide for paper and laptop, upright for the phone; under it the slider, what a failed wing and
//! an empty one would mean at that moment, and its numbers. Only a script can fill them; without one they stay hidden.

use maud::{Markup, PreEscaped, html};

use crate::report::chart::{ChartError, Compared, DiveLook, Facts, dive};
use crate::report::fins::Fins;
use crate::report::html::Handout;
use crate::report::measure::Quantity;

/// Width and height, px: on paper and on a laptop, where it shares the first screen with what it says.
const WIDE_PX: (f64, f64) = (800.0, 430.0);
/// Width and height, px: on a phone, where it is shown at nearly this size.
const UPRIGHT_PX: (f64, f64) = (400.0, 480.0);

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
        mishaps: &[],
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
        section.picture aria-labelledby="dive" {
            h2 #dive { (wide.message()) }
            figure #figure {
                div.wide { (PreEscaped(wide.svg_in_page()?)) }
                div.upright { (PreEscaped(upright.svg_in_page()?)) }
            }
            (moment(handout))
            p.caption {
                "Above the depth; below it what the whole diver weighs in the water with the wing empty: plus floats, "
                "minus sinks. Shaded where a limit is broken."
                @if handout.beside.is_some() { " Plan A; the green dash-dotted lines are plan B." }
            }
        }
    })
}

/// The slider with its verdict, and the numbers of that moment. The script fills them.
fn moment(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let end_s = report.trace.last().state.time_s;
    html! {
        div.moment #moment hidden {
            p.now {
                label for="time" { "Move through the dive" }
                span.where { b #v-time {} ", " b #v-depth {} }
            }
            input #time type="range" min="0" max=(end_s) step="any" value="0";
            div.verdicts {
                p.verdict { b { "If the wing failed now: " } span #v-verdict {} }
                p.verdict { b { "With the wing empty: " } span #v-light {} }
            }
            p.marks #marks role="group" aria-label="Go to a moment" {}
            (numbers(handout))
            p.unseen #live aria-live="polite" {}
        }
    }
}

fn numbers(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let (units, diver) = (report.units, report.scenario.rig());
    html! {
        div.facts {
            dl.values {
                dt { "net with the wing empty" } dd #v-bare {}
                @if handout.beside.is_some() { dt { "the same of plan B" } dd #v-other {} }
                dt { "load " (Fins::of(report.scenario).to_swim_up()) } dd #v-load {}
                @if report.findings.failed_wing_with_suit.is_some() {
                    dt { "load with the suit as lift" } dd #v-load-suit {}
                }
                @if diver.wing.is_some() { dt { "gas in the wing" } dd #v-wing {} }
                @if diver.suit.is_some() { dt { "gas in the suit" } dd #v-suit {} }
                @if diver.breathing_loop.is_some() { dt { "oxygen in the loop" } dd #v-oxygen {} }
                @for (i, cylinder) in diver.cylinders.iter().enumerate() {
                    dt { (cylinder.name()) } dd id={ "v-gauge-" (i) } {}
                }
                dt { "pressure of air and water" } dd #v-ambient {}
            }
            div.bars-side {
                p.bar.bars-head {
                    span { "lift now, " (units.symbol(Quantity::Mass)) }
                    span.ends { span { "◀ sinks" } span { "floats ▶" } }
                }
                div.bars #bars {}
            }
        }
    }
}
