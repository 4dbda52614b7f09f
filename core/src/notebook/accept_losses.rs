//! A person accepts that lost lines stay lost.

use super::Notebook;
use super::entry::Line;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::gaps::{self, KnownGap};
use super::journal::{Head, integer};
use rusqlite::{Connection, params};
use std::collections::BTreeMap;

impl Notebook {
    /// Accepts that the lost lines stay lost. Entries behind them that count are recorded again
    /// under this notebook's device, with their person and time, so that they sync. Returns how many.
    ///
    /// # Errors
    /// If the notebook cannot be read or written.
    pub fn accept_losses(&self) -> Result<u64, NotebookError> {
        self.write(|tx| {
            let mut gaps = gaps::read(tx.conn())?;
            let copied = lines_behind(tx.conn(), &gaps)?;
            for line in &copied {
                tx.insert_copy(line.entry())?;
            }
            gaps.iter_mut().for_each(|gap| gap.accepted = true);
            gaps::write(tx.conn(), &gaps)?;
            gaps::write_lost_ends(tx.conn(), &[])?;
            Ok(copied.len() as u64)
        })
    }
}

/// Returns the entries behind gaps whose loss nobody has accepted yet that are active or strike
/// others out, in the order of their ids.
fn lines_behind(conn: &Connection, gaps: &[KnownGap]) -> Result<Vec<Line>, Fault> {
    let mut lines: BTreeMap<uuid::Uuid, Line> = BTreeMap::new();
    let sql = "SELECT e.line, s.kind FROM entry e JOIN entry_status s ON s.n = e.n
         WHERE e.device = ?1 AND e.seq >= ?2 AND NOT s.struck_out AND NOT s.replaced";
    let mut statement = conn.prepare_cached(sql)?;
    let open: Vec<KnownGap> = gaps.iter().filter(|gap| !gap.accepted).copied().collect();
    for gap in &open {
        let start = gap.line;
        let mut rows = statement.query(params![start.device.0, integer(start.seq)])?;
        while let Some(row) = rows.next()? {
            let line = Line::read(row.get(0)?).map_err(Fault::unreadable)?;
            let kind: String = row.get(1)?;
            let head = Head {
                device: start.device,
                seq: line.entry().seq,
                hash: line.hash(),
            };
            // A device's name is its own affair.
            let counts = kind != EntryKind::Device.name();
            if counts && gaps::before(conn, &open, head)?.is_some() {
                lines.insert(line.entry().id.0, line);
            }
        }
    }
    Ok(lines.into_values().collect())
}
