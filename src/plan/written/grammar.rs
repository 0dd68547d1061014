//! The grammar of a quantity: `number [± number] unit [± number [unit | %]] [(shape)] `, where between the parentheses may
//! stand `guess` as well or alone: `(guess)`, `(95%, guess)`.
//!
//! Each rule stands here as parser and, made from the same words, as the pattern of the plan's schema. A test holds them
//! against each other.

use winnow::ascii::{digit0, digit1};
use winnow::combinator::{alt, delimited, opt, preceded, terminated};
use winnow::error::{ErrMode, ParserError};
use winnow::prelude::*;
use winnow::token::{one_of, take_till, take_while};

use crate::estimate::Shape;
use crate::plan::unit::has_either_case;
use crate::units::Quantity;

/// Signs of a number; the last is a typographic minus.
const SIGNS: [char; 3] = ['+', '-', '−'];
/// Signs before a doubt.
const DOUBT_SIGNS: [&str; 2] = ["±", "+/-"];
/// Names of distributions. A normal one is written by its coverage, `95%`.
const SHAPES: [(&str, Shape); 2] = [("triangular", Shape::Triangular), ("rectangular", Shape::Rectangular)];
/// The word for a figure that nobody measured.
const GUESS: &str = "guess";
/// What people put between digits, and what is no number here.
const SEPARATORS: &str = ",'_’.";
/// What is written for a number that is none.
const NOT_FINITE: [&str; 3] = ["nan", "inf", "infinity"];

/// The parts of a text.
#[derive(Debug, PartialEq)]
pub(crate) struct Parts<'t> {
    /// The number.
    pub value: f64,
    /// A doubt before the unit.
    pub early: Option<f64>,
    /// The unit; may be empty.
    pub unit: &'t str,
    /// A doubt behind the unit, with its own unit or none.
    pub late: Option<(f64, &'t str)>,
    /// What stands between parentheses.
    pub shape: Option<&'t str>,
    /// What is left over.
    pub rest: &'t str,
}

/// Why there is no number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum NoNumber {
    /// Something else stands there.
    Other,
    /// A decimal comma, or a separator of thousands.
    Separator,
    /// NaN, an infinity, or too large.
    NotFinite,
}

impl ParserError<&str> for NoNumber {
    type Inner = Self;
    fn from_input(_: &&str) -> Self {
        NoNumber::Other
    }
    fn into_inner(self) -> Result<Self, Self> {
        Ok(self)
    }
}

type Read<T> = Result<T, ErrMode<NoNumber>>;

/// Takes a text apart.
pub(crate) fn parts(text: &str) -> Result<Parts<'_>, NoNumber> {
    let mut rest = text;
    let mut read = || -> Read<Parts<'_>> {
        let value = number(&mut rest)?;
        let early = opt(preceded(doubt_sign, number)).parse_next(&mut rest)?;
        let unit = unit(&mut rest)?;
        let late = opt((preceded(doubt_sign, number), self::unit)).parse_next(&mut rest)?;
        let shape = opt(shape).parse_next(&mut rest)?;
        Ok(Parts { value, early, unit, late, shape, rest: rest.trim() })
    };
    read().map_err(|error| error.into_inner().unwrap_or(NoNumber::Other))
}

/// A number and what follows it.
pub(crate) fn number_and_rest(text: &str) -> Result<(f64, &str), NoNumber> {
    let mut rest = text;
    let value = number(&mut rest).map_err(|error| error.into_inner().unwrap_or(NoNumber::Other))?;
    Ok((value, rest.trim()))
}

fn blank(input: &mut &str) -> Read<()> {
    take_while(0.., char::is_whitespace).void().parse_next(input)
}

/// A number with its sign. Whoever asks for one needs one: that there is none is never passed over.
fn number(input: &mut &str) -> Read<f64> {
    let sign = preceded(blank, opt(terminated(one_of(SIGNS), blank))).parse_next(input)?;
    let word: String = input.chars().take_while(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    if NOT_FINITE.contains(&word.as_str()) || input.starts_with('∞') {
        return Err(ErrMode::Cut(NoNumber::NotFinite));
    }
    let digits: &str = digits(input).map_err(|_: ErrMode<NoNumber>| ErrMode::Cut(NoNumber::Other))?;
    let value: f64 = digits.parse().map_err(|_| ErrMode::Cut(NoNumber::Other))?;
    let mut following = input.trim_start().chars();
    let (next, after) = (following.next(), following.next());
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    if is_digit(next) || (next.is_some_and(|c| SEPARATORS.contains(c)) && is_digit(after)) {
        return Err(ErrMode::Cut(NoNumber::Separator));
    }
    if !value.is_finite() {
        return Err(ErrMode::Cut(NoNumber::NotFinite));
    }
    Ok(if matches!(sign, Some('-' | '−')) { -value } else { value })
}

/// Digits, the point, the exponent.
fn digits<'t>(input: &mut &'t str) -> Read<&'t str> {
    let whole = (digit1, opt(('.', digit0))).void();
    let fraction = ('.', digit1).void();
    let exponent = (one_of(['e', 'E']), opt(one_of(['+', '-'])), digit1).void();
    (alt((whole, fraction)), opt(exponent)).take().parse_next(input)
}

