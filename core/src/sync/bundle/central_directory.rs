//! The central directory of a zip file: checks that the file is a zip file from its first byte to
//! its last before anything in it is trusted.
//!
//! The format (APPNOTE.TXT 6.3.10, sections 4.3.14 to 4.3.16; from memory, and verified with other
//! programs in the tests) is read from its end, and most readers search for that end. If something
//! precedes or follows it, different readers find different content. Here the end record must be
//! the last bytes of the file.

use super::{BundleFlaw, MAX_FILES};
use std::io::{self, Read, Seek, SeekFrom};

const LOCAL_HEADER: [u8; 4] = *b"PK\x03\x04";
const END_RECORD: [u8; 4] = *b"PK\x05\x06";
const ZIP64_END_RECORD: [u8; 4] = *b"PK\x06\x06";
const ZIP64_LOCATOR: [u8; 4] = *b"PK\x06\x07";
const END_RECORD_BYTES: usize = 22;
const ZIP64_END_RECORD_BYTES: usize = 56;
const ZIP64_LOCATOR_BYTES: usize = 20;
/// The most bytes of central directory per file: about 120 for the name, twice, plus extra fields
/// of other programs.
const MAX_BYTES_PER_FILE: u64 = 1024;

/// The position of a zip file's central directory, as its end record says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct CentralDirectory {
    /// Number of files that it lists.
    pub files: u64,
    /// Its offset in bytes from the start of the file.
    pub offset: u64,
    /// Its size in bytes.
    size: u64,
}

/// Why the central directory could not be read.
#[derive(Debug)]
pub(super) enum DirectoryError {
    /// The file cannot be read.
    Io(io::Error),
    /// It is not a valid zip file.
    Invalid(BundleFlaw),
}

impl From<io::Error> for DirectoryError {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

impl From<BundleFlaw> for DirectoryError {
    fn from(flaw: BundleFlaw) -> Self {
        Self::Invalid(flaw)
    }
}

/// Finds the central directory of a zip file with no comment, one volume, and nothing before, after
/// or between its files.
pub(super) fn read(file: &mut (impl Read + Seek)) -> Result<CentralDirectory, DirectoryError> {
    let size = file.seek(SeekFrom::End(0))?;
    let start: [u8; 4] = match size {
        0..4 => return Err(BundleFlaw::NotAZip.into()),
        _ => read_at(file, 0)?,
    };
    if start != LOCAL_HEADER && start != END_RECORD {
        return Err(BundleFlaw::NotAZip.into());
    }
    let end_at = size
        .checked_sub(END_RECORD_BYTES as u64)
        .ok_or(BundleFlaw::Truncated)?;
    let end: [u8; END_RECORD_BYTES] = read_at(file, end_at)?;
    let (directory, ends_at) = match end_record(&end)? {
        EndRecord::Whole(directory) => (directory, end_at),
        EndRecord::Continued => zip64_end_record(file, end_at)?,
        // As many files as the field can count; some programs write no zip64 end record for them.
        EndRecord::MaybeContinued(directory) => match zip64_end_record(file, end_at) {
            Err(DirectoryError::Invalid(_)) => (directory, end_at),
            found => found?,
        },
    };
    if directory.files > MAX_FILES {
        return Err(BundleFlaw::TooManyFiles(directory.files).into());
    }
    let is_adjacent = directory.offset.checked_add(directory.size) == Some(ends_at);
    let empty = directory.files == 0;
    if !is_adjacent
        || empty != (start == END_RECORD)
        || directory.size > MAX_BYTES_PER_FILE * directory.files
    {
        return Err(BundleFlaw::Truncated.into());
    }
    Ok(directory)
}

/// What the last bytes say.
enum EndRecord {
    /// The position.
    Whole(CentralDirectory),
    /// The position, unless there is a zip64 end record before them.
    MaybeContinued(CentralDirectory),
    /// The position is in the zip64 end record before them.
    Continued,
}

fn end_record(end: &[u8; END_RECORD_BYTES]) -> Result<EndRecord, BundleFlaw> {
    let two = |at| u16::from_le_bytes(bytes(end, at));
    let four = |at| u32::from_le_bytes(bytes(end, at));
    if bytes(end, 0) != END_RECORD || two(20) != 0 {
        return Err(BundleFlaw::Truncated);
    }
    let (volume, volume_of_list, files_here) = (two(4), two(6), two(8));
    let (files, list_bytes, list) = (two(10), four(12), four(16));
    if list_bytes == u32::MAX || list == u32::MAX {
        return Ok(EndRecord::Continued);
    }
    if volume != 0 || volume_of_list != 0 || files_here != files {
        return Err(BundleFlaw::Truncated);
    }
    let directory = CentralDirectory {
        files: files.into(),
        offset: list.into(),
        size: list_bytes.into(),
    };
    Ok(match files {
        u16::MAX => EndRecord::MaybeContinued(directory),
        _ => EndRecord::Whole(directory),
    })
}

/// The position in the zip64 end record, and the offset of that record.
fn zip64_end_record(
    file: &mut (impl Read + Seek),
    end_at: u64,
) -> Result<(CentralDirectory, u64), DirectoryError> {
    let locator_at = end_at.checked_sub(ZIP64_LOCATOR_BYTES as u64);
    let locator_at = locator_at.ok_or(BundleFlaw::Truncated)?;
    let locator: [u8; ZIP64_LOCATOR_BYTES] = read_at(file, locator_at)?;
    let at = u64::from_le_bytes(bytes(&locator, 8));
    let is_adjacent = at.checked_add(ZIP64_END_RECORD_BYTES as u64) == Some(locator_at);
    if bytes(&locator, 0) != ZIP64_LOCATOR || !is_adjacent {
        return Err(BundleFlaw::Truncated.into());
    }
    let end: [u8; ZIP64_END_RECORD_BYTES] = read_at(file, at)?;
    let four = |at| u32::from_le_bytes(bytes(&end, at));
    let eight = |at| u64::from_le_bytes(bytes(&end, at));
    let one_volume = four(16) == 0 && four(20) == 0 && eight(24) == eight(32);
    if bytes(&end, 0) != ZIP64_END_RECORD
        || eight(4) != ZIP64_END_RECORD_BYTES as u64 - 12
        || !one_volume
    {
        return Err(BundleFlaw::Truncated.into());
    }
    let directory = CentralDirectory {
        files: eight(32),
        offset: eight(48),
        size: eight(40),
    };
    Ok((directory, at))
}

fn read_at<const N: usize>(file: &mut (impl Read + Seek), at: u64) -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    file.seek(SeekFrom::Start(at))?;
    file.read_exact(&mut bytes)?;
    Ok(bytes)
}

/// The `N` bytes at `at`, which must exist.
fn bytes<const N: usize>(from: &[u8], at: usize) -> [u8; N] {
    let mut bytes = [0; N];
    bytes.copy_from_slice(&from[at..at + N]);
    bytes
}
