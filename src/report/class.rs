//! A class: what to bring for all students and who has a problem, a row for each student, the same as CSV.

use crate::answer::class::{
    ClassAsk, ClassFacts, Packing, Pile, PlacedLead, StudentAnswer, StudentFacts, Trouble, Wanted,
};
use crate::report::advice::piece_list;
use crate::report::circuit::partial;
use crate::report::fins::Fins;
use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::Line;
use crate::study::Choice;
use crate::units::BAR_PA;

/// Names in a line before others are counted.
const NAMED: usize = 6;

/// A class and what was asked of it.
#[derive(Clone, Copy, Debug)]
pub struct ClassReport<'a> {
    /// What is known.
    pub facts: &'a ClassFacts,
    /// What was asked.
    pub ask: &'a ClassAsk,
    /// Units for the reader.
    pub units: UnitSystem,
}

/// The answer in lines: what to bring, what is missing, who has a problem.
pub fn lines(report: &ClassReport<'_>) -> Vec<Line> {
    let facts = report.facts;
    let mut lines =
        vec![bring(report, "Bring", &facts.sea, waiting(report)), bring(report, "In the pool", &facts.pool, "")];
    lines.extend(missing(report, "for the dive", &facts.sea));
    lines.extend(missing(report, "for the pool", &facts.pool));
    let no_answer: Vec<&str> =
        facts.students.iter().filter(|one| one.facts.is_err()).map(|one| one.name.as_str()).collect();
    if !no_answer.is_empty() {
        lines.push(bad("No answer", format!("{}: what is wrong stands below", named(&no_answer))));
    }
    let fins = fins(report);
    for (label, what, is_one) in TROUBLES {
        let what = what.replace("swum up", fins.swum_up());
        let names: Vec<&str> =
            facts.answered().filter(|(_, one)| one.trouble.iter().any(is_one)).map(|(name, _)| name).collect();
        if !names.is_empty() {
            lines.push(bad(label, format!("{}: {what}", named(&names))));
        }
    }
    lines.extend(facts.wanted.iter().map(|wanted| bad("Gear", gear(facts, wanted))));
    lines
}

/// What the fins are for in the class: where one dives under an overhead, for all.
fn fins(report: &ClassReport<'_>) -> Fins {
    Fins::where_overhead(report.facts.answered().any(|(_, one)| one.has_overhead))
}

/// A sort of trouble.
type IsOne = fn(&Trouble) -> bool;

/// Every sort of trouble with what it means, the worst first.
const TROUBLES: [(&str, &str, IsOne); 11] = [
    ("Out of gas", "the dive runs out of it; nothing is advised", |one| {
        matches!(one, Trouble::OutOfGas | Trouble::LoopSupplyOut { .. })
    }),
    ("Loop", "its oxygen leaves the limits", |one| matches!(one, Trouble::LoopOxygen { .. })),
    ("Absorbent", "used up before the loop is left", |one| matches!(one, Trouble::AbsorbentSpent { .. })),
    ("No lead is right", "staying down takes more than can be swum up", |one| {
        matches!(one, Trouble::NoLeadIsRight { .. })
    }),
    ("Failed wing", "more than can be swum up", |one| matches!(one, Trouble::FailedWing { .. })),
    ("Staying down", "too light at the end", |one| matches!(one, Trouble::FloatsUp { .. })),
    ("Wing", "too small", |one| matches!(one, Trouble::WingTooSmall { .. })),
    ("Check first", "nothing advised yet, typical figures are most of the doubt: a check in the pool tells", |one| {
        matches!(one, Trouble::CheckFirst)
    }),
    ("Too wide a doubt", "what covers it is more than can be swum up: weigh what lightpoint doubt names", |one| {
        matches!(one, Trouble::DoubtTooWide)
    }),
    ("Pieces", "too coarse, or too few, for what is needed", |one| {
        matches!(one, Trouble::PiecesTooCoarse | Trouble::PiecesTooFew)
    }),
    ("Needless lead", "more than staying down can ask for", |one| matches!(one, Trouble::Needless { .. })),
];

fn bad(label: &str, text: String) -> Line {
    Line { label: label.into(), text, within: Some(false) }
}

/// `Ana, Ben and 4 more`.
fn named(names: &[&str]) -> String {
    match names.len().saturating_sub(NAMED) {
        0 => names.join(", "),
        more => format!("{} and {more} more", names[..NAMED].join(", ")),
    }
}

