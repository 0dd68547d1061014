//! A weight check in a line, as an instructor says it: `6 kg, fresh, 3 m, 50 bar`.
//!
//! Its parts stand in any order, with commas between: the lead, the water, the depth, what the gauges showed, and what was
//! seen (`neutral` unless said). A gauge may name its cylinder: `left 80 bar`.

use std::fmt::Write as _;

use crate::physics::gas::MAX_GAS_PA;
use crate::physics::water::MAX_DEPTH_M;
use crate::plan::unit::{Density, Length, Mass, Pressure};
use crate::plan::words::{all_of, any_of, did_you_mean};
use crate::plan::written::Written;
use crate::units::ATMOSPHERE_PA;

/// Waters of a check.
const WATERS: [&str; 4] = ["as planned", "fresh", "pool", "sea"];
/// What may be seen.
const OUTCOMES: [&str; 6] = ["neutral", "eye level", "could stay", "could not stay", "sank", "floated"];
/// Most lead of a check, kg.
const MOST_LEAD_KG: f64 = 500.0;

/// A check as it was said, each part as it goes into the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct SaidCheck {
    /// The water.
    pub water: String,
    /// The depth.
    pub depth: String,
    /// The lead carried.
    pub lead: String,
    /// Cylinders by their names with what their gauges showed.
    pub gauges: Vec<(String, String)>,
    /// What was seen.
    pub outcome: String,
}

/// What a part of the line is.
enum Said {
    Lead,
    Depth,
    Water,
    Outcome,
    Gauge(Option<String>),
}

impl SaidCheck {
    /// Reads a line; `cylinders` are the names of the cylinders that the diver has.
    ///
    /// # Errors
    /// What is wrong, and what to write.
    pub fn of(line: &str, cylinders: &[&str]) -> Result<Self, String> {
        let (mut lead, mut depth, mut water, mut outcome) = (None, None, None, None);
        let mut gauges: Vec<(String, String)> = Vec::new();
        for part in line.split(',').map(str::trim).filter(|part| !part.is_empty()) {
            let (place, what) = match said(part)? {
                Said::Lead => (&mut lead, "the lead"),
                Said::Depth => (&mut depth, "the depth"),
                Said::Water => (&mut water, "the water"),
                Said::Outcome => (&mut outcome, "what was seen"),
                Said::Gauge(named) => {
                    let name = named_cylinder(named.as_deref(), cylinders)?;
                    let text = named.as_ref().map_or(part, |named| part[named.len()..].trim());
                    if gauges.iter().any(|(other, _)| *other == name) {
                        return Err(format!("the gauge of {name} is there twice"));
                    }
                    gauges.push((name, text.to_owned()));
                    continue;
                }
            };
            if place.replace(part.to_owned()).is_some() {
                return Err(format!("{what} is there twice"));
            }
        }
        let missing: Vec<&str> = [
            (lead.is_none(), "the lead (6 kg)"),
            (water.is_none(), "the water (fresh, pool, sea, as planned, or a density)"),
            (depth.is_none(), "the depth (3 m)"),
            (gauges.is_empty(), "what the gauge showed (50 bar)"),
        ]
        .into_iter()
        .filter_map(|(is_missing, what)| is_missing.then_some(what))
        .collect();
        match (lead, water, depth) {
            (Some(lead), Some(water), Some(depth)) if missing.is_empty() => {
                Ok(Self { water, depth, lead, gauges, outcome: outcome.unwrap_or_else(|| OUTCOMES[0].into()) })
            }
            _ => Err(format!("{} {} missing", all_of(&missing), if missing.len() == 1 { "is" } else { "are" })),
        }
    }

    /// The table of the plan.
    pub fn table(&self) -> String {
        let quoted = |text: &str| toml_edit::Value::from(text).to_string().trim().to_owned();
        let key = |name: &str| toml_edit::Key::new(name).display_repr().into_owned();
        let mut text = "\n[[weight_check]]\n".to_owned();
        let mut put = |name: &str, value: &str| _ = writeln!(text, "{} = {}", key(name), quoted(value));
        put("water", &self.water);
        put("depth", &self.depth);
        put("lead", &self.lead);
        self.gauges.iter().for_each(|(name, gauge)| put(name, gauge));
        put("outcome", &self.outcome);
        text
    }
}

