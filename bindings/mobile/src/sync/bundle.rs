//! Bundles: entries and photos as one file, to share by any means the phone offers.

use crate::error::NotebookError;
use crate::lend::lend;
use crate::notebook::Notebook;
use std::path::Path;

lend! {
    holebook_core::sync::bundle {
        BundleContent,
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
    /// Photos that its entries name and that are not on this device, by the SHA-256 of their content.
    pub photos_missing: Vec<String>,
}

#[uniffi::export]
impl Notebook {
    /// Writes a bundle to the new file `path`, an absolute path ending in `.zip`. It appears there
    /// complete or not at all. A file may never arrive, so its entries still count as not synced.
    /// Anyone who has the file can read it.
    ///
    /// Blocks until it is on disk, for as long as copying its photos takes; shutting the notebook
    /// down cancels it with `Canceled` and leaves no file. Fails with `Bundle` if the file exists,
    /// there is no space, or there is nothing to write.
    pub fn write_bundle(
        &self,
        path: String,
        content: BundleContent,
    ) -> Result<BundleWritten, NotebookError> {
        self.sync("write_bundle", |sync| {
            let written = sync.write_bundle(Path::new(&path), content)?;
            Ok(BundleWritten {
                path,
                entries: written.entries,
                photos: written.photos,
                bytes: written.bytes,
                photos_missing: written
                    .photos_missing
                    .iter()
                    .map(ToString::to_string)
                    .collect(),
            })
        })
    }

    /// Sets the folder for the bundles that pages write and import, creating it if needed. Without
    /// this call the pages do not offer bundles. A written bundle stays there until the next one is
    /// written or the notebook is shut down; what a killed process left there may be deleted before
    /// this call.
    ///
    /// Blocks. Fails with `NotWritable` if the folder cannot be created.
    pub fn set_bundle_folder(&self, folder: String) -> Result<(), NotebookError> {
        self.sync("set_bundle_folder", |sync| {
            Ok(sync.set_bundle_folder(Path::new(&folder))?)
        })
    }
}
