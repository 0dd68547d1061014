//! Where things are on a diver: places of the trade by their words, usual places of gear by its names, how cylinders lie.
//!
//! Distances along the body are shares of stature below the shoulder line (acromion). Those of the body itself, belt, tail,
//! ankles and so on, are computed from ANSUR II, 4 082 men and 1 986 women (data seen). All else, and every distance across
//! the body, is our own judgement from its breadths and depths, ± 3 % of stature along and ± 4 cm across (for 95 %) unless a
//! row has more. Distances across are for 1.75 m and grow with stature.

use std::borrow::Cow;

use crate::estimate::Estimate;
use crate::physics::body::{Cover, Joints, Posture, Shape, Stance};
use crate::physics::place::Point;
use crate::plan::typical::Typical;
use crate::units::Quantity;

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

/// Words in the names of gear, and where such a thing is; the first that is found. `-` is the right side, `+` the left.
const OF_GEAR: [(&[&str], Spot, f64); 21] = [
    (&["fins", "fin"], FINS, 0.0),
    (&["boots", "socks"], BOOTS, 0.0),
    (&["ankle", "ankles"], ANKLES, 0.0),
    (&["hood"], cover(&["hood"], Cover::Hood), 0.0),
    (&["mask", "masks", "helmet", "snorkel"], HEAD, 0.0),
    (&["gloves", "glove"], cover(&["gloves"], Cover::Gloves), 0.0),
    (&["computer", "compass", "slate"], HANDS, 0.0),
    (&["undergarment", "undersuit", "vest"], UNDERGARMENT, 0.0),
    (&["drysuit"], DRY_SUIT, 0.0),
    (&["suit", "wetsuit"], WET_SUIT, 0.0),
    (&["canister", "battery"], CANISTER, -1.0),
    (&["backup", "torch", "lights", "light"], LIGHT, 1.0),
    (&["tail"], TAIL, 0.0),
    (&["between", "v-weight", "keel"], BETWEEN, 0.0),
    (&["belt", "waist", "knife", "shears", "cutter"], BELT, 0.0),
    (&["thigh", "thighs", "pocket", "pockets"], THIGH, 0.0),
    (&["plate", "harness", "backplate"], HARNESS, 0.0),
    (&["wing", "bladder"], WING_GAS, 0.0),
    (&["regulator", "regulators", "manifold", "bands"], VALVES, 0.0),
    (&["reel", "reels", "spool", "spools", "buoy", "marker"], TAIL, 0.0),
    (&["camera", "housing"], CHEST, 0.0),
];

/// Words in names of gear that say so much of a suit that it is dry.
fn is_dry(name: &str) -> bool {
    name.split_whitespace().any(|word| word.eq_ignore_ascii_case("dry"))
}

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

/// Where a piece of gear usually is, by its name; `None` where its name says nothing. A name that lists several things whose
/// places differ is between them.
pub fn of_gear(name: &str) -> Option<Usually> {
    let lower = name.to_lowercase();
    let several: Vec<Placed> = listed(&lower).filter_map(one_of_gear).collect();
    let differ = several.iter().any(|placed| placed.spot.words != several[0].spot.words);
    if differ {
        return Some(Usually::Between(several));
    }
    let one = one_of_gear(&lower)?;
    // of the back cylinder there is one valve, and one doubt of its place
    Some(if one.spot.words == VALVES.words { Usually::Lying(&LIES[0]) } else { Usually::At(one) })
}

/// The things that a name in lower case lists: `hood, gloves and boots`. It is one thing where nothing divides it.
fn listed(name: &str) -> impl Iterator<Item = &str> {
    name.split([',', ';', '+', '/', '&']).flat_map(|part| part.split(" and "))
}

/// Where one thing is, by its name in lower case.
fn one_of_gear(lower: &str) -> Option<Placed> {
    let words = || lower.split(|c: char| !(c.is_alphanumeric() || c == '-'));
    let (_, spot, side) = OF_GEAR.iter().find(|(known, ..)| words().any(|word| known.contains(&word)))?;
    let spot = if spot.words == WET_SUIT.words && is_dry(lower) { &DRY_SUIT } else { spot };
    let said = words().find_map(|word| match word {
        "left" => Some(1.0),
        "right" => Some(-1.0),
        _ => None,
    });
    let side = if spot.side_m > 0.0 { said.unwrap_or(*side) } else { 0.0 };
    Some(Placed { spot: *spot, side })
}

