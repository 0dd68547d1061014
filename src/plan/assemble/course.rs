//! The course of a dive while it is put together, and the cylinders that come and go on it.

use super::Builder;
use super::bail_out::Breathed;
use super::cylinders::Names;
use super::profile_rows::{ProfileRow, ProfileRows};
use crate::physics::water::Water;
use crate::plan::file::Dive;
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::unit::{Duration, FlowRate, Length};
use crate::plan::written::Written;
use crate::profile::{Change, Move};
use crate::rig::{CylinderSet, Rig};

/// The four ways in which a cylinder comes or goes, with their keys.
const MOVES: [(&str, Move); 4] =
    [("leave", Move::Leave), ("take", Move::Take), ("hand_off", Move::HandOff), ("receive", Move::Receive)];

/// Where something of the profile stands.
#[derive(Clone, Copy)]
pub(super) enum Place<'p> {
    Leg(usize),
    Change(usize),
    Row(&'p ProfileRows, &'p ProfileRow),
    /// of a dive by depth and time
    Short,
    /// of a bail-out
    BailOut,
}

/// A leg before its rate is known.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'p> {
    pub end_s: f64,
    /// as written: true depth or an instrument's
    pub written_m: f64,
    pub end_m: f64,
    pub source: Breathed,
    pub rate: Option<&'p Written<FlowRate>>,
    pub place: Place<'p>,
    /// whether it breathes cylinders because of a bail-out
    pub bails_out: bool,
    /// whether it is the rest of a leg that was cut
    pub is_rest: bool,
    /// whether there is no way straight up
    pub is_overhead: bool,
}

/// How a moment of the dive is written.
#[derive(Clone, Copy)]
pub(super) struct Moment<'a> {
    pub at: &'a Option<Written<Duration>>,
    pub depth: &'a Option<Written<Length>>,
    pub way: Option<&'a str>,
    pub leg: Option<i64>,
}

/// A change and where it stands.
pub(super) struct Placed<'p> {
    pub change: Change,
    pub key: &'static str,
    pub place: Place<'p>,
}

/// What is being put together.
pub(super) struct Course<'p> {
    pub start_m: f64,
    pub written_start_m: f64,
    pub legs: Vec<Stretch<'p>>,
    pub changes: Vec<Placed<'p>>,
}

impl Course<'_> {
    /// Time, written depth and true depth at its end so far.
    pub fn end(&self) -> (f64, f64, f64) {
        self.legs.last().map_or((0.0, self.written_start_m, self.start_m), |leg| (leg.end_s, leg.written_m, leg.end_m))
    }

    /// Whether the last leg so far lies under an overhead.
    pub fn is_overhead(&self) -> bool {
        self.legs.last().is_some_and(|leg| leg.is_overhead)
    }

    /// When an overhead begins or ends, s.
    pub fn overhead_edges_s(&self) -> impl Iterator<Item = f64> {
        self.legs.windows(2).filter(|pair| pair[0].is_overhead != pair[1].is_overhead).map(|pair| pair[0].end_s)
    }
}

/// Calls `with` with the key of a place.
pub(super) fn keyed<T>(place: Place, key: &'static str, with: impl FnOnce(Key) -> T) -> T {
    let root = Key::Root;
    let dive = root.field("dive");
    match place {
        Place::Leg(i) => with(dive.field("leg").index(i).field(key)),
        Place::Short => with(dive.field(if key == "breathe" { "breathe" } else { "time" })),
        Place::BailOut => with(root.field("loop").field("bail_out_on")),
        Place::Change(i) => with(dive.field("change").index(i).field(key)),
        Place::Row(file, row) => {
            let span = match key {
                "time" => row.time.1,
                "depth" => row.depth.1,
                "breathe" => row.breathe.as_ref().map_or(row.time.1, |(_, span)| *span),
                "rate" => row.rate.as_ref().map_or(row.time.1, |(_, span)| *span),
                "overhead" => row.overhead.as_ref().map_or(row.time.1, |(_, span)| *span),
                _ => MOVES
                    .iter()
                    .position(|(name, _)| *name == key)
                    .and_then(|i| row.changes[i].as_ref())
                    .map_or(row.time.1, |(_, span)| *span),
            };
            with(file.cell(row, key, span))
        }
    }
}

