//! Queries for a sync.

use super::chain::LineHash;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::{DeviceId, HoleId};
use super::journal::{self, Head, hashes_at, leading_to, line_at};
use super::{Notebook, gaps, settings, verify};
use crate::photo::PhotoHash;
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

impl Notebook {
    /// Returns whether exactly this line is in the journal.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn holds(&self, line: &Line) -> Result<bool, NotebookError> {
        let entry = line.entry();
        self.read(|conn| journal::holds(conn, entry.device, entry.seq, line.hash()))
    }

    /// Returns the last verified line of each device; two for a device whose notebook was copied and
    /// both copies continued. Lines behind a lost one are not synced, so that a remote that has the
    /// lost one is asked for it.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn heads(&self) -> Result<Vec<Head>, NotebookError> {
        self.read(gaps::verified_heads)
    }

    /// Returns every device id that this notebook has had, today's first.
    pub(crate) fn own_devices(&self) -> Result<Vec<DeviceId>, NotebookError> {
        self.read(settings::own_devices)
    }

    /// Returns the photos that active entries name.
    pub(crate) fn named_photos(&self) -> Result<BTreeSet<PhotoHash>, NotebookError> {
        self.read(verify::named_photos)
    }

    /// Returns the photos that are here, with their sizes in bytes.
    pub(crate) fn photo_sizes(&self) -> Result<BTreeMap<PhotoHash, u64>, NotebookError> {
        let sizes = self.photos.hashes()?.into_iter().filter_map(|photo| {
            let meta = std::fs::metadata(self.photos.original(&photo)).ok()?;
            Some((photo, meta.len()))
        });
        Ok(sizes.collect())
    }

    /// Returns the lines at which a device's chain ends. If there are several, the last line that
    /// they have in common comes first.
    pub(crate) fn ends(&self, device: DeviceId) -> Result<Vec<Head>, NotebookError> {
        self.read(|conn| {
            let mut ends: Vec<Head> = gaps::verified_heads(conn)?;
            ends.retain(|end| end.device == device);
            if ends.len() > 1 {
                ends.splice(0..0, common(conn, device)?);
            }
            Ok(ends)
        })
    }

    /// Returns the verified lines of a device with this number: one, none, or several if its notebook
    /// was copied.
    pub(crate) fn numbered(&self, device: DeviceId, seq: u64) -> Result<Vec<Head>, NotebookError> {
        self.read(|conn| {
            let hashes = hashes_at(conn, device, seq)?.into_iter();
            let lines = hashes.map(|hash| Head { device, seq, hash });
            gaps::verified(conn, lines.collect())
        })
    }

    /// Returns every device of which there is a line, this notebook's own first.
    pub(crate) fn devices(&self) -> Result<Vec<DeviceId>, NotebookError> {
        self.read(|conn| {
            let mut devices = settings::own_devices(conn)?;
            for head in journal::heads(conn)? {
                if !devices.contains(&head.device) {
                    devices.push(head.device);
                }
            }
            Ok(devices)
        })
    }

    /// Returns a chunk of the lines that lead to `end`, each with its line break, and the last of
    /// them: from the first number of the range, as many as fit in `most` bytes, and at least one.
    pub(crate) fn chunk(
        &self,
        end: Head,
        range: RangeInclusive<u64>,
        most: usize,
    ) -> Result<(Vec<u8>, Head), NotebookError> {
        self.read(|conn| match unforked(conn, end, &range, most)? {
            Some(chunk) => Ok(chunk),
            None => forked(conn, end, range, most),
        })
    }

    /// Returns the size in bytes of a device's lines with these numbers, each with its line break;
    /// `None` if they are not all here, or if two have the same number.
    pub(crate) fn chunk_bytes(
        &self,
        device: DeviceId,
        range: RangeInclusive<u64>,
    ) -> Result<Option<u64>, NotebookError> {
        self.read(|conn| {
            let mut statement = conn.prepare_cached(
                "SELECT count(*), count(DISTINCT seq), sum(octet_length(line) + 1)
                 FROM entry WHERE device = ?1 AND seq BETWEEN ?2 AND ?3",
            )?;
            let (first, last) = (
                journal::integer(*range.start()),
                journal::integer(*range.end()),
            );
            let row = statement.query_row(params![device.0, first, last], |row| {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?))
            })?;
            let (lines, numbers, bytes): (i64, i64, Option<i64>) = row;
            let all = last - first + 1;
            let bytes = bytes.map(i64::unsigned_abs);
            Ok(bytes.filter(|_| lines == all && numbers == all))
        })
    }

    /// Returns the holes that have a conflict.
    pub(crate) fn holes_with_conflicts(&self) -> Result<BTreeSet<HoleId>, NotebookError> {
        self.read(|conn| {
            let mut statement = conn.prepare_cached("SELECT id FROM hole WHERE conflict")?;
            let holes = statement.query_map([], |row| row.get(0).map(HoleId))?;
            Ok(holes.collect::<Result<_, _>>()?)
        })
    }

    /// Returns whether a line is `end`, or leads to it.
    pub(crate) fn is_on_line(&self, end: Head, line: &Head) -> Result<bool, NotebookError> {
        self.read(|conn| {
            if line.seq > end.seq || line.device != end.device {
                return Ok(false);
            }
            Ok(leading_to(conn, end, line.seq)? == Some(line.hash))
        })
    }

    /// Returns the line with number `seq` that leads to `end`.
    pub(crate) fn line_on(&self, end: Head, seq: u64) -> Result<Option<Head>, NotebookError> {
        self.read(|conn| {
            let hash = leading_to(conn, end, seq)?;
            Ok(hash.map(|hash| Head { seq, hash, ..end }))
        })
    }

    /// Returns the number of a device's last verified line; 0 if it has none.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn last_number(&self, device: DeviceId) -> Result<u64, NotebookError> {
        self.read(|conn| gaps::last_verified(conn, device))
    }
}

