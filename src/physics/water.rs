//! The water column: density and absolute pressure at every depth.
//!
//! A column is a stack of layers, each with its own salinity and temperature (or a constant density). Within a layer
//! `dp/dz = ρ(p)·g` is integrated once and kept as polynomials of the depth.

use thiserror::Error;

use crate::physics::cheb::Cheb;
use crate::units::{ATMOSPHERE_PA, DECIBAR_PA, REFERENCE_SALINITY_RATIO, STANDARD_GRAVITY_M_S2, k_to_celsius};

/// Deepest point of a column, m.
pub const MAX_DEPTH_M: f64 = 350.0;
/// Practical salinities that a layer may have (TEOS-10's density polynomial is stated up to 42 g/kg).
pub const SALINITY_RANGE: std::ops::RangeInclusive<f64> = 0.0..=42.0;
/// Water temperatures that a layer may have, K: −2 to 40 °C, liquid and within TEOS-10's oceanographic range.
pub const WATER_TEMPERATURE_RANGE_K: std::ops::RangeInclusive<f64> = 271.15..=313.15;
/// Constant densities that a layer may have, kg/m³: from warm fresh water to a brine lake.
pub const DENSITY_RANGE_KG_M3: std::ops::RangeInclusive<f64> = 950.0..=1250.0;
/// Pascals a metre by the depth convention of instruments: 1 bar = 10 m. Source: EN 13319:2000.
pub const INSTRUMENT_PA_M: f64 = 1e4;

/// What the water of a layer is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Brine {
    /// Density from TEOS-10, by practical salinity (PSS-78); 0 is fresh water.
    PracticalSalinity(f64),
    /// One density at every depth, kg/m³, for checking by hand and for published examples.
    Density(f64),
}

/// One layer of the column, from its top downwards to the next one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// Depth of its upper side, m.
    pub top_m: f64,
    /// What it is.
    pub brine: Brine,
    /// In-situ temperature, K; gas and water share it.
    pub temperature_k: f64,
}

/// What is wrong with a water column.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum WaterError {
    /// A column needs a layer.
    #[error("a water column needs at least one layer")]
    Empty,
    /// The first layer must start at the surface.
    #[error("the first layer starts at {top_m} m, but must start at the surface (0 m)")]
    NotFromSurface {
        /// Where it starts, m.
        top_m: f64,
    },
    /// Layers must follow one another downwards.
    #[error("layer {index} starts at {top_m} m, not below the layer above it ({above_m} m) and above {MAX_DEPTH_M} m")]
    Order {
        /// Index of the layer, from 0.
        index: usize,
        /// Where it starts, m.
        top_m: f64,
        /// Where the one above starts, m.
        above_m: f64,
    },
    /// A value outside its range.
    #[error("layer {index}: {quantity} is {value} {unit}, outside {low} to {high} {unit}")]
    OutOfRange {
        /// Index of the layer, from 0.
        index: usize,
        /// Which quantity.
        quantity: &'static str,
        /// Its value, in `unit`.
        value: f64,
        /// The unit.
        unit: &'static str,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
    },
    /// Surface pressure outside the range.
    #[error("surface pressure {surface_pa} Pa is outside {low} to {high} Pa")]
    Surface {
        /// Given, Pa.
        surface_pa: f64,
        /// Lowest allowed, Pa.
        low: f64,
        /// Highest allowed, Pa.
        high: f64,
    },
}

/// Surface pressures that a column may have, Pa: from 5 000 m up to a strong high at the shore of the Dead Sea.
pub const SURFACE_RANGE_PA: std::ops::RangeInclusive<f64> = 5e4..=1.1e5;

/// A checked water column, surface to [`MAX_DEPTH_M`].
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    surface_pa: f64,
    layers: Vec<Column>,
}

/// A layer with its tables.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Column {
    layer: Layer,
    bottom_m: f64,
    pressure_pa: Cheb<5>,
    density_kg_m3: Cheb<4>,
}

