//! Where to put the lead: the split over the places that there are with the least worst torque over a dive.
//!
//! Held level, the diver has at moment `t` a torque about two axes, pitch and roll, in N·m. All but the lead gives
//! `b_t`; a kilogram of lead at place `k` adds `p_kt`. With `m_k` kilograms at each place the torque is
//!
//! ```text
//! τ_t(m) = b_t + Σ_k m_k·p_kt          worst(m) = max over t of |τ_t(m)|,  |(pitch, roll)| = hypot(pitch, roll)
//! ```
//!
//! and the split asked for has the least `worst(m)` of all in which every piece of lead is at one place, no place has
//! more than it holds, and so much as must be ditchable is at places that let go. Source: statics; the search is ours.
//!
//! Pieces of one mass are not told apart: `n` of them go to `K` places in `C(n+K-1, K-1)` ways. Where the product of
//! that over all masses is at most [`EVERY_MOST`], every way is tried ([`Method::Every`]). Beyond that a branch and bound
//! leaves out what its bound rules out, and says how far from the best its answer may be at most; `bounded` has the
//! proof.

mod best;
mod bounded;
mod every;
mod relaxed;

use crate::study::pieces::ROUNDING_SLACK_KG;
use best::{Best, Judge, Taken};

/// Ways that are all tried. A way costs some 20 to 70 ns, as nearly all of them fail at the first moment looked at: 7 ms
/// at most where the library is built to be quick.
pub const EVERY_MOST: u64 = 100_000;

/// A share of the largest torque that is added up. Worst torques that differ by less differ by rounding alone: sums of up
/// to some hundred terms are off by 1e-14 of it, and splits that are mirrors of each other must not win by that.
const HAIR: f64 = 1e-12;

/// A place where lead can go.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadPlace {
    /// What the diver calls it.
    pub name: String,
    /// Whether what is there can be let go under water.
    pub lets_go: bool,
    /// What it holds at most, kg; `None` where that is no matter.
    pub most_kg: Option<f64>,
    /// Torque that one kilogram there adds at each moment, pitch and roll, N·m.
    pub per_kg_nm: Vec<[f64; 2]>,
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct SplitAsk<'a> {
    /// Torque of everything but the lead at each moment, pitch and roll, N·m.
    pub base_nm: &'a [[f64; 2]],
    /// Where lead can go; of equally good splits the one with more at earlier places is taken.
    pub places: &'a [LeadPlace],
    /// Mass of each piece, kg.
    pub pieces_kg: &'a [f64],
    /// What must be where it can be let go, kg; 0 for nothing.
    pub ditchable_kg: f64,
}

/// How a split was found, and what that proves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Method {
    /// Every way was tried: no other has a lower worst torque.
    Every,
    /// Branch and bound with a proof: the worst torque of no other way is lower by more than this.
    Bounded {
        /// At most [`PROOF_NM`] and rounding, N·m.
        off_by_nm: f64,
    },
    /// The search had enough before that: the best found, and proven to be no more than this above the best there is.
    BestFound {
        /// N·m.
        off_by_nm: f64,
    },
}

pub use bounded::PROOF_NM;

/// Lead at its places.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadSplit {
    /// Lead at each place, kg.
    pub at_kg: Vec<f64>,
    /// Pieces at each place, kg, the heaviest first.
    pub pieces_kg: Vec<Vec<f64>>,
    /// Worst torque over the dive, N·m.
    pub worst_nm: f64,
    /// The moment it is met.
    pub worst_at: usize,
    /// How it was found.
    pub method: Method,
    /// Ways tried, or nodes of the tree looked at.
    pub tried: u64,
    /// What is missing of the share that must be ditchable, kg: the pieces and places do not reach it. The split then has
    /// as much there as they do (if the search had enough, as much as it found).
    pub lacks_ditchable_kg: f64,
}

/// One piece moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PieceMoved {
    /// Place that it leaves.
    pub from: usize,
    /// Place where it goes.
    pub to: usize,
    /// Its mass, kg.
    pub piece_kg: f64,
    /// Worst torque then, N·m.
    pub worst_nm: f64,
    /// What that is more than before, N·m.
    pub change_nm: f64,
    /// Whether the place holds it and no less is ditchable than must be, or than was before.
    pub allowed: bool,
}

/// Pieces of one mass.
#[derive(Clone, Copy, Debug)]
struct Pile {
    piece_kg: f64,
    count: usize,
}

/// An ask that makes sense, made ready.
struct Task<'a> {
    ask: &'a SplitAsk<'a>,
    /// the heaviest first
    piles: Vec<Pile>,
    /// what each place holds, slack of rounding included; endless where nothing is said
    room_kg: Vec<f64>,
    /// what must be ditchable and can be
    need_kg: f64,
    hair_nm: f64,
}

