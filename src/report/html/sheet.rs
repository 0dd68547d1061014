//! A handout from the facts that were asked for it.

use crate::answer::HandoutFacts;
use crate::report::chart::ChartError;
use crate::report::html::{Beside, Handout, Paper, page};
use crate::report::measure::UnitSystem;
use crate::report::{Report, Rows, Source};

/// What of a plan its dive does not tell.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// Where it comes from.
    pub source: &'a Source,
    /// What the reader must know about how the plan was read.
    pub notes: &'a [String],
    /// Sizes of its cylinders as the plan names them, in the diver's order.
    pub sizes: &'a [Option<String>],
}

/// What a handout is made from, before anything is put together.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// What was asked.
    pub facts: &'a HandoutFacts,
    /// The plan.
    pub plan: Side<'a>,
    /// The plan beside it, where the facts have one.
    pub beside: Option<Side<'a>>,
    /// Of the plan's notes those that the diver should mind.
    pub mind: &'a [String],
    /// Units for the reader.
    pub units: UnitSystem,
    /// Date as the user gave it.
    pub date: Option<&'a str>,
    /// Paper for the print.
    pub paper: Paper,
}

impl Sheet<'_> {
    /// The page.
    ///
    /// # Errors
    /// A fault of the drawing library.
    pub fn page(&self) -> Result<String, ChartError> {
        self.with(page)
    }

    /// Puts the handout together, and makes something of it.
    ///
    /// # Errors
    /// What `make` has.
    pub fn with<R>(&self, make: impl FnOnce(&Handout<'_>) -> Result<R, ChartError>) -> Result<R, ChartError> {
        let Sheet { facts, units, .. } = *self;
        let sides = || std::iter::once((self.plan, &facts.built)).chain(self.beside.zip(facts.beside.as_ref()));
        let rows: Vec<Rows> = sides()
            .zip(&facts.comparison.dives)
            .map(|((_, built), dive)| Rows::for_looking(&built.scenario, &dive.trace, &dive.findings))
            .collect();
        let reports: Vec<Report<'_>> = sides()
            .enumerate()
            .map(|(i, (side, built))| Report {
                source: side.source,
                scenario: &built.scenario,
                trace: &facts.comparison.dives[i].trace,
                rows: &rows[i],
                findings: &facts.comparison.dives[i].findings,
                inputs: &built.inputs,
                checked: facts.checked.as_ref().filter(|_| i == 0),
                notes: side.notes,
                units,
            })
            .collect();
        let beside = reports.get(1).zip(self.beside);
        make(&Handout {
            report: &reports[0],
            sizes: self.plan.sizes,
            mind: self.mind,
            carry: &facts.carry,
            removable: &facts.removable,
            check: &facts.check,
            trim: &facts.trim,
            beside: beside.map(|(report, side)| Beside { report, sizes: side.sizes, comparison: &facts.comparison }),
            date: self.date,
            paper: self.paper,
        })
    }
}
