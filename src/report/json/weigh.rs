//! What to weigh next, as JSON; its sentences are metric.

use schemars::JsonSchema;
use serde::Serialize;

use crate::estimate::Input;
use crate::report::doubt::uncertain;
use crate::report::json::micro;
use crate::report::measure::UnitSystem;
use crate::report::weigh::{factor_name, index, sentences};
use crate::study::doubt::{Answer, WeighNext, Weighing};

/// Where the doubt of the lead comes from
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct WeighNextFacts {
    /// Of the coverage intervals, as things are
    half_width: HalfWidths,
    /// Share of the variance that straight lines explain, in the order of the half-widths
    linear_frac: Vec<f64>,
    failed_pairs: u64,
    factors: Vec<WeighedFactor>,
    sentences: Vec<String>,
}

/// Half-widths of the intervals
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct HalfWidths {
    least_lead_kg: f64,
    most_lead_kg: f64,
    lead_range_kg: f64,
    heavy_point_kg: f64,
    light_point_kg: f64,
}

/// Figures that are known or unknown together
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WeighedFactor {
    name: String,
    figures: Vec<FactorFigure>,
    shares: FactorShares,
    /// Null where it was not looked at, because its share is too small
    half_width_if_known: Option<HalfWidths>,
}

/// A figure of the plan
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FactorFigure {
    key: String,
    label: String,
    origin: String,
}

/// Shares of the variance of each answer
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FactorShares {
    least_lead: VarianceShare,
    most_lead: VarianceShare,
    lead_range: VarianceShare,
    heavy_point: VarianceShare,
    light_point: VarianceShare,
}

/// Share of a variance: of the figure alone, and with what it does together with others
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct VarianceShare {
    first_frac: f64,
    first_error_frac: f64,
    total_frac: f64,
    total_error_frac: f64,
}

impl WeighNextFacts {
    pub(super) fn of(inputs: &[Input], next: &WeighNext) -> Self {
        Self {
            half_width: half_widths(&next.half_width_kg),
            linear_frac: next.linear_frac.clone(),
            failed_pairs: next.failed_pairs,
            factors: next.factors.iter().map(|weighing| weighed_factor(inputs, weighing)).collect(),
            sentences: sentences(UnitSystem::Metric, inputs, next),
        }
    }
}

/// From the order in which a study has its answers.
fn half_widths(all_kg: &[f64]) -> HalfWidths {
    let of = |answer| micro(all_kg[index(answer)]);
    HalfWidths {
        least_lead_kg: of(Answer::Least),
        most_lead_kg: of(Answer::Most),
        lead_range_kg: of(Answer::Range),
        heavy_point_kg: of(Answer::Heavy),
        light_point_kg: of(Answer::Light),
    }
}

fn weighed_factor(inputs: &[Input], weighing: &Weighing) -> WeighedFactor {
    let figure = |input: &Input| FactorFigure {
        key: input.path.to_string(),
        label: input.label.clone(),
        origin: input.origin.text().to_string(),
    };
    let share = |answer| {
        let (first, total) = (weighing.first[index(answer)], weighing.total[index(answer)]);
        VarianceShare { first_frac: first.0, first_error_frac: first.1, total_frac: total.0, total_error_frac: total.1 }
    };
    WeighedFactor {
        name: factor_name(inputs, &weighing.factor),
        figures: weighing.factor.inputs.iter().filter_map(|&at| uncertain(inputs).nth(at)).map(figure).collect(),
        shares: FactorShares {
            least_lead: share(Answer::Least),
            most_lead: share(Answer::Most),
            lead_range: share(Answer::Range),
            heavy_point: share(Answer::Heavy),
            light_point: share(Answer::Light),
        },
        half_width_if_known: weighing.known_half_width_kg.as_deref().map(half_widths),
    }
}
