//! Reading a piece of a stretch: whole lines of one device that follow each other.

use super::shelf::PIECE_BYTES;
use super::stretch::Stretch;
use crate::notebook::{DeviceId, LONGEST_LINE, Line, LineError};

/// The most bytes that a piece may have to be taken.
pub(super) const LARGEST_PIECE: usize = PIECE_BYTES + LONGEST_LINE + 1;

/// Why a piece is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PieceError {
    /// No line at all.
    #[error("it is empty")]
    Empty,
    /// Larger than is ever written.
    #[error("it is larger than {} MB", LARGEST_PIECE >> 20)]
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
        /// Which line of the piece, from 1.
        line: usize,
        /// What is wrong with it.
        why: LineError,
    },
    /// A line that belongs to another device.
    #[error("line {line} was written by another device, {device}")]
    OtherDevice {
        /// Which line of the piece, from 1.
        line: usize,
        /// The device.
        device: DeviceId,
    },
    /// The first or last line is not the one that the name says, or that was asked for.
    #[error("its lines are not those that its name says")]
    OtherLines,
    /// A line does not follow the one before it: one is missing, or was changed.
    #[error("line {line} does not follow the line before it")]
    Broken {
        /// Which line of the piece, from 1.
        line: usize,
    },
}

/// Reads a piece of `stretch` that was asked for from line `from` on, and checks all that can be checked without the journal.
pub(super) fn read(stretch: &Stretch, from: u64, bytes: Vec<u8>) -> Result<Vec<Line>, PieceError> {
    if bytes.len() > LARGEST_PIECE {
        return Err(PieceError::TooLarge);
    }
    let text = String::from_utf8(bytes).map_err(|_| PieceError::NotText)?;
    if text.is_empty() {
        return Err(PieceError::Empty);
    }
    let text = text.strip_suffix('\n').ok_or(PieceError::CutShort)?;
    let mut lines: Vec<Line> = Vec::new();
    for (at, text) in text.split('\n').enumerate() {
        let number = at + 1;
        let line =
            Line::read(text.to_owned()).map_err(|why| PieceError::Line { line: number, why })?;
        if line.entry().device != stretch.device {
            return Err(PieceError::OtherDevice {
                line: number,
                device: line.entry().device,
            });
        }
        if lines.last().is_some_and(|before| !follows(&line, before)) {
            return Err(PieceError::Broken { line: number });
        }
        lines.push(line);
    }
    if is_of(&lines, stretch, from) {
        Ok(lines)
    } else {
        Err(PieceError::OtherLines)
    }
}

fn follows(line: &Line, before: &Line) -> bool {
    line.entry().seq == before.entry().seq + 1 && line.entry().prev == Some(before.hash())
}

/// Whether lines that follow each other lie within the stretch, reach to line `from`, and end as it does where they reach its end.
fn is_of(lines: &[Line], stretch: &Stretch, from: u64) -> bool {
    let [Some(first), Some(last)] = [lines.first(), lines.last()] else {
        return false;
    };
    let numbers = first.entry().seq..=last.entry().seq;
    *numbers.start() >= stretch.first
        && *numbers.end() <= stretch.last
        && numbers.contains(&from)
        && (*numbers.end() < stretch.last || stretch.end.is_of(last.hash()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::notebook::tests::{Bench, lay_out, lines};
    use crate::notebook::{Head, LineHash};

    /// Lines of one device, and the stretch that they are.
    fn written() -> (Vec<Line>, Stretch) {
        let bench = Bench::new();
        lay_out(&bench.notebook, 3);
        let lines = lines(&bench.notebook);
        let last = lines.last().unwrap();
        let (device, seq, hash) = (last.entry().device, last.entry().seq, last.hash());
        (lines, Stretch::to(&Head { device, seq, hash }, 1))
    }

    fn text(lines: &[Line]) -> Vec<u8> {
        let parts = lines.iter().flat_map(|line| [line.text(), "\n"]);
        parts.collect::<String>().into_bytes()
    }

    #[test]
    fn a_piece_is_taken_where_it_is_of_its_stretch_and_reaches_what_was_asked_for() {
        let (lines, whole) = written();
        let (last, other) = (whole.last, LineHash::of("another line").into());
        let of = |first, last, end| Stretch {
            first,
            last,
            end,
            ..whole.clone()
        };
        let second = lines[1].hash().into();
        for (stretch, from, piece, taken) in [
            (whole.clone(), 1, &lines[..], true),
            (whole.clone(), 2, &lines[..2], true),
            (of(2, last, whole.end), 2, &lines[1..], true),
            (of(1, 2, second), 1, &lines[..2], true),
            (whole.clone(), 3, &lines[..2], false),
            (whole.clone(), 1, &lines[1..], false),
            (of(2, last, whole.end), 2, &lines[..], false),
            (of(1, 2, second), 1, &lines[..], false),
            (of(1, last, other), 1, &lines[..], false),
            (of(1, 2, other), 1, &lines[..2], false),
        ] {
            let read = read(&stretch, from, text(piece));
            match taken {
                true => assert_eq!(read.unwrap(), piece),
                false => assert_eq!(read, Err(PieceError::OtherLines), "{stretch} {from}"),
            }
        }
    }

    #[test]
    fn what_is_no_piece_says_what_is_wrong() {
        let (lines, stretch) = written();
        let whole = text(&lines);
        let without_end = whole[..whole.len() - 1].to_vec();
        let read = |bytes| read(&stretch, 1, bytes);
        assert_eq!(read(without_end), Err(PieceError::CutShort));
        assert_eq!(read(vec![]), Err(PieceError::Empty));
        assert_eq!(read(vec![0xff; 9]), Err(PieceError::NotText));
        assert_eq!(
            read(vec![b'\n'; LARGEST_PIECE + 1]),
            Err(PieceError::TooLarge)
        );
    }
}
