//! Lead in pieces that exist.

use thiserror::Error;

use crate::units::{POUND_KG, UnitSystem};

/// The pieces of lead that there are.
#[derive(Clone, Debug, PartialEq)]
pub enum Pieces {
    /// Any number of the usual pieces: of 2, 1 and 0.5 kg, or of 4, 2 and 1 lb (common practice).
    Usual(UnitSystem),
    /// Any number of pieces of one mass, kg.
    Step(f64),
    /// Any number of pieces of each of these masses, kg.
    Sizes(Vec<f64>),
    /// These pieces and no others, by mass, kg.
    Owned(Vec<f64>),
}

/// Most pieces that can be owned.
pub const MAX_PIECES: usize = 64;
/// A piece may not be heavier, kg.
pub const MAX_PIECE_KG: f64 = 50.0;
/// Lead that may be missing after rounding, kg: below the gram to which the search goes, so that an answer of 4.0001 kg
/// is four pieces of one kilogram and not five.
pub const ROUNDING_SLACK_KG: f64 = 0.5e-3;

/// What is wrong with a list of pieces.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum PiecesError {
    /// A piece without a sensible mass.
    #[error("a piece of lead is {mass_kg} kg, but must be above 0 and at most {MAX_PIECE_KG} kg")]
    Mass {
        /// Given, kg.
        mass_kg: f64,
    },
    /// More pieces than the search handles.
    #[error("{count} pieces of lead, but at most {MAX_PIECES} can be told apart")]
    TooMany {
        /// How many.
        count: usize,
    },
}

/// Lead made up of pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// All of it, kg.
    pub lead_kg: f64,
    /// Each piece, kg, the heaviest first.
    pub pieces_kg: Vec<f64>,
}

impl Pieces {
    /// Whether the pieces make sense.
    ///
    /// # Errors
    /// A mass out of range, too many pieces.
    pub fn check(&self) -> Result<(), PiecesError> {
        let masses = match self {
            Self::Usual(_) => &[][..],
            Self::Step(step_kg) => std::slice::from_ref(step_kg),
            Self::Sizes(masses) | Self::Owned(masses) => masses,
        };
        if masses.len() > MAX_PIECES {
            return Err(PiecesError::TooMany { count: masses.len() });
        }
        match masses.iter().find(|&&mass_kg| !(mass_kg > 0.0 && mass_kg <= MAX_PIECE_KG)) {
            Some(&mass_kg) => Err(PiecesError::Mass { mass_kg }),
            None => Ok(()),
        }
    }

    /// The least lead of at least `needed_kg` that the pieces can make, of equal ones that with the fewest pieces;
    /// `None` if they do not reach it.
    ///
    /// # Errors
    /// As [`Pieces::check`].
    ///
    /// ```
    /// use lightpoint::Pieces;
    /// let steps = Pieces::Step(0.5).round_up(3.2).unwrap().unwrap();
    /// assert_eq!((steps.lead_kg, steps.pieces_kg.len()), (3.5, 7));
    /// let owned = Pieces::Owned(vec![2.0, 1.5, 1.5, 0.7]);
    /// assert_eq!(owned.round_up(3.2).unwrap().unwrap().pieces_kg, [2.0, 1.5]);
    /// assert_eq!(owned.round_up(6.0).unwrap(), None);
    /// ```
    pub fn round_up(&self, needed_kg: f64) -> Result<Option<Choice>, PiecesError> {
        self.check()?;
        let least_kg = needed_kg - ROUNDING_SLACK_KG;
        if least_kg <= 0.0 {
            return Ok(Some(Choice { lead_kg: 0.0, pieces_kg: Vec::new() }));
        }
        Ok(match self {
            Self::Usual(units) => Some(usual(*units, least_kg)),
            Self::Step(step_kg) => {
                let count = (least_kg / step_kg).ceil();
                Some(Choice { lead_kg: count * step_kg, pieces_kg: vec![*step_kg; count as usize] })
            }
            Self::Sizes(sizes) => least_of_sizes(sizes, least_kg),
            Self::Owned(masses) => least_sum(masses, least_kg),
        })
    }
}

/// The usual pieces, the heaviest first, as whole numbers of the smallest.
const USUAL: [u32; 3] = [4, 2, 1];

/// The least sum of usual pieces, in as few as possible: each is twice the next, so taking the heaviest first is best.
fn usual(units: UnitSystem, least_kg: f64) -> Choice {
    let step_kg = match units {
        UnitSystem::Metric => 0.5,
        UnitSystem::Us => POUND_KG,
    };
    let steps = (least_kg / step_kg).ceil();
    let mut left = steps as u64;
    let mut pieces_kg = Vec::new();
    for piece in USUAL {
        let count = left / u64::from(piece);
        left %= u64::from(piece);
        pieces_kg.extend(std::iter::repeat_n(f64::from(piece) * step_kg, count as usize));
    }
    Choice { lead_kg: steps * step_kg, pieces_kg }
}

