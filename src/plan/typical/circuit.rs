//! A closed circuit: what a plan leaves out of its loop.
//!
//! Half-widths for 95 %. From memory, or our own judgement, and wide: whoever knows the unit writes its figures.
//!
//! - Oxygen that a body uses: a diver at rest 0.3 L/min, finning against a load of 5 kg 1.2 to 1.6 (Koch et al. 2022, Eur. J.
//!   Appl. Physiol. 122, 2463, seen): 1.1 ± 0.5 on the way and at the bottom covers 0.6 to 1.6, 0.8 ± 0.4 at a stop (our own
//!   judgement).
//! - Respiratory quotient 0.85 ± 0.1: fat burns with 0.70, sugar with 1.00 (textbooks of physiology, from memory).
//! - Absorbent: soda lime takes up 120 ± 60 L/kg before the loop breaks through, from memory; one test at work and 2 L/min of
//!   carbon dioxide came to 183 (Pollock et al. 2018, Diving Hyperb. Med. 48, 96, seen), and calcium hydroxide alone could take
//!   302 (computed: a mole of gas for each mole of 74.1 g).
//! - Its grains: calcium hydroxide of 2.2 kg/L with a sixth of water is 1.85 without its pores, and 1.5 with them (computed from
//!   densities from memory); what of the pores is the loop's is open.

use super::Typical;
use crate::estimate::Estimate;
use crate::units::{BAR_PA, LITRE_M3, MINUTE_S, Quantity};

/// Gas of the loop.
pub const VOLUME: Typical = Typical {
    name: "gas of the loop",
    quantity: Quantity::Volume,
    estimate: Estimate::normal(6.0 * LITRE_M3, 1.5 * LITRE_M3),
    source: "typical, our own judgement: counterlungs half full, hoses and canister",
};

const fn oxygen_use(name: &'static str, litres_min: f64, half_width_litres_min: f64, source: &'static str) -> Typical {
    let of = LITRE_M3 / MINUTE_S;
    Typical {
        name,
        quantity: Quantity::FlowRate,
        estimate: Estimate::normal(litres_min * of, half_width_litres_min * of),
        source,
    }
}

const AT_WORK: &str =
    "typical, our own judgement: between an easy swim and work against 5 kg, at 0 °C and 1 atm (Koch 2022)";
const AT_REST: &str = "typical, our own judgement: at a stop, at 0 °C and 1 atm";

/// Oxygen that the body uses by the kind of leg.
pub const OXYGEN_USE: [(&str, Typical); 4] = [
    ("descent", oxygen_use("oxygen use, descent", 1.1, 0.5, AT_WORK)),
    ("bottom", oxygen_use("oxygen use, bottom", 1.1, 0.5, AT_WORK)),
    ("ascent", oxygen_use("oxygen use, ascent", 1.1, 0.5, AT_WORK)),
    ("stop", oxygen_use("oxygen use, stop", 0.8, 0.4, AT_REST)),
];

/// Carbon dioxide for each oxygen.
pub const QUOTIENT: Typical = Typical {
    name: "respiratory quotient",
    quantity: Quantity::Fraction,
    estimate: Estimate::normal(0.85, 0.10),
    source: "typical, from memory: 0.70 of fat to 1.00 of sugar",
};
/// Density of the grains of an absorbent.
pub const ABSORBENT_DENSITY: Typical = Typical {
    name: "density of the absorbent's grains",
    quantity: Quantity::Density,
    estimate: Estimate::normal(1700.0, 400.0),
    source: "typical, our own judgement: calcium hydroxide and water, with and without the pores of its grains",
};
/// Carbon dioxide that a kilogram of absorbent takes up.
pub const ABSORBS: Typical = Typical {
    name: "what the absorbent takes up",
    quantity: Quantity::SpecificVolume,
    estimate: Estimate::normal(120.0 * LITRE_M3, 60.0 * LITRE_M3),
    source: "typical, from memory: soda lime; less in the cold and at hard work (a test at work: 183 L/kg, Pollock 2018)",
};

const fn setpoint(name: &'static str, bar: f64) -> Typical {
    // as planned, so it carries no doubt
    let estimate = Estimate::exact(bar * BAR_PA);
    Typical { name, quantity: Quantity::PartialPressure, estimate, source: "common practice, from memory" }
}

/// Setpoint with which a dive begins.
pub const LOW_SETPOINT: Typical = setpoint("setpoint at the start", 0.7);
/// Setpoint from the moment on at which the greatest depth is reached: earlier, the diluent that fills the loop on the way
/// down brings its own oxygen on top.
pub const HIGH_SETPOINT: Typical = setpoint("setpoint from the bottom on", 1.3);