impl<'p> Builder<'p, '_> {
    /// Notes what comes and goes at a moment; `given` are the names of each of [`MOVES`].
    pub(super) fn moves(
        &mut self,
        place: Place<'p>,
        time_s: f64,
        given: [Option<&[String]>; 4],
        names: &Names,
        course: &mut Course<'p>,
    ) {
        if time_s.is_nan() {
            return; // told before
        }
        for ((key, kind), given) in MOVES.into_iter().zip(given) {
            for name in given.unwrap_or_default() {
                let set = keyed(place, key, |at| self.named(at, name, names));
                let changes = set.iter().map(|cylinder| Change { time_s, cylinder, kind });
                course.changes.extend(changes.map(|change| Placed { change, key, place }));
            }
        }
    }

    /// The changes of the plan's own list.
    pub(super) fn table_changes(
        &mut self,
        at: Key,
        dive: &'p Dive,
        instrument: Option<&Water>,
        names: &Names,
        course: &mut Course<'p>,
    ) {
        let list = at.field("change");
        for (i, table) in dive.change.iter().enumerate() {
            let key = list.index(i);
            let moment = Moment { at: &table.at, depth: &table.depth, way: table.way.as_deref(), leg: table.leg };
            let time_s = self.moment(key, moment, instrument, course);
            let given = [&table.leave, &table.take, &table.hand_off, &table.receive];
            if given.iter().filter(|names| names.is_some()).count() != 1 {
                self.inputs.fault(ProblemCode::WhichKeys, key, || {
                    (format!("{key} needs exactly one of leave, take, hand_off and receive"), None)
                });
                continue;
            }
            let given = given.map(|names| names.as_ref().map(|names| names.0.as_slice()));
            self.moves(Place::Change(i), time_s, given, names, course);
        }
    }

    /// When a change happens, s.
    pub(super) fn moment(&mut self, key: Key, moment: Moment<'_>, instrument: Option<&Water>, course: &Course) -> f64 {
        let end_s = course.end().0;
        match (moment.at, moment.depth, moment.leg) {
            (Some(at), None, None) => {
                let time_s = self.inputs.exact(key.field("at"), at, Limit::NotNegative);
                if time_s > end_s {
                    self.inputs.fault(ProblemCode::Change, key.field("at"), || {
                        (format!("at {} is after the end of the dive at {} min", at.text(), shown(end_s / 60.0)), None)
                    });
                }
                time_s
            }
            (None, Some(depth), None) => {
                let (_, depth_m) = self.depth(key.field("depth"), depth, instrument);
                let way = self.choice(key.field("way"), moment.way, &["down", "up"]);
                if moment.way.is_none() {
                    self.inputs
                        .missing(key.field("way"), || "way = \"down\" or \"up\": which crossing of the depth".into());
                }
                let Some(way) = way else { return f64::NAN };
                first_crossing_s(course, depth_m, way == 0).unwrap_or_else(|| {
                    self.inputs.fault(ProblemCode::Change, key.field("depth"), || {
                        let word = if way == 0 { "down" } else { "up" };
                        (format!("the dive never crosses {} on the way {word}", depth.text()), None)
                    });
                    f64::NAN
                })
            }
            (None, None, Some(leg)) => {
                let count = course.legs.len();
                match usize::try_from(leg).ok().filter(|leg| (1..=count).contains(leg)) {
                    Some(1) => 0.0,
                    Some(leg) => course.legs[leg - 2].end_s,
                    None => {
                        self.inputs.fault(ProblemCode::Change, key.field("leg"), || {
                            (format!("leg is {leg}, but the dive has legs 1 to {count}"), None)
                        });
                        f64::NAN
                    }
                }
            }
            _ => {
                self.inputs.fault(ProblemCode::WhichKeys, key, || {
                    let help = "write at = \"34 min\", or depth = \"21 m\" with way = \"up\", or leg = 3 for the start of a leg";
                    (format!("{key} needs exactly one of at, depth and leg"), Some(help.into()))
                });
                f64::NAN
            }
        }
    }

    /// Every change fits what is carried then, and every leg breathes something that is carried.
    pub(super) fn check_carried(&mut self, course: &mut Course<'p>, diver: &Rig) {
        course.changes.sort_by(|a, b| a.change.time_s.total_cmp(&b.change.time_s));
        let name = |i: usize| diver.cylinders.get(i).map_or("?", |cylinder| cylinder.name());
        let mut carried = diver.carried_at_start();
        let mut handed_off = CylinderSet::EMPTY;
        let mut changes = course.changes.iter().peekable();
        let mut start_s = 0.0;
        let mut bail_out_told = CylinderSet::EMPTY;
        for leg in &course.legs {
            let mut told = false;
            loop {
                let next = changes.next_if(|placed| placed.change.time_s <= start_s);
                let Some(placed) = next else { break };
                self.apply(placed, &mut carried, &mut handed_off, name);
            }
            let needs = needs(leg, diver);
            let lacking =
                |carried: CylinderSet| needs.into_iter().find(|set| !set.is_empty() && set.and(carried).is_empty());
            if let Some(set) = lacking(carried) {
                told = true;
                let names: Vec<&str> = set.iter().map(name).collect();
                // of a bail-out each cylinder is told once
                if !leg.bails_out || std::mem::replace(&mut bail_out_told, set) != set {
                    self.not_carried(leg, start_s, &names);
                }
            }
            while let Some(placed) = changes.next_if(|placed| placed.change.time_s < leg.end_s) {
                self.apply(placed, &mut carried, &mut handed_off, name);
                if lacking(carried).is_some() && !std::mem::replace(&mut told, true) {
                    keyed(placed.place, placed.key, |at| {
                        self.inputs.fault(ProblemCode::NotCarried, at, || {
                            let help = "breathe another cylinder from then on: begin a leg there".into();
                            (
                                format!("{} cannot go here: the leg breathes it", name(placed.change.cylinder)),
                                Some(help),
                            )
                        });
                    });
                }
            }
            start_s = leg.end_s;
        }
        for placed in changes {
            self.apply(placed, &mut carried, &mut handed_off, name);
        }
        self.note_never_carried(course, diver);
    }

    /// A leg that breathes what is not carried when it begins.
    fn not_carried(&mut self, leg: &Stretch, start_s: f64, names: &[&str]) {
        let place = if leg.bails_out { Place::BailOut } else { leg.place };
        keyed(place, "breathe", |at| {
            self.inputs.fault(ProblemCode::NotCarried, at, || {
                let help = "take or receive it before, or breathe another cylinder".into();
                let (text, start) = (crate::plan::words::all_of(names), shown(start_s / 60.0));
                let message = match leg.source {
                    Breathed::Loop => {
                        format!("this leg breathes the loop, but {text}, which feeds it, is not carried at {start} min")
                    }
                    _ if leg.bails_out => format!("the bail-out breathes {text}, which is not carried at {start} min"),
                    _ => format!("this leg breathes {text}, which is not carried at {start} min"),
                };
                (message, Some(help))
            });
        });
    }

    fn apply<'n>(
        &mut self,
        placed: &Placed,
        carried: &mut CylinderSet,
        handed_off: &mut CylinderSet,
        name: impl Fn(usize) -> &'n str,
    ) {
        let Change { cylinder, kind, time_s } = placed.change;
        let has = carried.contains(cylinder);
        let reason = match (kind.is_carried_after(), has) {
            (true, true) => Some("is carried already"),
            (false, false) => Some("is not carried"),
            _ if kind == Move::Take && handed_off.contains(cylinder) => {
                Some("was handed off: it can only be received back")
            }
            _ => None,
        };
        if let Some(reason) = reason {
            keyed(placed.place, placed.key, |at| {
                self.inputs.fault(ProblemCode::Change, at, || {
                    (format!("{} {reason} at {} min", name(cylinder), shown(time_s / 60.0)), None)
                });
            });
            return;
        }
        if kind == Move::HandOff {
            *handed_off = handed_off.with(cylinder);
        }
        *carried = if has { carried.without(cylinder) } else { carried.with(cylinder) };
    }

    fn note_never_carried(&mut self, course: &Course, diver: &Rig) {
        for (i, cylinder) in diver.cylinders.iter().enumerate() {
            if !cylinder.is_carried_at_start() && !course.changes.iter().any(|placed| placed.change.cylinder == i) {
                self.notes.push(Note::NeverCarried(cylinder.name().to_owned()));
            }
        }
    }
}

/// What must be carried for a leg to be breathed: of each set one.
fn needs(leg: &Stretch, diver: &Rig) -> [CylinderSet; 2] {
    match (leg.source, diver.breathing_loop) {
        (Breathed::From(set), _) => [set, CylinderSet::EMPTY],
        (Breathed::Loop, Some(circuit)) => [circuit.oxygen, circuit.diluent],
        (Breathed::Loop, None) => [CylinderSet::EMPTY; 2], // told before
    }
}

/// First time at which the profile crosses a depth on the way down or up.
pub(super) fn first_crossing_s(course: &Course, depth_m: f64, down: bool) -> Option<f64> {
    let mut start = (0.0, course.start_m);
    for leg in &course.legs {
        let (from_m, to_m) = (start.1, leg.end_m);
        let crosses = if down { from_m < depth_m && depth_m <= to_m } else { from_m > depth_m && depth_m >= to_m };
        if crosses {
            return Some(start.0 + (leg.end_s - start.0) * (depth_m - from_m) / (to_m - from_m));
        }
        start = (leg.end_s, leg.end_m);
    }
    None
}
