//! What a repair needs: the local state of a damaged notebook, and a new one restored from that
//! and from the salvaged lines.

use super::chain::LineHash;
use super::change_settings::continue_as_new_device;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::incoming_line::IncomingLine;
use super::journal::{self, Head};
use super::settings::{self, SettingName};
use super::{Notebook, open};
use chrono::Local;
use rusqlite::Connection;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// What a notebook holds besides its lines, as far as it can be read.
#[derive(Debug, Default)]
pub(crate) struct LocalState {
    /// Settings, including the device id.
    pub settings: Vec<(SettingName, String)>,
    /// Device ids that it had before.
    pub former: Vec<DeviceId>,
    /// The last line of each device.
    pub ends: Vec<Head>,
}

impl LocalState {
    /// Returns a setting's value.
    pub fn setting(&self, name: SettingName) -> Option<&str> {
        let mut settings = self.settings.iter();
        settings.find_map(|(one, value)| (*one == name).then_some(value.as_str()))
    }
}

/// The result of restoring a notebook.
#[derive(Debug, Default)]
pub(crate) struct Restored {
    /// Number of lines in it now.
    pub entries: u64,
    /// Lines that cannot be inserted, since one before them is missing.
    pub waiting: Vec<Line>,
    /// The last line of each device now.
    pub ends: Vec<Head>,
    /// The new device id under which it continues.
    pub continued_as: Option<DeviceId>,
}

impl Notebook {
    /// Returns what this notebook holds besides its lines, without what cannot be read.
    pub(crate) fn local_state(&self) -> Result<LocalState, NotebookError> {
        self.read(|conn| {
            let settings = SettingName::ALL.into_iter().filter_map(|name| {
                let value = settings::read(conn, name).ok()??;
                Some((name, value))
            });
            Ok(LocalState {
                settings: settings.collect(),
                former: former(conn).unwrap_or_default(),
                ends: journal::heads(conn).unwrap_or_default(),
            })
        })
    }

    /// Returns whether all these lines are in the journal.
    pub(crate) fn holds_all(
        &self,
        keys: &[(DeviceId, u64, LineHash)],
    ) -> Result<bool, NotebookError> {
        self.read(|conn| {
            for (device, seq, hash) in keys {
                if !journal::holds(conn, *device, *seq, *hash)? {
                    return Ok(false);
                }
            }
            Ok(true)
        })
    }

    /// Restores a new notebook from lines, each device's in order, and from the local state of the
    /// damaged one. It keeps the device id if all lines of that device are there, including the
    /// last; otherwise it continues under a new one, and the old one's lines stay as they are.
    pub(crate) fn restore(
        &self,
        lines: Vec<Line>,
        state: &LocalState,
    ) -> Result<Restored, NotebookError> {
        self.write(|tx| {
            let (lines, waiting) = chained(lines);
            let lines: Vec<IncomingLine> = lines.into_iter().map(IncomingLine::from).collect();
            tx.insert_lines(&lines)?;
            let conn = tx.conn();
            for (name, value) in &state.settings {
                settings::write(conn, *name, value)?;
            }
            for device in &state.former {
                settings::add_former_device(conn, *device)?;
            }
            let mut restored = Restored {
                entries: lines.len() as u64,
                waiting,
                ends: journal::heads(conn)?,
                continued_as: None,
            };
            let device = state.setting(SettingName::Device);
            let device: Option<DeviceId> = device.and_then(|device| device.parse().ok());
            restored.continued_as = match device {
                Some(device) if is_complete(device, state, &restored) => None,
                Some(_) => Some(continue_as_new_device(tx)?),
                None => Some(settings::assign_new_device(conn)?),
            };
            Ok(restored)
        })
    }

    /// Moves a file to the folder `aside`.
    pub(crate) fn move_aside(&self, file: &Path) -> Result<(), NotebookError> {
        let failed = |error: std::io::Error| NotebookError::from_io(&error, self.dir());
        let name = file.file_name().unwrap_or_default();
        let to = aside_path(self.dir(), &name.to_string_lossy()).map_err(failed)?;
        fs::rename(file, to).map_err(failed)
    }
}

/// Returns whether all lines of a device are there, up to the last.
fn is_complete(device: DeviceId, state: &LocalState, restored: &Restored) -> bool {
    let ends = |ends: &[Head]| {
        let ends = ends.iter().filter(|end| end.device == device);
        ends.map(|end| (end.seq, end.hash))
            .collect::<Vec<(u64, LineHash)>>()
    };
    let mut waiting = restored.waiting.iter();
    ends(&state.ends) == ends(&restored.ends) && !waiting.any(|line| line.entry().device == device)
}

/// Separates the lines that follow each other from each device's first from those after a gap.
fn chained(lines: Vec<Line>) -> (Vec<Line>, Vec<Line>) {
    let mut here = BTreeSet::new();
    lines.into_iter().partition(|line| {
        let entry = line.entry();
        let follows = match entry.prev {
            Some(prev) => here.contains(&(entry.device, entry.seq - 1, prev)),
            None => true,
        };
        if follows {
            here.insert((entry.device, entry.seq, line.hash()));
        }
        follows
    })
}

/// Returns an unused path in the folder `aside`: the date and time, then the file's name.
pub(crate) fn aside_path(dir: &Path, name: &str) -> std::io::Result<PathBuf> {
    let aside = dir.join(open::ASIDE);
    fs::create_dir_all(&aside)?;
    let now = Local::now().format("%Y-%m-%d-%H%M%S");
    let first = aside.join(format!("{now}-{name}"));
    let others = (2_u32..).map(|n| aside.join(format!("{now}-{n}-{name}")));
    let free = std::iter::once(first)
        .chain(others)
        .find(|path| !path.exists());
    Ok(free.unwrap_or(aside))
}

fn former(conn: &Connection) -> Result<Vec<DeviceId>, Fault> {
    let mut statement = conn.prepare("SELECT device FROM former_device ORDER BY device")?;
    let former = statement.query_map([], |row| row.get(0).map(DeviceId))?;
    Ok(former.filter_map(Result::ok).collect())
}
