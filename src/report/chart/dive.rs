//! The dive: depth above, net lift with the wing empty below, what the diver could not swim up, and what would not stay
//! down.

use crate::findings::Extreme;
use crate::report::chart::lift::Lift;
use crate::report::chart::overhead;
use crate::report::chart::panel::{LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{Dash, GREEN, INK, SMALL_PX, Stroke};
use crate::report::chart::timeline::{column, depth_panel, interfaces, moves, shortages, watch};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Compared, Facts, Picture};
use crate::report::fins::{self, Fins};
use crate::report::measure::Quantity;
use crate::report::words;
use crate::units::MINUTE_S;

const HEIGHT: f64 = 600.0;
/// Free space right of the panels, px.
const RIGHT_PX: f64 = 26.0;

/// How the figure is laid out where it does not stand alone.
#[derive(Clone, Copy, Debug)]
pub struct DiveLook<'a> {
    /// Width of the picture, px.
    pub width_px: f64,
    /// Height of the picture, px.
    pub height_px: f64,
    /// Whether title and subject stand in the picture.
    pub has_heading: bool,
    /// Another plan, whose depth and net lift are drawn as thinner lines.
    pub other: Option<Compared<'a>>,
}

/// Draws it to stand alone.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let alone = DiveLook { width_px: WIDTH, height_px: HEIGHT, has_heading: true, other: None };
    Ok(dive(facts, &alone))
}

/// Draws the dive to be part of something. The `data-plot-…` attributes of its SVG tell where a pointer to a moment
/// belongs.
pub fn dive(facts: &Facts<'_>, look: &DiveLook<'_>) -> Picture {
    let message = message(facts);
    let mut scene = Scene::new(look.width_px, look.height_px);
    let heading_text = Heading { message: &message, subject: facts.title, note: facts.note };
    let top = if look.has_heading { heading(&mut scene, &heading_text) } else { 6.0 };
    let right = look.width_px - RIGHT_PX;
    let other = look.other.map(|other| Facts { rows: other.rows, findings: other.findings, ..*facts });
    let mut x = watch(facts).axis();
    x.high = other.as_ref().map_or(x.high, |other| watch(other).axis().high.max(x.high));
    let ticks = x.minute_ticks((look.width_px / 80.0) as usize);
    let bottom = look.height_px - 52.0;
    let depth_share = if facts.scenario.profile().changes().is_empty() { 0.36 } else { 0.41 };
    let split = top + depth_share * (bottom - top);
    let above = Rect { left: LEFT, top: top + 22.0, right, bottom: split };
    let below = Rect { left: LEFT, top: split + 42.0, right, bottom };

    let lift = Lift::new(facts, below, &x, look.other.as_ref().zip(other.as_ref()));
    lift.shade(&mut scene);
    let (depth, profile) = depth_panel(&mut scene, facts, above, &x, &ticks, &lift.spans_px());
    let mut placer = Placer::new(above.grown(-2.0));
    placer.keep_curve(&profile);
    if let Some(other) = &other {
        let depths = column(other, Quantity::Length, |i| other.rows.samples()[i].depth_m);
        // deeper than the panel shows, it is cut at its edge
        depth.clipped(&depths).iter().for_each(|run| placer.keep_curve(&scene.curve(run, OTHER)));
    }
    let waters = interfaces(&mut scene, &mut placer, facts, &depth);
    overhead::draw(&mut scene, &mut placer, facts, &depth);
    moves(&mut scene, &mut placer, facts, &depth, Some(below));
    shortages(&mut scene, &mut placer, facts, &depth);
    last_stop(&mut scene, &mut placer, facts, &depth);
    for (at, name) in waters {
        placer.put(&mut scene, at, 0.75, &[name]);
    }

    lift.panel.draw_x_grid(&mut scene, &ticks);
    lift.draw(&mut scene);
    lift.panel.draw_x(&mut scene, &ticks);
    // where a pointer to a moment belongs
    scene.data = vec![
        ("plot-left", below.left),
        ("plot-right", below.right),
        ("plot-top", above.top),
        ("plot-bottom", below.bottom),
        ("plot-seconds", lift.panel.x.high * MINUTE_S),
    ];
    Picture::new(scene, message, description(facts))
}

/// The curves of another plan.
pub(super) const OTHER: Stroke = Stroke::dashed(GREEN, 1.8, Dash::OneDot);

/// Something that a title says.
struct Said {
    /// what is said first: 0 a breach, 1 needless lead, 2 what is within
    rank: u8,
    text: String,
}

