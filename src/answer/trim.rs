//! Where the diver hangs, how sure that is, and where to put the lead.

use crate::answer::{AnswerError, Carry, Checked, Pieces, Quick};
use crate::estimate::doubt::Quantile;
use crate::estimate::{Input, PlaceTies};
use crate::findings::Trim;
use crate::findings::trim::TrimAt;
use crate::physics::place::Moment;
use crate::plan::{Built, Plan};
use crate::rig::LeadSpot;
use crate::scenario::Scenario;
use crate::sim::{self, Trace};
use crate::study::doubt::{Draws, Sequence};
use crate::study::lead_places::{LeadSplit, PieceMoved, SplitAsk, least_torque, moves, worst_of};
use crate::study::side_by_side::side_by_side;
use crate::study::trim::{WithoutLead, moments_at, moments_if};
use crate::study::{Choice, StudyError, Verdict};

/// Runs from which the doubt of weights and volumes is taken: the standard deviation of so many has a standard error of 9 %,
/// and places, which are worked out exactly, make up most of the doubt.
pub(super) const DRAWS: u64 = 64;
/// Half-width for 95 % of a normal distribution, in standard uncertainties.
const COVER: f64 = 1.96;
/// A share of the variance below which a figure is not named.
const LEAST_SHARE_FRAC: f64 = 0.01;

/// How sure a torque is.
#[derive(Clone, Debug, PartialEq)]
pub struct TrimDoubt {
    /// Half-width for 95 % at each moment of [`Trim::course`], N·m.
    pub course_half_width_nm: Vec<f64>,
    /// The same of the moment towards the back, which keeps the diver prone, kg·m.
    pub course_up_half_width_kg_m: Vec<f64>,
    /// The first of them at the worst moment, N·m.
    pub half_width_nm: f64,
    /// Places by their share of the variance there, the largest first.
    pub places: Vec<PlaceShare>,
    /// Share of all weights and volumes together.
    pub figures_share_frac: f64,
}

/// What the doubt of one distance does.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceShare {
    /// The distance.
    pub input: Input,
    /// Its share of the variance of the torque at the worst moment.
    pub share_frac: f64,
    /// Half-width for 95 % that it alone gives that torque, N·m.
    pub half_width_nm: f64,
}

/// Where the lead goes.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadWhere {
    /// The lead that is shared out, as `ballast` advises it, or the plan's own where it advises none.
    pub lead: Choice,
    /// Whether it is the advice.
    pub is_advice: bool,
    /// What must be ditchable, kg.
    pub ditchable_kg: f64,
    /// The places, in the order of the split.
    pub places: Vec<LeadSpot>,
    /// Worst torque with all of it at each place, N·m.
    pub all_at_nm: Vec<f64>,
    /// The split with the least worst torque.
    pub split: LeadSplit,
    /// When that is met, s.
    pub worst_s: f64,
    /// Moments of the dive with this lead, s, in order of time.
    pub split_times_s: Vec<f64>,
    /// Torque with the split at each of them, held level, N·m.
    pub split_course_nm: Vec<f64>,
    /// What one piece moved does.
    pub moves: Vec<PieceMoved>,
}

/// All about the trim of a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct TrimFacts {
    /// The plan, built.
    pub built: Built,
    /// Checks that correct it.
    pub checked: Option<Checked>,
    /// The run.
    pub trace: Trace,
    /// The trim.
    pub trim: Trim,
    /// How sure it is.
    pub doubt: TrimDoubt,
    /// Where the lead goes; `None` for a diver without any.
    pub lead: Option<LeadWhere>,
}

impl TrimFacts {
    /// Of a plan, its lead in pieces that exist.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::sim::run`] and [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan, pieces: &Pieces) -> Result<Self, AnswerError> {
        pieces.check()?;
        let Quick { built, checked, trace, findings, .. } = Quick::of(plan)?;
        let carry = Carry::of(plan, &built, pieces)?;
        Self::of_run(plan, built, checked, trace, findings.trim, &carry)
    }

    /// Of a plan that is built and run already, with the advice for its lead.
    ///
    /// # Errors
    /// As [`TrimFacts::of`].
    pub fn of_run(
        plan: &Plan,
        built: Built,
        checked: Option<Checked>,
        trace: Trace,
        trim: Option<Trim>,
        carry: &Carry,
    ) -> Result<Self, AnswerError> {
        // a plan always has places
        let trim = trim.ok_or_else(|| AnswerError::Corrected("a place is not known".into()))?;
        let doubt = TrimDoubt::of(plan, &built, &trace, &trim)?;
        let lead = LeadWhere::of(&built, carry)?;
        Ok(Self { built, checked, trace, trim, doubt, lead })
    }

    /// Half-width for 95 % of the torque at a moment of the dive, N·m: that of the nearest moment of the course.
    pub fn half_width_nm(&self, at: &TrimAt) -> f64 {
        self.doubt.course_half_width_nm[nearest(&self.trim.course, at)]
    }

    /// The same of the moment towards the back, kg·m.
    pub fn up_half_width_kg_m(&self, at: &TrimAt) -> f64 {
        self.doubt.course_up_half_width_kg_m[nearest(&self.trim.course, at)]
    }

    /// Worst torque of the dive with the lead where the plan has it, pitch and roll together, as the split of the lead is
    /// judged, N·m.
    pub fn own_worst_nm(&self) -> f64 {
        self.trim.course.iter().map(|at| at.torque_nm().hypot(at.roll_nm())).fold(0.0, f64::max)
    }
}

