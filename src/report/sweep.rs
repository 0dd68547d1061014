//! A finding against a figure of the plan that changes: the words and the picture.

use crate::answer::{Key, Sweep, Swept};
use crate::report::chart::{self, Series};
use crate::report::compare::axis_title;
use crate::report::measure::{Quantity, UnitSystem, fixed};

/// The picture's facts. `subject` is the plan's title.
pub fn figure(units: UnitSystem, subject: &str, asked: &Swept, keys: &[Key], found: &Sweep) -> chart::Sweep {
    let is_range = keys.len() >= 2 && keys[0] == Key::LeastLead && keys[1] == Key::MostLead;
    let mut rows: Vec<(f64, Vec<f64>)> = found
        .points
        .iter()
        .map(|point| {
            let values = (0..keys.len()).map(|i| figure_of(point, i).unwrap_or(f64::NAN));
            (point.at, values.zip(keys).map(|(si, key)| units.value(key.quantity(), si)).collect())
        })
        .collect();
    if is_range {
        rows = with_noughts(&rows);
    }
    let series: Vec<Series> = keys
        .iter()
        .enumerate()
        .map(|(i, key)| Series {
            name: key.label().into(),
            points: rows.iter().map(|(at, values)| (*at, shown(*key, values[i]))).collect(),
        })
        .collect();
    let title = if is_range { range_title(units, asked, found) } else { plain_title(asked, keys, &series) };
    let labels: Vec<_> = keys.iter().map(|key| key.label()).collect();
    chart::Sweep {
        title,
        subject: subject.to_owned(),
        x_title: axis_title(&asked.key, &asked.unit),
        y_title: format!("{}, {}", labels.join(" and "), units.symbol(keys[0].quantity())),
        signed: keys.iter().any(|key| matches!(key, Key::Heavy | Key::Light)),
        own_x: found.own,
        limit: None,
        series,
        is_range,
    }
}

fn figure_of(point: &crate::answer::SweepPoint, i: usize) -> Option<f64> {
    point.figures.as_ref().ok().and_then(|figures| figures.get(i).copied().flatten())
}

/// The rows, and one more wherever a lead passes zero between two of them, on straight lines: there it ends.
fn with_noughts(rows: &[(f64, Vec<f64>)]) -> Vec<(f64, Vec<f64>)> {
    let mut more = rows.first().cloned().into_iter().collect::<Vec<_>>();
    for pair in rows.windows(2) {
        let ((x0, from), (x1, to)) = (&pair[0], &pair[1]);
        let mut shares: Vec<f64> =
            from.iter().zip(to).map(|(a, b)| a / (a - b)).filter(|s| *s > 0.0 && *s < 1.0).collect();
        shares.sort_unstable_by(f64::total_cmp);
        more.extend(shares.into_iter().map(|share| {
            let at = |a: f64, b: f64| {
                let value = a + share * (b - a);
                // what passes zero here is nothing here
                if value.abs() < 1e-9 * (a.abs() + b.abs()) { 0.0 } else { value }
            };
            (at(*x0, *x1), from.iter().zip(to).map(|(a, b)| at(*a, *b)).collect())
        }));
        more.push(pair[1].clone());
    }
    more
}

/// A finding as it is drawn: nobody carries less than no lead, so a least lead below zero is none, and a most lead below
/// zero leaves a gap.
fn shown(key: Key, value: f64) -> f64 {
    match key {
        Key::LeastLead if value < 0.0 => 0.0,
        Key::MostLead if value < 0.0 => f64::NAN,
        _ => value,
    }
}

fn place(asked: &Swept, at: f64) -> String {
    let number = fixed(at, 2);
    let number = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
    format!("{number} {}", asked.unit).trim_end().to_owned()
}

/// Where a lead is right.
fn range_title(units: UnitSystem, asked: &Swept, found: &Sweep) -> String {
    // room between the ends, kg; below zero no lead is right
    let rooms: Vec<(f64, f64)> = found
        .points
        .iter()
        .filter_map(|point| Some((point.at, figure_of(point, 1)? - figure_of(point, 0)?.max(0.0))))
        .collect();
    let (Some(first), Some(last)) = (rooms.first(), rooms.last()) else {
        return format!("No lead was found for any {}", asked.key);
    };
    let span = format!("from {} to {}", place(asked, first.0), place(asked, last.0));
    let mass = |kg: f64| units.text(Quantity::Mass, kg.abs());
    let rooms_kg = || rooms.iter().map(|room| room.1);
    let (low_kg, high_kg) = (rooms_kg().fold(f64::INFINITY, f64::min), rooms_kg().fold(f64::NEG_INFINITY, f64::max));
    let between = |a: f64, b: f64| {
        let (a, b) = (units.number(Quantity::Mass, a.abs()), mass(b));
        if b.starts_with(&format!("{a} ")) { b } else { format!("{a} to {b}") }
    };
    if high_kg < 0.0 {
        return format!("No lead is right {span}: {} are missing", between(high_kg, low_kg));
    }
    if low_kg >= 0.0 {
        return format!("A lead is right all the way {span}: {} of room", between(low_kg, high_kg));
    }
    // where the room passes zero, on straight lines between the values
    let cross = |pair: &[(f64, f64)]| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        x0 + y0 / (y0 - y1) * (x1 - x0)
    };
    let crossings: Vec<f64> =
        rooms.windows(2).filter(|pair| (pair[0].1 < 0.0) != (pair[1].1 < 0.0)).map(cross).collect();
    match (&crossings[..], first.1 < 0.0) {
        ([at], true) => format!("A lead is right only from {} of {} on", place(asked, *at), asked.key),
        ([at], false) => format!("A lead is right only up to {} of {}", place(asked, *at), asked.key),
        ([from, to], true) => {
            format!("A lead is right only from {} to {} of {}", place(asked, *from), place(asked, *to), asked.key)
        }
        ([from, to], false) => {
            format!("No lead is right from {} to {} of {}", place(asked, *from), place(asked, *to), asked.key)
        }
        _ => {
            let right = rooms.iter().filter(|room| room.1 >= 0.0).count();
            format!("A lead is right at {right} of {} values of {}", rooms.len(), asked.key)
        }
    }
}

/// From where to where the first finding goes.
fn plain_title(asked: &Swept, keys: &[Key], series: &[Series]) -> String {
    let points: Vec<(f64, f64)> = series[0].points.iter().copied().filter(|point| point.1.is_finite()).collect();
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return format!("No {} was found for any {}", keys[0].label(), asked.key);
    };
    let mut label = keys[0].label().chars();
    let label = label.next().map_or(String::new(), |letter| letter.to_uppercase().chain(label).collect());
    let (from, to) = (fixed(first.1, 1), fixed(last.1, 1));
    let ends = format!("{} to {} of {}", place(asked, first.0), place(asked, last.0), asked.key);
    if from == to {
        format!("{label} stays at {from} from {ends}")
    } else {
        format!("{label} goes from {from} to {to} over {ends}")
    }
}