/// The least sum of at least `least_kg` of any number of pieces of each size, in as few as possible. Sums are told apart to
/// a gram, and go past the target by less than the heaviest piece, as in [`least_sum`].
fn least_of_sizes(sizes_kg: &[f64], least_kg: f64) -> Option<Choice> {
    let heaviest_kg = sizes_kg.iter().copied().reduce(f64::max)?;
    let grams = |kg: f64| (kg * 1e3).round() as usize;
    // of each gram the fewest pieces that make it, their exact sum, and the last of them
    let mut reached: Vec<Option<(usize, f64, usize)>> = vec![None; grams(least_kg + heaviest_kg) + 2];
    reached[0] = Some((0, 0.0, 0));
    for from in 0..reached.len() {
        let Some((count, lead_kg, _)) = reached[from].filter(|(_, lead_kg, _)| *lead_kg < least_kg) else { continue };
        for (size, mass_kg) in sizes_kg.iter().enumerate().filter(|(_, mass_kg)| grams(**mass_kg) > 0) {
            let Some(there) = reached.get_mut(from + grams(*mass_kg)) else { continue };
            if there.is_none_or(|(fewest, ..)| count + 1 < fewest) {
                *there = Some((count + 1, lead_kg + mass_kg, size));
            }
        }
    }
    let (mut at, &(_, lead_kg, _)) =
        reached.iter().enumerate().find_map(|(at, sum)| Some((at, sum.as_ref().filter(|sum| sum.1 >= least_kg)?)))?;
    let mut pieces_kg = Vec::new();
    while let (1.., Some((.., size))) = (at, reached[at]) {
        pieces_kg.push(sizes_kg[size]);
        at -= grams(sizes_kg[size]);
    }
    pieces_kg.sort_by(|a, b| b.total_cmp(a));
    Some(Choice { lead_kg, pieces_kg })
}

/// One way to a sum: its exact value, and the pieces as bits.
#[derive(Clone, Copy)]
struct Sum {
    lead_kg: f64,
    used: u64,
}

/// The subset with the least sum of at least `least_kg`. Sums are told apart to a gram; of each gram the one with the
/// fewest pieces is kept. No sum needs to go past the target by more than the heaviest piece: without any one of its
/// pieces the best subset falls short.
fn least_sum(masses: &[f64], least_kg: f64) -> Option<Choice> {
    if masses.iter().sum::<f64>() < least_kg {
        return None;
    }
    let heaviest_kg = masses.iter().copied().fold(0.0, f64::max);
    let grams = |kg: f64| (kg * 1e3).round() as usize;
    let mut reached: Vec<Option<Sum>> = vec![None; grams(least_kg + heaviest_kg) + 2];
    reached[0] = Some(Sum { lead_kg: 0.0, used: 0 });
    for (piece, &mass_kg) in masses.iter().enumerate() {
        for from in (0..reached.len()).rev() {
            let Some(sum) = reached[from].filter(|sum| sum.lead_kg < least_kg) else { continue };
            let more = Sum { lead_kg: sum.lead_kg + mass_kg, used: sum.used | 1 << piece };
            let Some(there) = reached.get_mut(grams(more.lead_kg)) else { continue };
            if there.is_none_or(|there| more.used.count_ones() < there.used.count_ones()) {
                *there = Some(more);
            }
        }
    }
    let best = reached.into_iter().flatten().find(|sum| sum.lead_kg >= least_kg)?;
    let used = |piece: &usize| best.used & (1 << piece) != 0;
    let mut pieces_kg: Vec<f64> = (0..masses.len()).filter(used).map(|piece| masses[piece]).collect();
    pieces_kg.sort_by(|a, b| b.total_cmp(a));
    Some(Choice { lead_kg: best.lead_kg, pieces_kg })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_keeps_what_is_exact_enough() {
        let lead_kg = |needed_kg| Pieces::Step(1.0).round_up(needed_kg).unwrap().unwrap().lead_kg;
        assert_eq!((lead_kg(4.0), lead_kg(4.0001), lead_kg(4.001), lead_kg(-1.0)), (4.0, 4.0, 5.0, 0.0));
    }

    #[test]
    fn faults_are_found() {
        assert!(matches!(Pieces::Step(0.0).check(), Err(PiecesError::Mass { .. })));
        assert!(matches!(Pieces::Step(f64::NAN).check(), Err(PiecesError::Mass { .. })));
        assert!(matches!(Pieces::Owned(vec![1.0; 65]).check(), Err(PiecesError::TooMany { count: 65 })));
    }

    #[test]
    fn sizes_make_the_least_sum_in_the_fewest_pieces() {
        let choice = |sizes: &[f64], needed_kg| Pieces::Sizes(sizes.to_vec()).round_up(needed_kg).unwrap().unwrap();
        // 4.5 = 3 × 1.5, where the heaviest first would come to 5
        assert_eq!(choice(&[2.0, 1.5], 4.2).pieces_kg, [1.5; 3]);
        assert_eq!(choice(&[2.0, 1.5], 3.6).pieces_kg, [2.0, 2.0]);
        for needed_kg in [0.0, 0.2, 1.0, 3.3, 7.25, 12.9] {
            let usual = Pieces::Usual(UnitSystem::Metric).round_up(needed_kg).unwrap().unwrap();
            assert_eq!(choice(&[1.0, 2.0, 0.5], needed_kg), usual, "{needed_kg}");
        }
        assert!(Pieces::Sizes(Vec::new()).round_up(1.0).unwrap().is_none());
        assert!(Pieces::Sizes(vec![0.0]).check().is_err());
    }

    #[test]
    fn owned_pieces_are_used_once() {
        let pieces = Pieces::Owned(vec![1.0, 2.0, 2.0, 3.0]);
        let choice = |needed_kg| pieces.round_up(needed_kg).unwrap().unwrap();
        assert_eq!(choice(5.0).pieces_kg, [3.0, 2.0]);
        assert_eq!(choice(7.5).pieces_kg, [3.0, 2.0, 2.0, 1.0]);
        assert!(pieces.round_up(8.1).unwrap().is_none());
    }
}
