//! Distances of several rigs, each thing once.

use crate::answer::trim::place_ties;
use crate::estimate::doubt::standard_uncertainty;
use crate::estimate::{Estimate, Input};
use crate::physics::place::Point;
use crate::plan::Built;
use crate::plan::typical::places::Placed;

/// Distances of several rigs, each thing once, and what is known of them.
pub(super) struct Distances {
    pub names: Vec<String>,
    pub mean_m: Vec<f64>,
    pub standard_m: Vec<f64>,
}

impl Distances {
    pub fn push(&mut self, name: String, mean_m: f64, standard_m: f64) -> usize {
        self.names.push(name);
        self.mean_m.push(mean_m);
        self.standard_m.push(standard_m);
        self.names.len() - 1
    }

    /// Of the plan's own rig.
    pub fn own(built: &Built) -> Self {
        let ties = place_ties(built);
        let mut own = Self { names: vec![], mean_m: vec![], standard_m: vec![] };
        for ((input, mean_m), standard_m) in built.uncertain_places().zip(&ties.mean).zip(ties.standard_m()) {
            own.push(name(input), *mean_m, standard_m);
        }
        own
    }

    /// Where those of another rig stand; two of one name in one rig are two things.
    pub fn of_rig(&mut self, built: &Built) -> Vec<usize> {
        let mut taken: Vec<usize> = Vec::new();
        for input in built.uncertain_places() {
            let name = name(input);
            let known = (0..self.names.len()).find(|i| self.names[*i] == name && !taken.contains(i));
            let standard_m = input.estimate.doubt.as_ref().map_or(0.0, standard_uncertainty);
            taken.push(known.unwrap_or_else(|| self.push(name, input.estimate.value, standard_m)));
        }
        taken
    }

    /// Where those of a place of the table stand, along and up.
    pub fn of_place(&mut self, placed: Placed, built: &Built) -> (Point, [usize; 2]) {
        let (at, along_m, up_m) = placed.on(&built.stance);
        let mut one = |key: &str, value_m: f64, half_width_m: f64| {
            let estimate = Estimate::normal(value_m, half_width_m);
            let name = named(&format!("{}, {key}", placed.spot.words[0]), &estimate);
            let known = self.names.iter().position(|other| *other == name);
            let standard_m = estimate.doubt.as_ref().map_or(0.0, standard_uncertainty);
            known.unwrap_or_else(|| self.push(name, value_m, standard_m))
        };
        let indices = [one("along", at.along_m, along_m), one("up", at.up_m, up_m)];
        (Point::new(self.mean_m[indices[0]], at.left_m, self.mean_m[indices[1]]), indices)
    }
}

/// What makes a distance the same in two rigs: everything of the diver, else name and text.
fn name(input: &Input) -> String {
    if input.path.first() == "diver" { format!("diver {}", input.path) } else { named(&input.label, &input.estimate) }
}

fn named(label: &str, estimate: &Estimate) -> String {
    let doubt = estimate.doubt.map(|doubt| (doubt.half_width.to_bits(), format!("{:?}", doubt.shape)));
    format!("{label} {:x} {doubt:?}", estimate.value.to_bits())
}
