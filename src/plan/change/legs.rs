//! Levels of a dive that is written in legs.

use super::figure::written_like;
use super::levels::{LevelTo, Run, spread};
use super::{Sets, entry_key, written_depth_m};
use crate::estimate::KeyPath;
use crate::plan::file::{Dive, LegTable};
use crate::plan::unit::Length;
use crate::plan::written::Written;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, UnitSystem};

/// Two depths are one if they are no further apart, m: the written digits.
const SAME_M: f64 = 0.005;

pub(super) fn set(plan: &Plan, built: &Built, run: &Run, to: LevelTo, units: UnitSystem) -> Result<Sets, String> {
    let dive = plan.file().dive.as_ref().ok_or("the plan has no dive")?;
    match to {
        LevelTo::Depth(depth_m) => depth(plan, built, dive, run, depth_m, units),
        LevelTo::Length(length_s) => length(dive, run, length_s, units),
    }
}

fn key(leg: usize, key: &str) -> String {
    entry_key("dive.leg", leg, None).field(key).to_string()
}

fn depth(plan: &Plan, built: &Built, dive: &Dive, run: &Run, depth_m: f64, units: UnitSystem) -> Result<Sets, String> {
    check_ways(built, dive, run, depth_m)?;
    let written_m = written_depth_m(plan, built.scenario.water(), depth_m);
    let text = |old: &Written<Length>| written_like(Some(old.text()), Quantity::Length, written_m, units);
    // the way that leads to it, and ways within it that lead nowhere
    let before = (0..run.first).rev().find_map(|leg| Some((key(leg, "to"), dive.leg.get(leg)?.to.as_ref()?)));
    let before =
        before.or_else(|| Some((KeyPath::ROOT.field("dive").field("start").to_string(), dive.start.as_ref()?)));
    let (_, old) = before.as_ref().ok_or("the plan does not say this depth")?;
    let within = (run.first..=run.last).filter_map(|leg| Some((key(leg, "to"), dive.leg.get(leg)?.to.as_ref()?)));
    let old_m = old.estimate().map_or(f64::NAN, |old| old.value);
    let mut sets: Sets = before.clone().into_iter().chain(within).map(|(key, old)| (key, text(old))).collect();
    sets.extend(last_stop(dive, old_m, &text));
    Ok(sets)
}

/// The last stop of the plan, where it is written and is this depth.
pub(super) fn last_stop(
    dive: &Dive,
    old_m: f64,
    text: &dyn Fn(&Written<Length>) -> String,
) -> Option<(String, String)> {
    let last_stop = dive.last_stop.as_ref()?;
    let is_here = last_stop.estimate().is_ok_and(|one| (one.value - old_m).abs() < SAME_M);
    is_here.then(|| ("dive.last_stop".to_owned(), text(last_stop)))
}

/// A way with a speed must lead somewhere.
fn check_ways(built: &Built, dive: &Dive, run: &Run, depth_m: f64) -> Result<(), String> {
    let profile = built.written_profile();
    let has_speed = |leg: usize| dive.leg.get(leg).is_some_and(|leg| leg.speed.is_some());
    let before = run.first.checked_sub(1).filter(|way| has_speed(*way)).map(|way| profile.leg_start(way).1);
    let after = profile.legs().get(run.last + 1).filter(|_| has_speed(run.last + 1)).map(|leg| leg.end_m);
    match [before, after].into_iter().flatten().any(|other_m| (other_m - depth_m).abs() < 0.2) {
        true => Err("the dive is at that depth just before or after: there would be no way between".into()),
        false => Ok(()),
    }
}

fn length(dive: &Dive, run: &Run, length_s: f64, units: UnitSystem) -> Result<Sets, String> {
    let given = |leg: &LegTable| match (&leg.stay, &leg.over) {
        (Some(stay), _) => Some(("stay", stay.clone())),
        (None, Some(over)) => Some(("over", over.clone())),
        _ => None,
    };
    let legs = dive.leg.get(run.first..=run.last).unwrap_or_default();
    let written: Vec<_> = legs.iter().filter_map(given).collect();
    let lengths: Vec<f64> = written.iter().filter_map(|(_, one)| Some(one.estimate().ok()?.value)).collect();
    if lengths.len() != legs.len() {
        return Err("the plan does not say how long this takes".into());
    }
    let new = spread(lengths.clone(), length_s).ok_or("that is too short for the legs of this level")?;
    let changed = written.iter().zip(lengths.iter().zip(&new)).enumerate().filter(|(_, (_, (old, new)))| old != new);
    Ok(changed
        .map(|(i, ((word, old), (_, new)))| {
            (key(run.first + i, word), written_like(Some(old.text()), Quantity::Duration, *new, units))
        })
        .collect())
}