/// What the picture says: a limit that is broken first, then lead that is carried for nothing, then what is within.
fn message(facts: &Facts<'_>) -> String {
    let mut said = vec![swim_up(facts), stays_down(facts)];
    if facts.needless_kg > 0.0 {
        let needless = facts.units.text(Quantity::Mass, facts.needless_kg);
        said.push(Said { rank: 1, text: format!("{needless} of needless lead") });
    }
    said.sort_by_key(|said| said.rank);
    // a title is read at a glance: of three the first two
    let whole = said.into_iter().take(2).map(|said| said.text).collect::<Vec<_>>().join("; ");
    let mut letters = whole.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// Whether a failed wing could be swum up, and when not.
fn swim_up(facts: &Facts<'_>) -> Said {
    let wing = &facts.findings.failed_wing;
    let (start_s, end_s) = (facts.rows.first().time_s, facts.rows.last().time_s);
    let (watch, limit) = (watch(facts), Fins::of(facts.scenario).limit());
    let text = match wing.whole_beyond()[..] {
        [] => return Said { rank: 2, text: format!("within the {limit} all through") },
        [span] => match (span.start_s <= start_s + 1.0, span.end_s >= end_s - 1.0) {
            (true, true) => format!("beyond the {limit} from start to end"),
            (true, false) => format!("beyond the {limit} until {}", watch.title(span.end_s)),
            (false, true) => format!("beyond the {limit} from {} to the end", watch.title(span.start_s)),
            (false, false) => {
                let (from, until) = (watch.title(span.start_s), watch.title(span.end_s));
                let minutes = from.strip_prefix("minute ").zip(until.strip_prefix("minute "));
                match minutes {
                    Some((from, until)) => format!("beyond the {limit} from minute {from} to {until}"),
                    None => {
                        let (from, until) = (watch.number(span.start_s), watch.text(span.end_s));
                        format!("beyond the {limit} from {from} to {until}")
                    }
                }
            }
        },
        [..] => format!(
            "beyond the {limit} {} times, {} min in all",
            wing.whole_beyond().len(),
            facts.units.number(Quantity::Duration, wing.beyond_s())
        ),
    };
    Said { rank: 0, text }
}

/// Whether the diver stays down: at every stop at reserve, and all the way up as planned.
fn stays_down(facts: &Facts<'_>) -> Said {
    let found = facts.findings;
    let lightest = found.lightest_hold();
    let amount = words::small(facts.units, lightest.bare_kg);
    let stop = found.holds.iter().rev().find(|stop| stop.at_reserve == lightest);
    let depth = |m: f64| facts.units.text(Quantity::Length, m);
    let (from_s, to_s) = stop.map_or((lightest.time_s(), lightest.time_s()), |stop| (stop.start_s, stop.end_s));
    let floats = if fins::is_under(facts.scenario, from_s, to_s) { "presses against the ceiling" } else { "floats" };
    let text = match (lightest.holds(), stop) {
        (true, _) if facts.needless_kg > 0.0 => "every stop holds".to_owned(),
        (true, _) => format!("every stop holds, {amount} to spare with cylinders at reserve"),
        (false, Some(stop)) => {
            format!("with cylinders at reserve the diver {floats} at {}, {amount} too light", depth(stop.depth_m))
        }
        (false, None) => format!("the diver {floats} at {}, {amount} too light", depth(lightest.now.state.depth_m)),
    };
    Said { rank: if lightest.holds() { 2 } else { 0 }, text }
}

fn description(facts: &Facts<'_>) -> String {
    let (units, found, watch) = (facts.units, facts.findings, watch(facts));
    let point = |name: &str, at: &Extreme| {
        format!(
            "{name} {} at {}, {}",
            units.signed_text(Quantity::Mass, at.bare_kg),
            watch.text(at.time_s),
            units.text(Quantity::Length, at.depth_m)
        )
    };
    format!(
        "Depth and net lift with the wing empty over {}. {}. {}. {} {}. Last stop with cylinders at reserve \
         {}.",
        watch.text(facts.rows.last().time_s),
        point("Heavy point", &found.heavy),
        point("Light point", &found.light),
        Fins::of(facts.scenario).heading(),
        units.text(Quantity::Mass, found.failed_wing.capacity_kg),
        units.signed_text(Quantity::Mass, found.last_hold().at_reserve.bare_kg)
    )
}

fn last_stop(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, depth: &Panel) {
    let hold = facts.findings.last_hold();
    let at = |time_s: f64| {
        depth.at(facts.units.value(Quantity::Duration, time_s), facts.units.value(Quantity::Length, hold.depth_m))
    };
    let (from, to) = (at(hold.start_s), at(hold.end_s));
    for end in [from, to] {
        scene.line(Point::new(end.x, end.y - 6.0), Point::new(end.x, end.y + 6.0), Stroke::solid(INK, 1.4));
        placer.keep_clear(Rect { left: end.x, right: end.x, top: end.y, bottom: end.y }.grown(6.0));
    }
    let middle = Point::new(0.5 * (from.x + to.x), from.y);
    let label = format!("last stop {}", facts.units.text(Quantity::Length, hold.depth_m));
    placer.put(scene, middle, 0.75, &[Label::plain(label).sized(SMALL_PX)]);
}
