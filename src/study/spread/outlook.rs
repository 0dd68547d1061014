//! What many rows say together.

use crate::study::spread::answer::{Answer, Risk, Row};
use crate::study::spread::interval::{Chance, Summary};
use crate::study::spread::lead::LeadChances;

/// The rows of many draws, summed up.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Each answer summed up, in the order of [`Answer::ALL`]; empty without rows.
    pub summaries: Vec<(Answer, Summary)>,
    /// How often each risk is so, in the order of [`Risk::ALL`].
    pub risks: Vec<(Risk, Chance)>,
    /// How often the plan's own lead meets both ends.
    pub own_lead: Chance,
    /// How often any lead meets both ends.
    pub lead: LeadChances,
}

impl Outlook {
    /// Sums up rows.
    pub fn of(rows: &[Row], coverage_frac: f64) -> Self {
        let summary = |answer: Answer| {
            let values: Vec<f64> = rows.iter().map(|row| answer.of(row)).collect();
            Summary::of(&values, coverage_frac).map(|summary| (answer, summary))
        };
        let chance = |hits: usize| Chance::new(hits, rows.len());
        let count = |risk: Risk| rows.iter().filter(|row| row.has(risk)).count();
        Self {
            summaries: Answer::ALL.into_iter().filter_map(summary).collect(),
            risks: Risk::ALL.map(|risk| (risk, chance(count(risk)))).to_vec(),
            own_lead: chance(rows.iter().filter(|row| row.own_lead_fits()).count()),
            lead: LeadChances::of(rows.iter().map(|row| (row.least_kg, row.most_kg))),
        }
    }

    /// The summary of an answer.
    pub fn summary(&self, answer: Answer) -> Option<&Summary> {
        self.summaries.iter().find(|(one, _)| *one == answer).map(|(_, summary)| summary)
    }
}
