//! Holes that were found in a photo: proposed, and added once a person confirms them.

use super::body::{HoleBody, MarkBody};
use super::edits::{check_mark, next_number};
use super::error::{Fault, NotebookError};
use super::id::{FaceId, HoleId, PhotoId};
use super::views::MarkView;
use super::write::{NewEntry, WriteTx};
use super::{Notebook, load};
use crate::photo::{ExpectedHole, FindHolesError, ProposedHole};

/// A hole of an old casting is drilled to about its place in the pattern, plus or minus, mm. Judgment.
const DRILLED_MM: f64 = 1.0;

/// A rim in a photo that a person confirmed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundRim {
    /// Its middle, pixels to the right.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// Its radius, pixels; `None`: not known.
    pub radius_px: Option<f64>,
}

impl FoundRim {
    fn mark(self, photo: PhotoId) -> MarkBody {
        MarkBody {
            photo,
            x_px: self.x_px,
            y_px: self.y_px,
            rim_radius_px: self.radius_px,
        }
    }
}

impl From<ProposedHole> for FoundRim {
    fn from(hole: ProposedHole) -> Self {
        Self {
            x_px: hole.x_px,
            y_px: hole.y_px,
            radius_px: Some(hole.diameter_px / 2.0),
        }
    }
}

impl Notebook {
    /// Proposes the holes of a photo that look like those marked in it, surest first. Nothing is
    /// recorded; see [`Notebook::add_found_holes`].
    ///
    /// Blocks while the photo is decoded and searched: some tenths of a second of processor for 12
    /// megapixels.
    ///
    /// # Errors
    /// If there is no such photo, if no hole is marked in it, or if nothing can be found in it.
    pub fn find_holes(&self, photo: PhotoId) -> Result<Vec<ProposedHole>, NotebookError> {
        let photo = self.photo(photo)?;
        let marks = photo.marks.iter().filter_map(|mark| mark.entries.0.first());
        let marks: Vec<(f64, f64)> = marks.map(|it| (it.body.x_px, it.body.y_px)).collect();
        let found = self.photos.find_holes(&photo.hash, &marks);
        found.map_err(failed)
    }

    /// Proposes a place in a photo for every hole of the face's wanted pattern that is not marked
    /// there, in the pattern's order; what is marked since is taken into account each time. Nothing is
    /// recorded; see [`Notebook::add_expected_holes`].
    ///
    /// Blocks as [`Notebook::find_holes`] does.
    ///
    /// # Errors
    /// If there is no such photo, if the face has no agreed pattern, if fewer than two of its holes are
    /// marked, or if nothing can be found.
    pub fn find_on_pattern(&self, photo: PhotoId) -> Result<Vec<ExpectedHole>, NotebookError> {
        let photo = self.photo(photo)?;
        let face = self.face(photo.face)?;
        let pattern = face.record.pattern.agreed().ok_or_else(|| {
            NotebookError::Invalid("this face has no agreed wanted pattern; enter it".to_owned())
        })?;
        let holes = pattern.seen_on_face();
        let holes = holes.map(|hole| (hole.hole, hole.x.mm(), hole.y.mm()));
        let holes: Vec<(u32, f64, f64)> = holes.collect();
        let marks = photo.marks.iter().filter_map(|mark| {
            let body = &mark.entries.0.first()?.body;
            Some((mark.number, body.x_px, body.y_px))
        });
        let marks: Vec<(u32, f64, f64)> = marks.collect();
        let known = |mark: &&(u32, f64, f64)| holes.iter().any(|hole| hole.0 == mark.0);
        if marks.iter().filter(known).count() < 2 {
            let why =
                "two holes of the pattern must be marked in the photo, far apart; mark one more";
            return Err(NotebookError::Invalid(why.to_owned()));
        }
        let error_mm = pattern.tolerance.unwrap_or_default().mm().max(DRILLED_MM) / 2.0;
        let found = self
            .photos
            .find_on_pattern(&photo.hash, &holes, error_mm, &marks);
        found.map_err(failed)
    }

