//! The figures of studies: plans side by side, sweeps, the band of doubt, dots of lead, what to weigh.

use super::{check, dives, texts_of};
use lightpoint::internals::report::chart::{
    self, ChartError, Compared, DoubtOverTime, LeadDots, Series, Sweep, ToWeigh, WeighFigure,
};
use lightpoint::internals::report::measure::UnitSystem;

#[test]
fn comparisons_are_clear() {
    let dives = dives::all();
    for count in 1..=6 {
        let plans: Vec<_> = dives[..count]
            .iter()
            .map(|dive| Compared { label: dive.title, rows: &dive.rows, findings: &dive.findings })
            .collect();
        check(&format!("compare-{count}"), &chart::compare(&plans, "invented plans", UnitSystem::Metric).unwrap());
    }
    let long = Compared { label: dives[6].title, rows: &dives[6].rows, findings: &dives[6].findings };
    check("compare-long", &chart::compare(&[long; 6], dives[6].title, UnitSystem::Us).unwrap());
    assert!(matches!(chart::compare(&[], "", UnitSystem::Metric), Err(ChartError::Nothing { .. })));
}

#[test]
fn sweeps_are_clear() {
    let points = |slope: f64| (0..=12).map(|i| (f64::from(i), slope * f64::from(i) - 3.0)).collect::<Vec<_>>();
    let mut broken = points(0.3);
    broken[5].1 = f64::NAN;
    let sweep = Sweep {
        title: "Twelve litres of loft take 6 kg of lead".into(),
        subject: "Cold trimix dive · invented".into(),
        x_title: "suit loft, L".into(),
        y_title: "lead, kg".into(),
        signed: true,
        own_x: Some(7.0),
        limit: Some((1.0, "swim-up limit".into())),
        series: vec![
            Series { name: "least lead".into(), points: broken },
            Series { name: "most lead".into(), points: points(0.5) },
            Series { name: "none".into(), points: vec![] },
        ],
        is_range: true,
    };
    let picture = chart::sweep(&sweep).unwrap();
    check("sweep", &picture);
    let texts = texts_of(&picture);
    // least 0.3 x − 3 and most 0.5 x − 3: a range from 0 on; the plan's own value stands on both curves
    for words in ["a lead is right", "this plan, 7", "−0.9", "+0.5"] {
        assert!(texts.contains(words), "{words}: {texts}");
    }
    let crossing = Sweep {
        series: vec![
            Series { name: "least lead".into(), points: points(0.3) },
            Series { name: "most lead".into(), points: points(0.5).iter().map(|(x, y)| (*x, y - 1.0)).collect() },
        ],
        signed: false,
        limit: None,
        ..sweep.clone()
    };
    let picture = chart::sweep(&crossing).unwrap();
    check("sweep-crossing", &picture);
    assert!(texts_of(&picture).contains("no lead is right"));
    // where the most lead is below zero the diver is too heavy; a dive that failed says nothing
    let mut most = points(0.5);
    most[..4].iter_mut().for_each(|point| point.1 = f64::NAN);
    let failed = most.clone();
    let least = Series { name: "least lead".into(), points: points(0.3) };
    let failed_least = Series { name: "least lead".into(), points: failed };
    for (first, says) in [(least, true), (failed_least, false)] {
        let most = Series { name: "most lead".into(), points: most.clone() };
        let picture = chart::sweep(&Sweep { series: vec![first, most], ..sweep.clone() }).unwrap();
        check(&format!("sweep-heavy-{says}"), &picture);
        assert_eq!(texts_of(&picture).contains("too heavy"), says);
    }
    let nothing = Sweep { series: vec![Series { name: "none".into(), points: vec![(f64::NAN, 1.0)] }], ..sweep };
    assert!(matches!(chart::sweep(&nothing), Err(ChartError::Nothing { .. })));
}

