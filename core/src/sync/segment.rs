//! A segment: consecutive lines of one device's journal, stored on a remote as one file.

use crate::notebook::chain::lowercase_hex;
use crate::notebook::{DeviceId, Head, LineHash};
use std::fmt;
use std::str::FromStr;

/// Number of hex digits of the last line's hash in a segment's name: enough to rule out accidental
/// collisions. Security does not rest on them, since every pulled line is validated against its
/// chain.
const HEX_DIGITS: usize = 16;

/// Consecutive lines of one device, identified by their first and last line. Two segments with
/// equal ends hold the same bytes, whichever device pushed them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Segment {
    /// The device that wrote the lines.
    pub device: DeviceId,
    /// The sequence number of the first line.
    pub first: u64,
    /// The sequence number of the last line; at least `first`.
    pub last: u64,
    /// The first 64 bits of the last line's hash.
    pub last_hash: HashPrefix,
}

/// The first 64 bits of a line's hash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HashPrefix([u8; HEX_DIGITS / 2]);

impl HashPrefix {
    /// Whether `hash` begins with these bits.
    #[must_use]
    pub fn matches(&self, hash: LineHash) -> bool {
        hash.0.starts_with(&self.0)
    }
}

impl From<LineHash> for HashPrefix {
    fn from(hash: LineHash) -> Self {
        let mut mark = [0; HEX_DIGITS / 2];
        mark.copy_from_slice(&hash.0[..HEX_DIGITS / 2]);
        Self(mark)
    }
}

impl fmt::Display for HashPrefix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl Segment {
    /// The segment from line `first` to the line `end`.
    #[must_use]
    pub fn ending_at(end: &Head, first: u64) -> Self {
        Self {
            device: end.device,
            first,
            last: end.seq,
            last_hash: end.hash.into(),
        }
    }

    /// The file name within the device's folder, `<first>-<last>-<start of the last line's
    /// hash>.jsonl`.
    #[must_use]
    pub fn file_name(&self) -> String {
        let Self {
            first,
            last,
            last_hash: end,
            ..
        } = self;
        format!("{first:012}-{last:012}-{end}.jsonl")
    }

    /// Parses a file name in the folder of `device`; `None` unless the name is exactly what
    /// [`Segment::file_name`] writes. Temporary files of unfinished writes have other names.
    #[must_use]
    pub fn from_file_name(device: DeviceId, name: &str) -> Option<Self> {
        let mut parts = name.strip_suffix(".jsonl")?.split('-');
        let segment = Self {
            device,
            first: parts.next()?.parse().ok()?,
            last: parts.next()?.parse().ok()?,
            last_hash: HashPrefix(lowercase_hex(parts.next()?)?),
        };
        let valid = segment.first >= 1
            && segment.last >= segment.first
            && i64::try_from(segment.last).is_ok();
        (valid && segment.file_name() == name).then_some(segment)
    }
}

impl fmt::Display for Segment {
    /// The path on a remote, `journal/<device>/<file name>`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "journal/{}/{}", self.device, self.file_name())
    }
}

/// The text is not the path of a segment on a remote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it is not named like a segment of a journal")]
pub struct InvalidSegmentName;

impl FromStr for Segment {
    type Err = InvalidSegmentName;

    fn from_str(text: &str) -> Result<Self, InvalidSegmentName> {
        let (device, name) = text
            .strip_prefix("journal/")
            .and_then(|rest| rest.split_once('/'))
            .ok_or(InvalidSegmentName)?;
        let id: DeviceId = device.parse().map_err(|_| InvalidSegmentName)?;
        if id.to_string() != device {
            return Err(InvalidSegmentName);
        }
        Self::from_file_name(id, name).ok_or(InvalidSegmentName)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_canonical_names_are_segments() {
        let device = DeviceId::fresh();
        for name in [
            "000000000001-000000000004-0123456789abcdef.jsonl",
            "1234567890123-1234567890124-0123456789abcdef.jsonl",
        ] {
            let segment = Segment::from_file_name(device, name).unwrap();
            assert_eq!(segment.file_name(), name);
            assert_eq!(segment.to_string().parse(), Ok(segment));
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
            assert_eq!(Segment::from_file_name(device, name), None, "{name}");
        }
        for path in ["journal/../x", "journal//", "photos/x", "/journal/a/b"] {
            assert_eq!(path.parse::<Segment>(), Err(InvalidSegmentName), "{path}");
        }
    }
}
