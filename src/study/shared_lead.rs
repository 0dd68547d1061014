//! Lead shared among several divers: who takes which of the pieces that there are, and which are missing.
//!
//! Each diver needs a sum of at least so much and takes the least that the pieces make. One pile for all makes that a
//! question for all at once: who takes the last small piece may leave another with half a kilogram too much, or without.
//! Asked for is, in this order: as many divers as possible have their lead; together they carry as little more than they
//! need as possible.
//!
//! One diver after the other, the one who needs most first, each with the least sum in the fewest pieces that is left, is a
//! good answer, and the best one where every size is a multiple of the next smaller one and the small pieces suffice: in
//! such sizes a heavy piece can be exchanged for small ones of the same sum, so none that is used early is missed later.
//! Where that leaves anything to wish for, a search through the sums of each diver looks for something better, and ends
//! after twenty thousand sums: what it has by then is never worse than one after the other. For a handful of divers and
//! sizes it ends by itself, with the best there is.

use crate::study::pieces::{Choice, ROUNDING_SLACK_KG};

/// Sums that are tried before the best so far is the answer: some tenths of a second for a thousand divers.
const MOST_TRIED: usize = 20_000;
/// Ways to one sum that are looked at: of usual pieces a diver's lead has some hundreds.
const MOST_WAYS: usize = 20_000;

/// Pieces of one mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pile {
    /// Mass of one, kg.
    pub piece_kg: f64,
    /// How many.
    pub count: usize,
}

/// Who takes which pieces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SharedLead {
    /// What each diver takes, in the order of the needs; `None` for one whom the pieces do not reach.
    pub taken: Vec<Option<Choice>>,
    /// Pieces beyond those that there are with which every diver would have their lead; the heaviest first.
    pub missing: Vec<Pile>,
}

/// Alike pieces counted, the heaviest first.
pub fn piles(pieces_kg: impl IntoIterator<Item = f64>) -> Vec<Pile> {
    let mut piles: Vec<Pile> = Vec::new();
    for piece_kg in pieces_kg {
        match piles.iter_mut().find(|pile| grams(pile.piece_kg) == grams(piece_kg)) {
            Some(pile) => pile.count += 1,
            None => piles.push(Pile { piece_kg, count: 1 }),
        }
    }
    piles.sort_by(|a, b| b.piece_kg.total_cmp(&a.piece_kg));
    piles
}

/// Masses are told apart to a gram.
fn grams(kg: f64) -> u64 {
    (kg * 1e3).round() as u64
}

/// Shares the pieces of some piles among divers who need so much lead each, kg.
pub fn share(needs_kg: &[f64], stock: &[Pile]) -> SharedLead {
    let mut stock: Vec<Pile> = stock.iter().copied().filter(|pile| grams(pile.piece_kg) > 0).collect();
    stock.sort_by(|a, b| b.piece_kg.total_cmp(&a.piece_kg));
    let mut order: Vec<usize> = (0..needs_kg.len()).collect();
    order.sort_by(|a, b| needs_kg[*b].total_cmp(&needs_kg[*a]));
    let needs: Vec<u64> = order.iter().map(|i| grams((needs_kg[*i] - ROUNDING_SLACK_KG).max(0.0))).collect();
    let sizes: Vec<u64> = stock.iter().map(|pile| grams(pile.piece_kg)).collect();
    let left: Vec<usize> = stock.iter().map(|pile| pile.count).collect();
    let mut search =
        Search { needs: &needs, sizes: &sizes, tried: 0, best: one_after_the_other(&needs, &sizes, &left) };
    if search.best.worth > Worth::default() {
        search.look(&mut left.clone(), &mut Vec::new(), Worth::default());
    }
    let best = search.best;
    let mut shared = SharedLead { taken: vec![None; needs.len()], missing: missing(&best, &needs, &stock) };
    for (place, counts) in best.taken.into_iter().enumerate() {
        shared.taken[order[place]] = counts.map(|counts| choice(&counts, &stock));
    }
    shared
}

fn choice(counts: &[usize], stock: &[Pile]) -> Choice {
    let piles = counts.iter().zip(stock);
    let pieces_kg: Vec<f64> = piles.flat_map(|(count, pile)| std::iter::repeat_n(pile.piece_kg, *count)).collect();
    Choice { lead_kg: pieces_kg.iter().sum(), pieces_kg }
}

/// What an answer is worth: the smaller the better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    /// divers without their lead
    without: usize,
    /// what all others carry above their need, g
    excess: u64,
}

/// How many of each size every diver takes.
#[derive(Clone, Debug)]
struct Shares {
    taken: Vec<Option<Vec<usize>>>,
    worth: Worth,
}

fn one_after_the_other(needs: &[u64], sizes: &[u64], stock: &[usize]) -> Shares {
    let (mut left, mut worth) = (stock.to_vec(), Worth::default());
    let one = |need: &u64| {
        let counts = sums(*need, sizes, &left, 1).into_iter().next();
        match &counts {
            None => worth.without += 1,
            Some(counts) => {
                worth.excess += sum(counts, sizes) - need;
                left.iter_mut().zip(counts).for_each(|(left, count)| *left -= count);
            }
        }
        counts
    };
    let taken = needs.iter().map(one).collect();
    Shares { taken, worth }
}

