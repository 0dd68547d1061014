//! A cylinder by its reading in water: read empty, or with gas in it.

use super::Builder;
use super::cylinders::{FILL, Shell};
use crate::physics::gas::GasMix;
use crate::plan::catalogue::{Size, size};
use crate::plan::file::CylinderTable;
use crate::plan::inputs::Limit;
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::{FILL_TEMPERATURE, Typical, material};
use crate::plan::unit::Mass;
use crate::plan::written::Written;
use crate::units::{ATMOSPHERE_PA, BAR_PA, Quantity};

/// The metal that a reading implies may differ so much from steel or aluminium: a few hundred grams of the reading, the
/// valve, a per cent of the capacity, a fill that was not quite the plan's, and with a size the class's own scatter come
/// to that.
const METAL_FRAC: f64 = 0.35;
/// Of a reading without its pressure: so much of the mass is valve, kg and m³.
const VALVE: (f64, f64) = (0.8, 0.8 / 8500.0);

/// What a spring scale said of a cylinder.
struct Read {
    lift_kg: f64,
    /// gas that was in it
    gas_kg: f64,
}

impl Builder<'_, '_> {
    /// Displaced volume of a cylinder by its reading in water: `V = (m + gas + B)/ρ`.
    pub(super) fn read_volume(
        &mut self,
        key: Key,
        table: &CylinderTable,
        reading: &Written<Mass>,
        mix: &GasMix,
        shell: &Shell,
    ) -> f64 {
        let Read { lift_kg, gas_kg } = self.reading(key, table, reading, mix, shell.water_m3);
        let at = key.field("in_water");
        let volume_m3 = self.volume_of_reading(key, at, table.read_in.as_deref(), shell.mass_kg + gas_kg, lift_kg);
        if table.read_at.is_none() && !self.is_draw() && self.is_told_full(key, table, mix, shell, volume_m3, lift_kg) {
            return f64::NAN; // told here
        }
        volume_m3
    }

    /// A cylinder of a size, known by its reading in water. Cylinders of one size are alike outside and differ in their
    /// walls, so the reading tells the mass: `B = ρ·(V₀ + (m − m₀)/ρ_metal) − m − gas`, solved for `m`.
    pub(super) fn read_shell(
        &mut self,
        key: Key,
        table: &CylinderTable,
        reading: &Written<Mass>,
        mix: &GasMix,
        size: &'static Size,
        water_m3: f64,
    ) -> Shell {
        let typical_m3 =
            self.inputs.typical_of(key.field("external"), Quantity::Volume, size.external(), &size.provenance);
        let class = Shell { water_m3, mass_kg: size.mass_kg, external_m3: typical_m3 };
        let Read { lift_kg, gas_kg } = self.reading(key, table, reading, mix, water_m3);
        let at = key.field("in_water");
        let usual_m3 = self.volume_of_reading(key, at, table.read_in.as_deref(), size.mass_kg + gas_kg, lift_kg);
        if table.read_at.is_none() && !self.is_draw() && self.is_told_full(key, table, mix, &class, usual_m3, lift_kg) {
            return Shell { water_m3, mass_kg: f64::NAN, external_m3: f64::NAN }; // told here
        }
        let water_kg_m3 = (size.mass_kg + gas_kg + lift_kg) / usual_m3;
        let metal_kg_m3 = size.metal_kg_m3();
        let hollow_kg = water_kg_m3 * (typical_m3 - size.mass_kg / metal_kg_m3);
        let mass_kg = (hollow_kg - gas_kg - lift_kg) / (1.0 - water_kg_m3 / metal_kg_m3);
        Shell { water_m3, mass_kg, external_m3: typical_m3 + (mass_kg - size.mass_kg) / metal_kg_m3 }
    }

    /// A reading, and the mass of the gas that was in the cylinder.
    fn reading(
        &mut self,
        key: Key,
        table: &CylinderTable,
        reading: &Written<Mass>,
        mix: &GasMix,
        water_m3: f64,
    ) -> Read {
        let group = table.scale.as_deref().map(|scale| ("scale", scale));
        let lift_kg = self.inputs.take(key.field("in_water"), reading, Limit::Any, group);
        let gas_kg = match &table.read_at {
            None => 0.0,
            Some(pressure) => {
                let gauge_pa = self.inputs.take(key.field("read_at"), pressure, FILL, None);
                // a rested cylinder, as for its fill: in colder water it reads lower with the same gas in it
                let temperature_k = FILL_TEMPERATURE.estimate.value;
                self.gas_kg(mix, gauge_pa, temperature_k, water_m3)
            }
        };
        Read { lift_kg, gas_kg }
    }

    /// Mass of the gas in a cylinder, kg; `NaN` where the equation knows none, which its limits prevent.
    fn gas_kg(&self, mix: &GasMix, gauge_pa: f64, temperature_k: f64, water_m3: f64) -> f64 {
        let density = mix.molar_density_mol_m3(gauge_pa + ATMOSPHERE_PA, temperature_k, self.equation);
        density.unwrap_or(f64::NAN) * mix.molar_kg_mol() * water_m3
    }

    /// A reading without a pressure is taken as that of an empty cylinder. Refused is one that makes neither a steel nor
    /// an aluminium one empty, and one of them full.
    fn is_told_full(
        &mut self,
        key: Key,
        table: &CylinderTable,
        mix: &GasMix,
        shell: &Shell,
        empty_m3: f64,
        lift_kg: f64,
    ) -> bool {
        let Some(fill) = table.fill.as_ref().and_then(|fill| fill.estimate().ok()) else { return false };
        let gas_kg = self.gas_kg(mix, fill.value, FILL_TEMPERATURE.estimate.value, shell.water_m3);
        let full_m3 = empty_m3 * (shell.mass_kg + gas_kg + lift_kg) / (shell.mass_kg + lift_kg);
        let own = table.size.as_deref().and_then(size).map(|size| size.material.as_str());
        let is_metal = |outside_m3: f64| {
            let metal_m3 = outside_m3 - shell.water_m3 - VALVE.1;
            let density_kg_m3 = (shell.mass_kg - VALVE.0) / metal_m3;
            let metals = ["steel", "aluminium"].into_iter().filter(|name| own.is_none_or(|own| own == *name));
            let fits = |metal: &Typical| (density_kg_m3 / metal.estimate.value - 1.0).abs() < METAL_FRAC;
            metal_m3 > 0.0 && metals.filter_map(material).any(fits)
        };
        let is_full = is_metal(full_m3) && !is_metal(empty_m3);
        if is_full {
            self.inputs.fault(ProblemCode::OutOfRange, key.field("in_water"), || {
                let message = "in water is the reading of an empty cylinder, but this one makes sense only full";
                let help = format!(
                    "write the pressure that it had, read_at = \"{:.0} bar\", or read it empty; read_at = \"0 bar\" \
                     says that it was",
                    fill.value / BAR_PA
                );
                (message.into(), Some(help))
            });
        }
        is_full
    }
}