/// How many of each pile are at each place.
type Counts = Vec<Vec<usize>>;

impl<'a> Task<'a> {
    /// `None` where a figure is no number or out of range, lists do not fit each other, or there is no place or moment.
    fn new(ask: &'a SplitAsk<'a>) -> Option<Self> {
        let moments = ask.base_nm.len();
        let total_kg: f64 = ask.pieces_kg.iter().sum();
        let size = |torques: &[[f64; 2]]| torques.iter().flatten().fold(0.0, |most: f64, nm| most + nm.abs());
        let sum_nm = size(ask.base_nm) + total_kg * ask.places.iter().map(|place| size(&place.per_kg_nm)).sum::<f64>();
        let fits = moments > 0
            && !ask.places.is_empty()
            && ask.places.iter().all(|place| place.per_kg_nm.len() == moments)
            && ask.places.iter().filter_map(|place| place.most_kg).all(|kg| kg >= 0.0)
            && ask.pieces_kg.iter().all(|kg| *kg > 0.0)
            && (0.0..f64::INFINITY).contains(&ask.ditchable_kg)
            && sum_nm.is_finite()
            && total_kg.is_finite();
        let largest = |torques: &[[f64; 2]]| torques.iter().map(|nm| nm[0].hypot(nm[1])).fold(0.0, f64::max);
        let of_lead_nm = ask.places.iter().map(|place| largest(&place.per_kg_nm)).fold(0.0, f64::max);
        let room = |place: &LeadPlace| place.most_kg.map_or(f64::INFINITY, |kg| kg + ROUNDING_SLACK_KG);
        fits.then(|| Self {
            ask,
            piles: piles(ask.pieces_kg),
            room_kg: ask.places.iter().map(room).collect(),
            need_kg: 0.0,
            hair_nm: HAIR * (largest(ask.base_nm) + total_kg * of_lead_nm),
        })
    }

    fn places(&self) -> usize {
        self.ask.places.len()
    }

    /// Ways to split the pieces; as many as can be counted where there are more.
    fn ways(&self) -> u64 {
        self.piles.iter().fold(1, |ways: u64, pile| ways.saturating_mul(compositions(pile.count, self.places())))
    }

    fn none_yet(&self) -> Counts {
        vec![vec![0; self.places()]; self.piles.len()]
    }

    fn ditchable_kg(&self, at_kg: &[f64]) -> f64 {
        self.ask.places.iter().zip(at_kg).filter(|(place, _)| place.lets_go).map(|(_, kg)| kg).sum()
    }

    fn solve(&self) -> Option<(Taken, u64, Method)> {
        if self.ways() <= EVERY_MOST { every::every(self) } else { bounded::bounded(self) }
    }

    /// The most that the pieces and places can make ditchable, kg. The same search answers it: with a torque that is what
    /// is not ditchable, of `total` without lead and less by one for each kilogram at a place that lets go.
    fn most_ditchable_kg(&self) -> Option<f64> {
        let total_kg: f64 = self.ask.pieces_kg.iter().sum();
        if self.ask.places.iter().zip(&self.room_kg).any(|(place, room_kg)| place.lets_go && *room_kg >= total_kg) {
            return Some(total_kg);
        }
        let place = |place: &LeadPlace| LeadPlace {
            per_kg_nm: vec![[if place.lets_go { -1.0 } else { 0.0 }, 0.0]],
            ..place.clone()
        };
        let places: Vec<LeadPlace> = self.ask.places.iter().map(place).collect();
        let ask = SplitAsk { base_nm: &[[total_kg, 0.0]], places: &places, ditchable_kg: 0.0, ..*self.ask };
        let (taken, ..) = Task::new(&ask)?.solve()?;
        Some(self.ditchable_kg(&masses_kg(&self.piles, &taken.counts, self.places())))
    }
}

/// Pitch and roll at a moment, N·m.
fn torque_nm(ask: &SplitAsk, moment: usize, at_kg: &[f64]) -> [f64; 2] {
    ask.places.iter().zip(at_kg).fold(ask.base_nm[moment], |[pitch_nm, roll_nm], (place, kg)| {
        let per_kg_nm = place.per_kg_nm[moment];
        [pitch_nm + kg * per_kg_nm[0], roll_nm + kg * per_kg_nm[1]]
    })
}

/// Alike pieces counted, the heaviest first.
fn piles(pieces_kg: &[f64]) -> Vec<Pile> {
    let mut pieces_kg = pieces_kg.to_vec();
    pieces_kg.sort_by(|a, b| b.total_cmp(a));
    pieces_kg.chunk_by(|a, b| a == b).map(|same| Pile { piece_kg: same[0], count: same.len() }).collect()
}

