//! Every reader of what comes from outside, over the kept examples and over some hundreds of changed ones.
//!
//! The fuzzer in `tests/fuzz` goes further; what it found stands below by name.
#![allow(clippy::unwrap_used)]

use holebook_tests::readers::{Changes, READERS, Reader, changed, give};
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// How many changed examples each reader is given, by what one costs.
const fn tries(reader: &Reader) -> usize {
    match reader.name.as_bytes() {
        b"entry" | b"stretch" | b"measure" | b"code" => 3_000,
        b"inserts" | b"wire" => 500,
        b"photo" | b"piece" | b"bundle" | b"shelf" => 150,
        b"screens" => 60,
        _ => 8,
    }
}

/// The reader's own examples, and those that the fuzzer found to lead further.
fn examples(reader: &Reader) -> Vec<Vec<u8>> {
    let mut examples = (reader.examples)();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/kept")
        .join(reader.name);
    let mut files: Vec<_> = fs::read_dir(kept)
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    examples.extend(files.iter().map(|file| fs::read(file).unwrap()));
    examples
}

fn hold(name: &str) {
    let reader = READERS.iter().find(|reader| reader.name == name).unwrap();
    let examples = examples(reader);
    assert!(!examples.is_empty());
    let mut changes = Changes::new(1);
    let made = (0..tries(reader)).map(|_| changed(&mut changes, &examples));
    for bytes in examples.clone().into_iter().chain(made) {
        if catch_unwind(AssertUnwindSafe(|| give(name, &bytes))).is_err() {
            panic!("{name} does not hold for {}", bytes.escape_ascii());
        }
    }
}

macro_rules! readers {
    ($($name:ident),+ $(,)?) => {
        $(#[test] fn $name() { hold(stringify!($name)); })+

        #[test]
        fn every_reader_is_tried() {
            let tried = [$(stringify!($name)),+];
            let all: Vec<_> = READERS.iter().map(|reader| reader.name).collect();
            assert_eq!(tried.as_slice(), all);
        }
    };
}

readers!(
    entry, stretch, piece, bundle, shelf, code, server, client, history, measure, inserts, photo,
    screens, wire
);
