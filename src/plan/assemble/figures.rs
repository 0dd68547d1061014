//! A body from whatever is known of it: mass with volume, density, material or reading; a reading alone; foam; a piece of
//! the gear list.

use super::Builder;
use crate::physics::foam::Foam;
use crate::physics::water::DENSITY_RANGE_KG_M3;
use crate::plan::file::FoamTable;
use crate::plan::gear::Figure;
use crate::plan::inputs::{Group, Inputs, Limit, Shared, shown};
use crate::plan::key::{CellAt, Key};
use crate::plan::problem::ProblemCode;
use crate::plan::typical::unweighed::{UNWEIGHED_SOURCE, unweighed_at_kg, unweighed_kg};
use crate::plan::typical::{FOAM_COMPLIANCE, FOAM_GAS, MATERIALS, READING_WATERS, Typical, material};
use crate::plan::unit::{Density, Dimension, Mass, Volume};
use crate::plan::words::{any_of, did_you_mean};
use crate::plan::written::Written;
use crate::rig::Body;
use crate::units::Quantity;

const SHARE: Limit = Limit::Within(0.0, 1.0);
/// Densities of solid things, kg/m³: from light foam to the densest metal.
const DENSITY: Limit = Limit::Within(10.0, 25_000.0);

/// A figure with the place where it stands.
pub(super) type At<'a, D> = Option<(Key<'a>, &'a Written<D>)>;

/// All ways in which a body may be known.
#[derive(Clone, Copy)]
pub(super) struct Figures<'a> {
    /// row of the gear list, if it comes from there
    pub row: Option<usize>,
    pub mass: At<'a, Mass>,
    pub volume: At<'a, Volume>,
    pub density: At<'a, Density>,
    pub material: Option<&'a str>,
    pub in_water: At<'a, Mass>,
    pub read_in: Option<&'a str>,
    pub scale: Option<&'a str>,
    pub foam: Option<&'a FoamTable>,
}

impl<'a> Figures<'a> {
    /// Nothing is known.
    pub const NONE: Figures<'static> = Figures {
        row: None,
        mass: None,
        volume: None,
        density: None,
        material: None,
        in_water: None,
        read_in: None,
        scale: None,
        foam: None,
    };

    /// Whether nothing is written but perhaps a scale.
    pub fn is_empty(&self) -> bool {
        self.mass.is_none() && self.is_without_volume() && self.read_in.is_none() && self.foam.is_none()
    }

    fn is_without_volume(&self) -> bool {
        self.volume.is_none() && self.density.is_none() && self.material.is_none() && self.in_water.is_none()
    }
}

/// A key with its value, if it is written.
pub(super) fn at<'a, D>(table: &'a Key<'a>, key: &'static str, value: &'a Option<Written<D>>) -> At<'a, D> {
    value.as_ref().map(|quantity| (table.field(key), quantity))
}

impl Builder<'_, '_> {
    /// From a piece of the gear list, or from figures of its own.
    pub(super) fn body_or_piece(&mut self, key: Key, piece: &Option<String>, figures: Figures, ways: &str) -> Body {
        let Some(wanted) = piece else {
            return self.body(key, figures, ways);
        };
        let piece_key = key.field("piece");
        if !figures.is_empty() {
            self.inputs.fault(ProblemCode::WhichKeys, piece_key, || {
                let help = "leave either out".into();
                (format!("{key} has a piece of the gear list and figures of its own"), Some(help))
            });
        }
        let plan = self.plan;
        let Some(list) = &plan.gear else {
            if plan.file.gear_list.is_none() {
                self.inputs.missing(Key::Root.field("gear_list"), || {
                    format!("gear_list = \"gear.csv\", which holds \"{wanted}\"")
                });
            }
            return NOTHING; // a list that cannot be read is a problem of its own
        };
        let Some(row) = list.find(wanted) else {
            self.inputs.fault(ProblemCode::UnknownPiece, piece_key, || {
                let names = list.pieces.iter().map(|piece| piece.name.as_str());
                (format!("\"{wanted}\" is not in {}", list.file), did_you_mean(wanted, names))
            });
            return NOTHING;
        };
        let found = &list.pieces[row];
        fn cell<'a, D>(figure: &'a Option<Figure<D>>, key: impl Fn(((usize, usize), usize)) -> Key<'a>) -> At<'a, D> {
            figure.as_ref().map(|figure| (key((figure.span, figure.readings)), &figure.quantity))
        }
        let figures = Figures {
            row: Some(row),
            mass: cell(&found.mass, |at| list.cell(found, "mass", at)),
            volume: cell(&found.volume, |at| list.cell(found, "volume", at)),
            density: cell(&found.density, |at| list.cell(found, "density", at)),
            in_water: cell(&found.in_water, |at| list.cell(found, "in_water", at)),
            read_in: found.read_in.as_deref(),
            scale: found.scale.as_deref(),
            ..Figures::NONE
        };
        self.inputs.about(&found.name);
        self.body(list.cell(found, "name", (found.name_span, 1)), figures, "volume, density or in_water")
    }

