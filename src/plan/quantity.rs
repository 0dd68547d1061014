//! Quantities as the trade writes them: number and unit together, with the doubt in place.
//!
//! `"10.5 L"` · `"3000 psi"` · `"-2.6 ± 0.3 kg"` · `"-2.6 +/- 0.3 kg (95%)"` · `"84 kg ± 2 %"` · `"18 ± 3 L/min (triangular)"`

use std::marker::PhantomData;

use serde::de::{self, Deserialize, Deserializer, Visitor};
use thiserror::Error;

use crate::estimate::{Doubt, Estimate, Kind, Shape};
use crate::plan::unit::{Dimension, Unit};

/// A quantity as written: its text, and its value or what is wrong with it.
///
/// Reading one from a file never fails, so that all faults of a plan can be told at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity<D> {
    text: String,
    parsed: Result<Estimate, QuantityError>,
    dimension: PhantomData<D>,
}

/// What is wrong with a quantity.
#[derive(Clone, Debug, Error, PartialEq)]
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

impl<D: Dimension> Quantity<D> {
    /// Reads a quantity from text.
    pub fn parse(text: &str) -> Self {
        Self { text: text.trim().to_owned(), parsed: read::<D>(text), dimension: PhantomData }
    }

    /// A bare number in a named unit, as in a table column whose header names the unit.
    pub fn in_unit(text: &str, unit: &Unit) -> Self {
        let parsed = bare(text).map(|number| Estimate::exact(unit.si(number)));
        Self { text: text.trim().to_owned(), parsed, dimension: PhantomData }
    }

    /// A value that was worked out from what is written.
    pub(crate) fn made(text: &str, estimate: Estimate) -> Self {
        Self { text: text.trim().to_owned(), parsed: Ok(estimate), dimension: PhantomData }
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

    /// Physical kind.
    pub fn kind(&self) -> Kind {
        D::KIND
    }

    fn wrong(text: String, error: QuantityError) -> Self {
        Self { text, parsed: Err(error), dimension: PhantomData }
    }
}

impl<'de, D: Dimension> Deserialize<'de> for Quantity<D> {
    fn deserialize<T: Deserializer<'de>>(deserializer: T) -> Result<Self, T::Error> {
        struct Lenient<D>(PhantomData<D>);
        impl<'de, D: Dimension> Visitor<'de> for Lenient<D> {
            type Value = Quantity<D>;

            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                write!(f, "{} as text with its unit, such as \"{}\"", D::NAME, D::EXAMPLE)
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
                Ok(Quantity::parse(text))
            }
            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Self::Value, E> {
                let text = number.to_string();
                Ok(Quantity::wrong(text.clone(), QuantityError::NoUnit { text }))
            }
            fn visit_f64<E: de::Error>(self, number: f64) -> Result<Self::Value, E> {
                let text = number.to_string();
                let error = if number.is_finite() {
                    QuantityError::NoUnit { text: text.clone() }
                } else {
                    QuantityError::NotFinite { text: text.clone() }
                };
                Ok(Quantity::wrong(text, error))
            }
            fn visit_bool<E: de::Error>(self, value: bool) -> Result<Self::Value, E> {
                Ok(Quantity::wrong(value.to_string(), QuantityError::NotText { found: "true or false" }))
            }
            fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
                while seq.next_element::<de::IgnoredAny>()?.is_some() {}
                Ok(Quantity::wrong("[...]".into(), QuantityError::NotText { found: "a list" }))
            }
            fn visit_map<A: de::MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                while map.next_entry::<de::IgnoredAny, de::IgnoredAny>()?.is_some() {}
                Ok(Quantity::wrong("{...}".into(), QuantityError::NotText { found: "a table" }))
            }
        }
        deserializer.deserialize_any(Lenient(PhantomData))
    }
}

/// The whole grammar: `number [± number] unit [± number [unit | %]] [(shape)]`.
fn read<D: Dimension>(text: &str) -> Result<Estimate, QuantityError> {
    let whole = text.trim();
    if whole.is_empty() {
        return Err(QuantityError::Empty);
    }
    if D::KIND == Kind::Duration && whole.contains(':') {
        return clock(whole).map(Estimate::exact);
    }
    let (body, shape) = split_shape(whole)?;
    let (value, rest) = number(body, whole)?;
    let (early, rest) = match after_sign(rest) {
        Some(rest) => number(rest, whole).map(|(doubt, rest)| (Some(doubt), rest))?,
        None => (None, rest),
    };
    let (unit_text, late) = match rest.find(['±', '+']) {
        Some(at) => (rest[..at].trim(), Some(&rest[at..])),
        None => (rest.trim(), None),
    };
    if unit_text.is_empty() {
        return Err(QuantityError::NoUnit { text: whole.into() });
    }
    let unit = find_unit::<D>(unit_text, whole)?;
    let si = unit.si(value);
    let half_width = match (early, late) {
        (Some(doubt), None) => Some(doubt * unit.factor),
        (None, Some(late)) => Some(late_doubt::<D>(late, unit, si, whole)?),
        (None, None) => None,
        (Some(_), Some(late)) => return Err(QuantityError::Rest { rest: late.into() }),
    };
    let doubt = match (half_width, shape) {
        (Some(half_width), shape) if half_width > 0.0 && half_width.is_finite() => {
            Some(Doubt { half_width, shape: shape.unwrap_or(Shape::Rectangular) })
        }
        (Some(_), _) => return Err(QuantityError::Doubt),
        (None, Some(_)) => return Err(QuantityError::Doubt),
        (None, None) => None,
    };
    if !si.is_finite() {
        return Err(QuantityError::NotFinite { text: whole.into() });
    }
    Ok(Estimate { value: si, doubt })
}

