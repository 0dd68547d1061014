//! The diver as a lever from the side: what lifts and what sinks, each at its place, at the heavy and at the light point.
//!
//! Both panels have one scale, along and across. The diver looks to the right and is held level; a diver who hangs at rest
//! tips, which is told in words.

mod things;

use crate::findings::trim::TrimAt;
use crate::physics::body;
use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{EDGE, WIDTH};
use crate::report::chart::place::{Label, Placer, spread};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLUE, BLUE_TEXT, BODY_PX, INK, PAPER, RULE, Rgb, SMALL_PX, SOFT, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::Watch;
use crate::report::chart::title::{Heading, heading, wrap};
use crate::report::chart::{ChartError, Picture, TrimLook};
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::trim as said;
use crate::report::words::capital;
use things::{LEAST_KG, Thing, things};

/// Length of the longest arrow, px.
const LONGEST_PX: f64 = 88.0;
/// Shafts of arrows to one side are at least so far apart, px.
const APART_PX: f64 = 13.0;
/// Height of a row of what is said above a panel, px.
const SAID_ROW_PX: f64 = 19.0;
/// Radius of the dot for a small pull, px.
const SMALL_DOT_PX: f64 = 2.4;
/// The diver's outline.
const OUTLINE: Stroke = Stroke::solid(RULE, 1.2);

/// How it is laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverSize {
    /// Width of the picture, px.
    pub width_px: f64,
    /// Pixels for a metre of the diver.
    pub px_m: f64,
    /// Room for labels beyond the arrows, px.
    pub label_px: f64,
    /// Whether title and subject stand in the picture.
    pub has_heading: bool,
}

impl LeverSize {
    /// To stand alone.
    pub const ALONE: Self = Self { width_px: WIDTH, px_m: 310.0, label_px: 40.0, has_heading: true };
    /// On a sheet that says itself what it shows.
    pub const ON_SHEET: Self = Self { has_heading: false, ..Self::ALONE };
    /// The same on a phone.
    pub const UPRIGHT: Self = Self { width_px: 400.0, px_m: 190.0, label_px: 96.0, has_heading: false };
}

/// A moment that is drawn.
struct Moment {
    name: &'static str,
    at: TrimAt,
}

/// Where things of the diver are in a panel.
#[derive(Clone, Copy)]
struct Map {
    origin: Point,
    px_m: f64,
    px_kg: f64,
    width_px: f64,
}

impl Map {
    fn at(&self, at: crate::physics::place::Point) -> Point {
        Point::new(self.origin.x + self.px_m * at.along_m, self.origin.y - self.px_m * at.up_m)
    }
}

/// Draws the diver as a lever.
///
/// # Errors
/// A fault of the drawing library.
pub fn lever(look: &TrimLook<'_>) -> Result<Picture, ChartError> {
    Ok(lever_sized(look, LeverSize::ALONE))
}

/// Draws the diver as a lever, to be part of something.
pub fn lever_sized(look: &TrimLook<'_>, size: LeverSize) -> Picture {
    let trim = &look.facts.trim;
    let moments = [Moment { name: "heavy point", at: trim.heavy }, Moment { name: "light point", at: trim.light }];
    let things = things(&look.facts.built.scenario, [&trim.pulls_heavy, &trim.pulls_light]);
    let message = message(look, &moments);
    let mut scene = Scene::new(size.width_px, 900.0);
    let heading_text = Heading { message: &message, subject: look.title, note: look.note };
    let mut top = if size.has_heading { heading(&mut scene, &heading_text) } else { 0.0 };
    let most_kg = things.iter().flat_map(|thing| thing.lift_kg.map(f64::abs)).fold(LEAST_KG, f64::max);
    let px_kg = LONGEST_PX / most_kg;
    let outline = look.facts.built.stance.outline();
    let (above_px, below_px) = reach(&outline, &things, size.px_m, px_kg);
    let middle_m = middle(&outline);
    for (which, moment) in moments.iter().enumerate() {
        let top_of_panel = say(&mut scene, look, moment, top);
        let rect = Rect {
            left: EDGE,
            top: top_of_panel,
            right: size.width_px - EDGE,
            bottom: top_of_panel + above_px + below_px + 2.0 * size.label_px,
        };
        let origin = Point::new(0.5 * size.width_px - size.px_m * middle_m, rect.top + size.label_px + above_px);
        let map = Map { origin, px_m: size.px_m, px_kg, width_px: size.width_px };
        panel(&mut scene, look, rect, map, &things, which);
        top = rect.bottom + 10.0;
    }
    scene.height = key(&mut scene, look.units, px_kg, top + 18.0);
    Picture::new(scene, message, description(look, &moments, &things))
}