/// The same as a pattern.
const DIGITS: &str = r"(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?";

fn doubt_sign<'t>(input: &mut &'t str) -> Read<&'t str> {
    preceded(blank, alt(DOUBT_SIGNS)).parse_next(input)
}

/// Everything up to a doubt or a shape; whether it is a unit is seen later, so that a wrong one can be named.
fn unit<'t>(input: &mut &'t str) -> Read<&'t str> {
    take_till(0.., ['±', '+', '(']).map(str::trim).parse_next(input)
}

/// `(95%)`, `( triangular )`.
fn shape<'t>(input: &mut &'t str) -> Read<&'t str> {
    delimited('(', take_till(0.., ')'), ')').map(str::trim).parse_next(input)
}

/// The distribution that a word names.
pub(crate) fn shape_named(word: &str) -> Option<Shape> {
    let named = SHAPES.iter().find(|(name, _)| *name == word).map(|(_, shape)| *shape);
    named.or_else(|| {
        let percent: f64 = word.strip_suffix('%')?.trim().parse().ok()?;
        (percent > 0.0 && percent < 100.0).then_some(Shape::Normal { coverage_frac: percent / 100.0 })
    })
}

/// What stands between parentheses, apart: the words about the distribution, and whether the figure is a guess.
pub(crate) fn remark(inside: &str) -> (Option<&str>, bool) {
    let words: Vec<&str> = inside.split(',').map(str::trim).collect();
    match words.as_slice() {
        [word] | [word, GUESS] | [GUESS, word] if *word != GUESS => (Some(word), words.len() > 1),
        [GUESS] => (None, true),
        // told as it stands
        _ => (Some(inside), false),
    }
}

/// What can be read as a quantity of one sort, as a regular expression. It cannot tell that a doubt is zero, or a number
/// too large.
pub(crate) fn pattern(of: Quantity) -> String {
    let names: Vec<&str> = of.units().iter().flat_map(|unit| unit.names).copied().collect();
    let unit = any(&names);
    // a share is in per cent already
    let late_unit = if of == Quantity::Fraction { unit.clone() } else { any(&[&names[..], &["%"]].concat()) };
    pattern_with(&unit, &late_unit)
}

/// The same of a number that needs no unit.
pub(crate) fn plain_pattern() -> String {
    pattern_with("", "")
}

/// One of several words.
fn any(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| either_case(word)).collect();
    format!("(?:{})", words.join("|"))
}

fn pattern_with(unit: &str, late_unit: &str) -> String {
    // a minus at the end of the set is itself
    let mut signs = SIGNS;
    signs.sort_by_key(|sign| *sign == '-');
    let sign: String = signs.iter().collect();
    // a doubt is above zero
    let doubt = format!(r"\s*{}\s*\+?\s*{DIGITS}", any(&DOUBT_SIGNS));
    let names: Vec<&str> = SHAPES.iter().map(|(name, _)| *name).collect();
    let coverage = r"(?:\d{1,2}(?:\.\d*)?|\.\d+)\s*%";
    let shape = format!(r"(?:{}|{coverage})", names.join("|"));
    let remark = format!(r"(?:{shape}|{GUESS}|{shape}\s*,\s*{GUESS}|{GUESS}\s*,\s*{shape})");
    let remark = format!(r"(?:\s*\(\s*{remark}\s*\))?");
    let bare = format!(r"(?:\s*\(\s*{GUESS}\s*\))?");
    format!(
        r"^\s*(?:[{sign}]\s*)?{DIGITS}\s*(?:{doubt}\s*{unit}{remark}|{unit}(?:{doubt}\s*{late_unit}?{remark}|{bare}))\s*$"
    )
}

/// A word of a pattern; a unit's in capital and in small letters.
fn either_case(word: &str) -> String {
    let letter = |c: char| match c {
        '+' => r"\+".to_owned(),
        c if c.is_ascii_alphabetic() && has_either_case(word) => {
            format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
        }
        c => c.to_string(),
    };
    word.chars().map(letter).collect()
}

/// `mm:ss` or `h:mm:ss`, s.
pub(crate) fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.trim().split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    parts.iter().enumerate().try_fold(0.0, |total, (i, part)| {
        let is_digits = !part.is_empty() && part.len() <= 5 && part.bytes().all(|byte| byte.is_ascii_digit());
        let value: f64 = part.parse().ok().filter(|_| is_digits)?;
        let is_sixtieth = part.len() == 2 && value < 60.0;
        (i == 0 || is_sixtieth).then_some(total * 60.0 + value)
    })
}

/// The same as a pattern.
pub(crate) const CLOCK: &str = r"^\s*\d{1,5}(?::[0-5]\d){1,2}\s*$";
