//! An entry, and the line of text it is kept as.

use super::chain::LineHash;
use super::id::{DeviceId, EntryId};
use super::kind::{Understood, understand};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use uuid::Uuid;

/// A longer line than this, in bytes, is not taken.
pub const LONGEST_LINE: usize = 1 << 20;

/// One entry of the journal, as its line says it. Fields that a newer version added are not here; they stay in the line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Its name. Greater than the ids of all entries that its writer had seen.
    pub id: EntryId,
    /// The device that wrote it.
    pub device: DeviceId,
    /// Its place among that device's entries: 1, 2, 3, without gaps.
    pub seq: u64,
    /// When, by the device's clock, with the offset from UTC; shown, never used to decide.
    pub at: DateTime<FixedOffset>,
    /// The person; empty where none is set.
    pub by: String,
    /// What kind of entry it is; see [`super::kind::Kind`] for those that this version knows.
    pub kind: String,
    /// What it is about.
    pub subject: Uuid,
    /// What it says.
    pub body: Value,
    /// The entries that it replaces.
    #[serde(default)]
    pub replaces: Vec<EntryId>,
    /// The hash of the device's line before it; none for its first.
    pub prev: Option<LineHash>,
}

/// An entry with the very text it came in, and that text's hash.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    entry: Entry,
    text: String,
    hash: LineHash,
    understood: Option<Understood>,
}

/// Why a text is not a line of a journal.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineError {
    /// Longer than [`LONGEST_LINE`].
    #[error("it is longer than {LONGEST_LINE} bytes")]
    TooLong,
    /// It begins or ends with white space, or holds a line break.
    #[error("it has white space at its ends or a line break inside")]
    Ragged,
    /// It is not the JSON of an entry.
    #[error("it is not an entry: {0}")]
    NotAnEntry(String),
    /// Its id is not a version 7 UUID of this millennium.
    #[error("its id {0} is not one that an entry can have")]
    UnsoundId(EntryId),
    /// Sequence numbers start at 1, where there is no line before; later lines name the one before.
    #[error("its sequence number {seq} does not go with what it says of the line before")]
    UnsoundSequence {
        /// The number it gave.
        seq: u64,
    },
}

/// How much of what the JSON reader says is passed on, in characters: it quotes the line, however long that is.
const SHOWN: usize = 200;

impl LineError {
    /// What the JSON reader says, in one line fit to be shown.
    fn not_an_entry(error: &serde_json::Error) -> Self {
        let said = error.to_string();
        let plain = said.chars().map(|letter| match letter {
            letter if letter.is_control() => ' ',
            letter => letter,
        });
        let mut shown: String = plain.take(SHOWN).collect();
        if said.chars().nth(SHOWN).is_some() {
            shown.push_str("...");
        }
        Self::NotAnEntry(shown)
    }
}

impl Line {
    /// Writes an entry as a line.
    ///
    /// # Errors
    /// Where the entry is too long, or is not sound; see [`LineError`].
    pub fn write(entry: &Entry) -> Result<Self, LineError> {
        let text = serde_json::to_string(entry).map_err(|error| LineError::not_an_entry(&error))?;
        Self::read(text)
    }

    /// Reads a line; the text is kept as it is.
    ///
    /// # Errors
    /// Where the text is too long, or is not a sound entry; see [`LineError`].
    pub fn read(text: String) -> Result<Self, LineError> {
        if text.len() > LONGEST_LINE {
            return Err(LineError::TooLong);
        }
        if text.trim().len() != text.len() || text.contains(['\n', '\r']) {
            return Err(LineError::Ragged);
        }
        let entry: Entry =
            serde_json::from_str(&text).map_err(|error| LineError::not_an_entry(&error))?;
        if !entry.id.is_sound() {
            return Err(LineError::UnsoundId(entry.id));
        }
        let first = entry.prev.is_none();
        if entry.seq == 0 || first != (entry.seq == 1) || i64::try_from(entry.seq).is_err() {
            return Err(LineError::UnsoundSequence { seq: entry.seq });
        }
        let hash = LineHash::of(&text);
        let understood = understand(&entry.kind, &entry.body);
        Ok(Self {
            entry,
            text,
            hash,
            understood,
        })
    }

