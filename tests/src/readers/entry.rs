//! One line of a journal, read from any text.

use super::{Reader, chain, names};
use holebook_core::notebook::{LONGEST_LINE, Line};

pub const READER: Reader = Reader {
    name: "entry",
    give,
    examples,
};

/// What was read stays as it was, and writing it and reading that again says the same.
fn give(bytes: &[u8]) {
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
    assert!(text.len() <= LONGEST_LINE);
    let entry = line.entry();
    assert_eq!(entry.prev.is_none(), entry.seq == 1);
    // Written by this version it may come out longer than a line may be, or without what this version does not know.
    if let Ok(again) = Line::write(entry) {
        assert_eq!(
            again.entry(),
            entry,
            "what was read is written as it was read"
        );
        let third = Line::write(again.entry()).expect("what was written once");
        assert_eq!(third.text(), again.text());
    }
}

fn examples() -> Vec<Vec<u8>> {
    let lines = chain::sample(names::device(1));
    lines
        .iter()
        .map(|line| line.text().as_bytes().to_vec())
        .collect()
}
