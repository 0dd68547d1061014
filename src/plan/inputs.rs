//! The one way by which a figure gets from the plan into a dive.
//!
//! Building asks for every figure through [`Inputs`]. Reading a plan, it collects what is wrong and lists what was
//! asked for. Building from drawn numbers, it hands out the drawn number in place of each uncertain figure instead: the
//! same code asks in the same order, so the n-th uncertain figure of the list is the n-th number of a draw.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::estimate::{Estimate, Input, KeyPath, Origin};
use crate::plan::key::Key;
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::typical::{GUESS, Typical};
use crate::plan::unit::{Dimension, unit_list};
use crate::plan::written::{QuantityError, Written};
use crate::units::Quantity;

/// Which values a figure may have, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Limit {
    /// Any finite one.
    Any,
    /// Zero or more.
    NotNegative,
    /// Above zero.
    Positive,
    /// From, to.
    Within(f64, f64),
}

impl Limit {
    fn holds(self, value: f64, of: Quantity) -> bool {
        match self {
            Limit::Any => value.abs() <= of.most(),
            Limit::NotNegative => (0.0..=of.most()).contains(&value),
            Limit::Positive => value > 0.0 && value <= of.most(),
            Limit::Within(low, high) => (low..=high).contains(&value),
        }
    }

    fn words(self, of: Quantity, value: f64) -> String {
        let number = |si: f64| shown(of.trade().number(si));
        let unit = of.trade().symbol;
        match self {
            Limit::Within(low, high) => format!("between {} and {} {unit}", number(low), number(high)),
            Limit::NotNegative if value < 0.0 => "zero or more".into(),
            Limit::Positive if value <= 0.0 => "more than zero".into(),
            _ if value < 0.0 => format!("at least {} {unit}", number(-of.most())),
            _ => format!("at most {} {unit}", number(of.most())),
        }
    }
}

/// A number for a message: rounded where rounding does no harm.
pub(crate) fn shown(value: f64) -> String {
    let rounded = (value * 1e4).round() / 1e4;
    format!("{}", if rounded == 0.0 && value != 0.0 { value } else { rounded + 0.0 })
}

