//! Sheets of a face as PDF: what hangs at the machine while the work is done, and what is kept with
//! the casting after.
//!
//! The fonts are embedded, and nothing else than the notebook is read. A sheet says what the screens
//! say, in the words of [`holebook_core::labels`].
//!
//! A sheet is a module that fills a `paper::Paper` from `facts::FaceFacts`. A further one is a
//! variant of [`SheetKind`] and its module.

pub mod bolt_rows;
mod bolt_up;
mod cautions;
pub mod face_lines;
mod facts;
mod fonts;
mod label;
mod page;
mod paper;
mod pdf;
mod photo;
mod record;
mod template;
mod text;
mod work;
pub mod work_rows;

pub use cautions::CAUTION;
pub use page::PaperSize;

use bolt_rows::BoltUpFacts;
use facts::FaceFacts;
use holebook_core::display_name::escaped;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, Notebook, NotebookError};
use holebook_core::strength::Lubrication;
use paper::{Head, Paper};
use thiserror::Error;

/// A kind of sheet.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SheetKind {
    /// For the machine: the marked photo, and a line per hole in working order, with boxes to write in.
    Work,
    /// For the casting's file: as found, as cut, by whom, with what, checks and limits.
    Record,
    /// The holes in true scale, to lay on the face.
    Template,
    /// For the crate.
    Label,
    /// For the wrench: the order of tightening, the passes, and a box for each bolt and pass.
    BoltUp,
}

impl SheetKind {
    /// All kinds.
    pub const ALL: [SheetKind; 5] = [
        SheetKind::Work,
        SheetKind::Record,
        SheetKind::Template,
        SheetKind::Label,
        SheetKind::BoltUp,
    ];

    /// Returns its name on the command line and in addresses.
    pub const fn word(self) -> &'static str {
        match self {
            SheetKind::Work => "work",
            SheetKind::Record => "record",
            SheetKind::Template => "template",
            SheetKind::Label => "label",
            SheetKind::BoltUp => "bolt-up",
        }
    }

    /// Returns the kind with a name.
    pub fn from_word(word: &str) -> Option<SheetKind> {
        SheetKind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Returns its title.
    pub const fn label(self) -> &'static str {
        match self {
            SheetKind::Work => "Work sheet",
            SheetKind::Record => "Record",
            SheetKind::Template => "Template, true scale",
            SheetKind::Label => "Crate label",
            SheetKind::BoltUp => "Bolt-up",
        }
    }
}

/// How a sheet is made.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetOptions {
    /// Which sheet.
    pub kind: SheetKind,
    /// The paper.
    pub size: PaperSize,
    /// The unit of lengths.
    pub unit: Unit,
    /// How the bolts are lubricated, which only the bolt-up sheet asks; `None`: as recorded, or else
    /// as usual.
    pub lubrication: Option<Lubrication>,
}

impl PaperSize {
    /// Returns the paper that goes with a unit: Letter with inches, A4 with millimeters.
    pub const fn usual(unit: Unit) -> PaperSize {
        match unit {
            Unit::Inch => PaperSize::Letter,
            Unit::Millimeter => PaperSize::A4,
        }
    }
}

/// Why a sheet could not be made.
#[derive(Debug, Error)]
pub enum PaperError {
    /// The notebook could not be read, or has no such face.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The PDF could not be written.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
}

/// Returns a sheet of a face as a PDF. Blocks; the cost grows with the holes of the face.
///
/// # Errors
/// If there is no such face, or the notebook cannot be read.
pub fn sheet_pdf(
    notebook: &Notebook,
    face: FaceId,
    options: SheetOptions,
) -> Result<Vec<u8>, PaperError> {
    let facts = FaceFacts::read(notebook, face, options.unit)?;
    let mut paper = Paper::new(options.size, head(&facts, options.kind));
    match options.kind {
        SheetKind::Work => work::fill(&mut paper, notebook, &facts),
        SheetKind::Record => record::fill(&mut paper, notebook, &facts)?,
        SheetKind::Template => template::fill(&mut paper, notebook, &facts)?,
        SheetKind::Label => label::fill(&mut paper, &facts),
        SheetKind::BoltUp => {
            let joint = BoltUpFacts::read(notebook, face, options.lubrication, options.unit)?;
            bolt_up::fill(&mut paper, notebook, &joint);
        }
    }
    paper.finish()
}

fn head(facts: &FaceFacts, kind: SheetKind) -> Head {
    let notebook = match facts.settings.device_name.as_str() {
        "" => "unnamed device".to_owned(),
        name => escaped(name),
    };
    Head {
        sheet: kind.label().to_owned(),
        casting: facts.casting_name().to_owned(),
        face: facts.face.name.clone(),
        notebook,
        by: escaped(&facts.settings.person),
        at: facts.at,
    }
}