#[test]
fn doubt_over_time_is_clear() {
    let dive = dives::trimix();
    let column = |shift: f64| dive.rows.samples().iter().map(|row| row.bare_kg + shift).collect::<Vec<_>>();
    let time_s: Vec<_> = dive.rows.samples().iter().map(|row| row.time_s).collect();
    let (low_kg, middle_kg, high_kg) = (column(-1.4), column(0.0), column(1.4));
    let asked = DoubtOverTime {
        title: "The diver is 95 % sure to hold the last stop",
        subject: dive.title,
        band: "95 % of the draws",
        time_s: &time_s,
        low_kg: &low_kg,
        middle_kg: &middle_kg,
        high_kg: &high_kg,
        capacity_kg: 7.0,
        limit: "swim-up limit",
        units: UnitSystem::Metric,
    };
    check("doubt-over-time", &chart::doubt_over_time(&asked).unwrap());
    let empty = DoubtOverTime { time_s: &[], ..asked };
    assert!(matches!(chart::doubt_over_time(&empty), Err(ChartError::Nothing { .. })));
}

#[test]
fn what_to_weigh_is_clear() {
    let deed = |n: usize| ToWeigh {
        deed: format!("weigh piece number {n}, {}", "with a name ".repeat(n % 6)),
        then_kg: 0.3 + 0.25 * n as f64,
    };
    for count in [1, 5, 40] {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let figure = WeighFigure {
                title: "First weigh the twin set: the least lead is then known to ±0.30 kg",
                subject: "invented",
                answer: "least lead",
                now_kg: 1.6,
                deeds: (0..count).map(deed).collect(),
                units,
            };
            let picture = chart::to_weigh(&figure).unwrap();
            check(&format!("weigh-{count}-{units:?}"), &picture);
            assert_eq!(texts_of(&picture).matches("weigh piece number").count(), count.min(5));
        }
    }
}

/// A hundred dots an end, whatever the trials look like; those that the lead carried misses are counted.
#[test]
fn dots_of_lead_are_clear() {
    let even = |from_kg: f64, to_kg: f64| -> Vec<f64> {
        (0..2000).map(|i| from_kg + (to_kg - from_kg) * (f64::from(i) + 0.5) / 2000.0).collect()
    };
    let jump: Vec<f64> = even(2.0, 2.4).into_iter().chain(even(6.0, 6.4)).collect();
    let cases = [
        ("even", even(1.0, 5.0), even(4.0, 8.0), 4.5, ["too little in 13 of 100", "too much in 12 of 100"]),
        ("jump", even(1.0, 3.0), jump, 2.9, ["too little in 5 of 100", "too much in 50 of 100"]),
        ("none", even(-3.0, 1.0), even(-1.0, 3.0), 0.0, ["too little in 25 of 100", "too much in 25 of 100"]),
        ("same", vec![3.0; 500], vec![3.5; 500], 3.2, ["too little in 0 of 100", "too much in 0 of 100"]),
        ("neither", even(4.0, 6.0), even(1.0, 3.0), 3.5, ["too little in 100 of 100", "too much in 100 of 100"]),
    ];
    for (name, least_kg, most_kg, own_kg, says) in &cases {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let dots = LeadDots {
                title: "4.5 kg of lead is right in 75 % of the trials",
                subject: "invented",
                least_kg,
                most_kg,
                own_kg: *own_kg,
                has_overhead: false,
                units,
            };
            let picture = chart::lead_dots(&dots).unwrap();
            check(&format!("dots-{name}-{units:?}"), &picture);
            let texts = texts_of(&picture);
            assert!(says.iter().all(|says| texts.contains(says)), "{name}: {texts}");
            // a ring is two circles; the two in the words are not dots
            let svg = picture.svg().unwrap();
            assert_eq!(
                svg.matches("fill=\"#0072b2\"/>").count() + svg.matches("fill=\"#d55e00\"/>").count(),
                204,
                "{name}"
            );
        }
    }
    let (has_overhead, units) = (false, UnitSystem::Metric);
    let empty = LeadDots { title: "", subject: "", least_kg: &[], most_kg: &[], own_kg: 0.0, has_overhead, units };
    assert!(matches!(chart::lead_dots(&empty), Err(ChartError::Nothing { .. })));
}
