//! What a verification can find, said so that a person can act on it.

use super::id::DeviceId;
use crate::photo::PhotoHash;
use serde::Serialize;
use std::fmt;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "finding", rename_all = "kebab-case")]
pub enum Finding {
    /// SQLite finds its own file damaged.
    File {
        /// What it said.
        detail: String,
    },
    /// A line is not what was written.
    Line {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
        /// What is wrong with it.
        detail: String,
    },
    /// A line names one before it that is not here.
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
    },
    /// A table differs from what the journal gives. [`Notebook::repair`] builds it anew.
    ///
    /// [`Notebook::repair`]: super::Notebook::repair
    Table {
        /// The table.
        table: String,
    },
    /// A small picture of a photo, made from it, is damaged. [`Notebook::repair`] makes it anew.
    ///
    /// [`Notebook::repair`]: super::Notebook::repair
    SmallPicture {
        /// The photo's name.
        photo: PhotoHash,
    },
    /// A photo that an entry names is not here.
    PhotoMissing {
        /// Its name.
        photo: PhotoHash,
    },
    /// A photo's bytes are not those it is named by, or cannot be read.
    PhotoDamaged {
        /// Its name.
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
                "the database file is damaged ({detail}); repair moves it aside and saves all that still reads"
            ),
            Self::Line {
                device,
                seq,
                detail,
            } => write!(
                f,
                "entry {seq} of device {device} is not as it was written ({detail}); repair saves all others, and an exchange with a shelf that has it brings it back"
            ),
            Self::Gap { device, seq } => write!(
                f,
                "the entry before entry {seq} of device {device} is missing; exchange with a shelf that has it"
            ),
            Self::Table { table } => write!(
                f,
                "the table {table} differs from the journal; repair builds it anew"
            ),
            Self::PhotoMissing { photo } => write!(
                f,
                "the photo {photo} is missing; an exchange with a device that has it brings it back"
            ),
            Self::PhotoDamaged { photo, detail } => {
                write!(
                    f,
                    "the photo {photo} is damaged ({detail}); repair moves it aside, and an exchange with a device that has it brings it back"
                )
            }
            Self::SmallPicture { photo } => write!(
                f,
                "a small picture of the photo {photo} is damaged; repair makes it anew"
            ),
        }
    }
}
