//! The best way so far, and whether another is better.

use super::{Counts, Task, torque_nm, worst_of};

/// The best way so far.
pub(super) struct Best {
    hair_nm: f64,
    /// lowest worst torque seen
    pub least_nm: f64,
    pub taken: Option<Taken>,
}

pub(super) struct Taken {
    pub worst_nm: f64,
    places: usize,
    pub counts: Counts,
}

impl Best {
    pub(super) fn new(hair_nm: f64) -> Self {
        Self { hair_nm, least_nm: f64::INFINITY, taken: None }
    }

    /// What is above this is not better.
    pub(super) fn limit_nm(&self) -> f64 {
        self.least_nm + self.hair_nm
    }

    /// Takes a way if it is better by more than a hair, or as good with fewer places.
    pub(super) fn offer(&mut self, worst_nm: f64, counts: &Counts) -> bool {
        if worst_nm > self.limit_nm() {
            return false;
        }
        self.least_nm = self.least_nm.min(worst_nm);
        let places = (0..counts.first().map_or(0, Vec::len)).filter(|k| counts.iter().any(|pile| pile[*k] > 0)).count();
        let better = self.taken.as_ref().is_none_or(|taken| taken.worst_nm > self.limit_nm() || places < taken.places);
        if better {
            self.taken = Some(Taken { worst_nm, places, counts: counts.clone() });
        }
        better
    }
}

/// Looks whether a way is better, at as few moments as show that it is not.
pub(super) struct Judge {
    /// the one at which the last way failed comes first: the next is likely to fail there too
    moments: Vec<usize>,
}

impl Judge {
    pub(super) fn new(task: &Task) -> Self {
        Self { moments: (0..task.ask.base_nm.len()).collect() }
    }

    /// The worst torque, if it is not above a limit and as much is ditchable as must be.
    pub(super) fn worst_nm(&mut self, task: &Task, at_kg: &[f64], limit_nm: f64) -> Option<f64> {
        if task.ditchable_kg(at_kg) < task.need_kg {
            return None;
        }
        let above = |moment: &usize| {
            let [pitch_nm, roll_nm] = torque_nm(task.ask, *moment, at_kg);
            pitch_nm * pitch_nm + roll_nm * roll_nm > limit_nm * limit_nm
        };
        match self.moments.iter().position(above) {
            Some(at) => {
                self.moments.swap(0, at);
                None
            }
            None => Some(worst_of(task.ask, at_kg).1),
        }
    }
}
