//! The water of the site and the air above it.

use super::{Builder, DrawError};
use crate::physics::atmosphere::{ALTITUDE_RANGE_M, standard_pressure_pa};
use crate::physics::water::{
    Brine, DENSITY_RANGE_KG_M3, Layer, MAX_DEPTH_M, SALINITY_RANGE, SURFACE_RANGE_PA, WATER_TEMPERATURE_RANGE_K, Water,
};
use crate::plan::file::{LayerTable, Site};
use crate::plan::inputs::Limit;
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::dive::{SITE_SALINITY, SITE_TEMPERATURE};
use crate::plan::typical::{FRESH_SALINITY, SEA_SALINITY};
use crate::plan::unit::{Density, Salinity};
use crate::plan::words::did_you_mean;
use crate::plan::written::Written;
use crate::units::ATMOSPHERE_PA;

/// What a layer is made of, as the plan writes it.
struct Made<'p> {
    water: Option<&'p str>,
    salinity: Option<&'p Written<Salinity>>,
    density: Option<&'p Written<Density>>,
}

impl Builder<'_, '_> {
    /// The water column.
    pub(super) fn water(&mut self, at: Key) -> Result<Water, DrawError> {
        let plan = self.plan;
        let empty = Site::default();
        let site = plan.file.site.as_ref().unwrap_or(&empty);
        if plan.file.site.is_none() {
            let layer = self.usual_layer(at);
            return Ok(Water::new(ATMOSPHERE_PA, &[layer])?);
        }
        self.inputs.about("site");
        let surface_pa = self.surface(at, site);
        let layers = if site.layer.is_empty() { vec![self.single_layer(at, site)] } else { self.layers(at, site) };
        if self.inputs.failure().is_some() {
            // a stand-in, so that the rest can be looked at
            return Ok(Water::new(ATMOSPHERE_PA, &[NEUTRAL])?);
        }
        Ok(Water::new(surface_pa, &layers)?)
    }

    /// The water of a plan that has no site.
    fn usual_layer(&mut self, at: Key) -> Layer {
        self.inputs.about("");
        if !self.is_draw() {
            self.notes.push(Note::NoSite);
        }
        let salinity = self.inputs.typical(at.field("salinity"), &SITE_SALINITY);
        // the far tails of a draw stay water
        let salinity = salinity.clamp(*SALINITY_RANGE.start(), *SALINITY_RANGE.end());
        Layer { top_m: 0.0, brine: Brine::PracticalSalinity(salinity), temperature_k: self.usual_temperature(at) }
    }

    fn usual_temperature(&mut self, at: Key) -> f64 {
        let temperature_k = self.inputs.typical(at.field("temperature"), &SITE_TEMPERATURE);
        temperature_k.clamp(*WATER_TEMPERATURE_RANGE_K.start(), *WATER_TEMPERATURE_RANGE_K.end())
    }

    fn surface(&mut self, at: Key, site: &Site) -> f64 {
        let pressure_limit = Limit::Within(*SURFACE_RANGE_PA.start(), *SURFACE_RANGE_PA.end());
        match (&site.altitude, &site.surface_pressure) {
            (None, None) => ATMOSPHERE_PA,
            (None, Some(pressure)) => self.inputs.take(at.field("surface_pressure"), pressure, pressure_limit, None),
            (Some(altitude), None) => {
                // the upper end is where the air is thinner than the column takes
                let limit = Limit::Within(*ALTITUDE_RANGE_M.start(), 5500.0);
                let altitude_m = self.inputs.take(at.field("altitude"), altitude, limit, None);
                standard_pressure_pa(altitude_m).unwrap_or(f64::NAN)
            }
            (Some(_), Some(_)) => {
                self.inputs.fault(ProblemCode::WhichKeys, at.field("surface_pressure"), || {
                    ("altitude and surface_pressure are both given; one says it all".into(), None)
                });
                f64::NAN
            }
        }
    }

    fn single_layer(&mut self, at: Key, site: &Site) -> Layer {
        let made =
            Made { water: site.water.as_deref(), salinity: site.salinity.as_ref(), density: site.density.as_ref() };
        let brine = self.brine(at, made);
        let temperature_k = match &site.temperature {
            Some(temperature) => self.inputs.take(at.field("temperature"), temperature, TEMPERATURE, None),
            None => self.usual_temperature(at),
        };
        Layer { top_m: 0.0, brine, temperature_k }
    }

