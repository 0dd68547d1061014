//! Where the diver hangs, in words and tables: the line of `run` and `ballast`, and the answer of `trim`.

use crate::answer::{BallastFacts, LeadWhere, PlaceShare, TrimAsk, TrimDoubt, TrimFacts};
use crate::estimate::Origin;
use crate::findings::trim::{Gone, Hang, Pull, Trim, TrimAt};
use crate::report::advice::piece_list;
use crate::report::lead::lead_text;
use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::Line;
use crate::report::words;
use crate::scenario::Scenario;
use crate::sim::Owner;
use crate::study::lead_places::Method;

/// A torque that nobody feels, N·m: a kilogram moved by seven centimetres. In both systems of units a larger one is shown as
/// more than none.
pub const LEVEL_NM: f64 = 0.7;

/// Where the terminal says more.
pub const AT_A_TERMINAL: &str = ". More: lightpoint trim";

/// Which end is heavy: `head-heavy`, `feet-heavy`, `level`.
pub fn heavy_end(torque_nm: f64) -> &'static str {
    match torque_nm {
        nm if nm.abs() < LEVEL_NM => "level",
        nm if nm < 0.0 => "head-heavy",
        _ => "feet-heavy",
    }
}

/// A torque in words: `head-heavy by 33 N·m`, `level`.
pub fn tips(units: UnitSystem, torque_nm: f64) -> String {
    match heavy_end(torque_nm) {
        "level" => "level".into(),
        end => format!("{end} by {}", torque(units, torque_nm)),
    }
}

/// A torque without its direction.
pub fn torque(units: UnitSystem, torque_nm: f64) -> String {
    units.text(Quantity::Torque, torque_nm.abs())
}

/// How the diver hangs at rest, let go.
pub fn hang(hang: Hang) -> String {
    match hang {
        Hang::At(pitch_rad) => match pitch_rad.to_degrees().round() {
            0.0 => "level".into(),
            degrees if degrees > 0.0 => format!("head up {degrees:.0}°"),
            degrees => format!("head down {:.0}°", -degrees),
        },
        Hang::HeadUp => "head up, steeper than 30°".into(),
        Hang::HeadDown => "head down, steeper than 30°".into(),
        Hang::OnBack => "would turn onto the back".into(),
    }
}

/// How the diver hangs at rest at a moment, as far as the doubt lets it be told.
pub fn at_rest(facts: &TrimFacts, at: TrimAt) -> String {
    if at.moment.up_kg_m.abs() < facts.up_half_width_kg_m(&at) {
        return "not known, it may stay prone or turn onto the back".into();
    }
    hang(at.hang())
}

/// Which end is heavy over the dive, and by how much: the answer of `run`.
pub fn over_dive(units: UnitSystem, trim: &Trim) -> String {
    let (head, feet) = (trim.head_heaviest, trim.feet_heaviest);
    let (least_nm, most_nm) = (head.torque_nm(), feet.torque_nm());
    let number = |nm: f64| units.number(Quantity::Torque, nm.abs());
    let both = |small: f64, large: f64| match number(small) == number(large) {
        true => torque(units, large),
        false => format!("{} to {}", number(small), torque(units, large)),
    };
    match (heavy_end(least_nm), heavy_end(most_nm)) {
        ("level", "level") => "level all the way".into(),
        ("head-heavy", "feet-heavy") => {
            format!("from head-heavy by {} to feet-heavy by {}", torque(units, least_nm), torque(units, most_nm))
        }
        ("head-heavy", _) if most_nm < 0.0 => format!("head-heavy all the way, {}", both(most_nm, least_nm)),
        (_, "feet-heavy") if least_nm > 0.0 => format!("feet-heavy all the way, {}", both(least_nm, most_nm)),
        ("head-heavy", _) => format!("level to head-heavy by {}", torque(units, least_nm)),
        _ => format!("level to feet-heavy by {}", torque(units, most_nm)),
    }
}

