//! Findings of a verification, worded so that a person can act on them.

use super::id::DeviceId;
use crate::photo::PhotoHash;
use serde::Serialize;
use std::fmt;
use std::path::PathBuf;

/// One fault.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "finding", rename_all = "kebab-case")]
pub enum Finding {
    /// SQLite reports its file as damaged.
    File {
        /// What it reported.
        detail: String,
    },
    /// A line does not match its hash.
    Line {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
        /// What is wrong with it.
        detail: String,
    },
    /// The line before a line is missing, so this line and those after it are not verified.
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
    },
    /// The last line of a device is missing.
    End {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
    },
    /// The log was cut by damage, and lines after the damage are not shown. Repair recovers them
    /// from a copy.
    Log {
        /// The folder of the copy, as a path in the notebook's folder.
        copy: PathBuf,
    },
    /// A setting has a value that cannot be read. [`Notebook::repair`] resets it.
    ///
    /// [`Notebook::repair`]: super::Notebook::repair
    Setting {
        /// The setting's name in the database.
        name: String,
        /// What is wrong with its value.
        detail: String,
    },
    /// A table, index, view or trigger of the database is missing, is different, or is not ours.
    Schema {
        /// Its name.
        name: String,
        /// What is wrong with it.
        detail: String,
    },
    /// A table differs from what the journal gives. [`Notebook::repair`] rebuilds it.
    ///
    /// [`Notebook::repair`]: super::Notebook::repair
    Table {
        /// The table.
        table: String,
    },
    /// A preview of a photo is damaged. [`Notebook::repair`] makes it again.
    ///
    /// [`Notebook::repair`]: super::Notebook::repair
    Preview {
        /// The photo.
        photo: PhotoHash,
    },
    /// A photo that an entry names is missing.
    PhotoMissing {
        /// The photo.
        photo: PhotoHash,
    },
    /// A photo's bytes do not match its hash, or cannot be read.
    PhotoDamaged {
        /// The photo.
        photo: PhotoHash,
        /// What is wrong with it.
        detail: String,
    },
}

impl Finding {
    /// Returns whether all lines that are in the journal can be read in spite of it.
    pub(crate) fn leaves_journal_readable(&self) -> bool {
        matches!(
            self,
            Self::Gap { .. } | Self::End { .. } | Self::Setting { .. } | Self::Table { .. }
        )
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File { detail } => write!(
                f,
                "the database file is damaged ({detail}); repair moves it aside and recovers everything that can still be read"
            ),
            Self::Line {
                device,
                seq,
                detail,
            } => write!(
                f,
                "entry {seq} of device {device} is not as it was written ({detail}); repair recovers all others, and a sync with a remote that has it restores it"
            ),
            Self::Gap { device, seq } => write!(
                f,
                "the entry before entry {seq} of device {device} is missing, so that one and those after it are not verified; sync with a remote that has it, or accept the loss with `holebook verify --accept`"
            ),
            Self::End { device, seq } => write!(
                f,
                "entry {seq} of device {device}, its last, is missing; sync with a remote that has it, or accept the loss with `holebook verify --accept`"
            ),
            Self::Log { copy } => write!(
                f,
                "the database's log is damaged, and entries after the damage are not shown; repair recovers them from the copy in {}",
                copy.display()
            ),
            Self::Setting { name, detail } => write!(
                f,
                "the setting {name} cannot be read ({detail}); repair resets it"
            ),
            Self::Schema { name, detail } => write!(
                f,
                "the database's {name} {detail}; repair moves the file aside and makes a new one"
            ),
            Self::Table { table } => write!(
                f,
                "the table {table} differs from the journal; repair rebuilds it"
            ),
            Self::PhotoMissing { photo } => write!(
                f,
                "the photo {photo} is missing; a sync with a device that has it restores it"
            ),
            Self::PhotoDamaged { photo, detail } => {
                write!(
                    f,
                    "the photo {photo} is damaged ({detail}); repair moves it aside, and a sync with a device that has it restores it"
                )
            }
            Self::Preview { photo } => write!(
                f,
                "a preview of the photo {photo} is damaged; repair makes it again"
            ),
        }
    }
}
