//! Where a figure stands: a path of keys in the plan, or a cell of a CSV file.
//!
//! A path is a chain of borrowed steps, made into text only when somebody reads it, so that building a dive from drawn
//! numbers makes no text at all. Tables in a list are counted from 1: `cylinder[2].fill`.

use std::fmt;

use crate::estimate::{KeyPath, Origin};

/// A place in the plan or in a file beside it.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Key<'a> {
    /// The whole plan.
    Root,
    /// A key of a table.
    Field(&'a Key<'a>, &'a str),
    /// An entry of a list, from 0.
    Index(&'a Key<'a>, usize),
    /// A cell of a file beside the plan.
    Cell(CellAt<'a>),
}

/// A cell of a CSV file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CellAt<'a> {
    /// Which source.
    pub source: usize,
    /// Name of the file.
    pub file: &'a str,
    /// Line in the file, from 1.
    pub line: usize,
    /// Name of the column.
    pub column: &'static str,
    /// Bytes of the cell.
    pub span: (usize, usize),
    /// What its figures are.
    pub origin: Origin,
    /// Remark of the row.
    pub note: Option<&'a str>,
}

impl<'a> Key<'a> {
    /// A key of this table.
    pub fn field(&'a self, name: &'a str) -> Key<'a> {
        Key::Field(self, name)
    }

    /// An entry of this list, from 0.
    pub fn index(&'a self, index: usize) -> Key<'a> {
        Key::Index(self, index)
    }

    /// The same on its own.
    pub fn path(&self) -> KeyPath {
        match self {
            Key::Root => KeyPath::ROOT,
            Key::Field(parent, name) => parent.path().field(name),
            Key::Index(parent, index) => parent.path().index(*index),
            Key::Cell(cell) => {
                KeyPath::Beside { file: cell.file.to_owned(), cell: Some((cell.line, cell.column.to_owned())) }
            }
        }
    }

    /// The last key, in words: `fill temperature`.
    pub fn last_word(&self) -> String {
        match self {
            Key::Root => String::new(),
            Key::Field(_, name) => name.replace('_', " "),
            Key::Index(parent, _) => parent.last_word(),
            Key::Cell(cell) => cell.column.replace('_', " "),
        }
    }
}

impl fmt::Display for Key<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.path().fmt(f)
    }
}
