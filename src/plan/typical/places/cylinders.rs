//! How cylinders lie on a diver, and how long they are.

use super::{ALONG_DOUBT_FRAC, GEAR, STATURE_M, UP_DOUBT_M};
use crate::physics::body::Stance;
use crate::physics::place::Point;

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