    /// Marks holes of the pattern in a photo at their rims, all or none, by number. A
    /// hole that the face does not have yet is added with its number.
    ///
    /// # Errors
    /// If there is no such photo, if a place is outside it, if two holes have such a number, or if the
    /// notebook cannot be written.
    pub fn add_expected_holes(
        &self,
        photo: PhotoId,
        places: &[(u32, FoundRim)],
    ) -> Result<Vec<HoleId>, NotebookError> {
        let face = self.photo(photo)?.face;
        let known = self.face(face)?.holes;
        self.write(|tx| {
            tx.require_face(face)?;
            let mut holes = Vec::new();
            for &(number, rim) in places {
                check_mark(tx, photo, rim.x_px, rim.y_px)?;
                let mut same = known.iter().filter(|hole| hole.number == number);
                let hole = match (same.next(), same.next()) {
                    (Some(_), Some(_)) => {
                        let why = format!("this face has two holes {number}; renumber one first");
                        return Err(Fault::invalid(why));
                    }
                    (Some(hole), None) => hole.id,
                    (None, _) => add(tx, face, number)?,
                };
                let before = load::marks(tx.conn(), hole, photo)?.0;
                let mark = NewEntry::new(hole, &rim.mark(photo))?;
                tx.insert(mark.replacing(before.iter().map(|entry| entry.entry)))?;
                holes.push(hole);
            }
            Ok(holes)
        })
    }

    /// Returns the rim around a hole's mark in a photo, by the look of the other marked holes. Nothing
    /// is recorded; see [`Notebook::mark`].
    ///
    /// Blocks as [`Notebook::find_holes`] does.
    ///
    /// # Errors
    /// If there is no such photo, if the hole is not marked in it, or if there is no rim around its
    /// mark.
    pub fn snap_mark(&self, photo: PhotoId, hole: HoleId) -> Result<ProposedHole, NotebookError> {
        let photo = self.photo(photo)?;
        let place = |mark: &MarkView| {
            let body = &mark.entries.0.first()?.body;
            Some((body.x_px, body.y_px))
        };
        let mut own = photo.marks.iter().filter(|mark| mark.hole == hole);
        let own = own.next().and_then(place).ok_or_else(|| {
            NotebookError::Invalid("this hole is not marked in the photo; mark it first".to_owned())
        })?;
        let others = photo.marks.iter().filter(|mark| mark.hole != hole);
        let others: Vec<(f64, f64)> = others.filter_map(place).collect();
        let found = self.photos.snap_to_hole(&photo.hash, own, &others);
        found.map_err(failed)
    }

    /// Adds holes to the face that a photo shows, and marks each in it, all or none. They get the
    /// numbers after the face's highest, in the order given.
    ///
    /// # Errors
    /// If there is no such photo, if a place is outside it, or if the notebook cannot be written.
    pub fn add_found_holes(
        &self,
        photo: PhotoId,
        places: &[FoundRim],
    ) -> Result<Vec<HoleId>, NotebookError> {
        let face = self.photo(photo)?.face;
        self.write(|tx| {
            tx.require_face(face)?;
            let mut holes = Vec::new();
            for rim in places {
                check_mark(tx, photo, rim.x_px, rim.y_px)?;
                let number = next_number(tx, face)?;
                let hole = add(tx, face, number)?;
                tx.insert(NewEntry::new(hole, &rim.mark(photo))?)?;
                holes.push(hole);
            }
            Ok(holes)
        })
    }
}

fn failed(error: FindHolesError) -> NotebookError {
    match error {
        FindHolesError::Photo(error) => error.into(),
        FindHolesError::Find(error) => NotebookError::Invalid(error.to_string()),
    }
}

/// Adds a hole whose place on the face is not measured.
fn add(tx: &mut WriteTx<'_>, face: FaceId, number: u32) -> Result<HoleId, Fault> {
    let hole = HoleId::fresh();
    let body = HoleBody {
        face,
        number,
        x: None,
        y: None,
        tolerance: None,
    };
    tx.insert(NewEntry::new(hole, &body)?)?;
    Ok(hole)
}
