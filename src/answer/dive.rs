//! One dive: the run, what was found in it, and its lead.

use std::ops::Deref;

use crate::answer::{AnswerError, LeadTrials, Needless, Quick, TrimDoubt};
use crate::findings::SwimUp;
use crate::plan::Plan;
use crate::sim::Happening;
use crate::study::OwnVerdict;

/// What is known of a dive after one run, and the searches for its lead.
#[derive(Clone, Debug, PartialEq)]
pub struct DiveFacts {
    /// What one run tells.
    pub quick: Quick,
    /// How sure they are.
    pub trials: LeadTrials,
    /// Lead that is carried for nothing.
    pub needless: Option<Needless>,
    /// How sure the trim is.
    pub trim_doubt: Option<TrimDoubt>,
}

impl DiveFacts {
    /// Builds the plan, runs it, asks everything that one run tells, and how sure that is.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::sim::run`] and [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan) -> Result<Self, AnswerError> {
        Self::of_quick(plan, Quick::of(plan)?)
    }

    /// The same from what one run told.
    ///
    /// # Errors
    /// As [`crate::sim::run`] and [`crate::study::lead_bounds`].
    pub fn of_quick(plan: &Plan, quick: Quick) -> Result<Self, AnswerError> {
        let trials = LeadTrials::of(plan, &quick.built, &quick.trace)?;
        let lead_kg = quick.own.equivalent_lead_kg;
        let needless = Needless::of(&quick.built.scenario, &quick.findings, lead_kg, quick.lead, &trials)?;
        let trim = quick.findings.trim.as_ref();
        let trim_doubt = trim.map(|trim| TrimDoubt::of(plan, &quick.built, &quick.trace, trim)).transpose()?;
        Ok(Self { quick, trials, needless, trim_doubt })
    }

    /// Whether something is found that a strict reader does not accept: a diver who cannot swim up or cannot stay down,
    /// also with a removable cylinder gone,
    /// needless lead, a wing too small, a shortage of gas.
    pub fn has_fault(&self) -> bool {
        self.findings.failed_wing.verdict != SwimUp::CanSwim
            || self.own.verdict() != OwnVerdict::Fits
            || !self.findings.lightest_hold().holds()
            || self.needless.is_some()
            || !self.findings.wing.is_enough()
            || self.trace.events().iter().any(|event| !matches!(event.what, Happening::Moved { .. }))
    }
}

/// What one run tells is told of the dive itself.
impl Deref for DiveFacts {
    type Target = Quick;

    fn deref(&self) -> &Quick {
        &self.quick
    }
}
