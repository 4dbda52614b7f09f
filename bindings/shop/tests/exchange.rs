//! `holebook exchange` without a name: every shelf that is known, each with what became of it.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json, run, said, sentence, unbroken};
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
    let words = unbroken(&String::from_utf8(exchange(home, sample, &[]).stdout).unwrap());
    assert!(
        words.contains("With the shelf") && words.contains("plug the stick in"),
        "{words}"
    );
}

#[test]
fn a_bundle_carries_a_notebook_and_is_taken_in_once() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let place = |name: &str| home.join(name).to_str().unwrap().to_owned();
    let (sample, barn, file) = (place("sample"), place("barn"), place("all.zip"));
    said(&run(home, &["demo", "--no-open", "--notebook", &sample]));
    let bundle = |words: &[&str]| {
        let all = [&["bundle", "--notebook", &sample, "--out"], words].concat();
        run(home, &all)
    };
    let written = json(&bundle(&[&file, "--json"]));
    has_keys(
        &written,
        &["file", "entries", "photos", "bytes", "photos_missing"],
    );
    assert_eq!(written["photos"], 1);
    assert_eq!(written["bytes"], fs::metadata(&file).unwrap().len());
    let there = sentence(&bundle(&[&file]));
    assert!(there.contains("is there already"), "{there}");
    let words = unbroken(&said(&bundle(&[&file, "--replace"])));
    assert!(words.contains("does not count as brought home"), "{words}");

    let taken = json(&exchange(home, &barn, &["--bundle", &file, "--json"]));
    assert_eq!(taken["entries_taken"], written["entries"]);
    assert_eq!(taken["photos_taken"], 1);
    let again = said(&exchange(home, &barn, &["--bundle", &file]));
    assert!(
        again.contains("Taken from the bundle: 0 entries and 0 photos."),
        "{again}"
    );
    assert!(!again.contains("Left"), "{again}");
    let lists =
        [&sample, &barn].map(|book| json(&run(home, &["list", "--json", "--notebook", book])));
    assert_eq!(lists[0], lists[1]);
    assert!(said(&run(home, &["verify", "--notebook", &barn])).contains("Nothing is wrong"));

    let junk = place("junk.zip");
    fs::write(&junk, "no bundle").unwrap();
    let refused = sentence(&exchange(home, &barn, &["--bundle", &junk]));
    assert!(refused.contains("junk.zip"), "{refused}");
    // The bundle stays what was not brought home; a shelf makes it home.
    let shelf = place("shelf");
    said(&exchange(home, &sample, &["--folder", &shelf]));
    let nothing = sentence(&bundle(&[&place("new.zip"), "--not-home"]));
    assert!(nothing.contains("nothing to send"), "{nothing}");
}
