//! The database's write-ahead log, read without SQLite, whatever state it is in.
//!
//! The log has a header of 32 bytes, then frames: 24 bytes (page number, size of the database if the
//! frame ends a transaction, salt, checksum), then one page. Each round of the log has another
//! salt, and each checksum covers all before it (sections 4.1 to 4.3 of SQLite's "Database File
//! Format"). SQLite stops at the first frame whose checksum is wrong, and reports no fault.

const HEADER: usize = 32;
/// The first three bytes of a header; the fourth gives the order of bytes.
const MAGIC: &[u8] = &[0x37, 0x7f, 0x06];
const FRAME_HEADER: usize = 24;

/// A frame of the log's current round, up to the last commit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Frame {
    /// The number of its page.
    pub page: u32,
    /// The offset of its page in the log.
    pub at: usize,
}

/// Returns the frames of the log's current round, up to the last commit: what follows was never
/// acknowledged. Checksums are not checked, since one damaged frame would cost all after it; but a
/// commit whose mark was lost is found by its checksum.
pub(crate) fn committed_frames(log: &[u8], page_size: usize) -> Vec<Frame> {
    let step = FRAME_HEADER + page_size;
    let salts = salts(log, step);
    let lost_commit = undamaged(log, step).lost_commit;
    let (mut frames, mut since_commit) = (Vec::new(), Vec::new());
    let mut at = HEADER;
    while let Some(frame) = log.get(at..at + step) {
        let of_this_round = |own: [u8; 8]| salts.iter().any(|salt| is_nearly(own, *salt));
        if salt(log, at + 8).is_some_and(of_this_round) {
            since_commit.push(Frame {
                page: number(frame),
                at: at + FRAME_HEADER,
            });
            if number(&frame[4..]) > 0 || lost_commit == Some(at + FRAME_HEADER) {
                frames.append(&mut since_commit);
            }
        }
        at += step;
    }
    frames
}

/// Returns whether the log has commits after a damaged frame. SQLite takes them for an unfinished
/// transaction and overwrites them.
pub(crate) fn is_cut(log: &[u8], page_size: usize) -> bool {
    let whole = undamaged(log, FRAME_HEADER + page_size);
    let frames = committed_frames(log, page_size);
    let Some(last) = frames.last().filter(|last| last.at > whole.end) else {
        return false;
    };
    whole.unfinished != Some(last.at)
}

/// Returns the newest version of page 1 that the log has up to its last commit.
pub(crate) fn first_page(log: &[u8]) -> Option<&[u8]> {
    let size = page_size(log)?;
    let frames = committed_frames(log, size);
    let newest = frames.iter().rfind(|frame| frame.page == 1)?;
    log.get(newest.at..newest.at + size)
}

/// Returns the page size that the log's header gives.
pub(crate) fn page_size(log: &[u8]) -> Option<usize> {
    let size = usize::try_from(number(log.get(8..12)?)).ok()?;
    (size.is_power_of_two() && (512..=65_536).contains(&size)).then_some(size)
}

/// Returns the salts that identify frames of the log's current round. The header has it; if the
/// header is damaged, that of the first frame counts, and of the first two frames that agree.
fn salts(log: &[u8], step: usize) -> Vec<[u8; 8]> {
    if header_is_whole(log) {
        return salt(log, 16).into_iter().collect();
    }
    let first = HEADER + 8;
    let frames = (first..log.len()).step_by(step).map(|at| salt(log, at));
    let mut pairs = frames.clone().zip(frames.skip(1));
    let pair = pairs.find(|(one, next)| one.is_some() && one == next);
    let pair = pair.and_then(|(one, _)| one);
    let salts = [salt(log, 16), salt(log, first), pair];
    salts.into_iter().flatten().collect()
}

/// Returns whether a frame's salt is that of the round, or was until a bit or two of it flipped. A
/// frame of an earlier round differs in both halves: the first is counted up, the second is random.
fn is_nearly(own: [u8; 8], round: [u8; 8]) -> bool {
    let flipped = number(&own[4..]) ^ number(&round[4..]);
    flipped == 0 || own[..4] == round[..4] && flipped.count_ones() <= 2
}

