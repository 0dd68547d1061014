//! Where a figure stands: a path of keys in the plan, or a cell of a file beside it.

use std::fmt;
use std::str::FromStr;

use serde::{Serialize, Serializer};

/// A step of a path.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Segment {
    /// A key of a table; on the way into a list, the name of an entry.
    Key(String),
    /// An entry of a list, from 0. Written it is counted from 1.
    Index(usize),
}

/// A path of keys: `suit.gas_volume` · `cylinder[2].fill` · `ballast."belt 1.5".mass` · `gear.csv:12:mass`.
///
/// ```
/// use lightpoint::KeyPath;
/// let path: KeyPath = "cylinder[2].fill".parse()?;
/// assert_eq!((path.first(), path.last()), ("cylinder", "fill"));
/// assert_eq!(path.parent().to_string(), "cylinder[2]");
/// # Ok::<(), lightpoint::internals::estimate::NoKeyPath>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum KeyPath {
    /// In the plan; without a segment the whole of it.
    Plan(Vec<Segment>),
    /// In a file beside the plan.
    Beside {
        /// Name of the file.
        file: String,
        /// Line, from 1, and column; `None` for the whole file.
        cell: Option<(usize, String)>,
    },
}

/// Not a path of keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("not a key such as suit.gas_volume, cylinder[2].fill or cylinder.back.fill")]
pub struct NoKeyPath;

impl Default for KeyPath {
    fn default() -> Self {
        Self::ROOT
    }
}

impl KeyPath {
    /// The whole plan.
    pub const ROOT: KeyPath = KeyPath::Plan(Vec::new());

    /// A file beside the plan.
    pub fn file(name: &str) -> Self {
        Self::Beside { file: name.to_owned(), cell: None }
    }

    /// A key of this table.
    #[must_use]
    pub fn field(mut self, key: &str) -> Self {
        if let Self::Plan(segments) = &mut self {
            segments.push(Segment::Key(key.to_owned()));
        }
        self
    }

    /// An entry of this list, from 0.
    #[must_use]
    pub fn index(mut self, index: usize) -> Self {
        if let Self::Plan(segments) = &mut self {
            segments.push(Segment::Index(index));
        }
        self
    }

    /// The steps through the plan; none for what stands beside it.
    pub fn segments(&self) -> &[Segment] {
        match self {
            Self::Plan(segments) => segments,
            Self::Beside { .. } => &[],
        }
    }

    /// Whether it is in a file beside the plan.
    pub fn is_beside(&self) -> bool {
        matches!(self, Self::Beside { .. })
    }

    /// Without its last step.
    #[must_use]
    pub fn parent(&self) -> Self {
        match self {
            Self::Plan(segments) => Self::Plan(segments[..segments.len().saturating_sub(1)].to_vec()),
            Self::Beside { file, .. } => Self::file(file),
        }
    }

    /// The first key, or the name of the file.
    pub fn first(&self) -> &str {
        match self {
            Self::Plan(segments) => segments.iter().find_map(Segment::key).unwrap_or_default(),
            Self::Beside { file, .. } => file,
        }
    }

    /// The last key, or the column.
    pub fn last(&self) -> &str {
        match self {
            Self::Plan(segments) => segments.iter().rev().find_map(Segment::key).unwrap_or_default(),
            Self::Beside { cell, .. } => cell.as_ref().map_or("", |(_, column)| column),
        }
    }

    fn is_written(&self, text: &str) -> bool {
        struct Rest<'t>(&'t str);
        impl fmt::Write for Rest<'_> {
            fn write_str(&mut self, written: &str) -> fmt::Result {
                self.0 = self.0.strip_prefix(written).ok_or(fmt::Error)?;
                Ok(())
            }
        }
        let mut rest = Rest(text);
        fmt::write(&mut rest, format_args!("{self}")).is_ok() && rest.0.is_empty()
    }

    /// Whether it is `other` or lies in it.
    pub fn is_within(&self, other: &KeyPath) -> bool {
        match (self, other) {
            (Self::Plan(own), Self::Plan(theirs)) => own.starts_with(theirs),
            (Self::Beside { file, .. }, Self::Beside { file: theirs, cell: None }) => file == theirs,
            _ => self == other,
        }
    }
}

impl Segment {
    /// The key, if it is one.
    pub fn key(&self) -> Option<&str> {
        match self {
            Self::Key(key) => Some(key),
            Self::Index(_) => None,
        }
    }
}