/// Where something usually is.
#[derive(Clone, Debug)]
pub enum Usually {
    /// At one place of the table.
    At(Placed),
    /// Spread over several: a name that lists several things.
    Between(Vec<Placed>),
    /// At the valve of a cylinder that lies so.
    Lying(&'static LieOf),
}

impl Usually {
    /// The place on a body, and its half-widths along and up, m. Of several places their mean, and half of what they span
    /// beside the largest of their own half-widths.
    pub fn on(&self, stance: &Stance) -> (Point, f64, f64) {
        let several = match self {
            Self::At(placed) => return placed.on(stance),
            Self::Lying(lie) => return valve_of(lie, stance),
            Self::Between(several) => several,
        };
        let each: Vec<_> = several.iter().map(|placed| placed.on(stance)).collect();
        let sum = each.iter().fold(Point::ORIGIN, |sum, (at, ..)| sum + *at);
        let doubt_m = |of: fn(&(Point, f64, f64)) -> (f64, f64)| {
            let (values_m, doubts_m) = (each.iter().map(|one| of(one).0), each.iter().map(|one| of(one).1));
            let least_m = values_m.clone().fold(f64::INFINITY, f64::min);
            0.5 * (values_m.fold(f64::NEG_INFINITY, f64::max) - least_m) + doubts_m.fold(0.0, f64::max)
        };
        let along_doubt_m = doubt_m(|(at, along_m, _)| (at.along_m, *along_m));
        (sum * (each.len() as f64).recip(), along_doubt_m, doubt_m(|(at, _, up_m)| (at.up_m, *up_m)))
    }

    /// Where it comes from.
    pub fn source(&self) -> Cow<'static, str> {
        match self {
            Self::At(placed) => placed.spot.source.into(),
            Self::Lying(_) => LIE_SOURCE.into(),
            Self::Between(several) => {
                let mut words: Vec<&str> = several.iter().map(|placed| placed.spot.words[0]).collect();
                words.dedup();
                format!("typical: its name lists several things, so the mean of their places ({})", words.join(", "))
                    .into()
            }
        }
    }
}

/// Where a piece is of which nothing is known.
pub const ANYWHERE: Usually = Usually::At(Placed::middle(SOMEWHERE));

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

/// How a cylinder is worn: word; share of stature of its valve below the shoulder line, to the left and up, m at 1.75 m, and
/// the half-width of the last.
pub type LieOf = (&'static str, f64, f64, f64, f64);

/// How cylinders are worn. Twins lie one on each side of the middle.
pub static LIES: [LieOf; 7] = [
    ("back", -0.02, 0.0, 0.22, UP_DOUBT_M),
    ("left side", 0.06, 0.28, 0.0, UP_DOUBT_M),
    ("right side", 0.06, -0.28, 0.0, UP_DOUBT_M),
    ("left stage", 0.05, 0.22, -0.08, 0.08),
    ("right stage", 0.05, -0.22, -0.08, 0.08),
    // a small bottle on the plate or on the back cylinder
    ("left back", 0.05, 0.18, 0.15, 0.06),
    ("right back", 0.05, -0.18, 0.15, 0.06),
];

/// Where the lies come from.
pub const LIE_SOURCE: &str = GEAR;

/// How a cylinder is worn, by its word; `side` and `stage` without a side are left and right in turn.
pub fn lie_of(word: &str, n: usize) -> Option<&'static LieOf> {
    let word = word.trim();
    let turn = if n.is_multiple_of(2) { "left" } else { "right" };
    let is = |known: &str| {
        known.eq_ignore_ascii_case(word)
            || (known.strip_prefix(turn))
                .is_some_and(|rest| rest.trim().eq_ignore_ascii_case(word) && !rest.contains("back"))
    };
    LIES.iter().find(|lie| is(lie.0))
}

