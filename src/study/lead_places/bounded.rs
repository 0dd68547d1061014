//! Branch and bound: the pieces given to the places one mass after the other, the heaviest first, and each branch left
//! whose bound (`relaxed`) shows that nothing in it is better by more than [`PROOF_NM`].
//!
//! What that proves: let `w` be the worst torque of the answer and `L` the least bound of all branches left. Every way is
//! either looked at, and not below the least seen, or in a branch that was left, and not below `L`. So no way is below
//! `min(w, L)`, and `w - min(w, L)` is what the answer says it may be off by. `L` is never less than the least seen at the
//! time less [`PROOF_NM`], so at the end that is at most [`PROOF_NM`]. Where the search has enough before its end, the
//! bound of the whole tree takes the place of `L`; where that alone proves the answer to [`PROOF_NM`] it ends at once.

use super::relaxed::{Cut, Sand, Seen, look};
use super::{Best, Counts, Judge, Method, Taken, Task, masses_kg};

/// What a better way would have to be better by to be worth the search, N·m: a gram moved by a metre. No piece of lead is
/// true to that, and breathing moves more by hundreds of times.
pub const PROOF_NM: f64 = 0.01;

/// Torques added up before the search has enough, each of one place at one moment: some 60 ms where the library is built to
/// be quick. Counted, not timed: the same ask has the same answer on every machine.
const ENOUGH: u64 = 30_000_000;
/// What one linear program counts as: it takes as long as so many torques.
const PROGRAM: u64 = 3_000;
/// What may go into mending one way.
const MENDING: u64 = 3_000_000;
/// Rounds of cuts at a branch, and at the root, whose bound is that of the whole.
const ROUNDS: usize = 12;
const ROUNDS_AT_ROOT: usize = 100;

/// The best found; `None` if the pieces do not fit, or the search had enough before it found a way in which they do.
pub(super) fn bounded(task: &Task) -> Option<(Taken, u64, Method)> {
    let mut search = Bounded {
        task,
        judge: Judge::new(task),
        counts: task.none_yet(),
        best: Best::new(task.hair_nm),
        nodes: 0,
        work: 0,
        left_nm: f64::INFINITY,
        root_nm: 0.0,
    };
    let nowhere_kg = vec![0.0; task.places()];
    let mut cuts = Vec::new();
    let first = task.piles.first().map_or(0, |pile| pile.count);
    let root = look(&nowhere_kg, &search.sand(&nowhere_kg, 0, 0, first), &mut cuts, f64::INFINITY, ROUNDS_AT_ROOT);
    search.count(&root);
    search.root_nm = root.bound_nm;
    if root.bound_nm == f64::INFINITY {
        return None;
    }
    search.round(&root.sand_kg);
    if !search.has_enough() {
        search.give(0, 0, first, &cuts, &root);
    }
    let ended = !search.has_enough();
    let taken = search.best.taken?;
    let least_nm = if ended { search.left_nm.max(root.bound_nm) } else { root.bound_nm };
    let off_by_nm = (taken.worst_nm - least_nm).max(0.0) + task.hair_nm;
    let proven = off_by_nm <= PROOF_NM + 2.0 * task.hair_nm;
    let method = if proven { Method::Bounded { off_by_nm } } else { Method::BestFound { off_by_nm } };
    Some((taken, search.nodes, method))
}

struct Bounded<'a> {
    task: &'a Task<'a>,
    judge: Judge,
    counts: Counts,
    best: Best,
    nodes: u64,
    work: u64,
    /// least bound of what was left
    left_nm: f64,
    /// bound of the whole tree
    root_nm: f64,
}

impl<'a> Bounded<'a> {
    fn moments(&self) -> u64 {
        (self.task.ask.base_nm.len() * self.task.places()) as u64
    }

    fn count(&mut self, seen: &Seen) {
        self.nodes += 1;
        self.work += seen.looks * (self.moments() + PROGRAM);
    }

    /// Whether no more is to be looked for: the bound of the whole tree proves what was found, or the work is up.
    fn has_enough(&self) -> bool {
        self.work >= ENOUGH || self.best.least_nm <= self.root_nm + PROOF_NM
    }

    /// A bound from here on is enough to leave a branch.
    fn enough_nm(&self) -> f64 {
        self.best.least_nm - PROOF_NM
    }

