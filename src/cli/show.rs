//! Problems as a person reads them: the place in the text, what was expected, what would be valid.
//!
//! The only file that knows `miette`.

use std::io::IsTerminal as _;
use std::sync::Arc;

use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode};

use crate::cli::CliError;
use crate::plan::problem::MOST_SHOWN;
use crate::plan::{Problem, Problems};

/// Prints an error to standard error.
pub fn error(error: &CliError) {
    match error {
        CliError::Problems(problems) => self::problems(problems),
        other => eprintln!("error: {other}"),
    }
}

/// Prints problems to standard error.
pub fn problems(problems: &Problems) {
    eprint!("{}", problems_text(problems, theme()));
}

/// Prints why a student's dive has no answer though its plan is right.
pub fn student_error(name: &str, error: &crate::answer::AnswerError) {
    eprintln!("error: {name}: {error}");
}

/// Prints an error of one of several plans.
pub fn of(label: &str, error: &CliError) {
    match error {
        // each of them names the file
        CliError::Problems(_) => self::error(error),
        other => eprintln!("error: {label}: {other}"),
    }
}

/// Colour and line drawing as the terminal allows.
fn theme() -> GraphicalTheme {
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    if std::io::stderr().is_terminal() && !plain {
        GraphicalTheme::unicode()
    } else {
        GraphicalTheme::unicode_nocolor()
    }
}

/// The problems, one after the other, with a count at the end when there are several.
fn problems_text(problems: &Problems, theme: GraphicalTheme) -> String {
    let handler =
        GraphicalReportHandler::new_themed(theme).with_width(crate::report::text::width()).with_context_lines(1);
    let mut out = String::new();
    for problem in problems.list.iter().take(MOST_SHOWN) {
        let shown = Shown::new(problems, problem);
        // formatting into a string cannot fail; should it ever, the plain message is still told
        if handler.render_report(&mut out, &shown).is_err() {
            out.push_str(&problem.message);
        }
        out.push('\n');
    }
    if problems.list.len() > 1 {
        let shown =
            if problems.list.len() > MOST_SHOWN { format!(", the first {MOST_SHOWN} shown") } else { String::new() };
        out.push_str(&format!("{} problems{shown}\n", problems.list.len()));
    }
    out
}

/// A problem in the form that the printer takes.
#[derive(Debug)]
struct Shown {
    message: String,
    code: &'static str,
    help: Option<String>,
    source: NamedSource<Arc<str>>,
    label: Option<LabeledSpan>,
}

impl Shown {
    fn new(problems: &Problems, problem: &Problem) -> Self {
        let source = &problems.sources[problem.source];
        Self {
            message: problems.message(problem),
            code: problem.code.as_str(),
            help: problem.help.clone(),
            label: (!problem.is_of_whole_file()).then(|| LabeledSpan::underline(problem.span.clone())),
            source: NamedSource::new(&source.name, source.text.clone()),
        }
    }
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Shown {}

impl Diagnostic for Shown {
    fn code<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        Some(Box::new(self.code))
    }

    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn std::fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.label.as_ref().map(|_| &self.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        self.label.clone().map(|label| Box::new(std::iter::once(label)) as Box<dyn Iterator<Item = LabeledSpan>>)
    }
}
