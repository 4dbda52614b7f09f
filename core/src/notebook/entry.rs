//! An entry, and the line of text in which it is stored.

use super::chain::LineHash;
use super::entry_kind::{Understood, understand};
use super::id::{DeviceId, EntryId, Seen};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use uuid::Uuid;

/// The longest line that is accepted, in bytes.
pub const MAX_LINE_BYTES: usize = 1 << 20;

/// One entry of the journal. Fields that a newer version added are not here; they stay in the line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Its id, greater than the ids of all entries that its writer had seen.
    pub id: EntryId,
    /// The device that wrote it.
    pub device: DeviceId,
    /// Its sequence number among that device's entries: 1, 2, 3, without gaps.
    pub seq: u64,
    /// Time by the device's clock, with the offset from UTC; shown, never used to decide anything.
    pub at: DateTime<FixedOffset>,
    /// The person; empty if none is set.
    pub by: String,
    /// What kind of entry it is; see [`super::entry_kind::EntryKind`] for those that this version knows.
    pub kind: String,
    /// What it is about.
    pub subject: Uuid,
    /// Its content, which depends on the kind.
    pub body: Value,
    /// The entries that it replaces.
    #[serde(default)]
    pub replaces: Vec<EntryId>,
    /// The hash of the device's previous line; `None` for its first.
    pub prev: Option<LineHash>,
    /// What its writer had seen of other devices' entries about the same hole, face, and casting.
    /// Together with `seq` it says which of two entries came after the other, without a clock.
    /// Entries of older versions have none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seen: Vec<Seen>,
    /// The place of the entry that this one corrects; `seen` is then what the writer of that entry
    /// had seen, so that a corrected value counts as recorded when the wrong one was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Seen>,
}

/// An entry with its exact text, and the hash of that text.
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
    /// Longer than [`MAX_LINE_BYTES`].
    #[error("it is longer than {MAX_LINE_BYTES} bytes")]
    TooLong,
    /// It begins or ends with whitespace, or has a line break in it.
    #[error("it has whitespace at its ends or a line break inside")]
    StrayWhitespace,
    /// It is not the JSON of an entry.
    #[error("it is not an entry: {0}")]
    NotAnEntry(String),
    /// Its id is not a version 7 UUID from before the year 3000.
    #[error("its id {0} is not valid for an entry")]
    InvalidId(EntryId),
    /// Its sequence number contradicts `prev`: only line 1 has no line before it.
    #[error("its sequence number {seq} contradicts what it says about the line before")]
    InvalidSequence {
        /// The sequence number.
        seq: u64,
    },
}

/// How much of a JSON error is shown, in characters: it quotes the line, however long that is.
const SHOWN: usize = 200;

impl LineError {
    /// Converts a JSON error to one short line without control characters.
    fn not_an_entry(error: &serde_json::Error) -> Self {
        let message = error.to_string();
        let plain = message.chars().map(|letter| match letter {
            letter if letter.is_control() => ' ',
            letter => letter,
        });
        let mut shown: String = plain.take(SHOWN).collect();
        if message.chars().nth(SHOWN).is_some() {
            shown.push_str("...");
        }
        Self::NotAnEntry(shown)
    }
}

impl Line {
    /// Writes an entry as a line.
    ///
    /// # Errors
    /// If the entry is too long or not valid; see [`LineError`].
    pub fn write(entry: &Entry) -> Result<Self, LineError> {
        let text = serde_json::to_string(entry).map_err(|error| LineError::not_an_entry(&error))?;
        Self::read(text)
    }

    /// Reads a line, and keeps its exact text.
    ///
    /// # Errors
    /// If the text is too long or not a valid entry; see [`LineError`].
    pub fn read(text: String) -> Result<Self, LineError> {
        if text.len() > MAX_LINE_BYTES {
            return Err(LineError::TooLong);
        }
        if text.trim().len() != text.len() || text.contains(['\n', '\r']) {
            return Err(LineError::StrayWhitespace);
        }
        let entry: Entry =
            serde_json::from_str(&text).map_err(|error| LineError::not_an_entry(&error))?;
        if !entry.id.is_valid() {
            return Err(LineError::InvalidId(entry.id));
        }
        let first = entry.prev.is_none();
        if entry.seq == 0 || first != (entry.seq == 1) || i64::try_from(entry.seq).is_err() {
            return Err(LineError::InvalidSequence { seq: entry.seq });
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

    /// Returns the entry.
    pub fn entry(&self) -> &Entry {
        &self.entry
    }

    /// Returns the text, byte for byte as written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Returns the entry and the text.
    pub(crate) fn into_parts(self) -> (Entry, String) {
        (self.entry, self.text)
    }

    /// Returns the hash of the text.
    pub fn hash(&self) -> LineHash {
        self.hash
    }

    /// Returns what the projection needs of it; `None` if this version does not understand it.
    pub(crate) fn understood(&self) -> Option<&Understood> {
        self.understood.as_ref()
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
            seen: vec![],
            corrects: None,
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
    fn an_error_is_one_line_whatever_it_quotes() {
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
    fn an_invalid_line_is_refused() {
        let good = Line::write(&first()).unwrap().text().to_owned();
        assert_eq!(
            Line::read(format!("{good} ")),
            Err(LineError::StrayWhitespace)
        );
        assert_eq!(
            Line::read(format!("{good}\n{good}")),
            Err(LineError::StrayWhitespace)
        );
        assert!(matches!(
            Line::read(good[..good.len() - 1].into()),
            Err(LineError::NotAnEntry(_))
        ));
        let second = Entry { seq: 2, ..first() };
        assert_eq!(
            Line::write(&second),
            Err(LineError::InvalidSequence { seq: 2 })
        );
        let chained = Entry {
            prev: Some(LineHash::of("x")),
            ..first()
        };
        assert_eq!(
            Line::write(&chained),
            Err(LineError::InvalidSequence { seq: 1 })
        );
        let long = Entry {
            by: "x".repeat(MAX_LINE_BYTES),
            ..first()
        };
        assert_eq!(Line::write(&long), Err(LineError::TooLong));
        let nil = Entry {
            id: EntryId(Uuid::nil()),
            ..first()
        };
        assert_eq!(Line::write(&nil), Err(LineError::InvalidId(nil.id)));
    }
}
