//! What is wrong with a plan: data, not text on a screen.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use crate::estimate::KeyPath;

/// All problems of a plan, with the texts that they point into.
#[derive(Clone, Debug, PartialEq)]
pub struct Problems {
    /// The plan (first) and the files beside it.
    pub sources: Vec<Source>,
    /// The problems, in the order of their places. Never empty.
    pub list: Vec<Problem>,
}

/// A text that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Name as the user gave it.
    pub name: String,
    /// The text; empty when it could not be read.
    pub text: Arc<str>,
}

impl Source {
    /// Line and column, from 1, of a byte. Columns count characters.
    pub fn line_column(&self, byte: usize) -> (usize, usize) {
        self.place(&self.line_starts(), byte)
    }

    fn line_starts(&self) -> Vec<usize> {
        std::iter::once(0).chain(self.text.match_indices('\n').map(|(at, _)| at + 1)).collect()
    }

    fn place(&self, line_starts: &[usize], byte: usize) -> (usize, usize) {
        let byte = self.text.floor_char_boundary(byte);
        let line = line_starts.partition_point(|&start| start <= byte);
        (line, self.text[line_starts[line - 1]..byte].chars().count() + 1)
    }
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What sort of problem; stable.
    pub code: ProblemCode,
    /// Key path such as `cylinder[2].fill` (entries count from 1), or file, line and column name.
    pub path: KeyPath,
    /// Which of [`Problems::sources`].
    pub source: usize,
    /// Bytes in that source; empty at 0 when the problem is the whole file.
    pub span: Range<usize>,
    /// What is wrong and what was expected.
    pub message: String,
    /// What would be valid, or what to do.
    pub help: Option<String>,
}

/// Problems that are shown; who has more repairs these first.
pub const MOST_SHOWN: usize = 200;

impl Problem {
    /// Whether it is the whole file and no place in it.
    pub fn is_of_whole_file(&self) -> bool {
        self.span.is_empty() && self.span.start == 0
    }
}

impl Problems {
    /// What a person reads of one of them: where it is the whole file, with the file's name in front.
    pub fn message(&self, problem: &Problem) -> String {
        match problem.is_of_whole_file() {
            true => format!("{}: {}", self.sources[problem.source].name, problem.message),
            false => problem.message.clone(),
        }
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $variant:ident = $text:literal,)+) => {
        /// The sorts of problems. The text is stable: scripts and the manual may rely on it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum ProblemCode {
            $($(#[$doc])* $variant,)+
        }
        impl ProblemCode {
            /// Every code.
            pub const ALL: &'static [ProblemCode] = &[$(ProblemCode::$variant),+];
            /// Stable text in kebab-case.
            pub fn as_str(self) -> &'static str {
                match self { $(ProblemCode::$variant => $text),+ }
            }
        }
    };
}

codes! {
    /// A file that cannot be opened or read.
    Unreadable = "unreadable",
    /// A file that is larger than any plan.
    TooLarge = "too-large",
    /// A file that is not UTF-8.
    NotUtf8 = "not-utf8",
    /// The text is not TOML.
    Syntax = "syntax",
    /// A key that the plan does not have.
    UnknownKey = "unknown-key",
    /// A value of the wrong type.
    WrongType = "wrong-type",
    /// A key that must be there.
    MissingKey = "missing-key",
    /// Keys of which exactly one, or all, must be there.
    WhichKeys = "which-keys",
    /// A number without its unit.
    NoUnit = "no-unit",
    /// A unit that does not fit, or is not known.
    UnknownUnit = "unknown-unit",
    /// A text that is no quantity.
    NotQuantity = "not-quantity",
    /// NaN or an infinity.
    NotFinite = "not-finite",
    /// A doubt where none is taken, or that is none.
    Doubt = "doubt",
    /// A value outside its range.
    OutOfRange = "out-of-range",
    /// A mass and a reading that give a volume below zero.
    NegativeVolume = "negative-volume",
    /// Two things of one name.
    DuplicateName = "duplicate-name",
    /// A cylinder named as a field of a weight check.
    ReservedName = "reserved-name",
    /// A word that is none of the choices.
    UnknownWord = "unknown-word",
    /// A cylinder that the plan does not have.
    UnknownCylinder = "unknown-cylinder",
    /// A generic size that is not in the list.
    UnknownSize = "unknown-size",
    /// A material that is not in the list.
    UnknownMaterial = "unknown-material",
    /// A piece that is not in the gear list.
    UnknownPiece = "unknown-piece",
    /// A part that the plan does not have.
    UnknownPart = "unknown-part",
    /// What cannot hang on a cylinder, or is not there often enough.
    Rigging = "rigging",
    /// Something that is no gas.
    UnknownGas = "unknown-gas",
    /// Shares that do not sum to a whole.
    MixtureSum = "mixture-sum",
    /// More cylinders than a dive can have.
    TooManyCylinders = "too-many-cylinders",
    /// Suit or wing without a supply.
    MissingSupply = "missing-supply",
    /// Layers that do not follow one another.
    LayerOrder = "layer-order",
    /// A depth above the water or below the deepest that is computed.
    Depth = "depth",
    /// Time that does not go forward, or goes on too long.
    Time = "time",
    /// A dive without legs or rows.
    EmptyProfile = "empty-profile",
    /// A leg without a breathing rate.
    NoRate = "no-rate",
    /// A leg that breathes nothing, or what is not carried.
    NotCarried = "not-carried",
    /// A loop's oxygen that is not pure.
    NotOxygen = "not-oxygen",
    /// A bail-out at no moment of the dive, or on cylinders that leave a depth without any.
    BailOut = "bail-out",
    /// A cylinder that cannot come or go then.
    Change = "change",
    /// A last stop that is no depth of the dive.
    LastStop = "last-stop",
    /// A stop of a short dive that is none, or is not on its way up.
    Stop = "stop",
    /// A time under an overhead that is none, or an overhead at the surface.
    Overhead = "overhead",
    /// A CSV file that cannot be taken apart.
    Csv = "csv",
    /// A column that must be there.
    MissingColumn = "missing-column",
    /// A column that is not known, or there twice.
    UnknownColumn = "unknown-column",
    /// Something that `--set` cannot set.
    BadSet = "bad-set",
    /// The engine refuses the dive for a reason that the checks before it should have caught: a fault of the program.
    Refused = "refused",
}

impl fmt::Display for ProblemCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// One problem a paragraph: `file:line:column: message [code]`, the help.
impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<Vec<usize>> = self.sources.iter().map(Source::line_starts).collect();
        for (i, problem) in self.list.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            let source = &self.sources[problem.source];
            let message = &problem.message;
            if source.text.is_empty() {
                write!(f, "{}: {message} [{}]", source.name, problem.code)?;
            } else {
                let (line, column) = source.place(&lines[problem.source], problem.span.start);
                write!(f, "{}:{line}:{column}: {message} [{}]", source.name, problem.code)?;
            }
            if let Some(help) = &problem.help {
                write!(f, "\n  help: {help}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}
