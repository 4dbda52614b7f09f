//! The maker's own sheet of an insert: its figures replace the standard's row.

use super::InsertItem;
use crate::drill::Drill;
use crate::insert::{Family, FileError, FileProblem, InsertFile};
use crate::length::Length;

/// The figures of a maker's sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct MakersSheet {
    /// The insert.
    pub insert: InsertItem,
    /// Where the figures are from: `card in the box`.
    pub source: String,
    /// Least and largest diameter of the hole before tapping; not used for a wire thread insert, whose
    /// hole follows from its thread.
    pub hole: Option<(Length, Length)>,
    /// The drill; `None`: the one nearest the middle of the hole's limits.
    pub drill: Option<Drill>,
    /// Least depth of full thread.
    pub full_thread: Option<Length>,
    /// Least and largest diameter of the countersink.
    pub countersink: Option<(Length, Length)>,
    /// Least and largest depth of the upper end below the face.
    pub set_below: Option<(Length, Length)>,
    /// Locking keys; 0 if it has none.
    pub keys: u8,
}

/// Why a sheet was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// No drill for a wire thread insert.
    #[error(
        "the sheet of a wire thread insert is about its drill, and none is given; enter the drill"
    )]
    NoDrill,
    /// No hole limits for a solid insert.
    #[error("the diameter of the hole before tapping is missing; enter the least and the largest")]
    NoHole,
    /// No depth below the face for a solid insert.
    #[error("how far below the face it goes is missing; enter the least and the largest")]
    NoSetBelow,
    /// The figures do not make an insert.
    #[error("the figures do not make an insert: {0}")]
    NotAnInsert(Box<FileProblem>),
}

impl MakersSheet {
    /// Returns the name of its file of inserts. A sheet of the same insert has the same name, so that it
    /// replaces the one before.
    pub fn file_name(&self) -> String {
        let insert = &self.insert;
        let (family, thread) = (insert.family, insert.thread);
        match family {
            Family::WireThread => format!("{thread} {family}"),
            _ => format!(
                "{thread} {family}, {}, {}",
                insert.outside,
                insert.length.exact()
            ),
        }
    }

    /// Returns the text of its file of inserts (see [`InsertFile`]).
    ///
    /// # Errors
    /// If a figure is missing or cannot be right.
    pub fn file_text(&self) -> Result<String, SheetError> {
        let text = match self.insert.family {
            Family::WireThread => self.wire_drill()?,
            _ => self.row()?,
        };
        let refused = |error: FileError| SheetError::NotAnInsert(error.problem);
        InsertFile::parse(&self.file_name(), &text).map_err(refused)?;
        Ok(text)
    }

    fn wire_drill(&self) -> Result<String, SheetError> {
        let drill = self.drill.ok_or(SheetError::NoDrill)?;
        Ok(format!(
            "[[wire_drill]]\nthread = {}\ndrill = {}\nsource = {}\nconfidence = \"card\"\n",
            quoted(&self.insert.thread.designation()),
            quoted(&drill.to_string()),
            quoted(&self.source)
        ))
    }

    fn row(&self) -> Result<String, SheetError> {
        let hole = self.hole.ok_or(SheetError::NoHole)?;
        let set_below = self.set_below.ok_or(SheetError::NoSetBelow)?;
        let mut text = format!(
            "[[insert]]\nfamily = {}\nsource = {}\nconfidence = \"card\"\ninternal = [{}]\n\
             outside = {}\nlength = {}\nhole = {}\nset_below = {}\nkeys = {}\n",
            quoted(self.insert.family.name()),
            quoted(&self.source),
            quoted(&self.insert.thread.designation()),
            quoted(&self.insert.outside),
            size(self.insert.length),
            pair(hole),
            pair(set_below),
            self.keys,
        );
        if let Some(drill) = self.drill {
            text.push_str(&format!("drill = {}\n", quoted(&drill.to_string())));
        }
        if let Some(full_thread) = self.full_thread {
            text.push_str(&format!("full_thread = {}\n", size(full_thread)));
        }
        if let Some(countersink) = self.countersink {
            text.push_str(&format!("countersink = {}\n", pair(countersink)));
        }
        Ok(text)
    }
}

fn pair((least, most): (Length, Length)) -> String {
    format!("[{}, {}]", size(least), size(most))
}

fn size(length: Length) -> String {
    quoted(&length.exact())
}

/// Quotes a text as TOML does: every escape of a JSON string is one of TOML.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}
