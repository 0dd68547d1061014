//! The sum on paper beside the program's, as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::answer::{Paper, PaperColumn, PaperLine, Reason, Why};
use crate::report::json::{gauge, micro};
use crate::rig::LOOP;
use crate::sim::Owner;

/// The sum as an instructor writes it on paper beside the program's, and the reason for every difference
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct PaperSums {
    /// Cylinders full, beside the heaviest moment of a failed wing: the most lead
    start: Column,
    /// Cylinders empty, beside the lightest moment that must hold: the least lead
    end: Column,
}

/// One column, without its lead: what the reasons of its lines and `lead_pull_kg` come to is `lead_kg` less
/// `paper_lead_kg`
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Column {
    /// The moment of the dive that stands beside it
    time_s: f64,
    /// Depth at which its lift counts
    taken_at_m: f64,
    water_kg_m3: f64,
    /// What can be swum up; 0 at the end
    capacity_kg: f64,
    /// Below zero where the diver is too heavy without any
    paper_lead_kg: f64,
    lead_kg: f64,
    /// What of the lead the water carries
    lead_pull_kg: f64,
    lines: Vec<Entry>,
}

/// A thing on the diver; positive floats
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Entry {
    label: String,
    kind: Kind,
    paper_kg: f64,
    lift_kg: f64,
    /// `gas`: what the gauge shows on paper; null where paper does not count the cylinder, and for all else
    paper_gauge_pa: Option<f64>,
    /// `gas`: what it shows at the moment of the dive; null where the diver does not have the cylinder then
    gauge_pa: Option<f64>,
    /// What these come to is `lift_kg` less `paper_kg`
    reasons: Vec<Because>,
}

/// What a line is
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Part,
    /// Without its gas
    Cylinder,
    Gas,
    SuitGas,
    /// Gas of a breathing loop, and what the body took out of it and gave.
    Loop,
}

/// A reason why the two differ
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Because {
    why: Code,
    lift_kg: f64,
}

/// Why the two differ
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Code {
    /// Gas that stays in a cylinder at its reserve
    Reserve,
    /// Gas that stays in a cylinder that is not breathed down
    NotBreathed,
    /// Gas used before the heaviest moment
    BreathedByThen,
    /// Not litres × bar
    RealGas,
    /// A gauge in a room, and one in the water
    Temperature,
    /// The body in another water than that of its reading
    BodyInWater,
    /// Another thing in another water than that of its reading
    Water,
    /// Foam and suit gas at depth
    Squeezed,
    SuitGasWeight,
    /// A removable cylinder that counts as gone
    MayBeGone,
    LeftBehind,
    PickedUp,
    /// A figure that was corrected after it was written down
    Corrected,
    /// Less than its mass
    LeadPull,
}

impl From<Why> for Code {
    fn from(why: Why) -> Self {
        match why {
            Why::Reserve => Self::Reserve,
            Why::NotUsed => Self::NotBreathed,
            Why::Breathed => Self::BreathedByThen,
            Why::RealGas => Self::RealGas,
            Why::Temperature => Self::Temperature,
            Why::BodyInWater => Self::BodyInWater,
            Why::Water => Self::Water,
            Why::Squeezed => Self::Squeezed,
            Why::GasWeight => Self::SuitGasWeight,
            Why::MayBeGone => Self::MayBeGone,
            Why::LeftBehind => Self::LeftBehind,
            Why::PickedUp => Self::PickedUp,
            Why::Corrected => Self::Corrected,
            Why::LeadPull => Self::LeadPull,
        }
    }
}

/// Both columns.
pub(super) fn sums(paper: &Paper) -> PaperSums {
    PaperSums { start: column(&paper.start), end: column(&paper.end) }
}

fn column(column: &PaperColumn) -> Column {
    Column {
        time_s: micro(column.time_s),
        taken_at_m: micro(column.at_m),
        water_kg_m3: micro(column.water_kg_m3),
        capacity_kg: micro(column.capacity_kg),
        paper_lead_kg: micro(column.paper_lead_kg),
        lead_kg: micro(column.tool_lead_kg),
        lead_pull_kg: micro(column.lead_pull_kg),
        lines: column.lines.iter().map(entry).collect(),
    }
}

fn entry(line: &PaperLine) -> Entry {
    let because = |reason: &Reason| Because { why: reason.why.into(), lift_kg: micro(reason.lift_kg) };
    Entry {
        label: line.label.clone(),
        kind: match line.owner {
            Owner::Part(_) | Owner::Hung { .. } => Kind::Part,
            Owner::Cylinder(_) => Kind::Cylinder,
            Owner::Gas(_) => Kind::Gas,
            Owner::Bag(LOOP) | Owner::Absorbed | Owner::Metabolised => Kind::Loop,
            Owner::Bag(_) => Kind::SuitGas,
        },
        paper_kg: micro(line.paper_kg),
        lift_kg: micro(line.tool_kg),
        paper_gauge_pa: line.paper_pa.map(gauge),
        gauge_pa: line.tool_pa.map(gauge),
        reasons: line.reasons.iter().map(because).collect(),
    }
}
