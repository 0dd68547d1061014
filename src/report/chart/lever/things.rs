//! What pulls on the lever, as few things as tell it: parts of one kind at one place are one.

use crate::findings::trim::Pull;
use crate::physics::place::Point;
use crate::rig::{LOOP, Role, SUIT};
use crate::scenario::Scenario;
use crate::sim::Owner;

/// Pulls below this are dots without a name, kg.
pub(super) const LEAST_KG: f64 = 0.3;
/// Parts of a kind that are nearer than this are one thing, m: less than how far places are known.
const NEAR_M: f64 = 0.10;

/// Stands behind the name of the heaviest of several.
const MORE: &str = " etc.";

/// What a thing is, for putting together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Body,
    Suit,
    Lead,
    Gear,
    Alone,
}

/// Something that pulls, at both moments: zero where it is not carried.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Thing {
    pub name: String,
    kind: Kind,
    pub at: Point,
    pub lift_kg: [f64; 2],
    /// Its torque about the lungs, N·m.
    pub torque_nm: [f64; 2],
}

/// What pulls at two moments.
pub(super) fn things(scenario: &Scenario, pulls: [&[Pull]; 2]) -> Vec<Thing> {
    let mut each: Vec<(Owner, Thing)> = Vec::new();
    for (which, pulls) in pulls.into_iter().enumerate() {
        for pull in pulls {
            let at = each.iter().position(|(owner, _)| *owner == pull.owner).unwrap_or_else(|| {
                each.push((pull.owner, named(scenario, pull)));
                each.len() - 1
            });
            each[at].1.lift_kg[which] = pull.lift_kg;
            each[at].1.torque_nm[which] = pull.moment.pitch_torque_nm();
        }
    }
    let mut all: Vec<Thing> = Vec::new();
    for (_, thing) in each {
        match all.iter_mut().find(|other| is_one(other, &thing)) {
            Some(other) => join(other, &thing),
            None => all.push(thing),
        }
    }
    all
}

fn named(scenario: &Scenario, pull: &Pull) -> Thing {
    let rig = scenario.rig();
    let (name, kind) = match pull.owner {
        Owner::Part(i) => {
            let part = &rig.parts[i];
            let kind = match part.role {
                Role::Person => Kind::Body,
                Role::Suit => Kind::Suit,
                Role::Wing | Role::Gear => Kind::Gear,
                Role::Ballast => Kind::Lead,
            };
            (if kind == Kind::Body { "body".into() } else { part.name.clone() }, kind)
        }
        Owner::Cylinder(i) | Owner::Gas(i) | Owner::Hung { cylinder: i, .. } => {
            (rig.cylinders[i].name().to_owned(), Kind::Alone)
        }
        Owner::Bag(SUIT) => ("suit gas".into(), Kind::Alone),
        Owner::Bag(LOOP) => ("loop gas".into(), Kind::Alone),
        Owner::Bag(_) => ("wing gas".into(), Kind::Alone),
        Owner::Absorbed => ("absorbent".into(), Kind::Alone),
        Owner::Metabolised => ("body".into(), Kind::Body),
    };
    Thing { name, kind, at: pull.at, lift_kg: [0.0; 2], torque_nm: [0.0; 2] }
}

fn is_one(a: &Thing, b: &Thing) -> bool {
    let apart = a.at - b.at;
    a.kind == b.kind && a.kind != Kind::Alone && apart.along_m.hypot(apart.up_m) < NEAR_M
}

/// Adds a thing to another of its kind, between both by what they pull.
fn join(one: &mut Thing, other: &Thing) {
    let pull = |thing: &Thing| thing.lift_kg.map(f64::abs).iter().sum::<f64>().max(1e-9);
    let frac = pull(other) / (pull(one) + pull(other));
    one.at = one.at + (other.at - one.at) * frac;
    let heaviest = if pull(other) > pull(one) { &other.name } else { &one.name };
    let name = heaviest.trim_end_matches(MORE);
    one.name = match one.kind {
        _ if one.name == other.name => one.name.clone(),
        Kind::Body => "body".into(),
        Kind::Suit => "suit".into(),
        Kind::Lead => "lead".into(),
        Kind::Gear | Kind::Alone => format!("{name}{MORE}"),
    };
    for which in 0..2 {
        one.lift_kg[which] += other.lift_kg[which];
        one.torque_nm[which] += other.torque_nm[which];
    }
}
