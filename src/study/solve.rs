//! The least and the most lead, with the simulation in the loop.
//!
//! Let `x` be the lead in kg, and `q = 1 − ρ/ρ_lead` what a kilogram of it pulls in the water of a moment.
//!
//! | | function of `x` | slope |
//! | --- | --- | --- |
//! | least | `h(x)`: greatest net lift at a stop, wing empty, cylinders at reserve; zero at the least lead | about `−q` |
//! | | `a(x)`: greatest net lift of the final ascent, wing empty, gas as planned; zero at the least lead | about `−q` |
//! | most | `g(x)`: largest load after a failed wing less the capacity; zero at the most lead | about `+q` |
//!
//! The slopes are not exactly `∓q`: more lead needs more gas in the wing, which comes out of the cylinders, and what is
//! vented is gone. That is one or two parts in a hundred, and nothing where the wing's cylinder counts as at reserve
//! anyway. The least lead is the larger of two roots, each followed on its own: their maximum has a kink, they have
//! none. So every run gives all functions, the second run lies at the first estimate of the most lead, and the line
//! through the two runs meets zero within a gram; where it might not, a third run is made. Held against the full solve
//! on some hundred thousand random dives.

use crate::physics::bulk::Bulk;
use crate::rig::CylinderSet;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::study::StudyError;
use crate::study::explain::ballast_of;
use crate::study::probe::{Counted, LetGo, Probe, StopAt};
use crate::units::ATMOSPHERE_PA;

/// Doubt of a bound that [`lead_bounds`] leaves, kg: half of the gram to which lead is worth knowing.
pub const QUICK_TOLERANCE_KG: f64 = 0.5e-3;
/// Distance from an end that [`crate::study::LeadRange`] leaves, kg.
pub const EXACT_TOLERANCE_KG: f64 = 0.01e-3;
/// Mass and pull of lead agree at least so well, kg.
const SAME_LEAD_KG: f64 = 1e-6;
/// Runs after which a search gives up. Two or three are usual.
pub const MAX_RUNS: usize = 30;

/// The ends of the lead range, kg of lead. An end below zero means that the diver is too heavy for it even without
/// lead, by so much lead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadBounds {
    /// Least lead that holds every stop with cylinders at reserve and an empty wing, whichever removable cylinders are
    /// gone by then, and every moment of the final ascent at or below the last stop as planned.
    pub least_kg: f64,
    /// Most lead that can be swum up from any moment, nothing ditched.
    pub most_kg: f64,
}

impl LeadBounds {
    /// Least lead that can be carried, kg: nobody carries less than none.
    pub fn low_kg(&self) -> f64 {
        self.least_kg.max(0.0)
    }

    /// Room between the least lead that can be carried and the most, kg. Below zero: no lead is right.
    pub fn width_kg(&self) -> f64 {
        self.most_kg - self.low_kg()
    }

    /// What is missing for a range, kg: `−width`. Above zero: no lead is right.
    pub fn gap_kg(&self) -> f64 {
        -self.width_kg()
    }

    /// Whether no lead is right.
    pub fn is_empty(&self) -> bool {
        self.width_kg() < 0.0
    }
}

/// What a kilogram of lead pulls in water, kg: `q = 1 − ρ/ρ_lead`.
pub fn lead_pull_frac(water_kg_m3: f64) -> f64 {
    -Bulk::new(1.0, 1.0 / LEAD_KG_M3).net_kg(water_kg_m3)
}

/// Both ends within [`QUICK_TOLERANCE_KG`], in as few runs as possible: for studies of many dives.
///
/// # Errors
/// As [`crate::sim::run`]; or a search that does not close, which a model without jumps does not cause.
pub fn lead_bounds(scenario: &Scenario) -> Result<LeadBounds, StudyError> {
    lead_bounds_from(scenario, &Probe::of(scenario)?)
}

/// The same for a dive that has been run already.
///
/// # Errors
/// As [`lead_bounds`].
pub fn lead_bounds_from(scenario: &Scenario, own: &Probe) -> Result<LeadBounds, StudyError> {
    bounds_from(scenario, own, LetGo::Nothing)
}

/// The ends when something is let go of as the wing fails; the least lead does not follow from that.
///
/// # Errors
/// As [`lead_bounds`].
pub fn lead_bounds_after(scenario: &Scenario, dropped: LetGo) -> Result<LeadBounds, StudyError> {
    bounds_from(scenario, &Probe::after(scenario, dropped)?, dropped)
}

