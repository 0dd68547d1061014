//! All about one dive that takes longer than a frame: how sure the lead is, what to carry, what would help, where the doubt
//! comes from.

use std::sync::atomic::AtomicBool;

use crate::answer::alternatives::alternatives;
use crate::answer::{AnswerError, Carry, DiveFacts, DoubtFacts, DrawSettings, LeadWhere, Pieces, Quick, Ready, Watch};
use crate::plan::Plan;
use crate::study::{Tried, try_changes};

/// Draws where a surrogate stands in for trials: the ends of a 95 % interval are then known to about 0.06 kg where the
/// standard uncertainty is 1 kg, less than a picture shows.
const DRAWS: u64 = 4096;
/// Draws where each is a run.
const RUNS: u64 = 512;

/// All about one dive.
#[derive(Clone, Debug, PartialEq)]
pub struct WholeFacts {
    /// The dive, and how sure its lead is.
    pub dive: DiveFacts,
    /// The range with its reasons, and what to carry.
    pub carry: Carry,
    /// Changes that were tried because no lead is right, the most helpful first; empty when there is a range.
    pub tried: Vec<Tried>,
    /// The band of doubt, and what to weigh next; `None` where nothing is doubtful, or too many draws make no dive.
    pub doubt: Option<DoubtFacts>,
    /// Where the lead goes; `None` for a diver without any.
    pub lead: Option<LeadWhere>,
}

impl WholeFacts {
    /// Of a plan, in pieces of lead that exist.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan, pieces: &Pieces) -> Result<Self, AnswerError> {
        let ready = Ready::of(plan)?;
        let doubt = doubt(plan, &ready)?;
        let dive = DiveFacts::of_quick(plan, Quick::of_ready(ready)?)?;
        let carry = Carry::of_dive(&dive, pieces)?;
        let tried = match carry.range.is_empty() {
            true => try_changes(&dive.built.scenario, carry.range.bounds(), &alternatives(plan))?,
            false => Vec::new(),
        };
        let lead = LeadWhere::of(&dive.built, &carry)?;
        Ok(Self { dive, carry, tried, doubt, lead })
    }
}

fn doubt(plan: &Plan, ready: &Ready) -> Result<Option<DoubtFacts>, AnswerError> {
    let settings = DrawSettings { max_draws: DRAWS, max_runs: RUNS, ..DrawSettings::default() };
    let (cancel, mut progress) = (AtomicBool::new(false), |_, _| ());
    let watch = Watch { cancel: &cancel, progress: &mut progress };
    DoubtFacts::of_ready(plan, ready, settings, true, watch)
}
