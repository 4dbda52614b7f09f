//! The sheets of a face: what hangs on the machine while the work is done, and what is kept with the
//! casting after.

use crate::error::NotebookError;
use crate::ids::FaceId;
use crate::lend::lend;
use crate::length::LengthUnit;
use crate::notebook::Notebook;
use crate::strength::Lubrication;
use holebook_paper::SheetOptions;

lend! {
    holebook_paper {
        PaperSize,
        SheetKind,
    }
}

#[uniffi::export]
impl Notebook {
    /// The work sheet of a face as one self-contained HTML page with its pictures: some hundred
    /// kilobytes for each photo. Lengths are shown in `unit`. Blocks. Fails with `NoSuch`.
    pub fn sheet(&self, face: FaceId, unit: LengthUnit) -> Result<String, NotebookError> {
        self.call("sheet", |open| {
            Ok(holebook_screens::sheet(open, face, unit)?)
        })
    }

    /// A sheet of a face as a PDF with its fonts and pictures: some hundred kilobytes for each photo.
    /// Lengths are shown in `unit`. Blocks; the cost grows with the holes of the face. Fails with
    /// `NoSuch`. The torque of a bolt-up sheet is for bolts lubricated as they are recorded, or else for
    /// oiled ones; see `bolt_up_pdf`.
    pub fn sheet_pdf(
        &self,
        face: FaceId,
        kind: SheetKind,
        paper: PaperSize,
        unit: LengthUnit,
    ) -> Result<Vec<u8>, NotebookError> {
        self.call("sheet_pdf", |open| {
            let options = SheetOptions {
                kind,
                size: paper,
                unit,
                lubrication: None,
            };
            Ok(holebook_paper::sheet_pdf(open, face, options)?)
        })
    }

    /// The bolt-up sheet of a face as a PDF for bolts that are lubricated in one way. Otherwise as
    /// `sheet_pdf`.
    pub fn bolt_up_pdf(
        &self,
        face: FaceId,
        lubrication: Lubrication,
        paper: PaperSize,
        unit: LengthUnit,
    ) -> Result<Vec<u8>, NotebookError> {
        self.call("bolt_up_pdf", |open| {
            let options = SheetOptions {
                kind: SheetKind::BoltUp,
                size: paper,
                unit,
                lubrication: Some(lubrication),
            };
            Ok(holebook_paper::sheet_pdf(open, face, options)?)
        })
    }

    /// The same as one self-contained HTML page. Blocks. Fails with `NoSuch`.
    pub fn bolt_up_sheet(
        &self,
        face: FaceId,
        lubrication: Lubrication,
        unit: LengthUnit,
    ) -> Result<String, NotebookError> {
        self.call("bolt_up_sheet", |open| {
            Ok(holebook_screens::bolt_up_sheet(
                open,
                face,
                Some(lubrication),
                unit,
            )?)
        })
    }
}
