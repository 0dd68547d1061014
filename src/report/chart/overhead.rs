//! Where the dive lies under an overhead: a hatched bar along the surface of the depth panel.

use crate::profile::OverheadTime;
use crate::report::chart::panel::Panel;
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{INK, SMALL_PX, Stroke};
use crate::report::chart::{Facts, hatch};
use crate::report::measure::Quantity;

/// Height of the bar, px.
const BAR_PX: f64 = 8.0;
/// Distance of its slanted lines, px.
const GAP_PX: f64 = 5.0;
/// The bar is at least so wide, px.
const LEAST_PX: f64 = 3.0;

/// Draws and names them; nothing where the way straight up is free all through.
pub(super) fn draw(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, depth: &Panel) {
    let Some(under) = &facts.findings.overhead else { return };
    let at = |time_s: f64| depth.at_x(facts.units.value(Quantity::Duration, time_s));
    let top = depth.rect.top;
    let bar = |time: &OverheadTime| {
        let left = at(time.start_s);
        let right = at(time.end_s).max(left + LEAST_PX).min(depth.rect.right);
        Rect { left, right, top, bottom: top + BAR_PX }
    };
    let bars: Vec<Rect> = under.times.iter().map(bar).collect();
    for bar in &bars {
        hatch::rect(scene, *bar, GAP_PX, Stroke::solid(INK, 0.9));
        let corners = [bar.left, bar.right].map(|x| Point::new(x, bar.bottom));
        scene.line(corners[0], corners[1], Stroke::solid(INK, 1.6));
        placer.keep_clear(*bar);
    }
    // the longest has most room for the name
    if let Some(longest) = bars.iter().max_by(|a, b| (a.right - a.left).total_cmp(&(b.right - b.left))) {
        let middle = Point::new(0.5 * (longest.left + longest.right), longest.bottom);
        let variants = ["overhead: no way straight up", "overhead"].map(|text| Label::plain(text).sized(SMALL_PX));
        placer.put(scene, middle, 0.75, &variants);
    }
}