fn sum(counts: &[usize], sizes: &[u64]) -> u64 {
    counts.iter().zip(sizes).map(|(count, size)| *count as u64 * size).sum()
}

/// Ways to reach a need from which no piece can be taken away, the least sum first, of equal ones that with the fewest
/// pieces; so many at most.
fn sums(need: u64, sizes: &[u64], left: &[usize], most: usize) -> Vec<Vec<usize>> {
    let mut found: Vec<(u64, usize, Vec<usize>)> = Vec::new();
    let mut looked_at = 0;
    ways(need, sizes, left, &mut vec![0; sizes.len()], 0, &mut |counts| {
        looked_at += 1;
        let (sum, count) = (sum(counts, sizes), counts.iter().sum());
        let place = found.partition_point(|other| (other.0, other.1) <= (sum, count));
        if place < most {
            found.insert(place, (sum, count, counts.to_vec()));
            found.truncate(most);
        }
        looked_at < MOST_WAYS
    });
    found.into_iter().map(|(.., counts)| counts).collect()
}

/// Every way, the heaviest pieces first, until `tell` has enough; whether it has not.
fn ways(
    need: u64,
    sizes: &[u64],
    left: &[usize],
    counts: &mut Vec<usize>,
    size: usize,
    tell: &mut impl FnMut(&[usize]) -> bool,
) -> bool {
    if need == 0 {
        return tell(counts);
    }
    if size == sizes.len() {
        return true;
    }
    // as many as the need takes, the last of them perhaps going past it; the last size has but one sensible count
    let most = (need.div_ceil(sizes[size]) as usize).min(left[size]);
    let least = if size + 1 == sizes.len() { most } else { 0 };
    let goes_on = (least..=most).rev().all(|count| {
        counts[size] = count;
        ways(need.saturating_sub(count as u64 * sizes[size]), sizes, left, counts, size + 1, tell)
    });
    counts[size] = 0;
    goes_on
}

/// Looks through the sums of each diver for something better.
struct Search<'a> {
    needs: &'a [u64],
    sizes: &'a [u64],
    tried: usize,
    best: Shares,
}

/// Sums of a diver that the search looks at: the best ones.
const MOST_SUMS: usize = 64;

impl Search<'_> {
    fn look(&mut self, left: &mut Vec<usize>, taken: &mut Vec<Option<Vec<usize>>>, worth: Worth) {
        self.tried += 1;
        if worth >= self.best.worth || self.tried > MOST_TRIED {
            return;
        }
        let Some(&need) = self.needs.get(taken.len()) else {
            self.best = Shares { taken: taken.clone(), worth };
            return;
        };
        for counts in sums(need, self.sizes, left, MOST_SUMS) {
            let excess = worth.excess + sum(&counts, self.sizes) - need;
            left.iter_mut().zip(&counts).for_each(|(left, count)| *left -= count);
            taken.push(Some(counts));
            self.look(left, taken, Worth { excess, ..worth });
            if let Some(Some(counts)) = taken.pop() {
                left.iter_mut().zip(&counts).for_each(|(left, count)| *left += count);
            }
        }
        taken.push(None);
        self.look(left, taken, Worth { without: worth.without + 1, ..worth });
        taken.pop();
    }
}