impl TrimDoubt {
    /// Of a built plan and its run.
    ///
    /// Places bear on a moment linearly, so what each does is exact; what weights and volumes do comes from draws of them:
    /// `u² = Σ (∂τ/∂xₖ·uₖ)² + Var(τ)` (JCGM 100:2008, 5.1.2, from memory, for the sum).
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn of(plan: &Plan, built: &Built, trace: &Trace, trim: &Trim) -> Result<Self, AnswerError> {
        let ties = place_ties(built);
        let draws = Draws::new(built.figures(), Sequence::Sobol, 0);
        let central = draws.central();
        let placed = |moved: &Vec<f64>| -> Option<Vec<Moment>> {
            let at: Vec<f64> = ties.mean.iter().zip(moved).map(|(at, by)| at + by).collect();
            let other = plan.build_placed(central, &at, built).ok()?;
            moments_if(&other, &built.scenario, trace)
        };
        let base: Vec<Moment> = trim.course.iter().map(|at| at.moment).collect();
        // a place outside its range would be a fault of the plan: it then counts for nothing
        let by_source: Vec<Vec<Moment>> = side_by_side(ties.moves.clone(), |moved| {
            let moved = placed(&moved).unwrap_or_else(|| base.clone());
            moved.iter().zip(&base).map(|(moved, base)| *moved - *base).collect()
        });
        let of_figures = figures_spread(plan, built, &draws, &trim.course);
        let spread = |of: Axis| -> Vec<f64> {
            let places = |i: usize| by_source.iter().map(|by| of(&by[i]).powi(2)).sum::<f64>();
            (0..base.len()).map(|i| places(i) + variance(&of_figures, |row| of(&row[i]))).collect()
        };
        let all = spread(Moment::pitch_torque_nm);
        let worst = nearest(&trim.course, &trim.worst());
        let share = |part: f64| if all[worst] > 0.0 { part / all[worst] } else { 0.0 };
        let by_place = shares_of_places(&ties, &by_source, worst);
        let of_weights = variance(&of_figures, |row| row[worst].pitch_torque_nm());
        let inputs = built.uncertain_places().zip(by_place);
        let mut places: Vec<PlaceShare> = inputs
            .map(|(input, of)| PlaceShare {
                input: input.clone(),
                share_frac: share(of * of),
                half_width_nm: COVER * of.abs(),
            })
            .filter(|of| of.share_frac >= LEAST_SHARE_FRAC)
            .collect();
        places.sort_by(|a, b| b.share_frac.total_cmp(&a.share_frac));
        Ok(Self {
            half_width_nm: COVER * all[worst].sqrt(),
            figures_share_frac: share(of_weights),
            course_half_width_nm: all.iter().map(|variance| COVER * variance.sqrt()).collect(),
            course_up_half_width_kg_m: spread(|moment| moment.up_kg_m).iter().map(|var| COVER * var.sqrt()).collect(),
            places,
        })
    }
}

/// The moment of a course that is nearest to another in time, and of several at one time in torque.
fn nearest(course: &[TrimAt], to: &TrimAt) -> usize {
    let far = |at: &TrimAt| ((at.time_s - to.time_s).abs(), (at.torque_nm() - to.torque_nm()).abs());
    let order = |a: (f64, f64), b: (f64, f64)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
    (0..course.len()).min_by(|a, b| order(far(&course[*a]), far(&course[*b]))).unwrap_or_default()
}

/// What is known of the distances: free ones, or tied by checks.
pub(crate) fn place_ties(built: &Built) -> PlaceTies {
    built.place_ties.clone().unwrap_or_else(|| {
        let doubts = built.uncertain_places().filter_map(|input| input.estimate.doubt.as_ref());
        let standard_m: Vec<f64> = doubts.map(|doubt| Quantile::of(doubt).standard_uncertainty()).collect();
        PlaceTies::free(built.central_places(), &standard_m)
    })
}

