//! `lightpoint class`: many students at once.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;

use crate::answer::class::{ClassAsk, ClassWatch, piles};
use crate::answer::{AnswerError, ClassFacts, Pieces};
use crate::cli::args::ClassArgs;
use crate::cli::ballast::mass_kg;
use crate::cli::handout::{Sheet, iso_date, paper};
use crate::cli::load::Loaded;
use crate::cli::output::{OutFile, json_text, print, print_written, write_all};
use crate::cli::watch::{Progress, cancel};
use crate::cli::{CliError, EXIT_BAD_INPUT, show};
use crate::plan::class::keys::{MOST_PIECES, PoolWater};
use crate::plan::class::{Class, MAX_STUDENTS};
use crate::plan::pieces::counted;
use crate::report::class::{self as words, ClassReport};
use crate::report::{Source, html, json, text};
use crate::units::UnitSystem;

/// Sizes of lead that are told apart.
const MOST_SIZES: usize = 8;

/// Runs the command.
pub fn class(args: &ClassArgs) -> Result<ExitCode, CliError> {
    let class = Class::load(&args.class)?;
    let units = args.units.map(UnitSystem::from).or(class.units()).unwrap_or_default();
    let date = args.date.as_deref().map(iso_date).transpose()?.or(class.keys().date.as_deref());
    let ask = ask(args, &class, units)?;
    let facts = asked(&class, &ask)?;
    let report = ClassReport { facts: &facts, ask: &ask, units };
    let source = source(&class);
    let answer = if args.json {
        json_text(&json::class::result(&source, &facts))
    } else {
        let mut out = text::heading(&source);
        words::lines(&report).iter().for_each(|line| line.write(&mut out));
        format!("{out}\n{}\n", words::table(&report))
    };
    let made = Made { args, class: &class, facts: &facts, ask: &ask, units, date };
    // what cannot be written takes nothing of the answer away
    let written = made.write(&report);
    print(&answer)?;
    let written = written?;
    if !args.json {
        if !written.is_empty() {
            print_written(&written)?;
            print("\n")?;
        }
        print(&text::footer(&words::notes(&report)))?;
    }
    tell(&facts);
    Ok(if facts.is_incomplete() { ExitCode::from(EXIT_BAD_INPUT) } else { ExitCode::SUCCESS })
}

/// Where it comes from.
fn source(class: &Class) -> Source {
    Source {
        title: class.title().to_owned(),
        plan: class.file().to_owned(),
        sha256: class.checksum(),
        note: class.note().map(str::to_owned),
        takes_the_sea: !class.has_site(),
    }
}

/// What is asked: of the options, else of the class.
fn ask(args: &ClassArgs, class: &Class, units: UnitSystem) -> Result<ClassAsk, CliError> {
    let keys = class.keys();
    let mut own = Vec::new();
    for text in &args.own {
        let (count, mass) = counted(text, MOST_PIECES);
        own.push((count, mass_kg("--own", mass)?));
    }
    let own = if own.is_empty() { keys.own.clone().filter(|_| args.piece.is_none()) } else { Some(own) };
    let stock =
        own.map(|own| piles(own.into_iter().flat_map(|(count, piece_kg)| std::iter::repeat_n(piece_kg, count))));
    if let Some(stock) = stock.as_ref().filter(|stock| stock.len() > MOST_SIZES) {
        let value = format!("{} sizes", stock.len());
        let expected = format!("at most {MOST_SIZES} sizes of lead can be told apart");
        return Err(CliError::Option { option: "--own", value, expected });
    }
    let pieces = match (&stock, &args.piece) {
        (Some(stock), _) => Pieces::Sizes(stock.iter().map(|pile| pile.piece_kg).collect()),
        (None, Some(piece)) => Pieces::Step(mass_kg("--piece", piece)?),
        (None, None) if !keys.sizes_kg.is_empty() => Pieces::Sizes(keys.sizes_kg.clone()),
        (None, None) => Pieces::Usual(units),
    };
    pieces.check().map_err(AnswerError::from)?;
    let pool = keys.pool.unwrap_or_else(PoolWater::usual);
    Ok(ClassAsk { pieces, stock, pool, has_trials: !args.no_trials, threads: args.threads.min(MAX_STUDENTS) })
}

/// The answers, with a line of progress meanwhile.
fn asked(class: &Class, ask: &ClassAsk) -> Result<ClassFacts, CliError> {
    let progress = Progress::new("students", Some(class.len() as u64));
    let shown = Mutex::new(0);
    let show = |count: u64| {
        // from several threads: the line goes forward only
        if let Ok(mut last) = shown.lock()
            && count > *last
        {
            *last = count;
            progress.show(count);
        }
    };
    let facts = ClassFacts::of(class, ask, &ClassWatch { cancel: cancel(), progress: &show });
    progress.clear();
    Ok(facts?)
}