/// Ways to put `count` like pieces at so many places: `C(count + places - 1, places - 1)`.
fn compositions(count: usize, places: usize) -> u64 {
    let step = |ways: u128, i: u128| (ways.saturating_mul(count as u128 + i) / i).min(u128::from(u64::MAX));
    (1..places as u128).fold(1, step) as u64
}

/// Lead at each place, kg: always added up in the same order, so that the same split has the same torque to the last bit.
fn masses_kg(piles: &[Pile], counts: &Counts, places: usize) -> Vec<f64> {
    let at = |k: usize| piles.iter().zip(counts).fold(0.0, |kg, (pile, at)| kg + at[k] as f64 * pile.piece_kg);
    (0..places).map(at).collect()
}

/// The split with the least worst torque over the dive. `None` where there is no place, where the pieces do not fit into
/// the places (or, of more than [`EVERY_MOST`] ways, the search had enough before it found one that does), and where a
/// figure is no number, a mass is not above zero, or the lists are not all as long as there are moments.
///
/// Of ways whose worst torques differ by rounding alone, the one at fewer places is taken, then the one with more at
/// earlier places; where not every way is tried, of those that were.
pub fn least_torque(ask: &SplitAsk) -> Option<LeadSplit> {
    let mut task = Task::new(ask)?;
    let mut lacks_kg = 0.0;
    if ask.ditchable_kg > ROUNDING_SLACK_KG {
        let most_kg = task.most_ditchable_kg()?;
        if most_kg < ask.ditchable_kg - ROUNDING_SLACK_KG {
            lacks_kg = ask.ditchable_kg - most_kg;
        }
        task.need_kg = (ask.ditchable_kg.min(most_kg) - ROUNDING_SLACK_KG).max(0.0);
    }
    let (taken, tried, method) = task.solve()?;
    let at_kg = masses_kg(&task.piles, &taken.counts, task.places());
    let (worst_at, worst_nm) = worst_of(ask, &at_kg);
    let at = |k: usize| {
        let piles = task.piles.iter().zip(&taken.counts);
        piles.flat_map(|(pile, at)| std::iter::repeat_n(pile.piece_kg, at[k])).collect()
    };
    let pieces_kg = (0..task.places()).map(at).collect();
    Some(LeadSplit { at_kg, pieces_kg, worst_nm, worst_at, method, tried, lacks_ditchable_kg: lacks_kg })
}

/// The moment of the worst torque with so much lead at each place, and that torque, N·m. The first of equal ones; a torque
/// that is no number counts as the worst. Zero where there is no moment.
///
/// # Panics
/// If a place has no torque for one of the moments.
pub fn worst_of(ask: &SplitAsk, at_kg: &[f64]) -> (usize, f64) {
    let mut worst = (0, 0.0);
    for moment in 0..ask.base_nm.len() {
        let [pitch_nm, roll_nm] = torque_nm(ask, moment, at_kg);
        let nm = pitch_nm.hypot(roll_nm);
        if nm.is_nan() {
            return (moment, nm);
        }
        if nm > worst.1 {
            worst = (moment, nm);
        }
    }
    worst
}

/// What one piece moved from its place to another does to the worst torque: for every place that has a piece and every
/// other place, each mass of piece once.
///
/// # Panics
/// As [`worst_of`].
pub fn moves(ask: &SplitAsk, split: &LeadSplit) -> Vec<PieceMoved> {
    let before_nm = worst_of(ask, &split.at_kg).1;
    let mut moved = Vec::new();
    for (from, pieces_kg) in split.pieces_kg.iter().enumerate() {
        for pile in piles(pieces_kg) {
            for to in (0..ask.places.len()).filter(|to| *to != from) {
                moved.push(one_moved(ask, split, before_nm, (from, to), pile.piece_kg));
            }
        }
    }
    moved
}

fn one_moved(ask: &SplitAsk, split: &LeadSplit, before_nm: f64, way: (usize, usize), piece_kg: f64) -> PieceMoved {
    let (from, to) = way;
    let mut at_kg = split.at_kg.clone();
    at_kg[from] -= piece_kg;
    at_kg[to] += piece_kg;
    let worst_nm = worst_of(ask, &at_kg).1;
    let holds = ask.places[to].most_kg.is_none_or(|most_kg| at_kg[to] <= most_kg + ROUNDING_SLACK_KG);
    let ditchable = |at_kg: &[f64]| -> f64 {
        ask.places.iter().zip(at_kg).filter(|(place, _)| place.lets_go).map(|(_, kg)| kg).sum()
    };
    let need_kg = ask.ditchable_kg.min(ditchable(&split.at_kg)) - ROUNDING_SLACK_KG;
    let allowed = holds && ditchable(&at_kg) >= need_kg;
    PieceMoved { from, to, piece_kg, worst_nm, change_nm: worst_nm - before_nm, allowed }
}
