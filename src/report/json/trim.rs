//! Where the diver hangs, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::{LeadWhere, PlaceShare, TrimDoubt, TrimFacts};
use crate::findings::trim::{Gone, Hang, Pull, Trim, TrimAt};
use crate::physics::place::Point;
use crate::report::json::calibrate::Corrected;
use crate::report::json::{Head, PlanSource, micro, si};
use crate::report::{CAUTIONS, Source, trim as words};
use crate::scenario::Scenario;
use crate::study::lead_places::Method;

/// Where the diver hangs, and where to put the lead
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct TrimResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "trim"))]
    command: &'static str,
    plan: PlanSource,
    /// Checks that correct the answer
    #[serde(skip_serializing_if = "Option::is_none")]
    corrected: Option<Corrected>,
    trim: TrimLine,
    heavy_point: Hanging,
    light_point: Hanging,
    head_heaviest: Hanging,
    feet_heaviest: Hanging,
    /// Where the diver leans most to one side
    most_uneven: Hanging,
    /// Torque that fins and posture hold
    hold_n_m: f64,
    hold_half_width_n_m: f64,
    /// Whether the plan says it; otherwise it is a choice of the program's own
    hold_written: bool,
    /// What each thing does
    pulls: Vec<Pulls>,
    /// Cylinders that come and go
    gone: Vec<GoneAt>,
    /// The torque over the dive
    course: Vec<CoursePoint>,
    /// Distances by what their doubt does to the torque at the worst moment, the largest first
    measure: Vec<ToMeasure>,
    /// Share of the variance there that weights and volumes make together
    weights_share_frac: f64,
    /// Where the lead goes; null where there is none
    lead: Option<Lead>,
    cautions: &'static str,
}

/// The trim of a dive in short; positive lifts the head, so that the feet are the heavy end
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(in crate::report) struct TrimLine {
    /// Least torque of the diver held level
    least_torque_n_m: f64,
    most_torque_n_m: f64,
    /// Moment of the larger of the two
    worst_time_s: f64,
    /// Half-width for 95 % at that moment; null where it was not asked
    half_width_n_m: Option<f64>,
    /// Whether distances make part of that that nobody measured
    places_typical: Option<bool>,
}

/// The diver at a moment
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Hanging {
    time_s: f64,
    depth_m: f64,
    /// Held level; positive lifts the head
    torque_n_m: f64,
    /// Held level; positive lifts the left side
    roll_torque_n_m: f64,
    /// Pitch at rest from prone, head up positive; null where it is steeper than 30° or the diver turns onto the back
    pitch_deg: Option<f64>,
    rest: Rest,
}

/// How the diver hangs at rest
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Rest {
    /// Within 30° of level
    NearLevel,
    HeadUp,
    HeadDown,
    OnBack,
}

/// What a thing does about the lungs
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Pulls {
    name: String,
    #[serde(flatten)]
    at: Place,
    /// Null where it is not carried then
    heavy: Option<PullAt>,
    light: Option<PullAt>,
}

/// A place, from the middle of the shoulder line of a prone diver
#[derive(Serialize, JsonSchema)]
struct Place {
    /// Headward
    along_m: f64,
    left_m: f64,
    /// To the back
    up_m: f64,
}

/// What a thing does at a moment
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PullAt {
    lift_kg: f64,
    torque_n_m: f64,
    roll_torque_n_m: f64,
}

/// A cylinder that comes or goes
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct GoneAt {
    name: String,
    /// Whether it comes
    comes: bool,
    time_s: f64,
    torque_before_n_m: f64,
    torque_after_n_m: f64,
}

/// A moment of the dive
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct CoursePoint {
    time_s: f64,
    depth_m: f64,
    torque_n_m: f64,
    roll_torque_n_m: f64,
    /// Half-width for 95 % of the torque
    half_width_n_m: f64,
}

