//! The JSON Schema (draft 2020-12) of a plan and of a class, made from the tables of [`crate::plan::file`]: an editor completes keys from
//! it, shows what they mean, and marks what cannot be right.
//!
//! It knows the form of a plan, not its sense: which keys go together is told by reading the plan. Every key is optional
//! in it, as it is in the tables.

use std::borrow::Cow;

use schemars::generate::SchemaSettings;
use schemars::transform::{Transform, transform_subschemas};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Value, json};

use crate::plan::catalogue::sizes;
use crate::plan::class::keys::{ClassTable, StudentTable};
use crate::plan::file::PlanFile;
use crate::plan::typical::{MATERIALS, gear, places, suit};
use crate::plan::unit::Dimension;
use crate::plan::written::{Written, grammar};
use crate::units::Quantity;

/// The schema.
pub fn schema() -> Value {
    let generator = SchemaSettings::draft2020_12().with_transform(NoNull).into_generator();
    let mut schema = generator.into_root_schema_for::<PlanFile>();
    schema.insert("title".into(), "Dive plan of lightpoint".into());
    schema.to_value()
}

/// The schema of the file of a class: a plan's keys for all, `[class]`, and a list of students with a plan's keys each.
pub fn class_schema() -> Value {
    let generator = SchemaSettings::draft2020_12().with_transform(NoNull).into_generator();
    let mut schema = generator.into_root_schema_for::<(PlanFile, ClassTable, StudentTable)>().to_value();
    let mut definitions = schema["$defs"].take();
    let mut taken = |name: &str| definitions.as_object_mut().and_then(|all| all.remove(name)).unwrap_or_default();
    let (mut class, mut student) = (taken("PlanFile"), taken("StudentTable"));
    // a student may have every key that all may share
    if let (Some(keys), Some(shared)) = (student["properties"].as_object_mut(), class["properties"].as_object()) {
        keys.extend(shared.clone());
    }
    student["additionalProperties"] = false.into();
    class["properties"]["class"] =
        json!({ "description": "What belongs to the class alone.", "$ref": "#/$defs/ClassTable" });
    class["properties"]["student"] = json!({
        "description": "The students, each with what differs.",
        "type": "array",
        "items": { "$ref": "#/$defs/StudentTable" },
    });
    definitions["StudentTable"] = student;
    class["$schema"] = schema["$schema"].take();
    class["title"] = "Class of lightpoint".into();
    class["description"] = "Several students of one dive.".into();
    class["$defs"] = definitions;
    class
}

impl<D: Dimension> JsonSchema for Written<D> {
    fn schema_name() -> Cow<'static, str> {
        D::NAME.map_or_else(|| format!("{:?}", D::OF).into(), Cow::from)
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let mut examples = vec![D::OF.example().to_owned()];
        if D::OF == Quantity::Duration {
            examples.push("12:30".into());
        } else if let Some((number, unit)) = D::OF.example().split_once(' ') {
            examples.push(format!("{number} ± 1 {unit}"));
        }
        let units = |of: Quantity| of.units().iter().map(|unit| unit.names[0]).collect::<Vec<_>>().join(", ");
        let (mut also, mut pattern) = (String::new(), pattern(D::OF));
        if D::IS_PLAIN {
            also = ", or a plain number".into();
            pattern = format!("{pattern}|{}", grammar::plain_pattern());
            examples.push("0.85 ± 0.1".into());
        }
        if let Some((of, _)) = D::ALSO {
            also = format!(", or a {} ({})", of.name(), units(of));
            pattern = format!("{pattern}|{}", grammar::pattern(of));
            examples.push(of.example().into());
        }
        json_schema!({
            "type": if D::IS_PLAIN { json!(["string", "number"]) } else { json!("string") },
            "description":
                format!("A {} with its unit ({}){also}, and a doubt if it has one.", D::OF.name(), units(D::OF)),
            "pattern": pattern,
            "examples": examples,
        })
    }
}

/// What can be read as a quantity of one sort, as a regular expression.
pub fn pattern(of: Quantity) -> String {
    let pattern = grammar::pattern(of);
    if of == Quantity::Duration { format!("{pattern}|{}", grammar::CLOCK) } else { pattern }
}

/// Names of the generic cylinder sizes.
pub(crate) fn size_names() -> Vec<&'static str> {
    sizes().iter().map(|size| size.name.as_str()).collect()
}

/// Names of the materials.
pub(crate) fn material_names() -> Vec<&'static str> {
    MATERIALS.iter().map(|(names, _)| names[0]).collect()
}

/// Names of the pieces of gear with typical figures.
pub(crate) fn piece_names() -> Vec<&'static str> {
    gear::names()
}

/// Places that a plan may name.
pub(crate) fn place_words() -> Vec<&'static str> {
    places::words().into_iter().chain(places::lie_words()).collect()
}

/// Kinds of suits.
pub(crate) fn suit_kinds() -> Vec<&'static str> {
    suit::KINDS.to_vec()
}

/// A list of names may be one name.
pub(crate) fn one_or_more(schema: &mut Schema) {
    let description = schema.remove("description");
    let list = std::mem::take(schema);
    *schema = json_schema!({ "anyOf": [{ "type": "string" }, list] });
    schema.insert("description".into(), description.unwrap_or_default());
}

/// TOML has no null: a key that is not wanted is not written.
#[derive(Clone, Debug)]
struct NoNull;

impl Transform for NoNull {
    fn transform(&mut self, schema: &mut Schema) {
        transform_subschemas(self, schema);
        let Some(object) = schema.as_object_mut() else { return };
        // the width of an integer is no matter of the reader
        object.remove("format");
        if let Some(Value::Array(types)) = object.get_mut("type") {
            types.retain(|kind| kind != "null");
            if let [only] = types.as_slice() {
                let only = only.clone();
                object.insert("type".into(), only);
            }
        }
        if let Some(Value::Array(choices)) = object.get_mut("anyOf") {
            choices.retain(|choice| *choice != json!({ "type": "null" }));
            if let [Value::Object(only)] = choices.as_slice() {
                let only = only.clone();
                object.remove("anyOf");
                // what the key says of itself goes first
                only.into_iter().for_each(|(key, value)| {
                    object.entry(key).or_insert(value);
                });
            }
        }
        if let Some(Value::Array(values)) = object.get_mut("enum") {
            values.retain(|value| !value.is_null());
        }
    }
}