/// A number of a moment.
type Axis = fn(&Moment) -> f64;

/// For each distance by how much its own standard uncertainty moves the torque of a moment: by the root of the covariance, so
/// that what checks tie together is shared out by how much of it each explains.
fn shares_of_places(ties: &PlaceTies, by_source: &[Vec<Moment>], at: usize) -> Vec<f64> {
    // free distances have a source each
    let count = ties.mean.len();
    let is_free = ties.moves.iter().enumerate().all(|(i, moved)| (0..count).all(|j| i == j || moved[j] == 0.0));
    if is_free {
        return by_source.iter().map(|by| by[at].pitch_torque_nm()).collect();
    }
    // the covariance of each distance with the torque, in standard uncertainties of the distance
    let standard_m = ties.standard_m();
    let with =
        |j: usize| ties.moves.iter().zip(by_source).map(|(moved, by)| moved[j] * by[at].pitch_torque_nm()).sum::<f64>();
    (0..count).map(|j| if standard_m[j] > 0.0 { with(j) / standard_m[j] } else { 0.0 }).collect()
}

/// Moments of draws of weights and volumes, a row each. A draw that makes no dive is left out.
fn figures_spread(plan: &Plan, built: &Built, draws: &Draws, course: &[TrimAt]) -> Vec<Vec<Moment>> {
    if draws.factors().is_empty() {
        return Vec::new();
    }
    let rows: Vec<Option<Vec<Moment>>> = side_by_side((0..DRAWS).collect(), |draw| {
        let dive = plan.build_draw(&draws.values(draw), built).ok()?;
        let trace = sim::run(&dive).ok()?;
        moments_at(&dive, &trace, course)
    });
    rows.into_iter().flatten().collect()
}

/// Variance of a number of each row; none of a single one.
fn variance(rows: &[Vec<Moment>], of: impl Fn(&[Moment]) -> f64) -> f64 {
    let count = rows.len() as f64;
    if rows.len() < 2 {
        return 0.0;
    }
    let mean = rows.iter().map(|row| of(row)).sum::<f64>() / count;
    rows.iter().map(|row| (of(row) - mean).powi(2)).sum::<f64>() / (count - 1.0)
}

impl LeadWhere {
    /// The lead of a dive over its places.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn of(built: &Built, carry: &Carry) -> Result<Option<Self>, StudyError> {
        // what is more than can be swum up is no advice
        let is_right = carry.advice.verdict == Verdict::Fits && !carry.is_withheld() && !carry.is_dry;
        let advised = carry.advice.lead.clone().filter(|_| is_right);
        let is_advice = advised.is_some();
        let Some(lead) = advised.or_else(|| own_pieces(&built.scenario)).filter(|lead| !lead.pieces_kg.is_empty())
        else {
            return Ok(None);
        };
        let wanted_kg = carry.advice.ditch.as_ref().map_or(0.0, |ditch| ditch.needed_kg);
        let ditchable_kg = carry.range.own.ditchable_kg.max(wanted_kg).min(lead.lead_kg);
        let places = built.trim.places.clone();
        let Some(without) = WithoutLead::of(&built.scenario, lead.lead_kg, &places)? else { return Ok(None) };
        let ask =
            SplitAsk { base_nm: &without.base_nm, places: &without.places, pieces_kg: &lead.pieces_kg, ditchable_kg };
        let Some(split) = least_torque(&ask) else { return Ok(None) };
        let all_at = |k: usize| {
            let mut at_kg = vec![0.0; places.len()];
            at_kg[k] = lead.lead_kg;
            worst_of(&ask, &at_kg).1
        };
        Ok(Some(Self {
            all_at_nm: (0..places.len()).map(all_at).collect(),
            worst_s: without.times_s[split.worst_at],
            split_course_nm: without.pitch_nm(&split.at_kg),
            split_times_s: without.times_s.clone(),
            moves: moves(&ask, &split),
            split,
            lead,
            is_advice,
            ditchable_kg,
            places,
        }))
    }
}

/// The plan's own lead, piece by piece, the heaviest first; `None` where it has none.
fn own_pieces(scenario: &Scenario) -> Option<Choice> {
    let ballast = scenario.rig().parts.iter().filter(|part| part.role == crate::rig::Role::Ballast);
    let mut pieces_kg: Vec<f64> = ballast
        .flat_map(|part| std::iter::repeat_n(part.mass_kg() / f64::from(part.count), part.count as usize))
        .filter(|mass_kg| *mass_kg > 0.0)
        .collect();
    pieces_kg.sort_by(|a, b| b.total_cmp(a));
    (!pieces_kg.is_empty()).then(|| Choice { lead_kg: pieces_kg.iter().sum(), pieces_kg })
}
