//! A closed circuit: its cylinders, its loop, its setpoints.

use super::Builder;
use super::course::{Course, Moment, first_crossing_s};
use super::cylinders::Names;
use crate::physics::place::{Centres, Point};
use crate::physics::water::Water;
use crate::plan::file::{Gas, Loop, Names as NameList, OxygenUse, PartTable};
use crate::plan::gas_name::named_gas;
use crate::plan::inputs::{Group, Limit, Shared, shown};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::circuit::{
    ABSORBENT_DENSITY, ABSORBS, HIGH_SETPOINT, LOW_SETPOINT, OXYGEN_USE, QUOTIENT, VOLUME,
};
use crate::plan::typical::places::{LOOP_CANISTER, LOOP_GAS, Placed, Usually};
use crate::plan::unit::Length;
use crate::plan::written::Written;
use crate::profile::{SETPOINT_RANGE_PA, Setpoint};
use crate::rig::{Body, BreathingLoop, Cylinder, CylinderSet, Part, Role, STANDARD_MOL_M3};
use crate::units::{LITRE_M3, MINUTE_S};

/// The word by which a leg breathes the loop.
pub(super) const LOOP: &str = "loop";
/// Volumes that loops have, m³.
const VOLUME_M3: (f64, f64) = (0.5 * LITRE_M3, 40.0 * LITRE_M3);
/// Carbon dioxide for each oxygen: beyond what bodies do for minutes.
const QUOTIENTS: (f64, f64) = (0.5, 1.3);
/// What absorbents take up, m³/kg: up to a mole of gas for each mole of calcium hydroxide.
const ABSORBS_M3_KG: (f64, f64) = (10.0 * LITRE_M3, 302.0 * LITRE_M3);
/// Oxygen that a body may use, m³/s at 0 °C and 1 atm: beyond most athletes.
const OXYGEN: Limit = Limit::Within(0.0, 5.0 * LITRE_M3 / MINUTE_S);
/// Rates of one diver err together.
const OXYGEN_GROUP: Group<'static> = Some(("oxygen use", ""));
const SETPOINT: Limit = Limit::Within(*SETPOINT_RANGE_PA.start(), *SETPOINT_RANGE_PA.end());

/// The cylinders of a closed circuit.
#[derive(Clone, Debug, Default)]
pub(super) struct Fed {
    pub oxygen: CylinderSet,
    pub diluent: CylinderSet,
    /// what is breathed when it has failed, each with the depth at and above which it is, m as written
    pub bail_out: Vec<(f64, CylinderSet)>,
}

impl Fed {
    /// All cylinders of the bail-out.
    pub fn bail_outs(&self) -> CylinderSet {
        self.bail_out.iter().fold(CylinderSet::EMPTY, |all, (_, set)| all.or(*set))
    }
}

impl Builder<'_, '_> {
    /// Whether the plan has a loop that legs can breathe, or one that could not be read.
    pub(super) fn has_loop(&self) -> bool {
        self.plan.file.breathing_loop.is_some() || self.inputs.touched(Key::Root.field("loop"))
    }

    /// The cylinders of the closed circuit.
    pub(super) fn fed(&mut self, key: Key, names: &Names, cylinders: &[Cylinder]) -> Option<Fed> {
        let plan = self.plan;
        let table = plan.file.breathing_loop.as_ref()?;
        self.loop_kind(key, table);
        let mut fed = Fed { bail_out: self.bail_out_list(key, table, names), ..Fed::default() };
        fed.oxygen = match &table.oxygen {
            Some(list) => self.named_all(key.field("oxygen"), list, names),
            None => self.usual_oxygen(key.field("oxygen"), names, cylinders, &fed),
        };
        self.refuse_impure(key.field("oxygen"), cylinders, fed.oxygen);
        fed.diluent = match &table.diluent {
            Some(list) => self.named_all(key.field("diluent"), list, names),
            None => self.usual_diluent(key.field("diluent"), names, &fed),
        };
        Some(fed)
    }

    fn loop_kind(&mut self, key: Key, table: &Loop) {
        let Some(word) = table.kind.as_deref().filter(|word| *word != "closed") else { return };
        self.inputs.fault(ProblemCode::UnknownWord, key.field("kind"), || {
            let help = match word.to_lowercase().contains("semi") {
                true => "a semi-closed circuit lets gas out all the time, which is not computed: leave [loop] out and write \
                         the gas that is used as a breathing rate, or plan the dive as closed",
                false => "write kind = \"closed\", or leave it out",
            };
            (format!("kind is \"{word}\", but only closed circuits are computed"), Some(help.into()))
        });
    }

