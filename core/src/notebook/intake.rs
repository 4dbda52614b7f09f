//! Taking lines in, many nearly as fast as one: keys are checked by the indexes as the lines go in, and what the last line
//! settles for all is put off until then.

use super::arrived::Arrived;
use super::chain::LineHash;
use super::error::Fault;
use super::id::{DeviceId, EntryId};
use super::journal::{NotTaken, has_id, holds, integer};
use super::now::Row;
use super::place::Places;
use super::standing::{self, Act};
use rusqlite::{CachedStatement, Connection, params};
use std::collections::{BTreeSet, HashMap, HashSet};

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// It is in the journal now.
    Taken,
    /// It was there already.
    Known,
}

/// Takes lines in, each behind the one it names; says what became of each, and adds the rows that they change to `dirty`.
/// Where one cannot be taken, what was written must be taken back.
pub(crate) fn take(
    conn: &Connection,
    lines: &[Arrived],
    dirty: &mut BTreeSet<Row>,
) -> Result<Vec<Outcome>, Fault> {
    let mut intake = Intake::new(conn)?;
    let mut outcomes = vec![Outcome::Known; lines.len()];
    for (n, at) in numbered(conn, lines)? {
        outcomes[at] = intake.insert(n, &lines[at])?;
    }
    for (line, outcome) in lines.iter().zip(&outcomes) {
        if *outcome == Outcome::Taken {
            intake.note(line, dirty)?;
        }
    }
    intake.end(dirty)?;
    Ok(outcomes)
}

/// The lines that may be new, each with the number that it would have, in the order of those, so that the file grows from
/// front to back. The numbers of lines that are here already stay unused.
fn numbered(conn: &Connection, lines: &[Arrived]) -> Result<Vec<(i64, usize)>, Fault> {
    let mut places = Places::default();
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
        if follows {
            before.insert((device, seq, line.hash));
            numbered.push((places.next(conn, line.subject)?, at));
        } else if !holds(conn, device, seq, line.hash)? {
            return Err(NotTaken::Gap { device, seq }.into());
        }
    }
    numbered.sort_unstable();
    Ok(numbered)
}

/// Notes what lines change. Until [`Intake::end`] it is not worked out where chains end and what stands, so nothing else
/// may look.
pub(crate) struct Intake<'c> {
    conn: &'c Connection,
    insert_entry: CachedStatement<'c>,
    insert_said: CachedStatement<'c>,
    /// The lines among those noted that no other follows.
    ends: HashMap<(DeviceId, LineHash), u64>,
    /// The entries that were noted.
    noted: Vec<EntryId>,
    /// The entries that they act on.
    acted_on: Vec<EntryId>,
}

impl<'c> Intake<'c> {
    pub(crate) fn new(conn: &'c Connection) -> Result<Self, Fault> {
        Ok(Self {
            conn,
            insert_entry: conn.prepare_cached(
                "INSERT INTO entry (n, id, device, seq, kind, subject, hash, line)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT DO NOTHING",
            )?,
            insert_said: conn.prepare_cached(
                "INSERT INTO said (n, slot, understood, struck, replaced) VALUES (?1, ?2, ?3, 0, 0)",
            )?,
            ends: HashMap::new(),
            noted: Vec::new(),
            acted_on: Vec::new(),
        })
    }

    /// Writes a line. Only where a key says that its like is here already, that is looked up.
    fn insert(&mut self, n: i64, line: &Arrived) -> Result<Outcome, Fault> {
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
            self.insert_said(n, line)?;
            Ok(Outcome::Taken)
        } else if holds(self.conn, device, seq, line.hash)? {
            Ok(Outcome::Known)
        } else if has_id(self.conn, id)? {
            Err(NotTaken::IdTaken { device, seq, id }.into())
        } else {
            Err(Fault::unreadable(format!("number {n} is in use")))
        }
    }

    fn insert_said(&mut self, n: i64, line: &Arrived) -> Result<(), Fault> {
        self.insert_said
            .execute(params![n, line.slot(), line.understood.is_some()])?;
        Ok(())
    }

    /// Notes what a line that is in the journal changes, from nothing.
    pub(crate) fn restore(
        &mut self,
        n: i64,
        line: &Arrived,
        dirty: &mut BTreeSet<Row>,
    ) -> Result<(), Fault> {
        self.insert_said(n, line)?;
        self.note(line, dirty)
    }

    fn note(&mut self, line: &Arrived, dirty: &mut BTreeSet<Row>) -> Result<(), Fault> {
        self.move_end(line)?;
        dirty.extend(Row::of(&line.kind, line.subject, line.slot()));
        for target in &line.replaces {
            standing::draw(self.conn, line.id, Act::Replace, *target)?;
        }
        self.acted_on.extend(&line.replaces);
        if let Some(target) = line.strikes() {
            standing::draw(self.conn, line.id, Act::Strike, target)?;
            self.acted_on.push(target);
        }
        self.noted.push(line.id);
        Ok(())
    }

    /// The device's chain ends at this line now, or forks at it.
    fn move_end(&mut self, line: &Arrived) -> Result<(), Fault> {
        if let Some(prev) = line.prev
            && self.ends.remove(&(line.device, prev)).is_none()
        {
            self.conn
                .prepare_cached("DELETE FROM head WHERE device = ?1 AND hash = ?2")?
                .execute(params![line.device.0, prev.0])?;
        }
        self.ends.insert((line.device, line.hash), line.seq);
        Ok(())
    }

    /// Works out where chains end now, and what stands; the rows that change by it are added to `dirty`. The order in which
    /// lines were noted makes no difference but for each device's own.
    pub(crate) fn end(mut self, dirty: &mut BTreeSet<Row>) -> Result<(), Fault> {
        let mut insert = self.conn.prepare_cached(
            "INSERT OR REPLACE INTO head (device, hash, seq) VALUES (?1, ?2, ?3)",
        )?;
        for ((device, hash), seq) in &self.ends {
            insert.execute(params![device.0, hash.0, integer(*seq)])?;
        }
        // Others may have acted on a line before it came.
        let mut unsettled = standing::acted_on(self.conn, self.noted)?;
        unsettled.append(&mut self.acted_on);
        for changed in standing::settle(self.conn, unsettled)? {
            dirty.extend(Row::of(&changed.kind, changed.subject, changed.slot));
        }
        Ok(())
    }
}
