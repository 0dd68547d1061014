//! Keys that may be written in two forms: a name or a list of names, a gas by its name or by its shares.

use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserialize, Deserializer, Visitor};

use crate::plan::file::{Gas, GasTable, Names};

impl<'de> Deserialize<'de> for Names {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct OneOrMore;
        impl<'de> Visitor<'de> for OneOrMore {
            type Value = Names;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("a text or a list of texts")
            }
            fn visit_str<E: de::Error>(self, name: &str) -> Result<Names, E> {
                Ok(Names(vec![name.to_owned()]))
            }
            fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Names, A::Error> {
                let mut names = Vec::new();
                while let Some(name) = seq.next_element()? {
                    names.push(name);
                }
                Ok(Names(names))
            }
        }
        deserializer.deserialize_any(OneOrMore)
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