    /// The cylinders of a list of names.
    fn named_all(&mut self, at: Key, list: &NameList, names: &Names) -> CylinderSet {
        if list.0.is_empty() {
            self.inputs.missing(at, || format!("{} = \"…\", the name of a cylinder", at.last_word()));
        }
        let sets = list.0.iter().enumerate().map(|(i, name)| self.named(at.index(i), name, names));
        sets.fold(CylinderSet::EMPTY, CylinderSet::or)
    }

    /// The bail-out cylinders with the depths from which on they are breathed.
    fn bail_out_list(&mut self, key: Key, table: &Loop, names: &Names) -> Vec<(f64, CylinderSet)> {
        let Some(list) = &table.bail_out_on else { return Vec::new() };
        let at = key.field("bail_out_on");
        let mut found = Vec::with_capacity(list.0.len());
        for (i, text) in list.0.iter().enumerate() {
            let at = at.index(i);
            let parts = text.rsplit_once(" from ").filter(|_| names.get(text.trim()).is_none());
            let (name, from_m) = match parts {
                Some((name, depth)) => (name, self.depth(at, &Written::<Length>::parse(depth), None).0),
                None => (text.as_str(), f64::INFINITY),
            };
            found.push((from_m, self.named(at, name, names)));
        }
        if !found.is_empty() && !found.iter().any(|(from_m, _)| from_m.is_infinite() || from_m.is_nan()) {
            self.inputs.fault(ProblemCode::BailOut, at, || {
                let help = "name one without a depth: it is breathed from the moment on, at any depth".into();
                (
                    "each of bail_out_on has a depth, so below the deepest of these nothing is breathed".into(),
                    Some(help),
                )
            });
        }
        found
    }

    /// The oxygen of a plan that names none.
    fn usual_oxygen(&mut self, at: Key, names: &Names, cylinders: &[Cylinder], fed: &Fed) -> CylinderSet {
        let bail_outs = fed.bail_outs();
        let is_free = |set: &CylinderSet| set.and(bail_outs).is_empty();
        let is_pure = |set: &CylinderSet| set.iter().all(|i| cylinders[i].mix().is_oxygen());
        let named = names.get("oxygen").filter(is_free);
        named.or_else(|| only(names.tables().filter(|set| is_free(set) && is_pure(set)))).unwrap_or_else(|| {
            self.inputs.missing(at, || {
                "oxygen = \"…\" in [loop]: the cylinder with the loop's oxygen, which is no bail-out".into()
            });
            CylinderSet::EMPTY
        })
    }

    /// The diluent of a plan that names none.
    fn usual_diluent(&mut self, at: Key, names: &Names, fed: &Fed) -> CylinderSet {
        let plan = self.plan;
        let of_suit = plan.file.suit.as_ref().and_then(|suit| suit.supply.as_deref());
        let of_suit = of_suit.and_then(|name| names.get(name.trim())).unwrap_or(CylinderSet::EMPTY);
        let taken = fed.oxygen.or(fed.bail_outs());
        let others = names.tables().filter(|set| set.and(taken.or(of_suit)).is_empty());
        let named = names.get("diluent").filter(|set| set.and(taken).is_empty());
        named.or_else(|| only(others)).unwrap_or_else(|| {
            self.inputs.missing(at, || "diluent = \"…\" in [loop]: the cylinder that fills the loop".into());
            CylinderSet::EMPTY
        })
    }

    fn refuse_impure(&mut self, at: Key, cylinders: &[Cylinder], oxygen: CylinderSet) {
        let plan = self.plan;
        // a gas that could not be read stands as air, and is told
        let is_read = |i: usize| match plan.cylinder_tables().nth(i).and_then(|table| table.gas.as_ref()) {
            Some(Gas::Name(name)) => named_gas(name).is_some(),
            gas => gas.is_some(),
        };
        let is_impure = |i: usize| cylinders.get(i).is_some_and(|one| !one.mix().is_oxygen());
        let Some(impure) = oxygen.iter().find(|&i| is_impure(i) && is_read(i)) else { return };
        self.inputs.fault(ProblemCode::NotOxygen, at, || {
            let name = cylinders[impure].name();
            let share = shown(cylinders[impure].mix().o2_frac() * 100.0);
            let help = "name a cylinder with gas = \"oxygen\"; what fills the loop is its diluent".into();
            (format!("{name} is the loop's oxygen, but holds {share} % of it"), Some(help))
        });
    }