/// A distance whose doubt matters
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ToMeasure {
    key: String,
    label: String,
    value_m: f64,
    half_width_m: f64,
    share_frac: f64,
    half_width_n_m: f64,
}

/// Where the lead goes
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Lead {
    lead_kg: f64,
    /// Whether it is what `ballast` advises; otherwise the plan's own
    advised: bool,
    must_be_ditchable_kg: f64,
    /// The split with the least worst torque
    split: Vec<LeadAtPlace>,
    worst_torque_n_m: f64,
    worst_time_s: f64,
    method: HowFound,
    /// By how much a better split may be better at most
    off_by_n_m: f64,
    /// What one piece moved does
    moves: Vec<Moved>,
}

/// How a split was found
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum HowFound {
    /// Every way was tried
    Every,
    /// Branch and bound, with a proof
    Bounded,
    /// The best found before the search had enough
    BestFound,
}

/// Lead at a place
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LeadAtPlace {
    place: String,
    lead_kg: f64,
    pieces_kg: Vec<f64>,
    ditchable: bool,
    /// Worst torque with all of the lead here
    all_here_torque_n_m: f64,
    #[serde(flatten)]
    at: Place,
}

/// A piece moved
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Moved {
    piece_kg: f64,
    from: String,
    to: String,
    worst_torque_n_m: f64,
    change_n_m: f64,
    /// Whether the place holds it and enough stays ditchable
    allowed: bool,
}

/// The result.
pub fn result(source: &Source, facts: &TrimFacts) -> Value {
    let (trim, doubt, ask) = (&facts.trim, &facts.doubt, &facts.built.trim);
    let scenario = &facts.built.scenario;
    json!(TrimResult {
        head: Head::new(),
        command: "trim",
        plan: PlanSource::of(source),
        corrected: facts.checked.as_ref().map(Corrected::of),
        trim: line(trim, Some(doubt)),
        heavy_point: hanging(trim.heavy),
        light_point: hanging(trim.light),
        head_heaviest: hanging(trim.head_heaviest),
        feet_heaviest: hanging(trim.feet_heaviest),
        most_uneven: hanging(trim.most_uneven),
        hold_n_m: micro(ask.hold_nm),
        hold_half_width_n_m: micro(ask.hold_half_width_nm),
        hold_written: ask.is_hold_written,
        pulls: pulls(scenario, trim),
        gone: trim.gone.iter().map(|one| gone(scenario, one)).collect(),
        course: trim.course.iter().zip(&doubt.course_half_width_nm).map(point).collect(),
        measure: doubt.places.iter().map(measure).collect(),
        weights_share_frac: micro(doubt.figures_share_frac),
        lead: facts.lead.as_ref().map(lead),
        cautions: CAUTIONS,
    })
}

/// The trim of a dive in short.
pub(in crate::report) fn line(trim: &Trim, doubt: Option<&TrimDoubt>) -> TrimLine {
    use crate::estimate::Origin;
    TrimLine {
        least_torque_n_m: micro(trim.head_heaviest.torque_nm()),
        most_torque_n_m: micro(trim.feet_heaviest.torque_nm()),
        worst_time_s: micro(trim.worst().time_s),
        half_width_n_m: doubt.map(|doubt| micro(doubt.half_width_nm)),
        places_typical: doubt.map(|doubt| doubt.places.iter().any(|of| of.input.origin == Origin::Typical)),
    }
}

fn hanging(at: TrimAt) -> Hanging {
    let (pitch_deg, rest) = match at.hang() {
        Hang::At(pitch_rad) => (Some(micro(pitch_rad.to_degrees())), Rest::NearLevel),
        Hang::HeadUp => (None, Rest::HeadUp),
        Hang::HeadDown => (None, Rest::HeadDown),
        Hang::OnBack => (None, Rest::OnBack),
    };
    Hanging {
        time_s: micro(at.time_s),
        depth_m: micro(at.depth_m),
        torque_n_m: micro(at.torque_nm()),
        roll_torque_n_m: micro(at.roll_nm()),
        pitch_deg,
        rest,
    }
}

