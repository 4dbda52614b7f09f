//! Photos by file path, and the marks in them.

use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::Condition;
use crate::stage::Stage;
use holebook_core::hole::record::FactEntries;
use holebook_core::notebook::FoundRim;
use holebook_core::photo::{Format, PhotoError, PhotoHash, PhotoStore, TakenAt};
use std::path::{Path, PathBuf};

lend! {
    holebook_core::notebook {
        MarkBody,
        MarkView,
        PhotoView,
        RemovedPhoto,
    }
}

lend! {
    holebook_core::photo {
        ExpectedHole,
        ProposedHole,
        ImportedPhoto,
    }
}

/// A photo that was added.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct AddedPhoto {
    /// Its id.
    pub id: PhotoId,
    /// Its file.
    pub file: ImportedPhoto,
}

#[uniffi::export]
impl Notebook {
    /// Adds a photo of a face from the file at `path`, which is not changed. `name` is the file's
    /// original name. The photo is on the disk before the entry that names it.
    /// The location where it was taken is removed, unless the settings keep it.
    ///
    /// Blocks for as long as decoding takes: a few tenths of a second for 12 megapixels on a
    /// desktop, more on a phone. Fails with `NoSuch` for another face, with `Photo` if the file is not a
    /// readable photo.
    #[uniffi::method(default(name = None))]
    pub fn add_photo(
        &self,
        face: FaceId,
        path: String,
        name: Option<String>,
    ) -> Result<AddedPhoto, NotebookError> {
        self.call("add_photo", |open| {
            let (id, file) = open.add_photo(face, Path::new(&path), name.as_deref())?;
            Ok(AddedPhoto { id, file })
        })
    }

    /// Adds a photo that shows one hole alone, as `add_photo` does. The hole is marked in its middle.
    /// Blocks as long. Fails with `NoSuch` for another hole, with `Photo` if the file is not a readable
    /// photo.
    #[uniffi::method(default(name = None))]
    pub fn add_photo_of_hole(
        &self,
        hole: HoleId,
        path: String,
        name: Option<String>,
    ) -> Result<AddedPhoto, NotebookError> {
        self.call("add_photo_of_hole", |open| {
            let (id, file) = open.add_photo_of_hole(hole, Path::new(&path), name.as_deref())?;
            Ok(AddedPhoto { id, file })
        })
    }

    /// Removes a wrong photo: it is struck out with its marks; its holes and its file stay. Blocks
    /// until it is on the disk. Fails with `NoSuch`.
    pub fn remove_photo(&self, id: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.call("remove_photo", |open| Ok(open.remove_photo(id)?))
    }

    /// Removes a hole's mark from a photo, with all that it replaced; the hole stays. Blocks until it is
    /// on the disk. Fails with `NoSuch` if there is none.
    pub fn remove_mark(&self, hole: HoleId, photo: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.call("remove_mark", |open| Ok(open.remove_mark(hole, photo)?))
    }

    /// The photos of a face that were removed. Blocks.
    pub fn removed_photos(&self, face: FaceId) -> Result<Vec<RemovedPhoto>, NotebookError> {
        self.call("removed_photos", |open| Ok(open.removed_photos(face)?))
    }

    /// Brings back a photo that was removed, with the marks that went with it. Blocks until it is on
    /// the disk. Fails with `NoSuch` if it was not removed.
    pub fn restore_photo(&self, id: PhotoId) -> Result<Vec<EntryId>, NotebookError> {
        self.call("restore_photo", |open| Ok(open.restore_photo(id)?))
    }

    /// One photo with its marks. Blocks. Fails with `NoSuch`.
    pub fn photo(&self, id: PhotoId) -> Result<PhotoView, NotebookError> {
        self.call("photo", |open| Ok(open.photo(id)?))
    }

