//! Adds and changes castings, faces, photos, holes and marks, and strikes out entries.

use super::Notebook;
use super::body::{CastingBody, FaceBody, HoleBody, MarkBody, PhotoBody, StrikeOutBody};
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::id::{CastingId, EntryId, FaceId, HoleId, PhotoId};
use super::settings::{self, SettingName};
use super::write::{NewEntry, WriteTx};
use crate::hole::record::{FaceCut, FaceMilled, Note};
use crate::length::Length;
use crate::photo::{ImportedPhoto, Metadata};
use rusqlite::OptionalExtension;
use std::path::Path;
use uuid::Uuid;

impl Notebook {
    /// Adds a casting.
    ///
    /// # Errors
    /// If its name is empty or too long, or if the notebook cannot be written.
    pub fn add_casting(&self, body: &CastingBody) -> Result<CastingId, NotebookError> {
        let casting = CastingId::fresh();
        self.write(|tx| tx.insert(NewEntry::new(casting, body)?))?;
        Ok(casting)
    }

    /// Changes a casting's details. `replaces` names the entries that the change supersedes.
    ///
    /// # Errors
    /// As for [`Notebook::add_casting`], and if there is no such casting or entry.
    pub fn change_casting(
        &self,
        casting: CastingId,
        body: &CastingBody,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_casting(casting)?;
            tx.insert(NewEntry::new(casting, body)?.replacing(replaces.iter().copied()))
        })
    }

    /// Adds a face to the casting that `body` names.
    ///
    /// # Errors
    /// If there is no such casting, if the face's name is empty or too long, or if the notebook
    /// cannot be written.
    pub fn add_face(&self, body: &FaceBody) -> Result<FaceId, NotebookError> {
        let face = FaceId::fresh();
        self.write(|tx| {
            tx.require_casting(body.casting)?;
            tx.insert(NewEntry::new(face, body)?)
        })?;
        Ok(face)
    }

    /// Changes a face's details. `replaces` names the entries that the change supersedes.
    ///
    /// # Errors
    /// As for [`Notebook::add_face`], and if there is no such face or entry.
    pub fn change_face(
        &self,
        face: FaceId,
        body: &FaceBody,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            tx.require_casting(body.casting)?;
            tx.insert(NewEntry::new(face, body)?.replacing(replaces.iter().copied()))
        })
    }

    /// Sets the planned face cut. Zero: the face stays as is. `replaces` names the entries that the
    /// plan supersedes.
    ///
    /// # Errors
    /// If the cut is less than zero, if there is no such face or entry, or if the notebook cannot
    /// be written.
    pub fn plan_face_cut(
        &self,
        face: FaceId,
        planned: Length,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            let new = NewEntry::new(face, &FaceCut::typed(planned))?;
            tx.insert(new.replacing(replaces.iter().copied()))
        })
    }

    /// Records that a face was milled. `corrects` names the entry of a cut that was recorded wrong:
    /// this one replaces it, and counts from when that one was recorded.
    ///
    /// # Errors
    /// If no stock was removed, if there is no such face or entry, or if the notebook cannot be
    /// written.
    pub fn record_face_milled(
        &self,
        face: FaceId,
        milled: &FaceMilled,
        corrects: Option<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            let new = NewEntry::new(face, milled)?;
            tx.insert(match corrects {
                Some(wrong) => new.correcting(wrong),
                None => new,
            })
        })
    }

    /// Adds a note to a casting.
    ///
    /// # Errors
    /// If the note is empty, if there is no such casting, or if the notebook cannot be written.
    pub fn note_casting(&self, casting: CastingId, note: &Note) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_casting(casting)?;
            tx.insert(NewEntry::new(casting, note)?)
        })
    }

    /// Adds a note to a face.
    ///
    /// # Errors
    /// If the note is empty, if there is no such face, or if the notebook cannot be written.
    pub fn note_face(&self, face: FaceId, note: &Note) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            tx.insert(NewEntry::new(face, note)?)
        })
    }

    /// Imports a photo of a face from the file `source`, which is left as it is. `name` is the
    /// file's original name. The photo is in place before the entry that names it.
    ///
    /// # Errors
    /// If there is no such face, if the file is not a photo that can be read, or if the notebook
    /// cannot be written.
    pub fn add_photo(
        &self,
        face: FaceId,
        source: &Path,
        name: Option<&str>,
    ) -> Result<(PhotoId, ImportedPhoto), NotebookError> {
        self.read(|conn| super::require::face(conn, face))?;
        let imported = self.import_photo(source)?;
        let photo = PhotoId::fresh();
        let body = photo_body(face, None, &imported, name);
        self.write(|tx| {
            tx.require_face(face)?;
            tx.insert(NewEntry::new(photo, &body)?)
        })?;
        Ok((photo, imported))
    }

    /// Imports a photo that shows one hole alone, as [`add_photo`](Self::add_photo) does. The hole is
    /// marked in its middle; the mark can be moved.
    ///
    /// # Errors
    /// If there is no such hole, if the file is not a photo that can be read, or if the notebook
    /// cannot be written.
    pub fn add_photo_of_hole(
        &self,
        hole: HoleId,
        source: &Path,
        name: Option<&str>,
    ) -> Result<(PhotoId, ImportedPhoto), NotebookError> {
        let face = self.hole(hole)?.face;
        let imported = self.import_photo(source)?;
        let photo = PhotoId::fresh();
        let body = photo_body(face, Some(hole), &imported, name);
        let (across, down) = (f64::from(imported.width), f64::from(imported.height));
        let middle = MarkBody::by_hand(photo, across / 2.0, down / 2.0);
        self.write(|tx| {
            tx.require_hole(hole)?;
            tx.insert(NewEntry::new(photo, &body)?)?;
            tx.insert(NewEntry::new(hole, &middle)?)
        })?;
        Ok((photo, imported))
    }

    /// Imports a photo's file, with its metadata as the settings say.
    fn import_photo(&self, source: &Path) -> Result<ImportedPhoto, NotebookError> {
        let keep = self.read(|conn| settings::read(conn, SettingName::KeepPhotoGps))?;
        let metadata = match keep.as_deref() {
            Some("yes") => Metadata::Keep,
            _ => Metadata::Strip,
        };
        Ok(self.photos.import(source, metadata)?)
    }

    /// Adds a hole to a face. Without a number it gets the one after the face's highest.
    ///
    /// # Errors
    /// If there is no such face, if the number is 0, or if the notebook cannot be written.
    pub fn add_hole(
        &self,
        face: FaceId,
        number: Option<u32>,
        at: Option<(Length, Length)>,
    ) -> Result<HoleId, NotebookError> {
        let hole = HoleId::fresh();
        self.write(|tx| {
            tx.require_face(face)?;
            let number = match number {
                Some(number) => number,
                None => next_number(tx, face)?,
            };
            let (x, y) = at.unzip();
            let body = HoleBody {
                face,
                number,
                x,
                y,
                tolerance: None,
            };
            tx.insert(NewEntry::new(hole, &body)?)
        })?;
        Ok(hole)
    }

    /// Changes a hole's number or position. `replaces` names the entries that the change
    /// supersedes.
    ///
    /// # Errors
    /// If there is no such hole, face or entry, if the number is 0, or if the notebook cannot be
    /// written.
    pub fn change_hole(
        &self,
        hole: HoleId,
        body: &HoleBody,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_hole(hole)?;
            tx.require_face(body.face)?;
            tx.insert(NewEntry::new(hole, body)?.replacing(replaces.iter().copied()))
        })
    }

    /// Marks a hole in a photo, in pixels from the top left corner of the upright picture.
    /// `replaces` names the marks of the hole in that photo that this one supersedes.
    ///
    /// # Errors
    /// If there is no such hole or photo, if the mark is outside the photo, or if the notebook
    /// cannot be written.
    pub fn mark(
        &self,
        hole: HoleId,
        photo: PhotoId,
        x_px: f64,
        y_px: f64,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.record_mark(hole, &MarkBody::by_hand(photo, x_px, y_px), replaces)
    }

    /// The same with the rim that the mark is the middle of.
    ///
    /// # Errors
    /// As for [`Notebook::mark`]; and if the radius of the rim is not above zero.
    pub fn record_mark(
        &self,
        hole: HoleId,
        mark: &MarkBody,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_hole(hole)?;
            check_mark(tx, mark.photo, mark.x_px, mark.y_px)?;
            tx.insert(NewEntry::new(hole, mark)?.replacing(replaces.iter().copied()))
        })
    }

    /// Strikes out an entry: it stays readable and no longer counts.
    ///
    /// # Errors
    /// If there is no such entry, if it is a strike-out or struck out already, if the reason is
    /// empty, or if the notebook cannot be written.
    pub fn strike_out(&self, entry: EntryId, reason: &str) -> Result<EntryId, NotebookError> {
        self.write(|tx| strike_out(tx, entry, reason))
    }
}

