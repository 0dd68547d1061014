//! How sure the answers are, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::estimate::Input;
use crate::report::doubt::{DoubtReport, refusal_text, uncertain};
use crate::report::json::weigh::WeighNextFacts;
use crate::report::json::{Head, PlanSource, micro};
use crate::report::measure::UnitSystem;
use crate::report::{CAUTIONS, Source};
use crate::study::doubt::stand_in::{CERTIFYING, FLOOR_FRAC};
use crate::study::doubt::{
    Answer, Certificate, Chance, CurveBand, Failure, Made, Outlook, Risk, Row, Settings, Stopped, Summary, Tolerance,
    WeighNext,
};

/// How sure the answers are
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct DoubtResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "doubt"))]
    command: &'static str,
    plan: PlanSource,
    seed: u64,
    made: MadeFrom,
    draws: u64,
    stopped: StopCode,
    tolerance: DrawTolerance,
    /// Coverage of the intervals
    coverage_frac: f64,
    failures: Vec<FailedDraws>,
    /// With every figure as the plan has it
    as_written: DrawAnswers,
    outlook: OutlookFacts,
    /// Null where it was not asked for, the draws were ended early, or too many of them failed
    what_to_weigh: Option<WeighNextFacts>,
    band: Option<Band>,
    cautions: &'static str,
}

/// One draw again, alone
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct DrawResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "doubt"))]
    command: &'static str,
    plan: PlanSource,
    /// Its number
    draw: u64,
    seed: u64,
    inputs: Vec<DrawnFigure>,
    /// Null where the figures make no dive
    answers: Option<DrawAnswers>,
    /// Why they make none
    failed: Option<String>,
    cautions: &'static str,
}

/// What is told of a plan in which nothing has a doubt
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CertainResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "doubt"))]
    command: &'static str,
    plan: PlanSource,
    #[schemars(extend("const" = 0))]
    uncertain_figures: u64,
    cautions: &'static str,
}

/// What the draws are made from
#[derive(Serialize, JsonSchema)]
#[serde(tag = "how", rename_all = "kebab-case")]
#[schemars(deny_unknown_fields)]
pub(super) enum MadeFrom {
    /// Each draw is a run of the dive
    Trials {
        /// Why no curves could stand in for them; null where that was not asked for
        not_certified: Option<String>,
    },
    /// Curves through some runs answer for the draws, after other runs have shown that they do
    Certified {
        runs: u64,
        /// Runs that the curves were held against
        held_against: u64,
        off_kg: f64,
        /// With every figure at a far end
        off_at_far_ends_kg: f64,
        /// A chance below it is not told
        least_probability_frac: f64,
    },
}

/// Why no more draws were made
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum StopCode {
    Tolerance,
    Fixed,
    MostDraws,
    Cancelled,
}

/// How well the ends of the intervals must be known: a mass, or digits of the standard uncertainty
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(deny_unknown_fields)]
enum DrawTolerance {
    Mass { tolerance_kg: f64 },
    Digits { digits: u32 },
}

/// Draws that gave no result for one reason
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FailedDraws {
    reason: String,
    first_draw: u64,
    count: usize,
}

/// A figure that was drawn
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct DrawnFigure {
    key: String,
    label: String,
    value: f64,
    /// SI
    unit: String,
}

/// The answers of one draw, to the last bit, so that two runs can be held against each other
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct DrawAnswers {
    least_lead_kg: f64,
    most_lead_kg: f64,
    lead_range_kg: f64,
    heavy_point_kg: f64,
    light_point_kg: f64,
    swim_up_load_kg: f64,
    hold_planned_kg: f64,
    hold_at_reserve_kg: f64,
    cannot_swim_up: bool,
    cannot_hold_last_stop: bool,
    no_lead_is_right: bool,
    out_of_gas: bool,
    /// Whether the plan's own lead meets both ends
    own_lead_fits: bool,
}

/// What many draws say together
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct OutlookFacts {
    answers: AnswerSummaries,
    risks: RiskChances,
    /// Null where in no draw any lead is right
    best_lead: Option<BestLead>,
    /// The plan's own lead meets both ends
    own_lead: ChanceFacts,
}

