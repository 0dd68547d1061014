//! One time step, pure: a moment in, a moment out.

use crate::diver::CylinderSet;
use crate::physics::bubble::{self, Action};
use crate::scenario::{Scenario, Segment};
use crate::sim::SimError;
use crate::sim::balance::{Ambient, Balance};
use crate::sim::state::{Now, State, Unmet};

/// The moment `end_s` of the stretch `segment`, from an earlier one in it.
///
/// Breathing first: `Δn = ∫ q·ρₘ(p) dt`, by the trapezoid rule, which is exact to rounding because the ambient molar
/// density is almost linear in pressure and the pressure in time. Then the new depth, then suit and wing answer to it.
///
/// # Errors
/// A value that is not finite.
pub fn step(scenario: &Scenario, segment: &Segment, now: &Now, end_s: f64) -> Result<Now, SimError> {
    let depth_m = segment.depth_m(end_s);
    let ambient = if depth_m == now.state.depth_m && now.ambient.layer == segment.layer {
        now.ambient
    } else {
        Ambient::at(scenario, segment.layer, depth_m)
    };
    let volume_m3 = segment.rate_m3_s * (end_s - now.state.time_s);
    let mut state = State { time_s: end_s, depth_m, ..now.state };
    let source = segment.source.and(state.carried);
    let breath_frac = if volume_m3 > 0.0 && !source.is_empty() {
        breathe(scenario, &mut state, Breath { source, volume_m3, before: &now.ambient, after: &ambient })
    } else {
        0.0
    };
    let balance = control(scenario, &mut state, &ambient);
    state.unmet.breath_frac = breath_frac;
    if !balance.mass_kg.is_finite() {
        return Err(SimError::NotFinite { time_s: end_s, quantity: "mass", value: balance.mass_kg });
    }
    Ok(Now { state, ambient, balance })
}

/// Gas breathed in a step.
#[derive(Clone, Copy)]
struct Breath<'a> {
    source: CylinderSet,
    /// at ambient pressure
    volume_m3: f64,
    before: &'a Ambient,
    after: &'a Ambient,
}

/// Breathes from the source; returns the share of the volume that could not be had.
fn breathe(scenario: &Scenario, state: &mut State, breath: Breath<'_>) -> f64 {
    // Cylinders of one source may hold different gases, so the share of each is counted in ambient volume.
    let mean_mol_m3 = |cylinder: usize| {
        0.5 * (breath.before.gas_mol_m3(scenario, cylinder) + breath.after.gas_mol_m3(scenario, cylinder))
    };
    let mut missing_m3 = breath.volume_m3;
    let mut open = breath.source;
    // a cylinder that runs dry leaves its share to the others
    while missing_m3 > 0.0 && !open.is_empty() {
        let share_m3 = missing_m3 / open.len() as f64;
        let mut dry = CylinderSet::EMPTY;
        for i in open.iter() {
            let wanted_mol = share_m3 * mean_mol_m3(i);
            let got_mol = wanted_mol.min(available_mol(scenario, state, i, breath.after));
            state.cylinder_mol[i] -= got_mol;
            state.breathed_kg += got_mol * scenario.molar_kg_mol(i);
            if got_mol < wanted_mol {
                missing_m3 -= got_mol / mean_mol_m3(i);
                dry = dry.with(i);
            } else {
                missing_m3 -= share_m3;
            }
        }
        if dry.is_empty() {
            return 0.0;
        }
        open = open.minus(dry);
    }
    (missing_m3 / breath.volume_m3).max(0.0)
}

/// What a cylinder can still deliver, mol: all above ambient pressure, at which it is empty.
#[inline]
fn available_mol(scenario: &Scenario, state: &State, cylinder: usize, ambient: &Ambient) -> f64 {
    let rest_mol = scenario.quick(cylinder).water_m3 * ambient.gas_mol_m3(scenario, cylinder);
    (state.cylinder_mol[cylinder] - rest_mol).max(0.0)
}

