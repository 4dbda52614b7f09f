//! Reading a chunk of a segment: whole, consecutive lines of one device.

use super::remote::CHUNK_BYTES;
use super::segment::Segment;
use crate::notebook::{DeviceId, Line, LineError, MAX_LINE_BYTES};

/// The largest chunk in bytes that is accepted.
pub(super) const MAX_CHUNK_BYTES: usize = CHUNK_BYTES + MAX_LINE_BYTES + 1;

/// Why a chunk is rejected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChunkError {
    /// No line at all.
    #[error("it is empty")]
    Empty,
    /// Larger than any chunk that is ever written.
    #[error("it is larger than {} MB", MAX_CHUNK_BYTES >> 20)]
    TooLarge,
    /// The last line has no line break: the file was truncated.
    #[error("it ends in the middle of a line")]
    Truncated,
    /// Not UTF-8.
    #[error("it is not text")]
    NotText,
    /// A line that does not parse.
    #[error("line {line} cannot be read: {reason}")]
    InvalidLine {
        /// Line number within the chunk, from 1.
        line: usize,
        /// What is wrong with it.
        reason: LineError,
    },
    /// A line of another device.
    #[error("line {line} was written by another device, {device}")]
    WrongDevice {
        /// Line number within the chunk, from 1.
        line: usize,
        /// The device.
        device: DeviceId,
    },
    /// The first or last line is not the one that the name or the request says.
    #[error("its lines do not match its name")]
    WrongLines,
    /// A line does not follow the one before it: one is missing or was changed.
    #[error("line {line} does not follow the line before it")]
    BrokenChain {
        /// Line number within the chunk, from 1.
        line: usize,
    },
}

/// Parses a chunk of `segment` that was requested from line `from` on, and validates everything
/// that can be validated without the journal.
pub(super) fn read(segment: &Segment, from: u64, bytes: Vec<u8>) -> Result<Vec<Line>, ChunkError> {
    if bytes.len() > MAX_CHUNK_BYTES {
        return Err(ChunkError::TooLarge);
    }
    let text = String::from_utf8(bytes).map_err(|_| ChunkError::NotText)?;
    if text.is_empty() {
        return Err(ChunkError::Empty);
    }
    let text = text.strip_suffix('\n').ok_or(ChunkError::Truncated)?;
    let mut lines: Vec<Line> = Vec::new();
    for (at, text) in text.split('\n').enumerate() {
        let number = at + 1;
        let line = Line::read(text.to_owned()).map_err(|reason| ChunkError::InvalidLine {
            line: number,
            reason,
        })?;
        if line.entry().device != segment.device {
            return Err(ChunkError::WrongDevice {
                line: number,
                device: line.entry().device,
            });
        }
        if lines.last().is_some_and(|before| !follows(&line, before)) {
            return Err(ChunkError::BrokenChain { line: number });
        }
        lines.push(line);
    }
    if is_of(&lines, segment, from) {
        Ok(lines)
    } else {
        Err(ChunkError::WrongLines)
    }
}

fn follows(line: &Line, before: &Line) -> bool {
    line.entry().seq == before.entry().seq + 1 && line.entry().prev == Some(before.hash())
}

/// Whether consecutive lines lie within the segment, include line `from`, and end with the
/// segment's last line if they reach it.
fn is_of(lines: &[Line], segment: &Segment, from: u64) -> bool {
    let [Some(first), Some(last)] = [lines.first(), lines.last()] else {
        return false;
    };
    let numbers = first.entry().seq..=last.entry().seq;
    *numbers.start() >= segment.first
        && *numbers.end() <= segment.last
        && numbers.contains(&from)
        && (*numbers.end() < segment.last || segment.last_hash.matches(last.hash()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::notebook::tests::{Bench, lay_out, lines};
    use crate::notebook::{Head, LineHash};

    /// Lines of one device, and the segment that they are.
    fn written() -> (Vec<Line>, Segment) {
        let bench = Bench::new();
        lay_out(&bench.notebook, 3);
        let lines = lines(&bench.notebook);
        let last = lines.last().unwrap();
        let (device, seq, hash) = (last.entry().device, last.entry().seq, last.hash());
        (lines, Segment::ending_at(&Head { device, seq, hash }, 1))
    }

    fn text(lines: &[Line]) -> Vec<u8> {
        let parts = lines.iter().flat_map(|line| [line.text(), "\n"]);
        parts.collect::<String>().into_bytes()
    }

    #[test]
    fn chunk_must_belong_to_its_segment_and_include_the_requested_line() {
        let (lines, whole) = written();
        let (last, other) = (whole.last, LineHash::of("another line").into());
        let of = |first, last, end| Segment {
            first,
            last,
            last_hash: end,
            ..whole.clone()
        };
        let second = lines[1].hash().into();
        for (segment, from, chunk, taken) in [
            (whole.clone(), 1, &lines[..], true),
            (whole.clone(), 2, &lines[..2], true),
            (of(2, last, whole.last_hash), 2, &lines[1..], true),
            (of(1, 2, second), 1, &lines[..2], true),
            (whole.clone(), 3, &lines[..2], false),
            (whole.clone(), 1, &lines[1..], false),
            (of(2, last, whole.last_hash), 2, &lines[..], false),
            (of(1, 2, second), 1, &lines[..], false),
            (of(1, last, other), 1, &lines[..], false),
            (of(1, 2, other), 1, &lines[..2], false),
        ] {
            let read = read(&segment, from, text(chunk));
            match taken {
                true => assert_eq!(read.unwrap(), chunk),
                false => assert_eq!(read, Err(ChunkError::WrongLines), "{segment} {from}"),
            }
        }
    }

    #[test]
    fn invalid_chunk_reports_the_reason() {
        let (lines, segment) = written();
        let whole = text(&lines);
        let without_end = whole[..whole.len() - 1].to_vec();
        let read = |bytes| read(&segment, 1, bytes);
        assert_eq!(read(without_end), Err(ChunkError::Truncated));
        assert_eq!(read(vec![]), Err(ChunkError::Empty));
        assert_eq!(read(vec![0xff; 9]), Err(ChunkError::NotText));
        assert_eq!(
            read(vec![b'\n'; MAX_CHUNK_BYTES + 1]),
            Err(ChunkError::TooLarge)
        );
    }
}
