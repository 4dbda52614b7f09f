//! Findings of a verification, worded so that a person can act on them.

use super::id::DeviceId;
use crate::photo::PhotoHash;
use serde::Serialize;
use std::fmt;

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
    /// The line before a line is missing.
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
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
                "the entry before entry {seq} of device {device} is missing; sync with a remote that has it"
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
