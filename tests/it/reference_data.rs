//! The reference data are what their README says: same bytes, same number of rows.

use std::fs;

use crate::common;
use sha2::{Digest, Sha256};

/// A line of the table in the README.
struct Entry {
    file: String,
    rows: Option<usize>,
    sha256: String,
}

/// The table's lines: those whose first cell is a file name in backticks.
fn entries() -> Vec<Entry> {
    let readme = fs::read_to_string(common::folder().join("README.md")).unwrap();
    let cells = |line: &str| line.split('|').map(|cell| cell.trim().trim_matches('`').to_owned()).collect::<Vec<_>>();
    let table = readme.lines().filter(|line| line.starts_with("| `")).map(cells);
    table
        .map(|c| {
            let rows = if c[2].is_empty() { None } else { Some(c[2].parse().unwrap()) };
            Entry { file: c[1].clone(), rows, sha256: c[3].clone() }
        })
        .collect()
}

#[test]
fn every_file_has_the_checksum_and_the_rows_of_the_readme() {
    for Entry { file, rows, sha256 } in entries() {
        let bytes = fs::read(common::folder().join(&file)).unwrap();
        let found: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(found, sha256, "{file}: sha256");
        if let Some(rows) = rows {
            let found = common::rows::<Vec<String>>(&file).len();
            assert_eq!(found, rows, "{file}: rows");
        }
    }
}

#[test]
fn every_grid_is_in_the_readme() {
    let listed: Vec<String> = entries().into_iter().map(|entry| entry.file).collect();
    assert!(!listed.is_empty());
    for entry in fs::read_dir(common::folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "csv") {
            let file = path.file_name().unwrap().to_string_lossy().into_owned();
            assert!(listed.contains(&file), "{file} is not in the README");
        }
    }
}
