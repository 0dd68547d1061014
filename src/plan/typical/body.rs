//! The diver's body: what it does in water at mid-lung, and its area.
//!
//! Net lift in fresh water, lungs half full, of a body of mass `m`, height `h` and age `a` (half-widths for 95 %):
//!
//! | known | net lift, kg | ± kg |
//! | --- | --- | --- |
//! | man, h, m, a | `−0.55 − 7.0·(h − 1.70 m) + 0.046·(m − 75 kg) + 0.037·(a − 40)` | 2.3 |
//! | woman, h, m, a | `+1.37 − 4.8·(h − 1.70 m) + 0.059·(m − 75 kg) + 0.036·(a − 40)` | 2.0 |
//! | man, m | `−0.71 + 0.030·(m − 75 kg)` | 2.6 |
//! | woman, m | `+1.68 + 0.043·(m − 75 kg)` | 2.2 |
//! | m | `+0.25` | 3.1 |
//!
//! Computed from: body density without lung gas, men 1055 ± 19 kg/m³ (SD, n = 250, underwater weighing: Johnson 1996, J.
//! Stat. Educ. 4(1), seen), women 1043 ± 14 (18 to 22 years) and 1031 ± 15 (33 to 50 years; J. Appl. Physiol. 1975, seen);
//! lung volumes ECSC 1993 (coefficients seen second-hand, their scatter from memory), of which 60 % (30 to 100) of the
//! expiratory reserve are kept under water and half a breath of 0.3 to 0.8 L (our own judgement); 0.1 L in the gut (seen);
//! statures and masses of ANSUR II (seen).
//!
//! Without the age the one of height stands with 40 years ± 20 (our own judgement): its slope of 0.037 or 0.036 kg a year
//! makes that ± 0.74 or ± 0.72 kg, and in quadrature ± 2.4 or ± 2.1 kg.

use crate::estimate::Estimate;

/// Sex, as the tables of lungs and body density know it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sex {
    /// Figures of men.
    Man,
    /// Figures of women.
    Woman,
}

/// What is known of a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Build {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Sex, if it is known.
    pub sex: Option<Sex>,
    /// Height, m, if it is known.
    pub height_m: Option<f64>,
    /// Age, years, if it is known.
    pub age_years: Option<f64>,
}

/// Years by which divers of unknown age differ from 40, for 95 % (our own judgement).
const AGE_HALF_WIDTH_YEARS: f64 = 20.0;
/// By how much an area by Mosteller's formula may be off, for 95 % (our own judgement).
pub const AREA_HALF_WIDTH_FRAC: f64 = 0.07;

/// Coefficients of a net lift: at 1.70 m, 75 kg and 40 years; per metre, kilogram and year; half-width for 95 %.
struct Line {
    lift_kg: f64,
    per_m: f64,
    per_kg: f64,
    per_year: f64,
    half_width_kg: f64,
}

const MAN: Line = Line { lift_kg: -0.55, per_m: -7.0, per_kg: 0.046, per_year: 0.037, half_width_kg: 2.3 };
const WOMAN: Line = Line { lift_kg: 1.37, per_m: -4.8, per_kg: 0.059, per_year: 0.036, half_width_kg: 2.0 };
const MAN_BY_MASS: Line = Line { lift_kg: -0.71, per_m: 0.0, per_kg: 0.030, per_year: 0.0, half_width_kg: 2.6 };
const WOMAN_BY_MASS: Line = Line { lift_kg: 1.68, per_m: 0.0, per_kg: 0.043, per_year: 0.0, half_width_kg: 2.2 };
const BY_MASS: Line = Line { lift_kg: 0.25, per_m: 0.0, per_kg: 0.0, per_year: 0.0, half_width_kg: 3.1 };

/// What the net lift follows from, and where that comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basis {
    /// What it was worked out from, for a reader.
    pub from: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

macro_rules! basis {
    ($from:literal) => {
        Basis {
            from: $from,
            source: concat!(
                "typical, computed from ",
                $from,
                ", fresh water, lungs half full: body densities of Johnson 1996 (J. Stat. Educ. 4(1)) and J. Appl. \
                 Physiol. 1975, lung volumes of ECSC 1993, statures of ANSUR II"
            ),
        }
    };
}

impl Build {
    /// Net lift in fresh water at mid-lung, kg, with its doubt, and what it follows from.
    pub fn lift_kg(&self) -> (Estimate, Basis) {
        let (line, basis, is_old) = match (self.sex, self.height_m, self.age_years) {
            (Some(Sex::Man), Some(_), Some(_)) => (MAN, basis!("sex, height, mass and age"), false),
            (Some(Sex::Woman), Some(_), Some(_)) => (WOMAN, basis!("sex, height, mass and age"), false),
            (Some(Sex::Man), Some(_), None) => (MAN, basis!("sex, height and mass, 40 ± 20 years"), true),
            (Some(Sex::Woman), Some(_), None) => (WOMAN, basis!("sex, height and mass, 40 ± 20 years"), true),
            (Some(Sex::Man), None, _) => (MAN_BY_MASS, basis!("sex and mass"), false),
            (Some(Sex::Woman), None, _) => (WOMAN_BY_MASS, basis!("sex and mass"), false),
            (None, ..) => (BY_MASS, basis!("mass alone"), false),
        };
        let of_height = line.per_m * (self.height_m.unwrap_or(1.70) - 1.70);
        let of_age = line.per_year * (self.age_years.unwrap_or(40.0) - 40.0);
        let lift_kg = line.lift_kg + of_height + line.per_kg * (self.mass_kg - 75.0) + of_age;
        let of_years = if is_old { line.per_year * AGE_HALF_WIDTH_YEARS } else { 0.0 };
        (Estimate::normal(lift_kg, line.half_width_kg.hypot(of_years)), basis)
    }

    /// Height and its half-width for 95 %, m.
    ///
    /// One that is not known is 1.76 ± 0.14 m of men, 1.63 ± 0.13 m of women (ANSUR II, means and scatter from
    /// memory), and 1.72 ± 0.17 m of a diver (our own judgement).
    pub fn stature_m(&self) -> (f64, f64) {
        match (self.height_m, self.sex) {
            (Some(height_m), _) => (height_m, 0.0),
            (None, Some(Sex::Man)) => (1.76, 0.14),
            (None, Some(Sex::Woman)) => (1.63, 0.13),
            (None, None) => (1.72, 0.17),
        }
    }

    /// Area of the skin, m², by Mosteller, and its half-width as a share of it, for 95 %. It goes with the root of the height.
    pub fn area(&self) -> Area {
        let (height_m, half_width_m) = self.stature_m();
        let half_width_frac = AREA_HALF_WIDTH_FRAC.hypot(0.5 * half_width_m / height_m);
        Area { area_m2: mosteller_m2(self.mass_kg, height_m), half_width_frac }
    }
}

/// Area of a body's skin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// The area, m².
    pub area_m2: f64,
    /// Half-width for 95 %, as a share of it.
    pub half_width_frac: f64,
}

/// Area of the skin: `√(height in cm · mass in kg / 3600)` m² (Mosteller, N. Engl. J. Med. 1987; the formula seen).
pub fn mosteller_m2(mass_kg: f64, height_m: f64) -> f64 {
    (100.0 * height_m * mass_kg / 3600.0).sqrt()
}
