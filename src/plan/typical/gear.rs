//! Pieces of gear by their names: what a part that has nothing but a name weighs, and what it does in fresh water.
//!
//! No published table was found, so the figures are from memory and wide, half-widths for 95 %. What differs between two
//! pieces of a kind is mostly metal: a piece that sinks keeps its displaced volume, and its mass follows its lift; a piece
//! that floats or hangs keeps its mass, and its volume follows. So no drawn lift makes a volume or a mass below nothing.

use crate::estimate::Estimate;

/// A piece with a typical figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Names; the first is the one shown.
    pub names: &'static [&'static str],
    /// Mass, kg.
    pub mass_kg: f64,
    /// Net lift in fresh water, kg.
    pub lift: Estimate,
    /// Where it comes from.
    pub source: &'static str,
}

const fn piece(
    names: &'static [&'static str],
    mass_kg: f64,
    lift_kg: f64,
    half_width_kg: f64,
    source: &'static str,
) -> Piece {
    Piece { names, mass_kg, lift: Estimate::normal(lift_kg, half_width_kg), source }
}

/// Regulators of one source: first and second stages, hoses, gauge.
pub const REGULATOR: Piece =
    piece(&["regulator set", "regulator"], 2.0, -1.4, 0.5, "typical, from memory: a set of 2.0 ± 0.7 kg");
/// Regulators of twin cylinders: two first stages.
pub const TWIN_REGULATORS: Piece =
    piece(&["twin regulator set", "regulator set twin"], 3.0, -2.1, 0.7, "typical, from memory: a set of 3.0 ± 0.9 kg");
/// Plate and harness of a single cylinder.
pub const PLATE: Piece = piece(
    &["steel plate and harness", "plate and harness", "steel plate with harness"],
    2.8,
    -2.5,
    0.8,
    "typical, from memory: 3 mm of steel, with its harness",
);
/// Fins of rubber.
pub const RUBBER_FINS: Piece = piece(&["rubber fins"], 2.8, -0.9, 0.5, "typical, from memory: a pair of 2.8 ± 0.7 kg");
/// Mask.
pub const MASK: Piece = piece(&["mask"], 0.25, 0.1, 0.15, "typical, from memory: with the air in it");
/// A wing without gas.
pub const WING: Piece = piece(&["wing"], 1.4, 0.0, 0.3, "typical, from memory: 1.4 ± 0.5 kg, without gas");

/// The pieces that a part may name.
pub const PIECES: [Piece; 13] = [
    REGULATOR,
    TWIN_REGULATORS,
    PLATE,
    piece(&["steel plate"], 1.9, -1.6, 0.8, "typical, computed: 3 mm of steel, without harness"),
    piece(
        &["steel plate 6 mm and harness", "steel plate 6 mm with harness"],
        4.6,
        -3.9,
        0.9,
        "typical, computed: 6 mm of steel, with its harness",
    ),
    piece(
        &["aluminium plate and harness", "aluminum plate and harness", "aluminium plate with harness"],
        1.5,
        -1.0,
        0.5,
        "typical, computed: 3 mm of aluminium, with its harness",
    ),
    RUBBER_FINS,
    piece(&["plastic fins"], 1.6, 0.0, 0.4, "typical, from memory: a pair of 1.6 ± 0.6 kg"),
    MASK,
    piece(&["canister light"], 2.0, -0.7, 0.5, "typical, from memory"),
    piece(&["backup light"], 0.3, -0.12, 0.1, "typical, from memory"),
    piece(&["reel"], 0.8, -0.3, 0.3, "typical, from memory"),
    piece(&["spool and buoy", "spool"], 0.6, -0.15, 0.2, "typical, from memory: with a surface buoy"),
];

/// A piece of foam that goes with the suit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamPiece {
    /// Its name.
    pub name: &'static str,
    /// Foam at the surface of one of 5 mm, m³, or of a pair.
    foam: Estimate,
    /// Where it comes from.
    pub source: &'static str,
}

