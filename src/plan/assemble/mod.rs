//! From the plan to a [`Scenario`]: every figure asked for in one order, every problem collected.
//!
//! [`built`] what comes of it · [`site`] the water · [`person`] the diver's body · [`bodies`] parts, ballast, wing · [`suit`] the suit · [`worn`] typical
//! gear · [`figures`] a body from what is known of it · [`cylinders`] cylinders and gases · [`rigging`] what hangs on them ·
//! [`dive`] legs and settings · [`short`] a dive in two words · [`rates`] breathing rates · [`course`] cylinders that come and
//! go · [`overhead`] where there is no way straight up · [`record`] a long record made shorter · [`readings`] a cylinder
//! read in water · [`plausible`] what is possible and odd · [`places`] where things are on the diver · [`circuit`] a closed
//! circuit · [`circuit_notes`] what is odd about it · [`bail_out`] what is breathed when it has failed.

mod bail_out;
mod bodies;
mod built;
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

use crate::estimate::{Input, KeyPath, Origin};
use crate::physics::body::{Posture, Shape, Stance};
use crate::physics::gas::EquationOfState;
use crate::physics::water::Water;
use crate::plan::Plan;
use crate::plan::checks::rig::in_rig;
use crate::plan::checks::{PlannedCheck, check_of_plan};
use crate::plan::inputs::Inputs;
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::{Problem, ProblemCode, Problems};
use crate::profile::Profile;
use crate::profile::simplify::Simplified;
use crate::rig::{Body, CylinderSet, Rig};
use crate::scenario::{GasTables, Scenario, Settings};

pub use built::{Built, DrawError};
pub use places::TrimAsk;
pub(crate) use profile_rows::{ProfileRow, ProfileRows};
pub(crate) use short::depth_and_time;

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