impl fmt::Display for KeyPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let segments = match self {
            Self::Plan(segments) => segments,
            Self::Beside { file, cell: None } => return f.write_str(file),
            Self::Beside { file, cell: Some((line, column)) } => return write!(f, "{file}:{line}:{column}"),
        };
        for (i, segment) in segments.iter().enumerate() {
            match segment {
                Segment::Index(index) => write!(f, "[{}]", index + 1)?,
                Segment::Key(key) => {
                    let dot = if i > 0 { "." } else { "" };
                    let is_plain = !key.is_empty() && key.chars().all(|c| c.is_alphanumeric() || "_-".contains(c));
                    let quote = if is_plain { "" } else { "\"" };
                    write!(f, "{dot}{quote}{key}{quote}")?;
                }
            }
        }
        Ok(())
    }
}

impl FromStr for KeyPath {
    type Err = NoKeyPath;

    fn from_str(text: &str) -> Result<Self, NoKeyPath> {
        let cell = text.rsplit_once(':').and_then(|(before, column)| Some((before.rsplit_once(':')?, column)));
        if let Some(((file, line), column)) = cell
            && let Ok(line) = line.parse()
        {
            return Ok(Self::Beside { file: file.to_owned(), cell: Some((line, column.to_owned())) });
        }
        let mut path = Self::ROOT;
        let mut rest = text.trim();
        loop {
            let (key, after) = if let Some(quoted) = rest.strip_prefix('"') {
                quoted.split_once('"').ok_or(NoKeyPath)?
            } else {
                let (key, after) = rest.split_at(rest.find(['.', '[']).unwrap_or(rest.len()));
                (key.trim(), after)
            };
            if key.is_empty() {
                return Err(NoKeyPath);
            }
            path = path.field(key);
            rest = after;
            if let Some(bracket) = rest.strip_prefix('[') {
                let (counted, after) = bracket.split_once(']').ok_or(NoKeyPath)?;
                let counted: usize = counted.trim().parse().map_err(|_| NoKeyPath)?;
                path = path.index(counted.checked_sub(1).ok_or(NoKeyPath)?);
                rest = after;
            }
            if rest.is_empty() {
                return Ok(path);
            }
            rest = rest.strip_prefix('.').ok_or(NoKeyPath)?;
        }
    }
}

impl Serialize for KeyPath {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// As it is written.
impl PartialEq<&str> for KeyPath {
    fn eq(&self, other: &&str) -> bool {
        self.is_written(other)
    }
}

/// As it is written.
impl PartialEq<str> for KeyPath {
    fn eq(&self, other: &str) -> bool {
        self.is_written(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read() {
        for text in [
            "suit",
            "suit.gas_volume",
            "cylinder[2].fill",
            "ballast.\"belt 1.5\".mass",
            "a[1].b[12]",
            "gear.csv:2:mass",
        ] {
            let path: KeyPath = text.parse().unwrap();
            assert_eq!(path.to_string(), text);
        }
        let path: KeyPath = " ballast.\"belt 1.5\"[1].mass ".parse().unwrap();
        let key = |key: &str| Segment::Key(key.into());
        assert_eq!(path.segments(), [key("ballast"), key("belt 1.5"), Segment::Index(0), key("mass")]);
    }

    #[test]
    fn what_is_none_is_refused() {
        for text in
            ["", ".", "suit.", "suit..mass", ".mass", "cylinder[x].fill", "cylinder[0]", "cylinder[1", "a[1]b", "\"a"]
        {
            assert_eq!(text.parse::<KeyPath>(), Err(NoKeyPath), "{text}");
        }
    }

    #[test]
    fn within_is_by_whole_steps() {
        let is = |a: &str, b: &str| a.parse::<KeyPath>().unwrap().is_within(&b.parse().unwrap());
        assert!(is("part[1].mass", "part[1]") && is("part[1]", "part") && is("suit", "suit"));
        assert!(!is("part[12].mass", "part[1]") && !is("suits.mass", "suit") && !is("suit", "suit.mass"));
        assert!(KeyPath::file("gear.csv").is_within(&KeyPath::file("gear.csv")));
        assert!("gear.csv:2:mass".parse::<KeyPath>().unwrap().is_within(&KeyPath::file("gear.csv")));
    }
}