/// Lead that holds every stop, whichever removable cylinders are gone, lead that holds the final ascent, and the most lead, kg, each within
/// [`QUICK_TOLERANCE_KG`].
#[cfg(feature = "doubt")]
pub(crate) fn lead_ends_from(scenario: &Scenario, own: &Probe) -> Result<[f64; 3], StudyError> {
    let mut search = Search::start(scenario, own, LetGo::Nothing)?;
    search.close(&[End::Most, End::Stop, End::Ascent])?;
    Ok([End::Stop, End::Ascent, End::Most].map(|end| search.root(end).lead_kg))
}

fn bounds_from(scenario: &Scenario, own: &Probe, dropped: LetGo) -> Result<LeadBounds, StudyError> {
    let mut search = Search::start(scenario, own, dropped)?;
    search.close(&[End::Most, End::Least])?;
    Ok(LeadBounds { least_kg: search.root(End::Least).lead_kg, most_kg: search.root(End::Most).lead_kg })
}

/// Lead that pulls at the last stop as much as the ballast of the plan, kg: all of [`crate::rig::Role::Ballast`]. For
/// ballast of lead it is its mass.
pub fn equivalent_lead_kg(scenario: &Scenario, probe: &Probe) -> f64 {
    let water_kg_m3 = stop_water_kg_m3(scenario, probe);
    -ballast_of(scenario).net_kg(water_kg_m3) / lead_pull_frac(water_kg_m3)
}

/// Density of the water in which the moment that decides about the least lead is looked at, kg/m³.
pub(crate) fn stop_water_kg_m3(scenario: &Scenario, probe: &Probe) -> f64 {
    probe.lightest().1.water_kg_m3(scenario)
}

/// What is searched for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    /// Least lead, whichever removable cylinders are gone.
    Least,
    /// Least lead for the rig as planned.
    LeastAsPlanned,
    /// Lead that holds every stop, whichever removable cylinders are gone.
    #[cfg(feature = "doubt")]
    Stop,
    /// Lead that holds the final ascent.
    #[cfg(feature = "doubt")]
    Ascent,
    /// Most lead.
    Most,
}

impl End {
    fn name(self) -> &'static str {
        match self {
            Self::Most => "most",
            _ => "least",
        }
    }

    /// The functions of which the largest root is the end.
    fn functions(self) -> &'static [Function] {
        match self {
            Self::Least => &[Function::Worst, Function::Ascent],
            Self::LeastAsPlanned => &[Function::AtReserve, Function::Ascent],
            #[cfg(feature = "doubt")]
            Self::Stop => &[Function::Worst],
            #[cfg(feature = "doubt")]
            Self::Ascent => &[Function::Ascent],
            Self::Most => &[Function::Load],
        }
    }
}

/// A smooth function of the lead that is zero at an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Function {
    /// Greatest net lift at a stop at reserve, whichever removable cylinders are gone.
    Worst,
    /// The same as planned.
    AtReserve,
    /// Greatest net lift of the final ascent.
    Ascent,
    /// Capacity less the largest load.
    Load,
}

impl Function {
    const ALL: [Function; 4] = [Self::Worst, Self::AtReserve, Self::Ascent, Self::Load];

    /// What must become zero, kg; it falls with more lead.
    fn excess_kg(self, probe: &Probe, capacity_kg: f64) -> f64 {
        match self {
            Self::Worst => probe.worst_kg,
            Self::AtReserve => probe.at_reserve_kg,
            Self::Ascent => probe.ascent_kg,
            Self::Load => capacity_kg - probe.load_kg,
        }
    }

    /// The moment that must hold.
    fn stop(self, probe: &Probe) -> Option<&StopAt> {
        match self {
            Self::Worst => Some(&probe.worst_at),
            Self::AtReserve => Some(&probe.at_reserve_at),
            Self::Ascent => Some(&probe.ascent_at),
            Self::Load => None,
        }
    }

