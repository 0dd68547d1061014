//! What lifts and what sinks at a moment: the two-column table, line by line.

use crate::rig::{Body, LOOP, Role, SUIT};
use crate::scenario::Scenario;
use crate::sim::{Now, Owner, Term, terms};

/// A change of lift below this is none, kg: half of the last place of the numbers beside it.
const NOTHING_KG: f64 = 0.05;
/// With more cylinders than this that change, the smaller changes share a row.
const OWN_ROWS: usize = 8;

/// What a line of the balance is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// A part of the rig or the diver's body.
    Part(Role),
    /// The gas in the dry suit.
    SuitGas,
    /// The gas in a breathing loop, and what the body has taken out of it and given.
    Loop,
    /// A cylinder with its gas, by index.
    Cylinder(usize),
}

/// A line of the balance at several moments.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Name for the table.
    pub name: String,
    /// What it is.
    pub kind: LineKind,
    /// Net lift at each moment, kg; `None` when it is not carried then.
    pub lift_kg: Vec<Option<f64>>,
}

/// The balance with the wing empty at some moments. The lines of a moment sum to its bare net lift.
pub fn lines(scenario: &Scenario, moments: &[&Now]) -> Vec<Line> {
    let diver = scenario.rig();
    let lists: Vec<(Vec<Term>, f64)> =
        moments.iter().map(|now| (terms(scenario, &now.state, &now.ambient), now.ambient.water_kg_m3)).collect();
    // `None` where nothing of an owner is on the diver
    let sum = |is_mine: &dyn Fn(Owner) -> bool| -> Vec<Option<f64>> {
        let of_list = |(list, water_kg_m3): &(Vec<Term>, f64)| {
            let mine = list.iter().filter(|term| is_mine(term.owner)).map(|term| term.net_kg(*water_kg_m3));
            mine.reduce(|sum, kg| sum + kg)
        };
        lists.iter().map(of_list).collect()
    };
    let mut lines: Vec<Line> = Vec::new();
    for (i, part) in diver.parts.iter().enumerate() {
        let name = if part.count > 1 { format!("{} × {}", part.count, part.name) } else { part.name.clone() };
        let lift_kg = sum(&|owner| owner == Owner::Part(i));
        lines.push(Line { name, kind: LineKind::Part(part.role), lift_kg });
    }
    if diver.suit.is_some() {
        let lift_kg = sum(&|owner| owner == Owner::Bag(SUIT)).into_iter().map(|kg| kg.or(Some(0.0))).collect();
        lines.push(Line { name: "gas in the suit".into(), kind: LineKind::SuitGas, lift_kg });
    }
    if diver.breathing_loop.is_some() {
        let lift_kg = sum(&is_of_loop).into_iter().map(|kg| kg.or(Some(0.0))).collect();
        lines.push(Line { name: "gas in the loop".into(), kind: LineKind::Loop, lift_kg });
    }
    for (i, cylinder) in diver.cylinders.iter().enumerate() {
        let lift_kg = sum(&|owner| owner.cylinder() == Some(i));
        lines.push(Line { name: cylinder.name().to_owned(), kind: LineKind::Cylinder(i), lift_kg });
    }
    lines
}

/// The loop's gas, what the absorbent has taken up and what the body has lost: together they only move mass about, so they
/// are one line.
fn is_of_loop(owner: Owner) -> bool {
    matches!(owner, Owner::Bag(LOOP) | Owner::Absorbed | Owner::Metabolised)
}

/// What changes the net lift between two moments.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Name for a row.
    pub name: String,
    /// Change of the net lift with the wing empty, kg: positive, the diver is lighter afterwards.
    pub change_kg: f64,
    /// Whether it is gas that left a cylinder.
    pub is_gas: bool,
}

