//! What concerns all students of a class together: the lead to bring, and gear that several want at the same time.

use std::collections::HashMap;

use crate::plan::class::gear::PieceUse;
use crate::study::Choice;
use crate::study::shared_lead::{Pile, SharedLead, piles, share};

/// Lead for all students.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Packing {
    /// Pieces to bring, the heaviest first: what the students take.
    pub bring: Vec<Pile>,
    /// What each student takes, in the order of the class; `None` for one without a lead to take.
    pub taken: Vec<Option<Choice>>,
    /// Pieces that are missing of those that there are.
    pub missing: Vec<Pile>,
    /// Students, by their places, who have a lead to take and do not get it from the pieces that there are.
    pub without: Vec<usize>,
}

impl Packing {
    /// Of what each student should take; `stock` are the pieces that there are, where their number counts.
    pub(super) fn of<'c>(choices: impl Iterator<Item = Option<&'c Choice>>, stock: Option<&[Pile]>) -> Self {
        let choices: Vec<Option<&Choice>> = choices.collect();
        let Some(stock) = stock else {
            let taken: Vec<Option<Choice>> = choices.iter().map(|choice| choice.cloned()).collect();
            return Self { bring: counted(&taken), taken, ..Self::default() };
        };
        let (places, needs_kg): (Vec<usize>, Vec<f64>) =
            choices.iter().enumerate().filter_map(|(i, choice)| Some((i, choice.as_ref()?.lead_kg))).unzip();
        let SharedLead { taken: shared, missing } = share(&needs_kg, stock);
        let without =
            places.iter().zip(&shared).filter(|(_, taken)| taken.is_none()).map(|(place, _)| *place).collect();
        let mut taken = vec![None; choices.len()];
        places.iter().zip(shared).for_each(|(place, choice)| taken[*place] = choice);
        Self { bring: counted(&taken), taken, missing, without }
    }

    /// All of what is brought, kg.
    pub fn bring_kg(&self) -> f64 {
        self.bring.iter().map(|pile| pile.piece_kg * pile.count as f64).sum()
    }
}

fn counted(taken: &[Option<Choice>]) -> Vec<Pile> {
    piles(taken.iter().flatten().flat_map(|choice| choice.pieces_kg.iter().copied()))
}

/// A piece of a gear list that students want at the same time more often than it is there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Name of the piece.
    pub piece: String,
    /// The gear list, by its file.
    pub list: String,
    /// How many are wanted.
    pub wanted: u64,
    /// How many there are.
    pub has: u64,
    /// The students who want it, by their places.
    pub students: Vec<usize>,
}

/// Pieces that are wanted more often than they are there, in the order in which they are met.
pub(super) fn wanted(uses: &[Vec<PieceUse>]) -> Vec<Wanted> {
    let mut all: Vec<Wanted> = Vec::new();
    let mut known: HashMap<(&str, &str), usize> = HashMap::new();
    for (student, uses) in uses.iter().enumerate() {
        for PieceUse { list, piece, takes, has } in uses {
            let at = *known.entry((list, piece)).or_insert_with(|| {
                let (list, piece) = (list.clone(), piece.clone());
                all.push(Wanted { piece, list, wanted: 0, has: u64::from(*has), students: Vec::new() });
                all.len() - 1
            });
            all[at].wanted += u64::from(*takes);
            all[at].students.push(student);
        }
    }
    all.retain(|piece| piece.wanted > piece.has);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn uses(piece: &str, takes: u32, has: u32) -> PieceUse {
        PieceUse { list: "gear.csv".into(), piece: piece.into(), takes, has }
    }

    #[test]
    fn what_is_wanted_more_often_than_it_is_there_is_told() {
        let of_three =
            [vec![uses("fins", 1, 2), uses("light", 2, 2)], vec![uses("fins", 1, 2)], vec![uses("fins", 1, 2)]];
        let found = wanted(&of_three);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!((found[0].piece.as_str(), found[0].wanted, found[0].has), ("fins", 3, 2));
        assert_eq!(found[0].students, [0, 1, 2]);
    }

    #[test]
    fn a_pile_for_all_or_any_number() {
        let choice = |pieces_kg: &[f64]| Choice { lead_kg: pieces_kg.iter().sum(), pieces_kg: pieces_kg.to_vec() };
        let (a, b) = (choice(&[2.0, 1.0]), choice(&[2.0]));
        let choices = || [Some(&a), None, Some(&b)].into_iter();
        let any = Packing::of(choices(), None);
        assert_eq!(any.bring, [Pile { piece_kg: 2.0, count: 2 }, Pile { piece_kg: 1.0, count: 1 }]);
        assert_eq!((any.bring_kg(), any.taken[1].clone()), (5.0, None));
        let few = Packing::of(choices(), Some(&[Pile { piece_kg: 1.0, count: 4 }]));
        assert_eq!(few.without.len(), 1);
        assert_eq!(few.missing, [Pile { piece_kg: 1.0, count: 1 }]);
    }
}
