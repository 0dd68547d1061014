//! The JSON Schema takes every plan that the program takes, and refuses what has the wrong form.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::common::plans;
use jsonschema::Validator;
use lightpoint::internals::plan::schema::{class_schema, pattern, schema};
use lightpoint::internals::plan::starter::{Cylinders, MAX_STAGES, Starter, Suit, Units};
use lightpoint::internals::plan::unit::*;
use lightpoint::internals::plan::written::{QuantityError, Written};
use proptest::prelude::*;
use serde_json::{Value, json};

fn validator() -> Validator {
    jsonschema::draft202012::new(&schema()).expect("a valid schema")
}

fn value(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

fn accepts(validator: &Validator, text: &str) -> Result<(), String> {
    let errors: Vec<String> =
        validator.iter_errors(&value(text)).map(|error| format!("{}: {error}", error.instance_path())).collect();
    if errors.is_empty() { Ok(()) } else { Err(errors.join("\n")) }
}

#[test]
fn it_is_a_schema_of_the_draft_that_it_names() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(jsonschema::meta::is_valid(&schema));
}

#[test]
fn every_demonstration_holds_it() {
    let validator = validator();
    for path in plans() {
        let text = std::fs::read_to_string(&path).unwrap();
        accepts(&validator, &text).unwrap_or_else(|errors| panic!("{}\n{errors}", path.display()));
    }
}

#[test]
fn the_class_holds_its_own() {
    let schema = class_schema();
    assert!(jsonschema::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).expect("a valid schema");
    let text = std::fs::read_to_string("profiles/class.toml").unwrap();
    accepts(&validator, &text).unwrap();
    for (from, to) in [
        ("[class]", "[class]\nday = \"2031-05-24\""),
        ("name = \"Ana\"", "nmae = \"Ana\""),
        ("name = \"Ana\"", "name = \"Ana\"\ncolour = \"red\""),
        ("diver = { mass = \"61 kg\"", "diver = { mass = \"61\""),
        ("temperature = \"14 °C\"", "temperature = 14"),
    ] {
        assert!(text.contains(from));
        assert!(accepts(&validator, &text.replacen(from, to, 1)).is_err(), "{to}");
    }
}

#[test]
fn every_starter_holds_it() {
    let validator = validator();
    for units in [Units::Metric, Units::Us] {
        for suit in [Suit::Dry, Suit::Wet] {
            for cylinders in [Cylinders::Single, Cylinders::Twin, Cylinders::Sidemount] {
                for stages in 0..=MAX_STAGES {
                    let starter = Starter { suit, cylinders, stages, units };
                    accepts(&validator, &starter.text()).unwrap_or_else(|errors| panic!("{starter:?}\n{errors}"));
                }
            }
        }
    }
}

#[test]
fn other_forms_of_one_thing_hold_it() {
    let validator = validator();
    for text in [
        "",
        "[[cylinder]]\ngas = { o2 = \"32 %\", he = \"0 %\" }",
        "[[cylinder]]\ngas = \"trimix 18/45\"",
        "[[dive.leg]]\nleave = \"stage\"",
        "[[dive.leg]]\nleave = [\"stage 1\", \"stage 2\"]",
        "[[dive.change]]\nat = \"12:30\"\ntake = [\"stage\"]",
        "[[dive.leg]]\nstay = \"1:02:30\"",
        "gear = \"none\"\n[diver]\nsex = \"woman\"\nheight = \"1.65 m\"\nage = 34",
        "[dive]\nstops = \"6 m 10 min\"",
        "[dive]\nstops = []\ndepth = \"30 m\"",
        "[loop]\nquotient = \"0.85 ± 0.1 (95%)\"",
        "[loop]\nquotient = 0.85\nmetabolic_rate = \"1 L/min\"",
        "[loop]\nquotient = \"85 ± 10 %\"\nmetabolic_rate = { bottom = \"1.2 L/min\" }\nbail_out_on = \"deep\"",
        // the key of most of what is refused below
        "[suit]\ngas_volume = \"11 ± 1 L (95%)\"",
    ] {
        accepts(&validator, text).unwrap_or_else(|errors| panic!("{text}\n{errors}"));
    }
}

