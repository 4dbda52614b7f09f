//! Undoing what this device recorded: the entry is struck out, and stays readable.

use super::Notebook;
use super::edits::strike_out;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::id::{DeviceId, EntryId, HoleId, PhotoId};
use super::load;
use super::row_number::row_numbers;
use super::settings;
use super::write::WriteTx;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

/// The reason that an undone entry is struck out with.
const REASON: &str = "undone";

/// Why an entry is not undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
enum UndoRefused {
    #[error("it was recorded on another device; strike it out with a reason instead")]
    OtherDevice,
    #[error("a strike-out cannot be undone; record the entry again")]
    StrikeOut,
    #[error("it is struck out already; nothing more is needed")]
    StruckOut,
    #[error("a newer entry has replaced it; undo the newer one first")]
    Replaced,
    #[error("more was recorded about the {0} since; undo that first, or strike the {0} out")]
    InUse(&'static str),
}

impl From<UndoRefused> for Fault {
    fn from(refused: UndoRefused) -> Fault {
        Fault::invalid(refused.to_string())
    }
}

/// An entry that is to be undone.
struct Undone {
    entry: EntryId,
    subject: Uuid,
    kind: Option<EntryKind>,
}

impl Notebook {
    /// Undoes an entry that this device recorded: strikes it out, with "undone" as the reason.
    /// Returns the id of the strike-out. Entries that it replaced count again.
    ///
    /// # Errors
    /// If there is no such entry, if another device recorded it, if it is a strike-out or struck out
    /// already, if a newer entry replaced it, if it made a casting, face, photo or hole that more
    /// was recorded about since, or if the notebook cannot be written. Nothing is changed then.
    pub fn undo(&self, entry: EntryId) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let (strike, undone) = undo_one(tx, entry)?;
            check_unused(tx, &undone)?;
            Ok(strike)
        })
    }

    /// Undoes several entries that this device recorded together, all or none. Returns the ids of
    /// the strike-outs, that of the newest entry first.
    ///
    /// # Errors
    /// As for [`Notebook::undo`].
    pub fn undo_all(&self, entries: &[EntryId]) -> Result<Vec<EntryId>, NotebookError> {
        let mut newest_first = entries.to_vec();
        newest_first.sort_unstable_by(|a, b| b.cmp(a));
        newest_first.dedup();
        self.write(|tx| {
            let undone = newest_first.iter().map(|entry| undo_one(tx, *entry));
            let undone: Vec<(EntryId, Undone)> = undone.collect::<Result<_, Fault>>()?;
            for (_, one) in &undone {
                check_unused(tx, one)?;
            }
            Ok(undone.into_iter().map(|(strike, _)| strike).collect())
        })
    }
}

/// Strikes out one entry, if this device may undo it.
fn undo_one(tx: &mut WriteTx<'_>, entry: EntryId) -> Result<(EntryId, Undone), Fault> {
    let undone = find(tx.conn(), entry)?;
    Ok((strike_out(tx, entry, REASON)?, undone))
}

/// Finds an entry that may be undone.
fn find(conn: &Connection, entry: EntryId) -> Result<Undone, Fault> {
    let sql = "SELECT e.device, e.subject, s.kind, s.struck_out, s.replaced
         FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.id = ?1";
    let mut statement = conn.prepare_cached(sql)?;
    let row = statement.query_row([entry.0], |row| {
        let kind: String = row.get(2)?;
        let struck_out: bool = row.get(3)?;
        let replaced: bool = row.get(4)?;
        Ok((
            DeviceId(row.get(0)?),
            row.get(1)?,
            kind,
            struck_out,
            replaced,
        ))
    });
    let (device, subject, kind, struck_out, replaced) = row
        .optional()?
        .ok_or_else(|| Fault::no_such("entry", entry))?;
    let kind = EntryKind::from_name(&kind);
    let refused = [
        (device != settings::device(conn)?, UndoRefused::OtherDevice),
        (kind == Some(EntryKind::StrikeOut), UndoRefused::StrikeOut),
        (struck_out, UndoRefused::StruckOut),
        (replaced, UndoRefused::Replaced),
    ];
    match refused.into_iter().find(|(applies, _)| *applies) {
        Some((_, refused)) => Err(refused.into()),
        None => Ok(Undone {
            entry,
            subject,
            kind,
        }),
    }
}

/// Refuses to undo a casting, face, photo or hole that anything active is about or in. `undone` is
/// struck out already, so what is left is not its own.
fn check_unused(tx: &WriteTx<'_>, undone: &Undone) -> Result<(), Fault> {
    let (kind, what) = match undone.kind {
        Some(kind @ EntryKind::Casting) => (kind, "casting"),
        Some(kind @ EntryKind::Face) => (kind, "face"),
        Some(kind @ EntryKind::Photo) => (kind, "photo"),
        Some(kind @ EntryKind::Hole) => (kind, "hole"),
        _ => return Ok(()),
    };
    if !tx.active_entries(undone.subject, kind)?.is_empty() {
        tracing::debug!(entry = %undone.entry, "an earlier entry counts again");
        return Ok(());
    }
    if is_written_about(tx.conn(), undone.subject)? || has_parts(tx, undone.subject, kind)? {
        return Err(UndoRefused::InUse(what).into());
    }
    Ok(())
}

/// Returns whether any active entry is about a subject.
fn is_written_about(conn: &Connection, subject: Uuid) -> Result<bool, Fault> {
    let numbers = row_numbers(conn, subject)?;
    let mut statement = conn.prepare_cached(
        "SELECT 1 FROM entry_status s WHERE s.n BETWEEN ?1 AND ?2
         AND NOT s.struck_out AND NOT s.replaced AND s.kind <> ?3 LIMIT 1",
    )?;
    let strike_out = EntryKind::StrikeOut.name();
    Ok(statement.exists(params![numbers.start(), numbers.end(), strike_out])?)
}

/// Returns whether a casting has faces, a face photos or holes, or a photo marks. The projection is
/// updated last, so each is looked up by its entries.
fn has_parts(tx: &WriteTx<'_>, whole: Uuid, kind: EntryKind) -> Result<bool, Fault> {
    let parts = |sql: &str| -> Result<Vec<Uuid>, Fault> {
        let mut statement = tx.conn().prepare_cached(sql)?;
        let ids = statement.query_map([whole], |row| row.get(0))?;
        Ok(ids.collect::<Result<_, _>>()?)
    };
    let any = |parts: Vec<Uuid>, kind| -> Result<bool, Fault> {
        for part in parts {
            if !tx.active_entries(part, kind)?.is_empty() {
                return Ok(true);
            }
        }
        Ok(false)
    };
    Ok(match kind {
        EntryKind::Casting => any(
            parts("SELECT id FROM face WHERE casting = ?1")?,
            EntryKind::Face,
        )?,
        EntryKind::Face => {
            any(
                parts("SELECT id FROM hole WHERE face = ?1")?,
                EntryKind::Hole,
            )? || any(
                parts("SELECT id FROM photo WHERE face = ?1")?,
                EntryKind::Photo,
            )?
        }
        EntryKind::Photo => {
            for hole in parts("SELECT hole FROM mark WHERE photo = ?1")? {
                if !load::marks(tx.conn(), HoleId(hole), PhotoId(whole))?
                    .0
                    .is_empty()
                {
                    return Ok(true);
                }
            }
            false
        }
        _ => false,
    })
}
