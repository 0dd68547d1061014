//! Where things are on the diver: as written, or usual.
//!
//! Places have a list of inputs of their own. They bear on the trim alone, so what a dive weighs does not ask for them, and
//! its draws stay what they are.

use super::Builder;
use super::cylinders::Names;
use crate::estimate::Estimate;
use crate::physics::body::{Posture, Shape, Stance};
use crate::physics::bulk::Bulk;
use crate::physics::place::{Centres, Point};
use crate::plan::file::{At, AtTable, CylinderTable, LeadPlaceTable, Person, TrimTable};
use crate::plan::inputs::{Limit, Shared};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::body::{Build, Sex};
use crate::plan::typical::places::{self, LieOf, Placed, Spot, Usually};
use crate::plan::unit::{Length, Mass};
use crate::plan::words::{any_of, did_you_mean};
use crate::plan::written::Written;
use crate::rig::{Cylinder, FARTHEST_M, LeadSpot, Lie};
use crate::units::Quantity;

/// Places on a diver, m from the middle of the shoulders.
const ON_DIVER: Limit = Limit::Within(-FARTHEST_M, FARTHEST_M);
/// How far a body's centre of buoyancy may lie from its centre of mass, m.
const AHEAD: Limit = Limit::Within(-0.1, 0.1);
/// Farthest that the two centres of a body lie apart, m: some ten times the usual centimetre.
const FARTHEST_APART_M: f64 = 0.1;
/// Lengths of cylinders, m.
const LENGTH: Limit = Limit::Within(0.1, 1.5);

/// What the trim of a dive is asked with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrimAsk {
    /// Torque that fins and posture hold, N·m.
    pub hold_nm: f64,
    /// Its half-width, N·m.
    pub hold_half_width_nm: f64,
    /// Whether the plan says it; otherwise it is our own choice.
    pub is_hold_written: bool,
    /// Places where lead may go.
    pub places: Vec<LeadSpot>,
}

/// A figure of a place that the plan may have, and what is usual in its place.
struct Usual<'s> {
    estimate: Estimate,
    source: &'s str,
    /// whose it is, if several things share it
    of: Option<&'static str>,
}

impl Builder<'_, '_> {
    /// How the diver is held, and whose segments the body has.
    pub(super) fn stance(&mut self, key: Key, person: &Person, build: &Build) -> Stance {
        let posture = self.choice(key.field("posture"), person.posture.as_deref(), &["level, knees bent", "straight"]);
        let posture = posture.map_or(Posture::KneesBent, |i| [Posture::KneesBent, Posture::Straight][i]);
        let shape = match build.sex {
            Some(Sex::Man) => Shape::Man,
            Some(Sex::Woman) => Shape::Woman,
            None => Shape::Between,
        };
        Stance { stature_m: build.stature_m().0, shape, posture }
    }

    /// Both centres of the diver's body.
    pub(super) fn body_centres(&mut self, key: Key, person: &Person, bulk: &Bulk) -> Centres {
        let stance = self.stance;
        let held = stance.centres(bulk.mass_kg, bulk.volume_m3);
        let straight = Stance { posture: Posture::Straight, ..stance }.centres(bulk.mass_kg, bulk.volume_m3);
        let far = |of: &Centres| (of.volume - of.mass).along_m.abs().max((of.volume - of.mass).up_m.abs());
        // masses and volumes of no body, which a note or a limit tells: its centres would lie anywhere
        let is_body = far(&straight).max(far(&held)) <= FARTHEST_APART_M;
        let (held, straight) =
            if is_body { (held, straight) } else { (Centres::at(held.mass), Centres::at(straight.mass)) };
        let apart = straight.volume - straight.mass;
        self.places.about("diver");
        let half_width_m = places::ahead_doubt_m(stance.shape);
        let usual = |value_m: f64, half_width_m: f64, source| Usual {
            estimate: Estimate::normal(value_m, half_width_m),
            source,
            of: None,
        };
        let ahead = usual(apart.along_m, half_width_m, places::AHEAD_SOURCE);
        let ahead_m = self.distance(key, "buoyancy_ahead", &person.buoyancy_ahead, AHEAD, ahead);
        let above = usual(apart.up_m, places::ABOVE_DOUBT_M, places::ABOVE_SOURCE);
        let above_m = self.distance(key, "buoyancy_above", &person.buoyancy_above, AHEAD, above);
        let written = Point::new(ahead_m, 0.0, above_m);
        Centres { mass: held.mass, volume: held.volume + (written - apart) }
    }

