//! `holebook exchange` without a name: every shelf that is known, each with what became of it.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json, run, said, sentence};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Output;

fn exchange(home: &Path, notebook: &str, words: &[&str]) -> Output {
    run(
        home,
        &[&["exchange", "--notebook", notebook], words].concat(),
    )
}

#[test]
fn every_shelf_that_is_known_is_exchanged_with() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let own = home.join("own");
    let none = sentence(&exchange(home, own.to_str().unwrap(), &[]));
    assert!(none.contains("--folder"), "{none}");

    let sample = home.join("sample");
    said(&run(
        home,
        &["demo", "--no-open", "--notebook", sample.to_str().unwrap()],
    ));
    let sample = sample.to_str().unwrap();
    let (first, second) = (home.join("first"), home.join("second"));
    for shelf in [&first, &second] {
        let words = ["--folder", shelf.to_str().unwrap()];
        assert!(said(&exchange(home, sample, &words)).contains("The shelf was new."));
    }
    let both = json(&exchange(home, sample, &["--json"]));
    has_keys(&both, &["exchanges"]);
    let exchanges = both["exchanges"].as_array().unwrap();
    assert_eq!(exchanges.len(), 2);
    for exchange in exchanges {
        has_keys(exchange, &["shelf", "name", "report", "error"]);
        assert_eq!(exchange["report"]["entries_left"], 0);
        assert_eq!(exchange["error"], Value::Null);
    }

    // A stick that is not there is no new shelf, and the others are exchanged with all the same.
    fs::remove_dir_all(&first).unwrap();
    let output = exchange(home, sample, &["--json"]);
    assert_eq!(output.status.code(), Some(1));
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    let failed: Vec<_> = told["exchanges"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|exchange| exchange["error"] != Value::Null)
        .collect();
    assert_eq!(failed.len(), 1);
    assert_eq!(failed[0]["report"], Value::Null);
    let why = failed[0]["error"].as_str().unwrap();
    assert!(why.contains("first") && why.contains("not there"), "{why}");
    assert!(!first.exists());
    let words = String::from_utf8(exchange(home, sample, &[]).stdout).unwrap();
    assert!(
        words.contains("With the shelf") && words.contains("plug the stick in"),
        "{words}"
    );
}
