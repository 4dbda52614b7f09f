//! A face's sheet: what hangs on the machine while the work is done, and what is kept with the
//! casting after.

use crate::error::NotebookError;
use crate::ids::FaceId;
use crate::length::LengthUnit;
use crate::notebook::Notebook;

#[uniffi::export]
impl Notebook {
    /// The sheet of a face as one self-contained HTML page with its pictures: some hundred kilobytes
    /// for each photo. Lengths are shown in `unit`. Blocks. Fails with `NoSuch`.
    pub fn sheet(&self, face: FaceId, unit: LengthUnit) -> Result<String, NotebookError> {
        self.call("sheet", |open| {
            Ok(holebook_screens::sheet(open, face, unit)?)
        })
    }
}
