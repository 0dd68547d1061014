//! What hangs on a cylinder: parts of the plan that go where it goes, or figures of its own.

use super::Builder;
use super::cylinders::Names;
use crate::plan::file::PartTable;
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::words::did_you_mean;
use crate::rig::{Body, Cylinder, Part};

impl Builder<'_, '_> {
    /// Hangs on each cylinder what its table names, and takes it off the diver. `gear` are the plan's parts in order; what
    /// is left of each is what the diver wears.
    pub(super) fn hang(&mut self, names: &Names, gear: &mut [Part], cylinders: &mut [Cylinder]) {
        let plan = self.plan;
        let root = Key::Root;
        let list = root.field("cylinder");
        let mut wanted = vec![0u32; gear.len()];
        for (i, table) in plan.file.cylinder.iter().enumerate() {
            let key = list.index(i);
            let Some(of_table) = names.of_table(i) else { continue };
            let mut hung: Vec<Part> = Vec::new();
            for (n, name) in table.with.iter().flat_map(|with| &with.0).enumerate() {
                let at = key.field("with");
                if let Some(found) = self.named_part(at.index(n), name, gear) {
                    self.refuse_foam(at.index(n), &gear[found]);
                    let singles: u32 = of_table.iter().map(|i| cylinders[i].count()).sum();
                    wanted[found] += singles;
                    if wanted[found] > gear[found].count && wanted[found] - singles <= gear[found].count {
                        self.too_few(at.index(n), &gear[found], wanted[found]);
                    }
                    // at its cylinder's valve, not where it would be worn
                    let at = gear[found].at.filter(|_| plan.file.part.get(found).is_some_and(|part| part.at.is_some()));
                    hung.push(Part { at, ..gear[found].clone() });
                }
            }
            if let Some(rigging) = &table.rigging {
                let rigging = PartTable {
                    name: rigging.name.clone().or_else(|| rigging.piece.is_none().then(|| "rigging".into())),
                    ..(**rigging).clone()
                };
                let at = key.field("rigging");
                let part = self.part(at, &rigging);
                let part = Part { at: part.at.filter(|_| rigging.at.is_some()), ..part };
                self.refuse_foam(at, &part);
                // so many on each single cylinder
                hung.extend(std::iter::repeat_n(Part { count: 1, ..part.clone() }, part.count as usize));
            }
            for i in of_table.iter().filter(|_| !hung.is_empty()) {
                let count = cylinders[i].count();
                let parts = hung.iter().map(|part| Part { count, ditchable: false, ..part.clone() });
                // a fault of a part was told with its figures
                let _ = cylinders[i].hang(parts.filter(|part| !matches!(part.body, Body::Foam { .. })));
            }
        }
        for (part, taken) in gear.iter_mut().zip(wanted) {
            part.count = part.count.saturating_sub(taken);
        }
    }

    /// The part of a name, by its place.
    fn named_part(&mut self, at: Key, name: &str, gear: &[Part]) -> Option<usize> {
        let found = gear.iter().position(|part| part.name == name.trim());
        if found.is_none() {
            self.inputs.fault(ProblemCode::UnknownPart, at, || {
                let known = gear.iter().map(|part| part.name.as_str());
                let help = did_you_mean(name, known).unwrap_or_else(|| {
                    "name a [[part]] of this plan, or write rigging = { mass = …, volume = … }".into()
                });
                (format!("there is no part \"{name}\""), Some(help))
            });
        }
        found
    }

    fn too_few(&mut self, at: Key, part: &Part, wanted: u32) {
        let (name, count) = (&part.name, part.count);
        self.inputs.fault(ProblemCode::Rigging, at, || {
            let help =
                format!("each single cylinder takes one of its own: write count = {wanted}, or more, at that part");
            (format!("there are {count} of \"{name}\", too few for the cylinders that it hangs on"), Some(help))
        });
    }

    fn refuse_foam(&mut self, at: Key, part: &Part) {
        if let Body::Foam { .. } = part.body {
            self.inputs.fault(ProblemCode::Rigging, at, || {
                let help = "leave it on the diver, or give its volume instead of foam".into();
                (format!("\"{}\" is foam, but what hangs on a cylinder must be rigid", part.name), Some(help))
            });
        }
    }

    /// A stage that goes without its regulator is a mistake that makes every answer about it wrong.
    pub(super) fn note_no_rigging(&mut self, cylinders: &[Cylinder]) {
        if self.is_draw() || cylinders.iter().any(|cylinder| !cylinder.rigging().is_empty()) {
            return;
        }
        let removable = cylinders.iter().filter(|cylinder| cylinder.is_removable() || cylinder.is_ditchable());
        let names: Vec<String> = removable.map(|cylinder| cylinder.name().to_owned()).collect();
        if !names.is_empty() {
            self.notes.push(Note::NoRigging(names));
        }
    }
}
