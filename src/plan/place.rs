//! From a key path to the bytes in the text: the spanned tree of the TOML reader is walked along the path.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The places of all keys of a text.
pub(crate) struct Places<'t> {
    root: Spanned<DeTable<'t>>,
}

impl<'t> Places<'t> {
    /// Of a text; what cannot be read is left out.
    pub fn of(text: &'t str) -> Self {
        Self { root: DeTable::parse_recoverable(text).0 }
    }

    /// Bytes of the value at `path`; of the deepest part of the path that is there when the value is missing. `None`
    /// when not even its first key is there.
    pub fn find(&self, path: &str) -> Option<Range<usize>> {
        let mut steps = steps(path);
        let first = steps.next()?;
        let (key, value) = self.root.get_ref().get_key_value(first.name)?;
        let mut found = key.span();
        let mut here = value;
        let mut pending = first.index;
        loop {
            if let Some(index) = pending {
                match here.get_ref().get(index) {
                    Some(entry) => {
                        here = entry;
                        found = entry.span();
                    }
                    None => return Some(found),
                }
            }
            let Some(step) = steps.next() else {
                return Some(if here.get_ref().is_table() || here.get_ref().is_array() { found } else { here.span() });
            };
            let Some((key, value)) = here.get_ref().as_table().and_then(|table| table.get_key_value(step.name)) else {
                return Some(found);
            };
            found = key.span();
            here = value;
            pending = step.index;
        }
    }
}

struct PathStep<'p> {
    name: &'p str,
    /// from 0
    index: Option<usize>,
}

fn steps(path: &str) -> impl Iterator<Item = PathStep<'_>> {
    path.split('.').map(|part| match part.split_once('[') {
        Some((name, index)) => {
            let counted: Option<usize> = index.trim_end_matches(']').parse().ok();
            PathStep { name, index: counted.and_then(|n| n.checked_sub(1)) }
        }
        None => PathStep { name: part, index: None },
    })
}

/// Removes the entry whose key or value lies at `span`; its path and whether it was the key that was hit.
pub(crate) fn remove_at(table: &mut DeTable<'_>, span: &Range<usize>, prefix: &str) -> Option<(String, bool)> {
    let path_of = |name: &str| if prefix.is_empty() { name.to_owned() } else { format!("{prefix}.{name}") };
    let hit = table.iter().find(|(key, value)| key.span() == *span || value.span() == *span);
    if let Some((key, _)) = hit {
        let (name, by_key) = (key.get_ref().to_string(), key.span() == *span);
        table.remove(name.as_str());
        return Some((path_of(&name), by_key));
    }
    for (key, value) in table.iter_mut() {
        let path = path_of(key.get_ref());
        match value.get_mut() {
            DeValue::Table(inner) => {
                if let Some(found) = remove_at(inner, span, &path) {
                    return Some(found);
                }
            }
            DeValue::Array(entries) => {
                if let Some(at) = entries.iter().position(|entry| entry.span() == *span) {
                    // stays: the places of those behind it would shift
                    return Some((format!("{path}[{}]", at + 1), false));
                }
                for (i, entry) in entries.iter_mut().enumerate() {
                    let DeValue::Table(inner) = entry.get_mut() else { continue };
                    if let Some(found) = remove_at(inner, span, &format!("{path}[{}]", i + 1)) {
                        return Some(found);
                    }
                }
            }
            _ => {}
        }
    }
    None
}
