//! Many dives as a list: a plan a row, an answer a column, as text and as CSV.

use crate::answer::{Key, ListVerdict, Listed};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::series::SeriesError;
use crate::report::table::{Fit, align_numbers, new_table, plain};

/// The figures that the table has, with its heads; the CSV and the JSON have them all.
const COLUMNS: [(Key, &str); 6] = [
    (Key::LeastLead, "least\nlead"),
    (Key::MostLead, "most\nlead"),
    (Key::Heavy, "heavy\npoint"),
    (Key::Light, "light\npoint"),
    (Key::Load, "swim-up\nload"),
    (Key::HoldAtReserve, "hold"),
];
/// Places of the columns behind them, and before.
const CARRIED: usize = 1;
const VERDICT: usize = 2;
const FIRST_FIGURE: usize = 3;

/// A plan of the list.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// Its short name.
    pub label: &'a str,
    /// What it comes to; `None` where it has problems.
    pub listed: Option<&'a Listed>,
}

/// The verdict in words, without praise: how sure the figures are was not asked.
pub fn verdict(verdict: ListVerdict) -> &'static str {
    match verdict {
        ListVerdict::InRange => "within",
        ListVerdict::TooLittle => "too little",
        ListVerdict::TooMuch => "too much",
        ListVerdict::NoLeadIsRight => "none right",
        ListVerdict::OutOfGas => "out of gas",
    }
}

/// What the heads mean, below the table.
pub const MEANING: &str = "least to most lead: from what stays down to what can be swum up with a failed wing; verdict: \
    the lead carried against that, with every figure as written, how sure is not asked (lightpoint ballast PLAN tells); \
    hold: margin of staying at the last stop with cylinders at reserve.";

/// The table.
pub fn table(units: UnitSystem, rows: &[Row<'_>]) -> String {
    let mut table = new_table();
    let unit = units.symbol(Quantity::Mass);
    let head = [format!("plan;\nfigures in {unit}"), "lead\ncarried".to_owned(), "verdict".to_owned()];
    table.set_header(head.into_iter().chain(COLUMNS.map(|(_, head)| head.to_owned())));
    for row in rows {
        let figures = COLUMNS.map(|(key, _)| row.listed.map_or("—".into(), |listed| cell(units, key, listed)));
        let own = row.listed.map_or("—".into(), |one| fixed(units.value(Quantity::Mass, one.carried_kg), 2));
        let word = row.listed.map_or("problems", |one| verdict(one.verdict));
        table.add_row([row.label.to_owned(), own, word.to_owned()].into_iter().chain(figures));
    }
    align_numbers(&mut table, CARRIED..VERDICT);
    align_numbers(&mut table, FIRST_FIGURE..FIRST_FIGURE + COLUMNS.len());
    // heavy and light point first, then what the verdict stands for
    let leave_out = [FIRST_FIGURE + 3, FIRST_FIGURE + 2, FIRST_FIGURE + 5, FIRST_FIGURE + 4];
    plain(&mut table, Fit { fold: 0, leave_out: &leave_out })
}

fn cell(units: UnitSystem, key: Key, listed: &Listed) -> String {
    listed.figure(key).map_or("—".into(), |si| crate::report::compare::number(units, key, si))
}

/// All figures as CSV, every number with six places in the reader's units; a plan with problems has its name alone.
///
/// # Errors
/// As the CSV writer; writing into memory does not fail in practice.
pub fn csv(units: UnitSystem, rows: &[Row<'_>]) -> Result<Vec<u8>, SeriesError> {
    let named = |name: &str, quantity: Quantity| format!("{name}_{}", units.suffix(quantity));
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut head = vec!["plan".to_owned(), "verdict".to_owned(), named("carried", Quantity::Mass)];
    head.extend(Key::ALL.map(|key| named(key.name(), key.quantity())));
    writer.write_record(head)?;
    let number = |quantity: Quantity, si: f64| format!("{:.6}", units.value(quantity, si));
    for row in rows {
        let mut line = vec![row.label.to_owned()];
        match row.listed {
            Some(one) => {
                line.extend([verdict(one.verdict).to_owned(), number(Quantity::Mass, one.carried_kg)]);
                let figure = |key: Key| one.figure(key).map_or(String::new(), |si| number(key.quantity(), si));
                line.extend(Key::ALL.map(figure));
            }
            None => {
                line.extend(["problems".to_owned(), String::new()].into_iter().chain(Key::ALL.map(|_| String::new())))
            }
        }
        writer.write_record(line)?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}