/// The way from one moment to another: the gas of each cylinder, cylinders that came and went, the suit's gas, foam, and
/// the water where its density is another; what is left hardly changes and is one row. The steps sum to the difference of the
/// net lifts with the wing empty.
pub fn bridge(scenario: &Scenario, from: &Now, to: &Now) -> Vec<Step> {
    let rig = scenario.rig();
    let lists = [from, to].map(|now| (terms(scenario, &now.state, &now.ambient), now.ambient.water_kg_m3));
    let sums = |is_mine: &dyn Fn(Owner) -> bool| {
        lists.each_ref().map(|(list, water_kg_m3)| -> f64 {
            list.iter().filter(|term| is_mine(term.owner)).map(|term| term.net_kg(*water_kg_m3)).sum()
        })
    };
    let change = |is_mine: &dyn Fn(Owner) -> bool| {
        let [before_kg, after_kg] = sums(is_mine);
        after_kg - before_kg
    };
    let moved = |i: usize| from.state.carried.contains(i) != to.state.carried.contains(i);
    let step = |name: String, change_kg: f64| Step { name, change_kg, is_gas: false };
    let mut cylinders: Vec<Step> = Vec::new();
    for (i, cylinder) in rig.cylinders.iter().enumerate() {
        if moved(i) {
            let verb = if to.state.carried.contains(i) { "taken along" } else { "no longer carried" };
            let lift_kg = change(&|owner| owner.cylinder() == Some(i));
            cylinders.push(step(format!("{} {verb}", cylinder.name()), lift_kg));
        } else {
            let change_kg = change(&|owner| owner == Owner::Gas(i));
            cylinders.push(Step { is_gas: true, ..step(format!("gas of {}", cylinder.name()), change_kg) });
        }
    }
    let is_foam = |i: usize| matches!(rig.parts[i].body, Body::Foam { .. });
    let foam_kg = change(&|owner| matches!(owner, Owner::Part(i) if is_foam(i)));
    let foam = if foam_kg >= 0.0 { "foam that swells" } else { "foam that is squeezed" };
    let mut rest = vec![
        step("gas in the suit".into(), change(&|owner| owner == Owner::Bag(SUIT))),
        step("loop: its gas, and what the body took and gave".into(), change(&is_of_loop)),
        step(foam.into(), foam_kg),
    ];
    let rigid_kg = change(&|owner| match owner {
        Owner::Part(i) => !is_foam(i),
        Owner::Cylinder(i) | Owner::Hung { cylinder: i, .. } => !moved(i),
        Owner::Gas(_) | Owner::Bag(_) | Owner::Absorbed | Owner::Metabolised => false,
    });
    let is_other_water = (lists[0].1 - lists[1].1).abs() > 1.0;
    if is_other_water {
        let name = if lists[1].1 > lists[0].1 { "denser water" } else { "lighter water" };
        rest.push(step(format!("{name}, all that is solid"), rigid_kg));
    }
    let (mut steps, mut small): (Vec<Step>, Vec<Step>) =
        lumped(cylinders).into_iter().chain(rest).partition(|step| step.change_kg.abs() >= NOTHING_KG);
    if !is_other_water {
        small.push(step(String::new(), rigid_kg));
    }
    steps.push(step("all the rest".into(), small.iter().map(|step| step.change_kg).sum()));
    steps
}

/// The steps of cylinders: where they are too many, the smallest share the last one.
fn lumped(cylinders: Vec<Step>) -> Vec<Step> {
    let mut order: Vec<usize> = (0..cylinders.len()).collect();
    order.sort_by(|a, b| cylinders[*b].change_kg.abs().total_cmp(&cylinders[*a].change_kg.abs()));
    let changing = cylinders.iter().filter(|step| step.change_kg.abs() >= NOTHING_KG).count();
    if changing <= OWN_ROWS {
        return cylinders;
    }
    let own = &order[..OWN_ROWS - 1];
    let others = changing - own.len();
    let shared_kg = order[OWN_ROWS - 1..].iter().map(|i| cylinders[*i].change_kg).sum();
    let shared = Step { name: format!("{others} more cylinders"), change_kg: shared_kg, is_gas: false };
    let kept = cylinders.iter().enumerate().filter(|(i, _)| own.contains(i)).map(|(_, step)| step.clone());
    kept.chain([shared]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::water::{Brine, Layer, Water};
    use crate::profile::Profile;
    use crate::rig::{Body, Part, Rig};
    use crate::scenario::Settings;

    #[test]
    fn lines_sum_to_the_bare_net() {
        let part =
            |name: &str, body| Part { name: name.into(), role: Role::Gear, count: 2, body, ditchable: false, at: None };
        let diver = Rig {
            parts: vec![
                part("a", Body::Rigid { mass_kg: 3.0, volume_m3: 0.002 }),
                part("b", Body::Reading { lift_kg: -0.4 }),
            ],
            ..Rig::default()
        };
        let layer = Layer { top_m: 0.0, brine: Brine::Density(1010.0), temperature_k: 285.0 };
        let water = Water::new(1e5, &[layer]).unwrap();
        let profile = Profile::new(5.0, vec![], vec![]).unwrap();
        let scenario = Scenario::new(diver, water, profile, Settings::default()).unwrap();
        let trace = crate::sim::run(&scenario).unwrap();
        let sum: f64 = lines(&scenario, &[trace.first()]).iter().filter_map(|line| line.lift_kg[0]).sum();
        assert!((sum - trace.first().balance.bare_kg()).abs() < 1e-9);
        assert!((sum - 2.0 * (1010.0 * 0.002 - 3.0 - 0.4)).abs() < 1e-9);
    }
}
