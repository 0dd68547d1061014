//! The JSON Schema of the result of a run takes every result, and refuses any other form.

use jsonschema::Validator;
use serde_json::{Map, Value};

use crate::command::json;
use crate::common::plans;

fn validator() -> Validator {
    let schema = json(&["schema", "--result"]);
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(jsonschema::meta::is_valid(&schema));
    jsonschema::draft202012::new(&schema).expect("a valid schema")
}

/// The results of the plans and of the demonstration.
fn results() -> Vec<Value> {
    let paths = plans();
    let run = |more: &[&str]| json(&[&["run"], more, &["--json", "--no-files"]].concat());
    paths.iter().map(|path| run(&[path.to_str().unwrap()])).chain([run(&[]), run(&["--units", "us"])]).collect()
}

/// Changes one object after the other, the deepest too, and looks at the whole each time.
fn with_each_object(
    whole: &Value,
    change: &dyn Fn(&mut Map<String, Value>) -> bool,
    look: &mut dyn FnMut(&str, &Value),
) {
    fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
        match value {
            Value::Object(map) => {
                found.push(at.to_owned());
                map.iter().for_each(|(key, inner)| pointers(inner, &format!("{at}/{key}"), found));
            }
            Value::Array(list) => {
                list.iter().enumerate().for_each(|(i, inner)| pointers(inner, &format!("{at}/{i}"), found));
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    pointers(whole, "", &mut found);
    for pointer in found {
        let mut changed = whole.clone();
        if change(changed.pointer_mut(&pointer).and_then(Value::as_object_mut).unwrap()) {
            look(&pointer, &changed);
        }
    }
}

#[test]
fn every_result_holds_it() {
    let validator = validator();
    for result in results() {
        let errors: Vec<String> =
            validator.iter_errors(&result).map(|error| format!("{}: {error}", error.instance_path())).collect();
        assert!(errors.is_empty(), "{}: {errors:?}", result["plan"]["title"]);
    }
}

#[test]
fn a_key_more_or_less_breaks_it() {
    let (validator, result) = (validator(), json(&["run", "--json", "--no-files"]));
    let mut count = 0;
    with_each_object(&result, &|map| map.insert("surprise".into(), Value::from(1)).is_none(), &mut |at, changed| {
        assert!(!validator.is_valid(changed), "another key at {at:?}");
        count += 1;
    });
    assert!(count > 50, "{count} objects");
    // the first key of every object is always there
    let without_first =
        |map: &mut Map<String, Value>| map.keys().next().cloned().is_some_and(|key| map.remove(&key).is_some());
    with_each_object(&result, &without_first, &mut |at, changed| {
        assert!(!validator.is_valid(changed), "a key less at {at:?}");
    });
    let mut other = result;
    other["schema"] = Value::from(2);
    assert!(!validator.is_valid(&other), "another form");
}
