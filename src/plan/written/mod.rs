//! Quantities as the trade writes them: number and unit together, with the doubt in place.
//!
//! `"10.5 L"` · `"3000 psi"` · `"-2.6 ± 0.3 kg"` · `"-2.6 +/- 0.3 kg (95%)"` · `"84 kg ± 2 %"` · `"18 ± 3 L/min (triangular)"` ·
//! `"11 ± 3 L (guess)"` · `"11 ± 3 L (95%, guess)"`

pub(crate) mod grammar;

use std::marker::PhantomData;

use serde::de::{self, Deserialize, Deserializer, Visitor};
use thiserror::Error;

use crate::estimate::{Doubt, Estimate, Shape};
use crate::plan::problem::ProblemCode;
use crate::plan::unit::{Dimension, unit_list, unit_named};
use crate::plan::written::grammar::NoNumber;
use crate::units::{Quantity, Unit};

/// A quantity as written: its text, and its value or what is wrong with it.
///
/// Reading one from a file never fails, so that all faults of a plan can be told at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Written<D> {
    text: String,
    parsed: Result<Estimate, QuantityError>,
    is_guess: bool,
    dimension: PhantomData<D>,
}

/// What is wrong with a quantity.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum QuantityError {
    /// A number without quotes, or text without a unit.
    #[error("{text} has no unit")]
    NoUnit {
        /// As written.
        text: String,
    },
    /// A boolean, a list, a table.
    #[error("expected text with number and unit, found {found}")]
    NotText {
        /// What was found.
        found: &'static str,
    },
    /// Nothing between the quotes.
    #[error("the text is empty")]
    Empty,
    /// The text does not start with a number.
    #[error("\"{text}\" does not start with a number")]
    NotNumber {
        /// As written.
        text: String,
    },
    /// A clock time that is none.
    #[error("\"{text}\" is not a time of the form mm:ss or h:mm:ss")]
    Clock {
        /// As written.
        text: String,
    },
    /// A thousands separator or a decimal comma.
    #[error("\"{text}\": write the decimal sign as a point and leave thousands separators out")]
    Separator {
        /// As written.
        text: String,
    },
    /// NaN or an infinity.
    #[error("\"{text}\" is not a finite number")]
    NotFinite {
        /// As written.
        text: String,
    },
    /// A unit that this quantity does not have.
    #[error("\"{unit}\" is not a unit of {kind}")]
    Unit {
        /// The unit as written.
        unit: String,
        /// What is measured.
        kind: &'static str,
    },
    /// A doubt that is not above zero.
    #[error("the doubt after ± must be above zero")]
    Doubt,
    /// A distribution that is not known.
    #[error("\"({shape})\" is no distribution")]
    Shape {
        /// Between the parentheses.
        shape: String,
    },
    /// Something behind the quantity.
    #[error("\"{rest}\" behind the quantity is not understood")]
    Rest {
        /// The remainder.
        rest: String,
    },
}

impl QuantityError {
    /// What a problem of a cell says of it: code, message and help.
    pub(crate) fn told<D: Dimension>(&self, name: &str) -> (ProblemCode, String, String) {
        let code = match self {
            QuantityError::NoUnit { .. } => ProblemCode::NoUnit,
            QuantityError::Unit { .. } => ProblemCode::UnknownUnit,
            _ => ProblemCode::NotQuantity,
        };
        let help = format!("write a {} in {}, such as {}", D::OF.name(), unit_list(D::OF), D::OF.example());
        (code, format!("{name}: {self}"), help)
    }

    fn of(why: NoNumber, whole: &str) -> Self {
        let text = whole.to_owned();
        match why {
            NoNumber::Other => Self::NotNumber { text },
            NoNumber::Separator => Self::Separator { text },
            NoNumber::NotFinite => Self::NotFinite { text },
        }
    }
}

