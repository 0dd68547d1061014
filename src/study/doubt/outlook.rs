//! What many rows say together.

use crate::study::doubt::answer::{Answer, Risk, Row};
use crate::study::doubt::interval::{Chance, Summary};
use crate::study::doubt::lead::LeadChances;
use crate::study::side_by_side::side_by_side;

/// How far rows can be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// How far their numbers may be off, kg, as a root mean square.
    pub off_kg: f64,
    /// The smallest probability that they can tell.
    pub floor_frac: f64,
}

impl Worth {
    /// Rows of dives that were run.
    pub const RUN: Self = Self { off_kg: 0.0, floor_frac: 0.0 };
}

/// The rows of many draws, summed up.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Each answer summed up, in the order of [`Answer::ALL`]; empty without rows.
    pub summaries: Vec<(Answer, Summary)>,
    /// How often each risk is so, in the order of [`Risk::ALL`].
    pub risks: [(Risk, Chance); 4],
    /// How often the plan's own lead meets both ends.
    pub own_lead: Chance,
    /// How often any lead meets both ends.
    pub lead: LeadChances,
}

impl Outlook {
    /// Sums up rows of dives that were run.
    pub fn of(rows: &[Row], coverage_frac: f64) -> Self {
        Self::worth(rows, coverage_frac, Worth::RUN)
    }

    /// Sums up rows that are worth so much: what they may be off widens the doubt of every probability.
    pub fn worth(rows: &[Row], coverage_frac: f64, worth: Worth) -> Self {
        let summary = |answer: Answer| {
            let values: Vec<f64> = rows.iter().map(|row| answer.of(row)).collect();
            Summary::of(&values, coverage_frac).map(|summary| (answer, summary))
        };
        let count = |is_so: &dyn Fn(&Row, f64) -> bool| {
            let hits = [-worth.off_kg, 0.0, worth.off_kg].map(|kg| rows.iter().filter(|row| is_so(row, kg)).count());
            Chance::between(hits, rows.len(), worth.floor_frac)
        };
        let risk = |risk: Risk| (risk, count(&|row, worse_kg| row.has_within(risk, -worse_kg)));
        // sorting is most of it, and each answer sorts alone
        let ((summaries, lead), (risks, own_lead)) = rayon::join(
            || {
                rayon::join(
                    || side_by_side(Answer::ALL.to_vec(), summary).into_iter().flatten().collect(),
                    || LeadChances::worth(rows.iter().map(|row| (row.least_kg, row.most_kg)), worth),
                )
            },
            || (Risk::ALL.map(risk), count(&|row, better_kg| row.own_lead_fits_within(better_kg))),
        );
        Self { summaries, risks, own_lead, lead }
    }

    /// How often a risk is so.
    pub fn chance(&self, risk: Risk) -> &Chance {
        // the variants stand in the order of `Risk::ALL`
        &self.risks[risk as usize].1
    }

    /// The summary of an answer.
    pub fn summary(&self, answer: Answer) -> Option<&Summary> {
        self.summaries.iter().find(|(one, _)| *one == answer).map(|(_, summary)| summary)
    }
}
