//! Whether the notebook is whole, and making it whole again.

use crate::border::{Out, record_out};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::ids::DeviceId;
use crate::notebook::Notebook;
use holebook_core::mend;
use holebook_core::notebook as core;
use std::path::{Path, PathBuf};

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
    /// A small picture made from a photo is damaged; `repair` makes it anew.
    SmallPicture,
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
                Self::SmallPicture { .. } => FindingKind::SmallPicture,
                Self::PhotoMissing { .. } => FindingKind::PhotoMissing,
                Self::PhotoDamaged { .. } => FindingKind::PhotoDamaged,
            },
        }
    }
}

impl Out for PathBuf {
    type Face = String;
    fn out(self) -> String {
        self.to_string_lossy().into_owned()
    }
}

record_out! {
    /// A file in the notebook's folder that it has no use for.
    Stray = core::Stray {
        /// The file, from the notebook's folder.
        file: String,
        /// How it came there, as far as that can be told.
        why: String,
    }
}

record_out! {
    /// Entries of a device that are lost here.
    Gap = mend::Gap {
        /// The device.
        device: DeviceId,
        /// The number of the first.
        first: u64,
        /// The number of the last that is known of.
        last: u64,
    }
}

record_out! {
    /// What was saved of a damaged database.
    Saved = mend::Saved {
        /// How many entries stand in the new one.
        entries: u64,
        /// How many more read, but stand behind one that is lost.
        waiting: u64,
        /// The shelf on which those were left, from the notebook's folder; exchange with it once the lost ones are back.
        waiting_on: Option<String>,
        /// What is lost, as far as it is known. An exchange with a shelf that has it brings it back.
        gaps: Vec<Gap>,
        /// The new identity under which the notebook goes on, where its own lines are not all there.
        went_on_as: Option<DeviceId>,
        /// Whether the settings could not be read, and are to be set again.
        settings_lost: bool,
    }
}

record_out! {
    /// What a repair found and did.
    Mended = mend::Mended {
        /// What was wrong. Empty: nothing.
        found: Vec<Finding>,
        /// What was moved to the folder `aside`, from the notebook's folder.
        moved: Vec<String>,
        /// What was saved, where the database was made anew.
        saved: Option<Saved>,
        /// How it is now.
        now: VerifyReport,
    }
}

/// Repairs the notebook in the folder `dir`, also one that cannot be opened any more: saves all that still reads, moves what is
/// damaged to its folder `aside`, and deletes nothing. Blocks; reads all there is, the database at once, so that it wants as much
/// memory.
///
/// Fails with `OpenElsewhere` where it is open, so shut it down first; with `Newer` or `NotANotebook` where it is none of this
/// version's; and where the folder cannot be read or written. Nothing is lost then.
#[uniffi::export]
pub fn repair_notebook(dir: String) -> Result<Mended, NotebookError> {
    guard("repair_notebook", || Ok(mend::mend(Path::new(&dir))?.out()))
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
        /// Files in the notebook's folder that it has no use for. They do no harm.
        stray: Vec<Stray>,
    }
}

#[uniffi::export]
impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against the journal, each photo
    /// against its name. Blocks for as long as reading all there is takes, and others cannot write meanwhile.
    pub fn verify(&self) -> Result<VerifyReport, NotebookError> {
        self.call("verify", |open| Ok(open.verify()?.out()))
    }

    /// Builds every table but the journal anew where it differs, makes damaged small pictures anew, moves damaged photos to the
    /// folder `aside`, and says what was wrong. Blocks for as long as that takes.
    ///
    /// Fails with `Damaged` where a line of the journal is damaged; for that see `repair_notebook`.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        self.call("repair", |open| Ok(open.repair()?.out()))
    }
}
