//! Inserts entries in batches: the indexes reject duplicates as the lines go in, and chain ends and
//! statuses are updated once, after the last line.

use super::active_entries::{self, LinkKind};
use super::chain::LineHash;
use super::entry_kind::affected_rows;
use super::error::{Fault, RejectedLine};
use super::gaps::{self, KnownGap};
use super::id::{DeviceId, EntryId};
use super::incoming_line::IncomingLine;
use super::journal::{has_id, holds, integer};
use super::projection_row::ProjectionRow;
use super::row_number::RowNumbers;
use rusqlite::{CachedStatement, Connection, params};
use std::collections::{BTreeSet, HashMap, HashSet};

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum InsertOutcome {
    /// It was inserted.
    Inserted,
    /// It was in the journal already.
    AlreadyPresent,
}

/// What to do with a line if the one before it is not here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AfterGap {
    /// Reject it.
    Reject,
    /// Insert it. The caller remembers the gap.
    Insert,
}

/// Inserts lines, each after the line that it names as the one before it. Returns what became of
/// each, and adds the rows that they affect to `dirty`. If a line is rejected, the caller must roll
/// back.
pub(crate) fn insert(
    conn: &Connection,
    lines: &[IncomingLine],
    after_gap: AfterGap,
    dirty: &mut BTreeSet<ProjectionRow>,
) -> Result<Vec<InsertOutcome>, Fault> {
    let mut inserter = EntryInserter::new(conn)?;
    let mut outcomes = vec![InsertOutcome::AlreadyPresent; lines.len()];
    for (n, at) in numbered(conn, lines, after_gap)? {
        outcomes[at] = inserter.insert(n, &lines[at])?;
    }
    for (line, outcome) in lines.iter().zip(&outcomes) {
        if *outcome == InsertOutcome::Inserted {
            inserter.register(line, dirty)?;
        }
    }
    inserter.finish(dirty)?;
    Ok(outcomes)
}

/// Returns the lines that may be new, each with the row number that it would get, in the order of
/// the numbers, so that the file grows from front to back. The numbers of lines that are present
/// already stay unused.
fn numbered(
    conn: &Connection,
    lines: &[IncomingLine],
    after_gap: AfterGap,
) -> Result<Vec<(i64, usize)>, Fault> {
    let mut numbers = RowNumbers::default();
    let mut before: HashSet<(DeviceId, u64, LineHash)> = HashSet::new();
    let mut numbered = Vec::with_capacity(lines.len());
    for (at, line) in lines.iter().enumerate() {
        let (device, seq) = (line.device, line.seq);
        let follows = match line.prev {
            Some(prev) => {
                before.contains(&(device, seq - 1, prev)) || holds(conn, device, seq - 1, prev)?
            }
            None => true,
        };
        if follows || after_gap == AfterGap::Insert {
            before.insert((device, seq, line.hash));
            numbered.push((numbers.next(conn, line.subject)?, at));
        } else if !holds(conn, device, seq, line.hash)? {
            return Err(RejectedLine::Gap { device, seq }.into());
        }
    }
    numbered.sort_unstable();
    Ok(numbered)
}

/// Inserts lines and collects what they change. Chain ends and statuses are wrong until
/// [`EntryInserter::finish`], so nothing else may read them before.
pub(crate) struct EntryInserter<'c> {
    conn: &'c Connection,
    insert_entry: CachedStatement<'c>,
    insert_status: CachedStatement<'c>,
    /// The registered lines that no other registered line follows.
    ends: HashMap<(DeviceId, LineHash), u64>,
    /// The known gaps, and whether one was filled.
    gaps: Vec<KnownGap>,
    filled: bool,
    /// The registered entries.
    registered: Vec<EntryId>,
    /// The entries that they strike out or replace.
    targets: Vec<EntryId>,
}

impl<'c> EntryInserter<'c> {
    pub(crate) fn new(conn: &'c Connection) -> Result<Self, Fault> {
        Ok(Self {
            conn,
            insert_entry: conn.prepare_cached(
                "INSERT INTO entry (n, id, device, seq, kind, subject, hash, line)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT DO NOTHING",
            )?,
            insert_status: conn.prepare_cached(
                "INSERT INTO entry_status (n, kind, slot, understood, struck_out, replaced)
                 VALUES (?1, ?2, ?3, ?4, 0, 0)",
            )?,
            ends: HashMap::new(),
            gaps: gaps::read(conn)?,
            filled: false,
            registered: Vec::new(),
            targets: Vec::new(),
        })
    }

