//! What can be asked of a plan, one call a question.

use std::path::Path;

use crate::answer::{
    AnswerError, BallastFacts, CALIBRATION_DRAWS, Calibration, DiveFacts, DoubtFacts, DrawSettings, Pieces, Ready,
    Stage, Watch,
};
use crate::plan::checks::read_checks;
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::doubt::Control;
use crate::study::{self, Comparison};

/// What can be asked of a plan, one call a question. Each builds and runs what it needs; what comes back is numbers, SI, and
/// no words.
///
/// ```
/// use lightpoint::{Answers, Error, Pieces, Plan};
///
/// # fn main() -> Result<(), Error> {
/// let plan = r#"
///     [site]
///     water = "sea"
///     temperature = "15 °C"
///
///     [diver]
///     mass = "80 kg"
///     volume = "79.5 L"
///
///     [[part]]
///     name = "wet suit"
///     mass = "3 kg"
///     volume = "6 L"
///
///     [[cylinder]]
///     name = "back"
///     size = "steel 12 L 232 bar"
///     gas = "air"
///     fill = "200 bar"
///
///     [breathing]
///     rate = "18 L/min"
///
///     [dive]
///     leg = [
///         { to = "20 m", over = "2 min" },
///         { stay = "25 min" },
///         { to = "5 m", speed = "9 m/min" },
///         { stay = "3 min" },
///         { to = "0 m", over = "1 min" },
///     ]
/// "#;
/// let plan = Plan::parse(plan, "invented.toml", "")?;
/// let ask = Answers::of(&plan);
///
/// let dive = ask.dive()?;
/// // gas is breathed and the diver becomes lighter
/// assert!(dive.findings.heavy.bare_kg < dive.findings.light.bare_kg);
///
/// // lead in pieces of half a kilogram
/// let lead = ask.ballast(&Pieces::Step(0.5))?.carry;
/// let bounds = lead.range.bounds();
/// println!("from {:.1} kg to {:.1} kg", bounds.low_kg(), bounds.most_kg);
/// if let Some(choice) = lead.advice.lead {
///     assert!(choice.lead_kg >= bounds.least_kg);
/// }
/// # Ok(())
/// # }
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Answers<'a> {
    plan: &'a Plan,
}

impl<'a> Answers<'a> {
    /// Of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        Self { plan }
    }

    /// One run of the dive: heavy and light point, failed wing, holds, cylinders, the lead range.
    ///
    /// # Errors
    /// A plan with problems; a run that fails; a search for lead that does not close.
    pub fn dive(&self) -> Result<DiveFacts, AnswerError> {
        DiveFacts::of(self.plan)
    }

    /// How much lead and why, what to carry in pieces that exist, and what would help where no lead is right.
    ///
    /// # Errors
    /// As [`Answers::dive`]; pieces that make no sense.
    pub fn ballast(&self, pieces: &Pieces) -> Result<BallastFacts, AnswerError> {
        BallastFacts::of(self.plan, pieces)
    }

    /// The dive and one to five others side by side, each held against this one.
    ///
    /// # Errors
    /// As [`Answers::dive`]; another number of dives.
    pub fn beside(&self, others: &[&Plan]) -> Result<Comparison, AnswerError> {
        let plans = std::iter::once(self.plan).chain(others.iter().copied());
        let scenarios: Vec<Scenario> =
            plans.map(|plan| Ok(Ready::of(plan)?.built.scenario)).collect::<Result<_, AnswerError>>()?;
        Ok(study::compare(&scenarios)?)
    }

    /// How sure the answers are, and what to weigh next: many draws of the figures that have a doubt. `None`: nothing in
    /// the plan has one. `control` watches and ends it.
    ///
    /// # Errors
    /// As [`Answers::dive`], with every figure as the plan has it; ended before the first draws were done.
    pub fn doubt<P: FnMut(u64)>(
        &self,
        settings: &DrawSettings,
        control: Control<'_, P>,
    ) -> Result<Option<DoubtFacts>, AnswerError> {
        let Control { cancel, mut progress } = control;
        let mut progress = |_: Stage, count| progress(count);
        DoubtFacts::of(self.plan, settings.clone(), true, Watch { cancel, progress: &mut progress })
    }

    /// What the checks of a CSV file, made in the water, say of the plan: each check's verdict, the figures that moved, the
    /// plan written again with them, and what to carry by it. `control` watches and ends it.
    ///
    /// # Errors
    /// As [`Answers::doubt`]; checks with problems, or that the plan has no figures for.
    pub fn calibration<P: FnMut(u64)>(
        &self,
        checks: &Path,
        settings: &DrawSettings,
        pieces: &Pieces,
        control: Control<'_, P>,
    ) -> Result<Calibration, AnswerError> {
        let Built { scenario, .. } = self.plan.build()?;
        let names: Vec<&str> = scenario.rig().cylinders.iter().map(|one| one.name()).collect();
        let rows = read_checks(checks, &names)?;
        let settings = DrawSettings { max_draws: CALIBRATION_DRAWS, ..settings.clone() };
        let Control { cancel, mut progress } = control;
        let mut progress = |_: Stage, count| progress(count);
        let name = format!("{} (calibrated)", self.plan.title());
        Calibration::of(self.plan, &rows, &settings, pieces, &name, Watch { cancel, progress: &mut progress })
    }
}