    /// The loop, and its absorbent among the parts.
    pub(super) fn breathing_loop(&mut self, key: Key, names: &Names, parts: &mut Vec<Part>) -> Option<BreathingLoop> {
        let plan = self.plan;
        let table = plan.file.breathing_loop.as_ref()?;
        let fed = names.fed()?;
        self.inputs.about(table.name.as_deref().unwrap_or(LOOP));
        let limit = Limit::Within(VOLUME_M3.0, VOLUME_M3.1);
        // a drawn loop has no less than the smallest
        let volume_m3 = self.inputs.or_typical(key, "volume", &table.volume, &VOLUME, limit).max(VOLUME_M3.0);
        let play_m3 = match &table.play {
            Some(play) => self.inputs.take(key.field("play"), play, Limit::NotNegative, None),
            None => 0.0,
        };
        if 0.5 * play_m3 >= volume_m3 && !self.is_draw() {
            self.inputs.fault(ProblemCode::OutOfRange, key.field("play"), || {
                let (play, volume) = (shown(play_m3 / LITRE_M3), shown(volume_m3 / LITRE_M3));
                let help = "it lies half above and half below the loop's volume".into();
                (format!("play is {play} L, but must be less than twice the {volume} L of the loop"), Some(help))
            });
        }
        let limit = Limit::Within(QUOTIENTS.0, QUOTIENTS.1);
        let quotient_frac = self.inputs.or_typical(key, "quotient", &table.quotient, &QUOTIENT, limit);
        let canister = Usually::At(Placed::middle(LOOP_CANISTER));
        let canister_at = self.at(key, "canister_at", "canister of the loop", &table.canister_at, canister);
        let absorbs_mol = self.absorbent(key, table, canister_at, parts);
        let gas = Usually::At(Placed::middle(LOOP_GAS));
        let at = self.at(key, "gas_at", "gas of the loop", &table.gas_at, gas);
        Some(BreathingLoop {
            volume_m3,
            play_m3: 0.5 * play_m3,
            lungs_m3: self.stance.lung_gas_m3().max(0.0),
            oxygen: fed.oxygen,
            diluent: fed.diluent,
            bail_out: fed.bail_outs(),
            quotient_frac: quotient_frac.clamp(QUOTIENTS.0, QUOTIENTS.1),
            absorbs_mol,
            at: Some(at),
            canister_at: Some(canister_at),
        })
    }

    /// The absorbent as a part, and what it can take up, mol.
    fn absorbent(&mut self, key: Key, table: &Loop, canister_at: Point, parts: &mut Vec<Part>) -> Option<f64> {
        let Some(mass) = &table.absorbent else {
            let beside =
                [(table.absorbs.is_some(), "absorbs"), (table.absorbent_density.is_some(), "absorbent_density")];
            for (_, word) in beside.iter().filter(|(given, _)| *given) {
                self.inputs.missing(key.field("absorbent"), || format!("absorbent = \"2.5 kg\": {word} belongs to it"));
            }
            return None;
        };
        let mass_kg = self.inputs.take(key.field("absorbent"), mass, Limit::Positive, None);
        let limit = Limit::Within(500.0, 4000.0);
        let given = &table.absorbent_density;
        let density_kg_m3 = self.inputs.or_typical(key, "absorbent_density", given, &ABSORBENT_DENSITY, limit);
        let limit = Limit::Within(ABSORBS_M3_KG.0, ABSORBS_M3_KG.1);
        let absorbs_m3_kg = self.inputs.or_typical(key, "absorbs", &table.absorbs, &ABSORBS, limit);
        let body = Body::Rigid { mass_kg, volume_m3: mass_kg / density_kg_m3.max(500.0) };
        let at = Some(Centres::at(canister_at));
        parts.push(Part { name: "absorbent".into(), role: Role::Gear, count: 1, body, ditchable: false, at });
        // a drawn absorbent takes up something
        Some(mass_kg * absorbs_m3_kg.max(ABSORBS_M3_KG.0) * STANDARD_MOL_M3)
    }

