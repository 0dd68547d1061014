//! The figures: pure functions from facts to a [`Picture`], which can be had as SVG or as PNG. Nothing here touches a
//! path.
//!
//! Every figure states its message in its title, names its curves in place, and says by dash, shape or hatching what it
//! says by colour. Order of reading: [`Figure`] and [`draw`], then one file per figure; below them `title`,
//! `panel` (axes), `place` (labels that do not collide), `hatch`, `scene` (what is drawn), and its way out: `pen`, which
//! alone knows the drawing library, `svg` and `png`.
//!
//! The text of an SVG stays text. It is measured with the typeface of the PNG, and that comes along in the SVG, cut down
//! to the letters that are used (`subset`).

mod balance;
mod band;
mod boyle;
mod circuit;
mod compare;
mod cylinders;
mod dive;
mod dots;
mod doubt_over_time;
mod ends;
mod font;
mod gas;
mod hatch;
mod lever;
mod lift;
mod mishaps;
mod overhead;
mod panel;
mod pen;
mod picture;
mod place;
mod png;
mod scene;
mod shape;
mod style;
mod subset;
mod svg;
mod sweep;
mod timeline;
mod title;
mod trim_torque;
mod used;
mod weigh;

use thiserror::Error;

use crate::answer::{BandAtLead, TrimFacts};
use crate::findings::{Findings, MishapFound};
use crate::report::Rows;
use crate::report::measure::UnitSystem;
use crate::scenario::Scenario;
use crate::sim::Event;

pub use compare::{Compared, compare};
pub use dive::{DiveLook, dive};
pub use dots::{LeadDots, lead_dots};
pub use doubt_over_time::{DoubtOverTime, doubt_over_time};
pub use lever::{LeverSize, lever, lever_sized};
pub use picture::Picture;
pub use sweep::{Series, Sweep, sweep};
pub use trim_torque::trim_torque;
pub use weigh::{ToWeigh, WeighFigure, to_weigh};

/// Width of a PNG beside an SVG, px: twice the SVG's own.
pub const PNG_WIDTH_PX: u32 = 1600;

/// A figure of one dive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Figure {
    /// Depth, and the net lift with the wing empty against the swim-up limit.
    Dive,
    /// Each cylinder's own lift.
    Cylinders,
    /// Gas in the wing against its capacity, and what pressure alone would do.
    Gas,
    /// From the heavy to the light point: what changes on the way.
    Balance,
    /// The control band at each stop against the lead.
    Band,
    /// What mishaps leave over time.
    Mishaps,
    /// Oxygen in the breathing loop against its setpoint, and what the loop used.
    Loop,
}

impl Figure {
    /// All figures.
    pub const ALL: [Figure; 7] =
        [Figure::Dive, Figure::Cylinders, Figure::Gas, Figure::Balance, Figure::Band, Figure::Mishaps, Figure::Loop];

    /// Name for options and files.
    pub fn name(self) -> &'static str {
        match self {
            Figure::Dive => "dive",
            Figure::Cylinders => "cylinders",
            Figure::Gas => "gas",
            Figure::Balance => "balance",
            Figure::Band => "band",
            Figure::Mishaps => "mishaps",
            Figure::Loop => "loop",
        }
    }

    /// The figure of a name.
    pub fn of_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|figure| figure.name() == name)
    }
}

/// What a figure of one dive is made from.
#[derive(Clone, Copy, Debug)]
pub struct Facts<'a> {
    /// Title of the plan.
    pub title: &'a str,
    /// A short remark that stands beside it, such as `invented`.
    pub note: Option<&'a str>,
    /// The dive.
    pub scenario: &'a Scenario,
    /// Rows of its run.
    pub rows: &'a Rows,
    /// What happened in it.
    pub events: &'a [Event],
    /// What was found.
    pub findings: &'a Findings,
    /// Lead that is carried for nothing, kg; zero where there is none.
    pub needless_kg: f64,
    /// The same dive with other amounts of lead, for [`Figure::Band`] alone.
    pub leads: &'a [BandAtLead],
    /// What goes wrong, the worst first, for [`Figure::Mishaps`] alone.
    pub mishaps: &'a [MishapFound],
    /// Units of the reader.
    pub units: UnitSystem,
}

/// What the figures of a dive's trim are made from.
#[derive(Clone, Copy, Debug)]
pub struct TrimLook<'a> {
    /// Title of the plan.
    pub title: &'a str,
    /// A short remark that stands beside it.
    pub note: Option<&'a str>,
    /// The trim.
    pub facts: &'a TrimFacts,
    /// Units of the reader.
    pub units: UnitSystem,
}

/// Why a figure could not be drawn.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ChartError {
    /// The drawing library reports a fault.
    #[error("the figure could not be drawn: {message}")]
    Drawing {
        /// What it says.
        message: String,
    },
    /// Pixels that do not fit into memory, or into a file.
    #[error("the figure could not be turned into a PNG: {message}")]
    Raster {
        /// What went wrong.
        message: String,
    },
    /// A width without pixels, or more pixels than memory should hold.
    #[error("a PNG {width_px} px wide is outside 1 to {} px", png::MAX_WIDTH_PX)]
    Width {
        /// Asked for, px.
        width_px: u32,
    },
    /// A figure that needs data which were not given.
    #[error("figure {figure} has nothing to show: {missing}")]
    Nothing {
        /// Name of the figure.
        figure: &'static str,
        /// What it needs.
        missing: &'static str,
    },
}

/// Draws a figure of one dive.
///
/// # Errors
/// A figure that has nothing to show.
pub fn draw(figure: Figure, facts: &Facts<'_>) -> Result<Picture, ChartError> {
    match figure {
        Figure::Dive => dive::draw(facts),
        Figure::Cylinders => cylinders::draw(facts),
        Figure::Gas => gas::draw(facts),
        Figure::Balance => balance::draw(facts),
        Figure::Band => band::draw(facts),
        Figure::Mishaps => mishaps::draw(facts),
        Figure::Loop => circuit::draw(facts),
    }
}

/// The typeface of the figures as rules of a style sheet, with every letter of a text, for a page.
pub fn typeface(text: &str) -> String {
    let letters = text.chars().filter(|letter| !letter.is_control()).collect();
    font::rules(&letters, &letters)
}

/// A figure as files.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// Which.
    pub figure: Figure,
    /// As SVG.
    pub svg: String,
    /// As PNG, [`PNG_WIDTH_PX`] wide, where it was asked for.
    pub png: Option<Vec<u8>>,
}

/// Draws several figures, each on a thread of its own; they come in the order asked for, each with its own fault.
pub fn draw_all(figures: &[Figure], facts: &Facts<'_>, with_png: bool) -> Vec<Result<Drawn, ChartError>> {
    let one = |figure: Figure| {
        let picture = draw(figure, facts)?;
        let png = if with_png { Some(picture.png(PNG_WIDTH_PX)?) } else { None };
        Ok(Drawn { figure, svg: picture.svg()?, png })
    };
    std::thread::scope(|scope| {
        let running: Vec<_> = figures.iter().map(|&figure| scope.spawn(move || one(figure))).collect();
        running
            .into_iter()
            .map(|thread| thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            .collect()
    })
}