/// A cylinder at a side: `side` or `stage`, and `left` or `right`.
pub fn on_side(word: &str, side: &str) -> &'static LieOf {
    LIES.iter().find(|lie| lie.0.strip_prefix(side).is_some_and(|rest| rest.trim() == word)).unwrap_or(&LIES[0])
}

/// A small bottle beside the back cylinder.
pub fn beside_back(side: &str) -> &'static LieOf {
    on_side("back", side)
}

/// The words of how cylinders are worn, for messages and editors.
pub fn lie_words() -> Vec<&'static str> {
    LIES.iter().map(|lie| lie.0).collect()
}

/// The valve of a cylinder worn so, and its half-widths along and up, m.
pub fn valve_of(lie: &LieOf, stance: &Stance) -> (Point, f64, f64) {
    let (_, below_frac, left_m, up_m, up_doubt_m) = *lie;
    let (stature_m, scale) = (stance.stature_m, stance.stature_m / STATURE_M);
    let at = Point::new(-below_frac * stature_m, left_m * scale, up_m * scale);
    (at, ALONG_DOUBT_FRAC * stature_m, up_doubt_m * scale)
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

/// Length of a cylinder of which no size tells it, m, and its half-width: `V/(πD²/4) + 0.38·D` with a usual diameter of its
/// capacity (from memory), fitted to seven printed ones.
pub fn length_m(water_m3: f64, external_m3: f64) -> (f64, f64) {
    let diameter_m = match 1e3 * water_m3 {
        ..2.5 => 0.105,
        ..4.5 => 0.115,
        ..9.0 => 0.140,
        ..11.5 => 0.171,
        ..14.0 => 0.178,
        _ => 0.204,
    };
    let area_m2 = 0.25 * std::f64::consts::PI * diameter_m * diameter_m;
    (external_m3 / area_m2 + 0.38 * diameter_m, 0.18 * diameter_m)
}

/// Where lengths that no size tells come from.
pub const LENGTH_SOURCE: &str = "typical, from its volume and a usual diameter (from memory)";

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

    #[test]
    fn gear_is_where_its_name_says() {
        let spot = |name: &str| match of_gear(name) {
            Some(Usually::At(placed)) => Some(placed.spot.words[0]),
            Some(Usually::Lying(lie)) => Some(lie.0),
            Some(_) => Some("several"),
            None => None,
        };
        assert_eq!(spot("rubber fins"), Some("fins"));
        assert_eq!(spot("steel plate and harness"), Some("plate and harness"));
        assert_eq!(spot("tail weight"), Some("tail"));
        assert_eq!(spot("backup light"), Some("light"));
        assert_eq!(spot("gadget"), None);
        assert_eq!(spot("spool and buoy"), Some("tail"));
        assert_eq!(spot("regulator set, fifty"), Some("back"));
        assert_eq!(spot("mask, small things"), Some("head"));
        for several in
            ["hood, gloves, boots", "mask, reels, small things", "Fins and Mask", "knife/light", "hood + fins"]
        {
            assert_eq!(spot(several), Some("several"), "{several}");
        }
        assert!(of_gear("canister light").unwrap().on(&MAN).0.left_m < 0.0);
    }

    // by hand: the mean of both, half of what lies between them and the larger of both half-widths
    #[test]
    fn several_things_are_between_their_places() {
        let ((head, head_doubt_m, head_up_m), (tail, tail_doubt_m, tail_up_m)) =
            (Placed::middle(HEAD).on(&MAN), Placed::middle(TAIL).on(&MAN));
        let both = of_gear("mask, reels").unwrap();
        let (at, along_doubt_m, up_doubt_m) = both.on(&MAN);
        assert!((at.along_m - 0.5 * (head.along_m + tail.along_m)).abs() < 1e-12);
        assert!((at.up_m - 0.5 * (head.up_m + tail.up_m)).abs() < 1e-12);
        let along_m = 0.5 * (head.along_m - tail.along_m) + head_doubt_m.max(tail_doubt_m);
        assert!((along_doubt_m - along_m).abs() < 1e-12);
        assert!((up_doubt_m - 0.5 * (tail.up_m - head.up_m) - head_up_m.max(tail_up_m)).abs() < 1e-12);
        assert!(both.source().ends_with("(head, tail)"));
    }
}