    fn layers(&mut self, at: Key, site: &Site) -> Vec<Layer> {
        for (given, key) in [
            (site.water.is_some(), "water"),
            (site.salinity.is_some(), "salinity"),
            (site.density.is_some(), "density"),
            (site.temperature.is_some(), "temperature"),
        ] {
            if given {
                self.inputs.fault(ProblemCode::WhichKeys, at.field(key), || {
                    (format!("site.{key} and [[site.layer]] are both given"), Some("write it in each layer".into()))
                });
            }
        }
        let list = at.field("layer");
        let mut above_m = f64::NEG_INFINITY;
        let layers = site.layer.iter().enumerate();
        layers
            .map(|(i, table)| {
                let at = list.index(i);
                if !self.is_draw() {
                    self.inputs.about(&format!("layer {}", i + 1));
                }
                let layer = self.layer(at, table, above_m);
                above_m = layer.top_m;
                layer
            })
            .collect()
    }

    fn layer(&mut self, at: Key, table: &LayerTable, above_m: f64) -> Layer {
        let top_m = match &table.from {
            None if above_m == f64::NEG_INFINITY => 0.0,
            None => {
                self.inputs.missing(at.field("from"), || "from = \"12 m\", the depth of the layer's upper side".into());
                f64::NAN
            }
            Some(from) => self.inputs.take(at.field("from"), from, Limit::Within(0.0, MAX_DEPTH_M), None),
        };
        let first = above_m == f64::NEG_INFINITY;
        if (first && top_m > 0.0) || top_m < above_m + THINNEST_M || top_m >= MAX_DEPTH_M {
            self.inputs.fault(ProblemCode::LayerOrder, at.field("from"), || {
                let expected = match first {
                    true => "the first layer starts at the surface",
                    false => "layers follow one another downwards, each at least 1 cm thick",
                };
                (format!("this layer starts at {top_m} m, but {expected}"), None)
            });
        }
        let made =
            Made { water: table.water.as_deref(), salinity: table.salinity.as_ref(), density: table.density.as_ref() };
        let brine = self.brine(at, made);
        let temperature_k = self.inputs.need(at, "temperature", &table.temperature, TEMPERATURE);
        Layer { top_m, brine, temperature_k }
    }

    fn brine(&mut self, at: Key, made: Made) -> Brine {
        match (made.water, made.salinity, made.density) {
            (Some(word), None, None) => Brine::PracticalSalinity(self.named_water(at.field("water"), word)),
            (None, Some(salinity), None) => {
                let limit = Limit::Within(*SALINITY_RANGE.start(), *SALINITY_RANGE.end());
                Brine::PracticalSalinity(self.inputs.take(at.field("salinity"), salinity, limit, None))
            }
            (None, None, Some(density)) => {
                let limit = Limit::Within(*DENSITY_RANGE_KG_M3.start(), *DENSITY_RANGE_KG_M3.end());
                Brine::Density(self.inputs.take(at.field("density"), density, limit, None))
            }
            _ => {
                self.inputs.fault(ProblemCode::WhichKeys, at, || {
                    let help = "write water = \"sea\" or \"fresh\", salinity = \"35 PSU\", or density = \"1025 kg/m3\"";
                    (format!("{at} needs exactly one of water, salinity and density"), Some(help.into()))
                });
                NEUTRAL.brine
            }
        }
    }

    fn named_water(&mut self, at: Key, word: &str) -> f64 {
        match word {
            "sea" => self.inputs.typical(at, &SEA_SALINITY),
            "fresh" => self.inputs.typical(at, &FRESH_SALINITY),
            other => {
                self.inputs.fault(ProblemCode::UnknownWord, at, || {
                    let help = did_you_mean(other, ["sea", "fresh"])
                        .or_else(|| Some("write salinity = \"20 PSU\" for a water in between".into()));
                    (format!("water is \"{other}\", but must be \"sea\" or \"fresh\""), help)
                });
                f64::NAN
            }
        }
    }
}

/// Thinnest layer, m. Nobody sounds thinner ones, and a way through one must take a time that can be told from none.
const THINNEST_M: f64 = 0.01;
const TEMPERATURE: Limit = Limit::Within(*WATER_TEMPERATURE_RANGE_K.start(), *WATER_TEMPERATURE_RANGE_K.end());

/// Stands in for a water that cannot be built, so that the rest of the plan can be checked.
const NEUTRAL: Layer = Layer { top_m: 0.0, brine: Brine::Density(1000.0), temperature_k: 288.15 };
