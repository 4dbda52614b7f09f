//! Where the entries of each other device first came from.
//!
//! Whoever can write on a remote can write entries there in the name of any device. So a person is
//! told once where the entries of a device came from, and can look it up.

use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::settings::{self, SettingName};
use super::{Notebook, clock};
use chrono::{DateTime, FixedOffset};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

/// The most arrivals that are kept; the oldest are dropped.
const MAX_ARRIVALS: usize = 500;

/// The first entries of another device that arrived here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Arrival {
    /// The device.
    pub device: DeviceId,
    /// Where they came from, in a sentence: `the folder /media/stick`.
    pub from: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

impl Notebook {
    /// Returns where the entries of each device first came from, the latest first.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn arrivals(&self) -> Result<Vec<Arrival>, NotebookError> {
        self.read(arrivals)
    }

    /// Records that the first entries of these devices came from `from`. Devices whose arrival is
    /// recorded, and this notebook's own, are skipped. Returns those that were not.
    ///
    /// # Errors
    /// If the notebook cannot be written.
    pub fn record_arrivals(
        &self,
        devices: &[DeviceId],
        from: &str,
    ) -> Result<Vec<DeviceId>, NotebookError> {
        if devices.is_empty() {
            return Ok(Vec::new());
        }
        self.write(|tx| {
            let mut known = arrivals(tx.conn())?;
            let own = settings::own_devices(tx.conn())?;
            let mut new = devices.to_vec();
            new.retain(|device| {
                !own.contains(device) && known.iter().all(|arrival| arrival.device != *device)
            });
            for device in &new {
                let arrival = Arrival {
                    device: *device,
                    from: from.to_owned(),
                    at: clock::now(),
                };
                known.insert(0, arrival);
            }
            known.truncate(MAX_ARRIVALS);
            let text = serde_json::to_string(&known).map_err(Fault::unreadable)?;
            settings::write(tx.conn(), SettingName::Arrivals, &text)?;
            Ok(new)
        })
    }
}

fn arrivals(conn: &Connection) -> Result<Vec<Arrival>, Fault> {
    settings::read_json(conn, SettingName::Arrivals)
}
