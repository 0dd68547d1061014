//! The diver's body as segments: where its mass and its volume have their centres, and where on it gear sits.
//!
//! Ten kinds of segment (limbs twice) between joints. Each has a share of the mass and a density; its centre lies on the
//! line between its joints. So the whole body has a centre of mass `Σ m_i·r_i / m`. Its volume has three shares:
//!
//! ```text
//! V = m/1055 kg/m³          segments of a usual man without the lungs' gas, at the segments' places
//!   + gas                   lungs and gut, at the lungs
//!   + the rest              tissue lighter (or heavier) than that, which is fat: at belly, hips and thighs
//! ```
//!
//! What comes from where: shares, centres and lengths of segments, their densities and the landmarks in `table.rs`, angles
//! of the joints in `pose.rs`, areas in `cover.rs`. The second line needs a word. The table of densities makes a body of
//! 1042 kg/m³, that of 250 living men without the gas of their lungs is 1055 (± 19 SD; Johnson 1996, J. Stat. Educ. 4(1),
//! seen): we take the difference, 0.9 L at 75 kg, as air left in the chests that the table was measured on, and take it
//! out at the lungs. That is our own judgement, as is the third line: were all of the rest put at the lungs, each
//! kilogram of fat's lift would turn a diver like a kilogram of chest gas, by 3 N·m.
//!
//! Axes are those of [`crate::physics::place`]; every length goes with stature.

mod cover;
mod pose;
mod table;
#[cfg(test)]
mod tests;

pub use cover::Cover;
pub use pose::{Joints, Stroke};

use crate::physics::place::{Centres, Point};
use pose::{Figure, Pose};
use table::{MAN, Segment, Table, WOMAN};

/// Density of a usual man without the lungs' gas, kg/m³ (Johnson 1996, J. Stat. Educ. 4(1), n = 250, seen).
const USUAL_TISSUE_KG_M3: f64 = 1055.0;
/// Place of the lungs' gas as shares of stature: below the shoulder line, and to the back. Our own judgement: 1 cm to the
/// front at 1.75 m.
const LUNGS: (f64, f64) = (0.09, -0.01 / 1.75);
/// Where fat lies that makes a body lighter than usual: belly, hips, thighs (our own judgement, after the skin folds in
/// which men and women differ most: McLean and Hinrichs 1998, J. Sports Sci. 16, 373, abstract seen).
const FAT: [Segment; 3] = [Segment::MiddleTrunk, Segment::LowerTrunk, Segment::Thigh];

/// How arms and legs are held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Posture {
    /// Level, knees bent by 50 degrees, feet level, arms folded forward (angles: our own judgement).
    KneesBent,
    /// Legs straight, feet pointed, arms at the side.
    Straight,
}

/// Whose segments are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Those of men.
    Man,
    /// Those of women.
    Woman,
    /// The mean of both, where the sex is not known.
    Between,
}

/// A body's build and posture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Stature, m.
    pub stature_m: f64,
    /// Whose segments.
    pub shape: Shape,
    /// How arms and legs are held.
    pub posture: Posture,
}

impl Shape {
    fn table(self) -> Table {
        match self {
            Shape::Man => MAN,
            Shape::Woman => WOMAN,
            Shape::Between => MAN.between(&WOMAN),
        }
    }
}

impl Stance {
    /// Place of the lungs' gas: at 0.09 of stature below the shoulder line, 1 cm to the front at 1.75 m (our own
    /// judgement, ± 0.03 and ± 4 cm).
    pub fn lungs(&self) -> Point {
        lungs(self.stature_m)
    }

    /// Usual gas in lungs and gut under water, halfway through a breath, m³: residual volume, 60 % of the expiratory
    /// reserve, half a breath of 0.55 L (our own judgement) and 0.1 L in the gut.
    ///
    /// With the regressions of ECSC 1993 (coefficients from memory) at 40 years that is, in litres, `1.93·H − 0.20` for
    /// men and `2.07·H − 0.75` for women, `H` in metres. Between people ± 1.3 L (95 %, from memory).
    pub fn lung_gas_m3(&self) -> f64 {
        let man = 1.928e-3 * self.stature_m - 0.203e-3;
        let woman = 2.068e-3 * self.stature_m - 0.745e-3;
        match self.shape {
            Shape::Man => man,
            Shape::Woman => woman,
            Shape::Between => (man + woman) / 2.0,
        }
    }

