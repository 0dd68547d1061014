//! The figures of `doubt`: the band around the curve, and the shares of the doubt.

use crate::report::chart::{self, ChartError, Picture, SpreadBand};
use crate::report::doubt::{DoubtReport, percent, share_text};
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
    if let Some(band) = &report.study.band {
        let (low_kg, high_kg): (Vec<f64>, Vec<f64>) = band.interval_kg.iter().map(|one| (one.low, one.high)).unzip();
        let figure = SpreadBand {
            title: &title(report),
            subject: &report.source.title,
            band: &format!("{} of the draws", percent(report.settings.coverage_frac)),
            time_s: &band.times_s,
            low_kg: &low_kg,
            middle_kg: &band.median_kg,
            high_kg: &high_kg,
            capacity_kg: report.scenario.rig().swim_up_kg,
            units: report.units,
        };
        pictures.push(("doubt", chart::spread_band(&figure)?));
    }
    if let Some(next) = next {
        let shares = weigh::shares(report.units, report.inputs, next, Answer::Least);
        if let Some(first) = shares.first() {
            let part = if first.alone_frac > 0.5 { "most of it" } else { "the largest part" };
            let title = format!("Doubt of the least lead: {part} from {}", first.name);
            pictures.push(("shares", chart::shares(&title, &report.source.title, &shares)?));
        }
    }
    Ok(pictures)
}

/// The message of the band's figure.
fn title(report: &DoubtReport<'_>) -> String {
    let found = report.study.outlook.risks.iter().find(|(one, _)| *one == Risk::CannotSwimUp);
    match found {
        Some((_, chance)) if chance.is_below_floor() => {
            format!("Beyond the swim-up limit in fewer than {} of the draws", percent(chance.floor_frac))
        }
        Some((_, chance)) if chance.hits == chance.of => "Beyond the swim-up limit in all draws".into(),
        Some((_, chance)) if chance.hits > 0 => {
            format!("Beyond the swim-up limit in {} of the draws", share_text(chance))
        }
        _ => "Within the swim-up limit in all draws".into(),
    }
}
