//! Where the diver hangs: the torque over the dive, and what pulls where at a moment. `surer` has what takes longer.
//!
//! Torques are of a diver held level: above zero they lift the head. Places are in centimetres or inches from the middle of
//! the shoulder line, headward and to the back positive.

use serde::Serialize;

use crate::answer::Quick;
use crate::findings::Trim as Found;
use crate::findings::trim::{Hang, Pull, TrimAt, pulls};
use crate::physics::body::Stroke;
use crate::physics::place::{Moment, Point};
use crate::report::bench::{Ask, Shown, Unit, seconds};
use crate::report::json;
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::trim::{self, hang, name, tips};
use crate::report::words;
use crate::rig::{LOOP, Part, Role, SUIT};
use crate::scenario::Scenario;
use crate::sim::Owner;

/// A place is called by a word of the trade within so much along the body, m.
const BESIDE_M: f64 = 0.03;

/// A place of the trade on the diver.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceMark {
    /// Its word: `belt`.
    pub word: String,
    /// Where it is.
    pub at: Point,
}

/// The trim of the dive.
#[derive(Serialize)]
pub(super) struct Trim<'a> {
    unit: Unit,
    length: Unit,
    curve: Curve,
    head: Extreme,
    feet: Extreme,
    worst: Extreme,
    heavy: Extreme,
    light: Extreme,
    hold: Hold,
    moment: AtMoment,
    outline: Vec<Line>,
    /// where what lacks to neutral acts
    lungs: [f64; 2],
    lead: Vec<Lead<'a>>,
    places: Vec<Place<'a>>,
}

#[derive(Serialize)]
struct Curve {
    time_s: Vec<f64>,
    torque: Vec<f64>,
}

/// The torque at a moment.
#[derive(Serialize)]
struct Extreme {
    time_s: f64,
    depth: f64,
    torque: f64,
    text: String,
}

/// What fins and posture hold.
#[derive(Serialize)]
struct Hold {
    torque: f64,
    half_width: f64,
    /// written in the plan; otherwise our own choice
    is_of_plan: bool,
    text: String,
}

#[derive(Serialize)]
struct AtMoment {
    time_s: f64,
    depth: f64,
    torque: f64,
    /// held level
    text: String,
    /// at rest
    rest: String,
    /// `null` where it is not told
    pitch_deg: Option<f64>,
    /// what is on the diver; the torques sum to `torque`
    pulls: Vec<Thing>,
}

/// A thing on the diver; positive floats.
#[derive(Serialize)]
struct Thing {
    name: String,
    kind: &'static str,
    lift: f64,
    along: f64,
    up: f64,
    torque: f64,
}

/// A line of the figure; the head is round.
#[derive(Serialize)]
struct Line {
    part: &'static str,
    from: [f64; 2],
    to: [f64; 2],
    radius: Option<f64>,
}

/// A piece of ballast.
#[derive(Serialize)]
struct Lead<'a> {
    name: String,
    mass: f64,
    along: f64,
    up: f64,
    text: String,
    /// the control that moves it along the body
    control: Option<&'a str>,
    /// the control that gives it a place by its word
    place: Option<&'a str>,
}

#[derive(Serialize)]
struct Place<'a> {
    word: &'a str,
    along: f64,
    up: f64,
}

pub(super) fn trim<'a>(shown: Shown, ask: &Ask<'a>, quick: &Quick, moment_s: f64) -> Option<Trim<'a>> {
    let found = quick.findings.trim.as_ref()?;
    let scenario = &quick.built.scenario;
    let lungs = scenario.rig().lungs?;
    let hand = |m: f64| shown.hand(m);
    let length = shown.units.short_length();
    let extreme = |at: &TrimAt| extreme(shown, at);
    Some(Trim {
        unit: Unit { symbol: shown.units.symbol(Quantity::Torque), decimals: shown.units.decimals(Quantity::Torque) },
        length: Unit { symbol: length.symbol, decimals: hand_decimals(shown.units) },
        curve: curve(shown, found),
        head: extreme(&found.head_heaviest),
        feet: extreme(&found.feet_heaviest),
        worst: extreme(&found.worst()),
        heavy: extreme(&found.heavy),
        light: extreme(&found.light),
        hold: hold(shown, quick),
        moment: at_moment(shown, quick, lungs, moment_s),
        outline: quick.built.stance.outline().iter().map(|stroke| line(shown, stroke)).collect(),
        lungs: [hand(lungs.along_m), hand(lungs.up_m)],
        lead: lead(shown, ask, scenario),
        places: ask.marks.iter().map(|mark| place(shown, mark)).collect(),
    })
}

