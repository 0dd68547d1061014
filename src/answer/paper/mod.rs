//! The sum on paper beside the program's, line by line, with the reason for every difference.
//!
//! Paper has two columns: the **start**, cylinders full, which says how much lead can be swum up, and the **end**, cylinders
//! empty, which says how much it takes to stay down. Beside each stands the moment that decides here
//! ([`crate::study::Binding`]). Both are written without the lead; the lead is what makes them come out.
//!
//! What paper does is common practice of the trade, without a source; it is no standard, and people differ:
//!
//! | thing | on paper |
//! | --- | --- |
//! | read in water | the reading as it is, whatever the water was |
//! | known by mass and volume | its volume as fresh water of 1 kg/L, less its mass |
//! | cylinder | every one that is on the diver: full at the start, empty (0 bar) at the end |
//! | gas | litres × bar × its weight at the surface ([`ByRule`]); air 1.2 g/L |
//! | foam | as at the surface, at every depth |
//! | gas of a dry suit | its volume as fresh water, at every depth; it weighs nothing |
//! | lead | pulls with all its mass |
//! | wing | empty |
//!
//! With `P` and `B` the sums of both without lead, `c` what can be swum up at the start (0 at the end), and
//! `q = 1 − ρ/ρ_lead`, paper says `L_P = P + c` and the program `L = (B + c)/q`, so
//!
//! ```text
//! L − L_P = (B − P) + L·ρ/ρ_lead
//! ```
//!
//! the differences of all lines and lead's pull.

mod gas;
mod line;

use crate::answer::AnswerError;
use crate::plan::{Built, Plan};
use crate::rig::{CylinderSet, LOOP, Role, SUIT};
use crate::scenario::Scenario;
use crate::sim::Owner;
use crate::study::{Binding, Bound, LeadRange, lead_pull_frac};

pub use gas::ByRule;
pub use line::{PaperLine, Reason, Why};

/// Water of a sum on paper, kg/m³: a kilogram a litre.
pub const PAPER_WATER_KG_M3: f64 = 1000.0;

/// The two columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// Cylinders full, against the heaviest moment of a failed wing: the most lead.
    pub start: PaperColumn,
    /// Cylinders empty, against the lightest moment that must hold: the least lead.
    pub end: PaperColumn,
}

/// One column of the sum, beside the moment that decides.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperColumn {
    /// When the program's moment is, s.
    pub time_s: f64,
    /// Depth at which its balance is taken, m.
    pub at_m: f64,
    /// Density of the water there, kg/m³.
    pub water_kg_m3: f64,
    /// Everything but the lead.
    pub lines: Vec<PaperLine>,
    /// What can be swum up, kg; 0 at the end.
    pub capacity_kg: f64,
    /// Lead on paper, kg; below zero where the diver is too heavy without any.
    pub paper_lead_kg: f64,
    /// Lead here, kg; below zero as on paper.
    pub tool_lead_kg: f64,
    /// What of this lead the water carries, kg: `L·ρ/ρ_lead`.
    pub lead_pull_kg: f64,
}

impl PaperColumn {
    /// Sum of the lines on paper, kg.
    pub fn paper_kg(&self) -> f64 {
        self.lines.iter().map(|line| line.paper_kg).sum()
    }

    /// Sum of the lines here, kg.
    pub fn tool_kg(&self) -> f64 {
        self.lines.iter().map(|line| line.tool_kg).sum()
    }

    /// What one reason comes to in all lines and in the lead, kg.
    pub fn reason_kg(&self, why: Why) -> f64 {
        let of_lines = self.lines.iter().flat_map(|line| &line.reasons).filter(|reason| reason.why == why);
        let of_lead_kg = if why == Why::LeadPull { self.lead_pull_kg } else { 0.0 };
        of_lines.map(|reason| reason.lift_kg).sum::<f64>() + of_lead_kg
    }
}

impl Paper {
    /// The sums of a built plan beside its lead range.
    ///
    /// # Errors
    /// A gas without a state at room temperature.
    pub fn of(plan: &Plan, built: &Built, range: &LeadRange) -> Result<Self, AnswerError> {
        let scenario = &built.scenario;
        let start = Side { plan, scenario: &scenario.with_lead(range.most.lead_kg, 0.0), end: End::Start };
        let end = Side { plan, scenario: &scenario.with_lead(range.least.lead_kg, 0.0), end: End::End };
        Ok(Self { start: start.column(&range.most, range.capacity_kg)?, end: end.column(&range.least, 0.0)? })
    }
}

/// Which column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Start,
    End,
}

/// What a column is made of.
#[derive(Clone, Copy)]
struct Side<'a> {
    plan: &'a Plan,
    /// with the lead of this side, which the moment's list counts by
    scenario: &'a Scenario,
    end: End,
}

impl Side<'_> {
    fn column(&self, bound: &Bound, capacity_kg: f64) -> Result<PaperColumn, AnswerError> {
        let binding = &bound.binding;
        let lines = self.lines(binding)?;
        let paper_kg: f64 = lines.iter().map(|line| line.paper_kg).sum();
        Ok(PaperColumn {
            time_s: binding.time_s,
            at_m: binding.at_m,
            water_kg_m3: binding.water_kg_m3,
            capacity_kg,
            paper_lead_kg: paper_kg + capacity_kg,
            tool_lead_kg: bound.lead_kg,
            lead_pull_kg: bound.lead_kg * (1.0 - lead_pull_frac(binding.water_kg_m3)),
            lines,
        })
    }

    fn lines(&self, binding: &Binding) -> Result<Vec<PaperLine>, AnswerError> {
        let rig = self.scenario.rig();
        let worn = rig.parts.iter().enumerate().filter(|(_, part)| part.role != Role::Ballast);
        let mut lines: Vec<PaperLine> = worn.map(|(i, part)| self.part(Owner::Part(i), part, binding)).collect();
        for i in self.on_paper(binding).or(binding.carried).iter() {
            let mut own = vec![self.shell(i, binding)?, self.gas(i, binding)?];
            let hung = rig.cylinders[i].rigging().iter().enumerate();
            own.extend(hung.map(|(part, body)| self.part(Owner::Hung { cylinder: i, part }, body, binding)));
            lines.extend(own.into_iter().map(|line| self.there_or_not(line, i, binding)));
        }
        lines.extend(rig.suit.map(|suit| self.bag("suit gas", SUIT, suit.kept_m3(), binding)));
        if let Some(circuit) = rig.breathing_loop {
            lines.push(self.bag("loop gas", LOOP, circuit.volume_m3, binding));
            lines.push(self.taken_up(binding));
        }
        Ok(lines)
    }

    /// The cylinders of the column on paper: at the start those that the diver goes in with, at the end those that the
    /// plan has on the diver at the moment that decides.
    fn on_paper(&self, binding: &Binding) -> CylinderSet {
        match self.end {
            End::Start => self.scenario.rig().carried_at_start(),
            End::End => CylinderSet::of(binding.cylinders.iter().map(|then| then.cylinder)),
        }
    }

    /// A cylinder's line where one of the two does not count the cylinder.
    fn there_or_not(&self, line: PaperLine, cylinder: usize, binding: &Binding) -> PaperLine {
        match (self.on_paper(binding).contains(cylinder), binding.carried.contains(cylinder)) {
            (true, true) => line,
            (true, false) if binding.gone.contains(cylinder) => line.only_on_paper(Why::MayBeGone),
            (true, false) => line.only_on_paper(Why::LeftBehind),
            (false, _) => line.only_here(),
        }
    }
}
