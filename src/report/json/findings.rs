//! What was found in a run, as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::findings::{self, Band, Beyond, CylinderFinding, FailedWing, HoldAt, SwimUp};
use crate::profile::OverheadTime;
use crate::report::fins::is_under;
use crate::report::json::circuit::Circuit;
use crate::report::json::{gauge, micro, nano};
use crate::report::words;
use crate::scenario::Scenario;

/// What was found
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(in crate::report) struct Findings {
    heavy_point: Extreme,
    light_point: Extreme,
    failed_wing: WingFailure,
    /// The same with the suit's extra volume as a second lift
    failed_wing_with_suit: Option<WingFailure>,
    /// Every stop, the last one last
    holds: Vec<Hold>,
    /// What the overheads ask; null where nothing of the dive is under one
    overhead: Option<Overhead>,
    ascent: Ascent,
    wing: Wing,
    /// The breathing loop; null where none is breathed
    circuit: Option<Circuit>,
    cylinders: Vec<Cylinder>,
}

/// An extreme of the net lift with the wing empty; positive floats
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Extreme {
    net_wing_empty_kg: f64,
    time_s: f64,
    depth_m: f64,
}

/// Whether the diver can swim up after a wing failure
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum SwimUpCode {
    CanSwim,
    AfterDitching,
    Cannot,
}

impl SwimUpCode {
    fn of(verdict: SwimUp) -> Self {
        match verdict {
            SwimUp::CanSwim => Self::CanSwim,
            SwimUp::AfterDitching => Self::AfterDitching,
            SwimUp::Cannot => Self::Cannot,
        }
    }
}

/// What a failed wing means
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct WingFailure {
    verdict: SwimUpCode,
    capacity_kg: f64,
    worst_load_kg: f64,
    worst_load_after_ditching_kg: f64,
    worst_time_s: f64,
    worst_depth_m: f64,
    worst_load_met_at_m: f64,
    /// Whether that is under an overhead, where the load is to hover with and not to swim up
    worst_under_overhead: bool,
    /// What can be let go of then
    lets_go: Vec<LettingGo>,
    /// Time beyond the capacity
    beyond_s: f64,
    spans: Vec<Span>,
}

/// A time beyond the capacity
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Span {
    verdict: SwimUpCode,
    /// Whether it is under an overhead: the diver cannot hover then
    under_overhead: bool,
    start_s: f64,
    start_m: f64,
    end_s: f64,
    end_m: f64,
    load_kg: f64,
}

/// A stop
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Hold {
    depth_m: f64,
    start_s: f64,
    end_s: f64,
    /// Whether some of it is under an overhead: who is too light there presses against the ceiling
    under_overhead: bool,
    planned: HoldThen,
    at_reserve: HoldThen,
    /// On an interface of the water: the same at reserve in the salt water below
    salt_side: Option<HoldThen>,
    band_up_m: f64,
    /// Null where the lungs can trim any squeeze
    band_down_m: Option<f64>,
}

/// The diver under the overheads of a dive, wing empty, gas as planned: to hover, or to be held
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Overhead {
    /// From when to when there is no way straight up
    times: Vec<Time>,
    /// The heaviest moment
    heaviest: Extreme,
    /// The lightest moment
    lightest: Extreme,
    /// Greatest force against the floor: what the fins must hold for the diver to hover without a wing
    floor_kg: f64,
    /// Greatest force against the ceiling
    ceiling_kg: f64,
}

/// A time of the dive
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Time {
    start_s: f64,
    end_s: f64,
}

/// Whether the diver can stay
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct HoldThen {
    holds: bool,
    margin_kg: f64,
    time_s: f64,
}

/// The lightest moments at or below the last stop, wing empty, gas as planned
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Ascent {
    /// That of the final ascent
    lightest: Floating,
    /// That before it; null where the diver floats nowhere then
    before: Option<Floating>,
}

/// A moment at which the diver is light
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Floating {
    /// Weight to spare; below zero the diver floats up
    margin_kg: f64,
    time_s: f64,
    depth_m: f64,
}

/// A thing that can be let go of, at the worst moment
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct LettingGo {
    name: String,
    /// Its own lift: positive floats, and letting go of it makes the diver heavier
    lift_kg: f64,
    /// Gas that goes with it, as a volume at one atmosphere
    gas_m3: f64,
    /// Whether it counts: a sinker that the plan does not breathe from then or later
    counts: bool,
}

/// How large the wing must be
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Wing {
    needed_m3: f64,
    under_water_m3: f64,
    under_water_time_s: f64,
    under_water_depth_m: f64,
    surface_m3: f64,
    head_out_m3: f64,
    capacity_m3: Option<f64>,
    enough: bool,
}

/// A cylinder; lifts are positive where it floats, gauges read zero at one atmosphere
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Cylinder {
    name: String,
    carried: bool,
    first_kg: f64,
    last_kg: f64,
    last_gauge_pa: f64,
    at_reserve_kg: f64,
    /// Gas that left it
    used_kg: f64,
    neutral_gauge_pa: Option<f64>,
    turns_buoyant: Option<Turn>,
}

/// When a cylinder turns from sinker to floater
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Turn {
    time_s: f64,
    depth_m: f64,
    gauge_pa: f64,
}

