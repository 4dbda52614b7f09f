//! The list of words: 2048 English ones, public domain, of which the first four letters tell each from all others.

use bip39::Language;

/// What a place on the list is counted with.
pub(super) const BITS: u32 = 11;
/// How many letters tell a word.
const LETTERS: usize = 4;

/// The word at a place; the list has 2^11 places.
pub(super) fn word(place: u16) -> &'static str {
    Language::English.word_list()[usize::from(place) % (1 << BITS)]
}

/// The place of a word, of which only the first four letters are looked at.
pub(super) fn place(text: &str) -> Option<u16> {
    let text = text.to_lowercase();
    let list = Language::English.word_list();
    // The list is in the order of the alphabet, and so are the starts.
    let at = list.binary_search_by_key(&start(&text), |word| start(word));
    u16::try_from(at.ok()?).ok()
}

fn start(word: &str) -> &str {
    let end = word.char_indices().nth(LETTERS);
    end.map_or(word, |(end, _)| &word[..end])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn each_word_is_found_by_its_start() {
        for at in 0..1 << BITS {
            let word = word(at);
            assert!(
                word.chars().all(|letter| letter.is_ascii_lowercase()),
                "{word}"
            );
            assert_eq!(place(word), Some(at), "{word}");
            assert_eq!(place(&start(word).to_uppercase()), Some(at), "{word}");
        }
        for unknown in ["", "xyzzy", "ab", "äpfel"] {
            assert_eq!(place(unknown), None, "{unknown}");
        }
    }
}
