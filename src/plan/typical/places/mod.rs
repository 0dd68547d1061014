//! Where things are on a diver: places of the trade by their words, usual places of gear by its names, how cylinders lie.
//!
//! Distances along the body are shares of stature below the shoulder line (acromion). Those of the body itself, belt, tail,
//! ankles and so on, are computed from ANSUR II, 4 082 men and 1 986 women (data seen). All else, and every distance across
//! the body, is our own judgement from its breadths and depths, ± 3 % of stature along and ± 4 cm across (for 95 %) unless a
//! row has more. Distances across are for 1.75 m and grow with stature.

mod cylinders;
mod gear;

use crate::estimate::Estimate;
use crate::physics::body::{Cover, Joints, Posture, Shape, Stance};
use crate::physics::place::Point;
use crate::plan::typical::Typical;
use crate::units::Quantity;

pub use cylinders::{
    LENGTH_SOURCE, LIE_SOURCE, LIES, LieOf, beside_back, length_m, lie_of, lie_words, on_side, valve_of,
};
pub use gear::{ANYWHERE, Usually, of_gear};

/// A place of the table.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Its words; the first is the one shown.
    pub words: &'static [&'static str],
    level: Level,
    /// To the back of its level, m at 1.75 m.
    up_m: f64,
    /// To one side, m at 1.75 m; those that have one and are named without a side are one on each.
    side_m: f64,
    /// Half-width along, as a share of stature.
    along_doubt_frac: f64,
    /// Half-width across, m at 1.75 m.
    up_doubt_m: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// How far down the body a place is.
#[derive(Clone, Copy, Debug)]
enum Level {
    /// At a joint of the body.
    Joint(fn(&Joints) -> Point),
    /// At one that moves with the knees: its half-widths along, as a share of stature, and across, m at 1.75 m, while they are
    /// bent.
    BelowKnee(fn(&Joints) -> Point),
    /// A share of stature below the shoulder line.
    Below(f64),
    /// Over the body, as what it covers.
    Cover(Cover),
}

/// Stature for which distances across are given, m.
const STATURE_M: f64 = 1.75;
/// Usual half-widths: share of stature along, m across.
const ALONG_DOUBT_FRAC: f64 = 0.03;
const UP_DOUBT_M: f64 = 0.04;
/// The same of what moves with bent knees: how far they are bent matters more than whose they are.
const BENT_ALONG_DOUBT_FRAC: f64 = 0.08;
const BENT_UP_DOUBT_M: f64 = 0.10;

const BODY: &str =
    "typical, computed from ANSUR II (mean of men, of women, or between); across the body our own judgement";
const GEAR: &str = "typical, our own judgement from the breadths of ANSUR II";

const fn spot(words: &'static [&'static str], level: Level, up_m: f64, source: &'static str) -> Spot {
    let (along_doubt_frac, up_doubt_m) = (ALONG_DOUBT_FRAC, UP_DOUBT_M);
    Spot { words, level, up_m, side_m: 0.0, along_doubt_frac, up_doubt_m, source }
}

const fn beside(spot: Spot, side_m: f64) -> Spot {
    Spot { side_m, ..spot }
}

const fn joint(words: &'static [&'static str], of: fn(&Joints) -> Point, up_m: f64) -> Spot {
    spot(words, Level::Joint(of), up_m, BODY)
}

const fn below_knee(words: &'static [&'static str], of: fn(&Joints) -> Point) -> Spot {
    spot(words, Level::BelowKnee(of), 0.0, BODY)
}

const fn below(words: &'static [&'static str], below_frac: f64, up_m: f64) -> Spot {
    spot(words, Level::Below(below_frac), up_m, GEAR)
}

const fn cover(words: &'static [&'static str], what: Cover) -> Spot {
    Spot { along_doubt_frac: 0.0, up_doubt_m: 0.0, ..spot(words, Level::Cover(what), 0.0, COVER) }
}

const COVER: &str = "typical, over the segments of the body by their shares of its area (JOS-3)";

/// Belt: where lead hangs unless a plan says otherwise.
pub const BELT: Spot = joint(&["belt", "weight belt", "waist"], |of| of.belt, 0.0);
/// Tail weight.
pub const TAIL: Spot = Spot { along_doubt_frac: 0.04, ..joint(&["tail"], |of| of.tail, 0.09) };
/// On the plate.
pub const PLATE: Spot = below(&["plate", "backplate"], 0.13, 0.13);
/// Between twin cylinders.
pub const BETWEEN: Spot = below(&["between the cylinders", "between cylinders", "between the tanks"], 0.14, 0.17);
const CHEST: Spot = beside(joint(&["chest"], |of| of.chest, -0.12), 0.12);
const THIGH: Spot = beside(below(&["thigh", "thighs", "thigh pocket", "thigh pockets"], 0.42, 0.0), 0.10);
const ANKLES: Spot = beside(below_knee(&["ankles", "ankle"], |of| of.ankle), 0.08);
const FEET: Spot = below_knee(&["feet", "foot"], |of| of.feet);
const HEAD: Spot = joint(&["head"], |of| of.head, 0.0);