/// What the picture says: the heavy end at both moments, and whether it is known.
fn message(look: &TrimLook<'_>, moments: &[Moment; 2]) -> String {
    let said = moments.each_ref().map(|moment| {
        let nm = moment.at.torque_nm();
        (said::heavy_end(nm), format!("{} at the {}", said::tips(look.units, nm), moment.name))
    });
    let both = match &said {
        [(one, first), (other, _)] if one == other && *one != "level" => {
            let light = &moments[1];
            format!("{first}, {} at the {}", said::torque(look.units, light.at.torque_nm()), light.name)
        }
        [(_, first), (_, second)] => format!("{first}, {second}"),
    };
    let is_open = |moment: &Moment| look.facts.half_width_nm(&moment.at) > moment.at.torque_nm().abs();
    let open = match (is_open(&moments[0]), is_open(&moments[1])) {
        (true, true) => "; by its doubt it may hang either way",
        (true, false) => "; at the heavy point it may hang either way",
        (false, true) => "; at the light point it may hang either way",
        (false, false) => "",
    };
    capital(&format!("{both}{open}"))
}

/// How far arrows and outline reach above and below the shoulder line, px.
fn reach(outline: &[body::Stroke], things: &[Thing], px_m: f64, px_kg: f64) -> (f64, f64) {
    let ends = outline.iter().flat_map(|stroke| {
        let (from, to, thick_m) = ends(stroke);
        [from.up_m + thick_m, from.up_m - thick_m, to.up_m]
    });
    let tips = things.iter().flat_map(|thing| thing.lift_kg.map(|kg| px_m * thing.at.up_m + px_kg * kg));
    let (mut above_px, mut below_px) = (0.0_f64, 0.0_f64);
    for px in ends.map(|m| px_m * m).chain(tips) {
        (above_px, below_px) = (above_px.max(px), below_px.max(-px));
    }
    (above_px, below_px)
}

/// Both ends of a piece of the outline, and how far it reaches beyond them, m.
fn ends(stroke: &body::Stroke) -> (crate::physics::place::Point, crate::physics::place::Point, f64) {
    use body::Stroke::{Foot, Forearm, Hand, Head, Shank, Thigh, Torso, UpperArm};
    match *stroke {
        Head { centre, radius_m } => (centre, centre, radius_m),
        Torso(from, to) | Thigh(from, to) | Shank(from, to) | Foot(from, to) => (from, to, 0.0),
        UpperArm(from, to) | Forearm(from, to) | Hand(from, to) => (from, to, 0.0),
    }
}

/// The middle of the outline along the body, m.
fn middle(outline: &[body::Stroke]) -> f64 {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (from, to, thick_m) in outline.iter().map(ends) {
        low = low.min(from.along_m.min(to.along_m) - thick_m);
        high = high.max(from.along_m.max(to.along_m) + thick_m);
    }
    0.5 * (low + high)
}

/// What is said above a panel; returns where the panel may begin.
fn say(scene: &mut Scene, look: &TrimLook<'_>, moment: &Moment, top: f64) -> f64 {
    let units = look.units;
    let nm = moment.at.torque_nm();
    let end_s = look.facts.trim.course.last().map_or(0.0, |at| at.time_s);
    let head = format!(
        "{}, {}, {}",
        capital(moment.name),
        Watch::of(end_s).text(moment.at.time_s),
        units.text(Quantity::Length, moment.at.depth_m)
    );
    let doubt = units.text(Quantity::Torque, look.facts.half_width_nm(&moment.at));
    let text =
        format!("held level: {} (± {doubt}); at rest: {}", said::tips(units, nm), said::at_rest(look.facts, moment.at));
    let told = wrap(&text, BODY_PX, Weight::Regular, scene.width - 2.0 * EDGE, 3);
    let rows = std::iter::once((Weight::Bold, head)).chain(told.into_iter().map(|row| (Weight::Regular, row)));
    let mut y = top;
    for (weight, text) in rows {
        y += SAID_ROW_PX;
        let at = Point::new(EDGE, y);
        scene.text(Text { at, anchor: Anchor::Start, size: BODY_PX, weight, colour: INK, text });
    }
    y + 10.0
}

