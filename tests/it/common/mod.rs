//! Where the data of the tests lies: the reference grids in `tests/reference/`, the demonstration plans in `profiles/`.

use std::path::PathBuf;

use serde::de::DeserializeOwned;

/// The folder of the reference data.
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

/// The demonstration plans, in the order of their names.
pub fn plans() -> Vec<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("profiles");
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    // the class has its own tests
    found.retain(|path| !std::fs::read_to_string(path).unwrap().contains("[[student]]"));
    found.sort();
    assert!(found.len() >= 4, "the demonstration plans");
    found
}

/// All rows of a reference grid; columns are matched to fields by the header.
pub fn rows<T: DeserializeOwned>(file: &str) -> Vec<T> {
    let mut reader = csv::Reader::from_path(folder().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
    reader.deserialize().map(|row| row.unwrap_or_else(|e| panic!("{file}: {e}"))).collect()
}
