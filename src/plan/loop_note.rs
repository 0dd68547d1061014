//! What a reader should know about a closed circuit that is valid.

use crate::plan::note::MOST_OXYGEN_PA;
use crate::rig::MOST_OXYGEN_FRAC;
use crate::units::{BAR_PA, Quantity, UnitSystem};

/// Least oxygen partial pressure of a gas that fills a loop or is breathed from a bail-out, Pa: common practice, from memory.
pub(crate) const LEAST_LOOP_OXYGEN_PA: f64 = 0.18e5;

/// A remark about a closed circuit.
#[derive(Clone, Debug, PartialEq)]
pub enum LoopNote {
    /// No leg breathes the loop.
    NeverBreathed,
    /// A setpoint that the pressure around does not reach.
    AboveAmbient {
        /// The setpoint, Pa.
        setpoint_pa: f64,
        /// Depth from which on it can be held, m.
        from_m: f64,
    },
    /// A setpoint above that of common practice, Pa.
    HighSetpoint(f64),
    /// A diluent with too little oxygen near the surface.
    ThinDiluent {
        /// Name of the cylinder.
        name: String,
        /// Depth above which it has too little, m.
        above_m: f64,
    },
    /// A diluent that alone brings more oxygen than the setpoint asks for.
    RichDiluent {
        /// Name of the cylinder.
        name: String,
        /// The setpoint that is in force there, Pa.
        setpoint_pa: f64,
        /// Depth below which it is so, m.
        below_m: f64,
    },
    /// Oxygen partial pressure of a gas at the end of the depths where it may be needed.
    Oxygen {
        /// Name of the cylinder.
        name: String,
        /// Whether it is a bail-out, else the diluent.
        is_bail_out: bool,
        /// Partial pressure, Pa.
        oxygen_pa: f64,
        /// Depth, m.
        depth_m: f64,
    },
    /// A bail-out cylinder that is not carried while the loop is breathed.
    BailOutAway {
        /// Name of the cylinder.
        name: String,
        /// Since when, s.
        time_s: f64,
    },
    /// No bail-out is named.
    NoBailOut,
}

impl LoopNote {
    /// Whether it concerns who dives, and not only who writes the plan.
    pub fn is_for_the_diver(&self) -> bool {
        !matches!(self, Self::AboveAmbient { .. })
    }

    /// In words, for a reader of these units.
    pub fn text(&self, units: UnitSystem) -> String {
        let depth = |depth_m: f64, decimals: usize| {
            let shown = Quantity::Length.shown(units);
            format!("{:.decimals$} {}", shown.number(depth_m), shown.symbol)
        };
        match self {
            Self::NeverBreathed => {
                "the plan has a closed circuit, but no leg breathes it: write breathe = \"loop\"".into()
            }
            Self::AboveAmbient { setpoint_pa, from_m } => format!(
                "a setpoint of {:.2} bar can be held from {} down: above that the loop has {:.0} % of oxygen at the most",
                setpoint_pa / BAR_PA,
                depth(*from_m, 1),
                100.0 * MOST_OXYGEN_FRAC
            ),
            Self::HighSetpoint(setpoint_pa) => format!(
                "a setpoint of {:.2} bar is above the {:.1} bar of common practice",
                setpoint_pa / BAR_PA,
                MOST_OXYGEN_PA / BAR_PA
            ),
            Self::ThinDiluent { name, above_m } => format!(
                "{name} fills the loop, but has less than {:.2} bar of oxygen above {}: there oxygen alone keeps the loop up",
                LEAST_LOOP_OXYGEN_PA / BAR_PA,
                depth(*above_m, 1)
            ),
            Self::RichDiluent { name, setpoint_pa, below_m } => format!(
                "{name} fills the loop, and below {} brings more oxygen than the setpoint of {:.2} bar: the loop cannot be \
                 held at it there",
                depth(*below_m, 0),
                setpoint_pa / BAR_PA
            ),
            Self::Oxygen { name, is_bail_out, oxygen_pa, depth_m } => {
                let at = depth(*depth_m, 0);
                let what = match is_bail_out {
                    true => format!("{name} would be breathed at {at} in a bail-out,"),
                    false => format!("{name} fills the loop down to {at},"),
                };
                let limit = match *oxygen_pa > MOST_OXYGEN_PA {
                    true => format!("above the {:.1} bar of common practice", MOST_OXYGEN_PA / BAR_PA),
                    false => format!("below {:.2} bar", LEAST_LOOP_OXYGEN_PA / BAR_PA),
                };
                format!("{what} with an oxygen partial pressure of {:.2} bar, {limit}", oxygen_pa / BAR_PA)
            }
            Self::BailOutAway { name, time_s } => {
                let shown = Quantity::Duration.shown(units);
                format!(
                    "{name} is a bail-out cylinder, but is not carried at {:.0} {}, while the loop is breathed",
                    shown.number(*time_s),
                    shown.symbol
                )
            }
            Self::NoBailOut => {
                "no bail-out is named: bail_out_on in [loop] says which cylinders are breathed when the loop fails"
                    .into()
            }
        }
    }
}
