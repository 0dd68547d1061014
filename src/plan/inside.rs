//! What a plan names as a file beside it can stand in the plan itself: a text with a line break is the list, and not the
//! name of one. So a plan can be one text, where there are no files: in a page, in a message.

use std::path::Path;
use std::sync::Arc;

use toml_edit::{DocumentMut, Item, TableLike, Value};

use crate::plan::Plan;
use crate::plan::checks::with_line_ends_of;
use crate::plan::load::NOT_HERE_HELP;
use crate::plan::problem::Source;

/// Whether what stands in place of a file's name is its text.
pub(crate) fn is_text(name: &str) -> bool {
    name.contains('\n')
}

/// A plan's text with the texts of the files that it names in place of their names; comments and layout stay. Names are
/// asked for as the plan has them, those in the plan of a check's rig as seen from this plan. A text that is no TOML comes
/// back as it is: reading it tells what is wrong.
///
/// # Errors
/// A file that `read` does not have: what is wrong, and what to do.
pub fn written_in(text: &str, read: &dyn Fn(&str) -> Option<String>) -> Result<String, (String, Option<String>)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let Ok(mut document) = text.parse::<DocumentMut>() else { return Ok(text.to_owned()) };
    let root = document.as_table_mut();
    list(root.get_mut("gear_list").and_then(Item::as_value_mut), read)?;
    let dive = root.get_mut("dive").and_then(Item::as_table_like_mut);
    list(dive.and_then(|dive| dive.get_mut("profile")?.as_value_mut()), read)?;
    match root.get_mut("weight_check") {
        Some(Item::ArrayOfTables(checks)) => checks.iter_mut().try_for_each(|check| rig(check, read))?,
        Some(Item::Value(Value::Array(checks))) => {
            let tables = checks.iter_mut().filter_map(Value::as_inline_table_mut);
            tables.into_iter().try_for_each(|check| rig(check, read))?;
        }
        _ => {}
    }
    Ok(with_line_ends_of(text, document.to_string()))
}

/// A list in place of its name.
fn list(value: Option<&mut Value>, read: &dyn Fn(&str) -> Option<String>) -> Result<(), (String, Option<String>)> {
    let Some(value) = value else { return Ok(()) };
    let Some(name) = value.as_str().filter(|name| !is_text(name)).map(str::to_owned) else { return Ok(()) };
    put(value, &found(&name, read)?);
    Ok(())
}

/// The plan of a check's rig in place of its name, with the files that it names in turn.
fn rig(check: &mut dyn TableLike, read: &dyn Fn(&str) -> Option<String>) -> Result<(), (String, Option<String>)> {
    let Some(value) = check.get_mut("rig").and_then(Item::as_value_mut) else { return Ok(()) };
    let Some(name) = value.as_str().map(str::to_owned) else { return Ok(()) };
    if is_text(&name) {
        put(value, &written_in(&name, read)?);
        return Ok(());
    }
    let folder = Path::new(&name).parent().unwrap_or(Path::new("")).to_owned();
    let beside = |inner: &str| read(&folder.join(inner).display().to_string());
    put(value, &written_in(&found(&name, read)?, &beside)?);
    Ok(())
}

fn found(name: &str, read: &dyn Fn(&str) -> Option<String>) -> Result<String, (String, Option<String>)> {
    read(name).ok_or_else(|| (format!("{name} is not here"), Some(NOT_HERE_HELP.to_owned())))
}

/// A text in the place of a value; what stands around it stays.
fn put(value: &mut Value, text: &str) {
    let mut text = text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n");
    if !is_text(&text) {
        text.push('\n');
    }
    let decor = value.decor().clone();
    *value = Value::from(text);
    *value.decor_mut() = decor;
}

impl Plan {
    /// This plan's text with the files that were read for it in place of their names: a plan that stands alone.
    pub fn written_in(&self) -> String {
        let read = |name: &str| {
            let name = self.dir.join(name).display().to_string();
            let rigs = self.other_rigs.iter().flat_map(|rig| &rig.sources);
            let source = self.sources.iter().chain(rigs).find(|source| source.name == name)?;
            Some(source.text.to_string())
        };
        let text = &self.sources[0].text;
        // all that it names was read
        written_in(text, &read).unwrap_or_else(|_| text.to_string())
    }

    /// The files beside the plan that were read; lists that stand in the plan are none.
    pub fn files_beside(&self) -> impl Iterator<Item = &Source> {
        let beside = self.sources.iter().enumerate().skip(1);
        beside.filter(|(i, _)| !self.inside.contains(i)).map(|(_, source)| source)
    }

    /// Notes a text that stands in the plan under a key; which source it is.
    pub(crate) fn note_inside(&mut self, key: &str, text: &str) -> usize {
        let name = format!("{} ({key})", self.shown());
        self.sources.push(Source { name, text: Arc::from(text) });
        self.inside.push(self.sources.len() - 1);
        self.sources.len() - 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_replaced_and_the_rest_stays() {
        let plan = "# head\r\ngear_list = \"gear.csv\" # ours\r\n[dive]\r\nprofile = \"a/dive.csv\"\r\n[[weight_check]]\r\nrig = \
                    \"b/other.toml\"\r\n";
        let read = |name: &str| {
            let text = match name {
                "gear.csv" => "\u{feff}name,mass\n\"a \"\"b\"\"\",\"\"\"c\"\"\"\n",
                "a/dive.csv" => "time,depth",
                "b/other.toml" => "gear_list = \"its.csv\"\n",
                "b/its.csv" => "name\n'''\n\"\"\"\n\\",
                _ => return None,
            };
            Some(text.to_owned())
        };
        let whole = written_in(plan, &read).unwrap();
        assert!(whole.starts_with("# head\r\ngear_list = ") && whole.contains(" # ours\r\n[dive]"), "{whole}");
        let whole: DocumentMut = whole.replace("\r\n", "\n").parse().unwrap();
        assert_eq!(whole["gear_list"].as_str().unwrap(), "name,mass\n\"a \"\"b\"\"\",\"\"\"c\"\"\"\n");
        assert_eq!(whole["dive"]["profile"].as_str().unwrap(), "time,depth\n");
        let rig: DocumentMut = whole["weight_check"][0]["rig"].as_str().unwrap().parse().unwrap();
        assert_eq!(rig["gear_list"].as_str().unwrap(), "name\n'''\n\"\"\"\n\\");
        // once is enough
        let again = written_in(&whole.to_string(), &|_| None).unwrap();
        assert_eq!(again.parse::<DocumentMut>().unwrap()["gear_list"].as_str(), whole["gear_list"].as_str());
        let (told, help) = written_in(plan, &|_| None).unwrap_err();
        assert!(told == "gear.csv is not here" && help.unwrap().contains("together with the plan"));
        assert_eq!(written_in("a = = b", &|_| None).unwrap(), "a = = b");
    }
}
