//! Levels of a dive that is written by its depth and time.

use toml_edit::{Array, Value};

use super::figure::{time, written_like};
use super::legs::last_stop;
use super::levels::{LevelTo, Run};
use super::{Sets, written_depth_m};
use crate::plan::assemble::depth_and_time;
use crate::plan::file::{Dive, Stops};
use crate::plan::unit::{Duration, Length};
use crate::plan::written::Written;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, UnitSystem};

pub(super) fn set(plan: &Plan, built: &Built, run: &Run, to: LevelTo, units: UnitSystem) -> Result<Sets, String> {
    let dive = plan.file().dive.as_ref().ok_or("the plan has no dive")?;
    let written_m = |depth_m: f64| written_depth_m(plan, built.scenario.water(), depth_m);
    let Some(stop) = run.stop else {
        return Ok(vec![match (to, &dive.depth, &dive.time) {
            (LevelTo::Depth(depth_m), Some(depth), _) => {
                ("dive.depth".into(), written_like(Some(depth.text()), Quantity::Length, written_m(depth_m), units))
            }
            // the way down belongs to the time
            (LevelTo::Length(length_s), _, Some(_)) => ("dive.time".into(), time(run.start_s + length_s)),
            _ => return Err("the plan does not say this".into()),
        }]);
    };
    let text =
        |old: &Written<Length>, depth_m| written_like(Some(old.text()), Quantity::Length, written_m(depth_m), units);
    let Some(stops) = &dive.stops else { return Ok(usual(dive, run, to, units, &written_m)) };
    let (index, depth, stay) = listed(stops, stop).ok_or("the plan does not say this stop")?;
    let mut sets = Sets::new();
    let new = match to {
        LevelTo::Depth(depth_m) => {
            let old_m = depth.estimate().map_or(f64::NAN, |old| old.value);
            sets.extend(last_stop(dive, old_m, &|old| text(old, depth_m)));
            format!("{} {}", text(&depth, depth_m), stay.text())
        }
        LevelTo::Length(length_s) => format!("{} {}", depth.text(), time(length_s)),
    };
    let list = stops.0.iter().enumerate().map(|(i, old)| if i == index { new.as_str() } else { old });
    sets.push(("dive.stops".into(), array(list)));
    Ok(sets)
}

/// A stop of the list by its place on the way up.
fn listed(stops: &Stops, stop: usize) -> Option<(usize, Written<Length>, Written<Duration>)> {
    let read = |(i, text): (usize, &String)| depth_and_time(text).map(|(depth, stay)| (i, depth, stay));
    let mut list: Vec<_> = stops.0.iter().enumerate().filter_map(read).collect();
    let depth_m = |one: &Written<Length>| one.estimate().map_or(f64::NAN, |one| one.value);
    list.sort_by(|a, b| depth_m(&b.1).total_cmp(&depth_m(&a.1)));
    (stop < list.len()).then(|| list.swap_remove(stop))
}

/// The stop of a dive that lists none.
fn usual(dive: &Dive, run: &Run, to: LevelTo, units: UnitSystem, written_m: &dyn Fn(f64) -> f64) -> Sets {
    let write = |old: Option<&Written<Length>>, depth_m: f64| {
        written_like(old.map(|old| old.text()), Quantity::Length, written_m(depth_m), units)
    };
    match (to, &dive.last_stop) {
        (LevelTo::Depth(depth_m), Some(old)) => vec![("dive.last_stop".into(), write(Some(old), depth_m))],
        (LevelTo::Depth(depth_m), None) => {
            let stop = format!("{} {}", write(None, depth_m), time(run.end_s - run.start_s));
            vec![("dive.stops".into(), array([stop.as_str()].into_iter()))]
        }
        (LevelTo::Length(length_s), last_stop) => {
            // the usual depth as it is, whatever the reader's units
            let usual = || written_like(None, Quantity::Length, written_m(run.depth_m), UnitSystem::Metric);
            let depth = last_stop.as_ref().map_or_else(usual, |old| old.text().to_owned());
            vec![("dive.stops".into(), array([format!("{depth} {}", time(length_s)).as_str()].into_iter()))]
        }
    }
}

fn array<'t>(list: impl Iterator<Item = &'t str>) -> String {
    Value::Array(list.collect::<Array>()).to_string().trim().to_owned()
}
