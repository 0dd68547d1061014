//! A net lift written out as the sum of what lifts and what sinks.

use crate::diver::{CylinderSet, Role};
use crate::findings::elsewhere::Elsewhere;
use crate::scenario::Scenario;
use crate::sim::Now;
use crate::study::probe::{LoadAt, StopAt};
use crate::units::ATMOSPHERE_PA;

/// What a term of the sum is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TermKind {
    /// A part, by its role; one term for all pieces of it.
    Part(Role),
    /// A cylinder without its gas, by index: `ρ·V_ext − m_shell`.
    Cylinder(usize),
    /// The gas in a cylinder, by index: `−n·M`.
    Gas(usize),
    /// The gas of the dry suit: `ρ·V − n·M`.
    SuitGas,
}

/// One contribution to a net lift.
#[derive(Clone, Debug, PartialEq)]
pub struct Term {
    /// Name as the plan gives it; `suit gas` for [`TermKind::SuitGas`].
    pub label: String,
    /// What it is.
    pub kind: TermKind,
    /// Its lift, kg: positive floats.
    pub lift_kg: f64,
}

/// A cylinder at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderThen {
    /// Index in the diver's list.
    pub cylinder: usize,
    /// Absolute pressure inside as the run has it, Pa.
    pub pressure_pa: f64,
    /// Absolute pressure that counts, Pa: lower where the cylinder counts as drained.
    pub counted_pa: f64,
    /// Gas that counts, kg.
    pub gas_kg: f64,
    /// Its own lift with the gas that counts, kg.
    pub lift_kg: f64,
    /// Whether the diver may be without it.
    pub removable: bool,
}

/// A moment that decides, with its balance written out. The wing is empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// When, s.
    pub time_s: f64,
    /// Where the diver is then, m.
    pub depth_m: f64,
    /// Depth at which the balance is taken, m: the last stop, or the heaviest point of the way up.
    pub at_m: f64,
    /// Leg, by index.
    pub leg: usize,
    /// Density of the water there, kg/m³.
    pub water_kg_m3: f64,
    /// Net lift with the wing empty, kg.
    pub net_kg: f64,
    /// The sum: the lifts of these add up to `net_kg`.
    pub terms: Vec<Term>,
    /// Cylinders on the diver that count.
    pub carried: CylinderSet,
    /// Removable cylinders that the diver has in the run but that count as gone.
    pub gone: CylinderSet,
    /// All cylinders that the diver has in the run then, also those that count as gone.
    pub cylinders: Vec<CylinderThen>,
}

impl Binding {
    /// The balance at the last stop.
    pub(crate) fn at_stop(scenario: &Scenario, net_kg: f64, stop: &StopAt) -> Self {
        let place = Place { layer: stop.layer, at_m: scenario.last_stop_m(), leg: stop.leg };
        written_out(scenario, &stop.now, place, (net_kg, &stop.counted_mol, stop.gone))
    }

    /// The balance where the load of a failed wing is greatest.
    pub(crate) fn at_load(scenario: &Scenario, load_kg: f64, load: &LoadAt) -> Self {
        let place = Place { layer: load.layer, at_m: load.depth_m, leg: load.leg };
        written_out(scenario, &load.now, place, (-load_kg, &load.now.state.cylinder_mol, CylinderSet::EMPTY))
    }

    /// Net lift when another set of removable cylinders is gone, kg: each takes its own lift along. What is not
    /// removable, or not carried, stays out of it.
    pub fn net_if_gone_kg(&self, gone: CylinderSet) -> f64 {
        let lift_kg = |set: CylinderSet| -> f64 {
            let matching = self.cylinders.iter().filter(|c| c.removable && set.contains(c.cylinder));
            matching.map(|c| c.lift_kg).sum()
        };
        self.net_kg + lift_kg(self.gone) - lift_kg(gone)
    }
}

#[derive(Clone, Copy)]
struct Place {
    layer: usize,
    at_m: f64,
    leg: usize,
}

