//! A net lift written out as the sum of what lifts and what sinks.

use crate::findings::elsewhere::Elsewhere;
use crate::physics::bulk::Bulk;
use crate::rig::{CylinderSet, Role};
use crate::scenario::Scenario;
use crate::sim::terms::cylinder_bulk;
use crate::sim::{Now, Owner, Term};
use crate::study::probe::{LoadAt, StopAt};
use crate::units::ATMOSPHERE_PA;

/// One line of a net lift that is written out.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Name as the plan gives it; `suit gas` for the gas of the suit.
    pub label: String,
    /// Whose it is.
    pub owner: Owner,
    /// Its mass and volume, or its reading.
    pub bulk: Bulk,
    /// Its lift, kg: positive floats.
    pub lift_kg: f64,
}

impl Line {
    /// The line of a term in water of a density.
    pub(crate) fn of(scenario: &Scenario, term: &Term, water_kg_m3: f64) -> Self {
        let diver = scenario.rig();
        let label = match term.owner {
            Owner::Part(i) => diver.parts[i].name.clone(),
            Owner::Cylinder(i) | Owner::Gas(i) => diver.cylinders[i].name().to_owned(),
            Owner::Hung { cylinder, part } => {
                let body = &diver.cylinders[cylinder];
                format!("{}: {}", body.name(), body.rigging()[part].name)
            }
            Owner::Bag(crate::rig::WING) => "wing gas".to_owned(),
            Owner::Bag(crate::rig::LOOP) => "loop gas".to_owned(),
            Owner::Bag(_) => "suit gas".to_owned(),
            Owner::Absorbed => "absorbed carbon dioxide".to_owned(),
            Owner::Metabolised => "body, oxygen taken less carbon dioxide given".to_owned(),
        };
        Self { label, owner: term.owner, bulk: term.bulk, lift_kg: term.net_kg(water_kg_m3) }
    }
}

/// A cylinder at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderThen {
    /// Index in the diver's list.
    pub cylinder: usize,
    /// Absolute pressure inside as the run has it, Pa.
    pub pressure_pa: f64,
    /// Absolute pressure that counts, Pa: lower where the cylinder counts as at reserve.
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
    pub lines: Vec<Line>,
    /// Cylinders on the diver that count.
    pub carried: CylinderSet,
    /// Removable cylinders that the diver has in the run but that count as gone.
    pub gone: CylinderSet,
    /// All cylinders that the diver has in the run then, also those that count as gone.
    pub cylinders: Vec<CylinderThen>,
}

impl Binding {
    /// The balance at a moment that must hold.
    pub(crate) fn at_stop(scenario: &Scenario, net_kg: f64, stop: &StopAt) -> Self {
        let StopAt { layer, depth_m: at_m, leg, gone, .. } = *stop;
        written_out(scenario, net_kg, &stop.now, &stop.diver(scenario), Place { layer, at_m, leg, gone })
    }

    /// The balance where the load of a failed wing is greatest.
    pub(crate) fn at_load(scenario: &Scenario, load_kg: f64, load: &LoadAt) -> Self {
        let place = Place { layer: load.layer, at_m: load.depth_m, leg: load.leg, gone: CylinderSet::EMPTY };
        written_out(scenario, -load_kg, &load.now, &Elsewhere::of(scenario, &load.now), place)
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
    gone: CylinderSet,
}

fn written_out(scenario: &Scenario, net_kg: f64, now: &Now, diver: &Elsewhere<'_>, place: Place) -> Binding {
    let Place { layer, at_m, leg, gone } = place;
    let counted_mol = *diver.cylinder_mol();
    let terms = diver.without_cylinders(gone).terms(layer, at_m);
    let water_kg_m3 = scenario.water().density_kg_m3(layer, at_m);
    let then = |i: usize| {
        let body = &scenario.rig().cylinders[i];
        CylinderThen {
            cylinder: i,
            pressure_pa: crate::sim::trace::pressure_pa(scenario, now, i),
            counted_pa: scenario.isotherm(layer, i).pressure_pa(counted_mol[i] / body.water_m3()),
            gas_kg: body.gas_kg(counted_mol[i]),
            lift_kg: cylinder_bulk(scenario, i, counted_mol[i]).net_kg(water_kg_m3),
            removable: body.is_removable(),
        }
    };
    Binding {
        time_s: now.state.time_s,
        depth_m: now.state.depth_m,
        at_m,
        leg,
        water_kg_m3,
        net_kg,
        lines: terms.iter().map(|term| Line::of(scenario, term, water_kg_m3)).collect(),
        carried: now.state.carried.minus(gone),
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
    /// Gas that counts at the lightest moment, kg: what is left at its reserve where it counts as at reserve.
    pub counted_kg: f64,
}

impl GasUsed {
    /// Gas that left the cylinder in between, kg: breathed, or let into suit or wing.
    pub fn used_kg(&self) -> f64 {
        self.heavy_kg - self.light_kg
    }

    /// Gas that would still be used down to the reserve, kg.
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
        let counted = light.diver(scenario);
        let used = |(i, body): (usize, &crate::rig::Cylinder)| GasUsed {
            cylinder: i,
            name: body.name().to_owned(),
            heavy_kg: body.gas_kg(heavy.now.state.cylinder_mol[i]),
            light_kg: body.gas_kg(light.now.state.cylinder_mol[i]),
            counted_kg: body.gas_kg(counted.cylinder_mol()[i]),
        };
        Self {
            heavy_s: heavy.now.state.time_s,
            light_s: light.now.state.time_s,
            breathed_kg: light.now.state.breathed.mass_kg() - heavy.now.state.breathed.mass_kg(),
            cylinders: scenario.rig().cylinders.iter().enumerate().map(used).collect(),
        }
    }
}

/// All ballast of a diver, at the surface.
pub(crate) fn ballast_of(scenario: &Scenario) -> Bulk {
    let ballast = scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast);
    ballast.map(|part| part.bulk(ATMOSPHERE_PA)).sum()
}
