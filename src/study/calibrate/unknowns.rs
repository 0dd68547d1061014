//! What a plan and the rigs of its checks do not know, each thing once.
//!
//! A check may have been made with another rig than the plan's. What both have is one unknown: figures of the same name
//! and the same text, and everything of the diver. All else is independent.

use std::collections::HashMap;

use crate::estimate::doubt::Quantile;
use crate::estimate::{Input, Origin};
use crate::scenario::Scenario;
use crate::study::calibrate::check::Check;
use crate::study::doubt::{Draws, Sequence};

/// Builds the dive of a rig from the values of its uncertain inputs, in their order.
pub type Build<'a> = &'a (dyn Fn(&[f64]) -> Result<Scenario, String> + Sync);

/// A rig in which checks were made.
#[derive(Clone, Copy)]
pub struct RigThen<'a> {
    /// Every figure of it.
    pub inputs: &'a [Input],
    /// Its dive.
    pub build: Build<'a>,
}

/// The scores of all rigs together: those of the plan's own rig first, in the order of its factors.
pub(crate) struct Unknowns<'a> {
    rigs: Vec<Rig<'a>>,
    /// for each unknown, whether it is a guess that nobody measured
    pub is_guess: Vec<bool>,
    /// the shape of each one's doubt
    pub shapes: Vec<Quantile>,
}

struct Rig<'a> {
    draws: Draws,
    build: Build<'a>,
    /// unknown of each factor
    unknown: Vec<usize>,
}

impl<'a> Unknowns<'a> {
    pub fn of(rigs: &[RigThen<'a>]) -> Self {
        let mut all = Self { rigs: Vec::new(), is_guess: Vec::new(), shapes: Vec::new() };
        let mut known: HashMap<String, usize> = HashMap::new();
        for rig in rigs {
            // values at scores do not depend on how draws are made
            let draws = Draws::new(rig.inputs, Sequence::Sobol, 0);
            let doubtful: Vec<&Input> = rig.inputs.iter().filter(|input| input.estimate.doubt.is_some()).collect();
            let mut taken = Vec::with_capacity(draws.factors().len());
            for (index, factor) in draws.factors().iter().enumerate() {
                let of_factor = || factor.inputs.iter().map(|&input| doubtful[input]);
                let name = match &factor.group {
                    Some(group) => format!("group {group}"),
                    None => of_factor().map(name).collect(),
                };
                // two of one name in one rig are two things
                let found = known.get(&name).copied().filter(|unknown| !taken.contains(unknown));
                let unknown = found.unwrap_or_else(|| {
                    all.is_guess.push(of_factor().all(|input| input.origin == Origin::Typical));
                    all.shapes.push(draws.shape(index));
                    all.is_guess.len() - 1
                });
                known.entry(name).or_insert(unknown);
                taken.push(unknown);
            }
            all.rigs.push(Rig { draws, build: rig.build, unknown: taken });
        }
        all
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.is_guess.len()
    }

    /// How many the plan's own rig has; they come first.
    pub fn own(&self) -> usize {
        self.rigs.first().map_or(0, |rig| rig.unknown.len())
    }

    /// The draws of the plan's own rig.
    pub fn own_draws(&self) -> Option<&Draws> {
        self.rigs.first().map(|rig| &rig.draws)
    }

    /// The unknowns that a rig depends on.
    pub fn of_rig(&self, rig: usize) -> &[usize] {
        &self.rigs[rig].unknown
    }

    /// The dive of a rig at these scores of all unknowns.
    ///
    /// # Errors
    /// Values that make no dive.
    pub fn dive(&self, rig: usize, scores: &[f64]) -> Result<Scenario, String> {
        let rig = &self.rigs[rig];
        let own: Vec<f64> = rig.unknown.iter().map(|&unknown| scores[unknown]).collect();
        (rig.build)(&rig.draws.values_of(&own))
    }

    /// Surplus of some checks of one rig at these scores, kg; `None` where they make no dive.
    pub fn surplus_kg(&self, rig: usize, checks: &[&Check], scores: &[f64]) -> Option<Vec<f64>> {
        let scenario = self.dive(rig, scores).ok()?;
        Some(checks.iter().map(|check| check.predicted(&scenario).surplus_kg()).collect())
    }
}

/// What makes a figure the same in two rigs.
fn name(input: &Input) -> String {
    if input.path.first() == "diver" {
        return format!("diver {}", input.path);
    }
    let doubt = input.estimate.doubt.map(|doubt| (doubt.half_width.to_bits(), format!("{:?}", doubt.shape)));
    format!("{} {:?} {:x} {doubt:?}", input.label, input.quantity, input.estimate.value.to_bits())
}
