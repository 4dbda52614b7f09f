//! What a repair needs: the local state of a damaged notebook, and a new one restored from that
//! and from the salvaged lines.

use super::chain::LineHash;
use super::change_settings::continue_as_new_device;
use super::clock;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::gaps::{self, KnownGap};
use super::id::DeviceId;
use super::incoming_line::IncomingLine;
use super::journal::{self, Head};
use super::settings::{self, SettingName};
use super::{Notebook, paths};
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
    /// Number of them that are behind a lost one.
    pub unverified: u64,
    /// The lost lines.
    pub lost: Vec<LostLines>,
    /// The new device id under which it continues.
    pub continued_as: Option<DeviceId>,
}

/// Lost lines of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LostLines {
    pub device: DeviceId,
    pub first: u64,
    pub last: u64,
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

    /// Returns the gaps and the lost last lines that an earlier repair has found.
    pub(crate) fn known_losses(&self) -> Result<(Vec<KnownGap>, Vec<Head>), NotebookError> {
        self.read(|conn| Ok((gaps::read(conn)?, gaps::lost_ends(conn)?)))
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
    /// damaged one. Lines behind a lost one are restored too, and the gap is remembered. It keeps the
    /// device id if all lines of that device are there, including the last; otherwise it continues
    /// under a new one, and the old one's lines stay as they are.
    pub(crate) fn restore(
        &self,
        lines: Vec<Line>,
        state: &LocalState,
    ) -> Result<Restored, NotebookError> {
        self.write(|tx| {
            let gaps = gaps_in(&lines, state);
            let numbers = lines
                .iter()
                .map(|line| (line.entry().device, line.entry().seq));
            let numbers: BTreeSet<(DeviceId, u64)> = numbers.collect();
            let lines: Vec<IncomingLine> = lines.into_iter().map(IncomingLine::from).collect();
            tx.insert_recovered(&lines)?;
            let conn = tx.conn();
            for (name, value) in &state.settings {
                // One that cannot be read is worth nothing.
                if name.check(value).is_ok() {
                    settings::write(conn, *name, value)?;
                }
            }
            gaps::write(conn, &gaps)?;
            let ends = lost_ends(conn, state)?;
            gaps::write_lost_ends(conn, &ends)?;
            for device in &state.former {
                settings::add_former_device(conn, *device)?;
            }
            let mut restored = Restored {
                entries: lines.len() as u64,
                unverified: gaps::count_unverified(conn)?,
                lost: lost_lines(&numbers, &gaps, &ends),
                continued_as: None,
            };
            let device = state.setting(SettingName::Device);
            let device: Option<DeviceId> = device.and_then(|device| device.parse().ok());
            restored.continued_as = match device {
                Some(device) if is_complete(conn, device, state, &gaps)? => None,
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

/// Returns whether all lines of a device are there, up to the last, and no others.
fn is_complete(
    conn: &Connection,
    device: DeviceId,
    state: &LocalState,
    gaps: &[KnownGap],
) -> Result<bool, Fault> {
    let before = state.ends.iter().filter(|end| end.device == device);
    let before: Vec<Head> = before.copied().collect();
    let has_gap = gaps.iter().any(|gap| gap.line.device == device);
    Ok(!has_gap && before == journal::heads_of(conn, device)?)
}

/// Returns the lines that name as the one before them a line that is not among them. A loss that was
/// accepted before stays accepted.
fn gaps_in(lines: &[Line], state: &LocalState) -> Vec<KnownGap> {
    let here = lines.iter().map(|line| (line.entry().device, line.hash()));
    let here: BTreeSet<(DeviceId, LineHash)> = here.collect();
    let known = state.setting(SettingName::Gaps);
    let known = known.and_then(|gaps| serde_json::from_str::<Vec<KnownGap>>(gaps).ok());
    let known = known.unwrap_or_default();
    let gaps = lines.iter().filter_map(|line| {
        let entry = line.entry();
        let prev = entry
            .prev
            .filter(|prev| !here.contains(&(entry.device, *prev)))?;
        let line = Head {
            device: entry.device,
            seq: entry.seq,
            hash: line.hash(),
        };
        let accepted = known.iter().any(|gap| gap.accepted && gap.line == line);
        Some(KnownGap {
            line,
            prev,
            accepted,
        })
    });
    gaps.collect()
}

/// Returns the last lines of devices that are known and not here.
fn lost_ends(conn: &Connection, state: &LocalState) -> Result<Vec<Head>, Fault> {
    let known = state.setting(SettingName::Lost);
    let known = known.and_then(|ends| serde_json::from_str::<Vec<Head>>(ends).ok());
    let mut lost: Vec<Head> = Vec::new();
    for end in state.ends.iter().copied().chain(known.unwrap_or_default()) {
        if !journal::holds(conn, end.device, end.seq, end.hash)? && !lost.contains(&end) {
            lost.push(end);
        }
    }
    Ok(lost)
}

/// Returns the numbers of the lost lines: before each gap, and up to each lost last line.
fn lost_lines(
    here: &BTreeSet<(DeviceId, u64)>,
    gaps: &[KnownGap],
    ends: &[Head],
) -> Vec<LostLines> {
    let before_gaps = gaps.iter().map(|gap| (gap.line.device, gap.line.seq - 1));
    let ends = ends.iter().map(|end| (end.device, end.seq));
    let mut lost: Vec<LostLines> = Vec::new();
    for (device, last) in before_gaps.chain(ends) {
        let before = here.range((device, 0)..(device, last)).next_back();
        let first = before.map_or(0, |(_, seq)| *seq) + 1;
        let lines = LostLines {
            device,
            first,
            last,
        };
        if !lost.contains(&lines) {
            lost.push(lines);
        }
    }
    lost
}

/// Returns an unused path in the folder `aside`: the date and time, then the file's name.
pub(crate) fn aside_path(dir: &Path, name: &str) -> std::io::Result<PathBuf> {
    let aside = dir.join(paths::ASIDE);
    fs::create_dir_all(&aside)?;
    let now = clock::now().format("%Y-%m-%d-%H%M%S");
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
