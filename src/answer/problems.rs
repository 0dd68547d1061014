//! What is wrong with a plan, each problem with the line and the columns where it stands.

use crate::plan::Problems;
use crate::plan::problem::MOST_SHOWN;

/// A problem and its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedProblem {
    /// What sort of problem; stable.
    pub code: &'static str,
    /// What is wrong and what was expected.
    pub message: String,
    /// What would be valid, or what to do.
    pub help: Option<String>,
    /// Name of the text in which it stands.
    pub source: String,
    /// Where in that text; `None` where it is the whole of it.
    pub place: Option<Place>,
    /// Key path, or file, line and column.
    pub key: String,
}

/// A place in a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column of its first letter, from 1.
    pub column: usize,
    /// Column after its last letter on that line.
    pub end_column: usize,
}

/// All problems as a person reads them, in the order of their places; of very many the first.
pub fn placed(problems: &Problems) -> Vec<PlacedProblem> {
    let one = |problem: &crate::plan::Problem| {
        let source = &problems.sources[problem.source];
        let place = (!problem.is_of_whole_file()).then(|| {
            let (line, column) = source.line_column(problem.span.start);
            let (end_line, end_column) = source.line_column(problem.span.end);
            let line_end = || source.text.lines().nth(line - 1).map_or(column, |text| text.chars().count() + 1);
            let end_column = if end_line == line { end_column } else { line_end() };
            Place { line, column, end_column: end_column.max(column) }
        });
        PlacedProblem {
            code: problem.code.as_str(),
            message: problems.message(problem),
            help: problem.help.clone(),
            source: source.name.clone(),
            place,
            key: problem.path.to_string(),
        }
    };
    problems.list.iter().take(MOST_SHOWN).map(one).collect()
}
