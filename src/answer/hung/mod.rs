//! How a diver hung at checks, brought back into the places of things.
//!
//! At the pitch that was seen the torque is nothing, which is linear in the places ([`crate::study::calibrate::hung`]). So
//! all distances with a doubt, of every rig, are updated in closed form. What weights and volumes leave in doubt of each
//! check is a further unknown of it, with the covariance of a few dozen draws: two checks of one rig share it.
//!
//! ```text
//! 0 = f₀ + Σ gᵢ·(xᵢ − x̄ᵢ) + F_k + m·δ      f = Mx·cos θ − Mz·sin θ,  m = Mx·sin θ + Mz·cos θ
//! noise² = u_θ²·E[m²] + (∂f/∂w·u_w)²       δ the error of the pitch, w lead that was added
//! ```
//!
//! `δ` is independent of all else, so with the mean square of `m` this is the best linear estimate (a text book's Kalman
//! update, from memory).

mod distances;
mod taken;

use crate::answer::trim::{DRAWS, place_ties};
use crate::estimate::cholesky::Cholesky;
use crate::estimate::doubt::Quantile;
use crate::estimate::{Input, PlaceTies};
use crate::findings::trim::Hang;
use crate::physics::place::{Moment, Point};
use crate::plan::checks::{CheckRow, HungRow, NeededRow};
use crate::plan::typical::places::{BELT, Placed, place};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::calibrate::hung::HungCheck;
use crate::study::calibrate::{Against, Check, Moved, moved};
use crate::study::doubt::{Draws, Sequence};
use crate::study::side_by_side::side_by_side;
use distances::Distances;
use taken::taken_in;

/// How far from what is expected a check may be, in standard deviations of the difference, before it contradicts (our own
/// judgement).
const CONTRADICTS: f64 = 3.0;
/// How far a distance is moved for its slope, m: the torque is linear in it.
const STEP_M: f64 = 1e-3;

/// What checks of the trim did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HungFound {
    /// Every check, in the order of the plan; what was needed behind how the diver hung.
    pub verdicts: Vec<HungVerdict>,
    /// Distances that moved, counted among those with a doubt, the one first that moved most.
    pub moved: Vec<Moved>,
    /// The distances before.
    pub before: Vec<Input>,
}

/// What is said of a check of the trim.
#[derive(Clone, Debug, PartialEq)]
pub struct HungVerdict {
    /// Name of the check.
    pub label: String,
    /// Depth, m.
    pub depth_m: f64,
    /// What was seen.
    pub seen: HungSeen,
    /// What was expected.
    pub expected: HungExpected,
    /// Torque that the plan expects of a diver held as was seen, N·m: above zero it lifts the head.
    pub off_nm: f64,
    /// The same in standard deviations of what could be.
    pub residual_ratio: f64,
    /// What it contradicts; `None` where it is used.
    pub against: Option<Against>,
    /// Remark.
    pub remark: Option<String>,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq)]
pub enum HungSeen {
    /// A pitch.
    Pitch(HungRow),
    /// Lead at a place for the diver to hang level.
    Needed(NeededRow),
}

/// What a plan expects to be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HungExpected {
    /// How the diver hangs.
    Hang(Hang),
    /// Lead at that place, kg; below zero: so much less.
    Needed {
        /// The lead, kg.
        lead_kg: f64,
    },
}

impl HungFound {
    /// How many checks are used, and how many there are.
    pub fn used(&self) -> (usize, usize) {
        (self.verdicts.iter().filter(|verdict| verdict.against.is_none()).count(), self.verdicts.len())
    }
}

/// One thing that was seen, and where its distances stand.
struct Seen {
    rig: usize,
    check: HungCheck,
    seen: HungSeen,
    /// for each of `check.extra`, its distances along and up
    extra_at: Vec<[usize; 2]>,
    /// standard uncertainty of the pitch, rad, and of the lead that was added, kg
    pitch_rad: f64,
    lead_kg: f64,
    label: String,
    remark: Option<String>,
}

