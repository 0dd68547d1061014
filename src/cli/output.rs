//! Standard output, and files: written beside, then renamed; never half, never over an input.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::report::chart::{ChartError, PNG_WIDTH_PX, Picture};

/// Why an output could not be written.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// The system said no.
    #[error("cannot write {path}: {source}")]
    Io {
        /// What was to be written.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file where a folder should be.
    #[error("{path} is a file, not a folder; choose another --out")]
    NotFolder {
        /// The file.
        path: PathBuf,
    },
    /// A new file in a folder that is not there.
    #[error("cannot write {path}: there is no folder {dir}")]
    NoFolder {
        /// What was to be written.
        path: PathBuf,
        /// The folder.
        dir: PathBuf,
    },
    /// Standard output does not take it.
    #[error("cannot write to standard output: {0}")]
    Print(std::io::Error),
    /// An output would replace an input.
    #[error("{path} is an input of this run and is not overwritten; choose another --out")]
    OverInput {
        /// The file.
        path: PathBuf,
    },
    /// The file is there already, and this command does not replace files.
    #[error("{path} exists already and is not overwritten")]
    Exists {
        /// The file.
        path: PathBuf,
    },
}

/// Prints to standard output, with colour where that is a terminal. A reader that went away (`| head`) is no fault.
pub fn print(text: &str) -> Result<(), OutputError> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(OutputError::Print(error)),
        _ => Ok(()),
    }
}

/// A JSON value as the text of a file: indented, with a line end.
pub fn json_text(value: &Value) -> String {
    format!("{value:#}\n")
}

/// Prints a JSON value and nothing else.
pub fn print_json(value: &Value) -> Result<(), OutputError> {
    print(&json_text(value))
}

/// Says which files were written.
pub fn print_written(paths: &[PathBuf]) -> Result<(), OutputError> {
    let lines: String = paths.iter().map(|path| format!("wrote {}\n", path.display())).collect();
    print(&lines)
}

/// A file to be written.
#[derive(Debug)]
pub struct OutFile {
    /// Name within the folder.
    pub name: String,
    /// Content.
    pub bytes: Vec<u8>,
}

/// A figure as SVG, and as PNG too where that is asked for.
pub fn figure_files(name: &str, picture: &Picture, with_png: bool) -> Result<Vec<OutFile>, ChartError> {
    let mut files = vec![OutFile { name: format!("{name}.svg"), bytes: picture.svg()?.into_bytes() }];
    if with_png {
        files.push(OutFile { name: format!("{name}.png"), bytes: picture.png(PNG_WIDTH_PX)? });
    }
    Ok(files)
}

/// Writes all files into `dir`, which is made if it is missing: first each beside its place, then all renamed, so that
/// none is ever half written. Returns their paths.
pub fn write_all(dir: &Path, files: Vec<OutFile>, inputs: &[PathBuf]) -> Result<Vec<PathBuf>, OutputError> {
    let io = |path: &Path| {
        let path = path.to_owned();
        move |source| OutputError::Io { path, source }
    };
    for file in &files {
        refuse_input(&dir.join(&file.name), inputs)?;
    }
    if dir.is_file() {
        return Err(OutputError::NotFolder { path: dir.to_owned() });
    }
    std::fs::create_dir_all(dir).map_err(io(dir))?;
    let mut ready = Vec::new();
    for file in files {
        let path = dir.join(&file.name);
        let mut beside = beside(dir).map_err(io(&path))?;
        beside.write_all(&file.bytes).map_err(io(&path))?;
        ready.push((beside, path));
    }
    let mut written = Vec::new();
    for (beside, path) in ready {
        beside.persist(&path).map_err(|error| OutputError::Io { path: path.clone(), source: error.error })?;
        written.push(path);
    }
    Ok(written)
}

/// Writes a file that must not be there yet.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    let io = |source| OutputError::Io { path: path.to_owned(), source };
    let dir = path.parent().filter(|dir| !dir.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !dir.is_dir() {
        return Err(OutputError::NoFolder { path: path.to_owned(), dir: dir.to_owned() });
    }
    let mut beside = beside(dir).map_err(io)?;
    beside.write_all(bytes).map_err(io)?;
    match beside.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == ErrorKind::AlreadyExists => {
            Err(OutputError::Exists { path: path.to_owned() })
        }
        Err(error) => Err(io(error.error)),
    }
}

fn refuse_input(path: &Path, inputs: &[PathBuf]) -> Result<(), OutputError> {
    let Ok(real) = path.canonicalize() else { return Ok(()) };
    if inputs.iter().filter_map(|input| input.canonicalize().ok()).any(|input| input == real) {
        return Err(OutputError::OverInput { path: path.to_owned() });
    }
    Ok(())
}

/// A temporary file with the rights that an ordinary file would have.
fn beside(dir: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".lightpoint-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir).map_err(|error| {
        // the name of the temporary file would be told as well, which is nobody's concern
        let text = error.to_string();
        std::io::Error::new(error.kind(), text.split(" at path ").next().unwrap_or_default().to_owned())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str) -> OutFile {
        OutFile { name: name.into(), bytes: b"new".to_vec() }
    }

    #[test]
    fn an_input_is_never_replaced_and_nothing_else_is_written_either() {
        let dir = tempfile::tempdir().unwrap();
        let input = dir.path().join("series.csv");
        std::fs::write(&input, "old").unwrap();
        let error =
            write_all(dir.path(), vec![file("a.svg"), file("series.csv")], std::slice::from_ref(&input)).unwrap_err();
        assert!(matches!(error, OutputError::OverInput { .. }));
        assert_eq!(std::fs::read_to_string(&input).unwrap(), "old");
        assert!(!dir.path().join("a.svg").exists());
    }

    #[test]
    fn a_new_file_does_not_replace_one() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("plan.toml");
        write_new(&path, b"one").unwrap();
        assert!(matches!(write_new(&path, b"two"), Err(OutputError::Exists { .. })));
        assert_eq!(std::fs::read(&path).unwrap(), b"one");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left beside");
    }
}
