//! From the plan to a [`Scenario`]: every figure asked for in one order, every problem collected.
//!
//! [`site`] the water · [`person`] the diver's body · [`bodies`] parts, ballast, wing · [`suit`] the suit · [`worn`] typical
//! gear · [`figures`] a body from what is known of it · [`cylinders`] cylinders and gases · [`rigging`] what hangs on them ·
//! [`dive`] legs and settings · [`short`] a dive in two words · [`rates`] breathing rates · [`course`] cylinders that come and
//! go · [`overhead`] where there is no way straight up · [`record`] a long record made shorter · [`readings`] a cylinder
//! read in water · [`plausible`] what is possible and odd · [`places`] where things are on the diver · [`circuit`] a closed
//! circuit · [`circuit_notes`] what is odd about it · [`bail_out`] what is breathed when it has failed.

mod bail_out;
mod bodies;
mod circuit;
mod circuit_notes;
mod course;
mod cylinders;
mod dive;
mod figures;
mod overhead;
mod person;
mod places;
mod plausible;
mod profile_rows;
mod rates;
mod readings;
mod record;
mod rigging;
mod short;
mod site;
mod suit;
mod worn;

use std::borrow::Cow;

use thiserror::Error;

use crate::estimate::{Estimate, Figures, Input, KeyPath, Origin, PlaceTies, Ties};
use crate::physics::body::{Posture, Shape, Stance};
use crate::physics::gas::{EquationOfState, GasError};
use crate::physics::water::{Water, WaterError};
use crate::plan::Plan;
use crate::plan::checks::rig::in_rig;
use crate::plan::checks::{PlannedCheck, check_of_plan};
use crate::plan::inputs::Inputs;
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::{Problem, ProblemCode, Problems};
use crate::profile::simplify::Simplified;
use crate::profile::{Profile, ProfileError};
use crate::rig::{Body, CylinderSet, Rig, RigError};
use crate::scenario::{GasTables, Scenario, ScenarioError, Settings};

pub use places::TrimAsk;
pub(crate) use profile_rows::{ProfileRow, ProfileRows};
pub(crate) use short::depth_and_time;

/// A plan made into a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Built {
    /// The dive, with every figure at its central value.
    pub scenario: Scenario,
    /// Every figure that was used, in the order in which it was asked for. The n-th one with a doubt is the n-th number
    /// of a draw.
    pub inputs: Vec<Input>,
    /// Where things are: every distance that was used, in the order in which it was asked for. They bear on the trim alone, and
    /// the n-th one with a doubt is the n-th place of a draw.
    pub places: Vec<Input>,
    /// What the trim is asked with.
    pub trim: TrimAsk,
    /// How the diver is held.
    pub stance: Stance,
    /// What checks of the trim leave of the distances with a doubt.
    pub place_ties: Option<PlaceTies>,
    /// Other places that use a typical figure: its index in `inputs`, and the key path.
    pub also: Vec<(usize, KeyPath)>,
    /// What a reader should know about it.
    pub notes: Vec<Note>,
    /// Checks made in the water.
    pub checks: Vec<PlannedCheck>,
    /// Other rigs with which some of them were made, in the order of the plan.
    pub rigs: Vec<Built>,
    /// How checks tie the figures together, where they were taken in.
    pub ties: Option<Ties>,
    /// Whether a check contradicts it, or another one, and was left out.
    pub is_disputed: bool,
    /// Gas tables of this dive and of its fills.
    tables: GasTables,
    /// Which legs of a long record stay.
    record: Option<Simplified>,
    /// The legs that are the rest of one that a bail-out cut.
    rests: Vec<usize>,
}

impl Built {
    /// The figures with a doubt: what a draw gives numbers for, in this order.
    pub fn uncertain(&self) -> impl Iterator<Item = &Input> {
        self.inputs.iter().filter(|input| input.estimate.doubt.is_some())
    }