/// How much of a log is undamaged.
#[derive(Debug, Default)]
struct Undamaged {
    /// Where the last commit ends whose frames are all undamaged.
    end: usize,
    /// The page of the first frame after that if it looks half written: a program that was killed
    /// between a frame's header and its page leaves the page of an earlier round there. Nobody was
    /// told that such a commit is done.
    unfinished: Option<usize>,
    /// The page of that frame if only its commit mark is damaged.
    lost_commit: Option<usize>,
}

fn undamaged(log: &[u8], step: usize) -> Undamaged {
    let mut whole = Undamaged::default();
    let Some(header) = log.get(..HEADER).filter(|_| header_is_whole(log)) else {
        return whole;
    };
    let little = is_little_endian(log);
    let mut sum = (number(&header[24..]), number(&header[28..]));
    for (nth, frame) in log[HEADER..].chunks_exact(step).enumerate() {
        let before = sum;
        add(&mut sum, &frame[..8], little);
        add(&mut sum, &frame[FRAME_HEADER..], little);
        let same_round = frame[8..16] == header[16..24];
        if !is_sum(sum, &frame[16..]) || !same_round {
            let page = HEADER + nth * step + FRAME_HEADER;
            let lost_commit = same_round && has_lost_commit(before, frame, little);
            let half_written =
                same_round && !lost_commit && !is_one_bit_off(sum, &frame[16..], step);
            whole.unfinished = half_written.then_some(page);
            whole.lost_commit = lost_commit.then_some(page);
            break;
        }
        if number(&frame[4..]) > 0 {
            whole.end = HEADER + (nth + 1) * step;
        }
    }
    whole
}

/// Returns whether a frame ended a transaction and only its commit mark, the database's size, is
/// damaged. `before` is the checksum of all before it.
///
/// The mark is one word of the checksum, and the checksum has two: the first tells what the mark was,
/// the second proves it. So it differs from a frame that was half written, whose page is not there.
fn has_lost_commit(before: (u32, u32), frame: &[u8], little: bool) -> bool {
    let page = &frame[FRAME_HEADER..];
    let mut sum = before;
    add(&mut sum, &[&frame[..4], &[0; 4]].concat(), little);
    add(&mut sum, page, little);
    // What a mark of one adds: it passes through all words of the page.
    let mut one = (0, 1_u32);
    for _ in 0..page.len() / 8 {
        one = later(one);
    }
    let stored = (number(&frame[16..]), number(&frame[20..]));
    let off = (stored.0.wrapping_sub(sum.0), stored.1.wrapping_sub(sum.1));
    let of_odd = |odd: u32, off: u32| off.wrapping_mul(inverse(odd));
    let mark = match one.0 % 2 {
        1 => of_odd(one.0, off.0),
        _ => of_odd(one.1, off.1),
    };
    let proved = (one.0.wrapping_mul(mark), one.1.wrapping_mul(mark)) == off;
    let mark = if little { mark.swap_bytes() } else { mark };
    proved && mark >= number(frame) && number(frame) > 0
}

/// The number that gives one when multiplied by an odd one, modulo two to the 32nd. Each step doubles
/// the bits that are right, from three.
fn inverse(odd: u32) -> u32 {
    (0..4).fold(odd, |inverse, _| {
        inverse.wrapping_mul(2_u32.wrapping_sub(odd.wrapping_mul(inverse)))
    })
}

/// What a word adds to the checksum, two words later.
fn later(one: (u32, u32)) -> (u32, u32) {
    let first = one.0.wrapping_add(one.1);
    (first, one.1.wrapping_add(first))
}

/// Returns whether one flipped bit in a frame explains why its checksum is not the one computed.
///
/// The checksum is linear: a bit that flips changes it by a power of two times what a one in that
/// word would add, so the words are tried from the last to the first.
fn is_one_bit_off(sum: (u32, u32), stored: &[u8], step: usize) -> bool {
    let stored = (number(stored), number(&stored[4..]));
    if (sum.0 ^ stored.0).count_ones() + (sum.1 ^ stored.1).count_ones() == 1 {
        return true;
    }
    let off = (stored.0.wrapping_sub(sum.0), stored.1.wrapping_sub(sum.1));
    let explains = |one: (u32, u32)| {
        (0..32).any(|bit| {
            let by = (one.0 << bit, one.1 << bit);
            by == off || (by.0.wrapping_neg(), by.1.wrapping_neg()) == off
        })
    };
    // The words of the page and the first eight bytes of the frame's header, in pairs.
    let pairs = (step - FRAME_HEADER) / 8 + 1;
    let mut ones = ((1, 1), (0, 1));
    (0..pairs).any(|_| {
        let found = explains(ones.0) || explains(ones.1);
        ones = (later(ones.0), later(ones.1));
        found
    })
}