    /// Returns the path of the original file. It never changes. Blocks. Fails with `NoSuch`; with
    /// `Photo` if a sync has not transferred the file yet.
    pub fn photo_original(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_original", id, |photos, hash| {
            let path = photos.original(hash);
            if photos.contains(hash) {
                return Ok(path);
            }
            let dir = path.parent().unwrap_or(&path).to_owned();
            Err(PhotoError::Missing { hash: *hash, dir })
        })
    }

    /// Returns the path of the view: upright, JPEG, at most 2048 pixels along its long edge. It is
    /// made again if it is missing. Blocks. Fails as the original does.
    pub fn photo_view(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_view", id, |photos, hash| photos.view(hash))
    }

    /// Returns the path of the thumbnail: upright, JPEG, at most 320 pixels along its long edge. It is
    /// made again if it is missing. Blocks. Fails as the original does.
    pub fn photo_thumbnail(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_thumbnail", id, |photos, hash| photos.thumbnail(hash))
    }

    /// Proposes the holes of a photo that look like those marked in it, surest first. Nothing is
    /// recorded. Blocks while the photo is searched: some tenths of a second on a desktop, more on a
    /// phone. Fails with `NoSuch`; with `Invalid` if no hole is marked or nothing can be found.
    pub fn find_holes(&self, photo: PhotoId) -> Result<Vec<ProposedHole>, NotebookError> {
        self.call("find_holes", |open| Ok(open.find_holes(photo)?))
    }

    /// Adds the proposals that a person confirmed as holes, and marks each, all or none. Blocks until
    /// they are on the disk. Fails with `NoSuch`; with `Invalid` if one is outside the photo.
    pub fn add_found_holes(
        &self,
        photo: PhotoId,
        found: Vec<ProposedHole>,
    ) -> Result<Vec<HoleId>, NotebookError> {
        self.call("add_found_holes", |open| {
            let places: Vec<FoundRim> = found.into_iter().map(FoundRim::from).collect();
            Ok(open.add_found_holes(photo, &places)?)
        })
    }

    /// Proposes a place in a photo for every hole of the face's pattern that is not marked there.
    /// Nothing is recorded. Blocks while the photo is searched. Fails with `NoSuch`; with `Invalid` if
    /// the face has no pattern, fewer than two of its holes are marked, or nothing can be found.
    pub fn find_on_pattern(&self, photo: PhotoId) -> Result<Vec<ExpectedHole>, NotebookError> {
        self.call("find_on_pattern", |open| Ok(open.find_on_pattern(photo)?))
    }

    /// Marks holes of the pattern that a person confirmed at their rims, all or none; those that the
    /// face does not have yet are added. One without a rim is left out. Blocks until they are on the
    /// disk. Fails with `NoSuch`; with `Invalid` if one is outside the photo.
    pub fn add_expected_holes(
        &self,
        photo: PhotoId,
        found: Vec<ExpectedHole>,
    ) -> Result<Vec<HoleId>, NotebookError> {
        self.call("add_expected_holes", |open| {
            let rims = found
                .iter()
                .filter_map(|hole| Some((hole.number, hole.rim?)));
            let places: Vec<(u32, FoundRim)> = rims
                .map(|(number, rim)| (number, FoundRim::from(rim)))
                .collect();
            Ok(open.add_expected_holes(photo, &places)?)
        })
    }

    /// The rim around a hole's mark in a photo. Nothing is recorded. Blocks while the photo is
    /// searched. Fails with `NoSuch`; with `Invalid` if the hole is not marked or no rim is found.
    pub fn snap_mark(&self, photo: PhotoId, hole: HoleId) -> Result<ProposedHole, NotebookError> {
        self.call("snap_mark", |open| Ok(open.snap_mark(photo, hole)?))
    }

    /// Marks where a hole is in a photo; `replaces` names the marks that this replaces. Blocks
    /// until it is on the disk.
    ///
    /// Fails with `NoSuch` for another hole or photo, with `Invalid` if the mark is outside
    /// the photo.
    #[uniffi::method(default(replaces = []))]
    pub fn mark(
        &self,
        hole: HoleId,
        mark: MarkBody,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("mark", |open| Ok(open.record_mark(hole, &mark, &replaces)?))
    }
}

impl Notebook {
    /// The path of one of a photo's files.
    fn photo_file(
        &self,
        call: &'static str,
        id: PhotoId,
        file: impl FnOnce(&PhotoStore, &PhotoHash) -> Result<PathBuf, PhotoError>,
    ) -> Result<String, NotebookError> {
        self.call(call, |open| {
            let photo = open.photo(id)?;
            let path = file(open.photos(), &photo.hash)?;
            Ok(path.to_string_lossy().into_owned())
        })
    }
}
