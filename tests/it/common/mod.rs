//! The one loader of the reference grids in `tests/reference/`.

use std::path::PathBuf;

use serde::de::DeserializeOwned;

/// The folder of the reference data.
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

/// All rows of a reference grid; columns are matched to fields by the header.
pub fn rows<T: DeserializeOwned>(file: &str) -> Vec<T> {
    let mut reader = csv::Reader::from_path(folder().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
    reader.deserialize().map(|row| row.unwrap_or_else(|e| panic!("{file}: {e}"))).collect()
}
