//! Every way tried.

use super::{Best, Counts, Judge, Method, Taken, Task};

/// The best of all ways; `None` if the pieces do not fit.
pub(super) fn every(task: &Task) -> Option<(Taken, u64, Method)> {
    let mut search = Every {
        task,
        judge: Judge::new(task),
        counts: task.none_yet(),
        at_kg: vec![0.0; task.places()],
        best: Best::new(task.hair_nm),
        tried: 0,
    };
    let first = task.piles.first().map_or(0, |pile| pile.count);
    search.give(0, 0, first);
    Some((search.best.taken?, search.tried, Method::Every))
}

struct Every<'a> {
    task: &'a Task<'a>,
    judge: Judge,
    counts: Counts,
    at_kg: Vec<f64>,
    best: Best,
    tried: u64,
}

impl Every<'_> {
    /// Gives the `left` pieces of a pile to the places from this one on, and then the next piles: most to the first first.
    fn give(&mut self, pile: usize, place: usize, left: usize) {
        let task = self.task;
        let Some(of) = task.piles.get(pile) else { return self.offer() };
        let last = place + 1 == task.places();
        let before_kg = self.at_kg[place];
        for count in (if last { left } else { 0 }..=left).rev() {
            let at_kg = before_kg + count as f64 * of.piece_kg;
            if at_kg > task.room_kg[place] {
                continue;
            }
            self.at_kg[place] = at_kg;
            self.counts[pile][place] = count;
            if last {
                self.give(pile + 1, 0, task.piles.get(pile + 1).map_or(0, |next| next.count));
            } else {
                self.give(pile, place + 1, left - count);
            }
        }
        self.counts[pile][place] = 0;
        self.at_kg[place] = before_kg;
    }

    fn offer(&mut self) {
        self.tried += 1;
        if let Some(worst_nm) = self.judge.worst_nm(self.task, &self.at_kg, self.best.limit_nm()) {
            self.best.offer(worst_nm, &self.counts);
        }
    }
}
