//! Castings, faces, photos, holes and marks are added and changed; entries are struck.

use super::Notebook;
use super::body::{CastingBody, FaceBody, HoleBody, MarkBody, PhotoBody, StrikeBody};
use super::check;
use super::error::{Fault, NotebookError};
use super::id::{CastingId, EntryId, FaceId, HoleId, PhotoId};
use super::kind::Kind;
use super::write::{Draft, Pen};
use crate::hole::record::{FaceCut, FaceMilled, Note};
use crate::length::Length;
use crate::photo::{Incoming, Location};
use rusqlite::OptionalExtension;
use std::path::Path;

impl Notebook {
    /// Adds a casting.
    ///
    /// # Errors
    /// Where its name is empty or too long, or the notebook cannot be written.
    pub fn add_casting(&self, body: &CastingBody) -> Result<CastingId, NotebookError> {
        let casting = CastingId::fresh();
        self.write(|pen| pen.put(casting_draft(casting, body)?))?;
        Ok(casting)
    }

    /// Says anew what a casting is, in place of the answers `over`.
    ///
    /// # Errors
    /// As [`Notebook::add_casting`], and where there is no such casting or entry.
    pub fn change_casting(
        &self,
        casting: CastingId,
        body: &CastingBody,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            pen.expect_casting(casting)?;
            pen.put(casting_draft(casting, body)?.over(over.iter().copied()))
        })
    }

    /// Adds a face to the casting that `body` names.
    ///
    /// # Errors
    /// Where there is no such casting, its name is empty or too long, or the notebook cannot be written.
    pub fn add_face(&self, body: &FaceBody) -> Result<FaceId, NotebookError> {
        let face = FaceId::fresh();
        self.write(|pen| {
            pen.expect_casting(body.casting)?;
            pen.put(face_draft(face, body)?)
        })?;
        Ok(face)
    }

    /// Says anew what a face is, in place of the answers `over`.
    ///
    /// # Errors
    /// As [`Notebook::add_face`], and where there is no such face or entry.
    pub fn change_face(
        &self,
        face: FaceId,
        body: &FaceBody,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            pen.expect_face(face)?;
            pen.expect_casting(body.casting)?;
            pen.put(face_draft(face, body)?.over(over.iter().copied()))
        })
    }

    /// Says how much is still to come off a face, in place of the answers `over`. Zero: nothing.
    ///
    /// # Errors
    /// Where the cut is less than zero, there is no such face or entry, or the notebook cannot be written.
    pub fn plan_face_cut(
        &self,
        face: FaceId,
        planned: Length,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            check::not_negative("the face cut", planned)?;
            pen.expect_face(face)?;
            let draft = Draft::new(Kind::FaceCut, face.0, &FaceCut { planned })?;
            pen.put(draft.over(over.iter().copied()))
        })
    }

    /// Records that a face was cut.
    ///
    /// # Errors
    /// Where nothing came off, there is no such face, or the notebook cannot be written.
    pub fn record_face_milled(
        &self,
        face: FaceId,
        milled: &FaceMilled,
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            check::positive("what came off the face", milled.taken)?;
            pen.expect_face(face)?;
            pen.put(Draft::new(Kind::FaceMilled, face.0, milled)?)
        })
    }

    /// Writes free words about a casting.
    ///
    /// # Errors
    /// Where there are no words, there is no such casting, or the notebook cannot be written.
    pub fn note_casting(&self, casting: CastingId, note: &Note) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            check::words("the note", &note.text)?;
            pen.expect_casting(casting)?;
            pen.put(Draft::new(Kind::Note, casting.0, note)?)
        })
    }

    /// Writes free words about a face.
    ///
    /// # Errors
    /// Where there are no words, there is no such face, or the notebook cannot be written.
    pub fn note_face(&self, face: FaceId, note: &Note) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            check::words("the note", &note.text)?;
            pen.expect_face(face)?;
            pen.put(Draft::new(Kind::Note, face.0, note)?)
        })
    }

    /// Brings in a photo of a face from the file `source`, which is left as it is. `name` is what the file was called
    /// where it came from. The photo is in its place before the entry that names it.
    ///
    /// # Errors
    /// Where there is no such face, the file is no photo that can be read, or the notebook cannot be written.
    pub fn add_photo(
        &self,
        face: FaceId,
        source: &Path,
        name: Option<&str>,
    ) -> Result<(PhotoId, Incoming), NotebookError> {
        let keep = self.read(|conn| {
            super::expect::face(conn, face)?;
            Ok(
                super::settings::read(conn, super::settings::Name::KeepLocation)?.as_deref()
                    == Some("yes"),
            )
        })?;
        let incoming = self.photos.bring_in(
            source,
            if keep {
                Location::Keep
            } else {
                Location::Remove
            },
        )?;
        let body = PhotoBody {
            face,
            hash: incoming.hash,
            width_px: incoming.width,
            height_px: incoming.height,
            taken_at: incoming.taken_at,
            location_removed: incoming.location_removed,
            name: name.map(str::to_owned),
        };
        let photo = PhotoId::fresh();
        self.write(|pen| {
            pen.expect_face(face)?;
            pen.put(Draft::new(Kind::Photo, photo.0, &body)?)
        })?;
        Ok((photo, incoming))
    }

    /// Adds a hole to a face. Without a number it gets the one after the face's highest.
    ///
    /// # Errors
    /// Where there is no such face, the number is 0, or the notebook cannot be written.
    pub fn add_hole(
        &self,
        face: FaceId,
        number: Option<u32>,
        at: Option<(Length, Length)>,
    ) -> Result<HoleId, NotebookError> {
        let hole = HoleId::fresh();
        self.write(|pen| {
            pen.expect_face(face)?;
            let number = match number {
                Some(number) => number,
                None => next_number(pen, face)?,
            };
            let (x, y) = at.unzip();
            pen.put(hole_draft(hole, &HoleBody { face, number, x, y })?)
        })?;
        Ok(hole)
    }

    /// Says anew which number a hole has and where it is, in place of the answers `over`.
    ///
    /// # Errors
    /// Where there is no such hole, face or entry, the number is 0, or the notebook cannot be written.
    pub fn change_hole(
        &self,
        hole: HoleId,
        body: &HoleBody,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            pen.expect_hole(hole)?;
            pen.expect_face(body.face)?;
            pen.put(hole_draft(hole, body)?.over(over.iter().copied()))
        })
    }

    /// Says where a hole is in a photo, in place of the marks `over` of it there: pixels of the upright picture from its
    /// top left corner.
    ///
    /// # Errors
    /// Where there is no such hole or photo, the mark lies outside the photo, or the notebook cannot be written.
    pub fn mark(
        &self,
        hole: HoleId,
        photo: PhotoId,
        x_px: f64,
        y_px: f64,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            pen.expect_hole(hole)?;
            check_mark(pen, photo, x_px, y_px)?;
            let draft = Draft::new(Kind::Mark, hole.0, &MarkBody { photo, x_px, y_px })?;
            pen.put(draft.over(over.iter().copied()))
        })
    }

    /// Strikes an entry: it stays readable and counts no more.
    ///
    /// # Errors
    /// Where there is no such entry, it is a strike or struck already, no reason is given, or the notebook cannot be
    /// written.
    pub fn strike(&self, entry: EntryId, reason: &str) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            check::words("the reason", reason)?;
            let sql = "SELECT e.subject, e.kind, s.struck FROM entry e JOIN said s ON s.n = e.n WHERE e.id = ?1";
            let found = pen.conn().prepare_cached(sql)?.query_row([entry.0], |row| Ok((row.get(0)?, row.get::<_, String>(1)?, row.get(2)?))).optional()?;
            let (subject, kind, struck) = found.ok_or_else(|| Fault::no_such("entry", entry))?;
            if kind == Kind::Strike.word() {
                return Err(Fault::unfit("a strike cannot be struck; record again what was struck"));
            }
            if struck {
                return Err(Fault::unfit(format!("entry {entry} is struck already; nothing more is needed")));
            }
            pen.put(Draft::new(Kind::Strike, subject, &StrikeBody { entry, reason: reason.trim().to_owned() })?)
        })
    }
}