/// Each answer summed up; null without any draw that gave a result
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct AnswerSummaries {
    least_lead: Option<AnswerSummary>,
    most_lead: Option<AnswerSummary>,
    lead_range: Option<AnswerSummary>,
    heavy_point: Option<AnswerSummary>,
    light_point: Option<AnswerSummary>,
    swim_up_load: Option<AnswerSummary>,
    hold_planned: Option<AnswerSummary>,
    hold_at_reserve: Option<AnswerSummary>,
}

/// An answer with its coverage intervals: the symmetric one, and the shortest
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct AnswerSummary {
    low_kg: f64,
    high_kg: f64,
    shortest_low_kg: f64,
    shortest_high_kg: f64,
    median_kg: f64,
    mean_kg: f64,
    standard_uncertainty_kg: f64,
    /// What the number of draws leaves open; null where it is not known
    numerical_kg: Option<f64>,
}

/// How often things go wrong
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct RiskChances {
    /// Somewhere after a wing failure, nothing ditched
    cannot_swim_up: ChanceFacts,
    /// With cylinders at reserve and empty wing
    cannot_hold_last_stop: ChanceFacts,
    no_lead_is_right: ChanceFacts,
    out_of_gas: ChanceFacts,
}

/// How often something is so, with its 95 % confidence; where the draws tell no more than a limit there is no share
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ChanceFacts {
    frac: Option<f64>,
    low_frac: f64,
    high_frac: f64,
    /// Draws in which it is so
    draws: Option<usize>,
    of: usize,
}

/// The lead that meets both ends oftenest
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BestLead {
    lead_kg: f64,
    /// What is about as good, from
    from_kg: f64,
    /// and to
    to_kg: f64,
    chance: ChanceFacts,
}

/// The band around the curve of the net lift with the wing empty, a number for each time
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Band {
    draws: usize,
    time_s: Vec<f64>,
    low_kg: Vec<f64>,
    median_kg: Vec<f64>,
    high_kg: Vec<f64>,
}

/// The whole study; `next` is what to weigh next.
pub fn result(report: &DoubtReport<'_>, next: Option<&WeighNext>) -> Value {
    let (study, settings) = (report.study, report.settings);
    json!(DoubtResult {
        head: Head::new(),
        command: "doubt",
        plan: PlanSource::of(report.source),
        seed: settings.seed,
        made: MadeFrom::of(&study.made),
        draws: study.draws,
        stopped: match study.stopped {
            Stopped::Tolerance => StopCode::Tolerance,
            Stopped::Fixed => StopCode::Fixed,
            Stopped::MaxDraws => StopCode::MostDraws,
            Stopped::Cancelled => StopCode::Cancelled,
        },
        tolerance: match settings.tolerance {
            Tolerance::Kg(kg) => DrawTolerance::Mass { tolerance_kg: micro(kg) },
            Tolerance::Digits(digits) => DrawTolerance::Digits { digits },
        },
        coverage_frac: settings.coverage_frac,
        failures: study.failures.iter().map(failed_draws).collect(),
        as_written: draw_answers(&study.central),
        outlook: OutlookFacts::of(&study.outlook),
        what_to_weigh: next.map(|next| WeighNextFacts::of(report.inputs, next)),
        band: study.band.as_ref().map(band),
        cautions: CAUTIONS,
    })
}

/// One draw: its figures, and its answers or why there are none.
pub fn draw(
    source: &Source,
    settings: &Settings,
    number: u64,
    inputs: &[Input],
    values: &[f64],
    row: &Result<Row, String>,
) -> Value {
    let figure = |(input, value): (&Input, &f64)| DrawnFigure {
        key: input.path.to_string(),
        label: input.label.clone(),
        value: input.quantity.si().number(*value),
        unit: input.quantity.si().symbol.to_owned(),
    };
    json!(DrawResult {
        head: Head::new(),
        command: "doubt",
        plan: PlanSource::of(source),
        draw: number,
        seed: settings.seed,
        inputs: uncertain(inputs).zip(values).map(figure).collect(),
        answers: row.as_ref().ok().map(draw_answers),
        failed: row.as_ref().err().cloned(),
        cautions: CAUTIONS,
    })
}

/// Of a plan in which nothing has a doubt.
pub fn certain(source: &Source) -> Value {
    json!(CertainResult {
        head: Head::new(),
        command: "doubt",
        plan: PlanSource::of(source),
        uncertain_figures: 0,
        cautions: CAUTIONS,
    })
}

