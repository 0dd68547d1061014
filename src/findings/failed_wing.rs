//! What a total wing failure would mean at every moment: the load that the diver has to swim up.

use crate::findings::elsewhere::Elsewhere;
use crate::scenario::Scenario;
use crate::sim::Trace;

/// What the diver can do after a failed wing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SwimUp {
    /// The load stays within the swim-up capacity.
    CanSwim,
    /// It does so only after dropping what is ditchable.
    AfterDitching,
    /// It does not, even after dropping what is ditchable.
    Cannot,
}

/// How the dry suit is used on the way up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SuitUse {
    /// Kept at its loft.
    Loft,
    /// Blown up by its spare volume as a second lift.
    LoftAndSpare,
}

/// The moment with the largest load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Row of the trace.
    pub sample: usize,
    /// Moment of the failure, s.
    pub time_s: f64,
    /// Depth of the failure, m.
    pub depth_m: f64,
    /// Largest load on the way up, kg; negative when the diver floats all the way.
    pub load_kg: f64,
    /// Depth at which that load is met, m.
    pub at_m: f64,
    /// Largest load on the way up after dropping what is ditchable, kg.
    pub ditched_kg: f64,
}

/// A time during which the load exceeds the capacity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beyond {
    /// Start, s, interpolated between rows.
    pub start_s: f64,
    /// Depth at the start, m.
    pub start_m: f64,
    /// End, s, interpolated between rows.
    pub end_s: f64,
    /// Depth at the end, m.
    pub end_m: f64,
    /// The worst of this time.
    pub verdict: SwimUp,
    /// Largest load of this time, kg.
    pub load_kg: f64,
}

/// Failed wing, for the whole dive.
#[derive(Clone, Debug, PartialEq)]
pub struct FailedWing {
    /// Load that the diver can swim up, kg.
    pub capacity_kg: f64,
    /// Load at every row, kg: `max(−B(z))` on the way straight up.
    pub loads_kg: Vec<f64>,
    /// The worst moment.
    pub worst: Worst,
    /// The times beyond the capacity.
    pub beyond: Vec<Beyond>,
    /// The worst of the dive.
    pub verdict: SwimUp,
}

impl FailedWing {
    /// Asks every row of a trace.
    pub fn of(scenario: &Scenario, trace: &Trace, suit: SuitUse) -> Self {
        let capacity_kg = scenario.diver().swim_up_kg;
        let at = |sample: usize| {
            let row = &trace.samples()[sample];
            let elsewhere = Elsewhere::of(scenario, row);
            match suit {
                SuitUse::Loft => elsewhere,
                SuitUse::LoftAndSpare => elsewhere.with_spare_loft(row, trace.cylinders(sample)),
            }
        };
        let ditched_kg = |sample: usize| -at(sample).after_ditching().heaviest_on_the_way_up().0;
        let mut loads_kg = Vec::with_capacity(trace.samples().len());
        let (mut worst_sample, mut worst_at_m) = (0, 0.0);
        for sample in 0..trace.samples().len() {
            let (bare_kg, at_m) = at(sample).heaviest_on_the_way_up();
            loads_kg.push(-bare_kg);
            if sample == 0 || loads_kg[sample] > loads_kg[worst_sample] {
                (worst_sample, worst_at_m) = (sample, at_m);
            }
        }
        let row = &trace.samples()[worst_sample];
        let worst = Worst {
            sample: worst_sample,
            time_s: row.time_s,
            depth_m: row.depth_m,
            load_kg: loads_kg[worst_sample],
            at_m: worst_at_m,
            ditched_kg: ditched_kg(worst_sample),
        };
        let beyond = spans(trace, &loads_kg, capacity_kg, ditched_kg);
        let verdict = beyond.iter().map(|span| span.verdict).max().unwrap_or(SwimUp::CanSwim);
        Self { capacity_kg, loads_kg, worst, beyond, verdict }
    }

    /// Time beyond the capacity, s.
    pub fn beyond_s(&self) -> f64 {
        self.beyond.iter().map(|span| span.end_s - span.start_s).sum()
    }
}

fn spans(trace: &Trace, loads_kg: &[f64], capacity_kg: f64, ditched_kg: impl Fn(usize) -> f64) -> Vec<Beyond> {
    let rows = trace.samples();
    // time and depth at which the load crosses the capacity between two rows
    let crossing = |i: usize| {
        let share = (capacity_kg - loads_kg[i]) / (loads_kg[i + 1] - loads_kg[i]);
        let between = |a: f64, b: f64| a + share * (b - a);
        (between(rows[i].time_s, rows[i + 1].time_s), between(rows[i].depth_m, rows[i + 1].depth_m))
    };
    let mut spans: Vec<Beyond> = Vec::new();
    let mut open: Option<Beyond> = None;
    for (i, &load_kg) in loads_kg.iter().enumerate() {
        if load_kg <= capacity_kg {
            if let Some(mut span) = open.take() {
                (span.end_s, span.end_m) = crossing(i - 1);
                spans.push(span);
            }
            continue;
        }
        let span = open.get_or_insert_with(|| {
            let (start_s, start_m) = if i == 0 { (rows[0].time_s, rows[0].depth_m) } else { crossing(i - 1) };
            Beyond { start_s, start_m, end_s: start_s, end_m: start_m, verdict: SwimUp::AfterDitching, load_kg }
        });
        (span.end_s, span.end_m) = (rows[i].time_s, rows[i].depth_m);
        span.load_kg = span.load_kg.max(load_kg);
        if ditched_kg(i) > capacity_kg {
            span.verdict = SwimUp::Cannot;
        }
    }
    spans.extend(open);
    spans
}