impl Water {
    /// A column under `surface_pa` of air.
    ///
    /// `p(0) = p_surface`, `dp/dz = ρ(z)·g` with standard gravity, by a fourth-order Runge-Kutta step between the
    /// nodes of each layer's table (the density changes by 0.2 % over the whole column, so the error of a step is
    /// below a millionth).
    ///
    /// # Errors
    /// No layers, layers out of order, or a value outside its range.
    ///
    /// ```
    /// use lightpoint::{Brine, Layer, Water};
    /// let fresh = Layer { top_m: 0.0, brine: Brine::Density(1000.0), temperature_k: 283.15 };
    /// let lake = Water::new(101_325.0, &[fresh]).unwrap();
    /// assert!((lake.pressure_pa(0, 10.0) - (101_325.0 + 98_066.5)).abs() < 1e-6);
    /// ```
    pub fn new(surface_pa: f64, layers: &[Layer]) -> Result<Self, WaterError> {
        let (low, high) = (*SURFACE_RANGE_PA.start(), *SURFACE_RANGE_PA.end());
        if !SURFACE_RANGE_PA.contains(&surface_pa) {
            return Err(WaterError::Surface { surface_pa, low, high });
        }
        check(layers)?;
        let mut columns = Vec::with_capacity(layers.len());
        let mut top_pa = surface_pa;
        for (i, &layer) in layers.iter().enumerate() {
            let bottom_m = layers.get(i + 1).map_or(MAX_DEPTH_M, |next| next.top_m);
            let column = Column::integrate(layer, bottom_m, top_pa);
            top_pa = column.pressure_pa.at(bottom_m);
            columns.push(column);
        }
        Ok(Self { surface_pa, layers: columns })
    }

    /// Air pressure at the surface, Pa.
    pub fn surface_pa(&self) -> f64 {
        self.surface_pa
    }

    /// Number of layers.
    pub fn layer_count(&self) -> usize {
        self.layers.len()
    }

    /// A layer as it was given.
    pub fn layer(&self, index: usize) -> Layer {
        self.layers[index].layer
    }

    /// Depths between which a layer lies, m: top and bottom.
    pub fn layer_span_m(&self, index: usize) -> (f64, f64) {
        (self.layers[index].layer.top_m, self.layers[index].bottom_m)
    }

    /// Index of the layer that holds `depth_m`; on an interface the lower one.
    pub fn layer_at(&self, depth_m: f64) -> usize {
        self.layers.iter().rposition(|c| c.layer.top_m <= depth_m).unwrap_or(0)
    }

    /// Absolute pressure at a depth within (or on the edge of) layer `index`, Pa.
    #[inline]
    pub fn pressure_pa(&self, index: usize, depth_m: f64) -> f64 {
        self.layers[index].pressure_pa.at(depth_m)
    }

    /// Water density at a depth within (or on the edge of) layer `index`, kg/m³.
    #[inline]
    pub fn density_kg_m3(&self, index: usize, depth_m: f64) -> f64 {
        self.layers[index].density_kg_m3.at(depth_m)
    }

    /// True depth of an instrument's reading, m: the reading is a pressure by EN 13319 (1 bar = 10 m) over the air
    /// pressure of this surface. `None` when that is deeper than [`MAX_DEPTH_M`] or above the surface.
    pub fn depth_of_instrument_m(&self, reading_m: f64) -> Option<f64> {
        let target_pa = self.surface_pa + reading_m * INSTRUMENT_PA_M;
        if target_pa.is_nan() || reading_m < 0.0 {
            return None;
        }
        let index = self.layers.iter().position(|c| target_pa <= c.pressure_pa.at(c.bottom_m))?;
        let column = &self.layers[index];
        // Newton: the slope is ρ·g, which hardly changes, so three rounds close to rounding
        let mut depth_m = column.layer.top_m;
        for _ in 0..4 {
            let slope = column.density_kg_m3.at(depth_m) * STANDARD_GRAVITY_M_S2;
            depth_m += (target_pa - column.pressure_pa.at(depth_m)) / slope;
        }
        Some(depth_m.clamp(column.layer.top_m, column.bottom_m))
    }
}

