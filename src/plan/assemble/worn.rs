//! Typical gear: pieces known by their names alone, and the gear of a plan that lists none.

use super::Builder;
use super::cylinders::Names;
use super::figures::Figures;
use super::places::lie_of;
use crate::estimate::Estimate;
use crate::physics::place::Centres;
use crate::plan::file::{FoamTable, PartTable, WingTable};
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::FRESH_KG_M3;
use crate::plan::typical::gear::{self, MASK, Named, PLATE, Piece, REGULATOR, RUBBER_FINS, TWIN_REGULATORS};
use crate::plan::typical::places::{self, Usually};
use crate::plan::typical::suit::SHEET;
use crate::plan::words::did_you_mean;
use crate::rig::{Body, Cylinder, Part, Role};
use crate::units::Quantity;

impl Builder<'_, '_> {
    /// Whether typical gear stands for gear that the plan does not list.
    pub(super) fn has_typical_gear(&mut self) -> bool {
        let file = &self.plan.file;
        match self.choice(Key::Root.field("gear"), file.gear.as_deref(), &["typical", "none"]) {
            Some(i) => i == 0,
            None => {
                let has_figures = |wing: &WingTable| {
                    wing.piece.is_some() || wing.mass.is_some() || wing.volume.is_some() || wing.in_water.is_some()
                };
                let is_listed = file.gear_list.is_some()
                    || file.suit.as_ref().is_some_and(|suit| suit.kind.is_none())
                    || file.wing.as_ref().is_some_and(has_figures)
                    || file.part.iter().any(|part| !is_of_suit(part));
                // a word that is none of the two is told already
                file.gear.is_none() && !is_listed
            }
        }
    }

    /// Plate and harness, fins, mask, and a regulator set a cylinder that is breathed: what feeds a loop has that of the unit.
    pub(super) fn typical_gear(&mut self, names: &Names, parts: &mut Vec<Part>, cylinders: &mut [Cylinder]) {
        let plan = self.plan;
        let mut told: Vec<&'static str> = Vec::new();
        for piece in [&PLATE, &RUBBER_FINS, &MASK] {
            let usual = places::of_gear(piece.names[0]).unwrap_or(places::ANYWHERE);
            parts.push(self.unlisted(piece, piece.names[0], Some(usual)));
            told.push(piece.names[0]);
        }
        let of_suit = plan.file.suit.as_ref().and_then(|suit| suit.supply.as_deref());
        for (i, table) in plan.file.cylinder.iter().enumerate() {
            let Some(of_table) = names.of_table(i) else { continue };
            let name = names.of(i);
            // a bottle of its own for the suit has no regulator to breathe from
            let is_of_suit = of_suit == Some(name) && plan.file.cylinder.len() > 1 && name != "back";
            let is_of_loop = names.fed().is_some_and(|fed| !fed.oxygen.or(fed.diluent).and(of_table).is_empty());
            if is_of_suit || is_of_loop || table.with.is_some() || table.rigging.is_some() {
                continue;
            }
            for (n, index) in of_table.iter().enumerate() {
                let cylinder = &cylinders[index];
                let piece = if cylinder.count() > 1 { &TWIN_REGULATORS } else { &REGULATOR };
                let goes = cylinder.is_removable() || cylinder.is_ditchable() || !cylinder.is_carried_at_start();
                let called =
                    if cylinders.len() > 1 { format!("{}, {name}", piece.names[0]) } else { piece.names[0].into() };
                if goes {
                    // at its valve; a fault of the cylinder was told with its figures
                    let part = self.unlisted(piece, &called, None);
                    _ = cylinders[index].hang([part]);
                } else {
                    let lie = lie_of(table, cylinder, n, of_table.len());
                    parts.push(self.unlisted(piece, &called, Some(Usually::Lying(lie))));
                }
                if !told.contains(&piece.names[0]) {
                    told.push(piece.names[0]);
                }
            }
        }
        if plan.file.wing.is_none() {
            told.push("wing");
        }
        if !self.is_draw() {
            self.notes.push(Note::TypicalGear(told));
        }
    }

    /// A piece that stands in no table of the plan.
    fn unlisted(&mut self, piece: &Piece, name: &str, usual: Option<Usually>) -> Part {
        self.inputs.about(name);
        let gear = Key::Root.field("gear");
        let body = self.typical_piece(gear.field(name), piece);
        let at = usual.map(|usual| Centres::at(self.at(gear.field(name), "at", name, &None, usual)));
        Part { name: name.to_owned(), role: Role::Gear, count: 1, body, ditchable: false, at }
    }

    /// The body of a part that has nothing but a name, if that is a name of the list.
    pub(super) fn named_body(&mut self, key: Key, table: &PartTable, figures: &Figures) -> Option<Body> {
        let is_bare = figures.is_empty() && figures.scale.is_none() && table.piece.is_none();
        let name = table.name.as_deref().filter(|name| is_bare && !name.trim().is_empty())?;
        match gear::named(name) {
            Some(Named::Rigid(piece)) => Some(self.typical_piece(key, piece)),
            Some(Named::Foam { foam, source }) => {
                let at = key.field("foam");
                let volume_m3 = self.inputs.typical_of(at.field("volume"), Quantity::Volume, foam, source);
                let mass_kg = volume_m3 * self.inputs.typical(key.field("density"), &SHEET);
                Some(Body::Foam { mass_kg, foam: self.foam(at, &FoamTable::default(), volume_m3) })
            }
            None if self.inputs.touched(key) => None,
            None => {
                self.inputs.fault(ProblemCode::WhichKeys, key, || {
                    let near = did_you_mean(name, gear::names()).map_or(String::new(), |near| format!("{near} Or "));
                    let help = format!(
                        "{near}write mass and one of volume, density, material, in_water; or a name with typical figures, \
                         such as \"rubber fins\" (lightpoint schema lists them)"
                    );
                    (format!("\"{name}\" has no figures, and no typical ones are known by that name"), Some(help))
                });
                Some(super::figures::NOTHING)
            }
        }
    }

    /// The body of a piece from its typical lift in fresh water.
    pub(super) fn typical_piece(&mut self, key: Key, piece: &Piece) -> Body {
        let mass = Estimate::exact(piece.mass_kg);
        let mass_kg = self.inputs.typical_of(key.field("mass"), Quantity::Mass, mass, piece.source);
        let lift_kg = self.inputs.typical_of(key.field("in_water"), Quantity::Mass, piece.lift, piece.source);
        if piece.lift.value < 0.0 {
            // what it lifts less than usual it weighs more
            let usual_kg = mass_kg + piece.lift.value;
            Body::Rigid { mass_kg: (usual_kg - lift_kg).max(0.0), volume_m3: usual_kg / FRESH_KG_M3 }
        } else {
            // the far tails of a draw leave something of a mask
            Body::Rigid { mass_kg, volume_m3: (mass_kg + lift_kg).max(0.0) / FRESH_KG_M3 }
        }
    }
}

/// Whether a part goes with the suit: hood, gloves, boots. Asked in every draw, so names of other things are told apart
/// without making text.
fn is_of_suit(part: &PartTable) -> bool {
    part.name.as_deref().is_some_and(|name| {
        let first = name.split_whitespace().next().unwrap_or_default();
        gear::FOAM_PIECES.iter().any(|piece| piece.name.eq_ignore_ascii_case(first))
            && matches!(gear::named(name), Some(Named::Foam { .. }))
    })
}