/// The doubt behind the unit: with its own unit, with none (the same unit), or as a percentage of the value.
fn late_doubt<D: Dimension>(late: &str, unit: &Unit, si: f64, whole: &str) -> Result<f64, QuantityError> {
    let rest = after_sign(late).ok_or_else(|| QuantityError::Rest { rest: late.into() })?;
    let (doubt, rest) = number(rest, whole)?;
    match rest.trim() {
        "" => Ok(doubt * unit.factor),
        "%" if D::KIND != Kind::Fraction => Ok(doubt / 100.0 * si.abs()),
        other => Ok(doubt * find_unit::<D>(other, whole)?.factor),
    }
}

fn after_sign(text: &str) -> Option<&str> {
    let text = text.trim_start();
    text.strip_prefix('±').or_else(|| text.strip_prefix("+/-"))
}

/// Splits `(95%)`, `(triangular)` or `(rectangular)` off the end.
fn split_shape(text: &str) -> Result<(&str, Option<Shape>), QuantityError> {
    let Some(inner) = text.strip_suffix(')') else {
        return Ok((text, None));
    };
    let Some(open) = inner.rfind('(') else {
        return Err(QuantityError::Rest { rest: ")".into() });
    };
    let word = inner[open + 1..].trim();
    let shape = match word {
        "triangular" => Some(Shape::Triangular),
        "rectangular" => Some(Shape::Rectangular),
        _ => word.strip_suffix('%').and_then(|n| n.trim().parse::<f64>().ok()).and_then(|percent| {
            (percent > 0.0 && percent < 100.0).then_some(Shape::Normal { coverage_frac: percent / 100.0 })
        }),
    };
    match shape {
        Some(shape) => Ok((inner[..open].trim_end(), Some(shape))),
        None => Err(QuantityError::Shape { shape: word.into() }),
    }
}

/// A number at the start of a text, and what follows it.
fn number<'t>(text: &'t str, whole: &str) -> Result<(f64, &'t str), QuantityError> {
    let text = text.trim_start();
    let sign_len = text.chars().next().filter(|c| ['-', '+', '−'].contains(c)).map_or(0, char::len_utf8);
    let body = text[sign_len..].trim_start();
    let word: String = body.chars().take_while(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    if ["nan", "inf", "infinity"].contains(&word.as_str()) || body.starts_with('∞') {
        return Err(QuantityError::NotFinite { text: whole.into() });
    }
    let end = digits_end(body);
    let not_number = || QuantityError::NotNumber { text: whole.into() };
    let value: f64 = body[..end].parse().map_err(|_| not_number())?;
    let rest = &body[end..];
    let mut following = rest.trim_start().chars();
    let (next, after) = (following.next(), following.next());
    let digit_follows = after.is_some_and(|c| c.is_ascii_digit());
    if next.is_some_and(|c| c.is_ascii_digit()) || (next.is_some_and(|c| ",'_’.".contains(c)) && digit_follows) {
        return Err(QuantityError::Separator { text: whole.into() });
    }
    if !value.is_finite() {
        return Err(QuantityError::NotFinite { text: whole.into() });
    }
    let negative = text.starts_with(['-', '−']);
    Ok((if negative { -value } else { value }, rest))
}

/// Where the digits, the point and the exponent of a number end.
fn digits_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let run = |mut at: usize| {
        while bytes.get(at).is_some_and(u8::is_ascii_digit) {
            at += 1;
        }
        at
    };
    let mut end = run(0);
    if bytes.get(end) == Some(&b'.') {
        end = run(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let last = run(end + 1 + sign);
        if last > end + 1 + sign {
            end = last;
        }
    }
    end
}

/// A number and nothing else.
fn bare(text: &str) -> Result<f64, QuantityError> {
    let whole = text.trim();
    if whole.is_empty() {
        return Err(QuantityError::Empty);
    }
    match number(whole, whole)? {
        (value, rest) if rest.trim().is_empty() => Ok(value),
        (_, rest) => Err(QuantityError::Rest { rest: rest.trim().into() }),
    }
}

fn find_unit<D: Dimension>(unit: &str, whole: &str) -> Result<&'static Unit, QuantityError> {
    // "10.5.3 L" leaves ".3 L" here, which is no unit but a broken number
    if unit.starts_with(|c: char| c.is_ascii_digit() || ".,'_".contains(c)) {
        return Err(QuantityError::Separator { text: whole.into() });
    }
    D::UNITS
        .iter()
        .find(|known| known.names.contains(&unit))
        .ok_or_else(|| QuantityError::Unit { unit: unit.into(), kind: D::NAME })
}

/// The unit of a quantity as it is written, so that a better value can be written in it.
pub(crate) fn unit_as_written(text: &str) -> Option<&str> {
    let (body, _) = split_shape(text.trim()).ok()?;
    let (_, rest) = number(body, text).ok()?;
    let rest = match after_sign(rest) {
        Some(rest) => number(rest, text).ok()?.1,
        None => rest,
    };
    let unit = rest[..rest.find(['±', '+']).unwrap_or(rest.len())].trim();
    (!unit.is_empty()).then_some(unit)
}

/// `mm:ss` or `h:mm:ss`, s.
fn clock(text: &str) -> Result<f64, QuantityError> {
    let not_clock = || QuantityError::Clock { text: text.trim().into() };
    let parts: Vec<&str> = text.trim().split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return Err(not_clock());
    }
    let mut total = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let digits = !part.is_empty() && part.len() <= 5 && part.bytes().all(|b| b.is_ascii_digit());
        let value: f64 = if digits { part.parse().map_err(|_| not_clock())? } else { return Err(not_clock()) };
        if i > 0 && (part.len() != 2 || value >= 60.0) {
            return Err(not_clock());
        }
        total = total * 60.0 + value;
    }
    Ok(total)
}
