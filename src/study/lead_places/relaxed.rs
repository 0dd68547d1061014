//! The rest of the lead spread like sand: what bounds a branch from below.
//!
//! Some pieces have their places, `m` kg; the rest, `R` kg, may go anywhere it can as if it were sand:
//!
//! ```text
//! P = { r ≥ 0 : Σ r_k = R,  r_k ≤ room_k,  r_k = 0 at closed places,  Σ r_k at places that let go ≥ need }
//! ```
//!
//! Every way to place the rest in pieces is a point of `P`. For a moment `t` and any unit direction `u`,
//! `|τ_t(m)| ≥ u·τ_t(m)`, which is a cut: a straight function `a + Σ β_k·m_k` below `worst`, with `a = u·b_t`,
//! `β_k = u·p_kt`. A mean of cuts with weights `λ ≥ 0`, `Σ λ = 1`, is a cut as well. So for any weights
//!
//! ```text
//! worst(m + r) ≥ a + β·m + min over r in P of β·r        for every r in P.
//! ```
//!
//! The least of a straight function over `P` is found exactly: `need` goes to the cheapest places that let go, the rest to
//! the cheapest of all that have room. That proves the bound whatever the weights are; a linear program only finds good
//! ones, and cuts are added where it finds the sand best placed (Kelley 1960, J. SIAM 8, 703: from memory).

use super::{Task, torque_nm, worst_of};

/// A straight function below the worst torque.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cut {
    pub at_none_nm: f64,
    pub per_kg_nm: Vec<f64>,
}

impl Cut {
    /// That of a moment which touches its torque with so much lead at each place; `None` if that torque is nothing.
    fn touching(task: &Task, moment: usize, at_kg: &[f64]) -> Option<Self> {
        let [pitch_nm, roll_nm] = torque_nm(task.ask, moment, at_kg);
        let nm = pitch_nm.hypot(roll_nm);
        let along = |[pitch, roll]: [f64; 2]| (pitch * pitch_nm + roll * roll_nm) / nm;
        (nm > 0.0).then(|| Self {
            at_none_nm: along(task.ask.base_nm[moment]),
            per_kg_nm: task.ask.places.iter().map(|place| along(place.per_kg_nm[moment])).collect(),
        })
    }

    fn at(&self, at_kg: &[f64]) -> f64 {
        self.per_kg_nm.iter().zip(at_kg).fold(self.at_none_nm, |nm, (per_kg_nm, kg)| nm + per_kg_nm * kg)
    }

    /// What the cut proves of all ways that are left; endless where there is none.
    pub(super) fn bound_nm(&self, at_kg: &[f64], sand: &Sand) -> f64 {
        sand.least(&self.per_kg_nm).map_or(f64::INFINITY, |r_kg| {
            let more = self.per_kg_nm.iter().zip(&r_kg).map(|(per_kg_nm, kg)| per_kg_nm * kg);
            self.at(at_kg) + more.sum::<f64>()
        })
    }

    fn mean(cuts: &[Cut], weights: &[f64]) -> Option<Self> {
        let all: f64 = weights.iter().sum();
        let places = cuts.first()?.per_kg_nm.len();
        (all > 1e-9).then(|| Self {
            at_none_nm: cuts.iter().zip(weights).map(|(cut, weight)| cut.at_none_nm * weight / all).sum(),
            per_kg_nm: (0..places)
                .map(|k| cuts.iter().zip(weights).map(|(cut, weight)| cut.per_kg_nm[k] * weight / all).sum())
                .collect(),
        })
    }
}

/// The rest of the lead and where it can go: the set `P`.
pub(super) struct Sand<'a> {
    pub rest_kg: f64,
    /// nothing at closed places
    pub room_kg: Vec<f64>,
    pub need_kg: f64,
    pub task: &'a Task<'a>,
}