impl<D: Dimension> Written<D> {
    /// Reads a quantity from text.
    pub fn parse(text: &str) -> Self {
        let is_guess = is_guess(text);
        Self { text: text.trim().to_owned(), parsed: read_as::<D>(text), is_guess, dimension: PhantomData }
    }

    /// A bare number in a named unit, as in a table column whose header names the unit.
    pub fn in_unit(text: &str, unit: &Unit) -> Self {
        let parsed = bare(text).map(|number| Estimate::exact(unit.si(number)));
        Self { text: text.trim().to_owned(), parsed, is_guess: false, dimension: PhantomData }
    }

    /// A value that was worked out from what is written.
    pub(crate) fn made(text: &str, estimate: Estimate) -> Self {
        Self { text: text.trim().to_owned(), parsed: Ok(estimate), is_guess: false, dimension: PhantomData }
    }

    /// The quantity as written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The value with its doubt, SI.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn estimate(&self) -> Result<Estimate, &QuantityError> {
        self.parsed.as_ref().map(|estimate| *estimate)
    }

    /// Whether it is marked as a guess, which nobody measured.
    pub fn is_guess(&self) -> bool {
        self.is_guess
    }

    fn wrong(text: String, error: QuantityError) -> Self {
        Self { text, parsed: Err(error), is_guess: false, dimension: PhantomData }
    }
}

impl<'de, D: Dimension> Deserialize<'de> for Written<D> {
    fn deserialize<T: Deserializer<'de>>(deserializer: T) -> Result<Self, T::Error> {
        struct Lenient<D>(PhantomData<D>);
        impl<'de, D: Dimension> Visitor<'de> for Lenient<D> {
            type Value = Written<D>;

            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                write!(f, "{} as text with its unit, such as \"{}\"", D::OF.name(), D::OF.example())
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
                Ok(Written::parse(text))
            }
            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Self::Value, E> {
                let text = number.to_string();
                if D::IS_PLAIN {
                    return Ok(Written::parse(&text));
                }
                Ok(Written::wrong(text.clone(), QuantityError::NoUnit { text }))
            }
            fn visit_f64<E: de::Error>(self, number: f64) -> Result<Self::Value, E> {
                let text = number.to_string();
                if D::IS_PLAIN {
                    return Ok(Written::parse(&text));
                }
                let error = if number.is_finite() {
                    QuantityError::NoUnit { text: text.clone() }
                } else {
                    QuantityError::NotFinite { text: text.clone() }
                };
                Ok(Written::wrong(text, error))
            }
            fn visit_bool<E: de::Error>(self, value: bool) -> Result<Self::Value, E> {
                Ok(Written::wrong(value.to_string(), QuantityError::NotText { found: "true or false" }))
            }
            fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
                while seq.next_element::<de::IgnoredAny>()?.is_some() {}
                Ok(Written::wrong("[...]".into(), QuantityError::NotText { found: "a list" }))
            }
            fn visit_map<A: de::MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                while map.next_entry::<de::IgnoredAny, de::IgnoredAny>()?.is_some() {}
                Ok(Written::wrong("{...}".into(), QuantityError::NotText { found: "a table" }))
            }
        }
        deserializer.deserialize_any(Lenient(PhantomData))
    }
}

/// What a text says of a quantity, or of the one that may stand for it.
fn read_as<D: Dimension>(text: &str) -> Result<Estimate, QuantityError> {
    let read_here = read(text, D::OF, D::IS_PLAIN);
    match (D::ALSO, &read_here) {
        (Some((of, factor)), Err(QuantityError::Unit { .. })) => match read(text, of, false) {
            Ok(Estimate { value, doubt }) => {
                let doubt = doubt.map(|doubt| Doubt { half_width: doubt.half_width * factor, ..doubt });
                Ok(Estimate { value: value * factor, doubt })
            }
            // a fault of another sort than the unit is the same for both
            Err(QuantityError::Unit { .. }) => read_here,
            Err(error) => Err(error),
        },
        _ => read_here,
    }
}