    /// The profile in the legs that the plan writes: what a bail-out cut is whole again.
    pub(crate) fn written_profile(&self) -> Cow<'_, Profile> {
        let profile = self.scenario.profile();
        if self.rests.is_empty() || self.record.is_some() {
            return Cow::Borrowed(profile);
        }
        let goes_on = |i: usize| self.rests.contains(&(i + 1));
        let legs = profile.legs().iter().enumerate().filter(|(i, _)| !goes_on(*i)).map(|(_, leg)| *leg).collect();
        // the legs of a profile without some of its seams are a profile
        let whole = Profile::new(profile.start_m(), legs, profile.changes().to_vec());
        whole.map_or(Cow::Borrowed(profile), Cow::Owned)
    }

    /// The figures for a study, as checks tie them together.
    pub fn figures(&self) -> Figures<'_> {
        Figures { inputs: &self.inputs, ties: self.ties.as_ref() }
    }

    /// The same dive corrected: every uncertain figure as checks leave it, `after` in their order, and the dive that
    /// follows from all of them together. `is_disputed`: a check contradicts and was left out.
    pub fn corrected(mut self, scenario: Scenario, after: &[Estimate], ties: Ties, is_disputed: bool) -> Self {
        let uncertain = self.inputs.iter_mut().filter(|input| input.estimate.doubt.is_some());
        for (input, after) in uncertain.zip(after) {
            input.estimate = *after;
        }
        Self { scenario, ties: Some(ties), is_disputed, ..self }
    }

    /// The same plan with its distances as checks of the trim leave them, `after` in the order of [`Built::uncertain_places`];
    /// its dive is still the old one.
    pub fn placed(mut self, ties: PlaceTies, after: &[Estimate]) -> Self {
        let uncertain = self.places.iter_mut().filter(|input| input.estimate.doubt.is_some());
        for (input, after) in uncertain.zip(after) {
            input.estimate = *after;
        }
        Self { place_ties: Some(ties), ..self }
    }

    /// The distances with a doubt: what a draw of places gives numbers for, in this order.
    pub fn uncertain_places(&self) -> impl Iterator<Item = &Input> {
        self.places.iter().filter(|input| input.estimate.doubt.is_some())
    }

    /// The central values of [`Built::uncertain_places`].
    pub fn central_places(&self) -> Vec<f64> {
        self.uncertain_places().map(|input| input.estimate.value).collect()
    }

    /// The places in the middle of what is known: the central ones, or what checks of the trim leave of them.
    pub fn middle_places(&self) -> Vec<f64> {
        self.place_ties.as_ref().map_or_else(|| self.central_places(), |ties| ties.mean.clone())
    }

    /// The central values of [`Built::uncertain`].
    pub fn central(&self) -> Vec<f64> {
        self.uncertain().map(|input| input.estimate.value).collect()
    }
}

