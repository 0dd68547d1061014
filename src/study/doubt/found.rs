//! What the draws so far gave, and whether they are enough.

use std::collections::BTreeMap;

use crate::study::doubt::answer::{Answer, Row};
use crate::study::doubt::band::CurveBand;
use crate::study::doubt::draw::BLOCK;
use crate::study::doubt::interval::{Numerical, Summary, mean_and_deviation};
use crate::study::doubt::outlook::{Outlook, Worth};
use crate::study::doubt::run::{DoubtStudy, Failure, Made, Outcome, Stopped};
use crate::study::doubt::settings::Settings;
use crate::study::side_by_side::side_by_side;

/// The answers that the stopping rule looks at.
const WATCHED: [Answer; 4] = [Answer::Least, Answer::Most, Answer::Heavy, Answer::Light];

/// What the draws so far gave.
#[derive(Default)]
pub(super) struct Found {
    pub draws: u64,
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
    pub(super) fn keep(&mut self, outcome: Outcome) {
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

    pub(super) fn block_is_full(&self) -> bool {
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
        let summed: Vec<[[f64; 4]; WATCHED.len()]> = side_by_side(new.collect(), block_of);
        for block in summed {
            self.per_block.iter_mut().zip(block).for_each(|(per_block, all)| per_block.push(all));
        }
    }

    /// Whether twice the standard deviation of every average over blocks is within the tolerance
    /// (JCGM 101:2008, 7.9.4).
    pub(super) fn is_settled(&mut self, settings: &Settings, at_least: usize) -> bool {
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

    pub(super) fn finish(
        mut self,
        settings: &Settings,
        made: Made,
        stopped: Stopped,
        central: Row,
        worth: Worth,
    ) -> DoubtStudy {
        self.sum_up_blocks(settings.coverage_frac);
        let mut outlook = Outlook::worth(&self.rows, settings.coverage_frac, worth);
        for (answer, per_block) in WATCHED.iter().zip(&self.per_block) {
            if let Some((_, summary)) = outlook.summaries.iter_mut().find(|(one, _)| one == answer) {
                summary.numerical = numerical(per_block);
            }
        }
        DoubtStudy {
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
