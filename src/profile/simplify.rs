//! A recorded profile with fewer legs, and no other answer.
//!
//! A dive computer writes a row every second or every ten; most of them say that the diver goes on as before. A run of
//! legs becomes one leg where that moves the net lift by less than [`ERROR_KG`] at every moment. What a leg loses is
//! told.
//!
//! # What is never moved
//! - **Turning points and level stretches.** Where the way changes between down, level and up, the row stays: the
//!   extremes of the depth, the stops with both their ends, and the sum of all descents, which is what suit and wing
//!   take from their supply and give away on the way up, are exactly those of the record.
//! - **Ends of legs at which the cylinder or the breathing rate changes**, and the moments and depths that the caller
//!   names: a cylinder that comes or goes, an interface of the water, the last stop.
//!
//! # The bound
//! Between two rows that stay, the depth `d(t)` becomes the straight line `d′(t)`, with `δ(t) = d′(t) − d(t)`.
//!
//! **Depth.** The net lift hangs on depth by what the water squeezes. With `|dB/dd| ≤ s(d)` for this rig, `s` falling
//! with depth as all gas does that follows `1/P`, the lift moves by at most
//!
//! ```text
//! |ΔB| ≤ s(min(d, d′))·|δ| ≤ ERROR_KG/2      if |δ| ≤ ERROR_KG / (2·s)
//! ```
//!
//! **Gas.** At the rate `R`, at ambient pressure, the diver breathes `m = ∫R·ρ_gas(d) dt`, and `ρ_gas = γ·(d + D)` for a
//! gas of which a metre of water adds the density `γ`, under air that weighs as much as `D` metres of water. The rate of
//! the new leg is multiplied by
//!
//! ```text
//! f = ∫(d + D) dt / ∫(d′ + D) dt
//! ```
//!
//! over the leg, so that at every row that stays the gas breathed is that of the record, however many rows there are.
//! Within the leg it is off by at most `R·γ·∫|δ| dt`, twice: by the depth and by the other rate. So
//!
//! ```text
//! 2·R·γ·∫|δ| dt ≤ ERROR_KG/2                 over each leg
//! ```
//!
//! The work is linear in the rows: each is looked at once as an end, and once within a finished leg.

use crate::profile::{Leg, MAX_RATE_M3_S};

/// Largest change of the net lift at any moment, kg: a tenth of a gram, far below what any spring scale shows.
pub const ERROR_KG: f64 = 1e-4;

/// How the net lift of a rig hangs on depth and on gas: what bounds the error.
#[derive(Clone, Copy)]
pub struct Bound<'b> {
    /// `s(d)`: no more lift than this changes with a metre, kg/m, at or below a depth in m. Must not rise with depth.
    pub lift_kg_m: &'b dyn Fn(f64) -> f64,
    /// `γ`: what a metre of water adds to the density of the heaviest gas that is breathed, kg/m⁴.
    pub gas_kg_m4: f64,
    /// `D`: metres of this water that weigh as much as the air above it, m.
    pub air_m: f64,
    /// Depths that must be passed exactly when they were passed, m: interfaces of the water, the last stop.
    pub kept_m: &'b [f64],
    /// Moments at which the depth must be exact, s, rising: cylinders that come and go.
    pub kept_s: &'b [f64],
}

/// Which legs stay, and what was lost.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Simplified {
    /// The legs that stay, by index, rising; each now begins where the one before it ends. The last leg is always there.
    pub kept: Vec<usize>,
    /// For each of them, by what its rate is multiplied, so that as much is breathed as in the record.
    pub rate_frac: Vec<f64>,
    /// Legs of the record.
    pub before: usize,
    /// Largest distance by which a depth moved, m.
    pub moved_m: f64,
}

impl Simplified {
    /// The legs that stay, made from those of the record or from the same legs with other rates.
    pub fn legs(&self, record: &[Leg]) -> Vec<Leg> {
        let leg = |(&kept, factor): (&usize, &f64)| {
            let leg = record[kept];
            Leg { rate_m3_s: (leg.rate_m3_s * factor).min(MAX_RATE_M3_S), ..leg }
        };
        self.kept.iter().zip(&self.rate_frac).map(leg).collect()
    }
}

/// A moment of the profile.
#[derive(Clone, Copy)]
struct Knot {
    time_s: f64,
    depth_m: f64,
}

/// The directions that a line from a knot may have, m/s, so that it passes all knots so far near enough.
struct Cone {
    low_m_s: f64,
    high_m_s: f64,
}

