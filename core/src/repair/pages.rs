//! The pages of a database file and its log, in whatever state they are.

use crate::notebook::wal::{self, number};
use std::collections::BTreeMap;

const MAGIC: &[u8] = b"SQLite format 3\0";
/// The page size of every notebook so far.
const USUAL_SIZE: usize = 4096;

/// The pages.
pub(super) struct Pages {
    file: Vec<u8>,
    log: Vec<u8>,
    size: usize,
    /// Bytes of a page that hold content.
    usable: usize,
    /// The offset in the log of the newest version of each page that it has.
    newest: BTreeMap<u32, usize>,
    /// The offset of every page in the log.
    frames: Vec<usize>,
}

impl Pages {
    /// The most that a leaf of a table holds of one record, from the usable page size.
    pub const TABLE: fn(usize) -> usize = |usable| usable - 35;
    /// The same for a leaf of an index, or of a table without row ids.
    pub const INDEX: fn(usize) -> usize = |usable| (usable - 12) * 64 / 255 - 23;

    /// Splits a file and its log into pages.
    pub fn of(file: Vec<u8>, log: Vec<u8>) -> Self {
        let (size, reserved) = form(&file);
        let frames = wal::committed_frames(&log, size);
        Self {
            usable: size - reserved,
            size,
            newest: frames.iter().map(|frame| (frame.page, frame.at)).collect(),
            frames: frames.iter().map(|frame| frame.at).collect(),
            file,
            log,
        }
    }

    /// Returns whether the log has commits after a damaged frame.
    pub fn log_is_cut(&self) -> bool {
        wal::is_cut(&self.log, self.size)
    }

    /// Returns every page, also those that newer ones in the log replace.
    pub fn all(&self) -> impl Iterator<Item = &[u8]> {
        let log = self.frames.iter();
        let log = log.map(|at| &self.log[*at..*at + self.size]);
        self.file.chunks(self.size).chain(log)
    }

    /// Returns what a record of `length` bytes that begins at `at` in a page may be. A long record
    /// continues in overflow pages, as the log has them, or as the file has them.
    pub fn records(
        &self,
        bytes: &[u8],
        at: usize,
        length: usize,
        most: fn(usize) -> usize,
    ) -> impl Iterator<Item = Vec<u8>> {
        let most = most(self.usable);
        let from_log = self.record(bytes, at, length, most, true);
        let from_file = self.record(bytes, at, length, most, false);
        from_log.into_iter().chain(from_file)
    }

    fn record(
        &self,
        bytes: &[u8],
        at: usize,
        length: usize,
        most: usize,
        with_log: bool,
    ) -> Option<Vec<u8>> {
        let here = self.local(length, most);
        let mut record = bytes.get(at..at + here)?.to_vec();
        let mut next = match bytes.get(at + here..at + here + 4) {
            Some(next) if here < length => number(next),
            _ => 0,
        };
        while record.len() < length {
            let page = self.page(next, with_log)?;
            let take = (length - record.len()).min(self.usable - 4);
            record.extend_from_slice(page.get(4..4 + take)?);
            next = number(page);
        }
        Some(record)
    }

    /// Returns how many bytes of a record are in its own page.
    fn local(&self, length: usize, most: usize) -> usize {
        if length <= most {
            return length;
        }
        let least = (self.usable - 12) * 32 / 255 - 23;
        let here = least + (length - least) % (self.usable - 4);
        if here <= most { here } else { least }
    }

    fn page(&self, page: u32, with_log: bool) -> Option<&[u8]> {
        if let Some(at) = self.newest.get(&page).filter(|_| with_log) {
            return self.log.get(*at..*at + self.size);
        }
        let start = (page as usize).checked_sub(1)? * self.size;
        self.file.get(start..start + self.size)
    }
}

/// Returns the page size and the reserved bytes at its end; the usual ones if the file's start is
/// damaged.
fn form(file: &[u8]) -> (usize, usize) {
    let Some(header) = file.get(..100).filter(|header| header.starts_with(MAGIC)) else {
        return (USUAL_SIZE, 0);
    };
    let size = usize::from(header[16]) << 8 | usize::from(header[17]);
    let size = if size == 1 { 65_536 } else { size };
    let reserved = usize::from(header[20]);
    if size.is_power_of_two() && (512..=65_536).contains(&size) && size - reserved >= 480 {
        (size, reserved)
    } else {
        (USUAL_SIZE, 0)
    }
}
