//! What to weigh next: where the doubt of the lead comes from, as a table, a sentence and a figure.

use crate::estimate::{Input, Origin};
use crate::report::chart::ToWeigh;
use crate::report::doubt::uncertain;
use crate::report::inputs::half_width_text;
use crate::report::lead::lead_text;
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, with_sum};
use crate::report::text::filled;
use crate::study::doubt::weigh::ANSWERS;
use crate::study::doubt::{Answer, Factor, WeighNext, Weighing};

/// A narrowing below this share of a half-width is not worth a sentence: its own scatter is of that size.
const WORTH_SAYING_FRAC: f64 = 0.03;

/// Place of an answer in the order in which a study has them.
pub(super) fn index(answer: Answer) -> usize {
    ANSWERS.iter().position(|one| *one == answer).unwrap_or(0)
}

/// The figures of what the body takes out of a loop: they err together.
const OXYGEN_USE: &str = "oxygen use";

/// The first figure of a factor.
fn first<'a>(inputs: &'a [Input], factor: &Factor) -> Option<&'a Input> {
    uncertain(inputs).nth(*factor.inputs.first()?)
}

/// A factor by a name that a reader knows.
pub fn factor_name(inputs: &[Input], factor: &Factor) -> String {
    match (&factor.group, first(inputs, factor)) {
        (Some(group), _) if group == "breathing" => "breathing rates".into(),
        (Some(group), _) => {
            group.strip_prefix("scale ").map_or(group.clone(), |scale| format!("readings of the {scale}"))
        }
        (None, Some(input)) => input.label.clone(),
        (None, None) => factor.label.clone(),
    }
}

/// What a reader would do to know a factor: the start of a sentence.
fn remedy(inputs: &[Input], factor: &Factor) -> String {
    match factor.group.as_ref().map(|group| group.strip_prefix("scale ")) {
        Some(Some(scale)) => return format!("A scale without error in place of the {scale}"),
        Some(None) if factor.group.as_deref() == Some(OXYGEN_USE) => return format!("Measuring the {OXYGEN_USE}"),
        Some(None) => return "Measuring the breathing rates".into(),
        None => {}
    }
    match first(inputs, factor).map(|input| (input.path.last(), input)) {
        Some(("gas_volume", _)) => {
            "Knowing the gas in the suit exactly (a check in the water finds it: lightpoint calibrate)".into()
        }
        Some(("gas_fraction" | "compliance", _)) => {
            "Knowing exactly how the foam squeezes (a check at depth finds it: lightpoint calibrate)".into()
        }
        _ => {
            let deed = deed(inputs, factor);
            let (verb, object) = deed.split_once(' ').unwrap_or((&deed, ""));
            let doing = match verb {
                "weigh" => "Weighing",
                _ => "Measuring",
            };
            format!("{doing} {object}")
        }
    }
}

/// The same as an order, in a few words.
fn deed(inputs: &[Input], factor: &Factor) -> String {
    if let Some(group) = &factor.group {
        return match group.strip_prefix("scale ") {
            Some(scale) => format!("use a better scale than the {scale}"),
            None if group == OXYGEN_USE => format!("measure the {OXYGEN_USE}"),
            None => "measure the breathing rates".into(),
        };
    }
    let Some(input) = first(inputs, factor) else { return format!("measure {}", factor.label) };
    let last = input.path.last();
    let piece = input.label.rsplit_once(", ").map_or(input.label.as_str(), |(piece, _)| piece);
    let the_piece = if piece == "diver" || !piece.contains(|c: char| c.is_ascii_digit()) {
        format!("the {piece}")
    } else {
        piece.to_owned()
    };
    let cylinder = input.path.first() == "cylinder";
    match (last, input.quantity) {
        ("volume", _) if input.path.first() == "loop" => "measure the gas that the loop holds".into(),
        ("absorbent", _) => "weigh the absorbent".into(),
        ("gas_volume", _) => "find the gas in the suit by a check in the water".into(),
        ("gas_fraction" | "compliance", _) => "find how the foam squeezes by a check at depth".into(),
        (_, Quantity::Salinity) => "measure the salinity of the water".into(),
        ("water", Quantity::Volume) => format!("measure how much water the cylinder \"{piece}\" holds"),
        ("capacity" | "extra_volume" | "lung_trim" | "swim_up" | "head_out", _) => format!("measure {}", input.label),
        ("mass", _) if cylinder => format!("weigh the cylinder \"{piece}\""),
        ("external", _) => format!("weigh the cylinder \"{piece}\" in the water"),
        ("mass", _) => format!("weigh {the_piece}"),
        ("in_water", _) if input.origin == Origin::Typical => format!("weigh {the_piece} in the water"),
        ("in_water", _) => format!("weigh {the_piece} in the water on a better scale"),
        (_, Quantity::Volume | Quantity::Area) => format!("weigh {the_piece} in the water"),
        ("density", Quantity::Density) if input.path.first() == "part" || input.path.is_beside() => {
            format!("weigh {the_piece} in the water")
        }
        _ => format!("measure the {}", input.label),
    }
}

/// Share of the variance that a factor has alone, and with what it does together with others. The second is known far
/// better; where the two differ by less than three standard errors it stands for both.
fn both_shares(weighing: &Weighing, answer: Answer) -> (f64, f64) {
    let ((first, first_error), (total, total_error)) = (weighing.first[index(answer)], weighing.total[index(answer)]);
    let total = total.clamp(0.0, 1.0);
    let differ = total - first > 3.0 * first_error.hypot(total_error);
    (if differ { first.clamp(0.0, total) } else { total }, total)
}