    /// Mass and displacement from whatever is known.
    pub(super) fn body(&mut self, key: Key, figures: Figures, ways: &str) -> Body {
        let known = [
            figures.volume.is_some(),
            figures.density.is_some(),
            figures.material.is_some(),
            figures.in_water.is_some(),
        ];
        let known = known.iter().filter(|given| **given).count();
        let foam_has_volume = figures.foam.is_some_and(|foam| foam.volume.is_some() || foam.thickness.is_some());
        if let (Some(foam), Some((at, density)), None, 1) = (figures.foam, figures.density, figures.mass, known)
            && foam_has_volume
        {
            let volume_m3 = self.foam_volume(key, foam);
            let mass_kg = volume_m3 * self.figure(figures.row, "density", at, density, DENSITY, None);
            return Body::Foam { mass_kg, foam: self.foam(key.field("foam"), foam, volume_m3) };
        }
        if known + usize::from(foam_has_volume) != 1 {
            self.inputs.fault(ProblemCode::WhichKeys, key, || {
                let what = if matches!(key, Key::Cell(_)) { "this piece".into() } else { key.to_string() };
                let help = "a part is known by its mass and one of these; or by in_water alone: with read_in its mass is then typical, without it does not follow a change of water";
                (format!("{what} needs exactly one of {ways}"), Some(help.into()))
            });
            return NOTHING;
        }
        let Some((mass_at, mass)) = figures.mass else {
            return self.bare_reading(key, &figures);
        };
        let mass_kg = self.figure(figures.row, "mass", mass_at, mass, Limit::NotNegative, None);
        let volume_m3 = match figures.foam {
            Some(foam) if foam_has_volume => self.foam_volume(key, foam),
            _ => self.volume(key, &figures, mass_kg),
        };
        match figures.foam {
            None => Body::Rigid { mass_kg, volume_m3 },
            Some(foam) => Body::Foam { mass_kg, foam: self.foam(key.field("foam"), foam, volume_m3) },
        }
    }

    /// A piece that was read in water and not weighed: with the water of the reading its mass is typical and it follows a
    /// change of water; without, the reading stands for every water.
    fn bare_reading(&mut self, key: Key, figures: &Figures) -> Body {
        let Some((reading_at, reading)) = figures.in_water else {
            self.inputs.missing(key.field("mass"), || "mass = \"2.6 kg\"".into());
            return NOTHING;
        };
        if figures.foam.is_some() && figures.read_in.is_none() {
            self.inputs.missing(key.field("mass"), || "mass = \"2.6 kg\"; or read_in, the water of the reading".into());
            return NOTHING;
        }
        let group = figures.scale.map(|scale| ("scale", scale));
        let lift_kg = self.figure(figures.row, "in_water", reading_at, reading, Limit::Any, group);
        let planned_kg = reading.estimate().map_or(f64::NAN, |reading| reading.value);
        let typical = figures.read_in.and_then(|_| unweighed_kg(planned_kg, figures.foam.is_some()));
        let Some(typical) = typical else { return Body::Reading { lift_kg } };
        let at = match reading_at {
            Key::Cell(cell) => Key::Cell(CellAt { column: "mass", ..cell }),
            _ => key.field("mass"),
        };
        let ask = |inputs: &mut Inputs| inputs.typical_of(at, Quantity::Mass, typical, UNWEIGHED_SOURCE);
        let drawn_kg = match figures.row {
            Some(row) => self.inputs.once(Shared::Listed(row, "mass"), ask),
            None => ask(&mut self.inputs),
        };
        let mass_kg = unweighed_at_kg(drawn_kg, planned_kg, lift_kg);
        let volume_m3 = self.volume_of_reading(key, reading_at, figures.read_in, mass_kg, lift_kg);
        match figures.foam {
            None => Body::Rigid { mass_kg, volume_m3 },
            Some(foam) => Body::Foam { mass_kg, foam: self.foam(key.field("foam"), foam, volume_m3) },
        }
    }

    fn volume(&mut self, key: Key, figures: &Figures, mass_kg: f64) -> f64 {
        if let Some((at, volume)) = figures.volume {
            self.figure(figures.row, "volume", at, volume, Limit::NotNegative, None)
        } else if let Some((at, density)) = figures.density {
            mass_kg / self.figure(figures.row, "density", at, density, DENSITY, None)
        } else if let Some(word) = figures.material {
            mass_kg / self.material(key.field("material"), word)
        } else if let Some((at, reading)) = figures.in_water {
            let group = figures.scale.map(|scale| ("scale", scale));
            let lift_kg = self.figure(figures.row, "in_water", at, reading, Limit::Any, group);
            self.volume_of_reading(key, at, figures.read_in, mass_kg, lift_kg)
        } else {
            f64::NAN
        }
    }

