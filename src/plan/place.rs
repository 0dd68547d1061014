//! From a key path to the bytes in the text: the spanned tree of the TOML reader is walked along the path.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::estimate::{KeyPath, Segment};

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
    pub fn find(&self, path: &KeyPath) -> Option<Range<usize>> {
        self.looked_up(path, true)
    }

    /// Bytes of the last key of `path` itself, else as [`Places::find`].
    pub fn find_key(&self, path: &KeyPath) -> Option<Range<usize>> {
        self.looked_up(path, false)
    }

    fn looked_up(&self, path: &KeyPath, wants_value: bool) -> Option<Range<usize>> {
        let (first, rest) = path.segments().split_first()?;
        let (key, value) = self.root.get_ref().get_key_value(first.key()?)?;
        let (mut found, mut here) = (key.span(), value);
        for segment in rest {
            let next = match segment {
                Segment::Key(name) => here.get_ref().as_table().and_then(|table| table.get_key_value(name.as_str())),
                Segment::Index(index) => {
                    let Some(entry) = here.get_ref().get(*index) else { return Some(found) };
                    (found, here) = (entry.span(), entry);
                    continue;
                }
            };
            let Some((key, value)) = next else { return Some(found) };
            (found, here) = (key.span(), value);
        }
        let is_plain = !here.get_ref().is_table() && !here.get_ref().is_array();
        Some(if is_plain && wants_value { here.span() } else { found })
    }
}

/// Removes the entry whose key or value lies at `span`; its path and whether it was the key that was hit.
///
/// A table under a name that means another goes on under that, unless there is one: `rename` says what is meant by the
/// path of a key. So what refers to it does not fail as well.
pub(crate) fn remove_at(
    table: &mut DeTable<'_>,
    span: &Range<usize>,
    own: &KeyPath,
    rename: &dyn Fn(&str) -> Option<String>,
) -> Option<(KeyPath, bool)> {
    let hit = table.iter().find(|(key, value)| key.span() == *span || value.span() == *span);
    if let Some((key, _)) = hit {
        let (name, by_key) = (key.get_ref().to_string(), key.span() == *span);
        let (key, value) = table.remove_entry(name.as_str())?;
        if by_key
            && (value.get_ref().is_table() || value.get_ref().is_array())
            && let Some(meant) = rename(&name)
            && !table.contains_key(meant.as_str())
        {
            table.insert(Spanned::new(key.span(), meant.into()), value);
        }
        return Some((own.clone().field(&name), by_key));
    }
    for (key, value) in table.iter_mut() {
        let path = own.clone().field(key.get_ref());
        match value.get_mut() {
            DeValue::Table(inner) => {
                if let Some(found) = remove_at(inner, span, &path, rename) {
                    return Some(found);
                }
            }
            DeValue::Array(entries) => {
                if let Some(at) = entries.iter().position(|entry| entry.span() == *span) {
                    // stays: the places of those behind it would shift
                    return Some((path.index(at), false));
                }
                for (i, entry) in entries.iter_mut().enumerate() {
                    let DeValue::Table(inner) = entry.get_mut() else { continue };
                    if let Some(found) = remove_at(inner, span, &path.clone().index(i), rename) {
                        return Some(found);
                    }
                }
            }
            _ => {}
        }
    }
    None
}