fn photo_body(
    face: FaceId,
    hole: Option<HoleId>,
    imported: &ImportedPhoto,
    name: Option<&str>,
) -> PhotoBody {
    PhotoBody {
        face,
        hole,
        hash: imported.hash,
        width_px: imported.width,
        height_px: imported.height,
        taken_at: imported.taken_at,
        metadata_removed: imported.metadata_removed,
        name: name.map(str::to_owned),
        incomplete: imported.incomplete,
    }
}

/// Strikes out an entry that is not one itself.
pub(super) fn strike_out(
    tx: &mut WriteTx<'_>,
    entry: EntryId,
    reason: &str,
) -> Result<EntryId, Fault> {
    let sql = "SELECT e.subject, s.kind, s.struck_out
         FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.id = ?1";
    let mut statement = tx.conn().prepare_cached(sql)?;
    let found = statement.query_row([entry.0], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
    let found: Option<(Uuid, String, bool)> = found.optional()?;
    drop(statement);
    let (subject, kind, struck_out) = found.ok_or_else(|| Fault::no_such("entry", entry))?;
    if kind == EntryKind::StrikeOut.name() {
        let why = "a strike-out cannot be struck out; record the entry again";
        return Err(Fault::invalid(why));
    }
    if struck_out {
        let why = format!("entry {entry} is struck out already; nothing more is needed");
        return Err(Fault::invalid(why));
    }
    let reason = reason.trim().to_owned();
    tx.insert(NewEntry::new(subject, &StrikeOutBody { entry, reason })?)
}

/// Returns the number after the highest on the face.
pub(super) fn next_number(tx: &WriteTx<'_>, face: FaceId) -> Result<u32, Fault> {
    let sql = "SELECT number FROM hole WHERE face = ?1 ORDER BY number DESC LIMIT 1";
    let highest: Option<u32> = tx
        .conn()
        .prepare_cached(sql)?
        .query_row([face.0], |row| row.get(0))
        .optional()?;
    let next = highest.unwrap_or(0).checked_add(1);
    next.ok_or_else(|| {
        Fault::invalid("the face has a hole with the highest possible number; enter a lower one")
    })
}

pub(super) fn check_mark(
    tx: &WriteTx<'_>,
    photo: PhotoId,
    x_px: f64,
    y_px: f64,
) -> Result<(), Fault> {
    let sql = "SELECT width_px, height_px FROM photo WHERE id = ?1";
    let size = tx
        .conn()
        .prepare_cached(sql)?
        .query_row([photo.0], |row| {
            Ok((row.get::<_, f64>(0)?, row.get::<_, f64>(1)?))
        })
        .optional()?;
    let (width, height) = size.ok_or_else(|| Fault::no_such("photo", photo))?;
    if (0.0..=width).contains(&x_px) && (0.0..=height).contains(&y_px) {
        return Ok(());
    }
    Err(Fault::invalid(format!(
        "the mark at {x_px}, {y_px} is outside the photo of {width} by {height} pixels; \
         mark inside it"
    )))
}