impl Column {
    fn integrate(layer: Layer, bottom_m: f64, top_pa: f64) -> Self {
        let slope = |p: f64| density_kg_m3(layer.brine, layer.temperature_k, p) * STANDARD_GRAVITY_M_S2;
        let mut z = layer.top_m;
        let mut p = top_pa;
        let pressures = Cheb::<5>::nodes(layer.top_m, bottom_m).map(|node| {
            let h = node - z;
            let k1 = slope(p);
            let k2 = slope(p + 0.5 * h * k1);
            let k3 = slope(p + 0.5 * h * k2);
            let k4 = slope(p + h * k3);
            p += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            z = node;
            p
        });
        let pressure_pa = Cheb::through(layer.top_m, bottom_m, &pressures);
        let density_kg_m3 =
            Cheb::fit(layer.top_m, bottom_m, |z| density_kg_m3(layer.brine, layer.temperature_k, pressure_pa.at(z)));
        Self { layer, bottom_m, pressure_pa, density_kg_m3 }
    }
}

fn check(layers: &[Layer]) -> Result<(), WaterError> {
    let first = layers.first().ok_or(WaterError::Empty)?;
    if first.top_m != 0.0 {
        return Err(WaterError::NotFromSurface { top_m: first.top_m });
    }
    for (index, layer) in layers.iter().enumerate() {
        if index > 0 {
            let above_m = layers[index - 1].top_m;
            if !(layer.top_m > above_m && layer.top_m < MAX_DEPTH_M) {
                return Err(WaterError::Order { index, top_m: layer.top_m, above_m });
            }
        }
        let (quantity, value, unit, range) = match layer.brine {
            Brine::PracticalSalinity(s) => ("practical salinity", s, "PSU", SALINITY_RANGE),
            Brine::Density(d) => ("density", d, "kg/m³", DENSITY_RANGE_KG_M3),
        };
        for (quantity, value, unit, range) in
            [(quantity, value, unit, range), ("temperature", layer.temperature_k, "K", WATER_TEMPERATURE_RANGE_K)]
        {
            if !range.contains(&value) {
                let (low, high) = (*range.start(), *range.end());
                return Err(WaterError::OutOfRange { index, quantity, value, unit, low, high });
            }
        }
    }
    Ok(())
}

/// Density of a water at an in-situ temperature and an absolute pressure, kg/m³.
///
/// TEOS-10 (IOC, SCOR and IAPSO 2010), 75-term polynomial of Roquet et al. 2015, with the reference composition
/// `S_R = (35.16504/35)·S_P`. Valid over [`SALINITY_RANGE`] and [`WATER_TEMPERATURE_RANGE_K`]; `NaN` for a negative salinity.
///
/// ```
/// use lightpoint::Brine;
/// use lightpoint::internals::physics::water::density_kg_m3;
/// let sea = density_kg_m3(Brine::PracticalSalinity(35.0), 283.15, 101_325.0);
/// assert!((sea - 1026.97).abs() < 0.02);
/// ```
pub fn density_kg_m3(brine: Brine, temperature_k: f64, pressure_pa: f64) -> f64 {
    match brine {
        Brine::Density(density) => density,
        Brine::PracticalSalinity(salinity) => {
            let absolute_g_kg = salinity * REFERENCE_SALINITY_RATIO;
            let sea_dbar = (pressure_pa - ATMOSPHERE_PA) / DECIBAR_PA;
            let potential_c = potential_temperature_c(absolute_g_kg, k_to_celsius(temperature_k), sea_dbar);
            gsw::conversions::ct_from_pt(absolute_g_kg, potential_c)
                .and_then(|conservative_c| gsw::volume::rho(absolute_g_kg, conservative_c, sea_dbar))
                .unwrap_or(f64::NAN)
        }
    }
}