    /// What is left when a pile has `left` pieces for the places from this one on. Of the last pile nothing goes to the
    /// places before.
    fn sand(&self, at_kg: &[f64], pile: usize, place: usize, left: usize) -> Sand<'a> {
        let task = self.task;
        let later = task.piles.iter().skip(pile + 1).map(|pile| pile.count as f64 * pile.piece_kg);
        let rest_kg = left as f64 * task.piles.get(pile).map_or(0.0, |pile| pile.piece_kg) + later.sum::<f64>();
        let closed = if pile + 1 >= task.piles.len() { place } else { 0 };
        let room = |(k, (room_kg, kg)): (usize, (&f64, &f64))| if k < closed { 0.0 } else { (room_kg - kg).max(0.0) };
        let room_kg = task.room_kg.iter().zip(at_kg).enumerate().map(room).collect();
        Sand { rest_kg, room_kg, need_kg: task.need_kg - task.ditchable_kg(at_kg), task }
    }

    /// Gives the `left` pieces of a pile to the places from this one on; of the counts at this one that nearest to where
    /// the sand lay first.
    fn give(&mut self, pile: usize, place: usize, left: usize, cuts: &[Cut], above: &Seen) {
        let Some(of) = self.task.piles.get(pile) else { return self.offer_all() };
        let last = place + 1 == self.task.places();
        let wish = above.sand_kg[place] / of.piece_kg;
        let mut wishes: Vec<usize> = (if last { left } else { 0 }..=left).collect();
        wishes.sort_by(|a, b| (*a as f64 - wish).abs().total_cmp(&(*b as f64 - wish).abs()));
        for count in wishes {
            if self.has_enough() {
                break;
            }
            self.counts[pile][place] = count;
            self.branch((pile, place, left - count), cuts, above);
        }
        self.counts[pile][place] = 0;
    }

    /// One count at one place: left if it can be, else looked into.
    fn branch(&mut self, (pile, place, left): (usize, usize, usize), cuts: &[Cut], above: &Seen) {
        let task = self.task;
        let at_kg = masses_kg(&task.piles, &self.counts, task.places());
        if at_kg[place] > task.room_kg[place] {
            return;
        }
        let done = place + 1 == task.places();
        let next = match done {
            true => (pile + 1, 0, task.piles.get(pile + 1).map_or(0, |next| next.count)),
            false => (pile, place + 1, left),
        };
        if next.0 == task.piles.len() {
            return self.offer_all();
        }
        let sand = self.sand(&at_kg, next.0, next.1, next.2);
        self.work += 20 * task.places() as u64;
        let known_nm = above.proof.as_ref().map_or(0.0, |cut| cut.bound_nm(&at_kg, &sand));
        if known_nm >= self.enough_nm() {
            self.left_nm = self.left_nm.min(known_nm);
            return;
        }
        let mut cuts = cuts.to_vec();
        let seen = look(&at_kg, &sand, &mut cuts, self.enough_nm(), ROUNDS);
        self.count(&seen);
        if seen.bound_nm >= self.enough_nm() {
            self.left_nm = self.left_nm.min(seen.bound_nm);
            return;
        }
        self.give(next.0, next.1, next.2, &cuts, &seen);
    }

    /// A way with all its pieces placed: offered, and if it is the best mended as far as small changes do.
    fn offer_all(&mut self) {
        self.nodes += 1;
        let counts = self.counts.clone();
        if self.offer(&counts) {
            self.mend(counts);
        }
    }

    /// Offers a way if it is one.
    fn offer(&mut self, counts: &Counts) -> bool {
        let at_kg = masses_kg(&self.task.piles, counts, self.task.places());
        let fits = at_kg.iter().zip(&self.task.room_kg).all(|(kg, room_kg)| kg <= room_kg);
        if !fits || self.task.ditchable_kg(&at_kg) < self.task.need_kg {
            return false;
        }
        let worst_nm = self.judge.worst_nm(self.task, &at_kg, self.best.limit_nm());
        // one that fails does so at one of the first moments, but its masses had to be added up
        let all = if worst_nm.is_some() { 2 * self.moments() } else { 0 };
        self.work += all + (counts.len() * at_kg.len() + 40) as u64;
        worst_nm.is_some_and(|worst_nm| self.best.offer(worst_nm, counts))
    }

    /// The pieces where the sand lies, as well as they fit, the heaviest first to where most is missing; then mended.
    fn round(&mut self, sand_kg: &[f64]) {
        let mut missing_kg = sand_kg.to_vec();
        let mut room_kg = self.task.room_kg.clone();
        let mut counts = self.task.none_yet();
        for (pile, counts) in self.task.piles.iter().zip(&mut counts) {
            for _ in 0..pile.count {
                let fits = (0..missing_kg.len()).filter(|k| room_kg[*k] >= pile.piece_kg);
                let Some(k) = fits.max_by(|a, b| missing_kg[*a].total_cmp(&missing_kg[*b])) else { return };
                counts[k] += 1;
                missing_kg[k] -= pile.piece_kg;
                room_kg[k] -= pile.piece_kg;
            }
        }
        if self.offer(&counts) {
            self.mend(counts);
        }
    }

    /// One or two pieces moved at a time, as long as that helps.
    fn mend(&mut self, mut counts: Counts) {
        let most = self.work + MENDING;
        while self.work < most && self.two_moves(&mut counts) {}
    }

    /// The first way of one or two moves that is better by more than a hair.
    fn two_moves(&mut self, counts: &mut Counts) -> bool {
        for one in steps(counts) {
            step(counts, one);
            if self.helps(counts) {
                return true;
            }
            for two in steps(counts) {
                step(counts, two);
                if self.helps(counts) {
                    return true;
                }
                step(counts, back(two));
            }
            step(counts, back(one));
        }
        false
    }

    fn helps(&mut self, counts: &Counts) -> bool {
        let before_nm = self.best.least_nm;
        self.offer(counts) && self.best.least_nm < before_nm - self.task.hair_nm
    }
}

/// A piece of a pile from a place to another.
type Step = (usize, usize, usize);

fn steps(counts: &Counts) -> Vec<Step> {
    let of = |(pile, at): (usize, &Vec<usize>)| -> Vec<Step> {
        let places = at.len();
        let from = (0..places).filter(|from| at[*from] > 0);
        from.flat_map(|from| (0..places).filter(move |to| *to != from).map(move |to| (pile, from, to))).collect()
    };
    counts.iter().enumerate().flat_map(of).collect()
}

fn back((pile, from, to): Step) -> Step {
    (pile, to, from)
}

fn step(counts: &mut Counts, (pile, from, to): Step) {
    counts[pile][from] -= 1;
    counts[pile][to] += 1;
}
