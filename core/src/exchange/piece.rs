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
