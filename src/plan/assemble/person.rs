//! The diver's body: from its figures, or a typical one of its mass, sex, height and age.

use super::Builder;
use super::figures::{Figures, at};
use crate::plan::file::Person;
use crate::plan::inputs::Limit;
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::body::{Build, Sex};
use crate::plan::typical::{FRESH_KG_M3, HEAD_OUT, LUNG_TRIM, SWIM_UP};
use crate::rig::{Body, Part, Role};
use crate::units::{ATMOSPHERE_PA, Quantity};

/// Heights of divers, m.
const HEIGHT: Limit = Limit::Within(1.2, 2.3);
/// Masses for which the typical bodies were worked out, kg.
const MASS: Limit = Limit::Within(30.0, 200.0);
/// Ages in years.
const AGE_YEARS: std::ops::RangeInclusive<i64> = 10..=99;

/// What the body can do, and what typical figures of a suit follow from.
pub(super) struct Diver {
    pub build: Build,
    pub lung_trim_m3: f64,
    pub swim_up_kg: f64,
    pub head_out_m3: f64,
}

impl Builder<'_, '_> {
    pub(super) fn person(&mut self, key: Key, parts: &mut Vec<Part>) -> Diver {
        let plan = self.plan;
        let Some(person) = &plan.file.diver else {
            self.inputs.missing(key, || "a table [diver] with mass = \"84 kg\"".into());
            let build = Build { mass_kg: f64::NAN, sex: None, height_m: None, age_years: None };
            self.stance = self.stance(key, &Person::default(), &build);
            return Diver { build, lung_trim_m3: 0.0, swim_up_kg: 0.0, head_out_m3: 0.0 };
        };
        let Person { mass, volume, in_water, read_in, scale, swim_up, lung_trim, head_out, .. } = person;
        self.inputs.about("diver");
        let (build, body) = if volume.is_none() && in_water.is_none() && read_in.is_none() && scale.is_none() {
            let mass_kg = self.inputs.need(key, "mass", mass, MASS);
            let build = self.build(key, person, mass_kg);
            (build, self.typical_body(key, &build))
        } else {
            let figures = Figures {
                mass: at(&key, "mass", mass),
                volume: at(&key, "volume", volume),
                in_water: at(&key, "in_water", in_water),
                read_in: read_in.as_deref(),
                scale: scale.as_deref(),
                ..Figures::NONE
            };
            if mass.is_none() && in_water.is_some() {
                // head and shoulders, and every change of water, need the body's volume
                self.inputs.missing(key.field("mass"), || "mass = \"84 kg\" beside the reading".into());
            }
            let body = self.body(key, figures, "volume or in_water");
            (self.build(key, person, body.bulk(ATMOSPHERE_PA).mass_kg), body)
        };
        let swim_up_kg = self.inputs.or_typical(key, "swim_up", swim_up, &SWIM_UP, Limit::NotNegative);
        let lung_trim_m3 = self.inputs.or_typical(key, "lung_trim", lung_trim, &LUNG_TRIM, Limit::NotNegative);
        let head_out_m3 = match head_out {
            Some(volume) => self.inputs.take(key.field("head_out"), volume, Limit::NotNegative, None),
            None => self.inputs.typical(key.field("head_out"), &HEAD_OUT) * body.bulk(ATMOSPHERE_PA).volume_m3,
        };
        self.stance = self.stance(key, person, &build);
        let at = Some(self.body_centres(key, person, &body.bulk(ATMOSPHERE_PA)));
        parts.push(Part { name: "diver".into(), role: Role::Person, count: 1, body, ditchable: false, at });
        Diver { build, lung_trim_m3, swim_up_kg, head_out_m3 }
    }

    /// What the plan says of the body's build.
    fn build(&mut self, key: Key, person: &Person, mass_kg: f64) -> Build {
        let sex = self.choice(key.field("sex"), person.sex.as_deref(), &["man", "woman"]);
        let height_m = person.height.as_ref().map(|height| self.inputs.take(key.field("height"), height, HEIGHT, None));
        let age = person.age;
        if let Some(years) = age.filter(|years| !AGE_YEARS.contains(years)) {
            self.inputs.fault(ProblemCode::OutOfRange, key.field("age"), || {
                let (low, high) = (AGE_YEARS.start(), AGE_YEARS.end());
                (format!("age is {years}, but must be between {low} and {high} years"), None)
            });
        }
        let sex = sex.map(|i| [Sex::Man, Sex::Woman][i]);
        Build { mass_kg, sex, height_m, age_years: age.map(|years| years as f64) }
    }

    /// A body whose lift in fresh water is the typical one of its build: `V = (m + B)/ρ`.
    fn typical_body(&mut self, key: Key, build: &Build) -> Body {
        let (lift, basis) = build.lift_kg();
        let lift_kg = self.inputs.typical_of(key.field("in_water"), Quantity::Mass, lift, basis.source);
        if !self.is_draw() {
            let half_width_kg = lift.doubt.map_or(0.0, |doubt| doubt.half_width);
            self.notes.push(Note::TypicalBody { from: basis.from, lift_kg: lift.value, half_width_kg });
        }
        Body::Rigid { mass_kg: build.mass_kg, volume_m3: (build.mass_kg + lift_kg) / FRESH_KG_M3 }
    }
}