fn written_out(scenario: &Scenario, now: &Now, place: Place, counted: (f64, &[f64], CylinderSet)) -> Binding {
    let (net_kg, counted_mol, gone) = counted;
    let Place { layer, at_m, leg } = place;
    let diver = scenario.diver();
    let water_kg_m3 = scenario.water().density_kg_m3(layer, at_m);
    let pressure_pa = scenario.water().pressure_pa(layer, at_m);
    let carried = now.state.carried.minus(gone);
    let part = |part: &crate::diver::Part| Term {
        label: part.name.clone(),
        kind: TermKind::Part(part.role),
        lift_kg: part.lift_kg(water_kg_m3, pressure_pa),
    };
    let mut terms: Vec<Term> = diver.parts.iter().map(part).collect();
    for i in carried.iter() {
        let cylinder = &diver.cylinders[i];
        let term = |kind, lift_kg| Term { label: cylinder.name.clone(), kind, lift_kg };
        terms.push(term(TermKind::Cylinder(i), cylinder.lift_kg(water_kg_m3, 0.0)));
        terms.push(term(TermKind::Gas(i), -cylinder.gas_kg(counted_mol[i])));
    }
    if diver.suit_gas.is_some() {
        // at the diver's own depth the suit is as it is; on the way up it swells to its loft
        let there = at_m == now.state.depth_m && layer == now.ambient.layer;
        let (suit_m3, suit_kg) = match there {
            true => (now.balance.suit_m3, now.balance.suit_kg),
            false => Elsewhere::of_now(scenario, now).suit(layer, pressure_pa),
        };
        let lift_kg = water_kg_m3 * suit_m3 - suit_kg;
        terms.push(Term { label: "suit gas".into(), kind: TermKind::SuitGas, lift_kg });
    }
    let then = |i: usize| {
        let body = &diver.cylinders[i];
        let table = scenario.isotherm(now.ambient.layer, i);
        let counted_table = scenario.isotherm(layer, i);
        CylinderThen {
            cylinder: i,
            pressure_pa: table.pressure_pa(now.state.cylinder_mol[i] / body.water_m3),
            counted_pa: counted_table.pressure_pa(counted_mol[i] / body.water_m3),
            gas_kg: body.gas_kg(counted_mol[i]),
            lift_kg: body.lift_kg(water_kg_m3, counted_mol[i]),
            removable: body.removable,
        }
    };
    Binding {
        time_s: now.state.time_s,
        depth_m: now.state.depth_m,
        at_m,
        leg,
        water_kg_m3,
        net_kg,
        terms,
        carried,
        gone,
        cylinders: now.state.carried.iter().map(then).collect(),
    }
}

/// Gas that one cylinder lost between the heaviest and the lightest moment.
#[derive(Clone, Debug, PartialEq)]
pub struct GasUsed {
    /// Index in the diver's list.
    pub cylinder: usize,
    /// Name.
    pub name: String,
    /// Gas at the heaviest moment, kg.
    pub heavy_kg: f64,
    /// Gas at the lightest moment, as the run has it, kg.
    pub light_kg: f64,
    /// Gas that counts at the lightest moment, kg: what is left at its low pressure where it counts as drained.
    pub counted_kg: f64,
}

impl GasUsed {
    /// Gas that left the cylinder in between, kg: breathed, or let into suit or wing.
    pub fn used_kg(&self) -> f64 {
        self.heavy_kg - self.light_kg
    }

    /// Gas that would still be used down to the low pressure, kg.
    pub fn to_low_kg(&self) -> f64 {
        self.light_kg - self.counted_kg
    }
}

/// Why the end of the dive is the light one: the gas used between the heaviest moment and the lightest of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct HeavyToLight {
    /// Heaviest moment, s.
    pub heavy_s: f64,
    /// Lightest moment, s.
    pub light_s: f64,
    /// Gas breathed in between, kg.
    pub breathed_kg: f64,
    /// Every cylinder of the dive, in the diver's order.
    pub cylinders: Vec<GasUsed>,
}

impl HeavyToLight {
    pub(crate) fn of(scenario: &Scenario, heavy: &LoadAt, light: &StopAt) -> Self {
        let used = |(i, body): (usize, &crate::diver::Cylinder)| GasUsed {
            cylinder: i,
            name: body.name.clone(),
            heavy_kg: body.gas_kg(heavy.now.state.cylinder_mol[i]),
            light_kg: body.gas_kg(light.now.state.cylinder_mol[i]),
            counted_kg: body.gas_kg(light.counted_mol[i]),
        };
        Self {
            heavy_s: heavy.now.state.time_s,
            light_s: light.now.state.time_s,
            breathed_kg: light.now.state.breathed_kg - heavy.now.state.breathed_kg,
            cylinders: scenario.diver().cylinders.iter().enumerate().map(used).collect(),
        }
    }
}

/// Lift of all ballast of a diver at the surface in a water, kg, and its mass, kg.
pub(crate) fn ballast_of(scenario: &Scenario, water_kg_m3: f64) -> (f64, f64) {
    let ballast = scenario.diver().parts.iter().filter(|part| part.role == Role::Ballast);
    ballast.fold((0.0, 0.0), |(lift_kg, mass_kg), part| {
        (lift_kg + part.lift_kg(water_kg_m3, ATMOSPHERE_PA), mass_kg + part.mass_kg())
    })
}
