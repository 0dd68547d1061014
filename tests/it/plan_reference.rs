//! `docs/plan.md`, every key of a plan, is made from the texts of its schema, which are those that an editor shows.
//! `LIGHTPOINT_REDRAW=1 cargo test --test it plan_reference` writes it anew.

use std::fmt::Write as _;

use lightpoint::internals::plan::schema::{class_schema, schema};
use serde_json::{Value, json};

const FILE: &str = "docs/plan.md";
const HEAD: &str = "# The plan file, key by key

Made from the schema of the plan (`lightpoint schema`) by the test `plan_reference`: do not edit. The README has the
CSV files beside a plan.
";

/// The definition that a key leads to, and whether it is a list of those.
fn target<'s>(schema: &'s Value, property: &'s Value) -> (&'s Value, bool) {
    let resolved = |one: &'s Value| {
        let name = one["$ref"].as_str().and_then(|path| path.strip_prefix("#/$defs/"));
        name.map_or(one, |name| &schema["$defs"][name])
    };
    match &property["items"] {
        Value::Null => (resolved(property), false),
        items => (resolved(items), true),
    }
}

/// What may stand behind a key.
fn form(property: &Value, target: &Value) -> String {
    let words = |list: &Value| -> Vec<String> {
        let texts = list.as_array().into_iter().flatten();
        texts.map(|one| format!("`{}`", one.as_str().unwrap_or_default())).collect()
    };
    let choices = words(&property["enum"]);
    if !choices.is_empty() {
        return choices.join(", ");
    }
    if target["pattern"].is_string() {
        let what = target["description"].as_str().unwrap_or_default();
        return what.trim_end_matches(", and a doubt if it has one.").replace("A ", "a ").replace("An ", "an ");
    }
    match property["type"].as_str() {
        Some("boolean") => "true or false".into(),
        Some("array") => "a list of tables".into(),
        Some("integer") => match (&property["minimum"], &property["maximum"]) {
            (low, Value::Null) => format!("a whole number from {low}"),
            (low, high) => format!("a whole number, {low} to {high}"),
        },
        _ if target["anyOf"].is_array() => target["description"].as_str().unwrap_or_default().to_owned(),
        _ => "text".into(),
    }
}

/// A table and those in it, each under its heading.
fn table(schema: &Value, definition: &Value, path: &str, out: &mut String) {
    let properties = || definition["properties"].as_object().into_iter().flatten();
    out.push_str("\n| key | what it is | written as |\n| --- | --- | --- |\n");
    let mut inner = Vec::new();
    for (key, property) in properties() {
        let (target, is_list) = target(schema, property);
        let own = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        let what = property["description"].as_str().unwrap_or_default().replace('\n', " ");
        // one of several forms: the one that is a table
        let forms = target["anyOf"].as_array().into_iter().flatten();
        let tables = forms.filter_map(|one| one["$ref"].as_str()?.strip_prefix("#/$defs/"));
        // the rig of a check has the tables of a plan, described there
        if path == "weight_check.rig" {
            let list =
                if ["part", "cylinder"].contains(&key.as_str()) { format!("[[{key}]]") } else { format!("[{key}]") };
            let word = if target["anyOf"].is_array() { "a word, or " } else { "" };
            let _ = writeln!(out, "| `{key}` | {what} | {word}keys as under `{list}` |");
            continue;
        }
        if let Some(name) = tables.map(|name| &schema["$defs"][name]).find(|one| one["properties"].is_object()) {
            inner.push((format!("[{own}]"), own.clone(), name));
        }
        let form = if target["properties"].is_object() {
            let heading = if is_list { format!("[[{own}]]") } else { format!("[{own}]") };
            inner.push((heading.clone(), own, target));
            format!("`{heading}`, below")
        } else {
            form(property, target)
        };
        let _ = writeln!(out, "| `{key}` | {what} | {form} |");
    }
    for (heading, own, target) in inner {
        let what = target["description"].as_str().unwrap_or_default().replace('\n', " ");
        let _ = write!(out, "\n## `{heading}`\n\n{what}\n");
        table(schema, target, &own, out);
    }
}

/// What the file of a class has beside a plan's keys.
fn class(out: &mut String) {
    let schema = class_schema();
    let own = |name: &str| {
        let mut own = schema["$defs"][name].clone();
        let keys = own["properties"].as_object_mut().unwrap();
        keys.retain(|key, _| schema["properties"].get(key).is_none());
        own
    };
    out.push_str("\n# The file of a class, key by key\n\n");
    out.push_str("What all students share is written as in a plan; beside it stand these tables.\n");
    for (heading, path, name) in [("[class]", "class", "ClassTable"), ("[[student]]", "student", "StudentTable")] {
        let definition = own(name);
        let what = definition["description"].as_str().unwrap_or_default().replace('\n', " ");
        let _ = write!(out, "\n## `{heading}`\n\n{what}\n");
        // the parts of a plan are described above
        let mut definition = definition;
        let keys = definition["properties"].as_object_mut().unwrap();
        if let Some(part) = keys.get_mut("extra_part") {
            let text = part["description"].as_str().unwrap_or_default();
            *part = json!({ "description": format!("{text} Keys as under `[[part]]`."), "type": "array" });
        }
        table(&schema, &definition, path, out);
    }
}

#[test]
fn the_reference_is_fresh() {
    let schema = schema();
    let mut made = HEAD.to_owned();
    made.push_str("\nEvery quantity is text with its unit, and with its doubt if it has one: `\"-2.6 ± 0.3 kg\"`.\n");
    table(&schema, &schema, "", &mut made);
    class(&mut made);
    assert!(made.contains("## `[[site.layer]]`") && made.contains("## `[[dive.leg]]`") && made.contains("| `fill` |"));
    if std::env::var_os("LIGHTPOINT_REDRAW").is_some() {
        std::fs::create_dir_all("docs").unwrap();
        std::fs::write(FILE, &made).unwrap();
    }
    let kept = std::fs::read_to_string(FILE).unwrap_or_default();
    assert!(kept == made, "{FILE} is stale: LIGHTPOINT_REDRAW=1 cargo test --test it plan_reference");
}