/// The places that a plan may name.
pub const SPOTS: [Spot; 13] = [
    BELT,
    TAIL,
    PLATE,
    BETWEEN,
    beside(below(&["shoulders", "shoulder"], 0.0, 0.08), 0.17),
    CHEST,
    beside(joint(&["hip", "hips"], |of| of.hip, 0.0), 0.17),
    THIGH,
    beside(joint(&["knees", "knee"], |of| of.knee, 0.0), 0.10),
    ANKLES,
    FEET,
    joint(&["neck"], |of| of.neck, 0.0),
    HEAD,
];

/// Places of gear that no word of a plan names.
const CANISTER: Spot = beside(below(&["canister"], 0.27, 0.0), 0.18);
const LIGHT: Spot = beside(below(&["light"], 0.0, -0.05), 0.20);
const FINS: Spot = below_knee(&["fins"], |of| of.feet);
const HARNESS: Spot = below(&["plate and harness"], 0.13, 0.12);
const HANDS: Spot = Spot { along_doubt_frac: 0.06, up_doubt_m: 0.10, ..joint(&["hands"], |of| of.wrist, 0.0) };
const VALVES: Spot = below(&["valve of the back cylinder"], -0.02, 0.22);
/// Middle of the wing's gas.
pub const WING_GAS: Spot = Spot { along_doubt_frac: 0.04, ..below(&["gas of the wing"], 0.14, 0.15) };
/// Middle of the gas in a dry suit.
pub const SUIT_GAS: Spot = Spot { along_doubt_frac: 0.12, up_doubt_m: 0.05, ..below(&["gas of the suit"], 0.33, 0.05) };
/// Middle of the gas of a breathing loop: counterlungs lie on the chest, over the shoulders or on the back.
pub const LOOP_GAS: Spot = Spot {
    along_doubt_frac: 0.06,
    up_doubt_m: 0.14,
    source: "typical, our own judgement: counterlungs on the chest, over the shoulders or on the back",
    ..below(&["gas of the loop"], 0.09, 0.02)
};
/// The whole unit of a breathing loop, worn on the back.
const UNIT: Spot = Spot {
    along_doubt_frac: 0.07,
    up_doubt_m: 0.07,
    source: "typical, our own judgement: a unit on the back, its counterlungs on the chest, the shoulders or the back",
    ..below(&["unit of the loop"], 0.11, 0.14)
};
/// Canister of a breathing loop.
pub const LOOP_CANISTER: Spot = Spot {
    along_doubt_frac: 0.08,
    up_doubt_m: 0.06,
    source: "typical, our own judgement: a canister on the back",
    ..below(&["canister of the loop"], 0.16, 0.17)
};
/// A suit of foam, a dry suit, what is worn under it.
pub const WET_SUIT: Spot = cover(&["wet suit"], Cover::WetSuit);
/// The shell of a dry suit.
pub const DRY_SUIT: Spot = cover(&["dry suit"], Cover::DrySuit);
/// What is worn under a dry suit.
pub const UNDERGARMENT: Spot = cover(&["undergarment"], Cover::Undergarment);
/// Boots, seals and zip of a dry suit.
pub const BOOTS: Spot = cover(&["boots"], Cover::Boots);
/// Somewhere: a piece of which nothing is known.
const SOMEWHERE: Spot = Spot {
    along_doubt_frac: 0.20,
    up_doubt_m: 0.15,
    source: "our own judgement: nothing is known of its place, it may be anywhere from shoulders to thighs",
    ..below(&["somewhere on the trunk"], 0.20, 0.0)
};

/// A place with its side.
#[derive(Clone, Copy, Debug)]
pub struct Placed {
    /// The place.
    pub spot: Spot,
    /// Which side: 1 left, −1 right, 0 the middle or both.
    pub side: f64,
}

