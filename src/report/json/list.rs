//! Many dives as a list, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::{ListVerdict, Listed};
use crate::report::json::compare::{Figures, figures};
use crate::report::json::{Head, PlanSource, micro};
use crate::report::{CAUTIONS, Source};

/// Many dives as a list
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct ListResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "compare"))]
    command: &'static str,
    /// In the order given
    list: Vec<ListedPlan>,
    cautions: &'static str,
}

/// A plan of the list
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ListedPlan {
    /// Its short name
    label: String,
    /// Null where the plan has problems
    dive: Option<ListedDive>,
    /// Why there are no figures
    failed: Option<String>,
}

/// What a dive comes to; a figure is null where there is none
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ListedDive {
    plan: PlanSource,
    /// Lead of the plan
    carried_kg: f64,
    verdict: VerdictCode,
    #[serde(flatten)]
    figures: Figures,
}

/// The lead of a plan against its range, each figure as it is written; how sure is not asked
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum VerdictCode {
    InRange,
    TooLittle,
    TooMuch,
    NoLeadIsRight,
    OutOfGas,
}

/// A row of the list.
pub enum Entry<'a> {
    /// A plan with its short name, where it comes from and what it comes to.
    Found(&'a str, &'a Source, &'a Listed),
    /// A plan's short name, and why there is nothing of it.
    Failed(&'a str, String),
}

/// The list.
pub fn result<'a>(entries: impl Iterator<Item = Entry<'a>>) -> Value {
    json!(ListResult { head: Head::new(), command: "compare", list: entries.map(plan).collect(), cautions: CAUTIONS })
}

fn plan(entry: Entry<'_>) -> ListedPlan {
    match entry {
        Entry::Failed(label, why) => ListedPlan { label: label.to_owned(), dive: None, failed: Some(why) },
        Entry::Found(label, source, listed) => {
            let verdict = match listed.verdict {
                ListVerdict::InRange => VerdictCode::InRange,
                ListVerdict::TooLittle => VerdictCode::TooLittle,
                ListVerdict::TooMuch => VerdictCode::TooMuch,
                ListVerdict::NoLeadIsRight => VerdictCode::NoLeadIsRight,
                ListVerdict::OutOfGas => VerdictCode::OutOfGas,
            };
            let figures = figures(|key| listed.figure(key));
            let dive =
                ListedDive { plan: PlanSource::of(source), carried_kg: micro(listed.carried_kg), verdict, figures };
            ListedPlan { label: label.to_owned(), dive: Some(dive), failed: None }
        }
    }
}
