//! What a reader should know about a plan that is valid.

use std::fmt;

use crate::plan::loop_note::LoopNote;
use crate::plan::typical::dive::SITE_TEMPERATURE;
use crate::plan::words::all_of;
use crate::units::{BAR_PA, Quantity, UnitSystem};

/// A remark about a plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Parts known only by a reading, used as it is in every water.
    BareReadings(Vec<String>),
    /// Typical figures stand where the plan says nothing.
    Typical(Vec<String>),
    /// Figures that the plan marks as guesses.
    Guesses(Vec<String>),
    /// No site is written: a typical sea stands for it.
    NoSite,
    /// The diver's body is a typical one.
    TypicalBody {
        /// What it was worked out from.
        from: &'static str,
        /// Its lift in fresh water, kg.
        lift_kg: f64,
        /// Half-width of that for 95 %, kg.
        half_width_kg: f64,
    },
    /// These typical pieces stand for gear that is not listed.
    TypicalGear(Vec<&'static str>),
    /// A cylinder that is neither carried at the start nor picked up.
    NeverCarried(String),
    /// Cylinders that can go, in a plan in which nothing hangs on any.
    NoRigging(Vec<String>),
    /// Oxygen partial pressure outside the usual limits while a cylinder is breathed.
    Oxygen {
        /// Name of the cylinder.
        name: String,
        /// Partial pressure, Pa.
        oxygen_pa: f64,
        /// Depth, m.
        depth_m: f64,
    },
    /// Argon is breathed.
    ArgonBreathed(String),
    /// A reserve above the fill.
    ReserveAboveFill(String),
    /// A regulator that floats.
    FloatingRegulator {
        /// Name of the part.
        name: String,
        /// Lift in the water of the site, kg.
        lift_kg: f64,
    },
    /// A suit with more volume than suits have.
    LargeSuit {
        /// Volume of its material and its gas, m³.
        volume_m3: f64,
    },
    /// A body that floats by more than bodies do.
    FloatingBody {
        /// Lift in the water of the site, kg.
        lift_kg: f64,
    },
    /// A way that is faster than dives are.
    Fast {
        /// Speed of the fastest way, m/s.
        speed_m_s: f64,
        /// When it begins, s.
        start_s: f64,
    },
    /// A layer of denser water above a lighter one.
    DenseAbove {
        /// Depth of the interface, m.
        depth_m: f64,
    },
    /// A fill above the pressure that the size is made for.
    Overfilled {
        /// Name of the cylinder.
        name: String,
        /// Fill, Pa.
        fill_pa: f64,
        /// Pressure that the size is made for, Pa.
        working_pa: f64,
    },
    /// A part of the dive has no way straight up.
    Overhead,
    /// Of a closed circuit.
    Loop(LoopNote),
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

/// Largest oxygen partial pressure of common practice, Pa, for stops.
pub(crate) const MOST_OXYGEN_PA: f64 = 1.6e5;
/// Least oxygen partial pressure of common practice, Pa.
pub(crate) const LEAST_OXYGEN_PA: f64 = 0.16e5;

impl Note {
    /// Whether it concerns who dives, and not only who writes the plan.
    pub fn is_for_the_diver(&self) -> bool {
        if let Note::Loop(note) = self {
            return note.is_for_the_diver();
        }
        matches!(
            self,
            Note::Oxygen { .. }
                | Note::ArgonBreathed(_)
                | Note::ReserveAboveFill(_)
                | Note::Overfilled { .. }
                | Note::NeverCarried(_)
                | Note::Fast { .. }
                | Note::Overhead
        )
    }

    /// In few words: typical figures and guesses are many, and counted only; `check` lists them.
    pub fn brief(&self, units: UnitSystem) -> String {
        match self {
            Note::Typical(labels) => {
                let count = labels.len();
                format!("{count} typical figures stand where the plan gives none; lightpoint check lists them")
            }
            Note::Guesses(labels) => format!("{} figures are marked as guesses: measure them", labels.len()),
            other => other.text(units),
        }
    }

    /// In words, for a reader of these units.
    pub fn text(&self, units: UnitSystem) -> String {
        let number = |quantity: Quantity, si: f64, decimals: usize| {
            let shown = quantity.shown(units);
            format!("{:.decimals$} {}", shown.number(si), shown.symbol)
        };
        match self {
            Note::BareReadings(names) => {
                format!("known only by a reading, so not following a change of water: {}", all_of(names))
            }
            Note::Typical(labels) => format!("typical figures used: {}", labels.join("; ")),
            Note::Guesses(labels) => format!("marked as guesses: {}", labels.join("; ")),
            Note::NoSite => {
                let temperature = &SITE_TEMPERATURE.estimate;
                let width = temperature.doubt.map_or(0.0, |doubt| doubt.half_width);
                let shown = Quantity::Temperature.shown(units);
                format!(
                    "no site is written: the sea at sea level is taken, 35 ± 3 PSU, {:.0} ± {:.0} {}",
                    shown.number(temperature.value),
                    width / shown.factor,
                    shown.symbol
                )
            }
            Note::TypicalBody { from, lift_kg, half_width_kg } => {
                let shown = Quantity::Mass.shown(units);
                let (lift, width) = (shown.number(*lift_kg), shown.number(*half_width_kg));
                let narrower = match *from {
                    "sex, height, mass and age" => "",
                    _ => "; sex, height and age in [diver] narrow that",
                };
                format!(
                    "the body is typical for its {from}, {} ± {width:.1} {} in fresh water{narrower}",
                    signed(lift),
                    shown.symbol
                )
            }
            Note::TypicalGear(names) => {
                format!("gear that is not listed is typical: {}; gear = \"none\" takes none", all_of(names))
            }
            Note::NeverCarried(name) => format!("{name} is neither carried at the start nor picked up"),
            Note::NoRigging(names) => format!(
                "nothing hangs on {}: regulators and rigging stay on the diver when a cylinder goes; write with = \
                 [\"regulator\"] at each, or rigging = {{ … }}",
                all_of(names)
            ),
            Note::Overfilled { name, fill_pa, working_pa } => format!(
                "{name}: a fill of {} is above the {} of its size",
                number(Quantity::Pressure, *fill_pa, 0),
                number(Quantity::Pressure, *working_pa, 0)
            ),
            // the trade gives partial pressures in bar or in atmospheres, which are alike here, and never in psi
            Note::Oxygen { name, oxygen_pa, depth_m } => format!(
                "{name} is breathed at {} with an oxygen partial pressure of {:.2} bar, {}",
                number(Quantity::Length, *depth_m, 0),
                oxygen_pa / BAR_PA,
                if *oxygen_pa > MOST_OXYGEN_PA {
                    "above the 1.6 bar of common practice"
                } else {
                    "below the 0.16 bar of common practice"
                }
            ),
            Note::Loop(note) => note.text(units),
            Note::ArgonBreathed(name) => format!("{name} has argon in it and is breathed: argon is for suits"),
            Note::ReserveAboveFill(name) => format!("{name}: the reserve is above the fill"),
            Note::FloatingRegulator { name, lift_kg } => {
                format!(
                    "{name} floats with {}, but regulators sink: check the sign",
                    number(Quantity::Mass, *lift_kg, 1)
                )
            }
            Note::LargeSuit { volume_m3 } => format!(
                "the suit with its gas has {}, more than suits have: check the unit",
                number(Quantity::Volume, *volume_m3, 1)
            ),
            Note::FloatingBody { lift_kg } => format!(
                "the body alone floats with {}, more than bodies do: check mass and volume, or the reading",
                number(Quantity::Mass, *lift_kg, 1)
            ),
            Note::Fast { speed_m_s, start_s } => format!(
                "the way that begins at {} is {} fast: check depth and time",
                number(Quantity::Duration, *start_s, 1),
                number(Quantity::Speed, *speed_m_s, 0)
            ),
            Note::DenseAbove { depth_m } => format!(
                "the water above {} is denser than that below it, where fresh water floats on salt: check the layers",
                number(Quantity::Length, *depth_m, 0)
            ),
            Note::Overhead => "a part of this dive is under an overhead, which needs training of its own: there is no way \
                straight up, and a diver who cannot hover is held by the floor or the ceiling; the swim-up limit stands for \
                what the fins can hold there, and a way out is longer than a way up"
                .into(),
            Note::Simplified { rows, kept, moved_m } => format!(
                "{rows} rows of the profile became {kept}: no depth moved by more than {:.1} cm, no net lift by more \
                 than {} g",
                // rounded up
                (moved_m * 1e3).ceil() / 10.0,
                crate::profile::simplify::ERROR_KG * 1e3
            ),
        }
    }
}

/// One decimal with its sign, and a typographic minus.
fn signed(number: f64) -> String {
    let text = format!("{:+.1}", (number * 10.0).round() / 10.0).replace('-', "−");
    if ["+0.0", "−0.0"].contains(&text.as_str()) { "0.0".into() } else { text }
}

/// In words, metric.
impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(UnitSystem::Metric))
    }
}
