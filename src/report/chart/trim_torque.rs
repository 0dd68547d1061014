//! The torque of a diver held level over a dive, with its doubt and what fins and posture hold.

use crate::answer::LeadWhere;
use crate::findings::trim::{Gone, TrimAt};
use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, BLUE, BLUE_TEXT, Dash, GREEN, GREEN_TEXT, ORANGE, PAPER, RULE, SKY, SMALL_PX, Stroke,
};
use crate::report::chart::timeline::{Watch, triangle};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture, TrimLook};
use crate::report::measure::Quantity;
use crate::report::trim as said;
use crate::report::words::capital;
use crate::units::MINUTE_S;

/// Height of the picture without the strip of depth, px.
const HEIGHT: f64 = 490.0;
/// Height of the strip of depth, px, and where cylinders come and go, whose names stand in it.
const DEPTH_PX: f64 = 92.0;
const NAMED_DEPTH_PX: f64 = 150.0;
/// A split of the lead is drawn where somewhere it turns by this much less or more, N·m: half of what fins hold by choice
/// would be seen, a tenth not.
const SPLIT_NM: f64 = 2.0;

/// The curve of the plan, of the split, and the end of what is held.
const OWN: Stroke = Stroke::solid(BLUE, 2.4);
const SPLIT: Stroke = Stroke::dashed(GREEN, 1.8, Dash::OneDot);
const HOLD: Stroke = Stroke::dashed(ORANGE, 1.6, Dash::Long);

/// Draws the torque over the dive.
///
/// # Errors
/// A fault of the drawing library.
pub fn trim_torque(look: &TrimLook<'_>) -> Result<Picture, ChartError> {
    let course = &look.facts.trim.course;
    let Some(last) = course.last() else {
        return Err(ChartError::Nothing { figure: "trim-torque", missing: "a dive" });
    };
    let message = message(look);
    let depth_px = if look.facts.trim.gone.is_empty() { DEPTH_PX } else { NAMED_DEPTH_PX };
    let height = HEIGHT + depth_px;
    let mut scene = Scene::new(WIDTH, height);
    let top = heading(&mut scene, &Heading { message: &message, subject: look.title, note: look.note }) + 22.0;
    let x = Watch::of(last.time_s).axis();
    let ticks = x.minute_ticks(10);
    let right = WIDTH - 26.0;
    let above = Rect { left: LEFT, top, right, bottom: top + depth_px };
    let below = Rect { left: LEFT, top: above.bottom + 38.0, right, bottom: height - 52.0 };
    let torque = Panel { rect: below, x: x.clone(), y: axis(look) };
    shade(&mut scene, look, &torque);
    let depth = Panel { rect: above, x, y: depth_axis(look) };
    let profile = depths(&mut scene, look, &depth, &ticks);
    torque.draw_x_grid(&mut scene, &ticks);
    torque.draw_y(&mut scene);
    torque.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(below.grown(-2.0));
    changes(&mut scene, look, &depth, &profile, below);
    curves(&mut scene, &mut placer, look, &torque);
    labels(&mut scene, &mut placer, look, &torque);
    Ok(Picture::new(scene, message, description(look)))
}

/// What the picture says: how far it goes to each end, and what to hold against that.
fn message(look: &TrimLook<'_>) -> String {
    let (units, trim) = (look.units, &look.facts.trim);
    let (worst, said) = (trim.worst(), said::over_dive(units, trim));
    let half_width_nm = look.facts.doubt.half_width_nm;
    let ask = &look.facts.built.trim;
    let then = if half_width_nm > worst.torque_nm().abs() {
        format!("its doubt is ± {}, so it may hang either way", said::torque(units, half_width_nm))
    } else if worst.torque_nm().abs() > ask.hold_nm {
        format!("more than the {} that fins and posture are taken to hold", said::torque(units, ask.hold_nm))
    } else {
        format!("fins and posture are taken to hold {}", said::torque(units, ask.hold_nm))
    };
    format!("{}; {then}", capital(&said))
}

fn axis(look: &TrimLook<'_>) -> Axis {
    let (facts, units) = (look.facts, look.units);
    let widths = &facts.doubt.course_half_width_nm;
    let band = facts.trim.course.iter().zip(widths).flat_map(|(at, half_nm)| {
        let nm = at.torque_nm();
        [nm - half_nm, nm + half_nm]
    });
    let held_nm = facts.built.trim.hold_nm + facts.built.trim.hold_half_width_nm;
    let split = better(look).map_or(&[][..], |lead| &lead.split_course_nm);
    let values = band.chain(split.iter().copied()).chain([0.0, held_nm, -held_nm]);
    let title = format!("torque held level, {} (+ feet-heavy, − head-heavy)", units.symbol(Quantity::Torque));
    let values = values.map(|nm| units.value(Quantity::Torque, nm));
    Axis { signed: true, ..Axis::covering(title, values, 0.10) }
}

