//! How the diver hung at a check, in words: `head down 20°`, `level ± 5°`; and what had to be added to hang level:
//! `0.5 kg at the ankles`.

use crate::estimate::Estimate;
use crate::estimate::doubt::normal_quantile;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::places;
use crate::plan::unit::Mass;
use crate::plan::words::{any_of, did_you_mean};
use crate::plan::written::Written;

/// How sure a pitch is that says nothing of it: ± 10°, 95 %, as one diver sees another (our own judgement).
pub const HUNG_DOUBT_RAD: f64 = 10.0 * DEGREE_RAD;
/// Steepest pitch that is taken: beyond it a body bends, and gas runs to the other end (our own judgement).
const STEEPEST_DEG: f64 = 60.0;
/// Largest doubt of a pitch that says anything.
const VAGUEST_DEG: f64 = 45.0;
/// Most lead that is added at one place, kg.
const MOST_KG: f64 = 20.0;
const DEGREE_RAD: f64 = std::f64::consts::PI / 180.0;
const COVERAGE_FRAC: f64 = 0.95;

/// How to write a pitch.
pub(super) const HUNG_HELP: &str =
    "write level, head up 10° or head down 20°; how sure that is may stand with it: head down 20 ± 5°, level ± 5°";
/// How to write what had to be added.
pub(super) const NEEDED_HELP: &str = "write the lead and its place, such as 0.5 kg at the ankles or 1 lb at the tail";

/// The pitch at which a diver hung at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HungRow {
    /// From level, rad: head up positive.
    pub pitch_rad: f64,
    /// Half-width for 95 %, rad.
    pub half_width_rad: f64,
}

/// Lead that had to be added at a place for the diver to hang level.
#[derive(Clone, Debug, PartialEq)]
pub struct NeededRow {
    /// How much, kg; below zero: so much less.
    pub lead: Estimate,
    /// The place, by its word.
    pub place: String,
}

/// What is wrong, and what to write.
pub(super) type Fault = (ProblemCode, String, String);

impl HungRow {
    /// Standard uncertainty, rad.
    pub fn standard_rad(&self) -> f64 {
        self.half_width_rad / normal_quantile(0.5 * (1.0 + COVERAGE_FRAC))
    }

    /// Level, within the usual doubt.
    pub const LEVEL: HungRow = HungRow { pitch_rad: 0.0, half_width_rad: HUNG_DOUBT_RAD };

    /// Reads the words.
    pub(super) fn of(text: &str) -> Result<Self, Fault> {
        let unknown = || {
            let help = did_you_mean(text, ["level", "head up", "head down"])
                .filter(|_| !text.contains(|c: char| c.is_ascii_digit()))
                .map_or(HUNG_HELP.to_owned(), |near| format!("{near} {HUNG_HELP}"));
            (ProblemCode::UnknownWord, format!("hung is \"{text}\", which is no way to hang"), help)
        };
        let lower = text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ");
        let ways = [("level", 0.0), ("head up", 1.0), ("head down", -1.0)];
        let found = ways.iter().find_map(|&(word, side)| Some((side, lower.strip_prefix(word)?.trim())));
        let (side, rest) = found.ok_or_else(unknown)?;
        let (value, doubt) = match rest.split_once('±') {
            Some((value, doubt)) => (value.trim(), Some(degrees(doubt).ok_or_else(unknown)?)),
            None => (rest, None),
        };
        let pitch_deg = match (side == 0.0, value.is_empty()) {
            (true, true) => 0.0,
            (false, false) => degrees(value).ok_or_else(unknown)?,
            (true, false) => return Err(unknown()),
            (false, true) => {
                let message = format!("hung is \"{text}\", but by how much is missing");
                return Err((ProblemCode::NotQuantity, message, HUNG_HELP.into()));
            }
        };
        if !(0.0..=STEEPEST_DEG).contains(&pitch_deg) {
            let message = format!("hung is \"{text}\", but must be between 0 and {STEEPEST_DEG:.0}°");
            let help = "steeper, a body bends and gas runs to the other end: bring the diver nearer to level with lead at one \
                        place, and write what it took: needed = \"2 kg at the ankles\"";
            return Err((ProblemCode::OutOfRange, message, help.into()));
        }
        if doubt.is_some_and(|doubt| !(doubt > 0.0 && doubt <= VAGUEST_DEG)) {
            let message = format!("the doubt of hung, \"{text}\", must be more than 0 and at most {VAGUEST_DEG:.0}°");
            return Err((ProblemCode::Doubt, message, HUNG_HELP.into()));
        }
        let half_width_rad = doubt.map_or(HUNG_DOUBT_RAD, |doubt| doubt * DEGREE_RAD);
        Ok(Self { pitch_rad: side * pitch_deg * DEGREE_RAD, half_width_rad })
    }
}

