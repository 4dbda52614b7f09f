//! Who recorded an entry, on which device and when, shown where entries conflict.

use crate::labels::{author, date_time};
use holebook_core::display_name::shown;
use holebook_core::hole::record::{FactEntries, Recorded};
use holebook_core::notebook::{DeviceId, Notebook, NotebookError};
use std::collections::{BTreeMap, BTreeSet};

/// Names of the devices that recorded conflicting entries.
#[derive(Default)]
pub struct Authors(BTreeMap<DeviceId, String>);

impl Authors {
    /// Adds the devices of these entries if they conflict; looks up nothing otherwise.
    pub fn and<T: PartialEq>(
        mut self,
        notebook: &Notebook,
        entries: &FactEntries<T>,
    ) -> Result<Self, NotebookError> {
        if !entries.differ() {
            return Ok(self);
        }
        let devices: BTreeSet<DeviceId> = entries.0.iter().map(|entry| entry.device).collect();
        for device in devices {
            if let Some(name) = notebook.device_name(device)? {
                self.0.insert(device, name);
            }
        }
        Ok(self)
    }

    /// Who, where and when: `K. Bench, on Shop computer, 25 Nov 2026, 14:02`.
    pub fn describe<T>(&self, entry: &Recorded<T>) -> String {
        let named = self.0.get(&entry.device).filter(|name| !name.is_empty());
        let device = match named {
            Some(name) => format!("on {}", shown(name)),
            None => "on an unnamed device".to_owned(),
        };
        format!("{}, {device}, {}", author(&entry.by), date_time(&entry.at))
    }
}
