//! Centre of what covers the body, by shares of its area.
//!
//! Shares of JOS-3 (a model of the body's heat, seen): head 0.059, neck 0.016, trunk 0.298, arms 0.170, hands 0.054, thighs
//! 0.224, legs 0.120, feet 0.060. A suit covers half of the neck (our own judgement): so a one-piece comes to 0.82 and a dry
//! suit to 0.88. Each share acts at the centre of its segment; trunk and arms are divided among theirs as the areas of
//! cylinders of their volume and length, `√(V·L)`.

use crate::physics::body::pose::Figure;
use crate::physics::body::table::Segment;
use crate::physics::body::weighted;
use crate::physics::place::Point;

/// What covers a body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// A one-piece wet suit: half of the neck, trunk, arms, thighs, legs.
    WetSuit,
    /// A dry suit: as a wet suit, and feet.
    DrySuit,
    /// What is worn under a dry suit: trunk, arms, thighs, legs, feet.
    Undergarment,
    /// Hood: head and neck.
    Hood,
    /// Gloves.
    Gloves,
    /// Boots.
    Boots,
}

/// Region of the body with a share of its area.
#[derive(Clone, Copy)]
enum Region {
    Head,
    Neck,
    Trunk,
    Arms,
    Hands,
    Thighs,
    Legs,
    Feet,
}

const SUIT: [(Region, f64); 4] =
    [(Region::Trunk, 1.0), (Region::Arms, 1.0), (Region::Thighs, 1.0), (Region::Legs, 1.0)];
const COLLAR: (Region, f64) = (Region::Neck, 0.5);
const SOCKS: (Region, f64) = (Region::Feet, 1.0);

impl Region {
    fn area_frac(self) -> f64 {
        match self {
            Region::Head => 0.059,
            Region::Neck => 0.016,
            Region::Trunk => 0.298,
            Region::Arms => 0.170,
            Region::Hands => 0.054,
            Region::Thighs => 0.224,
            Region::Legs => 0.120,
            Region::Feet => 0.060,
        }
    }
}

impl Cover {
    /// Regions with the part of each that is covered.
    fn regions(self) -> Vec<(Region, f64)> {
        let suit = |more: &[(Region, f64)]| [&SUIT[..], more].concat();
        match self {
            Cover::WetSuit => suit(&[COLLAR]),
            Cover::DrySuit => suit(&[COLLAR, SOCKS]),
            Cover::Undergarment => suit(&[SOCKS]),
            Cover::Hood => vec![(Region::Head, 1.0), (Region::Neck, 1.0)],
            Cover::Gloves => vec![(Region::Hands, 1.0)],
            Cover::Boots => vec![SOCKS],
        }
    }

    /// Share of the body's area.
    pub fn area_frac(self) -> f64 {
        self.regions().into_iter().map(|(region, part)| part * region.area_frac()).sum()
    }
}

impl Figure {
    pub(super) fn cover(&self, what: Cover) -> Point {
        let regions = what.regions().into_iter();
        weighted(regions.map(|(region, part)| (part * region.area_frac(), self.region(region))))
    }

    fn region(&self, region: Region) -> Point {
        use Segment::{Foot, Forearm, Hand, LowerTrunk, MiddleTrunk, Shank, Thigh, UpperArm, UpperTrunk};
        match region {
            Region::Head => self.centre(Segment::Head),
            Region::Neck => self.joints.neck,
            Region::Trunk => self.by_area(&[UpperTrunk, MiddleTrunk, LowerTrunk]),
            Region::Arms => self.by_area(&[UpperArm, Forearm]),
            Region::Hands => self.centre(Hand),
            Region::Thighs => self.centre(Thigh),
            Region::Legs => self.centre(Shank),
            Region::Feet => self.centre(Foot),
        }
    }

    fn by_area(&self, segments: &[Segment]) -> Point {
        weighted(segments.iter().map(|&segment| {
            let row = self.table.row(segment);
            ((row.mass_frac / segment.density_kg_m3() * row.length_frac).sqrt(), self.centre(segment))
        }))
    }
}