impl MadeFrom {
    pub(super) fn of(made: &Made) -> Self {
        match made {
            Made::Trials { refused } => {
                let not_certified = refused.as_ref().map(|why| refusal_text(UnitSystem::Metric, why));
                Self::Trials { not_certified }
            }
            Made::StandIn(stand_in) => {
                let Certificate { runs, inside_kg, outer_kg } = stand_in.certificate();
                Self::Certified {
                    runs: *runs,
                    held_against: CERTIFYING,
                    off_kg: micro(*inside_kg),
                    off_at_far_ends_kg: micro(*outer_kg),
                    least_probability_frac: FLOOR_FRAC,
                }
            }
        }
    }
}

impl OutlookFacts {
    pub(super) fn of(outlook: &Outlook) -> Self {
        let answer = |answer| outlook.summary(answer).map(answer_summary);
        Self {
            answers: AnswerSummaries {
                least_lead: answer(Answer::Least),
                most_lead: answer(Answer::Most),
                lead_range: answer(Answer::Range),
                heavy_point: answer(Answer::Heavy),
                light_point: answer(Answer::Light),
                swim_up_load: answer(Answer::Load),
                hold_planned: answer(Answer::HoldPlanned),
                hold_at_reserve: answer(Answer::HoldAtReserve),
            },
            risks: RiskChances {
                cannot_swim_up: chance(outlook.chance(Risk::CannotSwimUp)),
                cannot_hold_last_stop: chance(outlook.chance(Risk::CannotHold)),
                no_lead_is_right: chance(outlook.chance(Risk::RangeEmpty)),
                out_of_gas: chance(outlook.chance(Risk::OutOfGas)),
            },
            best_lead: outlook.lead.best().map(|best| BestLead {
                lead_kg: micro(best.lead_kg),
                from_kg: micro(best.from_kg),
                to_kg: micro(best.to_kg),
                chance: chance(&best.chance),
            }),
            own_lead: chance(&outlook.own_lead),
        }
    }
}

fn failed_draws(failure: &Failure) -> FailedDraws {
    FailedDraws { reason: failure.reason.clone(), first_draw: failure.first_draw, count: failure.count }
}

fn draw_answers(row: &Row) -> DrawAnswers {
    DrawAnswers {
        least_lead_kg: Answer::Least.of(row),
        most_lead_kg: Answer::Most.of(row),
        lead_range_kg: Answer::Range.of(row),
        heavy_point_kg: Answer::Heavy.of(row),
        light_point_kg: Answer::Light.of(row),
        swim_up_load_kg: Answer::Load.of(row),
        hold_planned_kg: Answer::HoldPlanned.of(row),
        hold_at_reserve_kg: Answer::HoldAtReserve.of(row),
        cannot_swim_up: row.has(Risk::CannotSwimUp),
        cannot_hold_last_stop: row.has(Risk::CannotHold),
        no_lead_is_right: row.has(Risk::RangeEmpty),
        out_of_gas: row.has(Risk::OutOfGas),
        own_lead_fits: row.own_lead_fits(),
    }
}

fn answer_summary(summary: &Summary) -> AnswerSummary {
    AnswerSummary {
        low_kg: micro(summary.symmetric.low),
        high_kg: micro(summary.symmetric.high),
        shortest_low_kg: micro(summary.shortest.low),
        shortest_high_kg: micro(summary.shortest.high),
        median_kg: micro(summary.median),
        mean_kg: micro(summary.mean),
        standard_uncertainty_kg: micro(summary.std_uncertainty),
        numerical_kg: summary.numerical.map(|numerical| micro(2.0 * numerical.largest())),
    }
}

fn chance(chance: &Chance) -> ChanceFacts {
    let is_told = !chance.is_below_floor() && !chance.is_above_ceiling();
    ChanceFacts {
        frac: is_told.then(|| chance.frac()),
        low_frac: chance.confidence.low,
        high_frac: chance.confidence.high,
        draws: is_told.then_some(chance.hits),
        of: chance.of,
    }
}

fn band(band: &CurveBand) -> Band {
    let rounded = |values: &[f64]| values.iter().copied().map(micro).collect();
    Band {
        draws: band.draws,
        time_s: rounded(&band.times_s),
        low_kg: band.interval_kg.iter().map(|one| micro(one.low)).collect(),
        median_kg: rounded(&band.median_kg),
        high_kg: band.interval_kg.iter().map(|one| micro(one.high)).collect(),
    }
}
