//! Photos by file path, and the marks in them.

use crate::border::{In, Out, record, record_out};
use crate::castings::State;
use crate::error::NotebookError;
use crate::ids::{EntryId, FaceId, HoleId, PhotoId};
use crate::notebook::Notebook;
use crate::said::MarkAnswers;
use holebook_core::notebook as core;
use holebook_core::photo::{Incoming, PhotoError, PhotoHash, PhotoStore, TakenAt};
use std::path::{Path, PathBuf};

record! {
    /// Where a hole is in a photo, in pixels of the upright picture from its top left corner.
    MarkBody = core::MarkBody {
        /// The photo.
        photo: PhotoId,
        /// Pixels to the right.
        x_px: f64,
        /// Pixels down.
        y_px: f64,
    }
}

record_out! {
    /// Where a hole is in a photo, with the hole's state.
    MarkView = core::MarkView {
        /// The hole.
        hole: HoleId,
        /// Its number.
        number: u32,
        /// How far it is.
        state: State,
        /// Whether the hole's entries disagree, the mark's among them.
        in_question: bool,
        /// Where it is, with who said so; several where two devices marked the same hole. Never empty.
        answers: MarkAnswers,
    }
}

record_out! {
    /// A photo with its marks.
    PhotoView = core::PhotoView {
        /// Its id.
        id: PhotoId,
        /// The face it shows.
        face: FaceId,
        /// The name of its file: the SHA-256 of its content, in hexadecimal digits.
        hash: String,
        /// Width of the upright picture, pixels.
        width_px: u32,
        /// Height of the upright picture, pixels.
        height_px: u32,
        /// When the camera says it was taken, as it wrote it: local time, with the offset where it wrote one.
        taken_at: Option<String>,
        /// What the file was called where it came from.
        name: Option<String>,
        /// Where holes are in it, by their numbers.
        marks: Vec<MarkView>,
    }
}

impl Out for PhotoHash {
    type Face = String;
    fn out(self) -> String {
        self.to_string()
    }
}

impl Out for TakenAt {
    type Face = String;
    fn out(self) -> String {
        self.to_string()
    }
}

/// A photo that was brought in.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PhotoAdded {
    /// Its id.
    pub photo: PhotoId,
    /// The name of its file: the SHA-256 of its content, in hexadecimal digits.
    pub hash: String,
    /// Width of the upright picture, pixels. Marks are in these pixels, not in those of the view.
    pub width_px: u32,
    /// Height of the upright picture, pixels.
    pub height_px: u32,
    /// When the camera says it was taken, as it wrote it.
    pub taken_at: Option<String>,
    /// A position, or metadata that names one or could not be read, was taken out.
    pub location_removed: bool,
    /// Something behind the picture was left out: further pictures, or the film of a moving photo.
    pub trailer_removed: bool,
    /// Size of the stored file, bytes.
    pub bytes: u64,
    /// Its media type: `image/jpeg` or `image/png`.
    pub media_type: String,
    /// The same photo was there before; nothing new was stored.
    pub already_there: bool,
}

impl Out for (core::PhotoId, Incoming) {
    type Face = PhotoAdded;
    fn out(self) -> PhotoAdded {
        let Incoming {
            hash,
            width,
            height,
            taken_at,
            location_removed,
            trailer_removed,
            bytes,
            format,
            already_there,
        } = self.1;
        PhotoAdded {
            photo: self.0.out(),
            hash: hash.out(),
            width_px: width,
            height_px: height,
            taken_at: taken_at.out(),
            location_removed,
            trailer_removed,
            bytes,
            media_type: format.media_type().to_owned(),
            already_there,
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// Brings in a photo of a face from the file at `path`, which is left as it is. `name` is what the file was called
    /// where it came from. The photo is on the disk before the entry that names it. The place where it was taken is
    /// removed, unless the settings keep it.
    ///
    /// Blocks for as long as decoding takes: some tenths of a second for 12 megapixels on a desk, more on a phone. Fails
    /// with `NoSuch` for another face, with `Photo` where the file is no photo that can be read.
    #[uniffi::method(default(name = None))]
    pub fn add_photo(
        &self,
        face: FaceId,
        path: String,
        name: Option<String>,
    ) -> Result<PhotoAdded, NotebookError> {
        self.call("add_photo", |open| {
            let added = open.add_photo(face.inward()?, Path::new(&path), name.as_deref())?;
            Ok(added.out())
        })
    }

    /// One photo with its marks. Blocks. Fails with `NoSuch`.
    pub fn photo(&self, id: PhotoId) -> Result<PhotoView, NotebookError> {
        self.call("photo", |open| Ok(open.photo(id.inward()?)?.out()))
    }

    /// Where the photo's file is, whole. It never changes. Blocks. Fails with `NoSuch`; with `Photo` where an exchange has
    /// still to bring the file.
    pub fn photo_original(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_original", id, |photos, hash| {
            let path = photos.original(hash);
            if photos.holds(hash) {
                return Ok(path);
            }
            let place = path.parent().unwrap_or(&path).to_owned();
            Err(PhotoError::Missing { hash: *hash, place })
        })
    }

    /// Where the photo's view is: upright, JPEG, at most 2048 pixels along its long edge. It is made where it is gone.
    /// Blocks. Fails as the original does.
    pub fn photo_view(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_view", id, |photos, hash| photos.view(hash))
    }

    /// Where the photo's thumbnail is: upright, JPEG, at most 320 pixels along its long edge. It is made where it is gone.
    /// Blocks. Fails as the original does.
    pub fn photo_thumbnail(&self, id: PhotoId) -> Result<String, NotebookError> {
        self.photo_file("photo_thumbnail", id, |photos, hash| photos.thumbnail(hash))
    }

    /// Says where a hole is in a photo, in place of the marks `over` of it there. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch` for another hole or photo, with `Unfit` where the mark lies outside the photo.
    #[uniffi::method(default(over = []))]
    pub fn mark(
        &self,
        hole: HoleId,
        mark: MarkBody,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("mark", |open| {
            let over: Vec<_> = over.inward()?;
            let core::MarkBody { photo, x_px, y_px } = mark.inward()?;
            Ok(open.mark(hole.inward()?, photo, x_px, y_px, &over)?.out())
        })
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
            let photo = open.photo(id.inward()?)?;
            let path = file(open.photos(), &photo.hash)?;
            Ok(path.to_string_lossy().into_owned())
        })
    }
}