/// Suit and wing answer to where the diver now is: the suit is brought to its loft, the wing to what holds the diver
/// neutral, within what their supplies can give and what the wing can hold. Returns the balance after it.
pub(crate) fn control(scenario: &Scenario, state: &mut State, ambient: &Ambient) -> Balance {
    let diver = scenario.diver();
    state.unmet = Unmet::default();
    if let Some(suit) = diver.suit_gas {
        let target = Target { bag_mol: state.suit_mol, target_m3: suit.loft_m3, supply: suit.supply };
        let done = fill_or_vent(scenario, state, target, ambient);
        (state.suit_mol, state.unmet.suit_m3) = (done.bag_mol, done.short_m3);
    }
    let mut balance = Balance::of(scenario, state, ambient);
    let Some(wing) = diver.wing else {
        state.unmet.wing_m3 = (-balance.net_kg() / ambient.water_kg_m3).max(0.0);
        return balance;
    };
    let needed_m3 = neutral_wing_m3(scenario, &balance, ambient);
    let target_m3 = needed_m3.clamp(0.0, wing.capacity_m3);
    let target = Target { bag_mol: state.wing_mol, target_m3, supply: wing.supply };
    let done = fill_or_vent(scenario, state, target, ambient);
    state.wing_mol = done.bag_mol;
    state.unmet.wing_m3 = done.short_m3 + (needed_m3 - target_m3).max(0.0);

    if let Some(gas) = wing.supply.first() {
        balance.wing_m3 = done.bag_mol / ambient.gas_mol_m3(scenario, gas);
        balance.wing_kg = done.bag_mol * scenario.molar_kg_mol(gas);
        // what came out of a carried cylinder stays on the diver, what was vented does not
        balance.carried_gas_kg -= done.added_kg;
        balance.mass_kg -= done.vented_kg;
    }
    balance
}

/// Wing volume that would hold the diver neutral, m³; negative when the diver floats with the wing empty.
///
/// Gas that goes from a carried cylinder into the wing stays on the diver, so adding changes no mass:
/// `V = V_now − net/ρ`. Vented gas takes `M·ρₘ` a cubic metre along: `V = V_now − net/(ρ − M·ρₘ)`.
fn neutral_wing_m3(scenario: &Scenario, balance: &Balance, ambient: &Ambient) -> f64 {
    let net_kg = balance.net_kg();
    if net_kg <= 0.0 {
        return balance.wing_m3 - net_kg / ambient.water_kg_m3;
    }
    let gas = scenario.diver().wing.and_then(|wing| wing.supply.first());
    let gas_kg_m3 = gas.map_or(0.0, |i| scenario.molar_kg_mol(i) * ambient.gas_mol_m3(scenario, i));
    balance.wing_m3 - net_kg / (ambient.water_kg_m3 - gas_kg_m3)
}

/// What a bag holds, should hold, and is fed from.
#[derive(Clone, Copy)]
struct Target {
    bag_mol: f64,
    target_m3: f64,
    supply: CylinderSet,
}

/// What a bag holds after its control acted.
#[derive(Clone, Copy)]
struct Done {
    bag_mol: f64,
    short_m3: f64,
    added_kg: f64,
    vented_kg: f64,
}

/// Brings a bag towards its target.
fn fill_or_vent(scenario: &Scenario, state: &mut State, target: Target, ambient: &Ambient) -> Done {
    let still = Done { bag_mol: target.bag_mol, short_m3: 0.0, added_kg: 0.0, vented_kg: 0.0 };
    let Some(gas) = target.supply.first() else { return still };
    let gas_mol_m3 = ambient.gas_mol_m3(scenario, gas);
    match bubble::towards(target.bag_mol, target.target_m3, gas_mol_m3) {
        Action::Vent(mol) => {
            let vented_kg = mol * scenario.molar_kg_mol(gas);
            state.vented_kg += vented_kg;
            Done { bag_mol: target.bag_mol - mol, vented_kg, ..still }
        }
        Action::Add(mol) => {
            let got_mol = take(scenario, state, target.supply.and(state.carried), mol, ambient);
            let short_m3 = bubble::volume_m3(mol - got_mol, gas_mol_m3);
            Done {
                bag_mol: target.bag_mol + got_mol,
                // a ten-thousandth of a litre is rounding, not a shortage
                short_m3: if short_m3 > 1e-7 { short_m3 } else { 0.0 },
                added_kg: got_mol * scenario.molar_kg_mol(gas),
                ..still
            }
        }
    }
}

/// Takes up to `wanted_mol` from cylinders that hold one gas, in even shares; returns what was had.
fn take(scenario: &Scenario, state: &mut State, supply: CylinderSet, wanted_mol: f64, ambient: &Ambient) -> f64 {
    let mut missing_mol = wanted_mol;
    let mut open = supply;
    while missing_mol > 0.0 && !open.is_empty() {
        let share_mol = missing_mol / open.len() as f64;
        let mut dry = CylinderSet::EMPTY;
        for i in open.iter() {
            let got_mol = share_mol.min(available_mol(scenario, state, i, ambient));
            state.cylinder_mol[i] -= got_mol;
            missing_mol -= got_mol;
            if got_mol < share_mol {
                dry = dry.with(i);
            }
        }
        if dry.is_empty() {
            return wanted_mol;
        }
        open = open.minus(dry);
    }
    wanted_mol - missing_mol
}
