//! Changes to the settings that are also journal entries: this device's name and its id.

use super::Notebook;
use super::body::DeviceBody;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::settings::{
    SettingName, Settings, add_former_device, assign_new_device, device, read, read_all, write,
};
use super::validation;
use super::write::{NewEntry, WriteTx};
use serde_json::json;

impl Notebook {
    /// Returns the settings.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn settings(&self) -> Result<Settings, NotebookError> {
        self.read(read_all)
    }

    /// Stores the settings. A new device name is also a journal entry, so that other devices can
    /// show it.
    ///
    /// # Errors
    /// If a name is too long, or if the notebook cannot be written.
    pub fn set_settings(&self, settings: &Settings) -> Result<(), NotebookError> {
        let unit = json!(settings.unit);
        self.write(|tx| {
            validation::short_text("a person's name", &settings.person)?;
            validation::short_text("a device's name", &settings.device_name)?;
            let before = read_all(tx.conn())?;
            write(tx.conn(), SettingName::Person, settings.person.trim())?;
            write(
                tx.conn(),
                SettingName::DeviceName,
                settings.device_name.trim(),
            )?;
            write(
                tx.conn(),
                SettingName::Unit,
                unit.as_str().unwrap_or_default(),
            )?;
            write(
                tx.conn(),
                SettingName::KeepPhotoGps,
                if settings.keep_photo_gps { "yes" } else { "no" },
            )?;
            let kinds = settings.drill_kinds.map(|kinds| kinds.to_string());
            write(
                tx.conn(),
                SettingName::DrillKinds,
                &kinds.unwrap_or_default(),
            )?;
            if before.device_name != settings.device_name.trim() {
                record_device_name(tx, settings.device_name.trim())?;
            }
            Ok(())
        })
    }
}

/// Records this device's name in the journal.
fn record_device_name(tx: &mut WriteTx<'_>, name: &str) -> Result<(), Fault> {
    let device = device(tx.conn())?;
    let replaces = tx.active_entries(device.0, EntryKind::Device)?;
    let name = name.to_owned();
    let new = NewEntry::new(device, &DeviceBody { name })?;
    tx.insert(new.replacing(replaces))?;
    Ok(())
}

/// Continues under a new device id: lines of this device arrived that this notebook did not write,
/// so there is, or was, a copy of it.
pub(crate) fn continue_as_new_device(tx: &mut WriteTx<'_>) -> Result<DeviceId, Fault> {
    let former = device(tx.conn())?;
    add_former_device(tx.conn(), former)?;
    let device = assign_new_device(tx.conn())?;
    let name = read(tx.conn(), SettingName::DeviceName)?.unwrap_or_default();
    if !name.is_empty() {
        record_device_name(tx, &name)?;
    }
    Ok(device)
}
