//! Typical figures, used where a plan says nothing: each with its documented doubt and where it comes from.
//!
//! Here those that every plan may need; [`body`] the diver's body and its area, [`suit`] suits by their kind, [`gear`]
//! pieces of gear by their names, [`places`] where they are, [`dive`] water, breathing and speeds of a plan that leaves them out, [`circuit`] a
//! breathing loop.
//!
//! Sources say how a figure was come by: *seen* in a stored copy of what is named, *computed* from figures that were seen,
//! *from memory*, or *our own judgement*. Doubts are normal, 95 % within the half-width, unless they are older than these
//! tables, and then rectangular.

pub mod body;
pub mod circuit;
pub mod dive;
pub mod gear;
pub mod places;
pub mod suit;
pub mod unweighed;

use crate::estimate::Estimate;
use crate::scenario::LEAD_KG_M3;
use crate::units::Quantity;

/// A typical figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typical {
    /// Name for tables.
    pub name: &'static str,
    /// What it measures.
    pub quantity: Quantity,
    /// Value and doubt, SI.
    pub estimate: Estimate,
    /// Where it comes from.
    pub source: &'static str,
}

/// Load that a diver can swim up.
pub const SWIM_UP: Typical = Typical {
    name: "swim-up capacity",
    quantity: Quantity::Mass,
    // a limit to plan against, not a measured figure: it carries no doubt unless the plan gives one
    estimate: Estimate::exact(7.0),
    source: "common practice",
};
/// Volume by which the lungs trim.
pub const LUNG_TRIM: Typical = Typical {
    name: "lung trim",
    quantity: Quantity::Volume,
    // from a quiet breath (0.5 L) to a third of the vital capacity of a large diver
    estimate: Estimate::within(1.0e-3, 0.5e-3),
    source: "typical, between a tidal breath of 0.5 L and a third of a vital capacity of 4.6 L (physiology tables)",
};
/// Head and shoulders as a share of the body's volume.
pub const HEAD_OUT: Typical = Typical {
    name: "share of head and shoulders",
    quantity: Quantity::Fraction,
    estimate: Estimate::within(0.10, 0.02),
    source: "typical, our own estimate: a tenth of the body's volume",
};
/// Gas share of neoprene.
pub const FOAM_GAS: Typical = Typical {
    name: "gas share of the foam",
    quantity: Quantity::Fraction,
    // the band from 0.65 to 0.84
    estimate: Estimate::within(0.745, 0.095),
    source: "typical, middle of the band from 0.65 (Brown et al. 2019, Mater. Res. Express) to 0.84 (half the thickness at about 15 m)",
};
/// Share of the squeeze that the rubber does not carry.
pub const FOAM_COMPLIANCE: Typical = Typical {
    name: "compliance of the foam",
    quantity: Quantity::Fraction,
    // the doubt of the gas share stands for both: the two cannot be told apart at one depth
    estimate: Estimate::exact(1.0),
    source: "typical, Boyle's law on the foam's gas",
};
/// Temperature at which a fill pressure is read.
pub const FILL_TEMPERATURE: Typical = Typical {
    name: "fill temperature",
    quantity: Quantity::Temperature,
    estimate: Estimate::within(293.15, 5.0),
    source: "typical, a rested fill at room temperature",
};
/// Pressure that counts as nearly empty.
pub const RESERVE: Typical = Typical {
    name: "reserve",
    quantity: Quantity::Pressure,
    estimate: Estimate::exact(50.0e5),
    source: "common practice",
};
/// Salinity of sea water when the plan says `sea`.
pub const SEA_SALINITY: Typical = Typical {
    name: "salinity of the sea",
    quantity: Quantity::Salinity,
    estimate: Estimate::within(35.0, 2.0),
    source: "typical, open ocean; enclosed seas differ by far more",
};
/// Salinity of fresh water when the plan says `fresh`.
pub const FRESH_SALINITY: Typical = Typical {
    name: "salinity of fresh water",
    quantity: Quantity::Salinity,
    estimate: Estimate::exact(0.0),
    source: "typical",
};

/// The waters in which a piece may have been read.
pub const READING_WATERS: [(&str, Typical); 3] = [
    (
        "fresh",
        Typical {
            name: "fresh water of the readings",
            quantity: Quantity::Density,
            // 4 to 20 °C: 1000.0 to 998.2 kg/m³
            estimate: Estimate::within(999.1, 0.9),
            source: "typical, TEOS-10 at salinity 0, 4 to 20 °C",
        },
    ),
    (
        "pool",
        Typical {
            name: "pool water of the readings",
            quantity: Quantity::Density,
            // 24 to 30 °C, with what a pool has dissolved
            estimate: Estimate::within(997.0, 1.2),
            source: "typical, TEOS-10 at salinity 0 to 1, 24 to 30 °C",
        },
    ),
    (
        "sea",
        Typical {
            name: "sea water of the readings",
            quantity: Quantity::Density,
            // 33 to 37 PSU, 5 to 25 °C: 1022 to 1029 kg/m³
            estimate: Estimate::within(1025.5, 3.5),
            source: "typical, TEOS-10 at salinity 33 to 37, 5 to 25 °C",
        },
    ),
];

const fn density(name: &'static str, value: f64, half_width: f64) -> Typical {
    let source = "typical, handbook value from memory; the doubt covers usual alloys";
    Typical { name, quantity: Quantity::Density, estimate: Estimate::within(value, half_width), source }
}

/// The materials that a part may name, with other spellings.
pub const MATERIALS: [(&[&str], Typical); 8] = [
    (&["lead"], density("density of lead", LEAD_KG_M3, 100.0)),
    (&["steel"], density("density of steel", 7850.0, 50.0)),
    (&["stainless steel", "stainless"], density("density of stainless steel", 7950.0, 70.0)),
    (&["aluminium", "aluminum"], density("density of aluminium", 2700.0, 40.0)),
    (&["brass"], density("density of brass", 8500.0, 150.0)),
    (&["titanium"], density("density of titanium", 4480.0, 60.0)),
    (&["zinc"], density("density of zinc", 7130.0, 60.0)),
    (&["bronze"], density("density of bronze", 8800.0, 200.0)),
];

/// The density of a material by its name.
pub fn material(name: &str) -> Option<&'static Typical> {
    MATERIALS.iter().find(|(names, _)| names.iter().any(|known| known.eq_ignore_ascii_case(name))).map(|(_, t)| t)
}

/// Displaced volume of a generic cylinder size, as a share of it, beyond what the metal's mass explains.
pub const SIZE_EXTERNAL_DOUBT: f64 = 0.01;

/// What the list of figures says about a figure that the plan marks as a guess.
pub const GUESS: &str = "a guess of the plan's own, marked so: not measured";

/// Density of fresh water in which typical lifts are given, kg/m³: that of readings in fresh water.
pub const FRESH_KG_M3: f64 = READING_WATERS[0].1.estimate.value;