/// What those without their lead still miss when they share what is left over: each takes of it as much as the need
/// allows, and the rest is new, in the sizes that there are.
fn missing(best: &Shares, needs: &[u64], stock: &[Pile]) -> Vec<Pile> {
    let sizes: Vec<u64> = stock.iter().map(|pile| grams(pile.piece_kg)).collect();
    let mut left: Vec<usize> = stock.iter().map(|pile| pile.count).collect();
    for counts in best.taken.iter().flatten() {
        left.iter_mut().zip(counts).for_each(|(left, count)| *left -= count);
    }
    let mut more = vec![0; sizes.len()];
    for (_, need) in best.taken.iter().zip(needs).filter(|(taken, _)| taken.is_none()) {
        let mut need = *need;
        for (left, size) in left.iter_mut().zip(&sizes) {
            let count = (*left).min((need / size) as usize);
            *left -= count;
            need -= count as u64 * size;
        }
        let without_end = vec![usize::MAX; sizes.len()];
        let rest = sums(need, &sizes, &without_end, 1).into_iter().next();
        more.iter_mut().zip(rest.unwrap_or_default()).for_each(|(more, count)| *more += count);
    }
    let piles = stock.iter().zip(more).map(|(pile, count)| Pile { piece_kg: pile.piece_kg, count });
    piles.filter(|pile| pile.count > 0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pile(piece_kg: f64, count: usize) -> Pile {
        Pile { piece_kg, count }
    }

    fn worth(shared: &SharedLead, needs_kg: &[f64]) -> Worth {
        let excess = |(taken, need): (&Option<Choice>, &f64)| Some(grams(taken.as_ref()?.lead_kg) - grams(*need));
        Worth {
            without: shared.taken.iter().filter(|taken| taken.is_none()).count(),
            excess: shared.taken.iter().zip(needs_kg).filter_map(excess).sum(),
        }
    }

    /// Every way to give every piece to somebody or nobody.
    fn by_brute_force(needs: &[u64], pieces: &[u64]) -> Worth {
        let people = needs.len() + 1;
        let ways = people.pow(pieces.len() as u32);
        let one = |mut way: usize| {
            let mut has = vec![0; people];
            for piece in pieces {
                has[way % people] += piece;
                way /= people;
            }
            let served = needs.iter().zip(&has).filter(|(need, has)| has >= need);
            let excess = served.clone().map(|(need, has)| has - need).sum();
            Worth { without: needs.len() - served.count(), excess }
        };
        (0..ways).map(one).min().unwrap()
    }

    /// SplitMix64 (Steele, Lea and Flood 2014).
    fn random(state: &mut u64) -> u64 {
        *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (*state ^ (*state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    // What nobody takes counts as nothing in both, and whoever is not served has nothing, so the two ask the same.
    #[test]
    fn small_cases_are_as_good_as_every_way_tried() {
        let mut seed = 7;
        for case in 0..300 {
            let mut below = |bound: u64| random(&mut seed) % bound;
            let sizes = [[2.0, 1.0, 0.5], [2.0, 1.5, 1.0], [3.0, 2.0, 0.7]][below(3) as usize];
            let pieces: Vec<f64> = (0..3 + below(4)).map(|_| sizes[below(3) as usize]).collect();
            let needs_kg: Vec<f64> = (0..1 + below(3)).map(|_| 0.5 * (1 + below(8)) as f64).collect();
            let needs: Vec<u64> = needs_kg.iter().map(|kg| grams(*kg)).collect();
            let shared = share(&needs_kg, &piles(pieces.iter().copied()));
            let brute = by_brute_force(&needs, &pieces.iter().map(|kg| grams(*kg)).collect::<Vec<_>>());
            assert_eq!(worth(&shared, &needs_kg), brute, "case {case}: {needs_kg:?} of {pieces:?}");
        }
    }

    #[test]
    fn nobody_takes_what_another_has_and_the_missing_pieces_would_do() {
        let mut seed = 11;
        for _ in 0..300 {
            let mut below = |bound: u64| random(&mut seed) % bound;
            let stock = [pile(2.0, below(8) as usize), pile(1.0, below(8) as usize), pile(0.5, below(8) as usize)];
            let needs_kg: Vec<f64> = (0..1 + below(8)).map(|_| 0.5 * below(14) as f64).collect();
            let shared = share(&needs_kg, &stock);
            let taken = piles(shared.taken.iter().flatten().flat_map(|choice| choice.pieces_kg.iter().copied()));
            for pile in taken {
                let has = stock.iter().find(|stock| stock.piece_kg == pile.piece_kg).unwrap();
                assert!(pile.count <= has.count, "{pile:?} of {has:?}");
            }
            let with: Vec<Pile> = stock
                .iter()
                .map(|pile| {
                    let more = shared.missing.iter().find(|more| more.piece_kg == pile.piece_kg);
                    Pile { count: pile.count + more.map_or(0, |more| more.count), ..*pile }
                })
                .collect();
            let mended = share(&needs_kg, &with);
            assert!(mended.taken.iter().all(Option::is_some) && mended.missing.is_empty(), "{needs_kg:?} {with:?}");
            assert_eq!(shared.missing.is_empty(), shared.taken.iter().all(Option::is_some));
        }
    }

    #[test]
    fn a_large_class_shares_at_once() {
        let needs_kg: Vec<f64> = (0..1000).map(|i| 0.5 * f64::from(i % 17)).collect();
        let stock = [pile(2.0, 1500), pile(1.0, 1200), pile(0.5, 1000)];
        let shared = share(&needs_kg, &stock);
        assert_eq!(worth(&shared, &needs_kg), Worth::default());
        // and where there is nothing to share, everybody's lead is missing
        let none = share(&[3.5, 2.0], &stock.map(|pile| Pile { count: 0, ..pile }));
        assert_eq!(none.missing, [pile(2.0, 2), pile(1.0, 1), pile(0.5, 1)]);
    }

    #[test]
    fn no_lead_needed_is_no_piece_and_odd_stock_does_no_harm() {
        let shared = share(&[0.0, -1.0], &[]);
        assert_eq!(shared.taken, vec![Some(Choice { lead_kg: 0.0, pieces_kg: vec![] }); 2]);
        assert_eq!(share(&[1.0], &[]), SharedLead { taken: vec![None], missing: vec![] });
        assert_eq!(share(&[1.0], &[pile(0.0, 3)]).taken, [None]);
    }
}
