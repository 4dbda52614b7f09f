//! The pages of a database file and its log, in whatever state they are.

use std::collections::BTreeMap;

const MAGIC: &[u8] = b"SQLite format 3\0";
/// The page size of every notebook so far.
const USUAL_SIZE: usize = 4096;
const LOG_HEADER: usize = 32;
const FRAME_HEADER: usize = 24;

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
        let mut pages = Self {
            usable: size - reserved,
            size,
            newest: BTreeMap::new(),
            frames: Vec::new(),
            file,
            log,
        };
        pages.read_log();
        pages
    }

    /// Reads the frames of the log's current round, up to the last commit: what follows was never
    /// acknowledged. Checksums are not checked, since one damaged frame would cost all after it.
    fn read_log(&mut self) {
        let step = FRAME_HEADER + self.size;
        let salts = salts(&self.log, step);
        let mut since_end = Vec::new();
        let mut at = LOG_HEADER;
        while let Some(frame) = self.log.get(at..at + step) {
            let (page, ends) = (number(frame), number(&frame[4..]) > 0);
            // A frame of an earlier round has another salt.
            let of_this_round = salt(&self.log, at + 8).is_some_and(|salt| salts.contains(&salt));
            if of_this_round {
                since_end.push((page, at + FRAME_HEADER));
            }
            if of_this_round && ends {
                self.newest.extend(since_end.iter().copied());
                self.frames.extend(since_end.drain(..).map(|(_, at)| at));
            }
            at += step;
        }
    }

    /// Returns whether the log has commits after a damaged frame. SQLite stops there, takes the
    /// rest for an unfinished transaction, and reports no fault.
    pub fn log_is_cut(&self) -> bool {
        let end = undamaged_end(&self.log, FRAME_HEADER + self.size);
        self.frames.iter().any(|at| *at > end)
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

/// Returns the salts that identify frames of the log's current round. The log's header and each
/// frame have one; if the header and the first frame differ, or have none, at least one of them is
/// damaged, and the first two frames that agree decide.
fn salts(log: &[u8], step: usize) -> Vec<[u8; 8]> {
    let first = LOG_HEADER + 8;
    let mut salts = vec![salt(log, 16), salt(log, first)];
    if salts[0].is_none() || salts[0] != salts[1] {
        let frames = (first..log.len()).step_by(step).map(|at| salt(log, at));
        let mut pairs = frames.clone().zip(frames.skip(1));
        let pair = pairs.find(|(one, next)| one.is_some() && one == next);
        salts.extend(pair.map(|(one, _)| one));
    }
    salts.into_iter().flatten().collect()
}

/// Returns where the last commit ends whose frames are all undamaged. Each frame's checksum covers
/// all before it, from the log's header on (section 4.2 of SQLite's "Database File Format").
fn undamaged_end(log: &[u8], step: usize) -> usize {
    let little = log.get(3) == Some(&0x82);
    let mut sum = (0, 0);
    let Some(header) = log.get(..LOG_HEADER) else {
        return 0;
    };
    add(&mut sum, &header[..24], little);
    if !is_sum(sum, &header[24..]) {
        return 0;
    }
    let mut end = 0;
    for (nth, frame) in log[LOG_HEADER..].chunks_exact(step).enumerate() {
        add(&mut sum, &frame[..8], little);
        add(&mut sum, &frame[FRAME_HEADER..], little);
        if !is_sum(sum, &frame[16..]) || frame[8..16] != header[16..24] {
            break;
        }
        if number(&frame[4..]) > 0 {
            end = LOG_HEADER + (nth + 1) * step;
        }
    }
    end
}

fn add(sum: &mut (u32, u32), bytes: &[u8], little: bool) {
    let word = |bytes: &[u8]| match little {
        true => number(bytes).swap_bytes(),
        false => number(bytes),
    };
    for pair in bytes.chunks_exact(8) {
        sum.0 = sum.0.wrapping_add(word(pair)).wrapping_add(sum.1);
        sum.1 = sum.1.wrapping_add(word(&pair[4..])).wrapping_add(sum.0);
    }
}

fn is_sum(sum: (u32, u32), bytes: &[u8]) -> bool {
    sum == (number(bytes), number(&bytes[4..]))
}

/// Returns the salt at a place. Zeros are not one, but what a disk leaves where it lost a block.
fn salt(log: &[u8], at: usize) -> Option<[u8; 8]> {
    let salt = log.get(at..)?.first_chunk().copied();
    salt.filter(|salt| *salt != [0; 8])
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

fn number(bytes: &[u8]) -> u32 {
    let bytes = bytes.iter().take(4);
    bytes.fold(0, |number, byte| number << 8 | u32::from(*byte))
}