fn depth_axis(look: &TrimLook<'_>) -> Axis {
    let depth = |at: &TrimAt| look.units.value(Quantity::Length, at.depth_m);
    let title = format!("depth, {}", look.units.symbol(Quantity::Length));
    let depths = look.facts.trim.course.iter().map(depth).chain([0.0]);
    // room for the names of cylinders that come and go
    let room_frac = if look.facts.trim.gone.is_empty() { 0.18 } else { 0.45 };
    Axis { downwards: true, ..Axis::covering(title, depths, room_frac) }
}

/// The split of the lead, where it makes a curve of its own.
fn better<'a>(look: &TrimLook<'a>) -> Option<&'a LeadWhere> {
    let most = |nm: &mut dyn Iterator<Item = f64>| nm.map(f64::abs).fold(0.0, f64::max);
    let own_nm = most(&mut look.facts.trim.course.iter().map(TrimAt::torque_nm));
    look.facts.lead.as_ref().filter(|lead| {
        (most(&mut lead.split_course_nm.iter().copied()) - own_nm).abs() >= SPLIT_NM && lead.split_times_s.len() > 1
    })
}

/// Where a moment and a torque are.
fn at(look: &TrimLook<'_>, panel: &Panel, time_s: f64, nm: f64) -> Point {
    panel.at(time_s / MINUTE_S, look.units.value(Quantity::Torque, nm))
}

/// What is held, and the doubt of the torque.
fn shade(scene: &mut Scene, look: &TrimLook<'_>, panel: &Panel) {
    let (facts, rect) = (look.facts, panel.rect);
    let ask = &facts.built.trim;
    let mut held = |nm: f64, alpha: f64| {
        let y = |nm: f64| panel.at_y(look.units.value(Quantity::Torque, nm));
        scene.fill(Rect { top: y(nm), bottom: y(-nm), ..rect }, ORANGE, alpha);
    };
    held(ask.hold_nm + ask.hold_half_width_nm, 0.10);
    held((ask.hold_nm - ask.hold_half_width_nm).max(0.0), 0.12);
    let widths = &facts.doubt.course_half_width_nm;
    let side = |sign: f64| {
        let one = move |(of, half_nm): (&TrimAt, &f64)| at(look, panel, of.time_s, of.torque_nm() + sign * half_nm);
        facts.trim.course.iter().zip(widths).map(one).collect::<Vec<_>>()
    };
    let outline: Vec<Point> = side(1.0).into_iter().chain(side(-1.0).into_iter().rev()).collect();
    scene.area(&outline, SKY, 0.35);
}

/// The strip of depth; returns its curve.
fn depths(scene: &mut Scene, look: &TrimLook<'_>, panel: &Panel, ticks: &[f64]) -> Vec<Point> {
    let point = |of: &TrimAt| panel.at(of.time_s / MINUTE_S, look.units.value(Quantity::Length, of.depth_m));
    let points: Vec<Point> = look.facts.trim.course.iter().map(point).collect();
    let surface = [points[points.len() - 1], points[0]].map(|of| Point::new(of.x, panel.rect.top));
    scene.area(&points.iter().copied().chain(surface).collect::<Vec<_>>(), SKY, 0.16);
    panel.draw_x_grid(scene, ticks);
    panel.draw_y(scene);
    scene.curve(&points, Stroke::solid(BLUE, 1.6))
}

/// Zero, what is held, the split and the plan's own torque, in that order.
fn curves(scene: &mut Scene, placer: &mut Placer, look: &TrimLook<'_>, panel: &Panel) {
    let rect = panel.rect;
    let hold_nm = look.facts.built.trim.hold_nm;
    for (nm, stroke) in [(0.0, Stroke::solid(BLACK, 1.2)), (hold_nm, HOLD), (-hold_nm, HOLD)] {
        let y = panel.at_y(look.units.value(Quantity::Torque, nm));
        let ends = [Point::new(rect.left, y), Point::new(rect.right, y)];
        scene.line(ends[0], ends[1], stroke);
        placer.keep_curve(&ends);
    }
    if let Some(lead) = better(look) {
        let points = lead.split_times_s.iter().zip(&lead.split_course_nm).map(|(s, nm)| at(look, panel, *s, *nm));
        placer.keep_curve(&scene.curve(&points.collect::<Vec<_>>(), SPLIT));
    }
    let points = look.facts.trim.course.iter().map(|of| at(look, panel, of.time_s, of.torque_nm()));
    placer.keep_curve(&scene.curve(&points.collect::<Vec<_>>(), OWN));
    let trim = &look.facts.trim;
    for of in [trim.head_heaviest, trim.feet_heaviest] {
        let mark = at(look, panel, of.time_s, of.torque_nm());
        scene.disc(mark, 6.5, PAPER);
        scene.disc(mark, 5.0, BLUE);
        placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(6.0));
    }
}

