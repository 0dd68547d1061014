//! Everything that is worn: parts, ballast and wing, each reduced to a mass and a volume.

use std::collections::HashMap;

use super::Builder;
use super::cylinders::Names;
use super::figures::{Figures, at};
use super::person::Diver;
use crate::physics::place::Centres;
use crate::plan::file::{Ballast, PartTable, WingTable};
use crate::plan::inputs::Limit;
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::dive::WING_CAPACITY;
use crate::plan::typical::gear::WING;
use crate::plan::typical::places::{self, Placed, Usually};
use crate::rig::{Bag, Cylinder, Part, Rig, Role};

impl Builder<'_, '_> {
    /// The diver with everything worn and carried.
    pub(super) fn diver(&mut self, names: &Names, mut cylinders: Vec<Cylinder>) -> Rig {
        let plan = self.plan;
        let root = Key::Root;
        let mut parts = Vec::new();
        let Diver { build, lung_trim_m3, swim_up_kg, head_out_m3 } = self.person(root.field("diver"), &mut parts);
        let list = root.field("part");
        let gear = parts.len();
        for (i, table) in plan.file.part.iter().enumerate() {
            parts.push(self.part(list.index(i), table));
        }
        self.unique("part", plan.file.part.iter().map(|part| part.name.as_deref()));
        self.hang(names, &mut parts[gear..], &mut cylinders);
        parts.retain(|part| part.count > 0);
        let is_typical = self.has_typical_gear();
        if is_typical {
            self.refuse_typical_unit(root.field("loop"));
            self.typical_gear(names, &mut parts, &mut cylinders);
        }
        self.note_no_rigging(&cylinders);
        let list = root.field("ballast");
        for (i, table) in plan.file.ballast.iter().enumerate() {
            parts.push(self.ballast(list.index(i), table));
        }
        self.unique("ballast", plan.file.ballast.iter().map(|piece| piece.name.as_deref()));
        let suit =
            plan.file.suit.as_ref().and_then(|suit| self.suit(root.field("suit"), suit, &build, names, &mut parts));
        let none = WingTable::default();
        let wing = plan.file.wing.as_ref().or(is_typical.then_some(&none));
        let wing = wing.and_then(|wing| self.wing(root.field("wing"), wing, names, &mut parts));
        let breathing_loop = self.breathing_loop(root.field("loop"), names, &mut parts);
        self.lay_cylinders(names, &mut cylinders);
        let lungs = Some(self.stance.lungs());
        let diver = Rig { parts, suit, breathing_loop, wing, cylinders, lung_trim_m3, swim_up_kg, head_out_m3, lungs };
        self.note_readings(&diver);
        diver
    }

    pub(super) fn part(&mut self, key: Key, table: &PartTable) -> Part {
        let name = self.name(key, &table.name, &table.piece);
        let figures = Figures {
            row: None,
            mass: at(&key, "mass", &table.mass),
            volume: at(&key, "volume", &table.volume),
            density: at(&key, "density", &table.density),
            material: table.material.as_deref(),
            in_water: at(&key, "in_water", &table.in_water),
            read_in: table.read_in.as_deref(),
            scale: table.scale.as_deref(),
            foam: table.foam.as_ref(),
        };
        let body = match self.named_body(key, table, &figures) {
            Some(body) => body,
            None => self.body_or_piece(key, &table.piece, figures, "volume, density, material, in_water or foam"),
        };
        let count = self.count(key, table.count);
        let usual = places::of_gear(&name).unwrap_or(places::ANYWHERE);
        let at = Some(Centres::at(self.at(key, "at", &name, &table.at, usual)));
        Part { name, role: Role::Gear, count, body, ditchable: table.ditchable.unwrap_or(false), at }
    }

    fn ballast(&mut self, key: Key, table: &Ballast) -> Part {
        let name = self.name(key, &table.name, &table.piece);
        let by_density = table.density.is_some() || table.piece.is_some();
        let figures = Figures {
            mass: at(&key, "mass", &table.mass),
            density: at(&key, "density", &table.density),
            material: table.material.as_deref().or((!by_density).then_some("lead")),
            ..Figures::NONE
        };
        let body = self.body_or_piece(key, &table.piece, figures, "material or density");
        let count = self.count(key, table.count);
        let usual = places::of_gear(&name).unwrap_or(Usually::At(Placed::middle(places::BELT)));
        let at = Some(Centres::at(self.at(key, "at", &name, &table.at, usual)));
        Part { name, role: Role::Ballast, count, body, ditchable: table.ditchable.unwrap_or(false), at }
    }

    fn wing(&mut self, key: Key, wing: &WingTable, names: &Names, parts: &mut Vec<Part>) -> Option<Bag> {
        let name = wing.name.as_deref().or(wing.piece.as_deref()).unwrap_or("wing (empty)");
        self.inputs.about(name);
        let figures = Figures {
            mass: at(&key, "mass", &wing.mass),
            volume: at(&key, "volume", &wing.volume),
            density: at(&key, "density", &wing.density),
            in_water: at(&key, "in_water", &wing.in_water),
            read_in: wing.read_in.as_deref(),
            scale: wing.scale.as_deref(),
            ..Figures::NONE
        };
        let body = match figures.is_empty() && figures.scale.is_none() && wing.piece.is_none() {
            true => self.typical_piece(key, &WING),
            false => self.body_or_piece(key, &wing.piece, figures, "volume, density or in_water"),
        };
        let gas_at =
            self.at(key, "gas_at", "gas of the wing", &wing.gas_at, Usually::At(Placed::middle(places::WING_GAS)));
        let at = Some(Centres::at(gas_at));
        parts.push(Part { name: name.into(), role: Role::Wing, count: 1, body, ditchable: false, at });
        let capacity_m3 = self.inputs.or_typical(key, "capacity", &wing.capacity, &WING_CAPACITY, Limit::NotNegative);
        let supply = self.supply(key, "wing", &wing.supply, names);
        Some(Bag::wing(capacity_m3, supply).placed(gas_at))
    }

    /// The name of a part, which also heads its figures in the list of inputs.
    fn name(&mut self, key: Key, name: &Option<String>, piece: &Option<String>) -> String {
        let found = name.as_deref().or(piece.as_deref()).unwrap_or_default().trim();
        if found.is_empty() {
            self.inputs.missing(key.field("name"), || "name = \"fins\"".into());
        }
        self.inputs.about(found);
        found.to_owned()
    }

    /// A count from 1 to 99.
    pub(super) fn count(&mut self, key: Key, count: Option<i64>) -> u32 {
        match count {
            None => 1,
            Some(count @ 1..=99) => count as u32, // within u32 by the pattern
            Some(count) => {
                self.inputs.fault(ProblemCode::OutOfRange, key.field("count"), || {
                    (format!("count is {count}, but must be between 1 and 99"), None)
                });
                1
            }
        }
    }

    /// No two of a list with one name.
    pub(super) fn unique<'n>(&mut self, list: &'static str, names: impl Iterator<Item = Option<&'n str>>) {
        if self.is_draw() {
            return;
        }
        let root = Key::Root;
        let list = root.field(list);
        let mut known: HashMap<&str, usize> = HashMap::new();
        for (i, name) in names.enumerate() {
            let Some(name) = name else { continue };
            let first = *known.entry(name).or_insert(i);
            if first < i {
                let entry = list.index(i);
                self.inputs.fault(ProblemCode::DuplicateName, entry.field("name"), || {
                    let help = "give each a name of its own, or use count".into();
                    (format!("\"{name}\" is the name of {} already", list.index(first)), Some(help))
                });
            }
        }
    }
}