    /// A place: as written in a key of the table, or usual.
    pub(super) fn at(&mut self, key: Key, word: &'static str, name: &str, given: &Option<At>, usual: Usually) -> Point {
        let at = key.field(word);
        match given {
            None => match usual {
                Usually::At(placed) => self.usual_place(at, placed),
                Usually::Lying(lie) => self.usual_valve(at, lie),
                Usually::Between(_) => self.distances(at, name, &AtTable::default(), &usual),
            },
            Some(At::Word(word)) => match places::place(word) {
                Some(placed) => self.usual_place(at, placed),
                None => {
                    self.unknown_place(at, word, &places::words());
                    Point::ORIGIN
                }
            },
            Some(At::Distances(table)) => self.distances(at, name, table, &usual),
        }
    }

    /// A place by its distances, those that are not written as usual; its doubt is its own.
    fn distances(&mut self, at: Key, name: &str, table: &AtTable, usually: &Usually) -> Point {
        let (point, along_doubt_m, up_doubt_m) = usually.on(&self.stance);
        let source = if self.is_draw() { "".into() } else { usually.source() };
        self.places.about(name);
        // what lies over the body has no doubt of its own
        let estimate = |value_m: f64, half_width_m: f64| match half_width_m > 0.0 {
            true => Estimate::normal(value_m, half_width_m),
            false => Estimate::exact(value_m),
        };
        let usual = |value_m: f64, half_width_m: f64| Usual {
            estimate: estimate(value_m, half_width_m),
            source: &source,
            of: None,
        };
        let along_m = self.distance(at, "along", &table.along, ON_DIVER, usual(point.along_m, along_doubt_m));
        let up_m = self.distance(at, "up", &table.up, ON_DIVER, usual(point.up_m, up_doubt_m));
        let left_m = match &table.left {
            Some(left) => self.places.take(at.field("left"), left, ON_DIVER, None),
            None => point.left_m,
        };
        Point::new(along_m, left_m, up_m)
    }

    /// A usual place. Things at one place share its doubt.
    fn usual_place(&mut self, at: Key, placed: Placed) -> Point {
        let (point, along_doubt_m, up_doubt_m) = placed.on(&self.stance);
        let word = placed.spot.words[0];
        self.places.about(word);
        if along_doubt_m == 0.0 {
            return point; // over the body: what is known of it is in the body's own figures
        }
        let usual = |value_m: f64, half_width_m: f64| Usual {
            estimate: Estimate::normal(value_m, half_width_m),
            source: placed.spot.source,
            of: Some(word),
        };
        let along_m = self.distance(at, "along", &None, ON_DIVER, usual(point.along_m, along_doubt_m));
        let up_m = self.distance(at, "up", &None, ON_DIVER, usual(point.up_m, up_doubt_m));
        Point::new(along_m, point.left_m, up_m)
    }

    /// A distance: as written, or usual.
    fn distance(
        &mut self,
        table: Key,
        key: &'static str,
        given: &Option<Written<Length>>,
        limit: Limit,
        usual: Usual<'_>,
    ) -> f64 {
        let at = table.field(key);
        if let Some(written) = given {
            return self.places.take(at, written, limit, None);
        }
        let Usual { estimate, source, of } = usual;
        match of {
            Some(of) => self
                .places
                .once(Shared::Place(of, key), |places| places.typical_of(at, Quantity::Length, estimate, source)),
            None => self.places.typical_of(at, Quantity::Length, estimate, source),
        }
    }