/// How sure that is, and what makes most of the doubt.
pub fn how_sure(units: UnitSystem, trim: &Trim, doubt: &TrimDoubt) -> String {
    let worst = trim.worst();
    let half = torque(units, doubt.half_width_nm);
    let either = if doubt.half_width_nm > worst.torque_nm().abs() { ", so it may hang either way" } else { "" };
    format!("± {half} {}{either}", words::at(units, worst.time_s, worst.depth_m))
}

/// What a place is called in a sentence: `the gas of the suit, along`.
pub fn place_label(share: &PlaceShare) -> String {
    let word = if share.input.origin == Origin::Typical { " (typical)" } else { "" };
    format!("{}{word}", share.input.label)
}

/// What to measure first, where places make most of the doubt.
pub fn first_to_measure(doubt: &TrimDoubt) -> Option<String> {
    let first = doubt.places.first()?;
    let share = (100.0 * first.share_frac).floor();
    // no rule measures where gas lies, or how a body hangs by itself
    let in_water = |path: String| path.contains("gas_at") || path.contains("buoyancy");
    let how = match in_water(first.input.path.to_string()) {
        true => "see in the water how the diver hangs",
        false => "measure it first",
    };
    if doubt.figures_share_frac > first.share_frac {
        let weights = (100.0 * doubt.figures_share_frac).floor();
        return Some(format!("{weights:.0} % of that is what things weigh: lightpoint doubt says what to weigh"));
    }
    Some(format!("{share:.0} % of that is {}: {how}", place_label(first)))
}

/// The one line of `run` and `ballast`: value and text.
pub fn one_line(units: UnitSystem, trim: &Trim, doubt: Option<&TrimDoubt>) -> (String, String) {
    let mut text = "held level".to_owned();
    if let Some(doubt) = doubt {
        text += &format!("; {}", how_sure(units, trim, doubt));
        if doubt.places.iter().any(|of| of.input.origin == Origin::Typical) {
            text += "; places are typical";
        }
    }
    (over_dive(units, trim), text)
}

/// The answer of `trim`.
pub fn lines(units: UnitSystem, facts: &TrimFacts) -> Vec<Line> {
    let (trim, doubt) = (&facts.trim, &facts.doubt);
    let mut lines = Vec::new();
    match &facts.lead {
        Some(lead) => {
            lines.push(Line::plain("Lead goes", lead_line(units, lead)));
            lines.extend(lead_does_little(units, lead, doubt).map(|text| Line::plain("  what it does", text)));
        }
        None => lines.push(Line::plain(
            "Lead goes",
            "nothing to share out: the plan carries no lead, and none is advised".into(),
        )),
    }
    lines.push(Line {
        label: "Trim".into(),
        text: format!("{}, held level", over_dive(units, trim)),
        within: is_held(facts),
    });
    lines.push(Line::plain("  how sure", {
        let measure = first_to_measure(doubt).map_or(String::new(), |first| format!("; {first}"));
        format!("{}{measure}", how_sure(units, trim, doubt))
    }));
    lines.push(Line::plain("Fins hold", hold(units, &facts.built.trim)));
    for (label, at) in [("Heavy point", trim.heavy), ("Light point", trim.light)] {
        let when = words::at(units, at.time_s, at.depth_m);
        lines.push(Line::plain(
            label,
            format!("{}, {when}; at rest, let go: {}", tips(units, at.torque_nm()), at_rest(facts, at)),
        ));
    }
    if let Some(text) = rolls(units, trim) {
        lines.push(Line::plain("To one side", text));
    }
    for gone in &trim.gone {
        lines.push(Line::plain("", goes(units, &facts.built.scenario, gone)));
    }
    lines
}

/// The lines of `ballast`.
pub fn of_ballast(units: UnitSystem, facts: &BallastFacts) -> Vec<Line> {
    let mut lines: Vec<Line> = facts.lead.iter().map(|lead| Line::plain("Lead goes", lead_line(units, lead))).collect();
    lines.extend(facts.trim.as_ref().map(|(trim, doubt)| {
        let (value, text) = one_line(units, trim, Some(doubt));
        Line::plain(crate::report::verdict::TRIM, format!("{value}, {text}{AT_A_TERMINAL}"))
    }));
    lines
}

