//! A stretch: consecutive lines of one device that lie on a shelf together.

use crate::notebook::{DeviceId, Head, LineHash};
use std::fmt;
use std::str::FromStr;

/// How many digits of the last line's hash stand in a stretch's name: enough that no two lines ever share them by
/// accident. Every line is checked against its chain when it is taken, so nothing is trusted to them.
const DIGITS: usize = 16;

/// Consecutive lines of one device, told by their ends alone. Two stretches of the same ends are the same lines, byte for
/// byte, whoever left them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stretch {
    /// The device that wrote them.
    pub device: DeviceId,
    /// The sequence number of the first line.
    pub first: u64,
    /// The sequence number of the last line; at least `first`.
    pub last: u64,
    /// The start of the last line's hash.
    pub end: LineMark,
}

/// The first 64 bits of a line's hash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineMark([u8; DIGITS / 2]);

impl LineMark {
    /// Whether a line's hash begins so.
    #[must_use]
    pub fn is_of(&self, hash: LineHash) -> bool {
        hash.0.starts_with(&self.0)
    }
}

impl From<LineHash> for LineMark {
    fn from(hash: LineHash) -> Self {
        let mut mark = [0; DIGITS / 2];
        mark.copy_from_slice(&hash.0[..DIGITS / 2]);
        Self(mark)
    }
}

impl fmt::Display for LineMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl Stretch {
    /// The lines from `first` to `end`.
    #[must_use]
    pub fn to(end: &Head, first: u64) -> Self {
        Self {
            device: end.device,
            first,
            last: end.seq,
            end: end.hash.into(),
        }
    }

    /// The name of its file in its device's folder, `<first>-<last>-<start of the last line's hash>.jsonl`.
    #[must_use]
    pub fn file_name(&self) -> String {
        let Self {
            first, last, end, ..
        } = self;
        format!("{first:012}-{last:012}-{end}.jsonl")
    }

    /// The stretch of `device` that a file of this name holds; `None` where the name is not just as
    /// [`Stretch::file_name`] writes it. Files that are not whole yet have other names.
    #[must_use]
    pub fn from_file_name(device: DeviceId, name: &str) -> Option<Self> {
        let mut parts = name.strip_suffix(".jsonl")?.split('-');
        let stretch = Self {
            device,
            first: parts.next()?.parse().ok()?,
            last: parts.next()?.parse().ok()?,
            end: LineMark(digits(parts.next()?)?),
        };
        let sound = stretch.first >= 1
            && stretch.last >= stretch.first
            && i64::try_from(stretch.last).is_ok();
        (sound && stretch.file_name() == name).then_some(stretch)
    }
}

fn digits(text: &str) -> Option<[u8; DIGITS / 2]> {
    let mut bytes = [0; DIGITS / 2];
    if text.len() != DIGITS || !text.is_ascii() {
        return None;
    }
    for (at, byte) in bytes.iter_mut().enumerate() {
        *byte = u8::from_str_radix(&text[2 * at..2 * at + 2], 16).ok()?;
    }
    Some(bytes)
}

impl fmt::Display for Stretch {
    /// The file's place on a shelf, `journal/<device>/<file name>`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "journal/{}/{}", self.device, self.file_name())
    }
}

/// The text is not the place of a stretch on a shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it is not named as lines of a journal are")]
pub struct NotAStretch;

impl FromStr for Stretch {
    type Err = NotAStretch;

    fn from_str(text: &str) -> Result<Self, NotAStretch> {
        let (device, name) = text
            .strip_prefix("journal/")
            .and_then(|rest| rest.split_once('/'))
            .ok_or(NotAStretch)?;
        let id: DeviceId = device.parse().map_err(|_| NotAStretch)?;
        if id.to_string() != device {
            return Err(NotAStretch);
        }
        Self::from_file_name(id, name).ok_or(NotAStretch)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_names_as_they_are_written_are_stretches() {
        let device = DeviceId::fresh();
        for name in [
            "000000000001-000000000004-0123456789abcdef.jsonl",
            "1234567890123-1234567890124-0123456789abcdef.jsonl",
        ] {
            let stretch = Stretch::from_file_name(device, name).unwrap();
            assert_eq!(stretch.file_name(), name);
            assert_eq!(stretch.to_string().parse(), Ok(stretch));
        }
        for name in [
            "",
            "000000000001.jsonl",
            "000000000000-000000000004-0123456789abcdef.jsonl",
            "000000000005-000000000004-0123456789abcdef.jsonl",
            "1-4-0123456789abcdef.jsonl",
            "000000000001-000000000004-0123456789ABCDEF.jsonl",
            "000000000001-000000000004-+123456789abcdef.jsonl",
            "000000000001-000000000004-0123456789abcde\u{e9}.jsonl",
            "000000000001-000000000004-0123456789abcdef-0.jsonl",
            "000000000001-000000000004-0123456789abcdef.jsonl.tmp",
            ".unfinished-000000000001-000000000004-0123456789abcdef.jsonl",
            "000000000001-99999999999999999999-0123456789abcdef.jsonl",
        ] {
            assert_eq!(Stretch::from_file_name(device, name), None, "{name}");
        }
        for place in ["journal/../x", "journal//", "photos/x", "/journal/a/b"] {
            assert_eq!(place.parse::<Stretch>(), Err(NotAStretch), "{place}");
        }
    }
}
