//! Whether the notebook is whole.

use crate::border::{Out, record_out};
use crate::error::NotebookError;
use crate::notebook::Notebook;
use holebook_core::notebook as core;

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum FindingKind {
    /// The database file is damaged.
    File,
    /// A line is not what was written.
    Line,
    /// A line names one before it that is not here.
    Gap,
    /// A table differs from what the journal gives; `repair` builds it anew.
    Table,
    /// A photo that an entry names is not here; an exchange brings it back.
    PhotoMissing,
    /// A photo's bytes are not those it is named by, or cannot be read.
    PhotoDamaged,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Finding {
    /// What it is about.
    pub kind: FindingKind,
    /// The sentence for the person.
    pub sentence: String,
}

impl Out for core::Finding {
    type Face = Finding;
    fn out(self) -> Finding {
        Finding {
            sentence: self.to_string(),
            kind: match self {
                Self::File { .. } => FindingKind::File,
                Self::Line { .. } => FindingKind::Line,
                Self::Gap { .. } => FindingKind::Gap,
                Self::Table { .. } => FindingKind::Table,
                Self::PhotoMissing { .. } => FindingKind::PhotoMissing,
                Self::PhotoDamaged { .. } => FindingKind::PhotoDamaged,
            },
        }
    }
}

record_out! {
    /// What a verification found.
    VerifyReport = core::Report {
        /// How many entries the journal has.
        entries: u64,
        /// How many devices wrote them.
        devices: u64,
        /// How many photos they name.
        photos: u64,
        /// How many entries this version does not understand; they are kept and passed on.
        not_understood: u64,
        /// What is wrong. Empty: nothing.
        findings: Vec<Finding>,
    }
}

#[uniffi::export]
impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against the journal, each photo
    /// against its name. Blocks for as long as reading all there is takes, and others cannot write meanwhile.
    pub fn verify(&self) -> Result<VerifyReport, NotebookError> {
        self.call("verify", |open| Ok(open.verify()?.out()))
    }

    /// Builds every table but the journal anew, and says which of them differed. Blocks for as long as that takes.
    ///
    /// Fails with `Damaged` where a line of the journal is damaged.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        self.call("repair", |open| Ok(open.repair()?.out()))
    }
}