fn place(at: Point) -> Place {
    Place { along_m: micro(at.along_m), left_m: micro(at.left_m), up_m: micro(at.up_m) }
}

fn pulls(scenario: &Scenario, trim: &Trim) -> Vec<Pulls> {
    let at = |pull: &Pull| PullAt {
        lift_kg: micro(pull.lift_kg),
        torque_n_m: micro(pull.moment.pitch_torque_nm()),
        roll_torque_n_m: micro(pull.moment.roll_torque_nm()),
    };
    let both = words::rows(trim);
    let one = |row: words::Row<'_>| Pulls {
        name: words::name(scenario, row.owner),
        at: place(row.heavy.or(row.light).map_or(Point::ORIGIN, |pull| pull.at)),
        heavy: row.heavy.map(at),
        light: row.light.map(at),
    };
    both.into_iter().map(one).collect()
}

fn gone(scenario: &Scenario, gone: &Gone) -> GoneAt {
    GoneAt {
        name: scenario.rig().cylinders[gone.cylinder].name().to_owned(),
        comes: gone.comes,
        time_s: micro(gone.after.time_s),
        torque_before_n_m: micro(gone.before.torque_nm()),
        torque_after_n_m: micro(gone.after.torque_nm()),
    }
}

fn point((at, half_width_nm): (&TrimAt, &f64)) -> CoursePoint {
    CoursePoint {
        time_s: micro(at.time_s),
        depth_m: micro(at.depth_m),
        torque_n_m: micro(at.torque_nm()),
        roll_torque_n_m: micro(at.roll_nm()),
        half_width_n_m: micro(*half_width_nm),
    }
}

fn measure(share: &PlaceShare) -> ToMeasure {
    let input = &share.input;
    ToMeasure {
        key: input.path.to_string(),
        label: input.label.clone(),
        value_m: si(input.quantity, input.estimate.value),
        half_width_m: micro(input.estimate.doubt.map_or(0.0, |doubt| doubt.half_width)),
        share_frac: micro(share.share_frac),
        half_width_n_m: micro(share.half_width_nm),
    }
}

fn lead(lead: &LeadWhere) -> Lead {
    let (method, off_by_nm) = match lead.split.method {
        Method::Every => (HowFound::Every, 0.0),
        Method::Bounded { off_by_nm } => (HowFound::Bounded, off_by_nm),
        Method::BestFound { off_by_nm } => (HowFound::BestFound, off_by_nm),
    };
    let at = |k: usize| LeadAtPlace {
        place: lead.places[k].name.clone(),
        lead_kg: micro(lead.split.at_kg[k]),
        pieces_kg: lead.split.pieces_kg[k].iter().map(|kg| micro(*kg)).collect(),
        ditchable: lead.places[k].lets_go,
        all_here_torque_n_m: micro(lead.all_at_nm[k]),
        at: place(lead.places[k].at),
    };
    let moved = |of: &crate::study::lead_places::PieceMoved| Moved {
        piece_kg: micro(of.piece_kg),
        from: lead.places[of.from].name.clone(),
        to: lead.places[of.to].name.clone(),
        worst_torque_n_m: micro(of.worst_nm),
        change_n_m: micro(of.change_nm),
        allowed: of.allowed,
    };
    Lead {
        lead_kg: micro(lead.lead.lead_kg),
        advised: lead.is_advice,
        must_be_ditchable_kg: micro(lead.ditchable_kg),
        split: (0..lead.places.len()).map(at).collect(),
        worst_torque_n_m: micro(lead.split.worst_nm),
        worst_time_s: micro(lead.worst_s),
        method,
        off_by_n_m: micro(off_by_nm),
        moves: lead.moves.iter().map(moved).collect(),
    }
}
