//! Word list of pairing codes: 2048 English words, public domain, each unique in its first four
//! letters.

use bip39::Language;

/// Bits of a word index.
pub(super) const BITS: u32 = 11;
/// Letters that identify a word.
const PREFIX_CHARS: usize = 4;

/// Returns the word at an index below 2^11; a larger index wraps around.
pub(super) fn word(place: u16) -> &'static str {
    Language::English.word_list()[usize::from(place) % (1 << BITS)]
}

/// Returns the index of a word, in any case, by its first four letters; `None` if it is not on the
/// list.
pub(super) fn index_of(text: &str) -> Option<u16> {
    let text = text.to_lowercase();
    let list = Language::English.word_list();
    // The list is sorted, and therefore so are the prefixes.
    let at = list.binary_search_by_key(&prefix(&text), |word| prefix(word));
    u16::try_from(at.ok()?).ok()
}

fn prefix(word: &str) -> &str {
    let end = word.char_indices().nth(PREFIX_CHARS);
    end.map_or(word, |(end, _)| &word[..end])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn each_word_is_found_by_its_prefix() {
        for at in 0..1 << BITS {
            let word = word(at);
            assert!(
                word.chars().all(|letter| letter.is_ascii_lowercase()),
                "{word}"
            );
            assert_eq!(index_of(word), Some(at), "{word}");
            assert_eq!(index_of(&prefix(word).to_uppercase()), Some(at), "{word}");
        }
        for unknown in ["", "xyzzy", "ab", "äpfel"] {
            assert_eq!(index_of(unknown), None, "{unknown}");
        }
    }
}
