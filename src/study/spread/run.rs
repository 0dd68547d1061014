//! Many draws in parallel, and when to stop.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::estimate::Input;
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::spread::answer::{Answer, Row};
use crate::study::spread::ask::{Asked, ask};
use crate::study::spread::band::{CurveBand, MAX_BAND_DRAWS};
use crate::study::spread::draw::{BLOCK, Draws, Sequence};
use crate::study::spread::interval::{Numerical, Summary, mean_and_deviation, tolerance_of};
use crate::study::spread::outlook::{Outlook, Worth};
use crate::study::spread::stand_in::{Refusal, StandIn};
/// Blocks of trials that are made before they may stop by themselves. The scatter of fewer says too little about the
/// next ones.
pub const MIN_BLOCKS: usize = 4;
/// The same where a surrogate stands in for the trials: it costs a hundredth, and the ends of the intervals then scatter
/// half as much.
pub const MIN_STAND_IN_BLOCKS: usize = 16;
/// Draws between two looks at the cancel flag from outside, and two reports of progress.
const CHUNK: u64 = 512;

/// When a run may stop by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// When least and most lead, heavy and light point are known to so many significant digits of their standard
    /// uncertainty (JCGM 101:2008, 7.9.2).
    Digits(u32),
    /// When they are known to so many kg.
    Kg(f64),
}

impl Tolerance {
    /// What a quantity with this standard uncertainty must be known to, kg.
    pub(crate) fn kg(self, std_uncertainty: f64) -> f64 {
        match self {
            Tolerance::Digits(digits) => tolerance_of(std_uncertainty, digits),
            Tolerance::Kg(kg) => kg,
        }
    }
}

/// How the draws are made.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Seed of all draws.
    pub seed: u64,
    /// How the unit cube is filled.
    pub sequence: Sequence,
    /// Number of draws, all of them run; `None`: as many as `tolerance` asks for.
    pub draws: Option<u64>,
    /// Whether a surrogate that has been held against true runs may stand in for trials. Not where `draws` asks for them.
    pub stand_in: bool,
    /// When to stop without a number of draws. By default at 0.05 kg, a tenth of the smallest usual piece of lead, and
    /// what two digits of a standard uncertainty of 1 to 10 kg come to.
    pub tolerance: Tolerance,
    /// Draws after which a run stops anyway.
    pub max_draws: u64,
    /// Threads; 0: one for each core.
    pub threads: usize,
    /// Coverage of the intervals.
    pub coverage_frac: f64,
    /// Times for the band around the curve, s, in rising order; empty: no band.
    pub band_times_s: Vec<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            seed: 1,
            sequence: Sequence::default(),
            draws: None,
            stand_in: true,
            tolerance: Tolerance::Kg(0.05),
            max_draws: 1_000_000,
            threads: 0,
            coverage_frac: 0.95,
            band_times_s: Vec::new(),
        }
    }
}

/// How a run is watched and ended from outside.
pub struct Control<'a, P: FnMut(u64)> {
    /// Set to end the run; what is there by then is the result.
    pub cancel: &'a AtomicBool,
    /// Called now and then with the number of draws made.
    pub progress: P,
}

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
pub struct Spread {
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

impl Spread {
    /// Draws that gave no result.
    pub fn failed(&self) -> usize {
        self.failed_draws.len()
    }

    /// The numbers of the draws of [`Spread::rows`].
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
/// `build` makes the dive from the values of the uncertain inputs, in the order of `inputs`. Where
/// [`Settings::stand_in`] allows it and true runs agree, the draws are worked out from a surrogate; otherwise each is a run. A draw that fails is counted with its reason and is no error.
///
/// # Errors
/// A dive that fails with every input at its central value, or threads that cannot be started.
pub fn spread<F, E, P>(
    inputs: &[Input],
    build: &F,
    settings: &Settings,
    mut control: Control<'_, P>,
) -> Result<Spread, StudyError>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    P: FnMut(u64),
{
    let draws = Draws::new(inputs, settings.sequence, settings.seed);
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
    let (found, stopped) = many(&pool, &make, settings, &plan, &mut control);
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
    pool: &rayon::ThreadPool,
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
        let chunk: Vec<Option<Outcome>> = pool.install(|| (found.draws..end).into_par_iter().map(one).collect());
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

/// A pool of its own, so that the number of threads is what the caller says.
pub(crate) fn threads(count: usize) -> Result<rayon::ThreadPool, StudyError> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build();
    pool.map_err(|error| StudyError::Threads { reason: error.to_string() })
}

/// The answers that the stopping rule looks at.
const WATCHED: [Answer; 4] = [Answer::Least, Answer::Most, Answer::Heavy, Answer::Light];

/// What the draws so far gave.
#[derive(Default)]
struct Found {
    draws: u64,
    rows: Vec<Row>,
    /// where each block begins in `rows`
    blocks: Vec<usize>,
    failures: BTreeMap<String, Failure>,
    failed_draws: Vec<u64>,
    curves: Vec<f32>,
    /// mean, standard uncertainty, low and high of each whole block, for each watched answer
    per_block: [Vec<[f64; 4]>; WATCHED.len()],
}

impl Found {
    fn keep(&mut self, outcome: Outcome) {
        if self.draws.is_multiple_of(BLOCK) {
            self.blocks.push(self.rows.len());
        }
        match outcome {
            Ok(mut asked) => {
                self.rows.push(asked.row);
                self.curves.append(&mut asked.curve_kg);
            }
            Err(reason) => {
                self.failed_draws.push(self.draws);
                let first = Failure { reason: reason.clone(), first_draw: self.draws, count: 0 };
                self.failures.entry(without_numbers(&reason)).or_insert(first).count += 1;
            }
        }
        self.draws += 1;
    }

