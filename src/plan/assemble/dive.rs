//! Legs and settings.

use super::bail_out::Breathed;
use super::course::{Course, Place, Stretch, keyed};
use super::cylinders::Names;
use super::profile_rows::ProfileRows;
use super::short::is_short;
use super::{Builder, DrawError};
use crate::physics::gas::EquationOfState;
use crate::physics::water::{MAX_DEPTH_M, Water};
use crate::plan::file::{Dive, LegTable};
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::unit::Length;
use crate::plan::words::did_you_mean;
use crate::plan::written::Written;
use crate::profile::{MAX_DURATION_S, Profile};
use crate::rig::{CylinderSet, Rig};

/// Of what is held against the water and the longest dive afterwards.
const UNBOUNDED: Limit = Limit::Within(f64::NEG_INFINITY, f64::INFINITY);
/// The same for a moment of the dive.
const AFTER_START: Limit = Limit::Within(0.0, f64::INFINITY);

impl<'p> Builder<'p, '_> {
    /// The equation of state, which the fills need before the dive is read.
    pub(super) fn gas_law(&mut self, at: Key) -> EquationOfState {
        let word = self.plan.file.dive.as_ref().and_then(|dive| dive.gas_law.as_deref());
        match self.choice(at.field("gas_law"), word, &["real", "ideal"]) {
            Some(1) => EquationOfState::Ideal,
            _ => EquationOfState::Gerg2008,
        }
    }

    /// The profile and the last stop.
    pub(super) fn course(
        &mut self,
        at: Key,
        water: Option<&Water>,
        names: &Names,
        diver: &Rig,
    ) -> Result<(Profile, Option<f64>), DrawError> {
        let plan = self.plan;
        let Some(dive) = &plan.file.dive else {
            self.inputs.missing(at, || {
                "a table [dive] with depth = \"18 m\" and time = \"30 min\", or with legs: [[dive.leg]] to = \"30 m\", over = \
                 \"3 min\""
                    .into()
            });
            return Ok((Profile::new(0.0, Vec::new(), Vec::new())?, None));
        };
        let instrument = self.choice(at.field("depths"), dive.depths.as_deref(), &["true", "instrument"]) == Some(1);
        let (whole, water) = (water, water.filter(|_| instrument));
        let mut last_halt_m = None;
        let mut course = if is_short(dive) {
            let (course, halt_m) = self.short(at, dive, water, names);
            last_halt_m = halt_m;
            course
        } else {
            self.refuse_without_short(at, dive);
            match &plan.rows {
                Some(rows) => self.rows(at, dive, rows, water, names),
                None => self.legs(at, dive, water, names),
            }
        };
        self.table_changes(at, dive, water, names, &mut course);
        self.overheads(at, dive, &mut course);
        let last_stop_m = self.last_stop(at, dive, water, &course).or(last_halt_m);
        let root = Key::Root;
        let circuit = root.field("loop");
        let setpoints = self.setpoints(circuit, water, &course);
        self.bail_out(circuit, names, &mut course);
        let rests = course.legs.iter().enumerate().filter(|(_, leg)| leg.is_rest);
        self.rests = rests.map(|(i, _)| i).collect();
        let legs = self.rated(&course);
        if !self.is_draw() {
            self.check_carried(&mut course, diver);
        }
        if self.inputs.failure().is_some() {
            return Ok((Profile::new(0.0, Vec::new(), Vec::new())?, None));
        }
        let legs = match whole {
            Some(whole) => self.shortened(&course, legs, last_stop_m, whole, diver),
            None => legs, // told before
        };
        let changes = course.changes.iter().map(|placed| placed.change).collect();
        // a leg of a record that became shorter ends where one of the record ended
        let of_record = |leg: usize| match self.record.or(self.found.as_ref()) {
            Some(record) => record.kept[leg],
            None => leg,
        };
        let overhead = (0..legs.len()).filter(|&leg| course.legs[of_record(leg)].is_overhead).collect();
        let profile =
            Profile::new(course.start_m, legs, changes)?.with_setpoints(setpoints)?.with_overhead(overhead)?;
        self.note_overhead(&profile);
        Ok((profile, last_stop_m))
    }

    /// Index of a word among the choices; the first when there is no word.
    pub(super) fn choice(&mut self, at: Key, word: Option<&str>, choices: &[&str]) -> Option<usize> {
        let word = word?;
        let found = choices.iter().position(|choice| *choice == word);
        if found.is_none() {
            self.inputs.fault(ProblemCode::UnknownWord, at, || {
                // a choice of several words with a comma is one
                let quoted =
                    |choice: &&str| if choice.contains(',') { format!("\"{choice}\"") } else { (*choice).into() };
                let known = crate::plan::words::any_of(&choices.iter().map(quoted).collect::<Vec<String>>());
                (
                    format!("{} is \"{word}\", but must be {known}", at.last_word()),
                    did_you_mean(word, choices.iter().copied()),
                )
            });
        }
        found
    }

    /// A depth as written, and as true depth.
    pub(super) fn depth(&mut self, at: Key, quantity: &Written<Length>, instrument: Option<&Water>) -> (f64, f64) {
        let written_m = self.inputs.exact(at, quantity, UNBOUNDED);
        let true_m = match instrument {
            Some(water) if !written_m.is_nan() => water.depth_of_instrument_m(written_m).unwrap_or(f64::INFINITY),
            _ => written_m,
        };
        if written_m < 0.0 || true_m > MAX_DEPTH_M {
            self.inputs.fault(ProblemCode::Depth, at, || {
                let text = quantity.text();
                let message = if written_m < 0.0 {
                    format!("depth {text} is above the water")
                } else {
                    format!("depth {text} is below {MAX_DEPTH_M} m, the deepest that is computed")
                };
                (message, Some("depth counts downwards from 0 at the surface".into()))
            });
            return (f64::NAN, f64::NAN);
        }
        (written_m, true_m)
    }

    fn legs(&mut self, at: Key, dive: &'p Dive, instrument: Option<&Water>, names: &Names) -> Course<'p> {
        let (written_start_m, start_m) = match &dive.start {
            Some(start) => self.depth(at.field("start"), start, instrument),
            None => (0.0, 0.0),
        };
        let mut course = Course { start_m, written_start_m, legs: Vec::new(), changes: Vec::new() };
        if dive.leg.is_empty() && dive.profile.is_none() {
            self.inputs.fault(ProblemCode::EmptyProfile, at.field("leg"), || {
                let help = "write depth = \"18 m\" and time = \"30 min\"; or [[dive.leg]] tables, such as to = \"30 m\", over = \
                            \"3 min\"; or profile = \"dive.csv\""
                    .into();
                ("the dive has no legs".into(), Some(help))
            });
        }
        let list = at.field("leg");
        for (i, table) in dive.leg.iter().enumerate() {
            let key = list.index(i);
            let (start_s, written_m, depth_m) = course.end();
            let (duration_s, written_m, end_m) = self.way(key, table, written_m, depth_m, instrument);
            let how = ["over", "speed", "stay"][usize::from(table.over.is_none()) + usize::from(table.stay.is_some())];
            self.check_time(key.field(how), start_s, start_s + duration_s);
            let source = self.breathed(Place::Leg(i), table.breathe.as_deref(), &course, names);
            let names_of = [&table.leave, &table.take, &table.hand_off, &table.receive];
            let given = names_of.map(|names| names.as_ref().map(|names| names.0.as_slice()));
            self.moves(Place::Leg(i), start_s, given, names, &mut course);
            let place = Place::Leg(i);
            let is_overhead = table.overhead.unwrap_or(course.is_overhead());
            course.legs.push(Stretch {
                end_s: start_s + duration_s,
                written_m,
                end_m,
                source,
                rate: table.rate.as_ref(),
                place,
                bails_out: false,
                is_rest: false,
                is_overhead,
            });
        }
        course
    }

    /// Duration and end of a leg.
    fn way(
        &mut self,
        key: Key,
        table: &LegTable,
        from_written_m: f64,
        from_m: f64,
        instrument: Option<&Water>,
    ) -> (f64, f64, f64) {
        let limit = UNBOUNDED; // a duration of zero or less is told with the time
        match (&table.to, &table.over, &table.speed, &table.stay) {
            (Some(to), Some(over), None, None) => {
                let (written_m, end_m) = self.depth(key.field("to"), to, instrument);
                (self.inputs.exact(key.field("over"), over, limit), written_m, end_m)
            }
            (Some(to), None, Some(speed), None) => {
                let (written_m, end_m) = self.depth(key.field("to"), to, instrument);
                let speed_m_s = self.inputs.exact(key.field("speed"), speed, Limit::Positive);
                // the speed of an instrument's depths is in its own metres
                ((written_m - from_written_m).abs() / speed_m_s, written_m, end_m)
            }
            (None, None, None, Some(stay)) => {
                (self.inputs.exact(key.field("stay"), stay, limit), from_written_m, from_m)
            }
            _ => {
                self.inputs.fault(ProblemCode::WhichKeys, key, || {
                    let help =
                        "write to = \"30 m\" with over = \"3 min\" or speed = \"10 m/min\"; or stay = \"20 min\""
                            .into();
                    (format!("{key} needs \"to\" with \"over\" or \"speed\", or \"stay\" alone"), Some(help))
                });
                (f64::NAN, from_written_m, from_m)
            }
        }
    }

    pub(super) fn check_time(&mut self, at: Key, start_s: f64, end_s: f64) {
        if end_s <= start_s {
            self.inputs.fault(ProblemCode::Time, at, || {
                let (start, end) = (shown(start_s / 60.0), shown(end_s / 60.0));
                (format!("time does not go forward: from {start} min to {end} min"), None)
            });
        } else if end_s > MAX_DURATION_S && start_s <= MAX_DURATION_S {
            self.inputs.fault(ProblemCode::Time, at, || {
                (
                    format!("the dive goes on past {} h, the longest that is computed", shown(MAX_DURATION_S / 3600.0)),
                    None,
                )
            });
        }
    }

    /// What a leg breathes: as named, as on the leg before, or the loop where there is one, else the only cylinder or `back`.
    fn breathed(&mut self, place: Place, name: Option<&str>, course: &Course, names: &Names) -> Breathed {
        match (name, course.legs.last()) {
            (Some(name), _) => keyed(place, "breathe", |at| self.breathed_by(at, name, names)),
            (None, Some(before)) => before.source,
            (None, None) if self.has_loop() => Breathed::Loop,
            (None, None) => Breathed::From(names.usual().unwrap_or_else(|| {
                keyed(place, "breathe", |at| self.inputs.missing(at, || "breathe = \"back\" on the first leg".into()));
                CylinderSet::EMPTY
            })),
        }
    }

    fn rows(
        &mut self,
        at: Key,
        dive: &'p Dive,
        file: &'p ProfileRows,
        instrument: Option<&Water>,
        names: &Names,
    ) -> Course<'p> {
        for (given, key) in [(!dive.leg.is_empty(), "leg"), (dive.start.is_some(), "start")] {
            if given {
                self.inputs.fault(ProblemCode::WhichKeys, at.field(key), || {
                    (
                        format!("dive.{key} and dive.profile are both given"),
                        Some("the file has the whole profile".into()),
                    )
                });
            }
        }
        let mut course = Course { start_m: 0.0, written_start_m: 0.0, legs: Vec::new(), changes: Vec::new() };
        if file.rows.len() < 2 {
            self.inputs.fault(ProblemCode::EmptyProfile, at.field("profile"), || {
                let help = "the first row is the start, every other row the end of a leg".into();
                (format!("{} has no legs (rows with time and depth: {})", file.file, file.rows.len()), Some(help))
            });
        }
        let (mut first_breathe, mut is_overhead) = (None, false);
        for (i, row) in file.rows.iter().enumerate() {
            let place = Place::Row(file, row);
            let time_s = keyed(place, "time", |at| self.inputs.exact(at, &row.time.0, AFTER_START));
            let (written_m, end_m) = keyed(place, "depth", |at| self.depth(at, &row.depth.0, instrument));
            if let Some((word, _)) = &row.overhead {
                is_overhead = keyed(place, "overhead", |at| self.choice(at, Some(word), &["no", "yes"])) == Some(1);
            }
            if i == 0 {
                (course.written_start_m, course.start_m) = (written_m, end_m);
                first_breathe = row.breathe.as_ref().map(|(name, _)| name.as_str());
                if time_s > 0.0 {
                    keyed(place, "time", |at| {
                        let words = || ("the first row is the start of the dive, so its time must be 0".into(), None);
                        self.inputs.fault(ProblemCode::Time, at, words);
                    });
                }
            } else {
                keyed(place, "time", |at| self.check_time(at, course.end().0, time_s));
                let name = row.breathe.as_ref().map(|(name, _)| name.as_str()).or(first_breathe.filter(|_| i == 1));
                let source = self.breathed(place, name, &course, names);
                let rate = row.rate.as_ref().map(|(rate, _)| rate);
                let (bails_out, is_rest) = (false, false);
                course.legs.push(Stretch {
                    end_s: time_s,
                    written_m,
                    end_m,
                    source,
                    rate,
                    place,
                    bails_out,
                    is_rest,
                    is_overhead,
                });
            }
            let given = row.changes.each_ref().map(|names| names.as_ref().map(|(names, _)| names.as_slice()));
            self.moves(place, time_s, given, names, &mut course);
        }
        course
    }

    fn last_stop(&mut self, at: Key, dive: &Dive, instrument: Option<&Water>, course: &Course) -> Option<f64> {
        let last_stop = dive.last_stop.as_ref()?;
        let (_, depth_m) = self.depth(at.field("last_stop"), last_stop, instrument);
        let deepest_m = course.legs.iter().map(|leg| leg.end_m).fold(course.start_m, f64::max);
        if depth_m > deepest_m {
            self.inputs.fault(ProblemCode::LastStop, at.field("last_stop"), || {
                let deepest = shown(deepest_m);
                (format!("last stop {} is deeper than the dive, which reaches {deepest} m", last_stop.text()), None)
            });
        }
        Some(depth_m)
    }
}
