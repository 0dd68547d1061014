//! Keys that may be written in two forms: a name or a list of names, a stop or a list of stops, a gas by its name or by
//! its shares, what a check was made with by a word or by its tables. And a table whose keys are names of cylinders.

use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserialize, Deserializer, Visitor};

use crate::plan::file::{
    At, AtTable, CylinderTable, CylindersThen, Gas, GasTable, Names, OxygenUse, OxygenUseTable, RigOfCheck, RigTables,
    Spans, Stops, Suit, SuitThen, WeightCheck,
};
use crate::plan::written::Written;

/// One text or a list of texts; what they are, for a message.
struct OneOrMore(&'static str);

impl<'de> Visitor<'de> for OneOrMore {
    type Value = Vec<String>;
    fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        f.write_str(self.0)
    }
    fn visit_str<E: de::Error>(self, text: &str) -> Result<Vec<String>, E> {
        Ok(vec![text.to_owned()])
    }
    fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Vec<String>, A::Error> {
        let mut texts = Vec::new();
        while let Some(text) = seq.next_element()? {
            texts.push(text);
        }
        Ok(texts)
    }
}

impl<'de> Deserialize<'de> for Names {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOrMore("a text or a list of texts")).map(Names)
    }
}

impl<'de> Deserialize<'de> for Stops {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOrMore("a stop such as \"6 m 10 min\" or a list of stops")).map(Stops)
    }
}

impl<'de> Deserialize<'de> for Spans {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let expected = OneOrMore("from when to when, such as \"8 min to 31 min\", or a list of that");
        deserializer.deserialize_any(expected).map(Spans)
    }
}

impl<'de> Deserialize<'de> for Gas {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct NameOrShares;
        impl<'de> Visitor<'de> for NameOrShares {
            type Value = Gas;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("the name of a gas, such as \"nitrox 32\", or its shares, such as { o2 = \"32 %\" }")
            }
            fn visit_str<E: de::Error>(self, name: &str) -> Result<Gas, E> {
                Ok(Gas::Name(name.to_owned()))
            }
            fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<Gas, A::Error> {
                // passed on as it streams: nothing is buffered, so errors keep their place
                GasTable::deserialize(MapAccessDeserializer::new(map)).map(|shares| Gas::Shares(Box::new(shares)))
            }
        }
        deserializer.deserialize_any(NameOrShares)
    }
}

/// Reads a word or a table in one of two forms, passed on as they stream.
macro_rules! word_or_table {
    ($name:ident, $expecting:literal, $word:path, $table:ty, $made:expr) => {
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                struct Either;
                impl<'de> Visitor<'de> for Either {
                    type Value = $name;
                    fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                        f.write_str($expecting)
                    }
                    fn visit_str<E: de::Error>(self, word: &str) -> Result<$name, E> {
                        Ok($word(word.to_owned()))
                    }
                    fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<$name, A::Error> {
                        <$table>::deserialize(MapAccessDeserializer::new(map)).map($made)
                    }
                    fn visit_seq<A: de::SeqAccess<'de>>(self, seq: A) -> Result<$name, A::Error> {
                        $name::of_list(seq)
                    }
                }
                deserializer.deserialize_any(Either)
            }
        }
    };
}

word_or_table!(
    RigOfCheck,
    "the file of a plan, or a table of what was another",
    RigOfCheck::OfPlan,
    RigTables,
    |one| { RigOfCheck::Tables(Box::new(one)) }
);
word_or_table!(SuitThen, "the kind of a suit, such as \"wet 7 mm\", or a table", SuitThen::Kind, Suit, |one| {
    SuitThen::Table(Box::new(one))
});
word_or_table!(
    CylindersThen,
    "a size, such as \"steel 12 L 232 bar\", a table, or a list of tables",
    CylindersThen::Size,
    CylinderTable,
    |one| CylindersThen::One(Box::new(one))
);

word_or_table!(
    At,
    "a place, such as \"belt\", or distances, such as { along = \"-12 cm\", up = \"4 cm\" }",
    At::Word,
    AtTable,
    |one| At::Distances(Box::new(one))
);

word_or_table!(
    OxygenUse,
    "a rate, such as \"1.0 ± 0.3 L/min\", or rates by the kind of leg, such as { bottom = \"1.2 L/min\" }",
    OxygenUse::of_text,
    OxygenUseTable,
    |one| OxygenUse::Kinds(Box::new(one))
);

impl OxygenUse {
    fn of_text(text: String) -> Self {
        Self::Rate(Written::parse(&text))
    }

    fn of_list<'de, A: de::SeqAccess<'de>>(_: A) -> Result<Self, A::Error> {
        Err(de::Error::invalid_type(de::Unexpected::Seq, &"a rate, such as \"1.0 L/min\", or rates by the kind of leg"))
    }
}

impl At {
    fn of_list<'de, A: de::SeqAccess<'de>>(_: A) -> Result<Self, A::Error> {
        Err(de::Error::invalid_type(de::Unexpected::Seq, &"a place, such as \"belt\", or distances"))
    }
}

impl RigOfCheck {
    fn of_list<'de, A: de::SeqAccess<'de>>(_: A) -> Result<Self, A::Error> {
        Err(de::Error::invalid_type(de::Unexpected::Seq, &"the file of a plan, or a table of what was another"))
    }
}

impl SuitThen {
    fn of_list<'de, A: de::SeqAccess<'de>>(_: A) -> Result<Self, A::Error> {
        Err(de::Error::invalid_type(de::Unexpected::Seq, &"the kind of a suit, such as \"wet 7 mm\", or a table"))
    }
}

impl CylindersThen {
    fn of_list<'de, A: de::SeqAccess<'de>>(mut seq: A) -> Result<Self, A::Error> {
        let mut list = Vec::new();
        while let Some(one) = seq.next_element()? {
            list.push(one);
        }
        Ok(Self::List(list))
    }
}

impl<'de> Deserialize<'de> for WeightCheck {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Keys;
        impl<'de> Visitor<'de> for Keys {
            type Value = WeightCheck;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("struct WeightCheck")
            }
            fn visit_map<A: de::MapAccess<'de>>(self, mut map: A) -> Result<WeightCheck, A::Error> {
                let mut check = WeightCheck::default();
                while let Some(key) = map.next_key::<String>()? {
                    match key.as_str() {
                        "depth" => check.depth = Some(map.next_value()?),
                        "outcome" => check.outcome = Some(map.next_value()?),
                        "hung" => check.hung = Some(map.next_value()?),
                        "needed" => check.needed = Some(map.next_value()?),
                        "lead" => check.lead = Some(map.next_value()?),
                        "water" => check.water = Some(map.next_value()?),
                        "breath" => check.breath = Some(map.next_value()?),
                        "wing" => check.wing = Some(map.next_value()?),
                        "doubt" => check.doubt = Some(map.next_value()?),
                        "note" => check.note = Some(map.next_value()?),
                        "rig" => check.rig = Some(map.next_value()?),
                        // whether it is the name of a cylinder is seen when those are known
                        _ => _ = check.gauges.insert(key, map.next_value()?),
                    }
                }
                Ok(check)
            }
        }
        deserializer.deserialize_map(Keys)
    }
}
