//! Values with their doubt: what a plan knows about a figure, and how a study may draw it.
//!
//! The words follow the GUM (JCGM 100:2008, sections 4.3.7 to 4.3.9): a value known only between limits is rectangular,
//! one more likely in the middle triangular, one with a stated coverage normal.
//!
//! [`doubt`] doubts as distributions · [`combine`] repeated weighings of one piece · [`ties`] figures that were seen
//! together · [`cholesky`] covariances and least squares.

pub mod cholesky;
pub mod combine;
pub mod doubt;
mod key_path;
pub mod placed;
pub mod ties;

pub use key_path::{KeyPath, NoKeyPath, Segment};
pub use placed::PlaceTies;
pub use ties::{Figures, Ties};

use crate::units::Quantity;

/// A value with its doubt, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Central value, SI.
    pub value: f64,
    /// Doubt, if there is any.
    pub doubt: Option<Doubt>,
}

impl Estimate {
    /// A value without doubt.
    pub const fn exact(value: f64) -> Self {
        Self { value, doubt: None }
    }

    /// A value known only within `half_width` of itself: rectangular (GUM 4.3.7).
    pub const fn within(value: f64, half_width: f64) -> Self {
        Self { value, doubt: Some(Doubt { half_width, shape: Shape::Rectangular }) }
    }

    /// A value with a normal doubt: 95 % of it within `half_width` (GUM 4.3.4 to 4.3.6).
    pub const fn normal(value: f64, half_width: f64) -> Self {
        Self { value, doubt: Some(Doubt { half_width, shape: Shape::Normal { coverage_frac: 0.95 } }) }
    }

    /// A value with a triangular doubt (GUM 4.3.9).
    pub const fn triangular(value: f64, half_width: f64) -> Self {
        Self { value, doubt: Some(Doubt { half_width, shape: Shape::Triangular }) }
    }
}

/// Doubt of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Half-width, SI, above zero: the limits of a rectangle or triangle, the coverage interval of a normal.
    pub half_width: f64,
    /// Distribution.
    pub shape: Shape,
}

/// Distribution of a doubt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Every value within the half-width alike.
    Rectangular,
    /// Falling evenly from the middle to nothing at the half-width.
    Triangular,
    /// Normal; the share `coverage_frac` lies within the half-width.
    Normal {
        /// Coverage, above 0 and below 1.
        coverage_frac: f64,
    },
}

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Origin {
    /// Written in the plan without doubt.
    Written,
    /// Written in the plan with its doubt.
    Estimated,
    /// Measured, from the gear list.
    Measured,
    /// Measured so many times, from the gear list, and combined.
    Repeated(usize),
    /// Estimated, from the gear list.
    Listed,
    /// A typical figure: a default, a generic cylinder shape, a material.
    Typical,
}

impl Origin {
    /// One word for tables.
    pub fn word(self) -> &'static str {
        match self {
            Origin::Written => "written",
            Origin::Estimated => "estimated",
            Origin::Measured | Origin::Repeated(_) => "measured",
            Origin::Listed => "listed",
            Origin::Typical => "typical",
        }
    }

    /// The same with the number of readings, where there were several.
    pub fn text(self) -> String {
        match self {
            Origin::Repeated(readings) => format!("{} ({readings} readings)", self.word()),
            _ => self.word().to_owned(),
        }
    }
}

/// One figure that a dive was built from, in the order in which building asked for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Key path in the plan, or file, line and column of the gear list.
    pub path: KeyPath,
    /// Name for tables: the piece and the quantity.
    pub label: String,
    /// What it measures.
    pub quantity: Quantity,
    /// Central value and doubt, SI.
    pub estimate: Estimate,
    /// Where it comes from.
    pub origin: Origin,
    /// Inputs of one group share one error: readings of one scale, breathing rates of one diver. Their doubts move
    /// together, each by its own half-width.
    pub group: Option<String>,
    /// Provenance, for typical and listed figures.
    pub note: Option<String>,
}