/// Returns a chunk of lines of which no two have the same number, so that all lead to the end;
/// `None` if two have.
fn unforked(
    conn: &Connection,
    end: Head,
    range: &RangeInclusive<u64>,
    most: usize,
) -> Result<Option<(Vec<u8>, Head)>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT seq, hash, line FROM entry WHERE device = ?1 AND seq BETWEEN ?2 AND ?3 ORDER BY seq",
    )?;
    let (first, last) = (
        journal::integer(*range.start()),
        journal::integer(*range.end()),
    );
    let mut rows = statement.query(params![end.device.0, first, last])?;
    let mut text = Vec::new();
    let mut at: Option<Head> = None;
    while let Some(row) = rows.next()? {
        let seq = row.get::<_, i64>(0)?.unsigned_abs();
        if at.is_some_and(|at| at.seq == seq) {
            return Ok(None);
        }
        let expected = at.map_or(*range.start(), |at| at.seq + 1);
        if seq != expected {
            return Err(gap(end.device, expected));
        }
        let line = row.get_ref(2)?.as_bytes().map_err(Fault::unreadable)?;
        if at.is_some() && text.len() + line.len() + 1 > most {
            break;
        }
        text.extend_from_slice(line);
        text.push(b'\n');
        let hash = LineHash(row.get(1)?);
        at = Some(Head { seq, hash, ..end });
    }
    let last = at.ok_or_else(|| gap(end.device, *range.start()))?;
    Ok(Some((text, last)))
}

/// Returns a chunk of the lines that lead to `end`, each found through the one after it.
fn forked(
    conn: &Connection,
    end: Head,
    range: RangeInclusive<u64>,
    most: usize,
) -> Result<(Vec<u8>, Head), Fault> {
    let last = end_of_chunk(conn, end, &range, most)?;
    let mut hash = leading_to(conn, end, last)?;
    let mut lines = Vec::new();
    for seq in (*range.start()..=last).rev() {
        let wanted = hash.ok_or_else(|| gap(end.device, seq))?;
        let line = line_at(conn, end.device, seq, wanted)?.ok_or_else(|| gap(end.device, seq))?;
        hash = line.entry().prev;
        lines.push(line);
    }
    lines.reverse();
    let last = lines
        .last()
        .ok_or_else(|| gap(end.device, *range.start()))?;
    let last = Head {
        seq: last.entry().seq,
        hash: last.hash(),
        ..end
    };
    let parts = lines.iter().flat_map(|line| [line.text(), "\n"]);
    Ok((parts.collect::<String>().into_bytes(), last))
}

/// Returns the number of the last line of a chunk. Of lines with the same number, the longest
/// counts.
fn end_of_chunk(
    conn: &Connection,
    end: Head,
    range: &RangeInclusive<u64>,
    most: usize,
) -> Result<u64, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT max(octet_length(line)) FROM entry WHERE device = ?1 AND seq BETWEEN ?2 AND ?3
         GROUP BY seq ORDER BY seq",
    )?;
    let (first, last) = (
        journal::integer(*range.start()),
        journal::integer(*range.end()),
    );
    let mut sizes = statement.query(params![end.device.0, first, last])?;
    let (mut last, mut bytes) = (*range.start(), 0);
    while let Some(row) = sizes.next()? {
        bytes += row.get::<_, u32>(0)? as usize + 1;
        if bytes > most {
            break;
        }
        last += 1;
    }
    Ok(last.saturating_sub(1).max(*range.start()))
}

fn gap(device: DeviceId, seq: u64) -> Fault {
    Fault::unreadable(format!("entry {seq} of device {device} is missing"))
}

/// Returns the last line before the first number that two lines have.
fn common(conn: &Connection, device: DeviceId) -> Result<Option<Head>, Fault> {
    let sql = "SELECT seq FROM entry WHERE device = ?1 GROUP BY seq HAVING count(*) > 1 ORDER BY seq LIMIT 1";
    let fork: Option<i64> = conn
        .prepare(sql)?
        .query_row([device.0], |row| row.get(0))
        .optional()?;
    let Some(seq) = fork
        .map(|fork| fork.unsigned_abs() - 1)
        .filter(|seq| *seq > 0)
    else {
        return Ok(None);
    };
    let hash = hashes_at(conn, device, seq)?.first().copied();
    Ok(hash.map(|hash| Head { device, seq, hash }))
}
