//! Keys that may be written in two forms: a name or a list of names, a stop or a list of stops, a gas by its name or by its shares.

use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserialize, Deserializer, Visitor};

use crate::plan::file::{Gas, GasTable, Names, Stops};

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
        deserializer.deserialize_any(OneOrMore("the name of a cylinder or a list of names")).map(Names)
    }
}

impl<'de> Deserialize<'de> for Stops {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOrMore("a stop such as \"6 m 10 min\" or a list of stops")).map(Stops)
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