    /// Lays the cylinders of every table on the diver.
    pub(super) fn lay_cylinders(&mut self, names: &Names, cylinders: &mut [Cylinder]) {
        let plan = self.plan;
        let root = Key::Root;
        let list = root.field("cylinder");
        let of_suit = plan.file.suit.as_ref().and_then(|suit| suit.supply.as_deref());
        for (i, table) in plan.file.cylinder.iter().enumerate() {
            let Some(of_table) = names.of_table(i) else { continue };
            let name = names.of(i);
            let only_for_suit = of_suit == Some(name) && plan.file.cylinder.len() > 1 && name != "back";
            let mut first: Option<Lie> = None;
            for (n, index) in of_table.iter().enumerate() {
                let usual = usual_lie(&cylinders[index], n, of_table.len(), only_for_suit);
                let lie = self.lie(list.index(i), table, &cylinders[index], (n, usual), first);
                first = first.or(Some(lie));
                if let Ok(laid) = cylinders[index].clone().lying(lie) {
                    cylinders[index] = laid; // what is out of range is told with its figure
                }
            }
        }
    }

    /// How the `n`-th cylinder of a table lies. What the table says of it is asked once: of a pair by distances the second is
    /// the first on the other side.
    fn lie(
        &mut self,
        key: Key,
        table: &CylinderTable,
        body: &Cylinder,
        (n, usual): (usize, &'static LieOf),
        first: Option<Lie>,
    ) -> Lie {
        let at = key.field("at");
        let valve = match (&table.at, first) {
            (Some(At::Distances(_)), Some(Lie { valve, .. })) => {
                let side = if n % 2 == 0 { 1.0 } else { -1.0 };
                Point { left_m: side * valve.left_m, ..valve }
            }
            (Some(At::Distances(distances)), None) => {
                self.distances(at, &format!("valve, {}", body.name()), distances, &Usually::Lying(usual))
            }
            (Some(At::Word(word)), _) => {
                let lie_of = places::lie_of(word, n).unwrap_or_else(|| {
                    self.unknown_place(at, word, &places::lie_words());
                    usual
                });
                self.usual_valve(at, lie_of)
            }
            (None, _) => self.usual_valve(at, usual),
        };
        Lie { valve, length_m: first.map_or_else(|| self.length(key, table, body), |first| first.length_m) }
    }

    /// Where the valve of a cylinder usually is. Cylinders that lie alike share its doubt.
    fn usual_valve(&mut self, at: Key, lie_of: &'static LieOf) -> Point {
        let (valve, along_doubt_m, up_doubt_m) = places::valve_of(lie_of, &self.stance);
        self.about_valve(lie_of.0);
        let usual = |value_m: f64, half_width_m: f64| Usual {
            estimate: Estimate::normal(value_m, half_width_m),
            source: places::LIE_SOURCE,
            of: Some(lie_of.0),
        };
        let along_m = self.distance(at, "along", &None, ON_DIVER, usual(valve.along_m, along_doubt_m));
        let up_m = self.distance(at, "up", &None, ON_DIVER, usual(valve.up_m, up_doubt_m));
        Point::new(along_m, valve.left_m, up_m)
    }

    /// Names the valve of a cylinder, which is what its place is.
    fn about_valve(&mut self, of: &str) {
        if !self.is_draw() {
            self.places.about(&format!("valve, {of}"));
        }
    }

    /// Length of a cylinder: as written, that of its size, or by its volume.
    fn length(&mut self, key: Key, table: &CylinderTable, body: &Cylinder) -> f64 {
        let size = table.size.as_deref().and_then(crate::plan::catalogue::size);
        let (estimate, source) = match size {
            Some(size) => (size.length(), size.length_provenance.as_str()),
            None => {
                let spec = body.spec();
                let (length_m, half_width_m) = places::length_m(spec.water_m3, spec.external_m3);
                (Estimate::normal(length_m, half_width_m), places::LENGTH_SOURCE)
            }
        };
        self.places.about(body.name());
        match &table.length {
            Some(length) => self.places.take(key.field("length"), length, LENGTH, None),
            None => self.places.typical_of(key.field("length"), Quantity::Length, estimate, source),
        }
    }

    /// What the plan asks of its trim.
    pub(super) fn trim(&mut self, key: Key, cylinders: &[Cylinder]) -> TrimAsk {
        let none = TrimTable::default();
        let plan = self.plan;
        let table = plan.file.trim.as_ref().unwrap_or(&none);
        self.places.about("");
        let hold = self.places.or_typical(key, "hold", &table.hold, &places::HOLD, Limit::NotNegative);
        let doubt = table.hold.as_ref().map_or(Some(places::HOLD.estimate), |hold| hold.estimate().ok());
        let usual = [places::BELT, places::TAIL, places::PLATE, places::BETWEEN];
        let twins = cylinders.iter().any(|body| body.count() > 1);
        let list = key.field("place");
        let spots: Vec<LeadSpot> = match table.place.is_empty() {
            true => usual[..if twins { 4 } else { 3 }].iter().map(|spot| self.usual_spot(list, spot)).collect(),
            false => table.place.iter().enumerate().map(|(i, spot)| self.spot(list.index(i), spot)).collect(),
        };
        TrimAsk {
            hold_nm: hold,
            hold_half_width_nm: doubt.and_then(|of| of.doubt).map_or(0.0, |doubt| doubt.half_width),
            is_hold_written: table.hold.is_some(),
            places: spots,
        }
    }

    fn usual_spot(&mut self, list: Key, spot: &Spot) -> LeadSpot {
        let name = spot.words[0];
        let at = self.at(list.field(name), "at", name, &None, Usually::At(Placed::middle(*spot)));
        LeadSpot { name: name.into(), at, most_kg: None, lets_go: spot.words == places::BELT.words }
    }

    fn spot(&mut self, key: Key, table: &LeadPlaceTable) -> LeadSpot {
        let word = match &table.at {
            Some(At::Word(word)) => Some(word.trim()),
            _ => None,
        };
        let name = table.name.as_deref().or(word).unwrap_or_default().trim().to_owned();
        if table.at.is_none() {
            self.places.missing(key.field("at"), || "at = \"belt\"".into());
        } else if name.is_empty() {
            self.places.missing(key.field("name"), || "name = \"pocket\" beside the distances".into());
        }
        let at = self.at(key, "at", &name, &table.at, Usually::At(Placed::middle(places::BELT)));
        let most = |most: &Written<Mass>| self.places.exact(key.field("most"), most, Limit::NotNegative);
        let most_kg = table.most.as_ref().map(most);
        let at_belt = word.and_then(places::place).is_some_and(|placed| placed.spot.words == places::BELT.words);
        LeadSpot { name, at, most_kg, lets_go: table.ditchable.unwrap_or(at_belt) }
    }

    fn unknown_place(&mut self, at: Key, word: &str, known: &[&str]) {
        self.places.fault(ProblemCode::UnknownWord, at, || {
            let help = did_you_mean(word, known.iter().copied()).unwrap_or_else(|| {
                format!("write {}, or distances such as {{ along = \"-12 cm\", up = \"4 cm\" }}", any_of(known))
            });
            (format!("\"{word}\" is no place of the list"), Some(help))
        });
    }
}

/// How the `n`-th cylinder of so many of a table lies, distances aside.
pub(super) fn lie_of(table: &CylinderTable, body: &Cylinder, n: usize, of_table: usize) -> &'static LieOf {
    let said = match &table.at {
        Some(At::Word(word)) => places::lie_of(word, n),
        _ => None,
    };
    said.unwrap_or_else(|| usual_lie(body, n, of_table, false))
}

/// How a cylinder usually lies: the `n`-th of so many that one table has.
fn usual_lie(body: &Cylinder, n: usize, of_table: usize, only_for_suit: bool) -> &'static LieOf {
    let name = body.name();
    let has = |word: &str| name.split(|c: char| !c.is_alphanumeric()).any(|found| found.eq_ignore_ascii_case(word));
    let goes = body.is_removable() || body.is_ditchable() || !body.is_carried_at_start();
    let side = if has("right") { "right" } else { "left" };
    let word = match () {
        () if only_for_suit => return places::beside_back(side),
        () if of_table > 1 && !goes => "side",
        () if has("back") || body.count() > 1 => "back",
        () if !goes && !has("left") && !has("right") => "back",
        () if has("side") || has("sidemount") || !goes => return places::on_side("side", side),
        () => return places::on_side("stage", side),
    };
    places::lie_of(word, n).unwrap_or(&places::LIES[0])
}
