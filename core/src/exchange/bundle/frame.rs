//! The frame of a zip file: that it is one from its first byte to its last, before anything in it is believed.
//!
//! The format (APPNOTE.TXT 6.3.10, sections 4.3.14 to 4.3.16; from memory, and read by other programs in the tests) is read from
//! its end, and most readers search for that end. What they find then depends on the reader where something lies behind
//! or before it. Here the end must be the end.

use super::{Flaw, MOST_FILES};
use std::io::{self, Read, Seek, SeekFrom};

const FIRST_FILE: [u8; 4] = *b"PK\x03\x04";
const END: [u8; 4] = *b"PK\x05\x06";
const END_64: [u8; 4] = *b"PK\x06\x06";
const LOCATOR_64: [u8; 4] = *b"PK\x06\x07";
const END_BYTES: usize = 22;
const END_64_BYTES: usize = 56;
const LOCATOR_64_BYTES: usize = 20;
/// The most bytes of the list of files for each file: some 120 for the name, twice, and what others add.
const LIST_BYTES: u64 = 1024;

/// Where a zip file's list of files is, as its end says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Frame {
    /// How many files it lists.
    pub files: u64,
    /// Where it begins, in bytes from the start.
    pub list: u64,
    /// Its size in bytes.
    list_bytes: u64,
}

/// Why a frame could not be read.
#[derive(Debug)]
pub(super) enum NoFrame {
    /// The file cannot be read.
    Io(io::Error),
    /// It is not a sound zip file.
    Flaw(Flaw),
}

impl From<io::Error> for NoFrame {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

impl From<Flaw> for NoFrame {
    fn from(flaw: Flaw) -> Self {
        Self::Flaw(flaw)
    }
}

/// Reads the frame of a zip file without anything before, behind or beside it: no comment, one volume.
pub(super) fn read(file: &mut (impl Read + Seek)) -> Result<Frame, NoFrame> {
    let size = file.seek(SeekFrom::End(0))?;
    let start: [u8; 4] = match size {
        0..4 => return Err(Flaw::NotAZip.into()),
        _ => read_at(file, 0)?,
    };
    if start != FIRST_FILE && start != END {
        return Err(Flaw::NotAZip.into());
    }
    let end_at = size.checked_sub(END_BYTES as u64).ok_or(Flaw::NotWhole)?;
    let end: [u8; END_BYTES] = read_at(file, end_at)?;
    let (frame, ends_at) = match end_32(&end)? {
        Some(frame) => (frame, end_at),
        None => end_64(file, end_at)?,
    };
    if frame.files > MOST_FILES {
        return Err(Flaw::TooManyFiles(frame.files).into());
    }
    let meets = frame.list.checked_add(frame.list_bytes) == Some(ends_at);
    let empty = frame.files == 0;
    if !meets || empty != (start == END) || frame.list_bytes > LIST_BYTES * frame.files {
        return Err(Flaw::NotWhole.into());
    }
    Ok(frame)
}

/// The frame that the last bytes give; none where they say that it stands before them in the larger form.
fn end_32(end: &[u8; END_BYTES]) -> Result<Option<Frame>, Flaw> {
    let two = |at| u16::from_le_bytes(bytes(end, at));
    let four = |at| u32::from_le_bytes(bytes(end, at));
    if bytes(end, 0) != END || two(20) != 0 {
        return Err(Flaw::NotWhole);
    }
    let (volume, volume_of_list, files_here) = (two(4), two(6), two(8));
    let (files, list_bytes, list) = (two(10), four(12), four(16));
    if files == u16::MAX || list_bytes == u32::MAX || list == u32::MAX {
        return Ok(None);
    }
    if volume != 0 || volume_of_list != 0 || files_here != files {
        return Err(Flaw::NotWhole);
    }
    Ok(Some(Frame {
        files: files.into(),
        list: list.into(),
        list_bytes: list_bytes.into(),
    }))
}

/// The frame in the larger form, and where that begins.
fn end_64(file: &mut (impl Read + Seek), end_at: u64) -> Result<(Frame, u64), NoFrame> {
    let locator_at = end_at.checked_sub(LOCATOR_64_BYTES as u64);
    let locator_at = locator_at.ok_or(Flaw::NotWhole)?;
    let locator: [u8; LOCATOR_64_BYTES] = read_at(file, locator_at)?;
    let at = u64::from_le_bytes(bytes(&locator, 8));
    let meets = at.checked_add(END_64_BYTES as u64) == Some(locator_at);
    if bytes(&locator, 0) != LOCATOR_64 || !meets {
        return Err(Flaw::NotWhole.into());
    }
    let end: [u8; END_64_BYTES] = read_at(file, at)?;
    let four = |at| u32::from_le_bytes(bytes(&end, at));
    let eight = |at| u64::from_le_bytes(bytes(&end, at));
    let one_volume = four(16) == 0 && four(20) == 0 && eight(24) == eight(32);
    if bytes(&end, 0) != END_64 || eight(4) != END_64_BYTES as u64 - 12 || !one_volume {
        return Err(Flaw::NotWhole.into());
    }
    let frame = Frame {
        files: eight(32),
        list: eight(48),
        list_bytes: eight(40),
    };
    Ok((frame, at))
}

fn read_at<const N: usize>(file: &mut (impl Read + Seek), at: u64) -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    file.seek(SeekFrom::Start(at))?;
    file.read_exact(&mut bytes)?;
    Ok(bytes)
}

/// So many bytes of `from`, which has them.
fn bytes<const N: usize>(from: &[u8], at: usize) -> [u8; N] {
    let mut bytes = [0; N];
    bytes.copy_from_slice(&from[at..at + N]);
    bytes
}