    /// `V = (m + B)/ρ`: volume from mass and a reading in a known water.
    pub(super) fn volume_of_reading(
        &mut self,
        key: Key,
        at: Key,
        read_in: Option<&str>,
        mass_kg: f64,
        lift_kg: f64,
    ) -> f64 {
        let water_kg_m3 = self.reading_water(key, at, read_in);
        let volume_m3 = (mass_kg + lift_kg) / water_kg_m3;
        if mass_kg + lift_kg < 0.0 {
            self.inputs.fault(ProblemCode::NegativeVolume, at, || {
                let (mass, lift) = (shown(mass_kg), shown(lift_kg));
                let help = "nothing pulls down with more than its mass: check both figures; a piece that floats has a positive reading";
                (format!("a mass of {mass} kg and a reading of {lift} kg give a volume below zero"), Some(help.into()))
            });
        }
        volume_m3
    }

    fn reading_water(&mut self, key: Key, at: Key, read_in: Option<&str>) -> f64 {
        let word_key = match at {
            Key::Cell(_) => at,
            _ => key.field("read_in"),
        };
        let Some(word) = read_in else {
            self.inputs.missing(word_key, || {
                "read_in = \"pool\", \"fresh\", \"sea\", \"site\" or a density: the water of the reading".into()
            });
            return f64::NAN;
        };
        if word == "site" {
            return self.surface_kg_m3;
        }
        if let Some((_, water)) = READING_WATERS.iter().find(|(name, _)| *name == word) {
            return self.inputs.typical(word_key, water);
        }
        let density = Written::<Density>::parse(word);
        if density.estimate().is_err() {
            self.inputs.fault(ProblemCode::UnknownWord, word_key, || {
                let known = ["pool", "fresh", "sea", "site"];
                let message = format!(
                    "read_in is \"{word}\", but must be {} or a density such as \"1025 kg/m3\"",
                    any_of(&known)
                );
                (message, did_you_mean(word, known))
            });
            return f64::NAN;
        }
        let waters = Limit::Within(*DENSITY_RANGE_KG_M3.start(), *DENSITY_RANGE_KG_M3.end());
        self.inputs.take(word_key, &density, waters, None)
    }

    fn material(&mut self, at: Key, word: &str) -> f64 {
        let found: Option<&'static Typical> = material(word);
        let Some(density) = found else {
            self.inputs.fault(ProblemCode::UnknownMaterial, at, || {
                let names: Vec<&str> = MATERIALS.iter().map(|(names, _)| names[0]).collect();
                let help = did_you_mean(word, names.iter().copied())
                    .unwrap_or_else(|| format!("write {}, or the density", any_of(&names)));
                (format!("\"{word}\" is not a material of the list"), Some(help))
            });
            return f64::NAN;
        };
        self.inputs.typical(at, density)
    }

    /// A figure; of a row of the gear list it is asked for once, however many parts use the row.
    fn figure<D: Dimension>(
        &mut self,
        row: Option<usize>,
        column: &'static str,
        at: Key,
        quantity: &Written<D>,
        limit: Limit,
        group: Group,
    ) -> f64 {
        match row {
            Some(row) => {
                self.inputs.once(Shared::Listed(row, column), |inputs| inputs.take(at, quantity, limit, group))
            }
            None => self.inputs.take(at, quantity, limit, group),
        }
    }

    pub(super) fn foam_volume(&mut self, key: Key, table: &FoamTable) -> f64 {
        let at = key.field("foam");
        match (&table.volume, &table.thickness, &table.area) {
            (Some(volume), None, None) => self.inputs.take(at.field("volume"), volume, Limit::Positive, None),
            (None, Some(thickness), Some(area)) => {
                let thickness_m = self.inputs.take(at.field("thickness"), thickness, Limit::Positive, None);
                thickness_m * self.inputs.take(at.field("area"), area, Limit::Positive, None)
            }
            _ => {
                self.inputs.fault(ProblemCode::WhichKeys, at, || {
                    let help = "write { thickness = \"5 mm\", area = \"2.0 m2\" } or { volume = \"10 L\" }".into();
                    ("foam needs thickness and area, or volume".into(), Some(help))
                });
                f64::NAN
            }
        }
    }

    pub(super) fn foam(&mut self, at: Key, table: &FoamTable, volume0_m3: f64) -> Foam {
        let gas_frac = self.inputs.or_typical(at, "gas_fraction", &table.gas_fraction, &FOAM_GAS, SHARE);
        let compliance_frac = self.inputs.or_typical(at, "compliance", &table.compliance, &FOAM_COMPLIANCE, SHARE);
        Foam { volume0_m3, gas_frac, compliance_frac }
    }
}

/// Stands in for a body that cannot be built.
pub(super) const NOTHING: Body = Body::Rigid { mass_kg: 0.0, volume_m3: 0.0 };