/// What fins and posture hold, and whose number that is.
pub fn hold(units: UnitSystem, ask: &TrimAsk) -> String {
    let number = units.number(Quantity::Torque, ask.hold_nm);
    let value = match ask.hold_half_width_nm > 0.0 {
        true => format!("{number} ± {}", torque(units, ask.hold_half_width_nm)),
        false => torque(units, ask.hold_nm),
    };
    match ask.is_hold_written {
        true => format!("{value}, by the plan"),
        false => format!("{value}: a choice, no measured figure; write yours as trim.hold"),
    }
}

/// A breach where the torque is beyond what is held whatever the doubt; a tick only by a number that the plan itself states,
/// and only where the doubt leaves room for it.
fn is_held(facts: &TrimFacts) -> Option<bool> {
    let (ask, doubt) = (&facts.built.trim, &facts.doubt);
    let worst_nm = facts.trim.worst().torque_nm().abs();
    match () {
        () if worst_nm - doubt.half_width_nm > ask.hold_nm + ask.hold_half_width_nm => Some(false),
        () if ask.is_hold_written && worst_nm + doubt.half_width_nm < ask.hold_nm - ask.hold_half_width_nm => {
            Some(true)
        }
        () => None,
    }
}

/// How uneven the diver is.
fn rolls(units: UnitSystem, trim: &Trim) -> Option<String> {
    let at = trim.most_uneven;
    let side = side(at)?;
    let when = words::at(units, at.time_s, at.depth_m);
    Some(format!("the {side} side is the heavier by up to {} {when}", torque(units, at.roll_nm())))
}

fn side(at: TrimAt) -> Option<&'static str> {
    match at.roll_nm() {
        nm if nm.abs() < LEVEL_NM => None,
        nm if nm > 0.0 => Some("right"),
        _ => Some("left"),
    }
}

/// A cylinder that comes or goes.
fn goes(units: UnitSystem, scenario: &Scenario, gone: &Gone) -> String {
    let name = scenario.rig().cylinders[gone.cylinder].name();
    let verb = if gone.comes { "comes" } else { "goes" };
    let when = words::at(units, gone.after.time_s, gone.after.depth_m);
    let (before, after) = (tips(units, gone.before.torque_nm()), tips(units, gone.after.torque_nm()));
    let lean = side(gone.after)
        .map_or(String::new(), |side| format!(", the {side} side heavier by {}", torque(units, gone.after.roll_nm())));
    format!("{name} {verb} {when}: {before} before, {after} after{lean}")
}

/// Where the lead goes, in a sentence.
pub fn lead_line(units: UnitSystem, lead: &LeadWhere) -> String {
    let split = &lead.split;
    let at = lead.places.iter().zip(&split.pieces_kg).filter(|(_, pieces)| !pieces.is_empty());
    let one = |(place, pieces): (&crate::rig::LeadSpot, &Vec<f64>)| {
        let sum_kg: f64 = pieces.iter().sum();
        let list = match pieces.len() {
            1 => String::new(),
            _ => format!(" ({})", piece_list(pieces, |kg| fixed(units.value(Quantity::Mass, kg), 2))),
        };
        format!("{} {}{list}", place.name, lead_text(units, sum_kg))
    };
    let list: Vec<String> = at.map(one).collect();
    let which = if lead.is_advice { "" } else { ", the plan's own lead, as none is advised" };
    let how = match split.method {
        Method::Every | Method::Bounded { .. } => String::new(),
        Method::BestFound { off_by_nm } => format!(", or better by up to {}", torque(units, off_by_nm)),
    };
    let lacks = if split.lacks_ditchable_kg > 0.0 {
        format!(
            "; {} of what must be ditchable finds no place that lets go",
            lead_text(units, split.lacks_ditchable_kg)
        )
    } else {
        String::new()
    };
    let must = match lead.ditchable_kg > 0.0 {
        true => format!(" with {} ditchable", lead_text(units, lead.ditchable_kg)),
        false => String::new(),
    };
    format!(
        "{}{which}: of all splits{must} the one with the least torque, pitch and roll together, worst {}{how} at {}{lacks}",
        list.join(", "),
        torque(units, split.worst_nm),
        moment(lead.worst_s)
    )
}

