//! Many draws in parallel, and when to stop.

use std::fmt::Display;
use std::sync::atomic::Ordering;

use crate::estimate::Figures;
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::doubt::answer::Row;
use crate::study::doubt::ask::{Asked, ask};
use crate::study::doubt::band::{CurveBand, MAX_BAND_DRAWS};
use crate::study::doubt::draw::{BLOCK, Draws};
use crate::study::doubt::found::Found;
use crate::study::doubt::outlook::{Outlook, Worth};
use crate::study::doubt::settings::{Control, Settings};
use crate::study::doubt::stand_in::{Refusal, StandIn};
use crate::study::side_by_side::side_by_side;

/// Blocks of trials that are made before they may stop by themselves. The scatter of fewer says too little about the
/// next ones.
pub const MIN_BLOCKS: usize = 4;
/// The same where a surrogate stands in for the trials: it costs a hundredth, and the ends of the intervals then scatter
/// half as much.
pub const MIN_STAND_IN_BLOCKS: usize = 16;
/// Draws between two looks at the cancel flag from outside, and two reports of progress.
const CHUNK: u64 = 512;

/// Why the run stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// The numerical tolerance is met.
    Tolerance,
    /// The number of draws asked for is made.
    Fixed,
    /// The largest number of draws is made, and the tolerance is not met.
    MaxDraws,
    /// It was cancelled.
    Cancelled,
}

/// Draws that gave no result for one reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    /// What went wrong in the first of them.
    pub reason: String,
    /// The number of that draw.
    pub first_draw: u64,
    /// How many draws.
    pub count: usize,
}

/// How the rows of a study were made.
#[derive(Clone, Debug, PartialEq)]
pub enum Made {
    /// Every draw is a run of the dive.
    Trials {
        /// Why nothing could stand in for them; `None` where that was not asked for.
        refused: Option<Refusal>,
    },
    /// Every draw is worked out from a surrogate that agrees with true runs.
    StandIn(Box<StandIn>),
}

/// The draws and what they say.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtStudy {
    /// How.
    pub made: Made,
    /// Draws made, failed ones included.
    pub draws: u64,
    /// Why no more were made.
    pub stopped: Stopped,
    /// The answers of the draws that gave a result, in the order of the draws. Draws that ran out of gas are among
    /// them: what they say about lead still holds, and leaving them out would favour divers who breathe little.
    pub rows: Vec<Row>,
    /// The draws that gave none, by reason.
    pub failures: Vec<Failure>,
    /// Their numbers.
    pub failed_draws: Vec<u64>,
    /// The answers with every input at its central value.
    pub central: Row,
    /// What the draws say.
    pub outlook: Outlook,
    /// The band around the curve, if it was asked for.
    pub band: Option<CurveBand>,
}

impl DoubtStudy {
    /// Draws that gave no result.
    pub fn failed(&self) -> usize {
        self.failed_draws.len()
    }

    /// The numbers of the draws of [`DoubtStudy::rows`].
    pub fn row_draws(&self) -> impl Iterator<Item = u64> {
        let mut failed = self.failed_draws.iter().peekable();
        (0..self.draws).filter(move |draw| failed.next_if_eq(&draw).is_none())
    }

    /// What stands in for the trials, if anything does.
    pub fn stand_in(&self) -> Option<&StandIn> {
        match &self.made {
            Made::StandIn(stand_in) => Some(stand_in),
            Made::Trials { .. } => None,
        }
    }
}

/// What a draw gave.
pub(crate) type Outcome = Result<Asked, String>;

/// The dives of a study.
pub(crate) struct Dives<'a, F> {
    pub draws: &'a Draws,
    pub build: &'a F,
}

impl<F, E> Dives<'_, F>
where
    F: Fn(&[f64]) -> Result<Scenario, E>,
    E: Display,
{
    /// Runs the dive with these values of the uncertain inputs.
    pub fn with(&self, values: &[f64], times_s: &[f64]) -> Outcome {
        let scenario = (self.build)(values).map_err(|error| error.to_string())?;
        ask(&scenario, times_s).map_err(|error| error.to_string())
    }

    /// Runs the dive of a point of the unit cube.
    pub fn at(&self, coordinates: &[f64], times_s: &[f64]) -> Outcome {
        self.with(&self.draws.values_at(coordinates), times_s)
    }
}

/// One draw alone: the values of the uncertain inputs, and its answers or why it has none.
pub fn one<F, E>(draws: &Draws, build: &F, draw: u64) -> (Vec<f64>, Result<Row, String>)
where
    F: Fn(&[f64]) -> Result<Scenario, E>,
    E: Display,
{
    let values = draws.values(draw);
    let row = Dives { draws, build }.with(&values, &[]).map(|asked| asked.row);
    (values, row)
}

