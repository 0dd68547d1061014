//! Small builders for dives in code, in the units people speak of: the one place where tests and benches fill in the
//! library's structs. All values that are filled in are usual ones, and invented.
#![allow(dead_code)] // a bench uses its own part of it

use lightpoint::internals::physics::foam::Foam;
use lightpoint::internals::physics::gas::GasMix;
use lightpoint::internals::physics::water::{Brine, Layer, Water};
use lightpoint::internals::profile::Leg;
use lightpoint::internals::rig::{Body, CylinderSet, CylinderSpec, Part, Role};
use lightpoint::internals::scenario::LEAD_KG_M3;
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA};

/// One piece that stays on the diver.
pub fn part(name: &str, role: Role, body: Body) -> Part {
    Part { name: name.into(), role, count: 1, body, ditchable: false, at: None }
}

/// A rigid part of one piece.
pub fn rigid(name: &str, role: Role, mass_kg: f64, volume_m3: f64) -> Part {
    part(name, role, Body::Rigid { mass_kg, volume_m3 })
}

/// A part known by its reading in water only: the same lift in every water.
pub fn reading(name: &str, role: Role, lift_kg: f64) -> Part {
    part(name, role, Body::Reading { lift_kg })
}

/// A piece of suit made of foam, litres at the surface.
pub fn foam(name: &str, mass_kg: f64, volume0_l: f64, gas_frac: f64) -> Part {
    let foam = Foam { volume0_m3: volume0_l * 1e-3, gas_frac, compliance_frac: 1.0 };
    part(name, Role::Suit, Body::Foam { mass_kg, foam })
}

/// Lead.
pub fn lead(mass_kg: f64) -> Part {
    rigid("lead", Role::Ballast, mass_kg, mass_kg / LEAD_KG_M3)
}

/// A cylinder that is carried all the time and stays: litres, kg and bar gauge as they are printed; filled at 20 °C, low
/// at 35 bar.
pub fn cylinder(name: &str, litres: f64, external_l: f64, shell_kg: f64, mix: GasMix, bar: f64) -> CylinderSpec {
    CylinderSpec {
        name: name.into(),
        count: 1,
        water_m3: litres * 1e-3,
        external_m3: external_l * 1e-3,
        shell_kg,
        mix,
        fill_gauge_pa: bar * BAR_PA,
        fill_temperature_k: 293.15,
        reserve_gauge_pa: 35.0 * BAR_PA,
        carried_at_start: true,
        removable: false,
        ..CylinderSpec::default()
    }
}

/// A leg: its end in minutes and metres, the cylinder, litres a minute.
pub fn leg(end_min: f64, end_m: f64, source: usize, rate_l_min: f64) -> Leg {
    Leg {
        end_s: end_min * 60.0,
        end_m,
        source: CylinderSet::of([source]),
        rate_m3_s: rate_l_min * 1e-3 / 60.0,
        loop_mol_s: None,
    }
}

/// Legs from `(minute, metre, cylinder, litres a minute)`.
pub fn legs(points: &[(f64, f64, usize, f64)]) -> Vec<Leg> {
    points.iter().map(|&(end_min, end_m, source, rate_l_min)| leg(end_min, end_m, source, rate_l_min)).collect()
}

/// Water of layers from `(metre, brine)`, of one temperature, under one atmosphere.
pub fn layers(brines: &[(f64, Brine)], temperature_k: f64) -> Water {
    let layers: Vec<Layer> = brines.iter().map(|&(top_m, brine)| Layer { top_m, brine, temperature_k }).collect();
    Water::new(ATMOSPHERE_PA, &layers).expect("valid water")
}

/// A water of one practical salinity.
pub fn sea(salinity: f64, temperature_k: f64) -> Water {
    layers(&[(0.0, Brine::PracticalSalinity(salinity))], temperature_k)
}
