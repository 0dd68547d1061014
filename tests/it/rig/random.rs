//! Random small dives, all valid.

use super::Tank;
use crate::parts::{foam, layers, lead, leg, rigid};
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::physics::water::Brine;
use lightpoint::internals::profile::{Change, Move, Profile};
use lightpoint::internals::rig::{Bag, BagStart, CylinderSet, Rig, Role};
use lightpoint::internals::scenario::{Scenario, Settings};
use proptest::prelude::*;

/// A random dive: single or twin with up to three stages, each removable or not, one perhaps left behind; a dry suit or
/// foam; a wing fed from the back cylinder, from a bottle of its own, or none; fresh, salt or fresh over salt; with
/// stops or without.
pub fn dive() -> impl Strategy<Value = Random> {
    let rig = (
        1u32..=2,
        prop::collection::vec((5.0..12.0f64, 0.95..1.35f64, any::<bool>()), 0..=3),
        0.0..0.016f64,
        0.0..0.012f64,
        0u8..3,
    );
    let place = (12.0..55.0f64, 0u8..3, 0u8..3, any::<bool>(), 0.0..14.0f64);
    (rig, place).prop_map(|(rig, place)| Random { rig, place })
}

type Worn = (u32, Vec<(f64, f64, bool)>, f64, f64, u8);
type Place = (f64, u8, u8, bool, f64);

/// What was drawn; the dive is built from it.
#[derive(Clone, Debug)]
pub struct Random {
    rig: Worn,
    place: Place,
}

impl Random {
    pub fn scenario(self) -> Scenario {
        build(self.rig, self.place)
    }
}

fn build((backs, stages, suit_m3, foam_m3, wing): Worn, (deep_m, waters, stops, leaves, lead_kg): Place) -> Scenario {
    let equation = EquationOfState::Ideal;
    let tank = |name, count, water_l: f64, heft: f64, removable| {
        // shell and displacement of steel to aluminium, scattered
        let shell_kg = 1.25 * water_l * heft;
        Tank {
            name,
            count,
            water_l,
            external_l: 1.19 * water_l,
            shell_kg,
            mix: GasMix::AIR,
            bar: 210.0,
            carried: true,
            removable,
        }
        .cylinder()
    };
    let mut cylinders = vec![tank("back", backs, 12.0, 1.0, false), tank("bottle", 1, 1.0, 1.2, false)];
    for (name, (water_l, heft, removable)) in ["a", "b", "c"].into_iter().zip(&stages) {
        cylinders.push(tank(name, 1, *water_l, *heft, *removable));
    }
    let last = cylinders.len() - 1; // the last stage is breathed at the last stop, if there is one
    let source = if last >= 2 { last } else { 0 };
    let down_min = deep_m / 20.0;
    let mut legs = vec![leg(down_min, deep_m, 0, 20.0), leg(down_min + 12.0, deep_m, 0, 18.0)];
    let mut now_min = down_min + 12.0;
    let stay = |legs: &mut Vec<_>, now_min: &mut f64, depth_m: f64, stay_min: f64, source| {
        *now_min += 3.0;
        legs.push(leg(*now_min, depth_m, source, 16.0));
        *now_min += stay_min;
        legs.push(leg(*now_min, depth_m, source, 15.0));
    };
    if stops > 0 {
        stay(&mut legs, &mut now_min, 9.0, 4.0, 0);
        stay(&mut legs, &mut now_min, 5.0, 9.0, source);
    }
    legs.push(leg(now_min + 2.0, 0.0, source, 15.0));
    let leave = Change { time_s: 60.0 * (down_min + 5.0), cylinder: 2, kind: Move::Leave };
    // never the one that is breathed
    let changes = if leaves && last > 2 { vec![leave] } else { Vec::new() };
    let brines: &[(f64, Brine)] = match waters {
        0 => &[(0.0, Brine::Density(1000.0))],
        1 => &[(0.0, Brine::PracticalSalinity(35.0))],
        _ => &[(0.0, Brine::PracticalSalinity(2.0)), (7.0, Brine::PracticalSalinity(35.0))],
    };
    let mut parts = vec![
        rigid("body", Role::Person, 78.0, 0.0765),
        rigid("suit", Role::Suit, 4.0, 0.0035),
        rigid("gear", Role::Gear, 5.0, 0.0021),
        lead(lead_kg),
    ];
    if foam_m3 > 0.001 {
        parts.push(foam("foam", foam_m3 * 150.0, foam_m3 * 1e3, 0.75));
    }
    let supply = |i| CylinderSet::of([i]);
    let diver = Rig {
        parts,
        suit: (suit_m3 > 0.004).then(|| Bag::suit(suit_m3, supply(1)).starting(BagStart::Supply)),
        breathing_loop: None,
        wing: (wing > 0).then(|| Bag::wing(0.020, supply(usize::from(wing == 2)))),
        cylinders,
        lung_trim_m3: 0.0015,
        swim_up_kg: 6.0,
        head_out_m3: 0.006,
        lungs: None,
    };
    let last_stop_m = if stops == 2 { Some(6.5) } else { None };
    let settings = Settings { equation, last_stop_m, ..Settings::default() };
    Scenario::new(diver, layers(brines, 285.15), Profile::new(0.0, legs, changes).unwrap(), settings).unwrap()
}