impl Findings {
    pub(in crate::report) fn of(scenario: &Scenario, found: &findings::Findings) -> Self {
        Self {
            heavy_point: extreme(&found.heavy),
            light_point: extreme(&found.light),
            failed_wing: wing_failure(scenario, &found.failed_wing),
            failed_wing_with_suit: found.failed_wing_with_suit.as_ref().map(|found| wing_failure(scenario, found)),
            holds: found.holds.iter().map(|one| hold(scenario, one)).collect(),
            overhead: found.overhead.as_ref().map(overhead),
            ascent: Ascent {
                lightest: floating(&found.ascent.lightest),
                before: found.ascent.before.as_ref().map(floating),
            },
            wing: wing(&found.wing),
            circuit: found.circuit.as_ref().map(|circuit| Circuit::of(scenario, circuit)),
            cylinders: found.cylinders.iter().map(|one| cylinder(scenario, one)).collect(),
        }
    }
}

fn extreme(extreme: &findings::Extreme) -> Extreme {
    Extreme {
        net_wing_empty_kg: micro(extreme.bare_kg),
        time_s: micro(extreme.time_s),
        depth_m: micro(extreme.depth_m),
    }
}

fn overhead(under: &findings::Overhead) -> Overhead {
    let time = |time: &OverheadTime| Time { start_s: micro(time.start_s), end_s: micro(time.end_s) };
    Overhead {
        times: under.times.iter().map(time).collect(),
        heaviest: extreme(&under.heaviest),
        lightest: extreme(&under.lightest),
        floor_kg: micro(under.floor_kg()),
        ceiling_kg: micro(under.ceiling_kg()),
    }
}

pub(super) fn floating(at: &HoldAt) -> Floating {
    Floating { margin_kg: micro(at.margin_kg()), time_s: micro(at.time_s()), depth_m: micro(at.now.state.depth_m) }
}

pub(super) fn letting_go(scenario: &Scenario, thing: &findings::LettingGo) -> LettingGo {
    LettingGo {
        name: words::thing(scenario, thing.owner),
        lift_kg: micro(thing.lift_kg),
        gas_m3: nano(thing.gas_m3),
        counts: thing.counts(),
    }
}

pub(super) fn wing_failure(scenario: &Scenario, finding: &FailedWing) -> WingFailure {
    let span = |span: &Beyond| Span {
        verdict: SwimUpCode::of(span.verdict),
        under_overhead: span.is_overhead,
        start_s: micro(span.start_s),
        start_m: micro(span.start_m),
        end_s: micro(span.end_s),
        end_m: micro(span.end_m),
        load_kg: micro(span.load_kg),
    };
    let worst = &finding.worst;
    WingFailure {
        verdict: SwimUpCode::of(finding.verdict),
        capacity_kg: micro(finding.capacity_kg),
        worst_load_kg: micro(worst.load_kg),
        worst_load_after_ditching_kg: micro(worst.ditched_kg),
        worst_time_s: micro(worst.time_s),
        worst_depth_m: micro(worst.depth_m),
        worst_load_met_at_m: micro(worst.at_m),
        worst_under_overhead: scenario.is_overhead(worst.leg),
        lets_go: finding.lets_go.iter().map(|thing| letting_go(scenario, thing)).collect(),
        beyond_s: micro(finding.beyond_s()),
        spans: finding.beyond.iter().map(span).collect(),
    }
}

fn hold(scenario: &Scenario, hold: &findings::Hold) -> Hold {
    let one =
        |at: &HoldAt| HoldThen { holds: at.holds(), margin_kg: micro(at.margin_kg()), time_s: micro(at.time_s()) };
    let band = Band::of_now(scenario, &hold.planned.now);
    Hold {
        depth_m: micro(hold.depth_m),
        start_s: micro(hold.start_s),
        end_s: micro(hold.end_s),
        under_overhead: is_under(scenario, hold.start_s, hold.end_s),
        planned: one(&hold.planned),
        at_reserve: one(&hold.at_reserve),
        salt_side: hold.salt_side.as_ref().map(one),
        band_up_m: micro(band.up_m),
        band_down_m: band.down_m.map(micro),
    }
}

fn wing(wing: &findings::WingSize) -> Wing {
    Wing {
        needed_m3: nano(wing.needed_m3),
        under_water_m3: nano(wing.neutral_m3),
        under_water_time_s: micro(wing.neutral_s),
        under_water_depth_m: micro(wing.neutral_m),
        surface_m3: nano(wing.surface_m3),
        head_out_m3: nano(wing.head_out_m3),
        capacity_m3: wing.capacity_m3.map(nano),
        enough: wing.is_enough(),
    }
}

fn cylinder(scenario: &Scenario, finding: &CylinderFinding) -> Cylinder {
    Cylinder {
        name: scenario.rig().cylinders[finding.cylinder].name().to_owned(),
        carried: finding.first.is_some(),
        first_kg: micro(finding.first_kg),
        last_kg: micro(finding.last_kg),
        last_gauge_pa: gauge(finding.last_pa),
        at_reserve_kg: micro(finding.low_kg),
        used_kg: micro(finding.used_kg),
        neutral_gauge_pa: finding.neutral_pa.map(gauge),
        turns_buoyant: finding.turn.map(|turn| Turn {
            time_s: micro(turn.time_s),
            depth_m: micro(turn.depth_m),
            gauge_pa: gauge(turn.pressure_pa),
        }),
    }
}
