//! What a person should know about a notebook before working with it.

use super::error::NotebookError;
use super::lost_files::has_photos;
use super::paths::FILE;
use super::{Notebook, clock, cut_log, gaps, journal};
use std::fmt;
use std::path::{Path, PathBuf};

/// Something that a person should know about a notebook. `Display` writes it as a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Warning {
    /// Entries behind a damaged place of the log are not shown.
    LogWasCut {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Entries behind a lost one are not verified.
    Unverified {
        /// How many.
        entries: u64,
    },
    /// The last entries of devices are lost.
    Lost {
        /// Of how many devices.
        devices: u64,
    },
    /// There are photos, and no entries.
    NoEntries,
    /// The device's clock is before 1970.
    ClockBefore1970,
}

impl Notebook {
    /// Returns what a person should know about the notebook. Cheap: nothing is verified.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn warnings(&self) -> Result<Vec<Warning>, NotebookError> {
        let mut warnings = Vec::new();
        let copies = cut_log::copies(&self.dir);
        if !copies
            .map_err(|error| NotebookError::from_io(&error, &self.dir))?
            .is_empty()
        {
            let dir = self.dir.clone();
            warnings.push(Warning::LogWasCut { dir });
        }
        let (entries, lost) =
            self.read(|conn| Ok((gaps::count_unverified(conn)?, gaps::lost_ends(conn)?)))?;
        if entries > 0 {
            warnings.push(Warning::Unverified { entries });
        }
        if !lost.is_empty() {
            let devices = lost.len() as u64;
            warnings.push(Warning::Lost { devices });
        }
        if self.has_photos_alone()? {
            warnings.push(Warning::NoEntries);
        }
        if clock::is_before_1970() {
            warnings.push(Warning::ClockBefore1970);
        }
        Ok(warnings)
    }
}

impl Notebook {
    /// Returns whether a folder has photos of a notebook, and no database.
    #[must_use]
    pub fn is_without_database(dir: &Path) -> bool {
        !dir.join(FILE).is_file() && has_photos(dir).unwrap_or(false)
    }

    /// Returns whether there are photos, and no entries.
    pub(crate) fn has_photos_alone(&self) -> Result<bool, NotebookError> {
        if !self.read(journal::heads)?.is_empty() {
            return Ok(false);
        }
        has_photos(&self.dir).map_err(|error| NotebookError::from_io(&error, &self.dir))
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LogWasCut { dir } => write!(
                f,
                "the log of the notebook in {} was damaged, and entries after the damage are not shown; close it and run `holebook verify --repair`, which recovers them from the copy that was kept",
                dir.display()
            ),
            Self::Unverified { entries } => write!(
                f,
                "{entries} entries come after a lost one, so they are not verified and not synced; sync with a remote that has the lost one, or accept the loss with `holebook verify --accept`"
            ),
            Self::Lost { devices } => write!(
                f,
                "the last entries of {devices} {} are lost here; sync with a remote that has them, or accept the loss with `holebook verify --accept`",
                if *devices == 1 { "device" } else { "devices" }
            ),
            Self::NoEntries => f.write_str(
                "there are photos in the notebook's folder, and no entries: its log is lost, or its first sync was interrupted; sync with a remote that has the entries",
            ),
            Self::ClockBefore1970 => f.write_str(
                "this device's clock is before 1970, so entries are dated 1970; set the clock",
            ),
        }
    }
}
