//! All that a page for student and team tells: one dive, perhaps another beside it, the lead, the first check in
//! confined water.

use crate::answer::{AnswerError, Carry, Checked, Ready, TrimFacts};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::pool::in_pool;
use crate::study::{self, Choice, Comparison, Dive, Pieces, RemovableCylinder, Verdict, removable};

/// The facts of a page.
#[derive(Clone, Debug, PartialEq)]
pub struct HandoutFacts {
    /// The plan, built.
    pub built: Built,
    /// Checks that correct it.
    pub checked: Option<Checked>,
    /// The plan beside it, built.
    pub beside: Option<Built>,
    /// The dives of both, and their differences where there are two.
    pub comparison: Comparison,
    /// The lead of the first.
    pub carry: Carry,
    /// The first check in confined water, for the first.
    pub check: FirstCheck,
    /// The removable cylinders of the first, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
    /// Where the first diver hangs, and where the lead goes.
    pub trim: TrimFacts,
}

/// The first check in confined water: with which lead, and the rig with it where the check may be made.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstCheck {
    /// Lead carried, kg: what is advised, else the plan's own ballast.
    pub lead_kg: f64,
    /// The advice that it follows; `None` where no lead is advised.
    pub advised: Option<Choice>,
    /// In the plan's own water.
    pub here: Scenario,
    /// In a swimming pool.
    pub pool: Scenario,
}

impl FirstCheck {
    /// Of a dive and the advice for it.
    ///
    /// # Errors
    /// A dive that is not valid in a pool.
    pub fn of(scenario: &Scenario, carry: &Carry) -> Result<Self, AnswerError> {
        let advised = carry.advised().cloned();
        let here = match &advised {
            Some(choice) => scenario.with_lead(choice.lead_kg, 0.0),
            None => scenario.clone(),
        };
        let lead_kg = advised.as_ref().map_or(carry.range.own.ballast_kg, |choice| choice.lead_kg);
        Ok(Self { lead_kg, advised, pool: in_pool(&here)?, here })
    }
}

impl Carry {
    /// The lead to carry; `None` where none is advised: it is withheld, none is right, or the dive runs out of gas.
    pub fn advised(&self) -> Option<&Choice> {
        let is_advised = self.advice.verdict == Verdict::Fits && !self.is_withheld() && !self.is_dry;
        self.advice.lead.as_ref().filter(|_| is_advised)
    }
}

impl HandoutFacts {
    /// Of a plan, with another one to hold against it.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan, beside: Option<&Plan>, pieces: &Pieces) -> Result<Self, AnswerError> {
        let Ready { built, checked } = Ready::of(plan)?;
        let beside = beside.map(|plan| Ready::of(plan).map(|ready| ready.built)).transpose()?;
        let scenario = &built.scenario;
        let comparison = match &beside {
            Some(other) => study::compare(&[scenario.clone(), other.scenario.clone()])?,
            None => Comparison { rows: Vec::new(), dives: vec![Dive::of(scenario)?] },
        };
        let removable = removable(scenario, &comparison.dives[0].trace);
        let carry = Carry::of(plan, &built, pieces)?;
        let check = FirstCheck::of(scenario, &carry)?;
        // the run that is there already; what is told of its trim keeps a copy
        let Dive { trace, findings, .. } = &comparison.dives[0];
        let trim =
            TrimFacts::of_run(plan, built.clone(), checked.clone(), trace.clone(), findings.trim.clone(), &carry)?;
        Ok(Self { check, carry, removable, trim, comparison, beside, checked, built })
    }
}

/// The size of each cylinder of a plan as it is written there, in the diver's order; `None` where the plan gives figures
/// of its own.
pub fn sizes(plan: &Plan) -> Vec<Option<String>> {
    plan.cylinder_tables().map(|table| table.size.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cylinder_has_the_size_of_its_table() {
        let plan = Plan::demonstration(&[]).unwrap();
        let built = plan.build().unwrap();
        let sizes = sizes(&plan);
        assert_eq!(sizes.len(), built.scenario.rig().cylinders.len());
        let written: Vec<_> = plan.file().cylinder.iter().map(|table| table.size.clone()).collect();
        assert_eq!(sizes, written);
    }

    #[test]
    fn the_check_is_made_with_what_is_advised() {
        let plan = Plan::demonstration(&[]).unwrap();
        let facts = HandoutFacts::of(&plan, None, &Pieces::Step(0.5)).unwrap();
        let carried_kg = |scenario: &Scenario| -> f64 {
            let ballast = scenario.rig().parts.iter().filter(|part| part.role == crate::rig::Role::Ballast);
            ballast.map(crate::rig::Part::mass_kg).sum()
        };
        let expected_kg = match facts.carry.advised() {
            Some(choice) => choice.lead_kg,
            None => carried_kg(&facts.built.scenario),
        };
        for scenario in [&facts.check.here, &facts.check.pool] {
            // masses of pieces are sums of the same figures
            assert!((carried_kg(scenario) - expected_kg).abs() < 1e-12);
        }
        assert!((facts.check.lead_kg - expected_kg).abs() < 1e-12);
    }
}
