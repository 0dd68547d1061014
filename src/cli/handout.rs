//! `lightpoint handout`: one self-contained page for student and team.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::answer::handout::sizes;
use crate::answer::{HandoutFacts, Pieces};
use crate::cli::CliError;
use crate::cli::args::{HandoutArgs, PaperSize, Variation};
use crate::cli::bench::Beginning;
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, print_written, write_all};
use crate::plan::Built;
use crate::plan::class::keys::is_day;
use crate::report::chart::ChartError;
use crate::report::html::{self, Handout, Paper, Side, page, page_live};
use crate::report::measure::UnitSystem;

/// Runs the command.
pub fn handout(args: &HandoutArgs) -> Result<ExitCode, CliError> {
    let date = args.date.as_deref().map(iso_date).transpose()?;
    let loaded = load(Some(&args.plan), &args.variation)?;
    // --set changes the first one only
    let other = args.compare.as_deref().map(|path| load(Some(path), &Variation::default())).transpose()?;
    let units = loaded.units(args.units);
    let sheet =
        Sheet { loaded: &loaded, other: other.as_ref(), units, pieces: &Pieces::Usual(units), date, paper: args.paper };
    let text = match args.live {
        false => sheet.with(page)?,
        true => {
            let plan = Beginning::of(Some(&args.plan), &args.variation)?;
            sheet.with(|handout| page_live(handout, &plan.live(args.units)))?
        }
    };

    let path = args.out.clone().unwrap_or_else(|| format!("{}-handout.html", loaded.stem).into());
    let inputs: Vec<PathBuf> = loaded.inputs().into_iter().chain(other.iter().flat_map(Loaded::inputs)).collect();
    write_page(&path, text, &inputs)?;
    print_written(&[path])?;
    Ok(ExitCode::SUCCESS)
}

/// Writes a page to the place that `--out` names.
pub(super) fn write_page(path: &Path, text: String, inputs: &[PathBuf]) -> Result<(), CliError> {
    let (Some(name), dir) = (path.file_name(), path.parent()) else {
        let expected = "the name of a file is expected".into();
        return Err(CliError::Option { option: "--out", value: path.display().to_string(), expected });
    };
    let dir = dir.filter(|dir| !dir.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = OutFile { name: name.to_string_lossy().into_owned(), bytes: text.into_bytes() };
    write_all(dir, vec![file], inputs)?;
    Ok(())
}

/// What a page is made from.
pub(super) struct Sheet<'a> {
    /// The plan.
    pub loaded: &'a Loaded,
    /// Another one beside it.
    pub other: Option<&'a Loaded>,
    /// Units for the reader.
    pub units: UnitSystem,
    /// The pieces of lead.
    pub pieces: &'a Pieces,
    /// Date as the user gave it.
    pub date: Option<&'a str>,
    /// Paper, if it was asked for.
    pub paper: Option<PaperSize>,
}

/// Paper as asked for, else as the units suggest.
pub(super) fn paper(asked: Option<PaperSize>, units: UnitSystem) -> Paper {
    match asked {
        None => Paper::usual(units),
        Some(PaperSize::A4) => Paper::A4,
        Some(PaperSize::Letter) => Paper::Letter,
    }
}

impl Sheet<'_> {
    /// Asks all that the page tells, and makes something of it.
    pub(super) fn with<R>(&self, make: impl FnOnce(&Handout<'_>) -> Result<R, ChartError>) -> Result<R, CliError> {
        let Sheet { loaded, other, units, .. } = *self;
        let facts = HandoutFacts::of(&loaded.plan, other.map(|other| &other.plan), self.pieces)?;
        let notes_of = |loaded: &Loaded, built: &Built| (loaded.notes(built, units), sizes(&loaded.plan));
        let (notes, sizes_of_it) = notes_of(loaded, &facts.built);
        let beside = other.zip(facts.beside.as_ref()).map(|(other, built)| (other, notes_of(other, built)));
        let mind: Vec<String> =
            facts.built.notes.iter().filter(|note| note.is_for_the_diver()).map(|note| note.text(units)).collect();
        let sheet = html::Sheet {
            facts: &facts,
            plan: Side { source: &loaded.source, notes: &notes, sizes: &sizes_of_it },
            beside: beside.as_ref().map(|(other, (notes, sizes))| Side { source: &other.source, notes, sizes }),
            mind: &mind,
            units,
            date: self.date,
            paper: paper(self.paper, units),
        };
        Ok(sheet.with(make)?)
    }
}

/// A date as ISO 8601 writes it: year, month, day.
pub(super) fn iso_date(text: &str) -> Result<&str, CliError> {
    if is_day(text) {
        return Ok(text);
    }
    let expected = "a day is expected as YYYY-MM-DD, for example 2031-05-24".into();
    Err(CliError::Option { option: "--date", value: text.into(), expected })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_that_exist_are_dates() {
        for good in ["2031-05-24", "2028-02-29", "1999-12-31"] {
            assert_eq!(iso_date(good).ok(), Some(good));
        }
        for bad in
            ["", "24.5.2031", "2031-5-24", "2031-13-01", "2031-02-29", "2031-04-31", "2031-05-24T10:00:00", "<b>"]
        {
            assert!(iso_date(bad).is_err(), "{bad}");
        }
    }
}