fn curve(shown: Shown, found: &Found) -> Curve {
    Curve {
        time_s: found.course.iter().map(|at| seconds(at.time_s)).collect(),
        torque: found.course.iter().map(|at| shown.torque(at.torque_nm())).collect(),
    }
}

fn extreme(shown: Shown, at: &TrimAt) -> Extreme {
    Extreme {
        time_s: seconds(at.time_s),
        depth: shown.length(at.depth_m),
        torque: shown.torque(at.torque_nm()),
        text: format!("{} {}", tips(shown.units, at.torque_nm()), words::at(shown.units, at.time_s, at.depth_m)),
    }
}

fn hold(shown: Shown, quick: &Quick) -> Hold {
    let ask = &quick.built.trim;
    Hold {
        torque: shown.torque(ask.hold_nm),
        half_width: shown.torque(ask.hold_half_width_nm),
        is_of_plan: ask.is_hold_written,
        text: trim::hold(shown.units, ask),
    }
}

fn at_moment(shown: Shown, quick: &Quick, lungs: Point, moment_s: f64) -> AtMoment {
    let scenario = &quick.built.scenario;
    let now = quick.trace.at(scenario, moment_s);
    let pulls = pulls(scenario, &now, lungs);
    let moment: Moment = pulls.iter().map(|pull| pull.moment).sum();
    let at = TrimAt { time_s: now.state.time_s, depth_m: now.state.depth_m, moment };
    let pitch_deg = match at.hang() {
        Hang::At(pitch_rad) => Some(json::round(pitch_rad.to_degrees(), 4)),
        _ => None,
    };
    AtMoment {
        time_s: seconds(at.time_s),
        depth: shown.length(at.depth_m),
        torque: shown.torque(at.torque_nm()),
        text: tips(shown.units, at.torque_nm()),
        // one run does not know how sure that is
        rest: match at.hang() {
            Hang::OnBack => "may turn onto the back".into(),
            told => hang(told),
        },
        pitch_deg,
        pulls: pulls.iter().map(|pull| thing(shown, scenario, pull)).collect(),
    }
}

fn thing(shown: Shown, scenario: &Scenario, pull: &Pull) -> Thing {
    let kind = match pull.owner {
        Owner::Part(i) => kind(scenario.rig().parts[i].role),
        Owner::Bag(SUIT) => "suit gas",
        Owner::Bag(LOOP) | Owner::Absorbed => "loop",
        Owner::Metabolised => "body",
        Owner::Bag(_) => "wing",
        _ => "cylinder",
    };
    Thing {
        name: name(scenario, pull.owner),
        kind,
        lift: shown.mass(pull.lift_kg),
        along: shown.hand(pull.at.along_m),
        up: shown.hand(pull.at.up_m),
        torque: shown.torque(pull.moment.pitch_torque_nm()),
    }
}

fn kind(role: Role) -> &'static str {
    match role {
        Role::Person => "body",
        Role::Suit => "suit",
        Role::Wing | Role::Gear => "gear",
        Role::Ballast => "lead",
    }
}

