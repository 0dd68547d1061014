//! A plan made into a dive.

use std::borrow::Cow;

use thiserror::Error;

use super::TrimAsk;
use crate::estimate::{Estimate, Figures, Input, KeyPath, PlaceTies, Ties};
use crate::physics::body::Stance;
use crate::physics::gas::GasError;
use crate::physics::water::WaterError;
use crate::plan::checks::PlannedCheck;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::profile::simplify::Simplified;
use crate::profile::{Profile, ProfileError};
use crate::rig::RigError;
use crate::scenario::{GasTables, Scenario, ScenarioError};

/// A plan made into a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Built {
    /// The dive, with every figure at its central value.
    pub scenario: Scenario,
    /// Every figure that was used, in the order in which it was asked for. The n-th one with a doubt is the n-th number
    /// of a draw.
    pub inputs: Vec<Input>,
    /// Where things are: every distance that was used, in the order in which it was asked for. They bear on the trim alone, and
    /// the n-th one with a doubt is the n-th place of a draw.
    pub places: Vec<Input>,
    /// What the trim is asked with.
    pub trim: TrimAsk,
    /// How the diver is held.
    pub stance: Stance,
    /// What checks of the trim leave of the distances with a doubt.
    pub place_ties: Option<PlaceTies>,
    /// Other places that use a typical figure: its index in `inputs`, and the key path.
    pub also: Vec<(usize, KeyPath)>,
    /// What a reader should know about it.
    pub notes: Vec<Note>,
    /// Checks made in the water.
    pub checks: Vec<PlannedCheck>,
    /// Other rigs with which some of them were made, in the order of the plan.
    pub rigs: Vec<Built>,
    /// How checks tie the figures together, where they were taken in.
    pub ties: Option<Ties>,
    /// Whether a check contradicts it, or another one, and was left out.
    pub is_disputed: bool,
    /// Gas tables of this dive and of its fills.
    pub(super) tables: GasTables,
    /// Which legs of a long record stay.
    pub(super) record: Option<Simplified>,
    /// The legs that are the rest of one that a bail-out cut.
    pub(super) rests: Vec<usize>,
}

impl Built {
    /// The figures with a doubt: what a draw gives numbers for, in this order.
    pub fn uncertain(&self) -> impl Iterator<Item = &Input> {
        self.inputs.iter().filter(|input| input.estimate.doubt.is_some())
    }

    /// The profile in the legs that the plan writes: what a bail-out cut is whole again.
    pub(crate) fn written_profile(&self) -> Cow<'_, Profile> {
        let profile = self.scenario.profile();
        if self.rests.is_empty() || self.record.is_some() {
            return Cow::Borrowed(profile);
        }
        let goes_on = |i: usize| self.rests.contains(&(i + 1));
        let legs = profile.legs().iter().enumerate().filter(|(i, _)| !goes_on(*i)).map(|(_, leg)| *leg).collect();
        // the legs of a profile without some of its seams are a profile
        let whole = Profile::new(profile.start_m(), legs, profile.changes().to_vec());
        whole.map_or(Cow::Borrowed(profile), Cow::Owned)
    }

    /// The figures for a study, as checks tie them together.
    pub fn figures(&self) -> Figures<'_> {
        Figures { inputs: &self.inputs, ties: self.ties.as_ref() }
    }

    /// The same dive corrected: every uncertain figure as checks leave it, `after` in their order, and the dive that
    /// follows from all of them together. `is_disputed`: a check contradicts and was left out.
    pub fn corrected(mut self, scenario: Scenario, after: &[Estimate], ties: Ties, is_disputed: bool) -> Self {
        let uncertain = self.inputs.iter_mut().filter(|input| input.estimate.doubt.is_some());
        for (input, after) in uncertain.zip(after) {
            input.estimate = *after;
        }
        Self { scenario, ties: Some(ties), is_disputed, ..self }
    }

    /// The same plan with its distances as checks of the trim leave them, `after` in the order of [`Built::uncertain_places`];
    /// its dive is still the old one.
    pub fn placed(mut self, ties: PlaceTies, after: &[Estimate]) -> Self {
        let uncertain = self.places.iter_mut().filter(|input| input.estimate.doubt.is_some());
        for (input, after) in uncertain.zip(after) {
            input.estimate = *after;
        }
        Self { place_ties: Some(ties), ..self }
    }

    /// The distances with a doubt: what a draw of places gives numbers for, in this order.
    pub fn uncertain_places(&self) -> impl Iterator<Item = &Input> {
        self.places.iter().filter(|input| input.estimate.doubt.is_some())
    }

    /// The central values of [`Built::uncertain_places`].
    pub fn central_places(&self) -> Vec<f64> {
        self.uncertain_places().map(|input| input.estimate.value).collect()
    }

    /// The places in the middle of what is known: the central ones, or what checks of the trim leave of them.
    pub fn middle_places(&self) -> Vec<f64> {
        self.place_ties.as_ref().map_or_else(|| self.central_places(), |ties| ties.mean.clone())
    }

    /// The central values of [`Built::uncertain`].
    pub fn central(&self) -> Vec<f64> {
        self.uncertain().map(|input| input.estimate.value).collect()
    }
}

/// Why drawn numbers make no dive.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum DrawError {
    /// Too few or too many numbers.
    #[error("{given} numbers for {needed} uncertain figures")]
    Count {
        /// Numbers given.
        given: usize,
        /// Uncertain figures of the plan.
        needed: usize,
    },
    /// A drawn number, or what follows from it, is impossible.
    #[error("a drawn figure is impossible: {0}")]
    Impossible(ProblemCode),
    /// The water.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// A gas.
    #[error(transparent)]
    Gas(#[from] GasError),
    /// A cylinder.
    #[error(transparent)]
    Rig(#[from] RigError),
    /// The profile.
    #[error(transparent)]
    Profile(#[from] ProfileError),
    /// The dive as a whole.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
}
