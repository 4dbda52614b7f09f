//! What belongs to this notebook alone: its identity, the person who writes, how lengths are shown.

use crate::error::NotebookError;
use crate::ids::DeviceId;
use crate::lend::lend;
use crate::length::LengthUnit as Unit;
use crate::notebook::Notebook;
use holebook_core::drill::DrillKinds;

lend! {
    holebook_core::notebook {
        Settings,
    }
}

#[uniffi::export]
impl Notebook {
    /// The settings. Blocks.
    pub fn settings(&self) -> Result<Settings, NotebookError> {
        self.call("settings", |open| Ok(open.settings()?))
    }

    /// Changes the settings. Blocks until they are on the disk. Fails with `Invalid` if a name
    /// is too long.
    pub fn set_settings(&self, settings: Settings) -> Result<(), NotebookError> {
        self.call("set_settings", |open| Ok(open.set_settings(&settings)?))
    }

    /// The identity that new entries are written under. It changes where the notebook finds that it
    /// was copied. Blocks.
    pub fn device(&self) -> Result<DeviceId, NotebookError> {
        self.call("device", |open| Ok(open.device()?))
    }
}
