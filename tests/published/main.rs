//! Compares Holebook with published tables and worked examples.
//!
//! Each file under `data/` is one of them, with its source at the top; `sources.rs` maps it to the
//! function that computes Holebook's values. `TABLE.md` shows all values side by side.
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
    let mut problems = Vec::new();
    for &(name, answer) in SOURCES {
        let table = Table::read(name);
        problems.extend(compare::problems(&table, &compare::compare(&table, answer)));
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn every_data_file_is_compared() {
    let files: BTreeSet<String> = std::fs::read_dir(table::published_dir().join("data"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        // Files for the Python comparisons are not published tables.
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
    let path = table::published_dir().join("TABLE.md");
    let generated = markdown::table_md();
    if std::env::var_os("HOLEBOOK_WRITE_TABLE").is_some() {
        std::fs::write(&path, &generated).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == generated,
        "tests/published/TABLE.md is not current: run HOLEBOOK_WRITE_TABLE=1 cargo test -p holebook-tests --test published \
         and commit the result"
    );
}
