//! What a reader should know about a plan that is valid.

use std::fmt;

use crate::plan::words::all_of;

/// A remark about a plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Parts known only by a reading, used as it is in every water.
    BareReadings(Vec<String>),
    /// Typical figures stand where the plan says nothing.
    Typical(Vec<String>),
    /// A cylinder that is neither carried at the start nor picked up.
    NeverCarried(String),
    /// Cylinders that can go, in a plan in which nothing hangs on any.
    NoRigging(Vec<String>),
    /// A fill above the pressure that the size is made for.
    Overfilled {
        /// Name of the cylinder.
        name: String,
        /// Fill, Pa.
        fill_pa: f64,
        /// Pressure that the size is made for, Pa.
        working_pa: f64,
    },
    /// A long record was made shorter.
    Simplified {
        /// Rows of the record.
        rows: usize,
        /// Rows that stay.
        kept: usize,
        /// Largest distance by which a depth moved, m.
        moved_m: f64,
    },
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::BareReadings(names) => {
                write!(f, "known only by a reading, so not following a change of water: {}", all_of(names))
            }
            Note::Typical(labels) => write!(f, "typical figures used: {}", labels.join("; ")),
            Note::NeverCarried(name) => write!(f, "{name} is neither carried at the start nor picked up"),
            Note::NoRigging(names) => write!(
                f,
                "nothing hangs on {}: regulators and rigging stay on the diver when a cylinder goes; write with = \
                 [\"regulator\"] at each, or rigging = {{ … }}",
                all_of(names)
            ),
            Note::Overfilled { name, fill_pa, working_pa } => {
                let bar = crate::units::BAR_PA;
                write!(f, "{name}: {:.0} bar is above the {:.0} bar of its size", fill_pa / bar, working_pa / bar)
            }
            Note::Simplified { rows, kept, moved_m } => write!(
                f,
                "{rows} rows of the profile became {kept}: no depth moved by more than {:.1} cm, no net lift by more \
                 than {} g",
                // rounded up
                (moved_m * 1e3).ceil() / 10.0,
                crate::profile::simplify::ERROR_KG * 1e3
            ),
        }
    }
}