/// One moment.
fn panel(scene: &mut Scene, look: &TrimLook<'_>, rect: Rect, map: Map, things: &[Thing], which: usize) {
    let mut placer = Placer::new(rect);
    diver(scene, &mut placer, look, map);
    let named: Vec<(&Thing, Point)> =
        [true, false].into_iter().flat_map(|up| arrows(scene, &mut placer, map, things, which, up)).collect();
    // the longest arrows first: they have the first choice of room
    let mut named = named;
    named.sort_by(|a, b| b.0.lift_kg[which].abs().total_cmp(&a.0.lift_kg[which].abs()));
    for (thing, at) in named {
        let kg = thing.lift_kg[which];
        let colour = if kg > 0.0 { BLUE_TEXT } else { VERMILION_TEXT };
        let lift = look.units.signed_text(Quantity::Mass, kg);
        let variants = [200.0, 150.0, 100.0].map(|room| {
            let name = font::fit(&font::clean(&thing.name), SMALL_PX, Weight::Bold, room);
            let torque = said::tips(look.units, thing.torque_nm[which]);
            [
                Label::headed(format!("{name} {lift}"), torque).sized(SMALL_PX).coloured(colour),
                Label::bold(format!("{name} {lift}")).sized(SMALL_PX).coloured(colour),
            ]
        });
        placer.put(scene, at, if kg > 0.0 { 0.75 } else { 0.25 }, &variants.concat());
    }
}

/// The outline with the lever's pivot at the lungs.
fn diver(scene: &mut Scene, placer: &mut Placer, look: &TrimLook<'_>, map: Map) {
    let stance = &look.facts.built.stance;
    let ankle = map.at(stance.joints().ankle);
    for stroke in stance.outline() {
        // the ankle stands over the foot, a quarter of its length before the heel
        if let body::Stroke::Foot(heel, toe) = stroke {
            scene.line(ankle, map.at(heel + (toe - heel) * 0.25), OUTLINE);
        }
        if let body::Stroke::Head { centre, radius_m } = stroke {
            let (centre, radius) = (map.at(centre), map.px_m * radius_m);
            scene.disc(centre, radius + 0.6, RULE);
            scene.disc(centre, radius - 0.6, PAPER);
            let square = Rect { left: centre.x, right: centre.x, top: centre.y, bottom: centre.y };
            placer.keep_clear(square.grown(0.8 * radius));
            continue;
        }
        let (from, to, _) = ends(&stroke);
        scene.line(map.at(from), map.at(to), OUTLINE);
        placer.keep_curve(&[map.at(from), map.at(to)]);
    }
    // the pivot, a wedge under the lungs
    let lungs = map.at(stance.lungs());
    wedge(scene, lungs);
    placer.keep_clear(Rect { left: lungs.x - 7.0, right: lungs.x + 7.0, top: lungs.y, bottom: lungs.y + 12.0 });
}

/// Arrows to one side, side by side; returns things to name, with the tips of their arrows.
fn arrows<'t>(
    scene: &mut Scene,
    placer: &mut Placer,
    map: Map,
    things: &'t [Thing],
    which: usize,
    up: bool,
) -> Vec<(&'t Thing, Point)> {
    let is_ours = |thing: &&Thing| (thing.lift_kg[which] > 0.0) == up && thing.lift_kg[which] != 0.0;
    let mut ours: Vec<&Thing> = things.iter().filter(is_ours).collect();
    ours.sort_by(|a, b| a.at.along_m.total_cmp(&b.at.along_m));
    let (large, small): (Vec<&Thing>, Vec<&Thing>) =
        ours.into_iter().partition(|thing| thing.lift_kg[which].abs() >= LEAST_KG);
    for thing in small {
        scene.disc(map.at(thing.at), SMALL_DOT_PX, RULE);
    }
    let wanted: Vec<f64> = large.iter().map(|thing| map.at(thing.at).x).collect();
    let placed = spread(&wanted, APART_PX, EDGE, map.width_px - EDGE);
    let mut named = Vec::new();
    for (thing, x) in large.into_iter().zip(placed) {
        let place = map.at(thing.at);
        let foot = Point::new(x, place.y);
        let tip = Point::new(x, place.y - map.px_kg * thing.lift_kg[which]);
        scene.line(place, foot, Stroke::solid(RULE, 0.9));
        scene.disc(place, 2.6, INK);
        arrow(scene, foot, tip);
        placer.keep_clear(Rect { left: x - 5.0, right: x + 5.0, top: foot.y.min(tip.y), bottom: foot.y.max(tip.y) });
        named.push((thing, tip));
    }
    named
}

