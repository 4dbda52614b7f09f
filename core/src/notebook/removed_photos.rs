//! Wrong photos: removing one with its marks, and bringing it back.
//!
//! Both are entries like any other: the photo and its marks are struck out, and recorded again. The
//! photo's file stays, and so do the holes.

use super::Notebook;
use super::body::{MarkBody, PhotoBody, StrikeOutBody};
use super::edits::strike_out;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::facts::recorded;
use super::id::{EntryId, FaceId, HoleId, PhotoId};
use super::load;
use super::row_number::row_numbers;
use super::views::holes_of;
use super::write::{NewEntry, WriteTx};
use crate::hole::record::Recorded;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

/// The reason that is written for a photo and its marks.
const REASON: &str = "photo removed";

/// A photo that was removed.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct RemovedPhoto {
    /// Its id.
    pub id: PhotoId,
    /// The name of the imported file.
    pub name: Option<String>,
    /// Who added it.
    pub by: String,
}

impl Notebook {
    /// Returns the photos of a face that were removed, in the order in which they were added.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn removed_photos(&self, face: FaceId) -> Result<Vec<RemovedPhoto>, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT id FROM removed_photo WHERE face = ?1 ORDER BY id";
            let mut statement = conn.prepare_cached(sql)?;
            let ids = statement.query_map([face.0], |row| Ok(PhotoId(row.get(0)?)))?;
            let mut photos = Vec::new();
            for id in ids {
                let id = id?;
                photos.extend(removed(conn, id)?.map(|entry| RemovedPhoto {
                    id,
                    name: entry.body.name,
                    by: entry.by,
                }));
            }
            Ok(photos)
        })
    }

    /// Removes a wrong photo: strikes it out with its marks. Its holes stay, and so does its file.
    /// Returns the ids of the strike-outs.
    ///
    /// # Errors
    /// If there is no such photo, or if the notebook cannot be written.
    pub fn remove_photo(&self, photo: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let mut entries = tx.active_entries(photo.0, EntryKind::Photo)?;
            if entries.is_empty() {
                return Err(Fault::no_such("photo", photo));
            }
            for hole in marked_holes(tx.conn(), photo)? {
                entries.extend(marks_of(tx.conn(), hole, photo)?);
            }
            let struck = entries.into_iter();
            struck.map(|entry| strike_out(tx, entry, REASON)).collect()
        })
    }

    /// Removes a hole's mark from a photo: strikes it out with all that it replaced, so that none of
    /// those counts again. The hole stays. Returns the ids of the strike-outs.
    ///
    /// # Errors
    /// If the hole has no mark in the photo, or if the notebook cannot be written.
    pub fn remove_mark(&self, hole: HoleId, photo: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let entries = marks_of(tx.conn(), hole, photo)?;
            if entries.is_empty() {
                return Err(Fault::no_such("mark of hole", hole));
            }
            let struck = entries.into_iter();
            let why = "marked in the wrong place";
            struck.map(|entry| strike_out(tx, entry, why)).collect()
        })
    }

    /// Brings back a photo that was removed, with the marks that went with it. Returns the ids of the
    /// new entries, that of the photo first.
    ///
    /// # Errors
    /// If the photo was not removed, or if the notebook cannot be written.
    pub fn restore_photo(&self, photo: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let gone = tx.active_entries(photo.0, EntryKind::Photo)?.is_empty();
            let found = removed(tx.conn(), photo)?.filter(|_| gone);
            let body = found
                .ok_or_else(|| Fault::no_such("removed photo", photo))?
                .body;
            let mut new = vec![tx.insert(NewEntry::new(photo, &body)?)?];
            for hole in holes_of(tx.conn(), body.face)? {
                if let Some(mark) = mark_to_restore(tx, hole.id, photo)? {
                    new.push(tx.insert(NewEntry::new(hole.id, &mark)?)?);
                }
            }
            Ok(new)
        })
    }
}

/// Returns the photo's entry that was struck out last; `None` if there is none.
pub(super) fn removed(
    conn: &Connection,
    photo: PhotoId,
) -> Result<Option<Recorded<PhotoBody>>, Fault> {
    let numbers = row_numbers(conn, photo.0)?;
    let sql = "SELECT e.line FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3 AND s.understood AND s.struck_out
         ORDER BY e.id DESC LIMIT 1";
    let mut statement = conn.prepare_cached(sql)?;
    let kind = EntryKind::Photo.name();
    let line = statement.query_row(params![numbers.start(), numbers.end(), kind], |row| {
        row.get::<_, String>(0)
    });
    line.optional()?.map(|line| recorded(&line)).transpose()
}

fn marked_holes(conn: &Connection, photo: PhotoId) -> Result<Vec<HoleId>, Fault> {
    let mut statement = conn.prepare_cached("SELECT hole FROM mark WHERE photo = ?1")?;
    let holes = statement.query_map([photo.0], |row| Ok(HoleId(row.get(0)?)))?;
    Ok(holes.collect::<Result<_, _>>()?)
}

/// Returns a hole's marks in a photo, also those that were replaced.
fn marks_of(conn: &Connection, hole: HoleId, photo: PhotoId) -> Result<Vec<EntryId>, Fault> {
    let numbers = row_numbers(conn, hole.0)?;
    let sql = "SELECT e.id FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3 AND s.slot = ?4 AND s.understood
         AND NOT s.struck_out ORDER BY e.id";
    let mut statement = conn.prepare_cached(sql)?;
    let kind = EntryKind::Mark.name();
    let of = params![numbers.start(), numbers.end(), kind, photo.0];
    let ids = statement.query_map(of, |row| Ok(EntryId(row.get(0)?)))?;
    Ok(ids.collect::<Result<_, _>>()?)
}

/// Returns the mark that went with the photo, the last one if it was removed twice; `None` if the
/// hole has an active one.
fn mark_to_restore(
    tx: &WriteTx<'_>,
    hole: HoleId,
    photo: PhotoId,
) -> Result<Option<MarkBody>, Fault> {
    if !load::marks(tx.conn(), hole, photo)?.0.is_empty() {
        return Ok(None);
    }
    let numbers = row_numbers(tx.conn(), hole.0)?;
    let sql = "SELECT e.id, e.line FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3 AND s.slot = ?4 AND s.understood
         AND s.struck_out ORDER BY e.id DESC";
    let mut statement = tx.conn().prepare_cached(sql)?;
    let kind = EntryKind::Mark.name();
    let mut rows = statement.query(params![numbers.start(), numbers.end(), kind, photo.0])?;
    while let Some(row) = rows.next()? {
        let line: String = row.get(1)?;
        if went_with_photo(tx.conn(), row.get(0)?)? {
            return Ok(Some(recorded::<MarkBody>(&line)?.body));
        }
    }
    Ok(None)
}

/// Returns whether an entry was struck out because its photo was removed.
fn went_with_photo(conn: &Connection, entry: Uuid) -> Result<bool, Fault> {
    let sql = "SELECT e.line FROM entry_link l JOIN entry e ON e.id = l.source
         WHERE l.target = ?1 AND l.kind = 0";
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([entry])?;
    while let Some(row) = rows.next()? {
        let line: String = row.get(0)?;
        if recorded::<StrikeOutBody>(&line)?.body.reason == REASON {
            return Ok(true);
        }
    }
    Ok(false)
}
