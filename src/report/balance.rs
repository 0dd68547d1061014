//! What lifts and what sinks at a moment: the two-column table, line by line.

use crate::rig::{Role, SUIT};
use crate::scenario::Scenario;
use crate::sim::{Now, Owner, Term, terms};

/// What a line of the balance is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// A part of the rig or the diver's body.
    Part(Role),
    /// The gas in the dry suit.
    SuitGas,
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
    for (i, cylinder) in diver.cylinders.iter().enumerate() {
        let lift_kg = sum(&|owner| owner.cylinder() == Some(i));
        lines.push(Line { name: cylinder.name().to_owned(), kind: LineKind::Cylinder(i), lift_kg });
    }
    lines
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
        let part = |name: &str, body| Part { name: name.into(), role: Role::Gear, count: 2, body, ditchable: false };
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