/// What moving the lead can do at all, where the doubt is larger than that.
fn lead_does_little(units: UnitSystem, lead: &LeadWhere, doubt: &TrimDoubt) -> Option<String> {
    let least_nm = lead.all_at_nm.iter().copied().fold(f64::INFINITY, f64::min);
    let most_nm = lead.all_at_nm.iter().copied().fold(0.0, f64::max);
    (most_nm - least_nm < doubt.half_width_nm).then(|| {
        let (low, high) = (units.number(Quantity::Torque, least_nm), torque(units, most_nm));
        let half = torque(units, doubt.half_width_nm);
        format!("all of it at one place makes {low} to {high}, less of a difference than the doubt of ± {half}: measure first")
    })
}

/// Worst torque with all lead at one place, and what one piece moved does.
pub fn lead_tables(units: UnitSystem, lead: &LeadWhere) -> String {
    let unit = units.symbol(Quantity::Torque);
    let number = |nm: f64| fixed(units.value(Quantity::Torque, nm), 1);
    let mut table = new_table();
    table.set_header(["lead".to_owned(), format!("worst torque,\n{unit}")]);
    table.add_row(["as above".to_owned(), number(lead.split.worst_nm)]);
    for (place, nm) in lead.places.iter().zip(&lead.all_at_nm) {
        table.add_row([format!("all of it: {}", place.name), number(*nm)]);
    }
    let moves = lead.moves.iter().filter(|moved| moved.allowed);
    for moved in moves {
        let (from, to) = (&lead.places[moved.from].name, &lead.places[moved.to].name);
        let label = format!("{} from {from} to {to}", lead_text(units, moved.piece_kg));
        table.add_row([label, number(moved.worst_nm)]);
    }
    align_numbers(&mut table, 1..2);
    plain(&mut table, Fit::FIRST)
}

/// What each thing does to the trim at both ends of the dive, the largest change first.
pub fn tips_table(units: UnitSystem, scenario: &Scenario, trim: &Trim) -> String {
    let mut rows = rows(trim);
    // by what is seen: whole numbers
    let change = |row: &Row<'_>| row.change_nm().abs().round();
    rows.sort_by(|a, b| change(b).total_cmp(&change(a)).then(b.most_nm().total_cmp(&a.most_nm())));
    let (unit, mass) = (units.symbol(Quantity::Torque), units.symbol(Quantity::Mass));
    let length = units.short_length();
    let mut table = new_table();
    table.set_header([
        "What tips the diver".to_owned(),
        format!("from the\nlungs, {}", length.symbol),
        format!("{mass},\nheavy"),
        format!("{mass},\nlight"),
        format!("{unit},\nheavy"),
        format!("{unit},\nlight"),
        format!("{unit},\nchange"),
    ]);
    let signed = |quantity, value: Option<f64>| value.map_or("—".into(), |value| units.signed(quantity, value));
    for row in &rows {
        let along = row.heavy.or(row.light).map_or(0.0, |pull| pull.at.along_m) - scenario_lungs(scenario);
        table.add_row([
            name(scenario, row.owner),
            fixed(length.number(along), 0),
            signed(Quantity::Mass, row.heavy.map(|pull| pull.lift_kg)),
            signed(Quantity::Mass, row.light.map(|pull| pull.lift_kg)),
            signed(Quantity::Torque, row.heavy.map(|pull| pull.moment.pitch_torque_nm())),
            signed(Quantity::Torque, row.light.map(|pull| pull.moment.pitch_torque_nm())),
            signed(Quantity::Torque, Some(row.change_nm())),
        ]);
    }
    align_numbers(&mut table, 1..7);
    let note = "lift at the heavy and the light point, and its torque about the lungs: positive lifts the head (feet-heavy). — not carried then";
    format!("{}{}\n", plain(&mut table, Fit { fold: 0, leave_out: &[2, 3] }), crate::report::text::filled(note))
}