/// Returns whether the log has a header that matches its checksum.
fn header_is_whole(log: &[u8]) -> bool {
    let Some(header) = log.get(..HEADER).filter(|log| log.starts_with(MAGIC)) else {
        return false;
    };
    let mut sum = (0, 0);
    add(&mut sum, &header[..24], is_little_endian(log));
    is_sum(sum, &header[24..])
}

/// Returns the order of bytes in which checksums are computed.
fn is_little_endian(log: &[u8]) -> bool {
    log.get(3) == Some(&0x82)
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

/// Returns the number in the first four bytes, the highest byte first.
pub(crate) fn number(bytes: &[u8]) -> u32 {
    let bytes = bytes.iter().take(4);
    bytes.fold(0, |number, byte| number << 8 | u32::from(*byte))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use rusqlite::Connection;

    /// The log of a database with some commits, one page each.
    fn log() -> Vec<u8> {
        let dir = tempfile::TempDir::new().unwrap();
        let file = dir.path().join("database");
        let conn = Connection::open(&file).unwrap();
        conn.execute_batch("PRAGMA journal_mode = WAL; CREATE TABLE t (x)")
            .unwrap();
        for x in 0..20 {
            conn.execute("INSERT INTO t VALUES (?1)", [x]).unwrap();
        }
        std::fs::read(dir.path().join("database-wal")).unwrap()
    }

    #[test]
    fn a_frame_that_a_killed_program_left_half_written_is_no_damage() {
        let whole = log();
        let size = page_size(&whole).unwrap();
        assert!(!is_cut(&whole, size));
        let last = committed_frames(&whole, size).last().unwrap().at;
        let mut half = whole.clone();
        // What an earlier round left there.
        half[last..last + size].fill(0x5a);
        assert!(!is_cut(&half, size));
    }

    #[test]
    fn a_flipped_bit_is_damage_wherever_it_is_in_a_commit() {
        let whole = log();
        let size = page_size(&whole).unwrap();
        let frames = committed_frames(&whole, size);
        let (first, last) = (frames[2].at, frames[frames.len() - 1].at);
        for at in [
            first,
            first + size / 2,
            last,
            last + 700,
            last + size - 1,
            last - 5,
        ] {
            for bit in [0, 7] {
                let mut flipped = whole.clone();
                flipped[at] ^= 1 << bit;
                assert!(is_cut(&flipped, size), "bit {bit} of byte {at}");
            }
        }
    }

    /// Sets the commit mark of the frame whose page is at an offset.
    fn set_mark(log: &mut [u8], page: usize, mark: u32) {
        log[page - 20..page - 16].copy_from_slice(&mark.to_be_bytes());
    }

    #[test]
    fn a_commit_whose_mark_is_lost_is_damage_and_is_still_found() {
        let whole = log();
        let size = page_size(&whole).unwrap();
        let frames = committed_frames(&whole, size);
        let last = frames[frames.len() - 1].at;
        for mark in [0, 1, u32::MAX, 0x0100_0000] {
            let mut lost = whole.clone();
            set_mark(&mut lost, last, mark);
            assert!(is_cut(&lost, size), "{mark}");
            assert_eq!(committed_frames(&lost, size), frames, "{mark}");
        }
        // A frame without a mark whose page was not written is no commit.
        let mut half = whole.clone();
        set_mark(&mut half, last, 0);
        half[last..last + size].fill(0x5a);
        assert!(!is_cut(&half, size));
        assert_eq!(committed_frames(&half, size), frames[..frames.len() - 1]);
    }

    #[test]
    fn a_page_lost_before_other_commits_is_damage() {
        let mut log = log();
        let size = page_size(&log).unwrap();
        let at = committed_frames(&log, size)[3].at;
        log[at..at + size].fill(0);
        assert!(is_cut(&log, size));
    }
}