impl Sand<'_> {
    fn lets_go(&self, place: usize) -> bool {
        self.task.ask.places[place].lets_go
    }

    /// Where it lies so that a straight function is least; `None` if it does not fit, by more than rounding.
    pub(super) fn least(&self, per_kg_nm: &[f64]) -> Option<Vec<f64>> {
        let mut order: Vec<usize> = (0..per_kg_nm.len()).filter(|k| self.room_kg[*k] > 0.0).collect();
        order.sort_by(|a, b| per_kg_nm[*a].total_cmp(&per_kg_nm[*b]));
        let mut at_kg = vec![0.0; per_kg_nm.len()];
        let mut fill = |left_kg: &mut f64, places: &mut dyn Iterator<Item = usize>| {
            for k in places {
                let here_kg = left_kg.min(self.room_kg[k] - at_kg[k]).max(0.0);
                at_kg[k] += here_kg;
                *left_kg -= here_kg;
            }
        };
        let forced_kg = self.need_kg.min(self.rest_kg).max(0.0);
        let (mut need_kg, mut rest_kg) = (forced_kg, self.rest_kg - forced_kg);
        fill(&mut need_kg, &mut order.iter().copied().filter(|k| self.lets_go(*k)));
        fill(&mut rest_kg, &mut order.iter().copied());
        let short_kg = need_kg + rest_kg + (self.need_kg - forced_kg).max(0.0);
        (short_kg <= ROUNDING_KG).then_some(at_kg)
    }
}

/// Rounding of sums of masses, kg.
const ROUNDING_KG: f64 = 1e-9;

/// What a look at a branch tells.
pub(super) struct Seen {
    /// no way that is left is below this
    pub bound_nm: f64,
    /// where the sand lay best
    pub sand_kg: Vec<f64>,
    /// the cut that proves the bound, for what is below
    pub proof: Option<Cut>,
    /// looks at all moments
    pub looks: u64,
}

/// Bounds a branch: until the bound reaches `enough_nm`, sand lies below that (and no bound can reach it), or so many
/// rounds. Cuts that carry the bound are left for what is below.
pub(super) fn look(at_kg: &[f64], sand: &Sand, cuts: &mut Vec<Cut>, enough_nm: f64, rounds: usize) -> Seen {
    let task = sand.task;
    let places = at_kg.len();
    let mut seen = Seen { bound_nm: 0.0, sand_kg: vec![0.0; places], proof: None, looks: 0 };
    let Some(mut sand_kg) = sand.least(&vec![0.0; places]) else {
        return Seen { bound_nm: f64::INFINITY, ..seen };
    };
    let mut least_nm = f64::INFINITY;
    for _ in 0..rounds {
        if !cuts.is_empty() {
            let (weights, there_kg) = weigh(at_kg, sand, cuts);
            if let Some(mean) = Cut::mean(cuts, &weights) {
                let bound_nm = mean.bound_nm(at_kg, sand);
                if bound_nm > seen.bound_nm || seen.proof.is_none() {
                    (seen.bound_nm, seen.proof) = (bound_nm.max(seen.bound_nm), Some(mean));
                }
            }
            if seen.bound_nm >= enough_nm {
                break;
            }
            let mut weights = weights.iter();
            cuts.retain(|_| weights.next().is_some_and(|weight| *weight > 0.0));
            sand_kg = there_kg;
        }
        let there_kg: Vec<f64> = at_kg.iter().zip(&sand_kg).map(|(kg, sand_kg)| kg + sand_kg).collect();
        let (moment, worst_nm) = worst_of(task.ask, &there_kg);
        seen.looks += 1;
        if worst_nm < least_nm {
            least_nm = worst_nm;
            seen.sand_kg.clone_from(&sand_kg);
        }
        let decided = worst_nm < enough_nm && enough_nm.is_finite();
        let Some(cut) = Cut::touching(task, moment, &there_kg) else { break };
        cuts.push(cut);
        if decided || least_nm - seen.bound_nm <= task.hair_nm {
            break;
        }
    }
    seen
}