/// A check as a line in the distances.
struct Line {
    moment: Moment,
    /// what the check leaves of the torque at the middle of all, kg·m, and its slopes
    off_kg_m: f64,
    slopes: Vec<(usize, f64)>,
    /// what a radian changes, its slopes, and its variance by weights and volumes
    stiff_kg_m: f64,
    stiff_slopes: Vec<(usize, f64)>,
    stiff_variance: f64,
    /// slope in lead that was added, kg·m per kg
    per_kg_m: f64,
}

/// A rig of the plan, and what it is built with.
struct RigBuilt<'a> {
    plan: &'a Plan,
    built: &'a Built,
    draws: Draws,
    /// where its distances stand
    at: Vec<usize>,
}

impl RigBuilt<'_> {
    fn places(&self, mean_m: &[f64]) -> Vec<f64> {
        self.at.iter().map(|&i| mean_m[i]).collect()
    }

    fn dive(&self, places: &[f64]) -> Option<Scenario> {
        self.plan.build_placed(self.draws.central(), places, self.built).ok()
    }
}

/// What checks of the trim say of the places of a plan, whose figures are corrected already; each names its rig: 0 the plan's
/// own, else one of its others. `None` where there is no such check, or nothing to say of.
pub(super) fn hung(plan: &Plan, built: &Built, rows: &[(usize, &CheckRow, Check)]) -> Option<(HungFound, PlaceTies)> {
    let mut distances = Distances::own(built);
    let own = distances.names.len();
    let rigs = rigs(plan, built, &mut distances);
    let seen: Vec<Seen> =
        rows.iter().flat_map(|(rig, row, check)| seen(*rig, row, check, rigs[*rig].built, &mut distances)).collect();
    if seen.is_empty() {
        return None;
    }
    let prior = place_ties(built);
    let lines: Vec<Line> = seen.iter().map(|one| line(one, &rigs[one.rig], &distances)).collect::<Option<_>>()?;
    let (covariance, stiff) = of_figures(&seen, &rigs, &distances);
    let lines: Vec<Line> =
        lines.into_iter().zip(stiff).map(|(line, stiff_variance)| Line { stiff_variance, ..line }).collect();
    let joint = joint(&prior, &distances, &covariance);
    let (verdicts, ties) = taken_in(&seen, &lines, &joint, distances.names.len());
    let ties = PlaceTies {
        mean: ties.mean[..own].to_vec(),
        moves: ties.moves.into_iter().map(|moved| moved[..own].to_vec()).collect(),
    };
    let before: Vec<Input> = built.uncertain_places().cloned().collect();
    let after = ties.mean.iter().zip(ties.standard_m());
    let mut moved: Vec<Moved> = before
        .iter()
        .zip(after)
        .enumerate()
        .filter_map(|(i, (input, (mean, std)))| moved::moved(i, input.estimate, [*mean, std], 0.0))
        .collect();
    moved.sort_by(|a, b| b.shift_sigmas.abs().total_cmp(&a.shift_sigmas.abs()));
    Some((HungFound { verdicts, moved, before }, ties))
}

/// The plan's own rig and its others.
fn rigs<'a>(plan: &'a Plan, built: &'a Built, distances: &mut Distances) -> Vec<RigBuilt<'a>> {
    let draws = |built: &Built| Draws::new(built.figures(), Sequence::Sobol, 0);
    let own = RigBuilt { plan, built, draws: draws(built), at: (0..distances.names.len()).collect() };
    let others = plan.other_rigs().iter().zip(&built.rigs);
    let others = others.map(|(plan, built)| RigBuilt { plan, built, draws: draws(built), at: distances.of_rig(built) });
    std::iter::once(own).chain(others).collect()
}