/// An upright arrow: filled where it lifts, hollow where it sinks.
fn arrow(scene: &mut Scene, foot: Point, tip: Point) {
    let is_up = tip.y < foot.y;
    let colour: Rgb = if is_up { BLUE } else { VERMILION };
    let long = (tip.y - foot.y).abs().min(10.0) * if is_up { 1.0 } else { -1.0 };
    let neck = Point::new(tip.x, tip.y + long);
    let wide = 0.5 * long.abs();
    scene.line(foot, neck, Stroke::solid(colour, 2.2));
    let corners = [tip, Point::new(tip.x - wide, neck.y), Point::new(tip.x + wide, neck.y)];
    scene.area(&corners, if is_up { colour } else { PAPER }, 1.0);
    if !is_up {
        scene.curve(&[corners[0], corners[1], corners[2], corners[0]], Stroke::solid(colour, 1.6));
    }
}

/// What the arrows are, below both panels, in as many rows as the width asks for; returns the height of the picture.
fn key(scene: &mut Scene, units: UnitSystem, px_kg: f64, top: f64) -> f64 {
    // a round mass that is about a third of the longest arrow
    let shown = units.value(Quantity::Mass, LONGEST_PX / px_kg / 3.0);
    let round = [1.0, 2.0, 5.0, 10.0, 20.0].into_iter().rfind(|of| *of <= shown.max(1.0)).unwrap_or(1.0);
    let long = round / units.value(Quantity::Mass, 1.0) * px_kg;
    let mass = format!("{round} {}", units.symbol(Quantity::Mass));
    let words = [
        format!("{mass} that floats"),
        format!("{mass} that sinks"),
        "lungs, about which it turns".into(),
        format!("below {}", units.text(Quantity::Mass, LEAST_KG)),
    ];
    let (mut x, mut y) = (EDGE + 8.0, top);
    for (which, text) in words.into_iter().enumerate() {
        let wide = 14.0 + font::width(&text, SMALL_PX, Weight::Regular);
        if x + wide > scene.width - EDGE {
            (x, y) = (EDGE + 8.0, y + 36.0);
        }
        match which {
            0 => arrow(scene, Point::new(x, y + 0.5 * long), Point::new(x, y - 0.5 * long)),
            1 => arrow(scene, Point::new(x, y - 0.5 * long), Point::new(x, y + 0.5 * long)),
            2 => wedge(scene, Point::new(x, y - 6.0)),
            _ => scene.disc(Point::new(x, y), SMALL_DOT_PX, RULE),
        }
        let at = Point::new(x + 14.0, y + 0.36 * SMALL_PX);
        scene.text(Text { at, anchor: Anchor::Start, size: SMALL_PX, weight: Weight::Regular, colour: SOFT, text });
        x += wide + 24.0;
    }
    y + 28.0
}

/// The pivot: its tip, and what stands below.
fn wedge(scene: &mut Scene, tip: Point) {
    scene.area(&[tip, Point::new(tip.x - 7.0, tip.y + 12.0), Point::new(tip.x + 7.0, tip.y + 12.0)], INK, 1.0);
}

fn description(look: &TrimLook<'_>, moments: &[Moment; 2], things: &[Thing]) -> String {
    let one = |which: usize| {
        let named = things.iter().filter(|thing| thing.lift_kg[which].abs() >= LEAST_KG);
        let list: Vec<String> = named
            .map(|thing| {
                let lift = look.units.signed_text(Quantity::Mass, thing.lift_kg[which]);
                let torque = said::tips(look.units, thing.torque_nm[which]);
                format!("{} {lift}, {torque}", font::clean(&thing.name))
            })
            .collect();
        let moment = &moments[which];
        format!(
            "At the {}: {}; at rest {}. {}.",
            moment.name,
            said::tips(look.units, moment.at.torque_nm()),
            said::at_rest(look.facts, moment.at),
            list.join("; ")
        )
    };
    format!("The diver from the side, held level. {} {}", one(0), one(1))
}
