//! The plan of a question: read, built, corrected and run once for as long as the same is asked for.

use std::cell::RefCell;
use std::rc::Rc;

use lightpoint::UnitSystem;
use lightpoint::internals::answer::{AnswerError, Quick};
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::report::Source;

use crate::ask::Question;

/// A change of a plan: a key, and its new value as `--set` takes it.
pub type Set = (String, String);

/// A plan that was read and run.
pub struct Opened {
    /// The plan, with the changes made.
    pub plan: Plan,
    /// Where it comes from, for reports.
    pub source: Source,
    /// One run of it.
    pub quick: Quick,
    /// The plan built as it is written, where checks corrected the one that was run.
    as_written: Option<Built>,
    name: String,
    text: String,
}

impl Opened {
    fn is_of(&self, question: &Question) -> bool {
        self.plan.sets() == question.sets && self.name == question.name && self.text == question.text
    }

    /// The plan built as it is written, before any check corrected it.
    pub fn as_written(&self) -> &Built {
        self.as_written.as_ref().unwrap_or(&self.quick.built)
    }

    /// Units for the reader: those that were asked for, else the plan's own.
    pub fn units(&self, asked: Option<UnitSystem>) -> UnitSystem {
        asked.or(self.plan.units()).unwrap_or_default()
    }

    /// What the reader must know about how the plan was read, with what was changed first.
    pub fn notes(&self, units: UnitSystem) -> Vec<String> {
        let notes = self.quick.built.notes.iter().map(|note| note.brief(units));
        self.plan.changed().into_iter().chain(notes).collect()
    }
}

/// A frame of a drag asks for the plan of the frame before, and then for its own.
const KEPT: usize = 2;

thread_local! {
    static LAST: RefCell<Vec<Rc<Opened>>> = const { RefCell::new(Vec::new()) };
}

/// Reads the plan of a question and runs it, or gives back what was asked for just now.
pub fn open(question: &Question) -> Result<Rc<Opened>, AnswerError> {
    if let Some(known) = LAST.with_borrow(|last| last.iter().find(|one| one.is_of(question)).cloned()) {
        return Ok(known);
    }
    let plan = read(question)?;
    let quick = Quick::of(&plan)?;
    let as_written = quick.checked.is_some().then(|| plan.build()).transpose()?;
    let source = Source {
        title: plan.title().to_owned(),
        plan: question.name.clone(),
        sha256: plan.checksum().to_owned(),
        note: plan.file().note.clone(),
        takes_the_sea: plan.file().site.is_none(),
    };
    let (name, text) = (question.name.clone(), question.text.clone());
    let opened = Rc::new(Opened { plan, source, quick, as_written, name, text });
    LAST.with_borrow_mut(|last| {
        last.insert(0, Rc::clone(&opened));
        last.truncate(KEPT);
    });
    Ok(opened)
}

/// Reads the plan of a question.
pub fn read(question: &Question) -> Result<Plan, AnswerError> {
    Ok(Plan::parse_with(&question.text, &question.name, "", &question.sets)?)
}
