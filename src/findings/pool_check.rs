//! The first check in shallow water: what the wing holds with full cylinders, and whether the diver rests with nearly
//! empty ones.

use crate::findings::hold::reserve_mol;
use crate::physics::bulk::Bulk;
use crate::rig::CylinderSet;
use crate::scenario::Scenario;
use crate::sim::control::at_rest;
use crate::sim::{Ambient, terms};
use crate::units::{ATMOSPHERE_PA, BAR_PA};

/// What the breathable cylinders hold at the check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contents {
    /// As filled.
    Filled,
    /// This gauge pressure, Pa, at the water's temperature.
    Gauge(f64),
    /// Each one's own reserve.
    Low,
}

/// A check: where, and with how much gas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckAt {
    /// Depth, m.
    pub depth_m: f64,
    /// Contents of the cylinders.
    pub contents: Contents,
}

/// Full cylinders, three metres: deep enough that the wing works, shallow enough for confined water. Our own choice.
pub const FULL: CheckAt = CheckAt { depth_m: 3.0, contents: Contents::Filled };
/// Where a rightly weighted diver is at ease with the wing empty. Common practice.
pub const AT_EASE: CheckAt = CheckAt { depth_m: 3.0, contents: Contents::Gauge(40.0 * BAR_PA) };
/// Where the same diver only just stays down with the wing empty. Common practice.
pub const JUST_HOLDS: CheckAt = CheckAt { depth_m: 1.0, contents: Contents::Gauge(20.0 * BAR_PA) };

/// What a diver does with an empty wing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Stays down: heavier than the water.
    StaysDown,
    /// Floats up slowly, but stays down by breathing out: lighter by no more than the lungs can trim.
    WithTheLungs,
    /// Floats up.
    FloatsUp,
}

/// What the model predicts for a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolCheck {
    /// Where, and with how much gas.
    pub at: CheckAt,
    /// Net lift with the wing empty, kg.
    pub bare_kg: f64,
    /// Lift that the lungs can trim, kg: `ρ·L`.
    pub trim_kg: f64,
    /// Wing volume that holds the diver neutral, m³; zero for a diver who floats.
    pub wing_m3: f64,
}

impl PoolCheck {
    /// The diver with the cylinders `carried`, at rest in the first layer of water, suit at its gas volume, wing empty.
    ///
    /// Gas of the suit comes out of its supply, so it weighs something of its own only where the supply is set to a
    /// pressure, or where the suit was closed with air. Cylinders that are never breathed stay as filled. Valid within
    /// the first layer; below it the first layer's water is taken further down.
    pub fn of(scenario: &Scenario, carried: CylinderSet, at: CheckAt) -> Self {
        const FIRST: usize = 0;
        let ambient = Ambient::at(scenario, FIRST, at.depth_m);
        let breathable = scenario.down_to_reserve();
        let contents = |i: usize| match at.contents {
            Contents::Gauge(gauge_pa) if breathable.contains(i) => {
                let table = scenario.isotherm(FIRST, i);
                scenario.rig().cylinders[i].water_m3() * table.density_mol_m3(gauge_pa + ATMOSPHERE_PA)
            }
            Contents::Low if breathable.contains(i) => reserve_mol(scenario, FIRST, i),
            Contents::Filled | Contents::Gauge(_) | Contents::Low => scenario.filled_mol(i),
        };
        let mut state = at_rest(scenario, &ambient, contents, 0.0);
        if at.contents != Contents::Filled {
            // what is set is read with the suit blown already
            breathable.iter().for_each(|i| state.cylinder_mol[i] = contents(i));
        }
        state.carried = carried;
        let bare: Bulk = terms(scenario, &state, &ambient).iter().map(|term| term.bulk).sum();
        let bare_kg = bare.net_kg(ambient.water_kg_m3);
        let trim_kg = Bulk::volume(scenario.breath_trim_m3(0.0)).net_kg(ambient.water_kg_m3);
        Self { at, bare_kg, trim_kg, wing_m3: bare.missing_m3(ambient.water_kg_m3).max(0.0) }
    }