/// Figures that several pieces share: asked for once, then the same number for all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Shared {
    /// A typical figure, by name.
    Typical(&'static str),
    /// A figure of a row of the gear list.
    Listed(usize, &'static str),
    /// A rate of a kind of leg.
    Rate(&'static str),
    /// Oxygen used on a kind of leg.
    OxygenUse(&'static str),
    /// A distance of a usual place: its word, and along or up.
    Place(&'static str, &'static str),
}

/// A group of inputs whose errors move together; made into text only when listed.
pub(crate) type Group<'a> = Option<(&'static str, &'a str)>;

/// A group in words.
fn group_name((kind, name): (&'static str, &str)) -> String {
    if name.is_empty() { kind.into() } else { format!("{kind} {name}") }
}

/// What was asked for, and what is wrong.
#[derive(Debug)]
pub(crate) struct Inputs<'d> {
    /// The numbers of a draw, if this is one.
    draw: Option<&'d [f64]>,
    /// How many uncertain figures were asked for.
    asked: usize,
    failed: Option<ProblemCode>,
    shared: HashMap<Shared, f64>,
    /// where the typical figures stand in the list, by name
    listed: HashMap<&'static str, usize>,
    about: String,
    ignored: Vec<KeyPath>,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// What was asked for.
    pub list: Vec<Input>,
    /// Other places that use a typical figure of the list: its index, and the path.
    pub also: Vec<(usize, KeyPath)>,
}

impl<'d> Inputs<'d> {
    /// For reading a plan. Problems of `ignored` paths were told before.
    pub fn collecting(ignored: Vec<KeyPath>) -> Self {
        Self::with(None, ignored)
    }

    /// For building from drawn numbers.
    pub fn drawn(values: &'d [f64]) -> Self {
        Self::with(Some(values), Vec::new())
    }

    fn with(draw: Option<&'d [f64]>, ignored: Vec<KeyPath>) -> Self {
        Self {
            draw,
            asked: 0,
            failed: None,
            shared: HashMap::new(),
            listed: HashMap::new(),
            about: String::new(),
            ignored,
            problems: Vec::new(),
            list: Vec::new(),
            also: Vec::new(),
        }
    }

    /// Whether this builds from drawn numbers.
    pub fn is_draw(&self) -> bool {
        self.draw.is_some()
    }

    /// How many uncertain figures were asked for.
    pub fn asked(&self) -> usize {
        self.asked
    }

    /// The first problem's code, if anything is wrong.
    pub fn failure(&self) -> Option<ProblemCode> {
        self.failed
    }

    /// Names the piece to which the next figures belong.
    pub fn about(&mut self, name: &str) {
        if !self.is_draw() {
            self.about.clear();
            self.about.push_str(name);
        }
    }

    /// A figure that must be there. `NaN` when it is not, or is wrong.
    pub fn need<D: Dimension>(
        &mut self,
        table: Key,
        key: &'static str,
        given: &Option<Written<D>>,
        limit: Limit,
    ) -> f64 {
        match given {
            Some(quantity) => self.take(table.field(key), quantity, limit, None),
            None => {
                self.missing(table.field(key), || format!("{} = \"{}\"", key, D::OF.example()));
                f64::NAN
            }
        }
    }

    /// A figure with a typical one in its place when it is not written.
    pub fn or_typical<D: Dimension>(
        &mut self,
        table: Key,
        key: &'static str,
        given: &Option<Written<D>>,
        typical: &'static Typical,
        limit: Limit,
    ) -> f64 {
        match given {
            Some(quantity) => self.take(table.field(key), quantity, limit, None),
            None => self.typical(table.field(key), typical),
        }
    }

    /// A written figure. `NaN` when it is wrong.
    pub fn take<D: Dimension>(&mut self, at: Key, quantity: &Written<D>, limit: Limit, group: Group) -> f64 {
        let estimate = match quantity.estimate() {
            Ok(estimate) => estimate,
            Err(error) => {
                self.bad_quantity::<D>(at, error);
                return f64::NAN;
            }
        };
        let origin = match at {
            _ if quantity.is_guess() => Origin::Typical,
            Key::Cell(cell) => cell.origin,
            _ if estimate.doubt.is_some() => Origin::Estimated,
            _ => Origin::Written,
        };
        let value = self.pass(estimate, |inputs| Input {
            path: at.path(),
            label: inputs.label(&at),
            quantity: D::OF,
            estimate,
            origin,
            group: group.map(group_name),
            note: match at {
                _ if quantity.is_guess() => Some(GUESS.into()),
                Key::Cell(cell) => cell.note.map(str::to_owned),
                _ => None,
            },
        });
        self.check(at, quantity, value, limit);
        value
    }

    /// A written figure that is taken as it is planned: depths, times.
    pub fn exact<D: Dimension>(&mut self, at: Key, quantity: &Written<D>, limit: Limit) -> f64 {
        let estimate = match quantity.estimate() {
            Ok(estimate) => estimate,
            Err(error) => {
                self.bad_quantity::<D>(at, error);
                return f64::NAN;
            }
        };
        if estimate.doubt.is_some() || quantity.is_guess() {
            self.fault(ProblemCode::Doubt, at, || {
                let help = "doubts belong to the figures of diver, gear, water and breathing".into();
                let what = if estimate.doubt.is_some() { "no ±" } else { "no (guess)" };
                (format!("{}: taken as planned, so it carries {what}", at.last_word()), Some(help))
            });
        }
        self.check(at, quantity, estimate.value, limit);
        estimate.value
    }

    /// The value within its limit, and its doubt no larger than such a value can be.
    fn check<D: Dimension>(&mut self, at: Key, quantity: &Written<D>, value: f64, limit: Limit) {
        if !limit.holds(value, D::OF) {
            self.fault(ProblemCode::OutOfRange, at, || {
                let words = limit.words(D::OF, value);
                (format!("{} is {}, but must be {words}", at.last_word(), quantity.text()), None)
            });
            return;
        }
        let doubt = quantity.estimate().ok().and_then(|estimate| estimate.doubt);
        if doubt.is_some_and(|doubt| doubt.half_width > D::OF.most()) {
            self.fault(ProblemCode::OutOfRange, at, || {
                let most = shown(D::OF.most() / D::OF.trade().factor);
                let unit = D::OF.trade().symbol;
                (format!("the doubt of {} is more than {most} {unit}", at.last_word()), None)
            });
        }
    }

    /// A figure that is taken as it is planned, with a typical one in its place when it is not written.
    pub fn or_planned<D: Dimension>(
        &mut self,
        table: Key,
        key: &'static str,
        given: &Option<Written<D>>,
        typical: &'static Typical,
        limit: Limit,
    ) -> f64 {
        match given {
            Some(quantity) => self.exact(table.field(key), quantity, limit),
            None => self.typical(table.field(key), typical),
        }
    }

    /// A typical figure, the same for all who ask for it.
    pub fn typical(&mut self, at: Key, typical: &'static Typical) -> f64 {
        self.typical_in(at, typical, None)
    }

    /// The same in a group of figures that err together.
    pub fn typical_in(&mut self, at: Key, typical: &'static Typical, group: Group) -> f64 {
        let once = Shared::Typical(typical.name);
        if !self.is_draw() {
            match self.listed.entry(typical.name) {
                Entry::Occupied(known) => self.also.push((*known.get(), at.path())),
                Entry::Vacant(free) => _ = free.insert(self.list.len()),
            }
        }
        self.once(once, |inputs| {
            inputs.pass(typical.estimate, |_| Input {
                path: at.path(),
                label: typical.name.into(),
                quantity: typical.quantity,
                estimate: typical.estimate,
                origin: Origin::Typical,
                group: group.map(group_name),
                note: Some(typical.source.into()),
            })
        })
    }

    /// A typical figure of one piece, such as a size's mass.
    pub fn typical_of(&mut self, at: Key, quantity: Quantity, estimate: Estimate, source: &str) -> f64 {
        self.pass(estimate, |inputs| Input {
            path: at.path(),
            label: inputs.label(&at),
            quantity,
            estimate,
            origin: Origin::Typical,
            group: None,
            note: Some(source.into()),
        })
    }

    /// A figure that is asked for once and then shared.
    pub fn once(&mut self, which: Shared, ask: impl FnOnce(&mut Self) -> f64) -> f64 {
        if let Some(value) = self.shared.get(&which) {
            return *value;
        }
        let value = ask(self);
        self.shared.insert(which, value);
        value
    }

    /// Lists the figure, or hands out the drawn number.
    fn pass(&mut self, estimate: Estimate, list: impl FnOnce(&Self) -> Input) -> f64 {
        let uncertain = estimate.doubt.is_some();
        let index = self.asked;
        self.asked += usize::from(uncertain);
        match self.draw {
            Some(values) if uncertain => values.get(index).copied().unwrap_or(f64::NAN),
            Some(_) => estimate.value,
            None => {
                let input = list(self);
                self.list.push(input);
                estimate.value
            }
        }
    }

    fn label(&self, at: &Key) -> String {
        let word = at.last_word();
        if self.about.is_empty() { word } else { format!("{}, {word}", self.about) }
    }

    fn bad_quantity<D: Dimension>(&mut self, at: Key, error: &QuantityError) {
        let code = match error {
            QuantityError::NoUnit { .. } => ProblemCode::NoUnit,
            QuantityError::Unit { .. } => ProblemCode::UnknownUnit,
            QuantityError::NotFinite { .. } => ProblemCode::NotFinite,
            QuantityError::Doubt | QuantityError::Shape { .. } => ProblemCode::Doubt,
            _ => ProblemCode::NotQuantity,
        };
        self.fault(code, at, || {
            let help = match error {
                QuantityError::Shape { .. } => {
                    "write (95%) for a normal distribution, (triangular), or nothing for a rectangular one; (guess) or \
                     (95%, guess) for what nobody measured"
                        .into()
                }
                QuantityError::Doubt => format!("write \"{} ± ...\" with the half-width above zero", D::OF.example()),
                _ => format!("write a {} in {}, such as \"{}\"", D::OF.name(), unit_list(D::OF), D::OF.example()),
            };
            (format!("{}: {error}", at.last_word()), Some(help))
        });
    }

    /// A key that must be there and is not; `example` is how to write it.
    pub fn missing(&mut self, at: Key, example: impl FnOnce() -> String) {
        self.fault(ProblemCode::MissingKey, at, || {
            let path = at.path();
            (format!("{path} is missing"), Some(format!("write {}", example())))
        });
    }

    /// Something wrong: message and help are made only when somebody reads them.
    pub fn fault(&mut self, code: ProblemCode, at: Key, words: impl FnOnce() -> (String, Option<String>)) {
        self.failed.get_or_insert(code);
        if self.is_draw() {
            return;
        }
        let path = at.path();
        if self.is_ignored(&path, code) {
            return;
        }
        let (message, help) = words();
        let (source, span) = match at {
            Key::Cell(cell) => (cell.source, cell.span.0..cell.span.1),
            _ => (0, 0..0), // found later from the path
        };
        self.problems.push(Problem { code, path, source, span, message, help });
    }

    /// Whether a table, or something in it, was told before.
    pub fn touched(&self, table: Key) -> bool {
        !self.ignored.is_empty() && {
            let table = table.path();
            self.ignored.iter().any(|told| told.is_within(&table))
        }
    }

    /// Whether a problem follows from one that was told before: a value that could not be read is not missing.
    fn is_ignored(&self, path: &KeyPath, code: ProblemCode) -> bool {
        self.ignored.iter().any(|told| {
            let whole_table = code == ProblemCode::WhichKeys && told.parent() == *path;
            path.is_within(told) || whole_table
        })
    }
}