/// Half-width of an answer as things are, and with a factor known, kg.
fn narrowing(next: &WeighNext, weighing: &Weighing, answer: Answer) -> Option<(f64, f64)> {
    let at = index(answer);
    weighing.known_half_width_kg.as_ref().map(|known| (next.half_width_kg[at], known[at]))
}

/// One or two sentences: what would narrow the answer most.
pub fn sentences(units: UnitSystem, inputs: &[Input], next: &WeighNext) -> Vec<String> {
    let mut found: Vec<(f64, String)> = Vec::new();
    for weighing in &next.factors {
        let best = [Answer::Least, Answer::Most]
            .into_iter()
            .filter_map(|answer| narrowing(next, weighing, answer).map(|(now, then)| (answer, now, then)))
            .max_by(|a, b| (1.0 - a.2 / a.1).total_cmp(&(1.0 - b.2 / b.1)));
        let Some((answer, now, then)) = best.filter(|(_, now, then)| now - then > WORTH_SAYING_FRAC * now) else {
            continue;
        };
        let typical = match first(inputs, &weighing.factor) {
            Some(input) if input.origin == Origin::Typical => {
                "; the plan has a typical figure so far, so write down what you find"
            }
            _ => "",
        };
        let text = format!(
            "{} would narrow the {} from ±{} to ±{}{typical}.",
            remedy(inputs, &weighing.factor),
            answer.label(),
            lead_text(units, now),
            lead_text(units, then),
        );
        found.push((1.0 - then / now, text));
    }
    if found.is_empty() {
        return vec!["No single figure would narrow the lead by much: the doubt is made of many small ones.".into()];
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().take(2).map(|(_, text)| text).collect()
}

/// The table: the half-widths of least and most lead with a figure known; in detail, its shares of their variance too.
pub fn table(units: UnitSystem, inputs: &[Input], next: &WeighNext, details: bool) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    // shares are columns 2 and 3
    let shown_columns = |row: [String; 6]| {
        row.into_iter().enumerate().filter(move |(i, _)| details || !(2..4).contains(i)).map(|(_, cell)| cell)
    };
    table.set_header(shown_columns([
        "What to weigh next".to_owned(),
        "doubt".to_owned(),
        "share, least\nlead, %".to_owned(),
        "share, most\nlead, %".to_owned(),
        format!("least lead\nthen, {unit}"),
        format!("most lead\nthen, {unit}"),
    ]));
    let share = |weighing: &Weighing, answer: Answer| {
        let (alone, total) = both_shares(weighing, answer);
        let percent = |frac: f64| fixed(100.0 * frac, 0);
        let (alone, total) = (percent(alone), percent(total));
        if alone == total { alone } else { format!("{alone} to {total}") }
    };
    let half = |kg: f64| format!("±{}", fixed(units.value(Quantity::Mass, kg), 2));
    let (shown, others): (Vec<&Weighing>, Vec<&Weighing>) = next.factors.iter().partition(|weighing| {
        let share = weighing.total_of(Answer::Least).max(weighing.total_of(Answer::Most));
        weighing.known_half_width_kg.is_some() && share >= crate::study::doubt::weigh::WORTH_A_LOOK
    });
    for weighing in &shown {
        let input = first(inputs, &weighing.factor);
        let several = weighing.factor.inputs.len();
        let doubt = match input.and_then(|input| Some((input, input.estimate.doubt?))) {
            Some(_) if several > 1 => format!("{several} figures"),
            Some((input, doubt)) => {
                let typical = if input.origin == Origin::Typical { ", typical" } else { "" };
                format!("{}{typical}", half_width_text(units, input.quantity, &doubt))
            }
            None => String::new(),
        };
        let then = |answer| narrowing(next, weighing, answer).map_or(String::new(), |(_, then)| half(then));
        table.add_row(shown_columns([
            factor_name(inputs, &weighing.factor),
            doubt,
            share(weighing, Answer::Least),
            share(weighing, Answer::Most),
            then(Answer::Least),
            then(Answer::Most),
        ]));
    }
    let rest = match others.len() {
        0 => String::new(),
        count => format!("; {count} more are too small to show"),
    };
    let now = |answer: Answer| half(next.half_width_kg[index(answer)]);
    let blank = String::new;
    let things = ["as things are".to_owned(), blank(), blank(), blank(), now(Answer::Least), now(Answer::Most)];
    table.add_row(shown_columns(things));
    align_numbers(&mut table, 2..if details { 6 } else { 4 });
    let shares = if details { "share: of the variance (a to b: alone, and together with others); " } else { "" };
    let note = format!("{shares}then: the half-width of the 95 % interval with that figure known exactly{rest}");
    // what a figure does for the most lead is much like what it does for the least
    let fit = Fit { fold: 0, leave_out: if details { &[3, 2, 1] } else { &[1] } };
    format!("{}\n{}", with_sum(&mut table, fit), filled(&note))
}

/// The rows of the figure for one answer, the most useful first.
pub fn deeds(inputs: &[Input], next: &WeighNext, answer: Answer) -> Vec<ToWeigh> {
    let mut found: Vec<ToWeigh> = next
        .factors
        .iter()
        .filter_map(|weighing| {
            let (_, then_kg) = narrowing(next, weighing, answer)?;
            Some(ToWeigh { deed: deed(inputs, &weighing.factor), then_kg })
        })
        .collect();
    found.sort_by(|a, b| a.then_kg.total_cmp(&b.then_kg));
    found
}

/// Half-width of an answer as things are, kg.
pub fn half_width_kg(next: &WeighNext, answer: Answer) -> f64 {
    next.half_width_kg[index(answer)]
}

/// Whether knowing a figure narrows an answer by enough to be told.
pub fn is_worth_saying(now_kg: f64, then_kg: f64) -> bool {
    now_kg - then_kg > WORTH_SAYING_FRAC * now_kg
}
