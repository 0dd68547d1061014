//! What pressure alone would do to the gas on the diver: on the way down nothing added, on the way up nothing vented. Foam,
//! into which nothing can be added, always does so.

use crate::report::chart::Facts;
use crate::report::chart::ends::{End, Ends};
use crate::report::chart::gas::NOTHING_M3;
use crate::report::chart::panel::{Axis, Panel};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::Rect;
use crate::report::chart::style::{BLUE, Dash, GREEN, PURPLE, SMALL_PX, SOFT, Stroke};
use crate::report::measure::Quantity;
use crate::sim::Sample;

/// A bag whose volume changes by less than this share is left out.
const SAME_FRAC: f64 = 0.05;

/// A bag left to itself.
pub(super) struct Ghost {
    name: &'static str,
    stroke: Stroke,
    /// time and volume on the way down and on the way up, in the reader's units
    ways: Vec<Vec<(f64, f64)>>,
    /// what the volumes come to, in words
    remark: String,
}

impl Ghost {
    /// Name and remark.
    pub fn texts(&self) -> (String, String) {
        (self.name.to_owned(), self.remark.clone())
    }
}

/// The bags that pressure would change, in the order wing, suit, foam.
pub(super) fn ghosts(facts: &Facts<'_>) -> Vec<Ghost> {
    let rows = facts.rows.samples();
    let deepest = rows.iter().map(|row| row.ambient_pa).fold(0.0, f64::max);
    let at_bottom = |row: &Sample| row.ambient_pa >= deepest * (1.0 - 1e-9);
    let Some(arrive) = rows.iter().position(at_bottom) else { return Vec::new() };
    let leave = rows.iter().rposition(at_bottom).unwrap_or(arrive);
    let ways = [(0, arrive), (leave, rows.len() - 1)];
    type Volume = fn(&Sample) -> f64;
    let bags: [(&str, Stroke, Volume); 2] = [
        ("wing", Stroke::dashed(BLUE, 2.0, Dash::Long), |row| row.wing_m3),
        ("suit", Stroke::dashed(GREEN, 2.0, Dash::OneDot), |row| row.suit_m3),
    ];
    let alone = bags.into_iter().filter_map(|(name, stroke, volume_m3)| {
        let way = |&(from, to): &(usize, usize)| {
            let start = &rows[from];
            // p·V stays: Boyle, in water of one temperature
            let volume = |row: &Sample| volume_m3(start) * start.ambient_pa / row.ambient_pa;
            told(facts, &rows[from..=to], volume)
        };
        ghost(facts, name, stroke, ways.iter().map(way).collect())
    });
    let foam = told(facts, rows, |row| row.foam_m3);
    alone.chain(ghost(facts, "foam", Stroke::dashed(PURPLE, 2.0, Dash::Short), vec![foam])).collect()
}

/// Time and volume of some rows, in the reader's units.
fn told(facts: &Facts<'_>, rows: &[Sample], volume_m3: impl Fn(&Sample) -> f64) -> Vec<(f64, f64)> {
    let units = facts.units;
    rows.iter()
        .map(|row| (units.value(Quantity::Duration, row.time_s), units.value(Quantity::Volume, volume_m3(row))))
        .collect()
}

/// A bag with what its volumes come to; none if they hardly change.
fn ghost(facts: &Facts<'_>, name: &'static str, stroke: Stroke, ways: Vec<Vec<(f64, f64)>>) -> Option<Ghost> {
    let volumes = || ways.iter().flatten().map(|(_, volume)| *volume);
    let (low, high) = (volumes().fold(f64::INFINITY, f64::min), volumes().fold(0.0, f64::max));
    let nothing = facts.units.value(Quantity::Volume, NOTHING_M3);
    if high <= nothing || high - low < SAME_FRAC * high {
        return None;
    }
    let decimals = facts.units.decimals(Quantity::Volume);
    let number = |volume: f64| crate::report::measure::fixed(volume, decimals);
    let unit = facts.units.symbol(Quantity::Volume);
    Some(Ghost { name, stroke, ways, remark: format!("{} to {} {unit}", number(low), number(high)) })
}

/// Draws them into a panel: its rectangle, its horizontal axis and the ticks of that.
pub(super) fn draw(
    scene: &mut Scene,
    facts: &Facts<'_>,
    ghosts: &[Ghost],
    (rect, x, ticks): (Rect, &Axis, &[f64]),
    ends: &Ends,
) {
    let title = format!("pressure alone, nothing added and nothing vented, {}", facts.units.symbol(Quantity::Volume));
    let values = ghosts.iter().flat_map(|ghost| ghost.ways.iter().flatten()).map(|(_, volume)| *volume);
    let panel = Panel { rect, x: x.clone(), y: Axis::covering(title, values.chain([0.0]), 0.06) };
    panel.draw_x_grid(scene, ticks);
    panel.draw_y(scene);
    panel.draw_x(scene, ticks);
    let mut placer = Placer::new(rect.grown(-2.0));
    let mut lasts = Vec::new();
    for ghost in ghosts {
        let curves = ghost.ways.iter().map(|way| way.iter().map(|(t, v)| panel.at(*t, *v)).collect::<Vec<_>>());
        for curve in curves {
            placer.keep_curve(&scene.curve(&curve, ghost.stroke));
            lasts.push((ghost, curve[curve.len() - 1]));
        }
    }
    // the ways of the first bag that a diver can fill and empty
    if let Some([down, up]) = ghosts.iter().find_map(|ghost| <&[_; 2]>::try_from(ghost.ways.as_slice()).ok()) {
        for (way, name, prefer) in [(down, "down, nothing added", 0.0), (up, "up, nothing vented", 0.6)] {
            let (time, volume) = way[way.len() / 2];
            if way.len() > 1 {
                placer.put(scene, panel.at(time, volume), prefer, &[Label::plain(name).sized(SMALL_PX).coloured(SOFT)]);
            }
        }
    }
    let of_each: Vec<End> = ghosts
        .iter()
        .map(|ghost| {
            let last = lasts.iter().rfind(|(one, _)| one.name == ghost.name).map(|(_, at)| *at);
            let (name, remark) = ghost.texts();
            End { at: last, wanted_y: last.map_or(rect.bottom, |at| at.y), stroke: ghost.stroke, name, remark }
        })
        .collect();
    ends.draw(scene, &panel, &of_each);
}