/// What a part is; wrong ones are told.
fn said(part: &str) -> Result<Said, String> {
    let lower = part.to_lowercase();
    if WATERS.contains(&lower.as_str()) || Written::<Density>::parse(part).estimate().is_ok() {
        return Ok(Said::Water);
    }
    if OUTCOMES.contains(&lower.as_str()) || lower.starts_with("needed ") || lower.starts_with("reading ") {
        return Ok(Said::Outcome);
    }
    let within = |value: f64, most: f64, what: &str| match (0.0..=most).contains(&value) {
        true => Ok(()),
        false => Err(format!("\"{part}\" is no {what}")),
    };
    if let Ok(lead) = Written::<Mass>::parse(part).estimate() {
        return within(lead.value, MOST_LEAD_KG, "lead that is carried").map(|()| Said::Lead);
    }
    if let Ok(depth) = Written::<Length>::parse(part).estimate() {
        return within(depth.value, MAX_DEPTH_M, "depth of a check").map(|()| Said::Depth);
    }
    let most_pa = MAX_GAS_PA - ATMOSPHERE_PA;
    // the longest name first: `stage 1 50 bar` is 50 bar of stage 1
    let blanks = part.char_indices().filter(|(_, c)| c.is_whitespace()).map(|(at, _)| at).collect::<Vec<_>>();
    for at in blanks.into_iter().rev().chain([0]) {
        if let Ok(gauge) = Written::<Pressure>::parse(part[at..].trim()).estimate() {
            let name = part[..at].trim();
            let named = (!name.is_empty()).then(|| part[..at].trim_end().to_owned());
            return within(gauge.value, most_pa, "pressure of a cylinder").map(|()| Said::Gauge(named));
        }
    }
    let near = did_you_mean(&lower, WATERS.into_iter().chain(OUTCOMES))
        .map_or(String::new(), |near| format!("; {}", near.trim_end_matches('?')));
    Err(format!("\"{part}\" is not understood: numbers need their units, words are {}{near}", any_of(&WATERS)))
}

/// The cylinder of a gauge: the one named, or the only one.
fn named_cylinder(named: Option<&str>, cylinders: &[&str]) -> Result<String, String> {
    match (named, cylinders) {
        (None, [only]) => Ok((*only).to_owned()),
        (None, [first, ..]) => Err(format!(
            "there are several cylinders: write which each gauge is of, such as \"{first} 50 bar\"; leave out those not carried"
        )),
        (None, []) => Err("there is no cylinder".into()),
        (Some(name), _) => match cylinders.iter().find(|known| known.eq_ignore_ascii_case(name)) {
            Some(known) => Ok((*known).to_owned()),
            None => Err(format!("there is no cylinder \"{name}\": the names are {}", all_of(cylinders))),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_is_free() {
        let wanted = SaidCheck {
            water: "fresh".into(),
            depth: "3 m".into(),
            lead: "6 kg".into(),
            gauges: vec![("back".into(), "50 bar".into())],
            outcome: "neutral".into(),
        };
        for line in ["6 kg, fresh, 3 m, 50 bar", "50 bar,3 m ,fresh,6 kg", "neutral, 3 m, back 50 bar, 6 kg, fresh,"] {
            assert_eq!(SaidCheck::of(line, &["back"]), Ok(wanted.clone()), "{line}");
        }
        let two = SaidCheck::of("13 lb, sea, 10 ft, left 700 psi, stage 1 1500 psi", &["left", "right", "stage 1"]);
        let gauges = two.unwrap().gauges;
        assert_eq!(gauges, [("left".into(), "700 psi".into()), ("stage 1".into(), "1500 psi".into())]);
        assert_eq!(
            wanted.table(),
            "\n[[weight_check]]\nwater = \"fresh\"\ndepth = \"3 m\"\nlead = \"6 kg\"\nback = \"50 bar\"\noutcome = \"neutral\"\n"
        );
    }

    #[test]
    fn what_is_wrong_is_told() {
        for (line, what) in [
            ("", "the lead (6 kg), the water"),
            ("6 kg, fresh, 3 m", "what the gauge showed (50 bar) is missing"),
            ("6, fresh, 3 m, 50 bar", "\"6\" is not understood"),
            ("6 kg, frsh, 3 m, 50 bar", "did you mean \"fresh\""),
            ("6 kg, fresh, 3 m, 50 bar, 4 kg", "the lead is there twice"),
            ("6 kg, fresh, 3 m, 50 bar, 60 bar", "the gauge of back is there twice"),
            ("6 kg, fresh, 3 m, side 50 bar", "there is no cylinder \"side\""),
            ("-6 kg, fresh, 3 m, 50 bar", "no lead"),
            ("6 kg, fresh, -3 m, 50 bar", "no depth"),
            ("6 kg, fresh, 3 m, 5000 bar", "no pressure"),
        ] {
            let told = SaidCheck::of(line, &["back"]).unwrap_err();
            assert!(told.contains(what), "{line}: {told}");
        }
        assert!(SaidCheck::of("6 kg, fresh, 3 m, 50 bar", &["left", "right"]).unwrap_err().contains("several"));
    }
}
