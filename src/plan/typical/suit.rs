//! Suits by their kind: `wet 7 mm`, `dry membrane light`.
//!
//! **Foam.** Volume at the surface = share of the skin that is covered × area × thickness × `k`, with `k = 0.80 ± 0.20` for
//! what stretches thinner and for panels of thinner sheet (computed from a training sheet's 2.5, 6.25 and 8.5 kg for 3 mm,
//! 5 mm two-piece and 7 mm with hood and gloves, seen, which are 0.74 to 0.95 of `k = 1`, and from losses at about 30 m of
//! 1.8 kg and 4.5 to 5.4 kg for 3 and 7 mm, seen). Shares of the skin: JOS-3's segments (seen): all but head, hands and
//! feet, 0.82, under a one-piece; all but head and hands, 0.88, under a dry suit. A two-piece has 1.36 times the foam of a
//! one-piece. Lined sheet weighs 300 ± 80 kg/m³ (computed).
//!
//! **Gas of a dry suit**, a diver of 75 kg and 1.75 m: 9.5 ± 4.5 L over light underwear, 12.5 ± 5 L over heavy, 4 ± 3.5 L in
//! foam neoprene (computed from a training sheet, 10 % of the body's mass and 1.5 to 3, 3 to 7, 3 to 5 kg, seen, and from two
//! weighed cases of 14.1 and 9 kg, which are weak). Over 1.67 m² that is 6 to 8 mm of gas. It grows with the area of the skin.

use super::Typical;
use super::body::{Area, mosteller_m2};
use crate::estimate::Estimate;
use crate::units::Quantity;

/// A kind of suit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A wet suit of foam.
    Wet {
        /// Thickness as sold, m.
        thickness_m: f64,
        /// Trousers and a jacket, doubled over the trunk.
        is_two_piece: bool,
    },
    /// A dry suit of a membrane, over an undergarment of this mass, kg, unless the plan says another; none for a kind
    /// that leaves it to the plan.
    Membrane {
        /// Mass of the undergarment, kg.
        undergarment_kg: Option<f64>,
    },
    /// A dry suit of foam neoprene.
    DryNeoprene,
    /// No suit.
    Swimwear,
}

/// How kinds are written, for messages and editors.
pub const KINDS: [&str; 7] = [
    "wet 5 mm",
    "wet 5 mm two-piece",
    "dry membrane light",
    "dry membrane heavy",
    "dry membrane",
    "dry neoprene",
    "swimwear",
];

/// Thinnest and thickest sheet that suits are made of, m.
const THICKNESS_M: std::ops::RangeInclusive<f64> = 0.4e-3..=20e-3;

impl Kind {
    /// What a text says; `None` where it is no kind. Case and blanks do not matter.
    pub fn of(text: &str) -> Option<Self> {
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower.split_whitespace().collect();
        let undergarment = |kg: Option<f64>| Some(Self::Membrane { undergarment_kg: kg });
        match words.as_slice() {
            ["swimwear"] => Some(Self::Swimwear),
            ["dry", "neoprene"] => Some(Self::DryNeoprene),
            ["dry", "membrane"] => undergarment(None),
            ["dry", "membrane", "light"] => undergarment(Some(LIGHT_KG)),
            ["dry", "membrane", "heavy"] => undergarment(Some(HEAVY_KG)),
            ["wet", rest @ ..] => {
                let (rest, is_two_piece) = match rest {
                    [rest @ .., "two-piece"] => (rest, true),
                    rest => (rest, false),
                };
                let thickness_m = 1e-3 * rest.concat().strip_suffix("mm")?.parse::<f64>().ok()?;
                THICKNESS_M.contains(&thickness_m).then_some(Self::Wet { thickness_m, is_two_piece })
            }
            _ => None,
        }
    }

    /// Foam at the surface, m³, with its doubt; `None` for a kind without.
    pub fn foam_m3(self, area: Area) -> Option<Estimate> {
        let (share, thickness_m) = match self {
            Self::Wet { thickness_m, is_two_piece } => {
                (ONE_PIECE_FRAC * if is_two_piece { TWO_PIECE_RATIO } else { 1.0 }, thickness_m)
            }
            Self::DryNeoprene => (DRY_SUIT_FRAC, DRY_NEOPRENE_M),
            Self::Membrane { .. } | Self::Swimwear => return None,
        };
        let foam_m3 = share * area.area_m2 * thickness_m * STRETCH.value;
        Some(Estimate::normal(foam_m3, foam_m3 * stretch_frac().hypot(area.half_width_frac)))
    }

    /// Gas in the suit, m³, with its doubt, over an undergarment of some mass; `None` for a wet suit.
    ///
    /// Between and beyond the two membranes of the table it goes in a straight line with the undergarment's mass (our own
    /// judgement).
    pub fn gas_m3(self, area: Area, undergarment_kg: f64) -> Option<Estimate> {
        let (gas_m3, half_width_m3) = match self {
            Self::Membrane { .. } => {
                let step = (undergarment_kg - LIGHT_KG) / (HEAVY_KG - LIGHT_KG);
                ((9.5e-3 + 3.0e-3 * step).max(LEAST_GAS_M3), (4.5e-3 + 0.5e-3 * step).max(LEAST_GAS_M3))
            }
            Self::DryNeoprene => (4.0e-3, 3.5e-3),
            Self::Wet { .. } | Self::Swimwear => return None,
        };
        let larger = area.area_m2 / mosteller_m2(75.0, 1.75);
        Some(Estimate::normal(gas_m3 * larger, half_width_m3 * larger))
    }

