//! One dive: the run, what was found in it, and its lead.

use crate::answer::{AnswerError, Checked, LeadTrials, Needless, Quick};
use crate::findings::{Findings, SwimUp};
use crate::plan::{Built, Plan};
use crate::sim::{Happening, Trace};
use crate::study::{LeadBounds, OwnLead, OwnVerdict, RemovableCylinder};

/// What is known of a dive after one run, and the searches for its lead.
#[derive(Clone, Debug, PartialEq)]
pub struct DiveFacts {
    /// The plan, built.
    pub built: Built,
    /// Checks that correct it.
    pub checked: Option<Checked>,
    /// The run.
    pub trace: Trace,
    /// What was found in it.
    pub findings: Findings,
    /// The least and the most lead.
    pub lead: LeadBounds,
    /// The plan's own lead against them.
    pub own: OwnLead,
    /// How sure they are.
    pub trials: LeadTrials,
    /// Lead that is carried for nothing.
    pub needless: Option<Needless>,
    /// The removable cylinders, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
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
        let Quick { built, checked, trace, findings, lead, own, removable } = quick;
        let trials = LeadTrials::of(plan, &built, &trace)?;
        let needless = Needless::of(&built.scenario, &findings, own.equivalent_lead_kg, lead, &trials)?;
        Ok(Self { built, checked, trace, findings, lead, own, trials, needless, removable })
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
