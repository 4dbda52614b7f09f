//! A question that a person answers before an unusual entry is saved.

use serde::Serialize;
use std::fmt;

/// A question about what is being recorded: it may be right, but most likely is a slip.
///
/// Carriers show the sentence and record nothing until a person says that it is right. What is
/// impossible is refused instead.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Question {
    /// Names the question and the value that it is about, without spaces, so that another value is
    /// asked about again.
    pub key: String,
    /// What is unusual, where, and what to do. Lengths are in both units (see
    /// [`crate::length::in_unit`]).
    pub sentence: String,
    /// Whether saving it anyway needs a reason.
    pub needs_reason: bool,
}

impl Question {
    /// Returns the question about what a sentence says is unusual.
    pub fn about(unusual: &impl fmt::Display, needs_reason: bool) -> Question {
        let sentence = unusual.to_string();
        Question {
            key: key(&sentence),
            sentence,
            needs_reason,
        }
    }
}

/// Returns the sentence's letters and digits in lower case, with one hyphen for all between them.
fn key(sentence: &str) -> String {
    let words = sentence.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join("-").to_ascii_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_value_has_another_key_without_spaces() {
        let of = |sentence: &str| Question::about(&sentence, false).key;
        assert_eq!(
            of("the depth is 48 in (1219.2 mm)"),
            "the-depth-is-48-in-1219-2-mm"
        );
        assert_ne!(of("the depth is 48 in"), of("the depth is 44 in"));
    }
}