    /// What the diver does with the wing empty.
    pub fn rest(&self) -> Rest {
        if self.bare_kg <= 0.0 {
            Rest::StaysDown
        } else if self.bare_kg <= self.trim_kg {
            Rest::WithTheLungs
        } else {
            Rest::FloatsUp
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Findings;
    use crate::physics::gas::{EquationOfState, GasMix};
    use crate::physics::water::{Brine, Layer, Water};
    use crate::profile::{Leg, Profile};
    use crate::rig::{Bag, BagStart, Body, Cylinder, CylinderSpec, Part, Rig, Role};
    use crate::scenario::Settings;

    fn cylinder(fill_gauge_pa: f64) -> Cylinder {
        let spec = CylinderSpec {
            name: "back".into(),
            count: 1,
            water_m3: 0.012,
            external_m3: 0.0143,
            shell_kg: 14.0,
            mix: GasMix::AIR,
            fill_gauge_pa,
            fill_temperature_k: 283.15,
            reserve_gauge_pa: 40.0 * BAR_PA,
            carried_at_start: true,
            removable: false,
            ..CylinderSpec::default()
        };
        Cylinder::new(spec).unwrap()
    }

    fn scenario(mass_kg: f64, suit: bool) -> Scenario {
        let supply = CylinderSet::of([0]);
        let diver = Rig {
            parts: vec![Part {
                name: "all".into(),
                role: Role::Gear,
                count: 1,
                body: Body::Rigid { mass_kg, volume_m3: 0.080 },
                ditchable: false,
                at: None,
            }],
            suit: suit.then(|| Bag::suit(0.008, supply).starting(BagStart::Supply)),
            breathing_loop: None,
            wing: Some(Bag::wing(0.020, supply)),
            cylinders: vec![cylinder(200.0 * BAR_PA)],
            lung_trim_m3: 1e-3,
            swim_up_kg: 7.0,
            head_out_m3: 8e-3,
            lungs: None,
        };
        let layer = Layer { top_m: 0.0, brine: Brine::Density(1000.0), temperature_k: 283.15 };
        let water = Water::new(ATMOSPHERE_PA, &[layer]).unwrap();
        let leg = |end_s, end_m| Leg { end_s, end_m, source: CylinderSet::of([0]), rate_m3_s: 3e-4, loop_mol_s: None };
        let profile = Profile::new(3.0, vec![leg(600.0, 3.0)], vec![]).unwrap();
        let settings = Settings { equation: EquationOfState::Ideal, ..Settings::default() };
        Scenario::new(diver, water, profile, settings).unwrap()
    }

    // By hand, ideal gas, M(air) = 0.028 965 5 kg/mol, RT = 8.314 462 618 × 283.15 J/mol:
    // 20 bar gauge in 12 L hold 2 101 325 Pa × 0.012 m³ / RT × M = 0.310 25 kg.
    // B = 1000 × (0.080 + 0.0143) − (79.5 + 14.0 + 0.310 25) = +0.489 75 kg.
    #[test]
    fn a_sum_by_hand() {
        let check = PoolCheck::of(&scenario(79.5, false), CylinderSet::of([0]), JUST_HOLDS);
        // 0.1 g: the sum above is rounded there, and the molar mass of air differs in its fifth figure
        assert!((check.bare_kg - 0.489_75).abs() < 1e-4, "{}", check.bare_kg);
        assert_eq!((check.rest(), check.wing_m3), (Rest::WithTheLungs, 0.0));
        assert!((check.trim_kg - 1.0).abs() < 1e-12);
        let rest = |mass_kg| PoolCheck::of(&scenario(mass_kg, false), CylinderSet::of([0]), JUST_HOLDS).rest();
        assert_eq!((rest(80.5), rest(78.5)), (Rest::StaysDown, Rest::FloatsUp));
    }

    #[test]
    fn full_cylinders_are_the_start_of_a_run() {
        let scenario = scenario(80.0, true);
        let trace = crate::sim::run(&scenario).unwrap();
        let check = PoolCheck::of(&scenario, CylinderSet::of([0]), FULL);
        // the run's wing took its gas out of the cylinder, and its bare net is without that gas
        let wing = trace.first().balance.bags[crate::rig::WING];
        assert!((check.bare_kg - (trace.first().balance.bare_kg() - wing.mass_kg)).abs() < 1e-9);
        assert!((check.wing_m3 - wing.volume_m3).abs() < 1e-9);
    }

    #[test]
    fn low_cylinders_are_the_at_reserve_hold() {
        let scenario = scenario(80.0, true);
        let trace = crate::sim::run(&scenario).unwrap();
        let hold = *Findings::of(&scenario, &trace).last_hold();
        let check = PoolCheck::of(&scenario, CylinderSet::of([0]), CheckAt { depth_m: 3.0, contents: Contents::Low });
        assert!(
            (check.bare_kg - hold.at_reserve.bare_kg).abs() < 1e-9,
            "{} {}",
            check.bare_kg,
            hold.at_reserve.bare_kg
        );
    }
}