/// What a text says, or what is wrong with it; `is_plain`: a number without a unit stands for itself.
fn read(text: &str, of: Quantity, is_plain: bool) -> Result<Estimate, QuantityError> {
    let whole = text.trim();
    if whole.is_empty() {
        return Err(QuantityError::Empty);
    }
    if of == Quantity::Duration && whole.contains(':') {
        return grammar::clock(whole).map(Estimate::exact).ok_or_else(|| QuantityError::Clock { text: whole.into() });
    }
    let parts = grammar::parts(whole).map_err(|why| QuantityError::of(why, whole))?;
    let shape = match parts.shape.and_then(|inside| grammar::remark(inside).0) {
        Some(word) => Some(grammar::shape_named(word).ok_or_else(|| QuantityError::Shape { shape: word.into() })?),
        None => None,
    };
    let unit = match (parts.unit, is_plain) {
        ("", true) => &PLAIN,
        ("", false) => return Err(QuantityError::NoUnit { text: whole.into() }),
        (unit, _) => find_unit(unit, of, whole)?,
    };
    let si = unit.si(parts.value);
    if !parts.rest.is_empty() {
        return Err(QuantityError::Rest { rest: parts.rest.into() });
    }
    let half_width = match (parts.early, parts.late) {
        (Some(doubt), None) => Some(doubt * unit.factor),
        (None, Some((doubt, ""))) => Some(doubt * unit.factor),
        (None, Some((doubt, "%"))) if of != Quantity::Fraction => Some(doubt / 100.0 * si.abs()),
        (None, Some((doubt, other))) => Some(doubt * find_unit(other, of, whole)?.factor),
        (None, None) => None,
        (Some(_), Some(_)) => {
            let behind = whole.rfind(['±', '+']).map_or(whole, |at| &whole[at..]);
            return Err(QuantityError::Rest { rest: behind.into() });
        }
    };
    let doubt = match (half_width, shape) {
        (Some(half_width), shape) if half_width > 0.0 && half_width.is_finite() => {
            Some(Doubt { half_width, shape: shape.unwrap_or(Shape::Rectangular) })
        }
        (Some(_), _) | (None, Some(_)) => return Err(QuantityError::Doubt),
        (None, None) => None,
    };
    if !si.is_finite() {
        return Err(QuantityError::NotFinite { text: whole.into() });
    }
    Ok(Estimate { value: si, doubt })
}

/// The unit of a number that has none.
static PLAIN: Unit = Unit { names: &[""], factor: 1.0, zero: 0.0 };

/// Whether a text that is read as a quantity marks it as a guess.
fn is_guess(text: &str) -> bool {
    text.ends_with(|c: char| c == ')' || c.is_whitespace())
        && grammar::parts(text.trim()).is_ok_and(|parts| parts.shape.is_some_and(|inside| grammar::remark(inside).1))
}

/// A number and nothing else.
fn bare(text: &str) -> Result<f64, QuantityError> {
    let whole = text.trim();
    if whole.is_empty() {
        return Err(QuantityError::Empty);
    }
    match grammar::number_and_rest(whole).map_err(|why| QuantityError::of(why, whole))? {
        (value, "") => Ok(value),
        (_, rest) => Err(QuantityError::Rest { rest: rest.into() }),
    }
}

fn find_unit(unit: &str, of: Quantity, whole: &str) -> Result<&'static Unit, QuantityError> {
    // "10.5.3 L" leaves ".3 L" here, which is no unit but a broken number
    if unit.starts_with(|c: char| c.is_ascii_digit() || ".,'_".contains(c)) {
        return Err(QuantityError::Separator { text: whole.into() });
    }
    unit_named(of, unit).ok_or_else(|| QuantityError::Unit { unit: unit.into(), kind: of.name() })
}

/// A number with its unit as it is written, so that another number can be written in it; the unit may be empty.
pub fn number_and_unit(text: &str) -> Option<(f64, &str)> {
    let parts = grammar::parts(text.trim()).ok()?;
    Some((parts.value, parts.unit))
}