/// A thing at both moments.
pub(super) struct Row<'a> {
    pub owner: Owner,
    pub heavy: Option<&'a Pull>,
    pub light: Option<&'a Pull>,
}

impl Row<'_> {
    fn change_nm(&self) -> f64 {
        let nm = |pull: Option<&Pull>| pull.map_or(0.0, |pull| pull.moment.pitch_torque_nm());
        nm(self.light) - nm(self.heavy)
    }

    fn most_nm(&self) -> f64 {
        let pulls = self.heavy.into_iter().chain(self.light);
        pulls.map(|pull| pull.moment.pitch_torque_nm().abs()).fold(0.0, f64::max)
    }
}

pub(super) fn rows(trim: &Trim) -> Vec<Row<'_>> {
    let row = |heavy| Row { owner: heavy, heavy: None, light: None };
    let mut rows: Vec<Row<'_>> = Vec::new();
    for pull in trim.pulls_heavy.iter().chain(&trim.pulls_light) {
        if rows.iter().all(|row| row.owner != pull.owner) {
            rows.push(row(pull.owner));
        }
    }
    for row in &mut rows {
        row.heavy = trim.pulls_heavy.iter().find(|pull| pull.owner == row.owner);
        row.light = trim.pulls_light.iter().find(|pull| pull.owner == row.owner);
    }
    rows
}

fn scenario_lungs(scenario: &Scenario) -> f64 {
    scenario.rig().lungs.map_or(0.0, |lungs| lungs.along_m)
}

/// What a thing is called.
pub fn name(scenario: &Scenario, owner: Owner) -> String {
    words::thing(scenario, owner)
}

/// What moving lead does, for a rule of thumb.
pub fn rule_of_thumb(units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => {
            "A kilogram of lead moved by 10 cm changes the torque by 0.9 N·m (0.98 less what the water lifts).".into()
        }
        UnitSystem::Us => "A pound of lead moved by 4 in changes the torque by 0.3 lbf·ft.".into(),
    }
}

/// Places by what their doubt does.
pub fn doubt_table(units: UnitSystem, doubt: &TrimDoubt) -> String {
    if doubt.places.is_empty() {
        return String::new();
    }
    let (unit, length) = (units.symbol(Quantity::Torque), units.short_length());
    let mut table = new_table();
    table.set_header([
        "To measure".to_owned(),
        format!("now, {}", length.symbol),
        format!("alone,\n± {unit}"),
        "share of\nthe doubt, %".to_owned(),
    ]);
    for share in &doubt.places {
        let estimate = share.input.estimate;
        let half = estimate.doubt.map_or(0.0, |doubt| doubt.half_width);
        table.add_row([
            place_label(share),
            format!("{} ± {}", fixed(length.number(estimate.value), 0), fixed(half / length.factor, 1)),
            fixed(units.value(Quantity::Torque, share.half_width_nm), 1),
            format!("{:.0}", (100.0 * share.share_frac).floor()),
        ]);
    }
    table.add_row([
        "weights and volumes, all together".to_owned(),
        String::new(),
        String::new(),
        format!("{:.0}", (100.0 * doubt.figures_share_frac).floor()),
    ]);
    align_numbers(&mut table, 1..4);
    plain(&mut table, Fit { fold: 0, leave_out: &[1] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_and_rest_in_words() {
        assert_eq!(tips(UnitSystem::Metric, -33.2), "head-heavy by 33 N·m");
        assert_eq!(tips(UnitSystem::Metric, 4.0), "feet-heavy by 4 N·m");
        assert_eq!(tips(UnitSystem::Metric, -0.4), "level");
        assert_eq!(hang(Hang::At(0.2)), "head up 11°");
        assert_eq!(hang(Hang::At(-0.001)), "level");
        assert_eq!(hang(Hang::OnBack), "would turn onto the back");
    }
}
