//! Checking the notebook, and repairing it.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::ids::DeviceId;
use crate::lend::lend;
use crate::notebook::Notebook;
use holebook_core::photo::PhotoHash;
use std::path::{Path, PathBuf};

lend! {
    holebook_core::notebook {
        Finding,
        UnexpectedFile,
        VerifyReport,
    }
}

lend! {
    holebook_core::repair {
        Gap,
        Recovered,
        RepairReport,
    }
}

/// A finding in a sentence for the person.
#[uniffi::export]
pub fn finding_sentence(finding: Finding) -> Result<String, NotebookError> {
    guard("finding_sentence", || Ok(finding.to_string()))
}

/// Repairs the notebook in the folder `dir`, even if it can no longer be opened: recovers everything
/// readable, moves damaged files to its folder `aside`, and deletes nothing. Blocks while it reads
/// everything, and needs as much memory as the database is large.
///
/// Fails with `OpenElsewhere` if it is open, so shut it down first; with `NewerVersion` or
/// `NotANotebook` if this version cannot repair it; and if the folder cannot be read or written.
/// Nothing is lost then.
#[uniffi::export]
pub fn repair_notebook(dir: String) -> Result<RepairReport, NotebookError> {
    guard("repair_notebook", || {
        Ok(holebook_core::repair::repair(Path::new(&dir))?)
    })
}

#[uniffi::export]
impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against
    /// the journal, each photo against its name. Blocks while it reads everything, and others
    /// cannot write meanwhile.
    pub fn verify(&self) -> Result<VerifyReport, NotebookError> {
        self.call("verify", |open| Ok(open.verify()?))
    }

    /// Rebuilds every table that differs from the journal, and damaged views and thumbnails; moves
    /// damaged photos to the folder `aside`; and returns the findings. Blocks for as long as that
    /// takes.
    ///
    /// Fails with `Damaged` if a line of the journal is damaged; then use `repair_notebook`.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        self.call("repair", |open| Ok(open.repair()?))
    }
}