/// Says what is wrong with whom.
fn tell(facts: &ClassFacts) {
    if let Some(problems) = facts.faults.problems() {
        show::problems(&problems);
    }
    for student in &facts.students {
        match &student.facts {
            Ok(_) | Err(AnswerError::Problems(_)) => {}
            Err(error) => show::student_error(&student.name, error),
        }
    }
}

/// Files about a class.
struct Made<'a> {
    args: &'a ClassArgs,
    class: &'a Class,
    facts: &'a ClassFacts,
    ask: &'a ClassAsk,
    units: UnitSystem,
    date: Option<&'a str>,
}

impl Made<'_> {
    /// Writes what was asked for; the paths.
    fn write(&self, report: &ClassReport<'_>) -> Result<Vec<PathBuf>, CliError> {
        let mut outputs: Vec<(PathBuf, Vec<OutFile>)> = Vec::new();
        let mut inputs = self.class.inputs();
        let (plans, pages, parts) = self.of_students(&mut inputs)?;
        if let Some(dir) = &self.args.plans {
            outputs.push((dir.clone(), plans));
        }
        if let Some(dir) = &self.args.handouts {
            outputs.push((dir.clone(), pages));
        }
        if let Some(file) = &self.args.print {
            let page = html::together(self.class.title(), paper(self.args.paper, self.units), &parts);
            outputs.push(self.one("--print", file, page.into_bytes())?);
        }
        if let Some(file) = &self.args.csv {
            let rows = words::csv(report)?;
            outputs.push(self.one("--csv", file, rows)?);
        }
        let mut written = Vec::new();
        for (dir, files) in outputs {
            written.extend(write_all(&dir, files, &inputs)?);
        }
        Ok(written)
    }

    /// A file in its folder.
    fn one(&self, option: &'static str, path: &Path, bytes: Vec<u8>) -> Result<(PathBuf, Vec<OutFile>), CliError> {
        let Some(name) = path.file_name() else {
            let expected = "the name of a file is expected".into();
            return Err(CliError::Option { option, value: path.display().to_string(), expected });
        };
        let dir = path.parent().filter(|dir| !dir.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Ok((dir.to_owned(), vec![OutFile { name: name.to_string_lossy().into_owned(), bytes }]))
    }

    /// Plans, pages and parts of the print of every student with an answer, as far as they are asked for.
    #[allow(clippy::type_complexity)]
    fn of_students(&self, inputs: &mut Vec<PathBuf>) -> Result<(Vec<OutFile>, Vec<OutFile>, Vec<String>), CliError> {
        let (mut plans, mut pages, mut parts): (Vec<OutFile>, Vec<OutFile>, Vec<String>) = Default::default();
        for index in (0..self.class.len()).filter(|index| self.facts.students[*index].facts.is_ok()) {
            let plan = self.class.plan(index)?;
            for source in plan.files_beside() {
                let path = PathBuf::from(&source.name);
                if !inputs.contains(&path) {
                    inputs.push(path);
                }
            }
            let stem = self.class.stem(index);
            let file = format!("{stem}.toml");
            if self.args.plans.is_some() {
                self.plan_files(&plan, &file, &mut plans);
            }
            if self.args.handouts.is_none() && self.args.print.is_none() {
                continue;
            }
            let loaded = Loaded::of(plan, file, stem.to_owned());
            let sheet = Sheet {
                loaded: &loaded,
                other: None,
                units: self.units,
                pieces: &self.ask.pieces,
                date: self.date,
                paper: self.args.paper,
            };
            let number = parts.len() + 1;
            let (page, part) = sheet.with(|handout| {
                let page = self.args.handouts.is_some().then(|| html::page(handout)).transpose()?;
                let part = self.args.print.is_some().then(|| html::part(handout, number)).transpose()?;
                Ok((page, part))
            })?;
            pages.extend(page.map(|page| OutFile { name: format!("{stem}-handout.html"), bytes: page.into_bytes() }));
            parts.extend(part);
        }
        Ok((plans, pages, parts))
    }

    /// A plan, and the files beside it under the names by which it knows them.
    fn plan_files(&self, plan: &crate::plan::Plan, file: &str, plans: &mut Vec<OutFile>) {
        plans.push(OutFile { name: file.to_owned(), bytes: plan.sources()[0].text.as_bytes().to_vec() });
        let dir = Path::new(self.class.file()).parent().unwrap_or(Path::new(""));
        for source in plan.files_beside() {
            let path = Path::new(&source.name);
            let name = path.strip_prefix(dir).unwrap_or(path).display().to_string();
            if !plans.iter().any(|known| known.name == name) {
                plans.push(OutFile { name, bytes: source.text.as_bytes().to_vec() });
            }
        }
    }
}
