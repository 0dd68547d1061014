//! What makes an answer doubtful: the share of each input in its variance.

use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, EDGE, Panel, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLUE, INK, SMALL_PX, SOFT, Stroke};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture, hatch};
use crate::report::measure::fixed;

const ROW_PX: f64 = 28.0;
const BAR_PX: f64 = 15.0;
const NAME_PX: f64 = 230.0;
const REMARK_PX: f64 = 210.0;
/// More rows than this are added up in a last one.
const ROWS: usize = 14;

/// An input's share.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// Name of the input.
    pub name: String,
    /// Share that it has alone, 0..1.
    pub alone_frac: f64,
    /// Share that it has together with others, 0..1, at least `alone_frac`; equal to it where nothing acts together.
    pub total_frac: f64,
    /// A few words or a number beside the bar.
    pub remark: String,
}

/// Draws shares as bars, in the order given.
///
/// # Errors
/// No share, or a fault of the drawing library.
pub fn shares(title: &str, subject: &str, shares: &[Share]) -> Result<Picture, ChartError> {
    if shares.is_empty() {
        return Err(ChartError::Nothing { figure: "shares", missing: "an input with a doubt" });
    }
    let rows = lumped(shares);
    let title = font::clean(title);
    let mut scene = Scene::new(WIDTH, 200.0);
    let top = heading(&mut scene, &Heading { message: &title, subject, note: None }) + 8.0;
    let bottom = top + ROW_PX * rows.len() as f64 + 6.0;
    scene.height = bottom + 52.0;
    let most = rows.iter().map(|row| row.total_frac.max(row.alone_frac)).fold(0.0, f64::max);
    let x = Axis {
        title: "share of the variance, %".into(),
        low: 0.0,
        high: (108.0 * most).clamp(1.0, 108.0),
        signed: false,
        downwards: false,
    };
    let rect = Rect { left: EDGE + NAME_PX + 10.0, top, right: WIDTH - EDGE - REMARK_PX, bottom };
    let panel = Panel { rect, x, y: Axis::covering("", [], 0.0) };
    let ticks = panel.x.ticks(5);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_x(&mut scene, &ticks);
    for (n, row) in rows.iter().enumerate() {
        let y = top + ROW_PX * (n as f64 + 0.5) + 2.0;
        let bar = |frac: f64| Rect {
            left: rect.left,
            right: panel.at_x(100.0 * frac.clamp(0.0, 1.0)).max(rect.left + 0.5),
            top: y - 0.5 * BAR_PX,
            bottom: y + 0.5 * BAR_PX,
        };
        let (alone, total) = (bar(row.alone_frac), bar(row.total_frac));
        scene.fill(alone, BLUE, 1.0);
        if total.right > alone.right + 1.0 {
            // together with others: hatched
            hatch::rect(&mut scene, Rect { left: alone.right, ..total }, 5.0, Stroke::solid(BLUE, 1.0));
        }
        let mut text = |x: f64, anchor: Anchor, colour, text: String| {
            let at = Point::new(x, y + 0.36 * SMALL_PX);
            scene.text(Text { at, anchor, size: SMALL_PX, weight: Weight::Regular, colour, text });
        };
        let name = font::fit(&font::clean(&row.name), SMALL_PX, Weight::Regular, NAME_PX);
        text(rect.left - 8.0, Anchor::End, INK, name);
        let percent = format!("{} %", fixed(100.0 * row.alone_frac, 0));
        let remark = if row.remark.is_empty() { percent } else { format!("{percent} · {}", font::clean(&row.remark)) };
        text(rect.right + 8.0, Anchor::Start, SOFT, font::fit(&remark, SMALL_PX, Weight::Regular, REMARK_PX - 8.0));
    }
    Ok(Picture::new(scene, title, "Share of each input in the variance: filled alone, hatched together with others."))
}

/// The rows that are drawn: the last one adds up what would be too many.
fn lumped(shares: &[Share]) -> Vec<Share> {
    if shares.len() <= ROWS {
        return shares.to_vec();
    }
    let (shown, rest) = shares.split_at(ROWS - 1);
    let sum = |frac: fn(&Share) -> f64| rest.iter().map(frac).sum();
    let others = Share {
        name: format!("{} others", rest.len()),
        alone_frac: sum(|share| share.alone_frac),
        total_frac: sum(|share| share.total_frac),
        remark: String::new(),
    };
    shown.iter().cloned().chain([others]).collect()
}
