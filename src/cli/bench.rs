//! `lightpoint bench`: one page that holds the plan and the engine, written and opened.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::answer::DiveFacts;
use crate::cli::CliError;
use crate::cli::args::{BenchArgs, Units, Variation};
use crate::cli::handout::write_page;
use crate::cli::load::load;
use crate::cli::output::{print, print_written};
use crate::report::live::{Live, page};
use crate::units::UnitSystem;

/// Runs the command.
pub fn bench(args: &BenchArgs) -> Result<ExitCode, CliError> {
    let beginning = match args.blank {
        true => Beginning::blank(),
        false => Beginning::of(args.plan.as_deref(), &args.variation)?,
    };
    let path = args.out.clone().unwrap_or_else(|| beginning.page.clone());
    write_page(&path, page(&beginning.live(args.units)), &beginning.inputs)?;
    print_written(std::slice::from_ref(&path))?;
    if !args.no_open {
        let told = if open(&path) {
            "it opens in the browser\n"
        } else {
            "open it in a browser: none could be opened from here\n"
        };
        print(told)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// What a bench begins with.
#[derive(Debug)]
pub(super) struct Beginning {
    title: String,
    name: String,
    text: String,
    sets: Vec<(String, String)>,
    is_blank: bool,
    /// The page, unless another place is asked for.
    page: PathBuf,
    /// The files that were read.
    inputs: Vec<PathBuf>,
}

impl Beginning {
    /// A plan that has an answer, with the changes that it is asked with.
    pub(super) fn of(path: Option<&Path>, variation: &Variation) -> Result<Self, CliError> {
        let changed = load(path, variation)?;
        DiveFacts::of(&changed.plan)?;
        let written = load(path, &Variation::default())?;
        // without its folder, which is nobody's concern: the page is handed on
        let name = path.and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
        Ok(Self {
            title: changed.plan.title().to_owned(),
            name: name.unwrap_or_else(|| format!("{}.toml", changed.stem)),
            text: written.plan.written_in(),
            sets: variation.sets.clone(),
            is_blank: false,
            page: format!("{}-bench.html", changed.stem).into(),
            inputs: changed.inputs(),
        })
    }

    /// No plan yet.
    fn blank() -> Self {
        Self {
            title: "A new plan".into(),
            name: "plan.toml".into(),
            text: String::new(),
            sets: Vec::new(),
            is_blank: true,
            page: "bench.html".into(),
            inputs: Vec::new(),
        }
    }

    /// As the page takes it.
    pub(super) fn live(&self, units: Option<Units>) -> Live<'_> {
        let Self { title, name, text, sets, is_blank, .. } = self;
        Live { title, name, text, sets, units: units.map(UnitSystem::from), is_blank: *is_blank }
    }
}

/// Opens a file with what the desktop opens such files with; whether it could.
fn open(path: &Path) -> bool {
    // by its whole path: what opens it may stand in another folder
    has_desktop() && std::path::absolute(path).is_ok_and(|path| open::that_detached(path).is_ok())
}

/// Whether there is a screen to open anything on. Without one some desktops' openers would take over the terminal with a
/// text browser. Only where a screen is announced by the environment can its absence be told.
fn has_desktop() -> bool {
    let is_set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    // the last: Linux under Windows, whose own browser is used
    cfg!(not(all(unix, not(target_os = "macos"))))
        || ["DISPLAY", "WAYLAND_DISPLAY", "WSL_DISTRO_NAME"].into_iter().any(is_set)
}