/// Finds the legs that can stand for all.
pub fn simplify(start_m: f64, legs: &[Leg], bound: &Bound<'_>) -> Simplified {
    let mut found = Simplified { before: legs.len(), ..Simplified::default() };
    let mut from = Knot { time_s: 0.0, depth_m: start_m };
    let mut first = 0;
    while first < legs.len() {
        let last = reach(from, first, legs, bound);
        let run = &legs[first..=last];
        let (factor, moved_m) = merged(from, run, bound);
        found.kept.push(last);
        found.rate_frac.push(factor);
        found.moved_m = found.moved_m.max(moved_m);
        from = knot(&legs[last]);
        first = last + 1;
    }
    found
}

fn knot(leg: &Leg) -> Knot {
    Knot { time_s: leg.end_s, depth_m: leg.end_m }
}

/// The last of the legs that can be one leg, from the knot at the start of leg `first`.
fn reach(from: Knot, first: usize, legs: &[Leg], bound: &Bound<'_>) -> usize {
    let head = &legs[first];
    let way = way(from, knot(head));
    let most_m = |depth_m: f64| {
        // the line may run above the record, where the slope is steeper, by at most this much
        let most_m = ERROR_KG / 2.0 / (bound.lift_kg_m)(depth_m);
        ERROR_KG / 2.0 / (bound.lift_kg_m)((depth_m - most_m).max(0.0))
    };
    let most_m2_s = ERROR_KG / 2.0 / (2.0 * head.rate_m3_s * bound.gas_kg_m4);
    let mut cone = Cone { low_m_s: f64::NEG_INFINITY, high_m_s: f64::INFINITY };
    let mut widest_m = 0.0_f64;
    let mut last = first;
    while let Some(next) = legs.get(last + 1) {
        let (here, there) = (knot(&legs[last]), knot(next));
        let alike =
            next.source == head.source && next.rate_m3_s == head.rate_m3_s && next.loop_mol_s == head.loop_mol_s;
        if !alike || self::way(here, there) != way || is_kept(from, here, there, bound) {
            break;
        }
        if way != 0 {
            let near_m = most_m(here.depth_m);
            let passed_s = here.time_s - from.time_s;
            cone.low_m_s = cone.low_m_s.max((here.depth_m - near_m - from.depth_m) / passed_s);
            cone.high_m_s = cone.high_m_s.min((here.depth_m + near_m - from.depth_m) / passed_s);
            widest_m = widest_m.max(near_m);
            let whole_s = there.time_s - from.time_s;
            let slope_m_s = (there.depth_m - from.depth_m) / whole_s;
            // ∫|δ| is less than the widest |δ| times the time
            if !(cone.low_m_s..=cone.high_m_s).contains(&slope_m_s) || widest_m * whole_s > most_m2_s {
                break;
            }
        }
        last += 1;
    }
    last
}

/// Down, level or up.
fn way(from: Knot, to: Knot) -> i8 {
    i8::from(to.depth_m > from.depth_m) - i8::from(to.depth_m < from.depth_m)
}

/// Whether the knot `here`, or the way from it to the next one, has a moment or a depth that must not move.
fn is_kept(from: Knot, here: Knot, there: Knot, bound: &Bound<'_>) -> bool {
    let holds = |depth_m: f64, a: Knot, b: Knot| {
        (a.depth_m.min(b.depth_m)..=a.depth_m.max(b.depth_m)).contains(&depth_m) && a.depth_m != b.depth_m
    };
    // a run that has come across such a depth ends where it did so, and the next one begins there
    let depth = bound.kept_m.iter().any(|&depth_m| holds(depth_m, from, here) || holds(depth_m, here, there));
    let moment = bound.kept_s.partition_point(|&time_s| time_s < here.time_s);
    let before = bound.kept_s.partition_point(|&time_s| time_s <= from.time_s);
    depth || before < moment || bound.kept_s.get(moment).is_some_and(|&time_s| time_s <= there.time_s)
}

