//! Ours against published tables and worked examples.
//!
//! Each file under `data/` is one of them, and names its source at its head; `sources.rs` says how Holebook answers it.
//! `TABLE.md` shows every value side by side.
#![allow(clippy::unwrap_used)]

mod compare;
mod cutting;
mod drills;
mod examples;
mod inserts;
mod limits;
mod markdown;
mod sources;
mod strength;
mod table;

use sources::SOURCES;
use std::collections::BTreeSet;
use table::Table;

#[test]
fn every_difference_is_rounding_or_explained() {
    let mut faults = Vec::new();
    for &(name, answer) in SOURCES {
        let table = Table::read(name);
        faults.extend(compare::faults(&table, &compare::compare(&table, answer)));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_data_file_is_compared() {
    let files: BTreeSet<String> = std::fs::read_dir(table::folder().join("data"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        // What the oracles read is no published table.
        .filter(|name| !name.starts_with("oracle"))
        .collect();
    let compared: BTreeSet<String> = SOURCES
        .iter()
        .map(|(name, _)| format!("{name}.txt"))
        .collect();
    assert_eq!(files, compared, "sources.rs must list every file, once");
    assert_eq!(compared.len(), SOURCES.len());
}

#[test]
fn the_table_is_current() {
    let path = table::folder().join("TABLE.md");
    let whole = markdown::whole();
    if std::env::var_os("HOLEBOOK_WRITE_TABLE").is_some() {
        std::fs::write(&path, &whole).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == whole,
        "tests/published/TABLE.md is not current: run HOLEBOOK_WRITE_TABLE=1 cargo test -p holebook-tests --test published, \
         and commit what it writes"
    );
}