/// Potential temperature referred to the surface, °C, from in-situ temperature, Absolute Salinity (g/kg) and sea
/// pressure (dbar): the explicit polynomial with which TEOS-10 starts its iteration. Over a diver's depths it is
/// within 0.008 °C of the iterated value, which moves the density by 4 parts in 10⁷ (measured on the reference grid).
///
/// Source: Jackett et al. 2006, J. Atmos. Oceanic Technol. 23, 1709; coefficients as in the TEOS-10 toolbox (from memory).
fn potential_temperature_c(absolute_g_kg: f64, t_c: f64, sea_dbar: f64) -> f64 {
    let s = absolute_g_kg / REFERENCE_SALINITY_RATIO;
    let p = sea_dbar;
    t_c + p
        * (8.654_839_133_954_42e-6 - s * 1.416_362_997_448_81e-6 - p * 7.382_864_671_357_37e-9
            + t_c
                * (-8.382_413_570_396_98e-6
                    + s * 2.839_333_685_855_34e-8
                    + t_c * 1.778_039_652_186_56e-8
                    + p * 1.711_556_192_082_33e-10))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::isotherm::AMBIENT_RANGE_PA;

    fn fresh(top_m: f64) -> Layer {
        Layer { top_m, brine: Brine::Density(1000.0), temperature_k: 283.15 }
    }

    #[test]
    fn layers_join_without_a_jump_in_pressure() {
        let salt = Layer { top_m: 12.0, brine: Brine::PracticalSalinity(36.0), temperature_k: 297.15 };
        let water = Water::new(1e5, &[fresh(0.0), salt]).unwrap();
        assert!((water.pressure_pa(0, 12.0) - water.pressure_pa(1, 12.0)).abs() < 1e-3);
        assert_eq!(water.layer_at(12.0), 1);
        assert_eq!(water.layer_at(11.999), 0);
        assert!(water.density_kg_m3(1, 12.0) - water.density_kg_m3(0, 12.0) > 20.0);
    }

    #[test]
    fn the_column_is_its_own_integral() {
        // independent check: trapezoid with 1 cm steps on the density function itself
        let sea = Layer { top_m: 0.0, brine: Brine::PracticalSalinity(35.0), temperature_k: 278.15 };
        let water = Water::new(101_325.0, &[sea]).unwrap();
        let mut p = 101_325.0;
        for _ in 0..20_000 {
            let here = density_kg_m3(sea.brine, sea.temperature_k, p);
            let next = density_kg_m3(sea.brine, sea.temperature_k, p + here * 9.80665 * 0.01);
            p += 0.5 * (here + next) * STANDARD_GRAVITY_M_S2 * 0.01;
        }
        assert!((water.pressure_pa(0, 200.0) / p - 1.0).abs() < 1e-8);
        let rho = density_kg_m3(sea.brine, sea.temperature_k, p);
        assert!((water.density_kg_m3(0, 200.0) / rho - 1.0).abs() < 1e-8);
    }

    #[test]
    fn instrument_depth_is_a_pressure() {
        let water = Water::new(9e4, &[fresh(0.0), Layer { top_m: 20.0, ..fresh(0.0) }]).unwrap();
        let depth = water.depth_of_instrument_m(30.0).unwrap();
        assert!((depth - 3e5 / 9806.65).abs() < 1e-9);
        assert_eq!(water.depth_of_instrument_m(0.0), Some(0.0));
        assert_eq!(water.depth_of_instrument_m(-1.0), None);
        assert_eq!(water.depth_of_instrument_m(500.0), None);
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(Water::new(1e5, &[]), Err(WaterError::Empty));
        assert!(matches!(Water::new(f64::NAN, &[fresh(0.0)]), Err(WaterError::Surface { .. })));
        assert!(matches!(Water::new(1e5, &[fresh(1.0)]), Err(WaterError::NotFromSurface { .. })));
        assert!(matches!(Water::new(1e5, &[fresh(0.0), fresh(0.0)]), Err(WaterError::Order { index: 1, .. })));
        let hot = Layer { temperature_k: 350.0, ..fresh(0.0) };
        assert!(matches!(Water::new(1e5, &[hot]), Err(WaterError::OutOfRange { quantity: "temperature", .. })));
    }

    #[test]
    fn the_deepest_ambient_pressure_is_in_the_gas_tables() {
        let brine = Layer { top_m: 0.0, brine: Brine::Density(*DENSITY_RANGE_KG_M3.end()), temperature_k: 283.15 };
        let water = Water::new(1.1e5, &[brine]).unwrap();
        assert!(AMBIENT_RANGE_PA.contains(&water.pressure_pa(0, MAX_DEPTH_M)));
    }
}