/// Draws until told to stop, or until the numerical tolerance is met.
///
/// `build` makes the dive from the values of the uncertain inputs, in the order of the figures. Where
/// [`Settings::stand_in`] allows it and true runs agree, the draws are worked out from a surrogate; otherwise each is a run.
/// A draw that fails is counted with its reason and is no error.
///
/// # Errors
/// A dive that fails with every input at its central value, or threads that cannot be started.
pub fn doubt_study<'a, F, E, P>(
    figures: impl Into<Figures<'a>>,
    build: &F,
    settings: &Settings,
    mut control: Control<'_, P>,
) -> Result<DoubtStudy, StudyError>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    P: FnMut(u64),
{
    let draws = Draws::new(figures, settings.sequence, settings.seed);
    let dives = Dives { draws: &draws, build };
    let central = dives.with(draws.central(), &[]).map_err(|reason| StudyError::Central { reason })?.row;
    let cancel = control.cancel;
    let pool = threads(settings.threads)?;
    let mut refused = None;
    if settings.stand_in && settings.draws.is_none() {
        let cancelled = || cancel.load(Ordering::Relaxed);
        match pool.install(|| StandIn::certified(&dives, settings, &cancelled)) {
            Ok(stand_in) => {
                let make = |draw: u64, times_s: &[f64]| {
                    let scores = draws.scores(&draws.coordinates(draw));
                    let with_curve = !times_s.is_empty();
                    Ok(if with_curve { stand_in.ask(&scores) } else { Asked::only(stand_in.row(&scores)) })
                };
                let plan = Blocks { at_least: MIN_STAND_IN_BLOCKS, band_draws: BLOCK, worth: stand_in.worth() };
                let (found, stopped) = many(&pool, &make, settings, &plan, &mut control);
                let made = Made::StandIn(Box::new(stand_in.clone()));
                return Ok(pool.install(|| found.finish(settings, made, stopped, central, plan.worth)));
            }
            Err(why) => refused = Some(why),
        }
    }
    let make = |draw: u64, times_s: &[f64]| dives.at(&draws.coordinates(draw), times_s);
    let plan = Blocks { at_least: MIN_BLOCKS, band_draws: MAX_BAND_DRAWS, worth: Worth::RUN };
    let runs = Settings { max_draws: settings.max_draws.min(settings.max_runs), ..settings.clone() };
    let (found, stopped) = many(&pool, &make, &runs, &plan, &mut control);
    Ok(pool.install(|| found.finish(settings, Made::Trials { refused }, stopped, central, plan.worth)))
}

/// How draws are made in blocks.
struct Blocks {
    /// whole blocks before the draws may stop by themselves
    at_least: usize,
    /// draws that the band is made from at most
    band_draws: u64,
    worth: Worth,
}

/// Makes draws with `make` until told to stop, or until the numerical tolerance is met.
fn many<P: FnMut(u64)>(
    pool: &Threads,
    make: &(impl Fn(u64, &[f64]) -> Outcome + Sync),
    settings: &Settings,
    blocks: &Blocks,
    control: &mut Control<'_, P>,
) -> (Found, Stopped) {
    let target = settings.draws.unwrap_or(settings.max_draws);
    let mut found = Found::default();
    let mut stopped = if settings.draws.is_some() { Stopped::Fixed } else { Stopped::MaxDraws };
    while found.draws < target {
        let end = (found.draws + CHUNK).min(target);
        let times_s: &[f64] = if end <= blocks.band_draws { &settings.band_times_s } else { &[] };
        let cancel = control.cancel;
        let one = |draw| (!cancel.load(Ordering::Relaxed)).then(|| make(draw, times_s));
        let chunk: Vec<Option<Outcome>> = pool.install(|| side_by_side((found.draws..end).collect(), one));
        for outcome in chunk.into_iter().map_while(|outcome| outcome) {
            found.keep(outcome);
        }
        (control.progress)(found.draws);
        if found.draws < end {
            stopped = Stopped::Cancelled;
            break;
        }
        if settings.draws.is_none()
            && found.block_is_full()
            && pool.install(|| found.is_settled(settings, blocks.at_least))
        {
            stopped = Stopped::Tolerance;
            break;
        }
    }
    (found, stopped)
}

/// Threads for a study: a pool of its own, so that their number is what the caller says; or, where as many as there are
/// cores are asked for by who stands on a thread of a pool already, that pool.
pub(crate) struct Threads(Option<rayon::ThreadPool>);

impl Threads {
    /// Does something on these threads.
    pub fn install<R: Send>(&self, work: impl FnOnce() -> R + Send) -> R {
        match &self.0 {
            Some(pool) => pool.install(work),
            None => work(),
        }
    }
}

/// Threads for a study.
pub(crate) fn threads(count: usize) -> Result<Threads, StudyError> {
    // in a browser there are no threads to be had: all is done on the one that asks
    if cfg!(target_family = "wasm") || (count == 0 && rayon::current_thread_index().is_some()) {
        return Ok(Threads(None));
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build();
    pool.map(|pool| Threads(Some(pool))).map_err(|error| StudyError::Threads { reason: error.to_string() })
}
