//! Bundles: entries and photos as one file, to be shared by whatever the phone offers.

use crate::border::{In, Out, words};
use crate::error::NotebookError;
use crate::notebook::Notebook;
use holebook_core::exchange::bundle as core;
use std::path::Path;

words! {
    /// What a bundle shall hold.
    BundleOf = core::What {
        /// All that the notebook holds.
        All,
        /// What was written here and lies on no shelf yet.
        NotHome,
    }
}

/// A bundle that was written.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct BundleWritten {
    /// The file.
    pub path: String,
    /// How many entries it holds.
    pub entries: u64,
    /// How many photos it holds.
    pub photos: u64,
    /// Its size, bytes.
    pub bytes: u64,
    /// Photos that its entries name and that are not here, by the SHA-256 of their content.
    pub photos_missing: Vec<String>,
}

#[uniffi::export]
impl Notebook {
    /// Writes a bundle to the file `path`, an absolute path ending in `.zip`, where no file may be yet. It appears there whole or
    /// not at all. A file may never arrive, so what is in it still counts as not home. Whoever has it can read all that is in it.
    ///
    /// Blocks until it is on the disk, for as long as copying its photos takes; shutting the notebook down ends it with `Stopped`
    /// and leaves no file. Fails with `Bundle` where the file is there already, there is no room, or there is nothing to write.
    pub fn write_bundle(
        &self,
        path: String,
        what: BundleOf,
    ) -> Result<BundleWritten, NotebookError> {
        self.meet("write_bundle", |meet| {
            let written = meet.write_bundle(Path::new(&path), what.inward()?)?;
            Ok(BundleWritten {
                path,
                entries: written.entries,
                photos: written.photos,
                bytes: written.bytes,
                photos_missing: written.photos_missing.out(),
            })
        })
    }

    /// Has the pages write bundles and take them in, with their files in `folder`, which is made where it is missing. Without
    /// this call the pages do not speak of bundles. What was written stays there until the next one is or the notebook is shut
    /// down; what an ended process left there may be deleted before this call.
    ///
    /// Blocks. Fails with `NotWritable` where the folder cannot be made.
    pub fn keep_bundles_in(&self, folder: String) -> Result<(), NotebookError> {
        self.meet("keep_bundles_in", |meet| {
            meet.keep_bundles_in(Path::new(&folder))
        })
    }
}
