//! The figures of `doubt`: the lead of many trials, the band around the curve, and what to weigh next.

use crate::report::chart::{self, ChartError, DoubtOverTime, LeadDots, Picture, WeighFigure};
use crate::report::doubt::{DoubtReport, percent, share_text};
use crate::report::fins::Fins;
use crate::report::lead::{ballast_kg, lead_text};
use crate::report::weigh;
use crate::study::doubt::{Answer, Risk, WeighNext};

/// The figures that there are, each with the name of its file.
///
/// # Errors
/// A fault of the drawing library.
pub fn pictures(
    report: &DoubtReport<'_>,
    next: Option<&WeighNext>,
) -> Result<Vec<(&'static str, Picture)>, ChartError> {
    let mut pictures = Vec::new();
    let rows = &report.study.rows;
    if !rows.is_empty() {
        let of = |answer: Answer| rows.iter().map(|row| answer.of(row)).collect::<Vec<f64>>();
        let figure = LeadDots {
            title: &lead_title(report),
            subject: &report.source.title,
            least_kg: &of(Answer::Least),
            most_kg: &of(Answer::Most),
            own_kg: ballast_kg(report.scenario),
            has_overhead: report.scenario.profile().has_overhead(),
            units: report.units,
        };
        pictures.push(("doubt", chart::lead_dots(&figure)?));
    }
    if let Some(band) = &report.study.band {
        let (low_kg, high_kg): (Vec<f64>, Vec<f64>) = band.interval_kg.iter().map(|one| (one.low, one.high)).unzip();
        let figure = DoubtOverTime {
            title: &title(report),
            subject: &report.source.title,
            band: &format!("{} of the draws", percent(report.settings.coverage_frac)),
            time_s: &band.times_s,
            low_kg: &low_kg,
            middle_kg: &band.median_kg,
            high_kg: &high_kg,
            capacity_kg: report.scenario.rig().swim_up_kg,
            limit: Fins::of(report.scenario).limit(),
            units: report.units,
        };
        pictures.push(("doubt-over-time", chart::doubt_over_time(&figure)?));
    }
    if let Some(next) = next {
        let now_kg = weigh::half_width_kg(next, Answer::Least);
        let deeds = weigh::deeds(report.inputs, next, Answer::Least);
        if let Some(first) = deeds.first() {
            let told = |kg: f64| lead_text(report.units, kg);
            let title = if weigh::is_worth_saying(now_kg, first.then_kg) {
                format!("First {}: the least lead is then known to ±{}", first.deed, told(first.then_kg))
            } else {
                "No single figure would narrow the least lead by much".to_owned()
            };
            let (subject, answer, units) = (report.source.title.as_str(), "least lead", report.units);
            let figure = WeighFigure { title: &title, subject, answer, now_kg, deeds, units };
            pictures.push(("weigh", chart::to_weigh(&figure)?));
        }
    }
    Ok(pictures)
}

/// The message of the figure of the lead.
fn lead_title(report: &DoubtReport<'_>) -> String {
    let (own, outlook) = (&report.study.outlook.own_lead, &report.study.outlook);
    let lead = lead_text(report.units, ballast_kg(report.scenario));
    let carried =
        if ballast_kg(report.scenario) > 0.0 { format!("{lead} of lead") } else { "Carrying no lead".to_owned() };
    if own.hits == 0 || own.is_below_floor() {
        let no_lead = outlook.risks.iter().find(|(risk, _)| *risk == Risk::RangeEmpty);
        return match no_lead {
            Some((_, chance)) if chance.hits == chance.of => "No lead is right in any of the trials".into(),
            _ => format!("{carried} is right in hardly any trial"),
        };
    }
    if own.hits == own.of {
        return format!("{carried} is right in all of the trials");
    }
    format!("{carried} is right in {} of the trials", share_text(own))
}

/// The message of the band's figure.
fn title(report: &DoubtReport<'_>) -> String {
    let found = report.study.outlook.risks.iter().find(|(one, _)| *one == Risk::CannotSwimUp);
    let limit = Fins::of(report.scenario).limit();
    match found {
        Some((_, chance)) if chance.is_below_floor() => {
            format!("Beyond the {limit} in fewer than {} of the draws", percent(chance.floor_frac))
        }
        Some((_, chance)) if chance.hits == chance.of => format!("Beyond the {limit} in all draws"),
        Some((_, chance)) if chance.hits > 0 => {
            format!("Beyond the {limit} in {} of the draws", share_text(chance))
        }
        _ => format!("Within the {limit} in all draws"),
    }
}