/// What the rate of one leg for a run of legs is multiplied by, and the largest distance of a depth from it.
fn merged(from: Knot, run: &[Leg], bound: &Bound<'_>) -> (f64, f64) {
    let [before @ .., end] = run else { return (1.0, 0.0) };
    if before.is_empty() {
        return (1.0, 0.0);
    }
    let end = knot(end);
    let slope_m_s = (end.depth_m - from.depth_m) / (end.time_s - from.time_s);
    let mut moved_m = 0.0_f64;
    let mut record_m_s = 0.0; // ∫(d + D) dt
    let mut here = from;
    for there in run.iter().map(knot) {
        let line_m = from.depth_m + slope_m_s * (there.time_s - from.time_s);
        moved_m = moved_m.max((line_m - there.depth_m).abs());
        record_m_s += (there.time_s - here.time_s) * ((here.depth_m + there.depth_m) / 2.0 + bound.air_m);
        here = there;
    }
    let line_m_s = (end.time_s - from.time_s) * ((from.depth_m + end.depth_m) / 2.0 + bound.air_m);
    // of a level run nothing is moved, and its factor is one to the last digit
    if moved_m == 0.0 { (1.0, 0.0) } else { (record_m_s / line_m_s, moved_m) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::CylinderSet;
    use proptest::prelude::*;

    /// A dry suit of 12 L and a wing of 20 L with air: some 4 g a metre.
    const GAS_KG_M4: f64 = 0.13;
    fn suit(_: f64) -> f64 {
        4e-3
    }
    /// Fifteen litres of foam: a kilogram a metre at the surface, and a quarter of it at 10 m.
    fn foam(depth_m: f64) -> f64 {
        15.0 * 10.0 / (10.0 + depth_m).powi(2)
    }

    fn bound<'b>(lift_kg_m: &'b dyn Fn(f64) -> f64, kept_m: &'b [f64], kept_s: &'b [f64]) -> Bound<'b> {
        Bound { lift_kg_m, gas_kg_m4: GAS_KG_M4, air_m: 10.1, kept_m, kept_s }
    }

    fn leg(end_s: f64, end_m: f64) -> Leg {
        Leg { end_s, end_m, source: CylinderSet::of([0]), rate_m3_s: 20e-3 / 60.0, loop_mol_s: None }
    }

    /// Depths of a record in millimetres, from its steps: long ways, small waves, level stretches, now and then another
    /// cylinder or rate.
    fn record(steps: &[(u8, i16, u8)]) -> Vec<Leg> {
        let (mut time_s, mut depth_mm, mut way_mm) = (0.0, 20_000_i64, 100);
        let mut legs = Vec::new();
        for &(seconds, wave_mm, what) in steps {
            match what {
                0..20 => way_mm = i64::from(wave_mm),
                20..25 => way_mm = 0,
                _ => {}
            }
            let wave_mm = if what % 4 == 0 { i64::from(wave_mm) / 40 } else { 0 };
            depth_mm = (depth_mm + way_mm + if way_mm == 0 { 0 } else { wave_mm }).clamp(0, 60_000);
            time_s += f64::from(seconds);
            let source = CylinderSet::of([usize::from(what == 100)]);
            let rate_m3_s = if what == 101 { 4e-4 } else { 3e-4 };
            legs.push(Leg { source, rate_m3_s, ..leg(time_s, depth_mm as f64 / 1e3) });
        }
        legs
    }

    fn depth_m(start_m: f64, legs: &[Leg], time_s: f64) -> f64 {
        let i = legs.partition_point(|leg| leg.end_s < time_s).min(legs.len() - 1);
        let (from_s, from_m) = if i == 0 { (0.0, start_m) } else { (legs[i - 1].end_s, legs[i - 1].end_m) };
        from_m + (legs[i].end_m - from_m) * (time_s - from_s) / (legs[i].end_s - from_s)
    }

    /// Gas breathed until each end of a leg, as `∫R·(d + D) dt`.
    fn breathed(start_m: f64, legs: &[Leg]) -> Vec<(f64, f64)> {
        let (mut from, mut sum) = ((0.0, start_m), 0.0);
        let until = |leg: &Leg| {
            sum += leg.rate_m3_s * (leg.end_s - from.0) * ((from.1 + leg.end_m) / 2.0 + 10.1);
            from = (leg.end_s, leg.end_m);
            (leg.end_s, sum)
        };
        legs.iter().map(until).collect()
    }

    fn turns(start_m: f64, legs: &[Leg]) -> Vec<(f64, f64)> {
        let mut before = start_m;
        let ways: Vec<i8> = legs
            .iter()
            .map(|leg| {
                let way = i8::from(leg.end_m > before) - i8::from(leg.end_m < before);
                before = leg.end_m;
                way
            })
            .collect();
        (1..legs.len()).filter(|&i| ways[i] != ways[i - 1]).map(|i| (legs[i - 1].end_s, legs[i - 1].end_m)).collect()
    }

    fn check(legs: &[Leg], lift_kg_m: fn(f64) -> f64, kept_m: &[f64], kept_s: &[f64]) {
        let found = simplify(20.0, legs, &bound(&lift_kg_m, kept_m, kept_s));
        let short = found.legs(legs);
        assert_eq!((short.last().unwrap().end_s, found.before), (legs.last().unwrap().end_s, legs.len()));
        // both lines are straight between the rows of the record, so the rows are where they are farthest apart
        let mut moved_m = 0.0_f64;
        for row in legs {
            let here_m = depth_m(20.0, &short, row.end_s);
            let off_m = (here_m - row.end_m).abs();
            moved_m = moved_m.max(off_m);
            let lift_kg = off_m * lift_kg_m(here_m.min(row.end_m));
            assert!(lift_kg <= ERROR_KG / 2.0 * (1.0 + 1e-9), "{lift_kg} kg at {} s", row.end_s);
        }
        assert!((moved_m - found.moved_m).abs() < 1e-12);
        assert_eq!(turns(20.0, legs), turns(20.0, &short), "turning points and level stretches");
        // gas: exact where a row stays, within the bound between; `breathed` of both at every row of the record
        let (long_sum, short_sum) = (breathed(20.0, legs), breathed(20.0, &short));
        for (end_s, sum) in &short_sum {
            let (_, expected) = long_sum.iter().find(|(time_s, _)| time_s == end_s).unwrap();
            assert!((sum - expected).abs() <= 1e-12 * expected, "at {end_s} s: {sum} and {expected}");
        }
        for (i, (time_s, expected)) in long_sum.iter().enumerate() {
            let at = short.partition_point(|leg| leg.end_s < *time_s);
            let (from_s, before) = if at == 0 { (0.0, 0.0) } else { short_sum[at - 1] };
            let from_m = depth_m(20.0, &short, from_s);
            let middle_m = (from_m + depth_m(20.0, &short, *time_s)) / 2.0;
            let sum = before + short[at].rate_m3_s * (time_s - from_s) * (middle_m + 10.1);
            let off_kg = (sum - expected).abs() * GAS_KG_M4;
            assert!(off_kg <= ERROR_KG / 2.0 * (1.0 + 1e-9) + 1e-12, "row {i}: {off_kg} kg");
        }
        // what must not move is passed as in the record
        for time_s in kept_s.iter().filter(|time_s| **time_s <= legs.last().unwrap().end_s) {
            assert!((depth_m(20.0, legs, *time_s) - depth_m(20.0, &short, *time_s)).abs() < 1e-12, "{time_s} s");
        }
        for row in short.iter().zip(&found.kept) {
            assert_eq!((row.0.source, row.0.end_m), (legs[*row.1].source, legs[*row.1].end_m));
        }
    }

    proptest! {
        #[test]
        fn random_records_stay_within_the_bound(
            steps in proptest::collection::vec((1_u8..12, -400_i16..400, 0_u8..120), 1..400),
            kept_s in proptest::collection::vec(0.0..2000.0, 0..4),
        ) {
            let legs = record(&steps);
            let mut kept_s = kept_s;
            kept_s.sort_by(f64::total_cmp);
            check(&legs, suit, &[5.0, 21.0], &kept_s);
            check(&legs, foam, &[], &[]);
        }
    }

    /// Depths that must be passed exactly are passed at the very moment of the record.
    #[test]
    fn interfaces_are_crossed_when_they_were() {
        let legs: Vec<Leg> =
            (1..=300).map(|i| leg(f64::from(i), 20.0 + 0.1 * f64::from(i) + 0.004 * f64::from(i % 3))).collect();
        let free = simplify(20.0, &legs, &bound(&suit, &[], &[]));
        let held = simplify(20.0, &legs, &bound(&suit, &[31.05], &[]));
        assert!(held.kept.len() > free.kept.len());
        let time_s = |legs: &[Leg]| {
            let i = legs.iter().position(|leg| leg.end_m >= 31.05).unwrap();
            let (a, b) = (legs[i - 1], legs[i]);
            a.end_s + (b.end_s - a.end_s) * (31.05 - a.end_m) / (b.end_m - a.end_m)
        };
        assert!((time_s(&legs) - time_s(&held.legs(&legs))).abs() < 1e-9);
    }

    /// A way at an even speed, written to whole centimetres every second, becomes a few legs; a level stretch becomes one.
    #[test]
    fn what_is_straight_becomes_short() {
        let down = (1..=600).map(|i| leg(f64::from(i), 20.0 + (f64::from(i) * 100.0 / 60.0).round() / 100.0));
        let level = (601..=4000).map(|i| leg(f64::from(i), 30.0));
        let legs: Vec<Leg> = down.chain(level).collect();
        let found = simplify(20.0, &legs, &bound(&suit, &[], &[]));
        assert!(found.kept.len() < 80, "{} of {}", found.kept.len(), legs.len());
        assert_eq!(found.kept[found.kept.len() - 2..], [599, 3999]);
        check(&legs, suit, &[], &[]);
    }
}