    /// Mass of the undergarment that comes with it, kg, with its doubt.
    pub fn undergarment_kg(self) -> Option<Estimate> {
        match self {
            Self::Membrane { undergarment_kg: Some(kg) } if kg >= HEAVY_KG => Some(Estimate::normal(kg, 0.6)),
            Self::Membrane { undergarment_kg } => undergarment_kg.map(|kg| Estimate::normal(kg, 0.4)),
            Self::DryNeoprene => Some(Estimate::normal(LIGHT_KG, 0.4)),
            Self::Wet { .. } | Self::Swimwear => None,
        }
    }
}

/// Mass of light underwear, kg (our own judgement).
const LIGHT_KG: f64 = 1.2;
/// Mass of heavy underwear, kg (our own judgement).
const HEAVY_KG: f64 = 2.2;
/// Under the thinnest undergarment there is some gas, m³.
const LEAST_GAS_M3: f64 = 3.0e-3;
/// Share of the skin under a one-piece wet suit.
const ONE_PIECE_FRAC: f64 = 0.82;
/// Share of the skin under a dry suit.
const DRY_SUIT_FRAC: f64 = 0.88;
/// Foam of a two-piece over that of a one-piece.
const TWO_PIECE_RATIO: f64 = 1.36;
/// Sheet of a dry suit of foam neoprene, m.
const DRY_NEOPRENE_M: f64 = 7e-3;
/// Foam that there is over the foam that area and thickness as sold make.
const STRETCH: Estimate = Estimate::normal(0.80, 0.20);

/// Half-width of [`STRETCH`] as a share of it.
fn stretch_frac() -> f64 {
    STRETCH.doubt.map_or(0.0, |doubt| doubt.half_width / STRETCH.value)
}

/// Where the foam of a suit comes from.
pub const FOAM_SOURCE: &str = "typical, computed: covered share of the skin (JOS-3) × area (Mosteller, ± 7 %, our own \
     judgement) × thickness × 0.80 ± 0.20, which meets a training sheet's lead for 3, 5 and 7 mm";
/// Where the gas of a dry suit comes from.
pub const GAS_SOURCE: &str = "typical, computed from a training sheet's lead for dry suits and two weighed cases (weak), \
     grown with the area of the skin (Mosteller) from a diver of 75 kg and 1.75 m";
/// Where the mass of an undergarment comes from.
pub const UNDERGARMENT_SOURCE: &str = "typical, our own judgement";

/// Lined neoprene as it is sold, rubber, gas and cloth together.
pub const SHEET: Typical = Typical {
    name: "density of lined neoprene",
    quantity: Quantity::Density,
    estimate: Estimate::normal(300.0, 80.0),
    source: "typical, computed from masses and thicknesses of sheet",
};
/// Fibres of an undergarment, without the air between them.
pub const FIBRES: Typical = Typical {
    name: "density of the undergarment's fibres",
    quantity: Quantity::Density,
    estimate: Estimate::normal(1350.0, 150.0),
    source: "typical, our own judgement: between wool and polyester",
};
/// Mass of a membrane suit, boots and seals included.
pub const MEMBRANE: Typical = Typical {
    name: "mass of a membrane suit",
    quantity: Quantity::Mass,
    estimate: Estimate::normal(3.5, 0.8),
    source: "typical, our own judgement",
};
/// What a suit's shell, boots and seals weigh for their volume.
pub const SHELL: Typical = Typical {
    name: "density of a dry suit's shell",
    quantity: Quantity::Density,
    estimate: Estimate::normal(1200.0, 100.0),
    source: "typical, our own judgement, so that shell and underwear together take about a kilogram off what the gas lifts",
};
/// Mass of a dry suit of foam neoprene, boots and seals included.
pub const DRY_NEOPRENE: Typical = Typical {
    name: "mass of a dry suit of foam neoprene",
    quantity: Quantity::Mass,
    estimate: Estimate::normal(5.0, 1.0),
    source: "typical, our own judgement",
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_read_however_they_are_spaced() {
        let wet = |mm: f64, is_two_piece| Some(Kind::Wet { thickness_m: 1e-3 * mm, is_two_piece });
        assert_eq!(Kind::of("wet 7 mm"), wet(7.0, false));
        assert_eq!(Kind::of(" Wet 6.5mm  two-piece"), wet(6.5, true));
        assert_eq!(Kind::of("dry membrane heavy"), Some(Kind::Membrane { undergarment_kg: Some(2.2) }));
        for kind in KINDS {
            assert!(Kind::of(kind).is_some(), "{kind}");
        }
        for none in ["", "wet", "wet 7", "wet mm", "wet 70 mm", "wet -3 mm", "wet nan mm", "dry", "dry light", "semi"] {
            assert_eq!(Kind::of(none), None, "{none}");
        }
    }
}