    fn block_is_full(&self) -> bool {
        self.draws > 0 && self.draws.is_multiple_of(BLOCK)
    }

    /// Sums up the whole blocks that have not been yet.
    fn sum_up_blocks(&mut self, coverage_frac: f64) {
        let whole = (self.draws / BLOCK) as usize;
        let new = self.per_block[0].len()..whole;
        let block_of = |block: usize| {
            let end = self.blocks.get(block + 1).copied().unwrap_or(self.rows.len());
            let rows = &self.rows[self.blocks[block]..end];
            WATCHED.map(|answer| {
                let values: Vec<f64> = rows.iter().map(|row| answer.of(row)).collect();
                // a block without any result leaves its place, so that it never looks settled
                Summary::of(&values, coverage_frac)
                    .map_or([f64::NAN; 4], |s| [s.mean, s.std_uncertainty, s.symmetric.low, s.symmetric.high])
            })
        };
        let summed: Vec<[[f64; 4]; WATCHED.len()]> = new.into_par_iter().map(block_of).collect();
        for block in summed {
            self.per_block.iter_mut().zip(block).for_each(|(per_block, all)| per_block.push(all));
        }
    }

    /// Whether twice the standard deviation of every average over blocks is within the tolerance
    /// (JCGM 101:2008, 7.9.4).
    fn is_settled(&mut self, settings: &Settings, at_least: usize) -> bool {
        if self.draws / BLOCK < at_least as u64 {
            return false;
        }
        self.sum_up_blocks(settings.coverage_frac);
        WATCHED.iter().zip(&self.per_block).all(|(answer, per_block)| {
            let values: Vec<f64> = self.rows.iter().map(|row| answer.of(row)).collect();
            let tolerance_kg = settings.tolerance.kg(mean_and_deviation(&values).1);
            numerical(per_block).is_some_and(|doubt| 2.0 * doubt.largest() <= tolerance_kg)
        })
    }

    fn finish(mut self, settings: &Settings, made: Made, stopped: Stopped, central: Row, worth: Worth) -> Spread {
        self.sum_up_blocks(settings.coverage_frac);
        let mut outlook = Outlook::worth(&self.rows, settings.coverage_frac, worth);
        for (answer, per_block) in WATCHED.iter().zip(&self.per_block) {
            if let Some((_, summary)) = outlook.summaries.iter_mut().find(|(one, _)| one == answer) {
                summary.numerical = numerical(per_block);
            }
        }
        Spread {
            made,
            draws: self.draws,
            stopped,
            failures: self.failures.into_values().collect(),
            failed_draws: self.failed_draws,
            central,
            outlook,
            band: CurveBand::of(&settings.band_times_s, &self.curves, settings.coverage_frac),
            rows: self.rows,
        }
    }
}

/// Standard deviations of the averages over blocks: `s² = Σ(yᵣ − ȳ)²/(h(h − 1))` (JCGM 101:2008, 7.9.4).
fn numerical(per_block: &[[f64; 4]]) -> Option<Numerical> {
    if per_block.len() < 2 {
        return None;
    }
    let of = |i: usize| {
        let values: Vec<f64> = per_block.iter().map(|block| block[i]).collect();
        let doubt = mean_and_deviation(&values).1 / (values.len() as f64).sqrt();
        if doubt.is_nan() { f64::INFINITY } else { doubt }
    };
    Some(Numerical { mean: of(0), std_uncertainty: of(1), low: of(2), high: of(3) })
}

/// A message with its numbers masked, so that failures of one kind are counted together.
fn without_numbers(message: &str) -> String {
    let mut masked = String::with_capacity(message.len());
    let mut rest = message.chars().peekable();
    while let Some(letter) = rest.next() {
        let is_sign = letter == '-' && rest.peek().is_some_and(char::is_ascii_digit);
        if !letter.is_ascii_digit() && !is_sign {
            masked.push(letter);
            continue;
        }
        let mut before = letter;
        let part_of_number = |next: char, before: char| {
            next.is_ascii_digit() || next == '.' || next == 'e' || (next == '-' && before == 'e')
        };
        while let Some(next) = rest.next_if(|&next| part_of_number(next, before)) {
            before = next;
        }
        masked.push('#');
    }
    masked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_counted_without_their_numbers() {
        let a = without_numbers("plate: mass is -0.125 kg, but must be 0 or more");
        assert_eq!(a, "plate: mass is # kg, but must be # or more");
        assert_eq!(a, without_numbers("plate: mass is 1.2e-7 kg, but must be 0 or more"));
    }

    // h = 3, averages 1, 2, 3: s² = (1 + 0 + 1)/(3·2) = 1/3
    #[test]
    fn the_scatter_of_blocks_is_that_of_their_average() {
        let doubt = numerical(&[[1.0; 4], [2.0; 4], [3.0; 4]]).unwrap();
        assert!((doubt.mean - (1.0f64 / 3.0).sqrt()).abs() < 1e-15);
        assert_eq!(numerical(&[[1.0; 4]]), None);
    }
}
