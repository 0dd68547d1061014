//! Cylinders that are left, taken, handed off and received by hand: `dive.change` as a whole list.

use toml_edit::{InlineTable, Value};

use super::figure::time;
use super::{Sets, list_text, tables_at};
use crate::plan::file::{ChangeTable, Names};
use crate::plan::{Built, Plan};
use crate::profile::{Change, Move, Profile};

/// The ways and their keys.
const KEYS: [(Move, &str); 4] =
    [(Move::Leave, "leave"), (Move::Take, "take"), (Move::HandOff, "hand_off"), (Move::Receive, "receive")];
/// Two moments are one if they are no further apart, s: a change is written to the second.
const SAME_S: f64 = 0.6;

/// A cylinder that comes or goes on a dive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderMove {
    /// When, s.
    pub time_s: f64,
    /// Which cylinder, by its index in the rig.
    pub cylinder: usize,
    /// What happens.
    pub kind: Move,
    /// Whether it stands in `dive.change`, so that [`undo_move`] takes it out; others stand in a leg or a row.
    pub is_ours: bool,
}

/// All that come and go, in the order of time.
pub fn moves(plan: &Plan, built: &Built) -> Vec<CylinderMove> {
    let profile = built.scenario.profile();
    let is_ours = |change: &Change| {
        let name = built.scenario.rig().cylinders.get(change.cylinder).map_or("", |one| one.name());
        let tables = plan.file().dive.iter().flat_map(|dive| &dive.change);
        tables.into_iter().any(|table| is_of(table, plan, built, name, change.kind, change.time_s))
    };
    let all = profile.changes().iter();
    all.map(|change| CylinderMove {
        time_s: change.time_s,
        cylinder: change.cylinder,
        kind: change.kind,
        is_ours: is_ours(change),
    })
    .collect()
}

/// The sets by which a cylinder comes or goes at a moment. `name` is that of the dive. Whether it can then is told by the
/// plan that they make.
///
/// # Errors
/// A cylinder that the dive does not have.
pub fn move_cylinder(plan: &Plan, built: &Built, name: &str, kind: Move, time_s: f64) -> Result<Sets, String> {
    if !built.scenario.rig().cylinders.iter().any(|one| one.name() == name) {
        return Err(format!("the dive has no cylinder \"{name}\""));
    }
    let key = KEYS.iter().find(|(known, _)| *known == kind).map_or("leave", |(_, key)| key);
    let mut tables = tables_at(plan, &["dive", "change"]);
    let mut table = InlineTable::new();
    // to the second, and not behind the end
    let at_s = time_s.clamp(0.0, built.scenario.profile().end_s()).floor();
    table.insert("at", Value::from(time(at_s)));
    table.insert(key, Value::from(name));
    tables.push(table);
    Ok(vec![("dive.change".into(), list_text(tables))])
}

/// The sets that take a change of a cylinder at a moment out of `dive.change`.
///
/// # Errors
/// Nothing of that list happens to the cylinder then.
pub fn undo_move(plan: &Plan, built: &Built, name: &str, time_s: f64) -> Result<Sets, String> {
    let mut tables = tables_at(plan, &["dive", "change"]);
    let given = plan.file().dive.iter().flat_map(|dive| &dive.change);
    let found = given.enumerate().find_map(|(i, table)| {
        let kind = KEYS.iter().find(|(kind, _)| is_of(table, plan, built, name, *kind, time_s))?;
        Some((i, kind.1))
    });
    let Some((index, key)) = found.filter(|(index, _)| *index < tables.len()) else {
        return Err(format!("nothing of the list of changes happens to {name} then"));
    };
    match tables[index].get_mut(key) {
        // others come or go with it
        Some(Value::Array(names)) if names.len() > 1 => names.retain(|one| one.as_str() != Some(name)),
        _ => _ = tables.remove(index),
    }
    Ok(vec![("dive.change".into(), list_text(tables))])
}

fn is_of(table: &ChangeTable, plan: &Plan, built: &Built, name: &str, kind: Move, time_s: f64) -> bool {
    let names = match kind {
        Move::Leave => &table.leave,
        Move::Take => &table.take,
        Move::HandOff => &table.hand_off,
        Move::Receive => &table.receive,
    };
    let has = |Names(names): &Names| names.iter().any(|one| one == name || is_one_of(plan, one, name));
    names.as_ref().is_some_and(has)
        && moment_s(table, plan, built).is_some_and(|moment_s| (moment_s - time_s).abs() <= SAME_S)
}

/// Whether a name stands for several without a manifold, of which this is one.
fn is_one_of(plan: &Plan, table: &str, name: &str) -> bool {
    let is_apart =
        plan.file().cylinder.iter().any(|one| one.name.as_deref() == Some(table) && one.manifold == Some(false));
    let number = name.strip_prefix(table).and_then(|rest| rest.strip_prefix(' '));
    is_apart && number.is_some_and(|number| number.parse::<u32>().is_ok())
}

/// When a change of the list happens, s.
fn moment_s(table: &ChangeTable, plan: &Plan, built: &Built) -> Option<f64> {
    let profile = built.scenario.profile();
    match (&table.at, &table.depth, table.leg) {
        (Some(at), ..) => at.estimate().ok().map(|at| at.value),
        (None, Some(depth), _) => {
            let written_m = depth.estimate().ok()?.value;
            let depth_m = match super::instrument(plan, built.scenario.water()) {
                Some(water) => water.depth_of_instrument_m(written_m)?,
                None => written_m,
            };
            crossing_s(profile, depth_m, table.way.as_deref() == Some("down"))
        }
        (None, None, Some(leg)) => Some(profile.leg_start(usize::try_from(leg).ok()?.checked_sub(1)?).0),
        _ => None,
    }
}

/// First time at which a profile crosses a depth on the way down or up, s.
fn crossing_s(profile: &Profile, depth_m: f64, is_down: bool) -> Option<f64> {
    profile.legs().iter().enumerate().find_map(|(i, leg)| {
        let (start_s, from_m) = profile.leg_start(i);
        let to_m = leg.end_m;
        let crosses = if is_down { from_m < depth_m && depth_m <= to_m } else { from_m > depth_m && depth_m >= to_m };
        crosses.then(|| start_s + (leg.end_s - start_s) * (depth_m - from_m) / (to_m - from_m))
    })
}
