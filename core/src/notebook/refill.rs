//! What a repair asks of the notebook: what of a damaged one is kept beside its lines, and a new one filled from both.

use super::arrived::Arrived;
use super::chain::LineHash;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::journal::{self, Head};
use super::settings::{self, Name};
use super::{Notebook, open};
use chrono::Local;
use rusqlite::Connection;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// What a notebook holds beside its lines, as far as it reads.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    /// Settings, the identity among them.
    pub settings: Vec<(Name, String)>,
    /// Identities that it had before.
    pub former: Vec<DeviceId>,
    /// Where each device's lines ended.
    pub ends: Vec<Head>,
}

impl Kept {
    /// A setting's value.
    pub fn setting(&self, name: Name) -> Option<&str> {
        let mut settings = self.settings.iter();
        settings.find_map(|(one, value)| (*one == name).then_some(value.as_str()))
    }
}

/// What came of filling a notebook.
#[derive(Debug, Default)]
pub(crate) struct Refilled {
    /// How many lines it has now.
    pub entries: u64,
    /// Lines that cannot be taken, since one before them is missing.
    pub waiting: Vec<Line>,
    /// Where each device's lines end now.
    pub ends: Vec<Head>,
    /// The new identity under which it goes on.
    pub went_on_as: Option<DeviceId>,
}

impl Notebook {
    /// What this notebook holds beside its lines; what does not read is left out.
    pub(crate) fn kept(&self) -> Result<Kept, NotebookError> {
        self.read(|conn| {
            let settings = Name::ALL.into_iter().filter_map(|name| {
                let value = settings::read(conn, name).ok()??;
                Some((name, value))
            });
            Ok(Kept {
                settings: settings.collect(),
                former: former(conn).unwrap_or_default(),
                ends: journal::heads(conn).unwrap_or_default(),
            })
        })
    }

    /// Whether all these lines are in the journal.
    pub(crate) fn hold_all(
        &self,
        places: &[(DeviceId, u64, LineHash)],
    ) -> Result<bool, NotebookError> {
        self.read(|conn| {
            for (device, seq, hash) in places {
                if !journal::holds(conn, *device, *seq, *hash)? {
                    return Ok(false);
                }
            }
            Ok(true)
        })
    }

    /// Fills a new notebook with lines, each device's in their order, and what was kept beside them. It goes on under the
    /// identity that was kept if all lines of that are there, up to the last; otherwise under a new one, and the lines of the
    /// old one stay its own.
    pub(crate) fn refill(&self, lines: Vec<Line>, kept: &Kept) -> Result<Refilled, NotebookError> {
        self.write(|pen| {
            let (lines, waiting) = chained(lines);
            let lines: Vec<Arrived> = lines.into_iter().map(Arrived::from).collect();
            pen.take(&lines)?;
            let mut refilled = Refilled {
                entries: lines.len() as u64,
                waiting,
                ..Refilled::default()
            };
            let conn = pen.conn();
            for (name, value) in &kept.settings {
                settings::write(conn, *name, value)?;
            }
            for device in &kept.former {
                settings::add_former(conn, *device)?;
            }
            refilled.ends = journal::heads(conn)?;
            let device: Option<DeviceId> = kept
                .setting(Name::Device)
                .and_then(|device| device.parse().ok());
            let goes_on = device.is_some_and(|device| {
                let ends = |ends: &[Head]| {
                    let ends = ends.iter().filter(|end| end.device == device);
                    ends.map(|end| (end.seq, end.hash))
                        .collect::<Vec<(u64, LineHash)>>()
                };
                ends(&kept.ends) == ends(&refilled.ends)
                    && !refilled
                        .waiting
                        .iter()
                        .any(|line| line.entry().device == device)
            });
            match device {
                Some(_) if goes_on => {}
                Some(_) => refilled.went_on_as = Some(settings::leave_device(pen)?),
                None => refilled.went_on_as = Some(settings::take_new_device(conn)?),
            }
            Ok(refilled)
        })
    }

    /// Moves a file to the folder `aside`.
    pub(crate) fn move_aside(&self, file: &Path) -> Result<(), NotebookError> {
        let told = |error: std::io::Error| NotebookError::from_io(&error, self.dir());
        let name = file.file_name().unwrap_or_default();
        let place = place_aside(self.dir(), &name.to_string_lossy()).map_err(told)?;
        fs::rename(file, place).map_err(told)
    }
}

/// The lines that follow each other from each device's first, and those that stand behind a gap.
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

/// A new name in the folder `aside`: the date and time, and what the file was called.
pub(crate) fn place_aside(dir: &Path, name: &str) -> std::io::Result<PathBuf> {
    let aside = dir.join(open::ASIDE);
    fs::create_dir_all(&aside)?;
    let now = Local::now().format("%Y-%m-%d-%H%M%S");
    let first = aside.join(format!("{now}-{name}"));
    let others = (2_u32..).map(|n| aside.join(format!("{now}-{n}-{name}")));
    let free = std::iter::once(first)
        .chain(others)
        .find(|place| !place.exists());
    Ok(free.unwrap_or(aside))
}

fn former(conn: &Connection) -> Result<Vec<DeviceId>, Fault> {
    let mut statement = conn.prepare("SELECT device FROM former_device ORDER BY device")?;
    let former = statement.query_map([], |row| row.get(0).map(DeviceId))?;
    Ok(former.filter_map(Result::ok).collect())
}