    /// Landmarks of the body in its posture, for places of gear and for pictures.
    pub fn joints(&self) -> Joints {
        self.figure().joints
    }

    /// The lines of a plain figure from the side: each pair of limbs as one, all at the middle of the body.
    pub fn outline(&self) -> Vec<Stroke> {
        self.figure().outline()
    }

    /// Centres of mass and volume of a body of a mass and a volume greater than none, with the usual gas in its lungs
    /// ([`Stance::lung_gas_m3`]). How the volume is shared out: at the head of this module.
    pub fn centres(&self, mass_kg: f64, volume_m3: f64) -> Centres {
        self.centres_with_gas(mass_kg, volume_m3, self.lung_gas_m3())
    }

    /// The same with a known amount of gas in lungs and gut; the volume is that of the body with its gas.
    pub fn centres_with_gas(&self, mass_kg: f64, volume_m3: f64, gas_m3: f64) -> Centres {
        self.figure().centres(mass_kg, volume_m3, gas_m3)
    }

    /// Centre of the area that a piece of clothing covers.
    pub fn cover(&self, what: Cover) -> Point {
        self.figure().cover(what)
    }

    fn figure(&self) -> Figure {
        Figure::new(self.stature_m, self.shape.table(), Pose::of(self.posture))
    }
}

/// All segments of a kind, for a kilogram of body.
#[derive(Clone, Copy)]
struct Piece {
    segment: Segment,
    mass_frac: f64,
    volume_m3_kg: f64,
    at: Point,
}

impl Figure {
    fn pieces(&self) -> [Piece; 10] {
        // printed shares are rounded: women's sum to 0.9999
        let all_frac: f64 = Segment::ALL.iter().map(|&segment| self.table.mass_frac(segment)).sum();
        Segment::ALL.map(|segment| {
            let mass_frac = self.table.mass_frac(segment) / all_frac;
            Piece { segment, mass_frac, volume_m3_kg: mass_frac / segment.density_kg_m3(), at: self.centre(segment) }
        })
    }

    fn centres(&self, mass_kg: f64, volume_m3: f64, gas_m3: f64) -> Centres {
        let pieces = self.pieces();
        let mass = weighted(pieces.iter().map(|piece| (piece.mass_frac, piece.at)));
        Centres { mass, volume: weighted(self.volumes(&pieces, mass_kg, volume_m3, gas_m3).into_iter()) }
    }

    /// What makes up the volume, m³, with its places: segments, lungs, fat.
    fn volumes(&self, pieces: &[Piece; 10], mass_kg: f64, volume_m3: f64, gas_m3: f64) -> [(f64, Point); 12] {
        let of = |piece: &Piece| (piece.volume_m3_kg * mass_kg, piece.at);
        let segments_m3: f64 = pieces.iter().map(|piece| of(piece).0).sum();
        let usual_m3 = mass_kg / USUAL_TISSUE_KG_M3;
        let fatty = pieces.iter().filter(|piece| FAT.contains(&piece.segment));
        let lungs = (gas_m3 - (segments_m3 - usual_m3), lungs(self.stature_m));
        let fat = (volume_m3 - gas_m3 - usual_m3, weighted(fatty.map(of)));
        std::array::from_fn(|i| match i {
            10 => lungs,
            11 => fat,
            _ => of(&pieces[i]),
        })
    }
}

fn lungs(stature_m: f64) -> Point {
    Point::new(-LUNGS.0, 0.0, LUNGS.1) * stature_m
}

/// Mean of places by their weights.
fn weighted(places: impl Iterator<Item = (f64, Point)>) -> Point {
    let (sum, moment) =
        places.fold((0.0, Point::ORIGIN), |(sum, moment), (weight, at)| (sum + weight, moment + at * weight));
    moment * (1.0 / sum)
}