/// What a row says of the trim.
fn seen(rig: usize, row: &CheckRow, check: &Check, built: &Built, distances: &mut Distances) -> Vec<Seen> {
    let mut list = Vec::new();
    let mut extra: Vec<(f64, Point)> = Vec::new();
    let mut extra_at = Vec::new();
    let mut put = |lead_kg: f64, placed: Placed, extra: &mut Vec<(f64, Point)>, extra_at: &mut Vec<[usize; 2]>| {
        let (at, indices) = distances.of_place(placed, built);
        extra.push((lead_kg, at));
        extra_at.push(indices);
    };
    if row.hung.is_none() && row.needed.is_none() {
        return list;
    }
    if let Some(kg) = HungCheck::lead_without_place(check, &built.scenario) {
        put(kg, Placed::middle(BELT), &mut extra, &mut extra_at);
    }
    let one = |seen: HungSeen, pitch: HungRow, lead_kg: f64, extra: Vec<(f64, Point)>, extra_at: Vec<[usize; 2]>| {
        let check = HungCheck { check: check.clone(), wing_holds: row.wing_holds, extra, pitch_rad: pitch.pitch_rad };
        let (label, remark) = (row.label.clone(), row.note.clone());
        Seen { rig, check, seen, extra_at, pitch_rad: pitch.standard_rad(), lead_kg, label, remark }
    };
    if let Some(pitch) = row.hung {
        list.push(one(HungSeen::Pitch(pitch), pitch, 0.0, extra.clone(), extra_at.clone()));
    }
    if let Some((needed, placed)) = row.needed.as_ref().and_then(|needed| Some((needed, place(&needed.place)?))) {
        put(needed.lead.value, placed, &mut extra, &mut extra_at);
        let lead_kg = needed.lead.doubt.as_ref().map_or(0.0, |doubt| Quantile::of(doubt).standard_uncertainty());
        list.push(one(HungSeen::Needed(needed.clone()), HungRow::LEVEL, lead_kg, extra, extra_at));
    }
    list
}

/// A check as a line, laid through the middle of what is known; `None` where the rig makes no dive there.
fn line(one: &Seen, rig: &RigBuilt<'_>, distances: &Distances) -> Option<Line> {
    let places = rig.places(&distances.mean_m);
    let dive = rig.dive(&places)?;
    let moment = one.check.moment(&dive)?;
    let mut by: Vec<(usize, Moment)> = side_by_side((0..places.len()).collect(), |i: usize| {
        // to the other side where this one is out of range
        let moved = [STEP_M, -STEP_M].into_iter().find_map(|step_m| {
            let mut at = places.clone();
            at[i] += step_m;
            Some((one.check.moment(&rig.dive(&at)?)? - moment) * (1.0 / step_m))
        });
        (rig.at[i], moved.unwrap_or(Moment::NONE))
    });
    let with = |change: Change<'_>| {
        let mut other = one.check.clone();
        change(&mut other.extra);
        other.moment(&dive).map(|other| other - moment)
    };
    for (i, [along, up]) in one.extra_at.iter().enumerate() {
        by.push((*along, with(&|extra| extra[i].1.along_m += STEP_M)? * (1.0 / STEP_M)));
        by.push((*up, with(&|extra| extra[i].1.up_m += STEP_M)? * (1.0 / STEP_M)));
    }
    let per_kg_m = match one.seen {
        HungSeen::Pitch(_) => 0.0,
        // the wing may be full, so not too far
        HungSeen::Needed(_) => {
            let with = with(&|extra| {
                if let Some((kg, _)) = extra.last_mut() {
                    *kg += STEP_M;
                }
            });
            one.check.off_kg_m(with?) / STEP_M
        }
    };
    Some(Line {
        moment,
        off_kg_m: one.check.off_kg_m(moment),
        slopes: by.iter().map(|(i, by)| (*i, one.check.off_kg_m(*by))).collect(),
        stiff_kg_m: one.check.stiff_kg_m(moment),
        stiff_slopes: by.iter().map(|(i, by)| (*i, one.check.stiff_kg_m(*by))).collect(),
        stiff_variance: 0.0,
        per_kg_m,
    })
}