fn labels(scene: &mut Scene, placer: &mut Placer, look: &TrimLook<'_>, panel: &Panel) {
    let (facts, units) = (look.facts, look.units);
    let trim = &facts.trim;
    let end_s = trim.course.last().map_or(0.0, |of| of.time_s);
    let small = |label: Label| label.sized(SMALL_PX);
    for (of, prefer) in [(trim.head_heaviest, 0.25), (trim.feet_heaviest, 0.75)] {
        let torque = said::tips(units, of.torque_nm());
        let moment = Watch::of(end_s).text(of.time_s);
        let variants = [Label::headed(torque.clone(), format!("at {moment}")), Label::bold(torque)];
        placer.put(scene, at(look, panel, of.time_s, of.torque_nm()), prefer, &variants.map(small));
    }
    let ask = &facts.built.trim;
    let range = format!(
        "{} ± {}",
        units.number(Quantity::Torque, ask.hold_nm),
        units.text(Quantity::Torque, ask.hold_half_width_nm)
    );
    let whose = if ask.is_hold_written { "your choice" } else { "a choice, no measured figure" };
    let variants = [
        format!("fins and posture hold {range}: {whose}"),
        format!("held: {range}, {whose}"),
        format!("held: {range}"),
    ];
    let near = at(look, panel, 0.72 * end_s, -ask.hold_nm);
    placer.put(scene, near, 0.25, &variants.map(|text| small(Label::plain(text))));
    if let Some(lead) = better(look) {
        let i = lead.split_times_s.iter().position(|s| *s >= 0.35 * end_s).unwrap_or_default();
        let near = at(look, panel, lead.split_times_s[i], lead.split_course_nm[i]);
        let what = units.text(Quantity::Mass, lead.lead.lead_kg);
        let variants = [format!("{what} of lead over its best places"), "lead over its best places".into()];
        placer.put(scene, near, 0.75, &variants.map(|text| small(Label::plain(text)).coloured(GREEN_TEXT)));
    }
    let i = trim.course.iter().position(|of| of.time_s >= 0.55 * end_s).unwrap_or_default();
    let (of, half_nm) = (trim.course[i], facts.doubt.course_half_width_nm[i]);
    let text = format!("where it lies with 95 %: ± {}", units.text(Quantity::Torque, half_nm));
    let variants = [text, format!("95 %: ± {}", units.text(Quantity::Torque, half_nm))];
    let near = at(look, panel, of.time_s, of.torque_nm() + 0.7 * half_nm);
    placer.put(scene, near, 0.75, &variants.map(|text| small(Label::plain(text)).coloured(BLUE_TEXT)));
}

/// Marks where cylinders come and go: a triangle on the depth with their names, and a dotted line through `below`.
fn changes(scene: &mut Scene, look: &TrimLook<'_>, depth: &Panel, profile: &[Point], below: Rect) {
    let rig = look.facts.built.scenario.rig();
    let mut placer = Placer::new(depth.rect.grown(-2.0));
    placer.keep_curve(profile);
    let groups = || look.facts.trim.gone.chunk_by(|a, b| a.after.time_s == b.after.time_s);
    let point = |of: &TrimAt| depth.at(of.time_s / MINUTE_S, look.units.value(Quantity::Length, of.depth_m));
    for group in groups() {
        let mark = point(&group[0].after);
        let ends = [below.top, below.bottom].map(|y| Point::new(mark.x, y));
        scene.line(ends[0], ends[1], Stroke::dashed(RULE, 1.0, Dash::Dots));
        triangle(scene, mark, group[0].comes);
        placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(7.0));
    }
    for group in groups() {
        let named = |room_px: f64| {
            let one = |gone: &Gone| {
                let name = font::clean(rig.cylinders[gone.cylinder].name());
                let word = if gone.comes { "comes" } else { "goes" };
                format!("{} {word}", font::fit(&name, SMALL_PX, Weight::Regular, room_px))
            };
            Label::plain(group.iter().map(one).collect::<Vec<_>>().join(", ")).sized(SMALL_PX)
        };
        let count = Label::plain(format!("{} cylinders", group.len())).sized(SMALL_PX);
        let variants = [named(200.0), named(110.0), named(60.0), count];
        let told = if group.len() > 1 { &variants[..] } else { &variants[..3] };
        placer.put(scene, point(&group[0].after), 0.25, told);
    }
}

fn description(look: &TrimLook<'_>) -> String {
    let (units, facts) = (look.units, look.facts);
    let trim = &facts.trim;
    let watch = Watch::of(trim.course.last().map_or(0.0, |at| at.time_s));
    let one = |of: &TrimAt| {
        let depth = units.text(Quantity::Length, of.depth_m);
        format!("{} at {}, {depth}", said::tips(units, of.torque_nm()), watch.text(of.time_s))
    };
    let doubt = said::torque(units, facts.doubt.half_width_nm);
    format!(
        "Torque of the diver held level over {}. Head heaviest: {}. Feet heaviest: {}. Known to ± {doubt} at the worst \
         moment.",
        watch.text(trim.course.last().map_or(0.0, |at| at.time_s)),
        one(&trim.head_heaviest),
        one(&trim.feet_heaviest)
    )
}
