//! Parses one line of a journal.

use super::{FuzzEntryPoint, fixed_ids, journal_writer};
use holebook_core::notebook::{Line, MAX_LINE_BYTES};

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "journal_line",
    run,
    examples,
};

/// What was parsed is kept byte for byte, and writing and parsing it again gives the same.
fn run(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let line = match Line::read(text.to_owned()) {
        Ok(line) => line,
        Err(why) => {
            let sentence = why.to_string();
            assert!(
                sentence.len() < 1_000 && !sentence.contains(char::is_control),
                "{sentence:?}"
            );
            return;
        }
    };
    assert_eq!(line.text(), text, "a line is kept byte for byte");
    assert!(text.len() <= MAX_LINE_BYTES);
    let entry = line.entry();
    assert_eq!(entry.prev.is_none(), entry.seq == 1);
    // Written by this version, it may exceed the maximum length, or lack what this version does not
    // know.
    if let Ok(again) = Line::write(entry) {
        assert_eq!(
            again.entry(),
            entry,
            "a parsed line is written back unchanged"
        );
        let third = Line::write(again.entry()).expect("what was written once");
        assert_eq!(third.text(), again.text());
    }
}

fn examples() -> Vec<Vec<u8>> {
    let lines = journal_writer::sample(fixed_ids::device(1));
    lines
        .iter()
        .map(|line| line.text().as_bytes().to_vec())
        .collect()
}