/// Why drawn numbers make no dive.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum DrawError {
    /// Too few or too many numbers.
    #[error("{given} numbers for {needed} uncertain figures")]
    Count {
        /// Numbers given.
        given: usize,
        /// Uncertain figures of the plan.
        needed: usize,
    },
    /// A drawn number, or what follows from it, is impossible.
    #[error("a drawn figure is impossible: {0}")]
    Impossible(ProblemCode),
    /// The water.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// A gas.
    #[error(transparent)]
    Gas(#[from] GasError),
    /// A cylinder.
    #[error(transparent)]
    Rig(#[from] RigError),
    /// The profile.
    #[error(transparent)]
    Profile(#[from] ProfileError),
    /// The dive as a whole.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
}

/// What building a plan works with.
pub(crate) struct Builder<'p, 'd> {
    plan: &'p Plan,
    inputs: Inputs<'d>,
    /// where things are; what a dive weighs does not ask for it
    places: Inputs<'d>,
    trim: TrimAsk,
    /// how the diver is held
    stance: Stance,
    notes: Vec<Note>,
    equation: EquationOfState,
    /// Density of the site's water at the surface, kg/m³, for pieces read there.
    surface_kg_m3: f64,
    tables: Option<&'d GasTables>,
    /// which legs of a long record stay, as found before
    record: Option<&'d Simplified>,
    /// which legs of a long record stay, as found now
    found: Option<Simplified>,
    /// the legs that are the rest of one that a bail-out cut
    rests: Vec<usize>,
    /// what is breathed when the loop has failed, each with the depth at and above which it is, m as written
    bail_out: Vec<(f64, CylinderSet)>,
}

impl Plan {
    /// The dive of this plan, every figure at its central value.
    ///
    /// # Errors
    /// Everything that is wrong with the plan, at once.
    pub fn build(&self) -> Result<Built, Problems> {
        match self.attempt(Vec::new(), Vec::new()) {
            (Some(built), _) => Ok(built),
            (None, problems) => Err(self.placed(problems)),
        }
    }

    /// Builds on top of problems that reading the plan found; `ignored` are the paths that they concern. What is built is
    /// only there when there is no problem.
    pub(crate) fn attempt(&self, told: Vec<Problem>, ignored: Vec<KeyPath>) -> (Option<Built>, Vec<Problem>) {
        let places = Inputs::collecting(ignored.clone());
        let mut builder = Builder::new(self, Inputs::collecting(ignored), places, None);
        let scenario = builder.scenario();
        let mut problems = told;
        problems.append(&mut builder.inputs.problems);
        problems.append(&mut builder.places.problems);
        let (checks, rigs) = match &scenario {
            Ok(scenario) => self.checks(scenario, &builder.inputs, &mut problems),
            Err(_) => (Vec::new(), Vec::new()),
        };
        match scenario {
            Ok(scenario) if problems.is_empty() => {
                builder.note_what_is_odd(&scenario);
                builder.closing_notes();
                let tables = scenario.tables();
                let Inputs { list: inputs, also, .. } = builder.inputs;
                let (places, trim, stance) = (builder.places.list, builder.trim, builder.stance);
                let (notes, record, rests) = (builder.notes, builder.found, builder.rests);
                let (ties, is_disputed) = (None, false);
                let built = Built {
                    scenario,
                    inputs,
                    places,
                    trim,
                    stance,
                    place_ties: None,
                    also,
                    notes,
                    checks,
                    rigs,
                    ties,
                    is_disputed,
                    tables,
                    record,
                    rests,
                };
                (Some(built), problems)
            }
            Err(error) if problems.is_empty() => (None, vec![refused(&error)]),
            _ => (None, problems),
        }
    }

    /// The checks of the plan, and the rigs with which they were made.
    fn checks(
        &self,
        own: &Scenario,
        inputs: &Inputs<'_>,
        problems: &mut Vec<Problem>,
    ) -> (Vec<PlannedCheck>, Vec<Built>) {
        let mut rigs = Vec::with_capacity(self.other_rigs.len());
        for (i, rig) in self.other_rigs.iter().enumerate() {
            match rig.build() {
                Ok(built) => rigs.push(built),
                Err(found) => {
                    let check = self.rig_of_check.iter().position(|of| *of == Some(i)).unwrap_or_default();
                    problems.extend(in_rig(check, &found, self.source_of_rig[i]));
                    return (Vec::new(), Vec::new());
                }
            }
        }
        let mut checks = Vec::with_capacity(self.file.weight_check.len());
        for (i, (check, &rig)) in self.file.weight_check.iter().zip(&self.rig_of_check).enumerate() {
            let root = Key::Root;
            // a key that could not be read is not missing
            if inputs.touched(root.field("weight_check").index(i)) {
                continue;
            }
            let scenario = rig.map_or(own, |rig| &rigs[rig].scenario);
            let names: Vec<&str> = scenario.rig().cylinders.iter().map(|one| one.name()).collect();
            checks.extend(check_of_plan(i, check, &names, problems).map(|row| PlannedCheck { row, rig }));
        }
        (checks, rigs)
    }

    /// The dive with drawn numbers in place of the uncertain figures ([`Built::uncertain`], in that order).
    ///
    /// `built` is what [`Plan::build`] made of this plan: a gas is not computed again at a temperature at which it was
    /// computed there, and of a long record the same legs stay.
    ///
    /// # Errors
    /// Numbers that make no dive: a mass below zero, a reading that implies a negative volume.
    pub fn build_draw(&self, values: &[f64], built: &Built) -> Result<Scenario, DrawError> {
        self.build_placed(values, &built.middle_places(), built)
    }

    /// The same with drawn places of things too ([`Built::uncertain_places`], in that order).
    ///
    /// # Errors
    /// As [`Plan::build_draw`].
    pub fn build_placed(&self, values: &[f64], places: &[f64], built: &Built) -> Result<Scenario, DrawError> {
        let mut builder = Builder::new(self, Inputs::drawn(values), Inputs::drawn(places), Some(built));
        let scenario = builder.scenario();
        let needed = builder.inputs.asked();
        if let Some(code) = builder.inputs.failure().or(builder.places.failure()) {
            return Err(DrawError::Impossible(code));
        }
        if scenario.is_ok() && needed != values.len() {
            return Err(DrawError::Count { given: values.len(), needed });
        }
        let needed = builder.places.asked();
        if scenario.is_ok() && needed != places.len() {
            return Err(DrawError::Count { given: places.len(), needed });
        }
        scenario
    }
}

fn refused(error: &DrawError) -> Problem {
    Problem {
        code: ProblemCode::Refused,
        path: KeyPath::ROOT,
        source: 0,
        span: 0..0,
        message: error.to_string(),
        help: None,
    }
}

impl<'p, 'd> Builder<'p, 'd> {
    fn new(plan: &'p Plan, inputs: Inputs<'d>, places: Inputs<'d>, built: Option<&'d Built>) -> Self {
        let posture = Posture::KneesBent;
        Self {
            plan,
            inputs,
            places,
            trim: TrimAsk::default(),
            stance: Stance { stature_m: f64::NAN, shape: Shape::Between, posture },
            notes: Vec::new(),
            equation: EquationOfState::default(),
            surface_kg_m3: f64::NAN,
            tables: built.map(|built| &built.tables),
            record: built.and_then(|built| built.record.as_ref()),
            found: None,
            rests: Vec::new(),
            bail_out: Vec::new(),
        }
    }

    /// The whole, in the order of the file. Goes on after a problem as far as it can, so that all are found.
    fn scenario(&mut self) -> Result<Scenario, DrawError> {
        let root = Key::Root;
        self.choice(root.field("units"), self.plan.file.units.as_deref(), &["metric", "us"]);
        self.equation = self.gas_law(root.field("dive"));
        let water = self.water(root.field("site"));
        if let Ok(water) = &water {
            self.surface_kg_m3 = water.density_kg_m3(0, 0.0);
        }
        let (cylinders, names) = self.cylinders(root.field("cylinder"));
        let fed = self.fed(root.field("loop"), &names, &cylinders);
        self.bail_out = fed.as_ref().map_or(Vec::new(), |fed| fed.bail_out.clone());
        let names = names.feeding(fed);
        let diver = self.diver(&names, cylinders);
        self.trim = self.trim(root.field("trim"), &diver.cylinders);
        let course = self.course(root.field("dive"), water.as_ref().ok(), &names, &diver);
        if let Some(code) = self.inputs.failure().or(self.places.failure()) {
            return Err(DrawError::Impossible(code)); // the caller has the problems themselves
        }
        let (profile, last_stop_m) = course?;
        self.assemble(diver, water?, profile, Settings { equation: self.equation, last_stop_m, ..Settings::default() })
    }

    fn assemble(
        &mut self,
        diver: Rig,
        water: Water,
        profile: Profile,
        settings: Settings,
    ) -> Result<Scenario, DrawError> {
        let none = GasTables::default();
        Ok(Scenario::with_tables(diver, water, profile, settings, self.tables.unwrap_or(&none))?)
    }

    /// Whether building from drawn numbers, where nobody reads notes.
    fn is_draw(&self) -> bool {
        self.inputs.is_draw()
    }

    fn closing_notes(&mut self) {
        let typical: Vec<String> = self
            .inputs
            .list
            .iter()
            .filter(|input| input.origin == Origin::Typical && !is_guess(input))
            .map(|input| input.label.clone())
            .collect();
        if !typical.is_empty() {
            self.notes.push(Note::Typical(typical));
        }
        let guesses: Vec<String> =
            self.inputs.list.iter().filter(|input| is_guess(input)).map(|input| input.label.clone()).collect();
        if !guesses.is_empty() {
            self.notes.push(Note::Guesses(guesses));
        }
    }

    /// Lists the parts that do not follow a change of water.
    fn note_readings(&mut self, diver: &Rig) {
        if self.is_draw() {
            return;
        }
        let bare = diver.all_parts().filter(|part| matches!(part.body, Body::Reading { .. }));
        let names: Vec<String> = bare.map(|part| part.name.clone()).collect();
        let names = unique(names);
        if !names.is_empty() {
            self.notes.push(Note::BareReadings(names));
        }
    }
}

/// Whether the plan marks a figure as a guess.
pub(crate) fn is_guess(input: &Input) -> bool {
    input.note.as_deref() == Some(crate::plan::typical::GUESS)
}

/// Each name once, in the order of the first of them: one piece may hang on several cylinders.
fn unique(names: Vec<String>) -> Vec<String> {
    let mut seen: Vec<String> = Vec::new();
    names.into_iter().for_each(|name| {
        if !seen.contains(&name) {
            seen.push(name);
        }
    });
    seen
}
