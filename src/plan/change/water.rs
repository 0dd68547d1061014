//! The water: as it is written, the sea, fresh, or by a figure of its own.

use toml_edit::{DocumentMut, InlineTable, Item, Value};

use super::figure::{as_typical, guess, written_like};
use super::{Sets, table_text};
use crate::estimate::{Estimate, Input};
use crate::plan::file::Site;
use crate::plan::typical::SEA_SALINITY;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, UnitSystem};

/// The water as the plan was written, before any change.
pub(super) const AS_WRITTEN: &str = "written";
/// The waters that have a word.
pub(super) const WATERS: [&str; 2] = ["sea", "fresh"];
/// What of a site stays whatever its water is.
const OF_THE_PLACE: [&str; 3] = ["name", "altitude", "surface_pressure"];

/// Which choice the plan has now; `None` for a water of its own that is not as written.
pub(super) fn choice(plan: &Plan) -> Option<&str> {
    if original(plan).as_deref() == now(plan).as_deref() {
        return Some(AS_WRITTEN);
    }
    let site = plan.file().site.as_ref()?;
    site.water.as_deref().filter(|_| site.layer.is_empty())
}

/// The site of the text as it was before any change, as a value.
fn original(plan: &Plan) -> Option<String> {
    let text = plan.original.strip_prefix('\u{feff}').unwrap_or(&plan.original);
    site_of(text)
}

fn now(plan: &Plan) -> Option<String> {
    site_of(&plan.sources()[0].text)
}

fn site_of(text: &str) -> Option<String> {
    let mut document: DocumentMut = text.parse().ok()?;
    let site = document.remove("site")?;
    match site {
        Item::Table(table) => Some(table_text(table.into_inline_table())),
        Item::Value(Value::InlineTable(table)) => Some(table_text(table)),
        _ => None,
    }
}

/// Another water, by its word. The temperature stays, of layers that of the uppermost.
pub(super) fn choose(plan: &Plan, word: &str) -> Result<Sets, String> {
    if word == AS_WRITTEN {
        // nothing at all takes the table out
        return Ok(vec![("site".into(), original(plan).unwrap_or_default())]);
    }
    if !WATERS.contains(&word) {
        return Err(format!("the water is {AS_WRITTEN}, {} or {}", WATERS[0], WATERS[1]));
    }
    let mut table = place(plan);
    table.insert("water", Value::from(word));
    with_temperature(&mut table, plan);
    Ok(vec![("site".into(), table_text(table))])
}

/// The water by a figure: `salinity`, `density` or `temperature`, SI.
pub(super) fn set(plan: &Plan, built: &Built, key: &str, si: f64, system: UnitSystem) -> Sets {
    let site = plan.file().site.as_ref();
    let quantity = match key {
        "salinity" => Quantity::Salinity,
        "density" => Quantity::Density,
        _ => Quantity::Temperature,
    };
    let old = site.and_then(|site| text_of(site, key));
    if let Some(old) = old {
        return vec![(format!("site.{key}"), written_like(Some(old), quantity, si, system))];
    }
    let text = match typical(built, key) {
        Some(typical) => guess(si, &typical, quantity, system),
        None => written_like(None, quantity, si, system),
    };
    if key == "temperature" && site.is_some() {
        return vec![("site.temperature".into(), text)];
    }
    let mut table = place(plan);
    if key == "temperature" {
        let salinity = typical(built, "salinity").unwrap_or(SEA_SALINITY.estimate);
        table.insert("salinity", Value::from(as_typical(&salinity, Quantity::Salinity)));
        table.insert("temperature", Value::from(text));
    } else {
        table.insert(key, Value::from(text));
        with_temperature(&mut table, plan);
    }
    vec![("site".into(), table_text(table))]
}

/// What is written of a site under a key.
pub(super) fn text_of<'s>(site: &'s Site, key: &str) -> Option<&'s str> {
    match key {
        "salinity" => site.salinity.as_ref().map(|one| one.text()),
        "density" => site.density.as_ref().map(|one| one.text()),
        "temperature" => site.temperature.as_ref().map(|one| one.text()),
        _ => None,
    }
}

/// The typical figure that stands for a key of the site: that of a word is the salinity of it.
pub(super) fn typical(built: &Built, key: &str) -> Option<Estimate> {
    let is_of = |input: &&Input| {
        let path = input.path.to_string();
        path == format!("site.{key}") || (key == "salinity" && path == "site.water")
    };
    built.inputs.iter().find(is_of).map(|input| input.estimate)
}

/// What of the site is no water, as it is written.
fn place(plan: &Plan) -> InlineTable {
    let mut table = InlineTable::new();
    let document = super::document(plan);
    for key in OF_THE_PLACE {
        if let Some(value) = document.get("site").and_then(|site| site.get(key)).and_then(Item::as_value) {
            table.insert(key, value.clone());
        }
    }
    table
}

/// The temperature as it is written, of layers that of the uppermost; none where it is typical.
fn with_temperature(table: &mut InlineTable, plan: &Plan) {
    let site = plan.file().site.as_ref();
    let layer = site.and_then(|site| site.layer.first());
    let written =
        site.and_then(|site| site.temperature.as_ref()).or(layer.and_then(|layer| layer.temperature.as_ref()));
    if let Some(written) = written {
        table.insert("temperature", Value::from(written.text()));
    }
}