    /// Inserts a line. Only if a unique key rejects it is the reason looked up.
    fn insert(&mut self, n: i64, line: &IncomingLine) -> Result<InsertOutcome, Fault> {
        let (device, seq, id) = (line.device, line.seq, line.id);
        let inserted = self.insert_entry.execute(params![
            n,
            id.0,
            device.0,
            integer(seq),
            line.kind,
            line.subject,
            line.hash.0,
            line.text
        ])?;
        if inserted == 1 {
            self.insert_status(n, line)?;
            Ok(InsertOutcome::Inserted)
        } else if holds(self.conn, device, seq, line.hash)? {
            Ok(InsertOutcome::AlreadyPresent)
        } else if has_id(self.conn, id)? {
            Err(RejectedLine::IdTaken { device, seq, id }.into())
        } else {
            Err(Fault::unreadable(format!("number {n} is in use")))
        }
    }

    fn insert_status(&mut self, n: i64, line: &IncomingLine) -> Result<(), Fault> {
        let understood = line.understood.is_some();
        self.insert_status
            .execute(params![n, line.kind_today(), line.slot(), understood])?;
        Ok(())
    }

    /// Registers a line that is in the journal already, for a rebuild from nothing.
    pub(crate) fn restore(
        &mut self,
        n: i64,
        line: &IncomingLine,
        dirty: &mut BTreeSet<ProjectionRow>,
    ) -> Result<(), Fault> {
        self.insert_status(n, line)?;
        self.register(line, dirty)
    }

    fn register(
        &mut self,
        line: &IncomingLine,
        dirty: &mut BTreeSet<ProjectionRow>,
    ) -> Result<(), Fault> {
        self.move_end(line)?;
        dirty.extend(
            affected_rows(&line.kind, line.subject, line.slot())
                .into_iter()
                .flatten(),
        );
        for target in &line.replaces {
            active_entries::insert_link(self.conn, line.id, LinkKind::Replace, *target)?;
        }
        self.targets.extend(&line.replaces);
        for target in line.rests_on() {
            active_entries::insert_link(self.conn, line.id, LinkKind::RestsOn, *target)?;
        }
        if let Some(target) = line.strikes_out() {
            active_entries::insert_link(self.conn, line.id, LinkKind::StrikeOut, target)?;
            self.targets.push(target);
        }
        self.registered.push(line.id);
        Ok(())
    }

    /// Moves the end of the device's chain to this line, or adds an end if the chain forks here.
    fn move_end(&mut self, line: &IncomingLine) -> Result<(), Fault> {
        if let Some(prev) = line.prev
            && self.ends.remove(&(line.device, prev)).is_none()
        {
            self.conn
                .prepare_cached("DELETE FROM head WHERE device = ?1 AND hash = ?2")?
                .execute(params![line.device.0, prev.0])?;
        }
        let known = self.gaps.len();
        self.gaps
            .retain(|gap| (gap.line.device, gap.prev) != (line.device, line.hash));
        if self.gaps.len() == known {
            self.ends.insert((line.device, line.hash), line.seq);
        } else {
            // The lines behind the gap follow this one.
            self.filled = true;
        }
        Ok(())
    }

    /// Updates chain ends and statuses, and adds the rows that change with them to `dirty`. The
    /// order in which lines were registered does not matter, except within a device.
    pub(crate) fn finish(mut self, dirty: &mut BTreeSet<ProjectionRow>) -> Result<(), Fault> {
        let mut insert = self.conn.prepare_cached(
            "INSERT OR REPLACE INTO head (device, hash, seq) VALUES (?1, ?2, ?3)",
        )?;
        for ((device, hash), seq) in &self.ends {
            insert.execute(params![device.0, hash.0, integer(*seq)])?;
        }
        if self.filled {
            gaps::write(self.conn, &self.gaps)?;
        }
        // Entries received earlier may name one that came only now.
        let mut unsettled = active_entries::with_links(self.conn, self.registered)?;
        unsettled.append(&mut self.targets);
        for changed in active_entries::update_statuses(self.conn, unsettled)? {
            let rows = affected_rows(&changed.kind, changed.subject, changed.slot);
            dirty.extend(rows.into_iter().flatten());
        }
        Ok(())
    }
}