fn casting_draft(casting: CastingId, body: &CastingBody) -> Result<Draft, Fault> {
    check::name("the casting's name", &body.name)?;
    Draft::new(Kind::Casting, casting.0, body)
}

fn face_draft(face: FaceId, body: &FaceBody) -> Result<Draft, Fault> {
    check::name("the face's name", &body.name)?;
    Draft::new(Kind::Face, face.0, body)
}

fn hole_draft(hole: HoleId, body: &HoleBody) -> Result<Draft, Fault> {
    if body.number == 0 {
        return Err(Fault::unfit(
            "a hole cannot have the number 0; holes are counted from 1",
        ));
    }
    Draft::new(Kind::Hole, hole.0, body)
}

/// The number after the highest on the face.
fn next_number(pen: &Pen<'_>, face: FaceId) -> Result<u32, Fault> {
    let sql = "SELECT number FROM hole_now WHERE face = ?1 ORDER BY number DESC LIMIT 1";
    let highest: Option<u32> = pen
        .conn()
        .prepare_cached(sql)?
        .query_row([face.0], |row| row.get(0))
        .optional()?;
    highest
        .unwrap_or(0)
        .checked_add(1)
        .ok_or_else(|| Fault::unfit("the face has no number left after its highest; give one"))
}

fn check_mark(pen: &Pen<'_>, photo: PhotoId, x_px: f64, y_px: f64) -> Result<(), Fault> {
    let sql = "SELECT width_px, height_px FROM photo_now WHERE id = ?1";
    let size = pen
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
    Err(Fault::unfit(format!(
        "the mark at {x_px}, {y_px} lies outside the photo of {width} by {height} pixels; mark inside it"
    )))
}
