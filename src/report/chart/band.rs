//! The control band at each stop against the lead: why needless lead makes a diver struggle.

use crate::answer::StopBand;
use crate::report::chart::ends::{End, Ends};
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLACK, Dash, INK, SKY, SMALL_PX, Stroke, series};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture};
use crate::report::lead::ballast_kg;
use crate::report::measure::Quantity;

const HEIGHT: f64 = 520.0;
/// Bands deeper down than this many of the widest band upwards are cut off.
const CUT: f64 = 3.0;
/// At most so many stops are drawn: the shallowest, where the band is narrowest.
const STOPS: usize = 6;

/// A side of a stop's band against lead, in the reader's units; upwards is positive.
type Side = Vec<(f64, f64)>;

struct Stop {
    depth_m: f64,
    up: Side,
    down: Side,
}

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let stops = stops(facts);
    if facts.leads.len() < 2 || stops.is_empty() {
        return Err(ChartError::Nothing { figure: "band", missing: "stops, and at least two amounts of lead" });
    }
    let message = message(facts, &stops);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 22.0;
    let bottom = HEIGHT - 52.0;
    let texts: Vec<_> = stops.iter().map(|stop| names(facts, stop)).collect();
    let ends = Ends::set(&texts, bottom - top);
    let rect = Rect { left: LEFT, top, right: WIDTH - EDGE - ends.margin, bottom };
    let panel = panel(facts, &stops, rect);
    let ticks = panel.x.ticks(8);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(rect.grown(-2.0));
    let zero = [Point::new(rect.left, panel.at_y(0.0)), Point::new(rect.right, panel.at_y(0.0))];
    scene.line(zero[0], zero[1], Stroke::solid(BLACK, 1.2));
    placer.keep_curve(&zero);

    // the shallowest stop, where the band is narrowest, is filled
    if stops[0].up.len() == stops[0].down.len() {
        let outline = |side: &Side| side.iter().map(|(x, y)| panel.at(*x, y.max(panel.y.low))).collect::<Vec<_>>();
        let (up, down) = (outline(&stops[0].up), outline(&stops[0].down));
        scene.area(&up.into_iter().chain(down.into_iter().rev()).collect::<Vec<_>>(), SKY, 0.18);
    }
    let mut lasts = Vec::new();
    for (n, (stop, (name, remark))) in stops.iter().zip(&texts).enumerate() {
        let stroke = series(n);
        for side in [&stop.up, &stop.down] {
            for run in panel.clipped(side) {
                placer.keep_curve(&scene.curve(&run, stroke));
            }
        }
        let at = stop.up.last().map(|(x, y)| panel.at(*x, *y));
        lasts.push(End { at, wanted_y: at.map_or(top, |at| at.y), stroke, name: name.clone(), remark: remark.clone() });
    }
    ends.draw(&mut scene, &panel, &lasts);
    own_lead(&mut scene, &mut placer, facts, &panel);
    Ok(Picture::new(
        scene,
        message,
        "How far the diver may drift up or down from each stop before a breath can no longer trim it.",
    ))
}

fn stops(facts: &Facts<'_>) -> Vec<Stop> {
    let count = facts.leads.iter().map(|lead| lead.stops.len()).min().unwrap_or(0);
    let mut stops: Vec<Stop> = (0..count)
        .map(|i| {
            let side = |depth_m: &dyn Fn(&StopBand) -> Option<f64>| -> Side {
                let at = facts.leads.iter().filter_map(|lead| depth_m(&lead.stops[i]).map(|m| (lead.lead_kg, m)));
                at.map(|(kg, m)| (facts.units.value(Quantity::Mass, kg), facts.units.value(Quantity::Length, m)))
                    .collect()
            };
            Stop {
                depth_m: facts.leads[0].stops[i].depth_m,
                up: side(&|stop| Some(stop.up_m)),
                down: side(&|stop| stop.down_m.map(|m| -m)),
            }
        })
        .collect();
    stops.sort_by(|a, b| a.depth_m.total_cmp(&b.depth_m));
    stops.truncate(STOPS);
    stops
}

fn names(facts: &Facts<'_>, stop: &Stop) -> (String, String) {
    let name = format!("at {}", facts.units.text(Quantity::Length, stop.depth_m));
    let last = |side: &Side| side.last().map(|(_, y)| crate::report::measure::fixed(y.abs(), 1));
    let up = last(&stop.up).unwrap_or_default();
    let remark = match last(&stop.down) {
        Some(down) => format!("{up} up, {down} down"),
        None => format!("{up} up, any down"),
    };
    (name, remark)
}

fn message(facts: &Facts<'_>, stops: &[Stop]) -> String {
    let stop = &stops[0];
    let (Some(first), Some(last)) = (stop.up.first(), stop.up.last()) else { return String::new() };
    let (mass, depth) = (facts.units.symbol(Quantity::Mass), facts.units.symbol(Quantity::Length));
    let number = |value: f64| crate::report::measure::fixed(value, 1);
    let at = facts.units.text(Quantity::Length, stop.depth_m);
    if facts.scenario.rig().breathing_loop.is_some() && first.1.max(last.1) < 0.05 {
        return format!("On the loop a breath only moves gas: at {at} there is no control band, whatever the lead");
    }
    if last.1 < first.1 - 0.05 {
        format!(
            "More lead narrows the control band: at {at} from {} {depth} up with {} {mass} to {} {depth} with {} {mass}",
            number(first.1),
            number(first.0),
            number(last.1),
            number(last.0)
        )
    } else {
        format!("Lead hardly changes the control band at {at}: {} {depth} upwards", number(last.1))
    }
}

fn panel(facts: &Facts<'_>, stops: &[Stop], rect: Rect) -> Panel {
    let units = facts.units;
    let leads = facts.leads.iter().map(|lead| units.value(Quantity::Mass, lead.lead_kg));
    let x = Axis::covering(format!("lead, {}", units.symbol(Quantity::Mass)), leads, 0.0);
    let highest = stops.iter().flat_map(|stop| &stop.up).map(|(_, y)| *y).fold(0.0, f64::max);
    let lowest = stops.iter().flat_map(|stop| &stop.down).map(|(_, y)| *y).fold(0.0, f64::min);
    let title = format!("control band, {} (+ up, − down)", units.symbol(Quantity::Length));
    let values = [0.0, highest, lowest.max(-CUT * highest.max(1e-3))];
    let y = Axis { signed: true, ..Axis::covering(title, values, 0.12) };
    Panel { rect, x, y }
}

/// An upright line at the plan's own lead.
fn own_lead(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) {
    let lead_kg = ballast_kg(facts.scenario);
    let lead = facts.units.value(Quantity::Mass, lead_kg);
    if lead < panel.x.low || lead > panel.x.high {
        return;
    }
    let (from, to) = (panel.at(lead, panel.y.low), panel.at(lead, panel.y.high));
    scene.line(from, to, Stroke::dashed(INK, 1.2, Dash::Short));
    placer.keep_curve(&[from, to]);
    let label = format!("this plan, {}", facts.units.text(Quantity::Mass, lead_kg));
    placer.put(scene, Point::new(to.x, to.y + 14.0), 0.0, &[Label::plain(label).sized(SMALL_PX)]);
}