fn line(shown: Shown, stroke: &Stroke) -> Line {
    let (part, from, to, radius_m) = match *stroke {
        Stroke::Head { centre, radius_m } => ("head", centre, centre, Some(radius_m)),
        Stroke::Torso(from, to) => ("torso", from, to, None),
        Stroke::Thigh(from, to) => ("thigh", from, to, None),
        Stroke::Shank(from, to) => ("shank", from, to, None),
        Stroke::Foot(from, to) => ("foot", from, to, None),
        Stroke::UpperArm(from, to) => ("upper-arm", from, to, None),
        Stroke::Forearm(from, to) => ("forearm", from, to, None),
        Stroke::Hand(from, to) => ("hand", from, to, None),
    };
    let at = |point: Point| [shown.hand(point.along_m), shown.hand(point.up_m)];
    Line { part, from: at(from), to: at(to), radius: radius_m.map(|m| shown.hand(m)) }
}

fn lead<'a>(shown: Shown, ask: &Ask<'a>, scenario: &Scenario) -> Vec<Lead<'a>> {
    let control = |id: String| ask.controls.iter().find(|control| control.id == id).map(|control| control.id.as_str());
    let one = |(i, part): (usize, &Part)| {
        let at = part.at?.mass;
        Some(Lead {
            name: part.name.clone(),
            mass: shown.mass(part.mass_kg()),
            along: shown.hand(at.along_m),
            up: shown.hand(at.up_m),
            text: on_the_body(shown.units, ask.marks, at),
            control: control(format!("at ballast {}", i + 1)),
            place: control(format!("place ballast {}", i + 1)),
        })
    };
    let pieces = scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast);
    pieces.enumerate().filter_map(one).collect()
}

fn place<'a>(shown: Shown, mark: &'a PlaceMark) -> Place<'a> {
    Place { word: &mark.word, along: shown.hand(mark.at.along_m), up: shown.hand(mark.at.up_m) }
}

impl Shown {
    fn hand(self, m: f64) -> f64 {
        json::round(self.units.short_length().number(m), 4)
    }

    pub(super) fn torque(self, nm: f64) -> f64 {
        self.number(Quantity::Torque, nm)
    }
}

/// Decimals of places on the body: a hand moves lead by less than an inch.
fn hand_decimals(units: UnitSystem) -> usize {
    if units == UnitSystem::Us { 1 } else { 0 }
}

/// Where a thing is in words: `45 cm below the shoulders, at the tail`.
fn on_the_body(units: UnitSystem, marks: &[PlaceMark], at: Point) -> String {
    let symbol = units.short_length().symbol;
    let size = fixed(Shown { units }.hand(at.along_m).abs(), hand_decimals(units));
    let far = match at.along_m {
        _ if !size.contains(|c: char| ('1'..='9').contains(&c)) => "level with the shoulders".to_owned(),
        along_m if along_m < 0.0 => format!("{size} {symbol} below the shoulders"),
        _ => format!("{size} {symbol} above the shoulders"),
    };
    let away_m = |mark: &PlaceMark| (mark.at.along_m - at.along_m).hypot(mark.at.up_m - at.up_m);
    let near = marks.iter().filter(|mark| (mark.at.along_m - at.along_m).abs() < BESIDE_M);
    match near.min_by(|a, b| away_m(a).total_cmp(&away_m(b))) {
        Some(mark) if mark.word.starts_with("between") => format!("{far}, {}", mark.word),
        Some(mark) => format!("{far}, at the {}", mark.word),
        None => far,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_in_words() {
        let mark = |word: &str, along_m, up_m| PlaceMark { word: word.into(), at: Point::new(along_m, 0.0, up_m) };
        let marks = [mark("belt", -0.37, 0.0), mark("tail", -0.45, 0.09), mark("between the cylinders", -0.25, 0.17)];
        let words = |along_m, up_m| on_the_body(UnitSystem::Metric, &marks, Point::new(along_m, 0.0, up_m));
        assert_eq!(words(-0.455, 0.09), "46 cm below the shoulders, at the tail");
        assert_eq!(words(-0.36, 0.09), "36 cm below the shoulders, at the belt");
        assert_eq!(words(-0.25, 0.2), "25 cm below the shoulders, between the cylinders");
        assert_eq!(words(-0.41, 0.0), "41 cm below the shoulders");
        assert_eq!(words(0.12, 0.0), "12 cm above the shoulders");
        assert_eq!(words(0.001, 0.0), "level with the shoulders");
    }
}