#[test]
fn wrong_forms_are_refused() {
    let validator = validator();
    for (text, what) in [
        ("[siut]\n", "an unknown table"),
        ("[suit]\ngas_volum = \"11 L\"", "an unknown key"),
        ("[suit]\ngas_volume = 11", "a number without a unit"),
        ("[suit]\ngas_volume = \"11\"", "text without a unit"),
        ("[suit]\ngas_volume = \"11 kg\"", "a unit of something else"),
        ("[suit]\ngas_volume = \"11 ± L\"", "a doubt without a number"),
        ("[suit]\ngas_volume = \"11 L (95%)\"", "a distribution without a doubt"),
        ("[suit]\ngas_volume = \"11 ± 1 L (120%)\"", "a coverage above 100 %"),
        ("[suit]\ngas_volume = \"1,1 L\"", "a decimal comma"),
        ("[site]\nwater = \"brackish\"", "an unknown water"),
        ("gear = \"some\"", "an unknown choice of gear"),
        ("[diver]\nage = 7", "an age of no diver"),
        ("[dive]\nstops = 6", "a number for a stop"),
        ("[[part]]\ncount = 0", "a count of nothing"),
        ("[[part]]\ncount = 1.5", "half a piece"),
        ("[[part]]\nditchable = \"yes\"", "text for true or false"),
        ("[part]\nname = \"fins\"", "a table for a list"),
        ("[[cylinder]]\ngas = 32", "a number for a gas"),
        ("[[cylinder]]\ngas = { o3 = \"32 %\" }", "an unknown share"),
        ("[[dive.leg]]\nleave = 3", "a number for a name"),
        ("[loop]\nquotient = \"0.85 kg\"", "a unit behind a ratio"),
        ("[loop]\nsetpoint = 1.3", "a setpoint without a unit"),
        ("[loop]\nkind = \"semi-closed\"", "a kind that is not computed"),
        ("[[dive.leg]]\nstay = \"12:75\"", "75 seconds"),
    ] {
        assert!(accepts(&validator, text).is_err(), "{what}: {text}");
    }
}

#[test]
fn every_key_says_what_it_is() {
    let schema = schema();
    let tables = schema["$defs"].as_object().unwrap().iter().chain([("the plan", &schema)].map(|(name, table)| {
        // the map's keys are strings of its own
        (Box::leak(Box::new(name.to_owned())) as &String, table)
    }));
    let mut keys = 0;
    for (name, table) in tables {
        for (key, property) in table["properties"].as_object().into_iter().flatten() {
            assert!(property["description"].as_str().is_some_and(|text| text.len() > 3), "{name}.{key}");
            keys += 1;
        }
        assert!(table.get("anyOf").is_some() || table["description"].is_string() || name == "the plan", "{name}");
        if table.get("properties").is_some() {
            // a check has a key for each cylinder
            let others = if name == "WeightCheck" { json!({ "$ref": "#/$defs/Pressure" }) } else { json!(false) };
            assert_eq!(table["additionalProperties"], others, "{name}");
        }
        assert!(!table.to_string().contains("null"), "{name}: TOML has no null");
    }
    assert!(keys > 90, "{keys} keys");
}