/// The place of a word of the trade, as `belt` or `left thigh`.
pub fn place(word: &str) -> Option<Placed> {
    let word = word.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>().join(" ");
    let (side, rest) = match word.split_once(' ') {
        Some(("left", rest)) => (1.0, rest),
        Some(("right", rest)) => (-1.0, rest),
        _ => (0.0, word.as_str()),
    };
    let spot = SPOTS.iter().find(|spot| spot.words.contains(&rest))?;
    // a belt has no sides of its own, but its lead may hang on one: at the hip
    let side_m = if spot.words == BELT.words { 0.17 } else { spot.side_m };
    // both sides of what has two are its middle
    (side == 0.0 || side_m > 0.0).then_some(Placed { spot: Spot { side_m, ..*spot }, side })
}

/// The words of the places, for messages and editors.
pub fn words() -> Vec<&'static str> {
    SPOTS.iter().map(|spot| spot.words[0]).collect()
}

impl Placed {
    /// In the middle.
    pub const fn middle(spot: Spot) -> Self {
        Self { spot, side: 0.0 }
    }

    /// The place on a body, and its half-widths along and up, m.
    pub fn on(&self, stance: &Stance) -> (Point, f64, f64) {
        let Spot { level, up_m, side_m, along_doubt_frac, up_doubt_m, .. } = self.spot;
        let (stature_m, scale) = (stance.stature_m, stance.stature_m / STATURE_M);
        let level_at = match level {
            Level::Joint(of) | Level::BelowKnee(of) => of(&stance.joints()),
            Level::Below(frac) => Point::new(-frac * stature_m, 0.0, 0.0),
            Level::Cover(what) => stance.cover(what),
        };
        let bends = matches!(level, Level::BelowKnee(_)) && stance.posture == Posture::KneesBent;
        let (along_doubt_frac, up_doubt_m) =
            if bends { (BENT_ALONG_DOUBT_FRAC, BENT_UP_DOUBT_M) } else { (along_doubt_frac, up_doubt_m) };
        let at = level_at + Point::new(0.0, self.side * side_m, up_m) * scale;
        (at, along_doubt_frac * stature_m, up_doubt_m * scale)
    }
}

/// Torque that fins and posture hold.
pub const HOLD: Typical = Typical {
    name: "torque that fins and posture hold",
    quantity: Quantity::Torque,
    estimate: Estimate::within(10.0, 5.0),
    source: "a choice, not a measured figure: about what a kilogram of lead does a metre from the lungs",
};

/// Half-width of how far the centre of buoyancy lies ahead of that of mass, m, for 95 %: twice the scatter of 0.43 cm among
/// men, 0.34 among women, lungs half full (McLean and Hinrichs 1998, J. Sports Sci. 16, 373, seen).
pub fn ahead_doubt_m(shape: Shape) -> f64 {
    match shape {
        Shape::Man | Shape::Between => 0.0086,
        Shape::Woman => 0.0068,
    }
}

/// Half-width of how far the centre of buoyancy lies above that of mass, m, for 95 % (our own judgement).
pub const ABOVE_DOUBT_M: f64 = 0.01;
/// Where the first of them comes from.
pub const AHEAD_SOURCE: &str = "typical, by segments of the body (de Leva 1996, Clauser 1969); scatter among people by McLean and Hinrichs \
                                1998, J. Sports Sci. 16, 373";
/// Where the one above comes from.
pub const ABOVE_SOURCE: &str = "typical, by segments of the body; the doubt is our own judgement";

#[cfg(test)]
mod tests {
    use super::*;

    const MAN: Stance = Stance { stature_m: 1.75, shape: Shape::Man, posture: Posture::Straight };

    #[test]
    fn words_with_sides_are_places() {
        let left = |word: &str| place(word).map(|placed| placed.on(&MAN).0.left_m);
        assert_eq!(left("belt"), Some(0.0));
        assert_eq!(left("Left  Thigh"), Some(0.10));
        assert_eq!(left("right thigh"), Some(-0.10));
        assert_eq!(left("thighs"), Some(0.0));
        assert_eq!(left("left tail"), None);
        assert_eq!(left("left"), None);
        assert!(words().iter().all(|word| place(word).is_some()));
    }

    // shares of the table times the stature
    #[test]
    fn places_scale_with_stature() {
        let belt = place("belt").unwrap();
        assert!((belt.on(&MAN).0.along_m + 0.216 * 1.75).abs() < 1e-12);
        let small = Stance { stature_m: 1.6, shape: Shape::Woman, ..MAN };
        assert!((belt.on(&small).0.along_m + 0.208 * 1.6).abs() < 1e-12);
        let ankles = place("ankles").unwrap();
        let bent = Stance { posture: Posture::KneesBent, ..MAN };
        assert!(ankles.on(&bent).0.along_m > ankles.on(&MAN).0.along_m + 0.1);
    }
}
