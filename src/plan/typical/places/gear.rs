//! Where pieces of gear usually are, by their names.

use std::borrow::Cow;

use super::cylinders::{LIE_SOURCE, LIES, LieOf, valve_of};
use super::{
    ANKLES, BELT, BETWEEN, BOOTS, CANISTER, CHEST, DRY_SUIT, FINS, HANDS, HARNESS, HEAD, LIGHT, Placed, SOMEWHERE,
    Spot, TAIL, THIGH, UNDERGARMENT, UNIT, VALVES, WET_SUIT, WING_GAS, cover,
};
use crate::physics::body::{Cover, Stance};
use crate::physics::place::Point;

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

/// Where a piece of gear usually is, by its name; `None` where its name says nothing. A name that lists several things whose
/// places differ is between them.
pub fn of_gear(name: &str) -> Option<Usually> {
    let lower = name.to_lowercase();
    // where a part of it is, its name does not say: `unit, counterlungs`
    if lower.trim() == "unit" {
        return Some(Usually::At(Placed::middle(UNIT)));
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::{Posture, Shape};

    const MAN: Stance = Stance { stature_m: 1.75, shape: Shape::Man, posture: Posture::Straight };

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
        assert_eq!((spot("Unit"), spot("unit, counterlungs"), spot("gadget")), (Some("unit of the loop"), None, None));
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