    /// The setpoints over the dive.
    pub(super) fn setpoints(&mut self, key: Key, instrument: Option<&Water>, course: &Course) -> Vec<Setpoint> {
        let plan = self.plan;
        let Some(table) = &plan.file.breathing_loop else { return Vec::new() };
        self.inputs.about(table.name.as_deref().unwrap_or(LOOP));
        let first_pa = self.inputs.or_planned(key, "setpoint", &table.setpoint, &LOW_SETPOINT, SETPOINT);
        let mut list = vec![Setpoint { time_s: 0.0, pressure_pa: first_pa }];
        let changes = key.field("setpoint_change");
        if table.setpoint.is_none() && table.setpoint_change.is_empty() && !self.inputs.touched(changes) {
            let change = changes.index(0);
            let pressure_pa = self.inputs.typical(change.field("to"), &HIGH_SETPOINT);
            list.push(Setpoint { time_s: raised_s(course), pressure_pa });
        }
        for (i, change) in table.setpoint_change.iter().enumerate() {
            let key = changes.index(i);
            let pressure_pa = match &change.to {
                Some(to) => self.inputs.exact(key.field("to"), to, SETPOINT),
                None => {
                    self.inputs.missing(key.field("to"), || "to = \"1.3 bar\"".into());
                    continue;
                }
            };
            let moment = Moment { at: &change.at, depth: &change.depth, way: change.way.as_deref(), leg: change.leg };
            let time_s = self.moment(key, moment, instrument, course);
            list.push(Setpoint { time_s, pressure_pa });
        }
        // what is no moment was told
        list.retain(|set| !set.time_s.is_nan());
        list
    }

    /// Oxygen that the body uses on a leg of a kind, mol/s.
    pub(super) fn oxygen_use_mol_s(&mut self, kind: &'static str) -> f64 {
        let plan = self.plan;
        let root = Key::Root;
        let key = root.field("loop");
        let at = key.field("metabolic_rate");
        let given = plan.file.breathing_loop.as_ref().and_then(|table| table.metabolic_rate.as_ref());
        let (word, rate) = match given {
            Some(OxygenUse::Rate(rate)) => ("", Some(rate)),
            Some(OxygenUse::Kinds(kinds)) => {
                let of_kind = match kind {
                    "descent" => &kinds.descent,
                    "ascent" => &kinds.ascent,
                    "stop" => &kinds.stop,
                    _ => &kinds.bottom,
                };
                let of_kind = of_kind.as_ref().map(|rate| (kind, Some(rate)));
                of_kind.or(kinds.rate.as_ref().map(|rate| ("rate", Some(rate)))).unwrap_or((kind, None))
            }
            None => (kind, None),
        };
        let rate_m3_s = match rate {
            Some(rate) => self.inputs.once(Shared::OxygenUse(word), |inputs| {
                inputs.about("oxygen use");
                let at = if word.is_empty() { at } else { at.field(word) };
                inputs.take(at, rate, OXYGEN, OXYGEN_GROUP)
            }),
            None => {
                let typical = OXYGEN_USE.iter().find(|(name, _)| *name == word).map(|(_, rate)| rate);
                self.inputs.about("");
                // a drawn diver uses no less than none
                typical
                    .map_or(f64::NAN, |typical| self.inputs.typical_in(at.field(word), typical, OXYGEN_GROUP).max(0.0))
            }
        };
        rate_m3_s * STANDARD_MOL_M3
    }

    /// Typical gear has no unit: it stands for the rest only beside a part that is called so.
    pub(super) fn refuse_typical_unit(&mut self, key: Key) {
        let file = &self.plan.file;
        if file.breathing_loop.is_none() || file.part.iter().any(is_unit) {
            return;
        }
        self.inputs.fault(ProblemCode::MissingKey, key, || {
            let help = "list it as a [[part]] with name = \"unit\", its mass and its reading in water, and write gear = \"typical\" for \
                        the rest; or list all the gear"
                .into();
            ("the plan has a closed circuit, but lists no unit: nobody knows what it weighs".into(), Some(help))
        });
    }
}

/// `unit`, or a part of it: `unit, head`.
fn is_unit(part: &PartTable) -> bool {
    let first = |name: &str| name.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_lowercase();
    part.name.as_deref().is_some_and(|name| first(name.trim()) == "unit")
}

/// When a diver raises the setpoint who says nothing of it, s: where the greatest depth is reached.
fn raised_s(course: &Course) -> f64 {
    let deepest_m = course.legs.iter().map(|leg| leg.end_m).fold(course.start_m, f64::max);
    match course.start_m >= deepest_m {
        true => 0.0,
        false => first_crossing_s(course, deepest_m, true).unwrap_or(0.0),
    }
}

/// The only one there is.
fn only(mut sets: impl Iterator<Item = CylinderSet>) -> Option<CylinderSet> {
    let first = sets.next()?;
    sets.next().is_none().then_some(first)
}