/// An angle in degrees; the sign of it may be there or not.
fn degrees(text: &str) -> Option<f64> {
    let text = text.trim();
    let bare = ["°", "degrees", "degree", "deg"].iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text);
    let bare = bare.trim().trim_end_matches('°').trim();
    let is_plain = !bare.is_empty() && bare.chars().all(|c| c.is_ascii_digit() || c == '.');
    bare.parse().ok().filter(|_| is_plain)
}

impl NeededRow {
    /// Reads the words.
    pub(super) fn of(text: &str) -> Result<Self, Fault> {
        let lower = text.to_lowercase().replace('−', "-").split_whitespace().collect::<Vec<_>>().join(" ");
        let Some((lead, place)) = lower.split_once(" at ").or_else(|| lower.split_once(" on ")) else {
            let message = format!("needed is \"{text}\", but takes lead and its place");
            return Err((ProblemCode::WhichKeys, message, NEEDED_HELP.into()));
        };
        let place = place.trim().trim_start_matches("the ").trim();
        if places::place(place).is_none() {
            let known = places::words();
            let help =
                did_you_mean(place, known.iter().copied()).unwrap_or_else(|| format!("write {}", any_of(&known)));
            return Err((ProblemCode::UnknownWord, format!("\"{place}\" is no place of the list"), help));
        }
        let lead = match Written::<Mass>::parse(lead.trim()).estimate() {
            Ok(lead) => lead,
            Err(error) => {
                let (code, message, _) = error.told::<Mass>("needed");
                return Err((code, message, NEEDED_HELP.into()));
            }
        };
        let half_width_kg = lead.doubt.map_or(0.0, |doubt| doubt.half_width);
        if lead.value.abs() > MOST_KG || half_width_kg > MOST_KG {
            let message = format!("needed is \"{text}\", but must be at most {MOST_KG:.0} kg");
            return Err((ProblemCode::OutOfRange, message, NEEDED_HELP.into()));
        }
        Ok(Self { lead, place: place.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // by the definition of the words; 10° and 20° in radians by hand
    #[test]
    fn words_are_pitches() {
        let of = |text: &str| HungRow::of(text).map(|row| (row.pitch_rad, row.half_width_rad));
        let near = |found: Result<(f64, f64), Fault>, pitch_rad: f64, half_width_rad: f64| {
            let (pitch, half_width) = found.expect("a pitch");
            assert!((pitch - pitch_rad).abs() < 1e-12 && (half_width - half_width_rad).abs() < 1e-12);
        };
        near(of("level"), 0.0, 0.174_532_925_199_432_95);
        near(of("Head  down 20°"), -0.349_065_850_398_865_9, 0.174_532_925_199_432_95);
        near(of("head down 20 ± 10°"), -0.349_065_850_398_865_9, 0.174_532_925_199_432_95);
        near(of("head up 10° ± 20 deg"), 0.174_532_925_199_432_95, 0.349_065_850_398_865_9);
        near(of("level ± 20 degrees"), 0.0, 0.349_065_850_398_865_9);
        for wrong in
            ["", "upright", "head down", "head up 70°", "head up -5°", "level 5°", "head up 10 ± 0°", "head up 1e1"]
        {
            assert!(of(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn words_are_lead_at_a_place() {
        let found = NeededRow::of("1 lb at the Tail").expect("lead");
        assert_eq!(found.place, "tail");
        assert!((found.lead.value - 0.453_592_37).abs() < 1e-12, "{found:?}"); // the pound by its definition
        assert_eq!(NeededRow::of("−0.5 ± 0.1 kg on left thigh").expect("lead").lead.value, -0.5);
        for wrong in [
            "0.5 kg",
            "at the ankles",
            "0.5 at the ankles",
            "0.5 kg at the moon",
            "50 kg at the tail",
            "5 m at the tail",
        ] {
            assert!(NeededRow::of(wrong).is_err(), "{wrong}");
        }
    }
}