/// What to bring counts more than what is advised where somebody waits for a check.
fn waiting(report: &ClassReport<'_>) -> &'static str {
    let waits = |(_, one): (&str, &StudentFacts)| one.trouble.contains(&Trouble::CheckFirst);
    match (report.ask.has_trials, report.facts.answered().any(waits)) {
        (false, _) => "; the least in pieces, its doubt left out",
        (true, true) => "; for who waits for a check what it may come to",
        (true, false) => "",
    }
}

fn bring(report: &ClassReport<'_>, label: &str, packing: &Packing, more: &str) -> Line {
    let units = report.units;
    let total = number(units, packing.bring_kg());
    // whoever has no answer needs lead too, which nobody knows yet
    let (takes, all) = (packing.taken.iter().flatten().count(), packing.taken.len());
    let whom = if takes < all { format!(" for {takes} of {all} students") } else { String::new() };
    let text = match packing.bring.as_slice() {
        [] => format!("no lead{whom}{more}"),
        piles => format!("{total} {} of lead{whom}: {}{more}", units.symbol(Quantity::Mass), pile_list(units, piles)),
    };
    Line::plain(label, text)
}

fn missing(report: &ClassReport<'_>, what: &str, packing: &Packing) -> Option<Line> {
    if packing.without.is_empty() {
        return None;
    }
    let names: Vec<&str> = packing.without.iter().map(|i| report.facts.students[*i].name.as_str()).collect();
    let list = match packing.missing.as_slice() {
        [] => "pieces".into(),
        piles => pile_list(report.units, piles),
    };
    Some(bad("Missing", format!("{what}: {list}, so that {} have theirs too", named(&names))))
}

/// `3 × 2 kg, 1 × 0.5 kg`.
pub fn pile_list(units: UnitSystem, piles: &[Pile]) -> String {
    let unit = units.symbol(Quantity::Mass);
    let one = |pile: &Pile| format!("{} × {} {unit}", pile.count, number(units, pile.piece_kg));
    piles.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A mass with the decimals that its pieces need.
fn number(units: UnitSystem, kg: f64) -> String {
    let text = fixed(units.value(Quantity::Mass, kg), 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn gear(facts: &ClassFacts, wanted: &Wanted) -> String {
    let names: Vec<&str> = wanted.students.iter().map(|i| facts.students[*i].name.as_str()).collect();
    let Wanted { piece, wanted, has, .. } = wanted;
    format!("{piece}: {wanted} are wanted at the same time, the list has {has}: {}", named(&names))
}

/// A mass in the table.
fn mass(units: UnitSystem, kg: f64) -> String {
    fixed(units.value(Quantity::Mass, kg), 2)
}

/// A row for each student.
pub fn table(report: &ClassReport<'_>) -> String {
    let (units, has_trials) = (report.units, report.ask.has_trials);
    let unit = units.symbol(Quantity::Mass);
    let head = |name: &str| format!("{name},\n{unit}");
    let mut table = new_table();
    let carry = if has_trials { head("carry") } else { format!("in\npieces,\n{unit}") };
    let mut header = vec!["Student".into(), head("least"), head("most"), carry, head("pool"), head("plan has")];
    if has_trials {
        header.extend([head("needless"), "holds,\nof 100".into(), format!("{},\nof 100", fins(report).column())]);
    }
    header.extend([format!("pieces,\n{unit}"), "what is wrong".into()]);
    let wrong = header.len() - 1;
    table.set_header(header);
    for (index, student) in report.facts.students.iter().enumerate() {
        table.add_row(row(report, index, student));
    }
    align_numbers(&mut table, 1..wrong - 1);
    let leave_out: &[usize] = if has_trials { &[8, 9, 6, 5, 7, 2] } else { &[6, 5, 2] };
    plain(&mut table, Fit { fold: wrong, leave_out }).replace(TIED, " ")
}

fn row(report: &ClassReport<'_>, index: usize, student: &StudentAnswer) -> Vec<String> {
    let (units, has_trials) = (report.units, report.ask.has_trials);
    let dash = || "—".to_owned();
    let Ok(one) = &student.facts else {
        let blanks = std::iter::repeat_n(dash(), if has_trials { 9 } else { 6 });
        return std::iter::once(student.name.clone()).chain(blanks).chain(["no answer".into()]).collect();
    };
    let choice = |choice: Option<&Choice>| choice.map_or_else(dash, |choice| mass(units, choice.lead_kg));
    let carry = one.sure.as_ref().map_or(one.barely.as_ref(), |sure| sure.advised.as_ref());
    let has = if one.own.ballast_kg < 1e-3 { "none".into() } else { mass(units, one.own.ballast_kg) };
    let mut cells = vec![
        student.name.clone(),
        mass(units, one.lead.low_kg()),
        if one.lead.most_kg < 0.0 { "none".into() } else { mass(units, one.lead.most_kg) },
        choice(carry),
        choice(one.pool.as_ref()),
        has,
    ];
    if let Some(sure) = &one.sure {
        let of_100 = |share: f64| match sure.advised {
            Some(_) => format!("{:.0}", (share * 100.0).floor()),
            None => dash(),
        };
        cells.push(sure.needless_kg.map_or_else(dash, |kg| mass(units, kg)));
        cells.extend([of_100(sure.holds_frac), of_100(sure.swims_frac)]);
    }
    cells.push(match &report.facts.sea.taken[index] {
        Some(choice) if choice.pieces_kg.is_empty() => "none".into(),
        Some(choice) => piece_list(&choice.pieces_kg, |kg| number(units, kg)),
        None => dash(),
    });
    let troubles: Vec<String> = one.trouble.iter().map(|trouble| tied(&words(units, trouble))).collect();
    cells.push(if troubles.is_empty() { dash() } else { troubles.join("; ") });
    cells
}

/// A blank at which no line is broken.
const TIED: char = '\u{a0}';

/// Words of which no number stands apart from its unit.
fn tied(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut before = ' ';
    for c in words.chars() {
        out.push(if c == ' ' && before.is_ascii_digit() { TIED } else { c });
        before = c;
    }
    out
}

/// A trouble in a few words.
pub fn words(units: UnitSystem, trouble: &Trouble) -> String {
    let kg = |kg: f64| units.text(Quantity::Mass, kg);
    match trouble {
        Trouble::OutOfGas => "out of gas".into(),
        Trouble::LoopSupplyOut { is_oxygen, time_s } => {
            let what = if *is_oxygen { "oxygen" } else { "diluent" };
            format!("loop out of {what} at {}", moment(*time_s))
        }
        Trouble::LoopOxygen { least_pa, most_pa } => {
            format!("loop's oxygen {} to {}", fixed(least_pa / BAR_PA, 2), partial(*most_pa))
        }
        Trouble::AbsorbentSpent { time_s } => format!("absorbent used up at {}", moment(*time_s)),
        Trouble::NoLeadIsRight { gap_kg } => format!("no lead is right, by {}", kg(*gap_kg)),
        Trouble::FailedWing { load_kg, limit_kg, is_mended_by_ditching } => {
            let ditched = if *is_mended_by_ditching { ", unless ditched" } else { "" };
            format!("failed wing: {} of {}{ditched}", kg(*load_kg), kg(*limit_kg))
        }
        Trouble::FloatsUp { lift_kg } => format!("floats up, {} too light", kg(*lift_kg)),
        Trouble::WingTooSmall { needed_m3, capacity_m3 } => {
            let litres = |m3: f64| units.text(Quantity::Volume, m3);
            match capacity_m3 {
                Some(has_m3) => format!("wing {}, needs {}", litres(*has_m3), litres(*needed_m3)),
                None => format!("no wing, needs {}", litres(*needed_m3)),
            }
        }
        Trouble::RepeatCheck => "repeat the check".into(),
        Trouble::CheckFirst => "check first".into(),
        Trouble::DoubtTooWide => "doubt too wide".into(),
        Trouble::PiecesTooCoarse => "pieces too coarse".into(),
        Trouble::PiecesTooFew => "pieces too few".into(),
        Trouble::Needless { excess_kg } => format!("needless lead, {}", kg(*excess_kg)),
    }
}

/// What the columns mean that do not say it themselves.
pub fn notes(report: &ClassReport<'_>) -> Vec<String> {
    let units = report.units;
    let (layer, depth_m) = (report.ask.pool.layer, report.ask.pool.depth_m);
    let (depth, warm) = (units.text(Quantity::Length, depth_m), units.text(Quantity::Temperature, layer.temperature_k));
    let mut notes = vec![format!(
        "pool: neutral at {depth} in water of {warm} with an empty wing and cylinders at reserve, as the figures stand; \
         bring pieces to spare"
    )];
    let bare = |(_, one): (&str, &StudentFacts)| one.own.ballast_kg < 1e-3;
    if report.facts.answered().any(bare) {
        let lead = if report.ask.has_trials {
            "the lead that is advised, else the least in pieces"
        } else {
            "the least in pieces"
        };
        notes.push(format!("whose plan has no lead is judged with {lead}"));
    }
    notes.extend(report.facts.answered().filter_map(|(name, one)| places(units, name, one)));
    notes
}

/// Where a student's lead turns least: `Ana, lead where it turns least: belt 2 + 1 kg, tail 0.5 kg`.
fn places(units: UnitSystem, name: &str, one: &StudentFacts) -> Option<String> {
    let unit = units.symbol(Quantity::Mass);
    let at = |placed: &PlacedLead| {
        format!("{} {} {unit}", placed.place, piece_list(&placed.pieces_kg, |kg| number(units, kg)))
    };
    let list: Vec<String> = one.places.iter().map(at).collect();
    (!list.is_empty()).then(|| format!("{name}, lead where it turns least: {}", list.join(", ")))
}

/// The rows as CSV, columns named with their units.
///
/// # Errors
/// As the CSV writer; writing into memory does not fail in practice.
pub fn csv(report: &ClassReport<'_>) -> Result<Vec<u8>, csv::Error> {
    let units = report.units;
    let named = |name: &str| format!("{name}_{}", units.suffix(Quantity::Mass));
    let mut writer = csv::Writer::from_writer(Vec::new());
    let masses =
        ["least", "most", "advised", "in_pieces", "least_low", "least_high", "own", "needless", "pool", "takes"];
    let head = std::iter::once("name".to_owned()).chain(masses.map(named));
    let rest = ["pieces", "pool_pieces", "holds_frac", "swims_frac", "trouble"].map(str::to_owned);
    writer.write_record(head.chain(rest))?;
    for (index, student) in report.facts.students.iter().enumerate() {
        writer.write_record(record(report, index, student))?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

fn record(report: &ClassReport<'_>, index: usize, student: &StudentAnswer) -> Vec<String> {
    let units = report.units;
    let Ok(one) = &student.facts else {
        let blanks = std::iter::repeat_n(String::new(), 14);
        return std::iter::once(student.name.clone()).chain(blanks).chain(["no answer".into()]).collect();
    };
    // a thousandth more than anybody weighs, and a point and a hyphen for machines
    let mass = |kg: f64| format!("{:.4}", units.value(Quantity::Mass, kg) + 0.0);
    let some = |kg: Option<f64>| kg.map(mass).unwrap_or_default();
    let lead = |choice: Option<&Choice>| some(choice.map(|choice| choice.lead_kg));
    let sure = one.sure.as_ref();
    let advised = sure.and_then(|sure| sure.advised.as_ref());
    let share = |share: Option<f64>| share.filter(|_| advised.is_some()).map(|s| format!("{s:.4}")).unwrap_or_default();
    let pieces = |choice: Option<&Choice>| {
        choice.map(|choice| piece_list(&choice.pieces_kg, |kg| number(units, kg))).unwrap_or_default()
    };
    let taken = report.facts.sea.taken[index].as_ref();
    let troubles: Vec<String> = one.trouble.iter().map(|trouble| words(units, trouble)).collect();
    vec![
        student.name.clone(),
        mass(one.lead.least_kg),
        mass(one.lead.most_kg),
        lead(advised),
        lead(one.barely.as_ref()),
        some(sure.map(|sure| sure.interval.low)),
        some(sure.map(|sure| sure.interval.high)),
        mass(one.own.ballast_kg),
        some(sure.and_then(|sure| sure.needless_kg)),
        mass(one.pool_kg),
        lead(taken),
        pieces(taken),
        pieces(report.facts.pool.taken[index].as_ref()),
        share(sure.map(|sure| sure.holds_frac)),
        share(sure.map(|sure| sure.swims_frac)),
        troubles.join("; "),
    ]
}
