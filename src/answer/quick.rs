//! What one run tells, without the trials that say how sure it is: quick enough to be asked again while a hand moves.

use crate::answer::{AnswerError, Checked, Ready};
use crate::findings::Findings;
use crate::plan::{Built, Plan};
use crate::sim::{self, Trace};
use crate::study::{LeadBounds, OwnLead, Probe, RemovableCylinder, lead_bounds_from, removable};

/// What one run tells, and the searches for its lead.
#[derive(Clone, Debug, PartialEq)]
pub struct Quick {
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
    /// The removable cylinders, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
}

impl Quick {
    /// Builds the plan, runs it and asks everything that one run tells.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::sim::run`] and [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan) -> Result<Self, AnswerError> {
        Self::of_ready(Ready::of(plan)?)
    }

    /// The same of a plan that is ready.
    ///
    /// # Errors
    /// As [`crate::sim::run`] and [`crate::study::lead_bounds`].
    pub fn of_ready(ready: Ready) -> Result<Self, AnswerError> {
        let Ready { built, checked } = ready;
        let trace = sim::run(&built.scenario)?;
        let findings = Findings::of(&built.scenario, &trace);
        let probe = Probe::of_trace(&built.scenario, &trace);
        let lead = lead_bounds_from(&built.scenario, &probe)?;
        let own = OwnLead::of(&built.scenario, &probe);
        let removable = removable(&built.scenario, &trace);
        Ok(Self { built, checked, trace, findings, lead, own, removable })
    }
}
