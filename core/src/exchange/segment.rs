//! A segment: a file with consecutive lines of one device.

use crate::notebook::{DeviceId, Line, LineError, LineHash};
use std::fmt;
use std::str::FromStr;

/// The most bytes that one segment may have to be taken.
pub(super) const LARGEST: u64 = 64 << 20;

/// How many digits of the first line's hash stand in the name of a second file from the same number.
const HASH_DIGITS: usize = 16;

/// A segment's name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SegmentName {
    /// The sequence number of its first line.
    pub first: u64,
    /// The start of its first line's hash, where the plain name was in use.
    pub branch: Option<String>,
}

impl SegmentName {
    /// The name for lines from `first` on.
    pub fn plain(first: u64) -> Self {
        Self {
            first,
            branch: None,
        }
    }

    /// The name for lines from `first` on where the plain one is in use.
    pub fn branch(first: u64, hash: LineHash) -> Self {
        let mut digits = hash.to_string();
        digits.truncate(HASH_DIGITS);
        Self {
            first,
            branch: Some(digits),
        }
    }
}

impl fmt::Display for SegmentName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.branch {
            None => write!(f, "{:012}.jsonl", self.first),
            Some(branch) => write!(f, "{:012}-{branch}.jsonl", self.first),
        }
    }
}

/// The file is not named as a segment; unfinished files are not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NotASegment;

impl FromStr for SegmentName {
    type Err = NotASegment;

    fn from_str(text: &str) -> Result<Self, NotASegment> {
        let stem = text.strip_suffix(".jsonl").ok_or(NotASegment)?;
        let (first, branch) = match stem.split_once('-') {
            Some((first, branch)) => (first, Some(branch.to_owned())),
            None => (stem, None),
        };
        let first = first.parse().map_err(|_| NotASegment)?;
        let name = Self { first, branch };
        // Only the very name that this one is written as.
        if name.to_string() == text {
            Ok(name)
        } else {
            Err(NotASegment)
        }
    }
}

/// Why a segment is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SegmentError {
    /// No line at all.
    #[error("it is empty")]
    Empty,
    /// Larger than is ever written.
    #[error("it is larger than {} MB", LARGEST >> 20)]
    TooLarge,
    /// The last line has no end: the file was cut off.
    #[error("it ends in the middle of a line")]
    CutShort,
    /// Not text.
    #[error("it is not text")]
    NotText,
    /// A line that is not one.
    #[error("line {line} cannot be read: {why}")]
    Line {
        /// Which line of the file, from 1.
        line: usize,
        /// What is wrong with it.
        why: LineError,
    },
    /// A line that belongs to another device.
    #[error("line {line} was written by another device, {device}")]
    OtherDevice {
        /// Which line of the file, from 1.
        line: usize,
        /// The device.
        device: DeviceId,
    },
    /// The first line does not have the number or hash of the file's name.
    #[error("its first line is not the one that its name says")]
    OtherFirst,
    /// A line does not follow the one before it: one is missing, or was changed.
    #[error("line {line} does not follow the line before it")]
    Broken {
        /// Which line of the file, from 1.
        line: usize,
    },
}

/// Reads a segment, and checks all that can be checked without the journal.
pub(super) fn read(
    device: DeviceId,
    name: &SegmentName,
    bytes: Vec<u8>,
) -> Result<Vec<Line>, SegmentError> {
    let text = String::from_utf8(bytes).map_err(|_| SegmentError::NotText)?;
    if text.is_empty() {
        return Err(SegmentError::Empty);
    }
    let text = text.strip_suffix('\n').ok_or(SegmentError::CutShort)?;
    let mut lines: Vec<Line> = Vec::new();
    for (at, text) in text.split('\n').enumerate() {
        let number = at + 1;
        let line =
            Line::read(text.to_owned()).map_err(|why| SegmentError::Line { line: number, why })?;
        if line.entry().device != device {
            return Err(SegmentError::OtherDevice {
                line: number,
                device: line.entry().device,
            });
        }
        match lines.last() {
            None if !is_first_of(&line, name) => return Err(SegmentError::OtherFirst),
            Some(before) if !follows(&line, before) => {
                return Err(SegmentError::Broken { line: number });
            }
            _ => lines.push(line),
        }
    }
    Ok(lines)
}

fn is_first_of(line: &Line, name: &SegmentName) -> bool {
    let hash = line.hash().to_string();
    line.entry().seq == name.first
        && name
            .branch
            .as_ref()
            .is_none_or(|branch| hash.starts_with(branch))
}

fn follows(line: &Line, before: &Line) -> bool {
    line.entry().seq == before.entry().seq + 1 && line.entry().prev == Some(before.hash())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_as_they_are_written_are_segments() {
        for text in [
            "000000000001.jsonl",
            "000000000051-0123456789abcdef.jsonl",
            "1234567890123.jsonl",
        ] {
            assert_eq!(
                text.parse().map(|name: SegmentName| name.to_string()),
                Ok(text.to_owned())
            );
        }
        for text in [
            "1.jsonl",
            "000000000001.jsonl.tmp",
            ".unfinished-000000000001.jsonl",
            "000000000001",
            "+00000000001.jsonl",
        ] {
            assert_eq!(text.parse::<SegmentName>(), Err(NotASegment), "{text}");
        }
    }
}