/// Weights of the cuts, and where the sand lies best for them: the linear program
///
/// ```text
/// most w + M·(Σ r + n)   with   a_c + β_c·(m + r) + w ≤ top,  r_k ≤ room_k,  Σ r ≤ R,
///                               n ≤ Σ r at places that let go,  n ≤ need,  r, w, n ≥ 0
/// ```
///
/// by the simplex method from `r = w = n = 0`. `w` is how far the highest cut lies below `top`, and `M` is more than it can
/// gain by any kilogram, so that all of the sand and of the need is placed before that counts.
fn weigh(at_kg: &[f64], sand: &Sand, cuts: &[Cut]) -> (Vec<f64>, Vec<f64>) {
    let open: Vec<usize> = (0..at_kg.len()).filter(|k| sand.room_kg[*k] > 0.0).collect();
    let steepest_nm = cuts.iter().flat_map(|cut| &cut.per_kg_nm).fold(0.0, |most: f64, nm| most.max(nm.abs()));
    let values: Vec<f64> = cuts.iter().map(|cut| cut.at(at_kg)).collect();
    let top_nm = values.iter().copied().fold(f64::NEG_INFINITY, f64::max) + steepest_nm * sand.rest_kg;
    let (w, n, width) = (open.len(), open.len() + 1, open.len() + 2);
    let row = |fill: &dyn Fn(usize) -> f64, most: f64| -> Vec<f64> { (0..width).map(fill).chain([most]).collect() };
    let mut rows: Vec<Vec<f64>> = cuts
        .iter()
        .zip(&values)
        .map(|(cut, value)| {
            let of = |j: usize| open.get(j).map_or(f64::from(j == w), |k| cut.per_kg_nm[*k]);
            row(&of, (top_nm - value).max(0.0))
        })
        .collect();
    rows.push(row(&|j| f64::from(j < w), sand.rest_kg));
    for (j, k) in open.iter().enumerate().filter(|(_, k)| sand.room_kg[**k] < sand.rest_kg) {
        rows.push(row(&|i| f64::from(i == j), sand.room_kg[*k]));
    }
    if sand.need_kg > 0.0 {
        let of = |j: usize| open.get(j).map_or(f64::from(j == n), |k| -f64::from(sand.lets_go(*k)));
        rows.push(row(&of, 0.0));
    }
    rows.push(row(&|j| f64::from(j == n), sand.need_kg.max(0.0)));
    let much_nm = 8.0 * steepest_nm + 1.0;
    let gain = |j: usize| if j == w { 1.0 } else { much_nm };
    let (x, prices) = simplex(rows, (0..width).map(gain).collect());
    let mut sand_kg = vec![0.0; at_kg.len()];
    open.iter().enumerate().for_each(|(j, k)| sand_kg[*k] = x[j].clamp(0.0, sand.room_kg[*k]));
    (prices[..cuts.len()].iter().map(|price| price.max(0.0)).collect(), sand_kg)
}

/// Steps of the simplex method: it needs about as many as there are rows, and a circle of steps ends here. What it has by
/// then is good enough, as nothing is proven by it.
const MOST_STEPS: usize = 80;

/// The most of `gain·x` with `rows·x ≤` their last entries (none below zero), `x ≥ 0`; and the price of each row.
fn simplex(mut rows: Vec<Vec<f64>>, mut gain: Vec<f64>) -> (Vec<f64>, Vec<f64>) {
    let (height, width) = (rows.len(), gain.len());
    gain.push(0.0);
    // which variable stands for each column and each row: below `width` an x, above it the slack of a row
    let mut columns: Vec<usize> = (0..width).collect();
    let mut basis: Vec<usize> = (width..width + height).collect();
    for _ in 0..MOST_STEPS {
        let Some(enters) = (0..width).max_by(|a, b| gain[*a].total_cmp(&gain[*b])).filter(|j| gain[*j] > 1e-11) else {
            break;
        };
        let ratio = |i: usize| rows[i][width] / rows[i][enters];
        let fits = (0..height).filter(|i| rows[*i][enters] > 1e-11);
        let Some(leaves) = fits.min_by(|a, b| ratio(*a).total_cmp(&ratio(*b))) else { break };
        let pivot = rows[leaves][enters];
        rows[leaves].iter_mut().for_each(|entry| *entry /= pivot);
        rows[leaves][enters] = 1.0 / pivot;
        let by = rows[leaves].clone();
        let others = rows.iter_mut().enumerate().filter(|(i, _)| *i != leaves).map(|(_, row)| row);
        for row in others.chain([&mut gain]) {
            let times = row[enters];
            if times != 0.0 {
                row[enters] = 0.0;
                row.iter_mut().zip(&by).for_each(|(entry, by)| *entry -= times * by);
            }
        }
        std::mem::swap(&mut columns[enters], &mut basis[leaves]);
    }
    let (mut x, mut prices) = (vec![0.0; width], vec![0.0; height]);
    basis.iter().zip(&rows).filter(|(of, _)| **of < width).for_each(|(of, row)| x[*of] = row[width].max(0.0));
    let slacks = columns.iter().zip(&gain).filter(|(of, _)| **of >= width);
    slacks.for_each(|(of, gain)| prices[*of - width] = -gain);
    (x, prices)
}
