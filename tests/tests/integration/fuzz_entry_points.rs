//! Every fuzz entry point, over the kept examples and some hundreds of mutated ones.
//!
//! The fuzzer in `tests/fuzz` goes further.

use holebook_tests::fuzz_entry_points::{ENTRY_POINTS, FuzzEntryPoint, Mutator, mutated, run};
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// How many mutated examples each entry point gets, depending on its cost.
const fn mutations(entry_point: &FuzzEntryPoint) -> usize {
    match entry_point.name.as_bytes() {
        b"journal_line" | b"segment_name" | b"quantities" | b"pairing_code" => 3_000,
        b"inserts_file" | b"http_request" => 500,
        b"photo" | b"chunk" | b"bundle" | b"remote" => 150,
        b"screens" => 60,
        _ => 8,
    }
}

/// The entry point's own examples, and those that the fuzzer kept.
fn examples(entry_point: &FuzzEntryPoint) -> Vec<Vec<u8>> {
    let mut examples = (entry_point.examples)();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/kept")
        .join(entry_point.name);
    let mut files: Vec<_> = fs::read_dir(kept)
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    examples.extend(files.iter().map(|file| fs::read(file).unwrap()));
    examples
}

fn check(name: &str) {
    let entry_point = ENTRY_POINTS
        .iter()
        .find(|entry_point| entry_point.name == name)
        .unwrap();
    let examples = examples(entry_point);
    assert!(!examples.is_empty());
    let mut mutator = Mutator::new(1);
    let changed = (0..mutations(entry_point)).map(|_| mutated(&mut mutator, &examples));
    for bytes in examples.clone().into_iter().chain(changed) {
        if catch_unwind(AssertUnwindSafe(|| run(name, &bytes))).is_err() {
            panic!("{name} fails for {}", bytes.escape_ascii());
        }
    }
}

macro_rules! fuzz_tests {
    ($($name:ident),+ $(,)?) => {
        $(#[test] fn $name() { check(stringify!($name)); })+

        #[test]
        fn every_entry_point_is_tested() {
            let tested = [$(stringify!($name)),+];
            let all: Vec<_> = ENTRY_POINTS.iter().map(|entry_point| entry_point.name).collect();
            assert_eq!(tested.as_slice(), all);
        }
    };
}

fuzz_tests!(
    journal_line,
    segment_name,
    chunk,
    bundle,
    remote,
    pairing_code,
    lan_server,
    lan_client,
    history,
    quantities,
    inserts_file,
    photo,
    screens,
    http_request
);