/// Thickness of the pieces of the table, m.
const THICKNESS_M: f64 = 5e-3;
/// Thinnest and thickest sheet of such pieces, m.
const THICKNESSES_M: std::ops::RangeInclusive<f64> = 0.4e-3..=20e-3;
/// Litres of foam that lift a kilogram, sheet of 300 kg/m³ in water of 1000.
const M3_PER_KG: f64 = 1e-3 / 0.7;

const HOOD_SOURCE: &str =
    "typical, our own judgement: lifts 0.4 kg at 5 mm, ± 30 % as the suit; goes with its thickness";
const BOOT_SOURCE: &str = "typical, our own judgement: a pair lifts 0.2 to 0.4 kg at 5 mm; goes with its thickness";

/// The pieces that go with a suit.
pub const FOAM_PIECES: [FoamPiece; 3] = [
    FoamPiece { name: "hood", foam: Estimate::normal(0.4 * M3_PER_KG, 0.12 * M3_PER_KG), source: HOOD_SOURCE },
    FoamPiece { name: "gloves", foam: Estimate::normal(0.4 * M3_PER_KG, 0.12 * M3_PER_KG), source: HOOD_SOURCE },
    FoamPiece { name: "boots", foam: Estimate::normal(0.3 * M3_PER_KG, 0.1 * M3_PER_KG), source: BOOT_SOURCE },
];

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Named {
    /// A rigid piece.
    Rigid(&'static Piece),
    /// A piece of foam: its volume at the surface, m³, and where that comes from.
    Foam {
        /// Volume with its doubt, m³.
        foam: Estimate,
        /// Where it comes from.
        source: &'static str,
    },
}

/// What a name of a part stands for: `rubber fins`, `hood`, `gloves 3 mm`. Case and blanks do not matter.
pub fn named(name: &str) -> Option<Named> {
    let lower = name.to_lowercase();
    let words = || lower.split_whitespace();
    let is = |known: &str| known.split_whitespace().eq(words());
    if let Some(piece) = PIECES.iter().find(|piece| piece.names.iter().any(|known| is(known))) {
        return Some(Named::Rigid(piece));
    }
    let piece = FOAM_PIECES.iter().find(|piece| words().next() == Some(piece.name))?;
    let rest: String = words().skip(1).collect();
    let thickness_m = match rest.as_str() {
        "" => THICKNESS_M,
        text => 1e-3 * text.strip_suffix("mm")?.parse::<f64>().ok()?,
    };
    let scale = THICKNESSES_M.contains(&thickness_m).then_some(thickness_m / THICKNESS_M)?;
    let half_width = piece.foam.doubt.map_or(0.0, |doubt| doubt.half_width);
    Some(Named::Foam { foam: Estimate::normal(piece.foam.value * scale, half_width * scale), source: piece.source })
}

/// The names that a part may have, for messages and editors.
pub fn names() -> Vec<&'static str> {
    PIECES.iter().map(|piece| piece.names[0]).chain(FOAM_PIECES.iter().map(|piece| piece.name)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_however_they_are_spaced() {
        assert_eq!(named("Rubber  FINS"), Some(Named::Rigid(&RUBBER_FINS)));
        let litres = |name: &str| match named(name) {
            Some(Named::Foam { foam, .. }) => 1e3 * foam.value,
            other => panic!("{name}: {other:?}"),
        };
        assert!((litres("hood 7 mm") / litres("hood") - 1.4).abs() < 1e-12);
        assert!((litres("gloves 3mm") / litres("gloves") - 0.6).abs() < 1e-12);
        for none in ["", "fins", "hood blue", "hood 70 mm", "hoods", "hood nan mm", "camera"] {
            assert_eq!(named(none), None, "{none}");
        }
        let names = names();
        assert!(names.iter().all(|name| named(name).is_some()));
    }
}