    /// Gas of the wing's supply then, kg, and how far the nearest of its cylinders is from a kink, kg.
    ///
    /// At reserve, what the wing takes out of a cylinder shows only below the cylinder's reserve, for above it counts as
    /// at reserve anyway, and shows no more when the cylinder is empty. So the slope of the least lead has kinks where a
    /// cylinder that feeds the wing ends at its reserve or empty; an inflation cylinder that never counts as at reserve is
    /// always at one. As planned, the one kink is at empty.
    fn supply_kg(self, scenario: &Scenario, probe: &Probe) -> (f64, f64) {
        let Some(at) = self.stop(probe) else { return (0.0, f64::INFINITY) };
        let ambient = &at.now.ambient;
        let supply = scenario.rig().wing.map_or(CylinderSet::EMPTY, |wing| wing.supply());
        let down = scenario.down_to_reserve();
        supply.iter().fold((0.0, f64::INFINITY), |(gas_kg, spare_kg), i| {
            let (body, table) = (&scenario.rig().cylinders[i], scenario.isotherm(ambient.layer, i));
            let held_kg = body.gas_kg(at.now.state.cylinder_mol[i]);
            let to_kg = |kink_mol_m3: f64| (held_kg - body.gas_kg(kink_mol_m3 * body.water_m3())).abs();
            let to_empty_kg = to_kg(table.ambient_mol_m3(ambient.pressure_pa));
            let here_kg = match at.counted {
                Counted::AsPlanned => to_empty_kg,
                Counted::AtReserve if down.contains(i) => {
                    to_empty_kg.min(to_kg(table.density_mol_m3(body.reserve_gauge_pa() + ATMOSPHERE_PA)))
                }
                Counted::AtReserve => 0.0,
            };
            (gas_kg + held_kg, spare_kg.min(here_kg))
        })
    }

    fn water_kg_m3(self, scenario: &Scenario, probe: &Probe) -> f64 {
        match self.stop(probe) {
            Some(at) => at.water_kg_m3(scenario),
            None => scenario.water().density_kg_m3(probe.load_at.layer, probe.load_at.depth_m),
        }
    }
}

/// An estimate of a lead.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Root {
    lead_kg: f64,
    doubt_kg: f64,
}

/// The runs so far, each reduced to lead, excess and pull for every end.
pub(crate) struct Search<'a> {
    scenario: &'a Scenario,
    dropped: LetGo,
    /// relative difference of the pull of lead between the waters of the site
    water_frac: f64,
    runs: Vec<[Seen; Function::ALL.len()]>,
}

#[derive(Clone, Copy, Debug)]
struct Seen {
    lead_kg: f64,
    excess_kg: f64,
    pull_frac: f64,
    /// gas of the wing's supply, kg
    supply_kg: f64,
    /// its distance from a kink, kg
    spare_kg: f64,
}

impl<'a> Search<'a> {
    /// A search that starts from the plan's own run, or, where the plan's ballast is not lead, from a run with lead that
    /// pulls as much: another material follows the water differently, and its run is not on the curve of the others.
    pub(crate) fn start(scenario: &'a Scenario, own: &Probe, dropped: LetGo) -> Result<Self, StudyError> {
        let mut search = Self { scenario, dropped, water_frac: water_frac(scenario), runs: Vec::with_capacity(4) };
        let lead_kg = equivalent_lead_kg(scenario, own);
        let ballast = ballast_of(scenario);
        let ballast_kg = ballast.mass_kg - ballast.lift_kg;
        if (lead_kg - ballast_kg).abs() < SAME_LEAD_KG {
            search.note(lead_kg, own);
        } else {
            search.run_at(End::Most, Root { lead_kg, doubt_kg: f64::INFINITY }, QUICK_TOLERANCE_KG)?;
        }
        Ok(search)
    }

    /// Takes note of a run.
    fn note(&mut self, lead_kg: f64, probe: &Probe) {
        let capacity_kg = self.scenario.rig().swim_up_kg;
        self.runs.push(Function::ALL.map(|end| {
            let (supply_kg, spare_kg) = end.supply_kg(self.scenario, probe);
            Seen {
                lead_kg,
                excess_kg: end.excess_kg(probe, capacity_kg),
                pull_frac: lead_pull_frac(end.water_kg_m3(self.scenario, probe)),
                supply_kg,
                spare_kg,
            }
        }));
    }

    /// Runs until the estimate of every end is good to [`QUICK_TOLERANCE_KG`].
    fn close(&mut self, ends: &[End]) -> Result<(), StudyError> {
        loop {
            let roots = ends.iter().map(|&end| (end, self.root(end)));
            let Some((end, root)) = roots.into_iter().find(|(_, root)| !root.is_within(QUICK_TOLERANCE_KG)) else {
                return Ok(());
            };
            self.run_at(end, root, QUICK_TOLERANCE_KG)?;
        }
    }

