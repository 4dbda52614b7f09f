//! Exports: what leaves the notebook for people without Holebook.

use crate::error::NotebookError;
use crate::ids::CastingId;
use crate::lend::lend;
use crate::length::LengthUnit;
use crate::notebook::Notebook;
use std::path::Path;

lend! {
    holebook_core::export {
        Exported,
    }
}

#[uniffi::export]
impl Notebook {
    /// Exports the whole notebook as the folder `folder`, an absolute path that does not exist or is
    /// an empty folder: every entry as JSON Lines, tables as CSV, the photos, and a README.txt that
    /// explains them. With `replace` it may be an earlier export. The folder appears complete or not
    /// at all. Anyone who has it can read all of it.
    ///
    /// Blocks until it is on disk, for as long as copying the photos takes; shutting the notebook
    /// down cancels it with `Canceled`. Fails with `Bundle` if something else is there or it cannot
    /// be written.
    pub fn export_files(&self, folder: String, replace: bool) -> Result<Exported, NotebookError> {
        self.sync("export_files", |sync| {
            Ok(sync.export(Path::new(&folder), replace)?)
        })
    }

    /// One casting as one HTML page with its photos, made smaller: some hundred kilobytes for each
    /// photo. It is read-only, has no script, and loads nothing. Lengths are shown in `unit`. Blocks.
    /// Fails with `NoSuch`.
    pub fn casting_file(
        &self,
        casting: CastingId,
        unit: LengthUnit,
    ) -> Result<String, NotebookError> {
        self.call("casting_file", |open| {
            Ok(holebook_screens::casting_file(open, casting, unit)?)
        })
    }
}