    /// The entry.
    pub fn entry(&self) -> &Entry {
        &self.entry
    }

    /// The text, byte for byte as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The entry, and the text.
    pub(crate) fn into_parts(self) -> (Entry, String) {
        (self.entry, self.text)
    }

    /// The text's hash.
    pub fn hash(&self) -> LineHash {
        self.hash
    }

    /// What it says, as far as this version understands it.
    pub(crate) fn understood(&self) -> Option<Understood> {
        self.understood
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn first() -> Entry {
        Entry {
            id: EntryId::fresh(),
            device: DeviceId::fresh(),
            seq: 1,
            at: DateTime::parse_from_rfc3339("2026-11-25T07:15:31.123+01:00").unwrap(),
            by: "Ada".into(),
            kind: "note".into(),
            subject: Uuid::now_v7(),
            body: serde_json::json!({"text": "käse\n\"quoted\""}),
            replaces: vec![],
            prev: None,
        }
    }

    #[test]
    fn an_entry_reads_back_as_it_was_written() {
        let entry = first();
        let line = Line::write(&entry).unwrap();
        assert_eq!(line.entry(), &entry);
        assert_eq!(Line::read(line.text().to_owned()).unwrap(), line);
        assert!(
            line.text()
                .contains("\"at\":\"2026-11-25T07:15:31.123+01:00\"")
        );
    }

    #[test]
    fn a_field_of_a_newer_version_stays_in_the_text() {
        let mut value: Value = serde_json::to_value(first()).unwrap();
        value["mood"] = "bright".into();
        let text = value.to_string();
        assert_eq!(Line::read(text.clone()).unwrap().text(), text);
    }

    #[test]
    fn a_number_of_many_digits_is_read_as_it_was_written() {
        let entry = Entry {
            body: serde_json::json!({"x_px": 4.999_999_999_999_999_5e-14, "y_px": 0.1 + 0.2}),
            ..first()
        };
        assert_eq!(Line::write(&entry).unwrap().entry(), &entry);
        let text = serde_json::to_string(&entry).unwrap();
        let long = text.replace(
            "4.9999999999999995e-14",
            "0.00000000000005000000000000000000000002",
        );
        assert_ne!(long, text);
        let line = Line::read(long).unwrap();
        assert_eq!(line.entry().body["x_px"], 5e-14);
    }

    #[test]
    fn a_refusal_is_one_line_whatever_it_quotes() {
        let good = serde_json::to_value(first()).unwrap();
        for wrong in ["\n\u{1b}[2J", &"x".repeat(100_000)] {
            let mut value = good.clone();
            value["id"] = wrong.into();
            value["seq"] = wrong.into();
            let sentence = Line::read(value.to_string()).unwrap_err().to_string();
            assert!(sentence.len() < 300 && !sentence.contains(char::is_control));
        }
    }

    #[test]
    fn what_is_no_sound_line_is_refused() {
        let good = Line::write(&first()).unwrap().text().to_owned();
        assert_eq!(Line::read(format!("{good} ")), Err(LineError::Ragged));
        assert_eq!(
            Line::read(format!("{good}\n{good}")),
            Err(LineError::Ragged)
        );
        assert!(matches!(
            Line::read(good[..good.len() - 1].into()),
            Err(LineError::NotAnEntry(_))
        ));
        let second = Entry { seq: 2, ..first() };
        assert_eq!(
            Line::write(&second),
            Err(LineError::UnsoundSequence { seq: 2 })
        );
        let chained = Entry {
            prev: Some(LineHash::of("x")),
            ..first()
        };
        assert_eq!(
            Line::write(&chained),
            Err(LineError::UnsoundSequence { seq: 1 })
        );
        let long = Entry {
            by: "x".repeat(LONGEST_LINE),
            ..first()
        };
        assert_eq!(Line::write(&long), Err(LineError::TooLong));
        let nil = Entry {
            id: EntryId(Uuid::nil()),
            ..first()
        };
        assert_eq!(Line::write(&nil), Err(LineError::UnsoundId(nil.id)));
    }
}
