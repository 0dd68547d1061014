//! Rigs of the other tests with everything at a place.

use proptest::prelude::*;

use crate::parts::{reading, rigid};
use crate::rig::random::{Random, dive};
use lightpoint::internals::physics::place::{Centres, Point};
use lightpoint::internals::rig::{Cylinder, CylinderSpec, Lie, Part, Role};
use lightpoint::internals::scenario::Scenario;

/// A random dive with random places.
#[derive(Clone, Debug)]
pub struct Hung {
    dive: Random,
    points: Vec<[f64; 3]>,
}

/// Any of [`dive`], its things within 1.4 m of the shoulders, masses and volumes at places of their own.
pub fn hung_dive() -> impl Strategy<Value = Hung> {
    let points = prop::collection::vec(prop::array::uniform3(-0.8..0.8f64), 32);
    (dive(), points).prop_map(|(dive, points)| Hung { dive, points })
}

impl Hung {
    pub fn scenario(self) -> Scenario {
        placed(&self.dive.scenario(), &self.points)
    }
}

/// Everything of a dive at the points one after the other, regulator and float on the cylinders that go.
pub fn placed(dive: &Scenario, points: &[[f64; 3]]) -> Scenario {
    let mut points = points.iter().cycle().map(|[along_m, left_m, up_m]| Point::new(*along_m, *left_m, *up_m));
    let mut next = || points.next().unwrap();
    let mut rig = dive.rig().clone();
    for part in &mut rig.parts {
        part.at = Some(Centres { mass: next(), volume: next() });
    }
    for body in &mut rig.cylinders {
        let lie = Some(Lie { valve: next(), length_m: 0.3 + 0.2 * next().up_m.abs() });
        let rigging = match body.is_removable() {
            true => vec![
                rigid("regulator", Role::Gear, 1.2, 0.19e-3),
                Part { at: Some(Centres::at(next())), ..reading("float", Role::Gear, 0.2) },
            ],
            false => Vec::new(),
        };
        *body = Cylinder::new(CylinderSpec { lie, rigging, ..body.spec().clone() }).unwrap();
    }
    rig.suit = rig.suit.map(|bag| bag.placed(next()));
    rig.wing = rig.wing.map(|bag| bag.placed(next()));
    rig.lungs = Some(next());
    dive.with_rig(rig).unwrap()
}

/// The same dive with every place changed.
pub fn moved(dive: &Scenario, change: impl Fn(Point) -> Point) -> Scenario {
    let both = |at: Centres| Centres { mass: change(at.mass), volume: change(at.volume) };
    let mut rig = dive.rig().clone();
    rig.parts.iter_mut().for_each(|part| part.at = part.at.map(both));
    for body in &mut rig.cylinders {
        let mut spec = body.spec().clone();
        spec.lie = spec.lie.map(|lie| Lie { valve: change(lie.valve), ..lie });
        spec.rigging.iter_mut().for_each(|part| part.at = part.at.map(both));
        *body = Cylinder::new(spec).unwrap();
    }
    let bag = |bag: lightpoint::internals::rig::Bag| bag.at().map_or(bag, |at| bag.placed(change(at)));
    (rig.suit, rig.wing) = (rig.suit.map(bag), rig.wing.map(bag));
    rig.lungs = rig.lungs.map(change);
    dive.with_rig(rig).unwrap()
}
