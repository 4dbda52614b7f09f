//! Holes that were found in a photo: proposed, and added once a person confirms them.

use super::Notebook;
use super::body::{HoleBody, MarkBody};
use super::edits::{check_mark, next_number};
use super::error::NotebookError;
use super::id::{HoleId, PhotoId};
use super::write::NewEntry;
use crate::photo::{FindHolesError, ProposedHole};

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
        found.map_err(|error| match error {
            FindHolesError::Photo(error) => error.into(),
            FindHolesError::Find(error) => NotebookError::Invalid(error.to_string()),
        })
    }

    /// Adds holes to the face that a photo shows, and marks each in it, all or none. They get the
    /// numbers after the face's highest, in the order given.
    ///
    /// # Errors
    /// If there is no such photo, if a place is outside it, or if the notebook cannot be written.
    pub fn add_found_holes(
        &self,
        photo: PhotoId,
        places: &[(f64, f64)],
    ) -> Result<Vec<HoleId>, NotebookError> {
        let face = self.photo(photo)?.face;
        self.write(|tx| {
            tx.require_face(face)?;
            let mut holes = Vec::new();
            for &(x_px, y_px) in places {
                check_mark(tx, photo, x_px, y_px)?;
                let hole = HoleId::fresh();
                let number = next_number(tx, face)?;
                let (x, y) = (None, None);
                tx.insert(NewEntry::new(hole, &HoleBody { face, number, x, y })?)?;
                tx.insert(NewEntry::new(hole, &MarkBody { photo, x_px, y_px })?)?;
                holes.push(hole);
            }
            Ok(holes)
        })
    }
}