/// What weights and volumes make of the checks: the covariance of their torques, (kg·m)², and the variance of what a radian
/// changes each by. Rigs that are not the plan's own have draws of their own.
fn of_figures(seen: &[Seen], rigs: &[RigBuilt<'_>], distances: &Distances) -> (Vec<Vec<f64>>, Vec<f64>) {
    let mut covariance = vec![vec![0.0; seen.len()]; seen.len()];
    let mut stiff = vec![0.0; seen.len()];
    for (index, rig) in rigs.iter().enumerate() {
        let of: Vec<usize> = (0..seen.len()).filter(|&k| seen[k].rig == index).collect();
        if of.is_empty() || rig.draws.factors().is_empty() {
            continue;
        }
        let places = rig.places(&distances.mean_m);
        // a draw that makes no dive is left out
        let rows: Vec<Option<Vec<(f64, f64)>>> = side_by_side((0..DRAWS).collect(), |draw| {
            let dive = rig.plan.build_placed(&rig.draws.values(draw), &places, rig.built).ok()?;
            let of = of.iter().map(|&k| {
                let check = &seen[k].check;
                check.moment(&dive).map(|moment| (check.off_kg_m(moment), check.stiff_kg_m(moment)))
            });
            of.collect()
        });
        let rows: Vec<Vec<(f64, f64)>> = rows.into_iter().flatten().collect();
        let degrees = (rows.len() as f64 - 1.0).max(1.0);
        let mean = |of: OfRow<'_>| rows.iter().map(|row| of(row)).sum::<f64>() / (rows.len() as f64).max(1.0);
        for (a, &i) in of.iter().enumerate() {
            let (off_mean, stiff_mean) = (mean(&|row| row[a].0), mean(&|row| row[a].1));
            stiff[i] = rows.iter().map(|row| (row[a].1 - stiff_mean).powi(2)).sum::<f64>() / degrees;
            for (b, &j) in of.iter().enumerate() {
                let other_mean = mean(&|row| row[b].0);
                let sum: f64 = rows.iter().map(|row| (row[a].0 - off_mean) * (row[b].0 - other_mean)).sum();
                covariance[i][j] = sum / degrees;
            }
        }
    }
    (covariance, stiff)
}

/// All distances, and behind them what weights and volumes make of each check.
fn joint(prior: &PlaceTies, distances: &Distances, covariance: &[Vec<f64>]) -> PlaceTies {
    let (places, checks) = (distances.names.len(), covariance.len());
    let own = prior.mean.len();
    let all = places + checks;
    let mut moves: Vec<Vec<f64>> = prior.moves.iter().map(|moved| padded(moved, all)).collect();
    for i in own..places {
        let mut moved = vec![0.0; all];
        moved[i] = distances.standard_m[i];
        moves.push(moved);
    }
    // a billionth more on the diagonal: two checks of one moment say the same of weights and volumes
    let lifted = |i: usize, j: usize| covariance[i][j] * if i == j { 1.0 + 1e-9 } else { 1.0 };
    let matrix: Vec<Vec<f64>> = (0..checks).map(|i| (0..checks).map(|j| lifted(i, j)).collect()).collect();
    match Cholesky::of(&matrix) {
        Ok(root) => {
            for k in 0..checks {
                let unit: Vec<f64> = (0..checks).map(|j| f64::from(u8::from(j == k))).collect();
                let mut moved = vec![0.0; all];
                moved[places..].copy_from_slice(&root.times(&unit));
                moves.push(moved);
            }
        }
        // nothing is in doubt of some of them, or all but nothing
        Err(_) => {
            for k in 0..checks {
                let mut moved = vec![0.0; all];
                moved[places + k] = covariance[k][k].max(0.0).sqrt();
                moves.push(moved);
            }
        }
    }
    PlaceTies { mean: padded(&distances.mean_m, all), moves }
}

fn padded(values: &[f64], length: usize) -> Vec<f64> {
    values.iter().copied().chain(std::iter::repeat_n(0.0, length - values.len())).collect()
}

/// A change of the lead that is added beside the plan's: kilograms and places.
type Change<'a> = &'a dyn Fn(&mut Vec<(f64, Point)>);
/// A number of a drawn dive, of its torques and slopes.
type OfRow<'a> = &'a dyn Fn(&[(f64, f64)]) -> f64;
