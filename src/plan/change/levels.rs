//! The level stretches of a dive, and how they are moved and made longer.

use super::{Sets, legs, rows, short};
use crate::plan::{Built, Plan};
use crate::profile::Profile;
use crate::units::UnitSystem;

/// Legs from which on nothing of a dive can be moved: a record of an instrument, and no plan.
const MANY_LEGS: usize = 200;
/// Shortest part of a level, s.
pub(super) const SHORTEST_S: f64 = 6.0;

/// A level stretch below the surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// By which [`move_level`] knows it: `leg 2`, in a profile with rows `row 7`, of a short dive `bottom` and `stop 1`.
    pub id: String,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
    /// True depth, m.
    pub depth_m: f64,
    /// Whether it is as deep as the dive goes.
    pub is_bottom: bool,
    /// Whether it lies on the final way up.
    pub is_stop: bool,
    /// Whether its depth can be moved.
    pub moves_depth: bool,
    /// Whether it can be made longer and shorter.
    pub moves_length: bool,
}

/// What a level is moved to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LevelTo {
    /// True depth, m.
    Depth(f64),
    /// How long it is, s.
    Length(f64),
}

/// How the plan writes its dive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Legs,
    Rows,
    Short,
}

/// A level as legs of the profile, from the first to the last.
pub(super) struct Run {
    pub first: usize,
    pub last: usize,
    pub depth_m: f64,
    pub start_s: f64,
    pub end_s: f64,
    /// how many levels of the final way up there are before it; `None` for one that is no stop
    pub stop: Option<usize>,
}

fn form(plan: &Plan) -> Form {
    match &plan.file().dive {
        Some(dive) if dive.depth.is_some() || dive.time.is_some() => Form::Short,
        _ if plan.rows.is_some() => Form::Rows,
        _ => Form::Legs,
    }
}

/// The levels of a dive in order; none of one with very many legs.
pub fn levels(plan: &Plan, built: &Built) -> Vec<Level> {
    let profile = built.written_profile();
    let (form, deepest_m) = (form(plan), profile.max_depth_m());
    let level = |run: Run| Level {
        id: id(form, &run),
        start_s: run.start_s,
        end_s: run.end_s,
        depth_m: run.depth_m,
        is_bottom: run.depth_m >= deepest_m,
        is_stop: run.stop.is_some(),
        moves_depth: true,
        moves_length: true,
    };
    runs(&profile).into_iter().map(level).collect()
}

/// The sets that move a level or make it longer, to be added to those of the plan. Its depth is written in the unit that the
/// plan uses there. All that follows moves with a length, but for `dive.change` with its times from the start. The last stop
/// moves along where the plan writes its depth.
///
/// # Errors
/// An id that is none of [`levels`], a depth or a length that cannot be, in words.
pub fn move_level(plan: &Plan, built: &Built, id: &str, to: LevelTo, units: UnitSystem) -> Result<Sets, String> {
    let profile = built.written_profile();
    let form = form(plan);
    let run = runs(&profile).into_iter().find(|run| self::id(form, run) == id);
    let run = run.ok_or_else(|| format!("the dive has no level \"{id}\""))?;
    match to {
        LevelTo::Depth(depth_m) if depth_m.is_nan() || depth_m < 0.3 => {
            return Err("a level lies below the surface".into());
        }
        LevelTo::Length(length_s) if length_s.is_nan() || length_s < SHORTEST_S => {
            return Err("a level takes some time".into());
        }
        _ => {}
    }
    match form {
        Form::Legs => legs::set(plan, built, &run, to, units),
        Form::Rows => rows::set(plan, built, &run, to),
        Form::Short => short::set(plan, built, &run, to, units),
    }
}

fn id(form: Form, run: &Run) -> String {
    match (form, run.stop) {
        (Form::Legs, _) => format!("leg {}", run.first + 1),
        // the first row is the start
        (Form::Rows, _) => format!("row {}", run.first + 2),
        (Form::Short, None) => "bottom".into(),
        (Form::Short, Some(before)) => format!("stop {}", before + 1),
    }
}

fn runs(profile: &Profile) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    if profile.legs().len() > MANY_LEGS {
        return runs;
    }
    let ascent = profile.final_ascent_leg();
    let mut stops = 0;
    for (i, leg) in profile.legs().iter().enumerate() {
        let (start_s, start_m) = profile.leg_start(i);
        if start_m != leg.end_m || leg.end_m <= 0.0 {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.last + 1 == i => (run.last, run.end_s) = (i, leg.end_s),
            _ => {
                let stop = (i >= ascent).then_some(stops);
                stops += usize::from(stop.is_some());
                runs.push(Run { first: i, last: i, depth_m: leg.end_m, start_s, end_s: leg.end_s, stop });
            }
        }
    }
    runs
}

/// New lengths of the parts of a level that together take another time, s: the last part is changed first. `None` where
/// there is no room for all.
pub(super) fn spread(mut parts_s: Vec<f64>, total_s: f64) -> Option<Vec<f64>> {
    let mut more_s = total_s - parts_s.iter().sum::<f64>();
    for part_s in parts_s.iter_mut().rev() {
        let new_s = (*part_s + more_s).max(SHORTEST_S.min(*part_s));
        more_s -= new_s - *part_s;
        *part_s = new_s;
    }
    // what is left over is rounding
    (more_s.abs() < 1e-6).then_some(parts_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_part_of_a_level_changes_first() {
        assert_eq!(spread(vec![600.0, 300.0], 960.0), Some(vec![600.0, 360.0]));
        assert_eq!(spread(vec![600.0, 300.0], 606.0), Some(vec![600.0, 6.0]));
        assert_eq!(spread(vec![600.0, 300.0], 126.0), Some(vec![120.0, 6.0]));
        assert_eq!(spread(vec![600.0, 300.0], 6.0), None);
    }
}