    /// Runs at the estimate of an end until that run itself meets the end to [`EXACT_TOLERANCE_KG`].
    pub(crate) fn meet(&mut self, end: End) -> Result<(f64, Probe), StudyError> {
        loop {
            let root = self.root(end);
            let probe = self.run_at(end, root, EXACT_TOLERANCE_KG)?;
            let run = &self.runs[self.runs.len() - 1];
            let missing_kg = end.functions().iter().map(|&of| run[of as usize].excess_kg / run[of as usize].pull_frac);
            if missing_kg.fold(f64::NEG_INFINITY, f64::max).abs() < EXACT_TOLERANCE_KG {
                return Ok((root.lead_kg, probe));
            }
        }
    }

    fn run_at(&mut self, end: End, root: Root, tolerance_kg: f64) -> Result<Probe, StudyError> {
        if self.runs.len() >= MAX_RUNS || !root.lead_kg.is_finite() {
            let (end, runs, doubt_kg) = (end.name(), self.runs.len(), root.doubt_kg);
            return Err(StudyError::NotSolved { end, runs, doubt_kg, tolerance_kg });
        }
        let probe = Probe::after(&self.scenario.with_lead(root.lead_kg, 0.0), self.dropped)?;
        self.note(root.lead_kg, &probe);
        Ok(probe)
    }

    /// The best estimate so far: the largest of the roots, with the doubt that is left when each has its own.
    fn root(&self, end: End) -> Root {
        let roots = end.functions().iter().map(|&of| self.root_of(of));
        let none = (f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
        let (low_kg, lead_kg, high_kg) = roots.fold(none, |(low_kg, lead_kg, high_kg), root| {
            let Root { lead_kg: one_kg, doubt_kg } = root;
            (low_kg.max(one_kg - doubt_kg), lead_kg.max(one_kg), high_kg.max(one_kg + doubt_kg))
        });
        Root { lead_kg, doubt_kg: (high_kg - lead_kg).max(lead_kg - low_kg) }
    }

    /// The best estimate of a function's root: the line through the two runs nearest to the end, and as its doubt the distance to
    /// where the nearest run alone would put it with the slope of lead in water.
    fn root_of(&self, of: Function) -> Root {
        let mut seen: Vec<Seen> = self.runs.iter().map(|run| run[of as usize]).collect();
        seen.sort_by(|a, b| a.excess_kg.abs().total_cmp(&b.excess_kg.abs()));
        let Some(near) = seen.first() else { return Root { lead_kg: 0.0, doubt_kg: f64::INFINITY } };
        let by_pull_kg = near.lead_kg + near.excess_kg / near.pull_frac;
        let alone = Root { lead_kg: by_pull_kg, doubt_kg: (by_pull_kg - near.lead_kg).abs() };
        let Some(next) = seen[1..].iter().find(|next| next.lead_kg != near.lead_kg) else { return alone };
        let slope = (near.excess_kg - next.excess_kg) / (next.lead_kg - near.lead_kg);
        // gas in the wing can change the pull of lead by some parts in a hundred; anything else is a kink between
        if !(0.5..=2.0).contains(&(slope / near.pull_frac)) {
            return alone;
        }
        let lead_kg = near.lead_kg + near.excess_kg / slope;
        // gas that the wing draws from here to the root, as far as the two runs tell, doubled
        let drawn_frac = (near.supply_kg - next.supply_kg) / (next.lead_kg - near.lead_kg);
        let drawn_kg = 2.0 * (drawn_frac * (lead_kg - near.lead_kg)).abs();
        let past_kink_kg = if drawn_kg > near.spare_kg { drawn_kg } else { 0.0 };
        // another stop in other water may decide at the root
        let other_water_kg = self.water_frac * (lead_kg - near.lead_kg).abs();
        Root { lead_kg, doubt_kg: past_kink_kg.max((lead_kg - by_pull_kg).abs()).max(other_water_kg) }
    }
}

/// By how much the pull of lead differs between the waters of a site, as a share of it; nothing in one layer, where what
/// depth does is a hundred times less than a search looks for.
fn water_frac(scenario: &Scenario) -> f64 {
    let water = scenario.water();
    if water.layer_count() < 2 {
        return 0.0;
    }
    let pulls = (0..water.layer_count()).map(|i| lead_pull_frac(water.density_kg_m3(i, water.layer_span_m(i).0)));
    let (low, high) = pulls.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), pull| (low.min(pull), high.max(pull)));
    high / low - 1.0
}

impl Root {
    /// Whether the doubt is below a limit; a NaN is not.
    fn is_within(&self, tolerance_kg: f64) -> bool {
        self.doubt_kg < tolerance_kg
    }
}