/// The pattern and the reader of one kind agree on a text.
fn agree<D: Dimension>(text: &str) -> Result<(), TestCaseError> {
    // compiled once for each kind: the same few patterns are asked thousands of times
    static COMPILED: Mutex<BTreeMap<&str, Validator>> = Mutex::new(BTreeMap::new());
    let mut compiled = COMPILED.lock().unwrap_or_else(PoisonError::into_inner);
    let validator = compiled
        .entry(D::OF.name())
        .or_insert_with(|| jsonschema::draft202012::new(&json!({ "pattern": pattern(D::OF) })).unwrap());
    let read = Written::<D>::parse(text);
    // two pieces may join into a number that is too large for any float: no pattern can count that far
    if matches!(read.estimate(), Err(QuantityError::NotFinite { .. })) {
        return Ok(());
    }
    prop_assert_eq!(
        validator.is_valid(&json!(text)),
        read.estimate().is_ok(),
        "{} {:?}: {:?}",
        D::OF.name(),
        text,
        read.estimate()
    );
    Ok(())
}

fn agree_everywhere(text: &str) -> Result<(), TestCaseError> {
    agree::<Mass>(text)?;
    agree::<Volume>(text)?;
    agree::<Length>(text)?;
    agree::<Duration>(text)?;
    agree::<Temperature>(text)?;
    agree::<Fraction>(text)?;
    agree::<FlowRate>(text)
}

#[test]
fn pattern_and_reader_agree_on_every_unit_and_example() {
    fn every<D: Dimension>() {
        agree::<D>(D::OF.example()).unwrap();
        for name in D::OF.units().iter().flat_map(|unit| unit.names) {
            for form in [
                "2 U",
                "2U",
                "-2.5 ± 0.5 U",
                "2 U +/- 3 %",
                "2 ± 1 U (triangular)",
                "2 U ± 1 U (95 %)",
                "U",
                "2 U U",
                "2 U (guess)",
                "2 ± 1 U (guess)",
                "2 ± 1 U (95 %, guess)",
                "2 ± 1 U ( guess , triangular )",
                "2 U (95 %, guess)",
                "2 ± 1 U (guess, guess)",
                "2 ± 1 U (guessed)",
            ] {
                agree::<D>(&form.replace('U', name)).unwrap();
            }
        }
    }
    every::<Mass>();
    every::<Volume>();
    every::<Length>();
    every::<Area>();
    every::<Pressure>();
    every::<Duration>();
    every::<Speed>();
    every::<FlowRate>();
    every::<Density>();
    every::<Fraction>();
    every::<Salinity>();
    every::<Temperature>();
    every::<PartialPressure>();
    every::<SpecificVolume>();
}

/// Pieces of quantities. No zero among the doubts and no number out of range: those a pattern cannot see.
const PIECES: [&str; 39] = [
    " ",
    " ",
    " ",
    "-",
    "+",
    "−",
    "10",
    "2.5",
    ".5",
    "5.",
    "1e3",
    "7E-1",
    "1e",
    "±",
    "±",
    "+/-",
    "%",
    "(95%)",
    "( triangular )",
    "(rectangular)",
    "(99.7 %)",
    "(105%)",
    "(",
    ")",
    "kg",
    "g",
    "L",
    "min",
    "m",
    "°C",
    "cu ft",
    "L/min",
    "12:30",
    "1:02:03",
    ",",
    "x",
    "(guess)",
    "(95%, guess)",
    "(guess,triangular)",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn pattern_and_reader_agree_on_anything(parts in proptest::collection::vec(0..PIECES.len(), 1..9)) {
        agree_everywhere(&parts.iter().map(|&part| PIECES[part]).collect::<String>())?;
    }

    /// Mostly right ones: the pieces in the order of the grammar, some left out.
    #[test]
    fn pattern_and_reader_agree_near_what_is_right(
        kept in proptest::collection::vec(proptest::bool::weighted(0.8), 9),
        number in 6usize..12, doubt in 6usize..12, unit in 24usize..32, other in 24usize..32, shape in (17usize..25).prop_map(|i| if i < 22 { i } else { i + 14 }),
    ) {
        let order = [PIECES[number], " ", PIECES[unit], " ± ", PIECES[doubt], " ", PIECES[other], " ", PIECES[shape]];
        let text: String = order.iter().zip(&kept).filter(|(_, kept)| **kept).map(|(piece, _)| *piece).collect();
        agree_everywhere(&text)?;
    }
}
