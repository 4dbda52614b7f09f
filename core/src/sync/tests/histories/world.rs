//! The devices of a history, the folders and bundles between them, and what each was told is on the
//! disk.

use super::super::copy_folder;
use super::coverage::Coverage;
use super::interruption::{InterruptedRemote, allow_commits, limit_commits};
use super::other_version::{KnownEntries, OtherVersionDevice};
use super::plan::{Clock, InitialState, InterruptAt, Interruption, Recording, Step, SyncTarget};
use super::queries::{self, context, pick};
use super::recordings::{Outcome, record};
use super::stored_content::StoredContent;
use super::{CheckResult, initial_notebooks};
use crate::notebook::tests::test_clock;
use crate::notebook::{DeviceId, EntryId, Finding, Notebook};
use crate::photo::PhotoHash;
use crate::sync::bundle::{self, BundleContent, BundleError};
use crate::sync::{
    Bundle, FolderRemote, NotebookRemote, Remote, SyncError, SyncReport, ignore_progress, sync_with,
};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use uuid::Uuid;

/// When histories begin, in milliseconds since 1970.
pub const START_MS: i64 = 1_795_000_000_000;
const DAY_MS: i64 = 86_400_000;
/// The last millisecond of the year 2999.
const LAST_MOMENT_MS: i64 = 32_503_680_000_000 - 1;
const MAX_DEVICES: usize = 5;

pub struct World {
    clock: test_clock::TestClock,
    root: TempDir,
    /// Milliseconds since the beginning.
    ms: i64,
    /// Number of folders created, so that each gets its own name.
    path_count: usize,
    pub devices: Vec<Device>,
    pub folders: [PathBuf; 2],
    pub bundles: Vec<PathBuf>,
    backups: Vec<PathBuf>,
    other_versions: [OtherVersionDevice; 2],
    /// What the notebooks acknowledged as on disk, except what was lost with a disk.
    pub acknowledged: BTreeMap<EntryId, String>,
    /// Photos lost with the only disk that held them.
    pub lost_photos: BTreeSet<PhotoHash>,
    /// Whether entries were lost with a disk.
    pub lost_entries: bool,
    /// Files that were left truncated in a folder.
    pub truncated_files: BTreeSet<String>,
    pub coverage: Coverage,
}

pub struct Device {
    dir: PathBuf,
    notebook: Option<Notebook>,
    clock: Clock,
    offset_s: i32,
}

impl Device {
    /// Its notebook, which is only closed while another one replaces it.
    pub fn notebook(&self) -> &Notebook {
        self.notebook.as_ref().expect("it is open")
    }
}

/// A notebook's device id and the number of that device's lines.
struct Identity {
    device: DeviceId,
    own_lines: i64,
}

impl World {
    pub fn new(seed: u64, begin: &[InitialState]) -> CheckResult<Self> {
        let root = super::folder();
        let clock = test_clock::set(seed);
        clock.set(START_MS, 0);
        let folders = ["stick", "shared"].map(|name| root.path().join(name));
        for folder in &folders {
            fs::create_dir(folder).map_err(context("a folder"))?;
        }
        let mut world = Self {
            clock,
            root,
            ms: 0,
            path_count: 0,
            devices: Vec::new(),
            folders,
            bundles: Vec::new(),
            backups: Vec::new(),
            other_versions: [OtherVersionDevice::new(), OtherVersionDevice::new()],
            acknowledged: BTreeMap::new(),
            lost_photos: BTreeSet::new(),
            lost_entries: false,
            truncated_files: BTreeSet::new(),
            coverage: Coverage::default(),
        };
        for begin in begin {
            let dir = world.new_path("device");
            initial_notebooks::copy_to(*begin, &dir)?;
            world.add_device(dir, Clock::Off(0))?;
            if matches!(begin, InitialState::OlderVersion) {
                world.expect_missing_photos()?;
            }
        }
        Ok(world)
    }

    fn new_path(&mut self, what: &str) -> PathBuf {
        self.path_count += 1;
        self.root.path().join(format!("{what}{}", self.path_count))
    }

    fn add_device(&mut self, dir: PathBuf, clock: Clock) -> CheckResult {
        self.clock.set(START_MS + self.ms, 0);
        let notebook = Notebook::open(&dir).map_err(context("opening"))?;
        self.devices.push(Device {
            dir,
            notebook: Some(notebook),
            clock,
            offset_s: self.devices.len() as i32 * 3600,
        });
        Ok(())
    }

    /// The photos of the stored notebook are not stored with it.
    fn expect_missing_photos(&mut self) -> CheckResult {
        let named = self
            .devices
            .last()
            .map(|last| last.notebook().named_photos());
        let named = named.transpose().map_err(context("photos"))?;
        self.lost_photos.extend(named.unwrap_or_default());
        Ok(())
    }

    pub fn device_index(&self, who: u8) -> usize {
        usize::from(who) % self.devices.len()
    }

    pub fn notebook(&self, who: usize) -> &Notebook {
        self.devices[who].notebook()
    }

    /// Advances the time, sometimes by zero, and sets the clock of this device.
    fn advance_clock(&mut self, who: usize) {
        self.ms += i64::from(!self.path_count.is_multiple_of(3))
            + (self.acknowledged.len() as i64 % 5) * 700;
        let device = &self.devices[who];
        let now = START_MS + self.ms;
        let ms = match device.clock {
            Clock::Off(days) => now + i64::from(days) * DAY_MS,
            Clock::Zero => self.ms,
            Clock::LastMoment => LAST_MOMENT_MS,
            Clock::AfterLastMoment => LAST_MOMENT_MS + 1 + now,
        };
        self.clock.set(ms.max(0), device.offset_s);
    }

    pub fn step(&mut self, step: &Step) -> CheckResult {
        match step {
            Step::Record { who, what } => self.record(self.device_index(*who), *what),
            Step::Sync {
                who,
                target,
                interruption,
            } => self
                .sync(self.device_index(*who), *target, *interruption)
                .map(drop),
            Step::WriteBundle {
                who,
                all,
                mark_synced,
            } => self.write_bundle(self.device_index(*who), *all, *mark_synced),
            Step::ImportBundle {
                who,
                which,
                interruption,
            } => self
                .import_bundle(self.device_index(*who), *which, *interruption)
                .map(drop),
            Step::BackUp { who } => self.back_up(self.device_index(*who)),
            Step::Restore { who, which } => self.restore(self.device_index(*who), *which),
            Step::Copy { who } => self.copy(self.device_index(*who)),
            Step::Kill { who, during, torn } => self.kill(self.device_index(*who), *during, *torn),
            Step::SetClock { who, to } => {
                let who = self.device_index(*who);
                self.devices[who].clock = *to;
                Ok(())
            }
            Step::CopyFiles {
                from,
                picks,
                truncate_at,
            } => self.copy_files(usize::from(*from), *picks, *truncate_at),
            Step::OtherVersion {
                which,
                lines,
                target,
            } => self.sync_other_version(usize::from(*which), lines, *target),
            Step::Verify { who } => self.verify(self.device_index(*who)),
        }
    }

    fn record(&mut self, who: usize, what: Recording) -> CheckResult {
        self.advance_clock(who);
        let notebook = self.devices[who].notebook();
        let device = notebook.device().map_err(context("device id"))?;
        let before = notebook
            .last_number(device)
            .map_err(context("line count"))?;
        let greatest = queries::column::<Uuid>(
            &notebook.connection(),
            "SELECT id FROM entry ORDER BY id DESC LIMIT 1",
            [],
        )?;
        match record(notebook, what)? {
            Outcome::Acknowledged => {
                let new = queries::lines_after(notebook, device, before.cast_signed())?;
                if new
                    .iter()
                    .any(|(id, _)| greatest.iter().any(|known| id.0 <= *known))
                {
                    return Err(format!(
                        "{what:?} got an id that is not greater than those device {who} knew"
                    ));
                }
                self.acknowledged.extend(new);
                Ok(())
            }
            Outcome::NothingToDo => Ok(()),
            Outcome::Failed(error) => Err(format!("recording {what:?}: {error}")),
        }
    }

    fn identity(&self, who: usize) -> CheckResult<Identity> {
        let (_, device, own_lines) = queries::count(self.notebook(who))?;
        Ok(Identity { device, own_lines })
    }

    /// A notebook that received lines of its own device id that it did not write continues as a new
    /// device; no other does.
    fn check_identity(&mut self, who: usize, before: &Identity) -> CheckResult {
        let sql = "SELECT count(*) FROM entry WHERE device = ?1";
        let notebook = self.notebook(who);
        let now = notebook.device().map_err(context("device id"))?;
        let count = queries::column::<i64>(&notebook.connection(), sql, [before.device.0])?;
        let copied = count[0] > before.own_lines;
        if copied != (now != before.device) {
            return Err(format!(
                "device {who} has {} own lines (before: {}) and writes as {now} (before: {})",
                count[0], before.own_lines, before.device
            ));
        }
        self.coverage.forks += usize::from(copied);
        Ok(())
    }

    /// The last line number that counts as synced, for each of a device's ids.
    fn pushed_up_to(&self, who: usize) -> CheckResult<BTreeMap<DeviceId, u64>> {
        let notebook = self.notebook(who);
        let own = notebook.own_devices().map_err(context("device ids"))?;
        let pushed = own.into_iter().map(|own| {
            let last_pushed = notebook
                .last_pushed(own)
                .map_err(context("last pushed line"))?;
            Ok((own, last_pushed))
        });
        pushed.collect()
    }

    /// What counts as synced, even after an interrupted sync, is stored on the remote.
    fn check_pushed(
        &self,
        who: usize,
        target: SyncTarget,
        before: &BTreeMap<DeviceId, u64>,
    ) -> CheckResult {
        for (device, last_pushed) in self.pushed_up_to(who)? {
            if before
                .get(&device)
                .is_some_and(|before| last_pushed <= *before)
                || last_pushed == 0
            {
                continue;
            }
            let mut stored = StoredContent::default();
            match target {
                SyncTarget::Folder(which) => {
                    let folder = &self.folders[usize::from(which)];
                    stored.add(&FolderRemote::open(folder).map_err(context("a folder"))?.0)?;
                }
                SyncTarget::Notebook(other) => {
                    stored.add(&NotebookRemote(self.notebook(self.device_index(other))))?;
                }
            }
            let stored_entries = stored.entries();
            let conn = self.notebook(who).connection();
            let sql = "SELECT id FROM entry WHERE device = ?1 AND seq <= ?2 ORDER BY seq";
            let ids = queries::column::<Uuid>(&conn, sql, (device.0, last_pushed.cast_signed()))?;
            let all = ids.len() as u64 >= last_pushed;
            if !all || ids.iter().any(|id| !stored_entries.contains(&EntryId(*id))) {
                return Err(format!(
                    "lines of device {who} up to {last_pushed} count as synced but are not on the remote"
                ));
            }
        }
        Ok(())
    }

    /// Syncs one device; none if it would sync with itself.
    pub fn sync(
        &mut self,
        who: usize,
        target: SyncTarget,
        interruption: Option<Interruption>,
    ) -> CheckResult<Option<SyncReport>> {
        self.advance_clock(who);
        let other = match target {
            SyncTarget::Notebook(other) => Some(self.device_index(other)),
            SyncTarget::Folder(_) => None,
        };
        if other == Some(who) {
            return Ok(None);
        }
        let before = self.identity(who)?;
        let others = other.map(|other| self.identity(other)).transpose()?;
        let pushed = self.pushed_up_to(who)?;
        let result = {
            let local = self.notebook(who);
            match target {
                SyncTarget::Folder(which) => {
                    let folder = &self.folders[usize::from(which)];
                    let (remote, _) = FolderRemote::open(folder).map_err(context("a folder"))?;
                    sync_interrupted(local, None, interruption, &remote)
                }
                SyncTarget::Notebook(_) => {
                    let remote_notebook = self.notebook(other.unwrap_or(who));
                    sync_interrupted(
                        local,
                        Some(remote_notebook),
                        interruption,
                        &NotebookRemote(remote_notebook),
                    )
                }
            }
        };
        self.check_identity(who, &before)?;
        self.check_pushed(who, target, &pushed)?;
        if let (Some(other), Some(before)) = (other, others) {
            self.check_identity(other, &before)?;
        }
        self.finish_sync(result, who, other, interruption)
    }

    /// A sync without interruption succeeds; an interrupted one may kill the device.
    fn finish_sync(
        &mut self,
        result: Result<SyncReport, SyncError>,
        who: usize,
        other: Option<usize>,
        interruption: Option<Interruption>,
    ) -> CheckResult<Option<SyncReport>> {
        match (result, interruption) {
            (Ok(report), _) => {
                self.coverage.count(&report);
                Ok(Some(report))
            }
            (Err(_), Some(interruption)) => {
                self.coverage.interrupted += 1;
                let killed = match interruption.at {
                    InterruptAt::RemoteCommit => other,
                    _ => Some(who),
                };
                if let Some(killed) = killed.filter(|_| interruption.kills) {
                    self.kill(killed, None, 0)?;
                }
                Ok(None)
            }
            (Err(error), None) => Err(format!("syncing device {who}: {error}")),
        }
    }

    fn write_bundle(&mut self, who: usize, all: bool, mark_synced: bool) -> CheckResult {
        self.advance_clock(who);
        let file = self.new_path("bundle").with_extension("zip");
        let what = if all {
            BundleContent::All
        } else {
            BundleContent::NotSynced
        };
        let notebook = self.notebook(who);
        match bundle::write(notebook, &file, what, &ignore_progress) {
            Ok(written) => {
                if mark_synced {
                    written.mark_synced(notebook).map_err(context("a bundle"))?;
                }
                self.bundles.push(file);
                Ok(())
            }
            Err(SyncError::Bundle(BundleError::NothingToWrite { .. })) => Ok(()),
            Err(error) => Err(format!("writing a bundle: {error}")),
        }
    }

    pub fn import_bundle(
        &mut self,
        who: usize,
        which: u8,
        interruption: Option<Interruption>,
    ) -> CheckResult<Option<SyncReport>> {
        let bundles: Vec<_> = self.bundles.iter().collect();
        let Some(file) = pick(&bundles, which).cloned() else {
            return Ok(None);
        };
        self.advance_clock(who);
        let before = self.identity(who)?;
        let result = {
            let bundle = Bundle::open(&file).map_err(context("a bundle"))?;
            let notebook = self.notebook(who);
            let own = interruption
                .filter(|interruption| matches!(interruption.at, InterruptAt::LocalCommit));
            if let Some(interruption) = own {
                limit_commits(notebook, interruption.after);
            }
            let done = crate::sync::pull_from(
                notebook,
                &InterruptedRemote::new(&bundle, interruption),
                &ignore_progress,
            );
            allow_commits(notebook);
            done
        };
        self.check_identity(who, &before)?;
        self.finish_sync(result, who, None, interruption)
    }

    fn back_up(&mut self, who: usize) -> CheckResult {
        let path = self.new_path("backup");
        copy_folder(&self.devices[who].dir, &path);
        self.backups.push(path);
        Ok(())
    }

    /// A device's disk is lost, and a backup replaces it.
    fn restore(&mut self, who: usize, which: u8) -> CheckResult {
        let backups: Vec<_> = self.backups.iter().collect();
        let Some(backup) = pick(&backups, which).cloned() else {
            return Ok(());
        };
        let dir = self.devices[who].dir.clone();
        self.devices[who].notebook = None;
        fs::remove_dir_all(&dir).map_err(context("a disk"))?;
        copy_folder(&backup, &dir);
        self.reopen(who)?;
        self.count_losses()
    }

    /// What is stored nowhere is not expected at the end.
    fn count_losses(&mut self) -> CheckResult {
        let mut stored = StoredContent::default();
        for device in &self.devices {
            stored.add(&NotebookRemote(device.notebook()))?;
        }
        for folder in &self.folders {
            stored.add(&FolderRemote::open(folder).map_err(context("a folder"))?.0)?;
        }
        for bundle in &self.bundles {
            stored.add(&Bundle::open(bundle).map_err(context("a bundle"))?)?;
        }
        let entries = stored.entries();
        let before = self.acknowledged.len();
        self.acknowledged.retain(|id, _| entries.contains(id));
        self.lost_entries |= self.acknowledged.len() < before;
        self.coverage.lost += before - self.acknowledged.len();
        for device in &self.devices {
            let named = device
                .notebook()
                .named_photos()
                .map_err(context("photos"))?;
            self.lost_photos.extend(named.difference(&stored.photos));
        }
        Ok(())
    }

    fn copy(&mut self, who: usize) -> CheckResult {
        if self.devices.len() == MAX_DEVICES {
            return Ok(());
        }
        let path = self.new_path("device");
        copy_folder(&self.devices[who].dir, &path);
        self.add_device(path, self.devices[who].clock)
    }

    /// A device dies while recording something, and restarts with what is on the disk.
    fn kill(&mut self, who: usize, during: Option<Recording>, torn: u8) -> CheckResult {
        self.advance_clock(who);
        let before = queries::count(self.notebook(who))?;
        if let Some(what) = during {
            let notebook = self.notebook(who);
            limit_commits(notebook, 0);
            let outcome = record(notebook, what);
            allow_commits(notebook);
            if matches!(outcome?, Outcome::Acknowledged) {
                return Err(format!(
                    "{what:?} was acknowledged but did not reach the disk"
                ));
            }
        }
        let on_disk = self.new_path("disk");
        let dir = self.devices[who].dir.clone();
        copy_folder(&dir, &on_disk);
        self.devices[who].notebook = None;
        fs::remove_dir_all(&dir).map_err(context("a disk"))?;
        fs::rename(&on_disk, &dir).map_err(context("a disk"))?;
        append_torn_write(&dir.join("notebook.sqlite-wal"), torn)?;
        self.reopen(who)?;
        let after = queries::count(self.notebook(who))?;
        if after == before {
            self.coverage.killed += 1;
            Ok(())
        } else {
            Err(format!(
                "device {who} had {before:?} when killed and now has {after:?}"
            ))
        }
    }

    fn reopen(&mut self, who: usize) -> CheckResult {
        let device = &mut self.devices[who];
        device.notebook = Some(Notebook::open(&device.dir).map_err(context("reopening"))?);
        Ok(())
    }

    /// Another program copies some files from one folder to the other, and may be interrupted in
    /// the last one.
    fn copy_files(&mut self, from: usize, picks: u8, truncate_at: Option<u8>) -> CheckResult {
        let (from, to) = (self.folders[from].clone(), self.folders[1 - from].clone());
        let files = super::super::files(&from).into_iter().enumerate();
        let chosen = files.filter(|(at, _)| picks >> (at % 8) & 1 == 1);
        let mut chosen: Vec<_> = chosen.map(|(_, file)| file).collect();
        let last = chosen.pop();
        for (name, bytes) in chosen {
            self.put_file(&to, &name, &bytes)?;
        }
        let Some((name, bytes)) = last else {
            return Ok(());
        };
        let kept = truncate_at.map_or(bytes.len(), |at| bytes.len() * usize::from(at) / 256);
        let file = to.join(&name);
        if kept < bytes.len() && !file.exists() {
            self.truncated_files
                .insert(name.to_string_lossy().into_owned());
            self.coverage.truncated += 1;
        }
        self.put_file(&to, &name, &bytes[..kept])
    }

    fn put_file(&self, folder: &Path, name: &Path, bytes: &[u8]) -> CheckResult {
        let file = folder.join(name);
        if file.exists() {
            return Ok(());
        }
        let parent = file.parent().unwrap_or(folder);
        fs::create_dir_all(parent).map_err(context("a folder"))?;
        fs::write(file, bytes).map_err(context("a file"))
    }

    fn sync_other_version(
        &mut self,
        which: usize,
        lines: &[(super::plan::OtherVersionLine, u8)],
        target: SyncTarget,
    ) -> CheckResult {
        let peer = match target {
            SyncTarget::Notebook(other) => self.device_index(other),
            // It must know some holes to write about.
            SyncTarget::Folder(first) => usize::from(first),
        };
        self.advance_clock(peer);
        let holes = queries::ids_in(self.notebook(peer), "hole")?;
        let entries = self.entries_of(peer)?;
        let known = KnownEntries {
            holes: &holes,
            entries: &entries,
        };
        let other_version = &mut self.other_versions[which];
        for (what, at) in lines {
            other_version.write(*what, *at, &known)?;
        }
        match target {
            SyncTarget::Folder(folder) => {
                let folder = usize::from(folder);
                other_version.push(&self.folders[folder], folder)?;
            }
            SyncTarget::Notebook(_) => {
                let notebook = self.devices[peer].notebook();
                let lines = other_version.missing(notebook)?;
                notebook
                    .import_lines(&lines)
                    .map_err(context("importing lines of another version"))?;
            }
        }
        let lines = other_version.lines.iter();
        self.acknowledged
            .extend(lines.map(|line| (line.entry().id, line.text().to_owned())));
        Ok(())
    }

    fn entries_of(&self, who: usize) -> CheckResult<Vec<(EntryId, String, Uuid)>> {
        let conn = self.notebook(who).connection();
        let ids = queries::column::<Uuid>(&conn, "SELECT id FROM entry ORDER BY id", [])?;
        let kinds = queries::column(
            &conn,
            "SELECT s.kind FROM entry e JOIN entry_status s ON s.n = e.n ORDER BY e.id",
            [],
        )?;
        let subjects = queries::column(&conn, "SELECT subject FROM entry ORDER BY id", [])?;
        let entries = ids.into_iter().zip(kinds).zip(subjects);
        Ok(entries
            .map(|((id, kind), subject)| (EntryId(id), kind, subject))
            .collect())
    }

    /// A notebook has no findings except photos that were lost or not synced yet.
    pub fn verify(&mut self, who: usize) -> CheckResult {
        let report = self.notebook(who).verify().map_err(context("verifying"))?;
        let mut findings = report.findings;
        findings.retain(|finding| !matches!(finding, Finding::PhotoMissing { .. }));
        match &findings[..] {
            [] => Ok(()),
            _ => Err(format!("device {who}: {findings:?}")),
        }
    }
}

/// Syncs, with an interruption if there is one.
fn sync_interrupted(
    local: &Notebook,
    remote_notebook: Option<&Notebook>,
    interruption: Option<Interruption>,
    remote: &dyn Remote,
) -> Result<SyncReport, SyncError> {
    let changes = match interruption.map(|interruption| interruption.at) {
        Some(InterruptAt::LocalCommit) => Some(local),
        Some(InterruptAt::RemoteCommit) => remote_notebook,
        _ => None,
    };
    if let (Some(notebook), Some(interruption)) = (changes, interruption) {
        limit_commits(notebook, interruption.after);
    }
    let done = sync_with(
        local,
        &InterruptedRemote::new(remote, interruption),
        &ignore_progress,
    );
    if let Some(notebook) = changes {
        allow_commits(notebook);
    }
    done
}

/// Appends garbage to the write-ahead log, as a power failure during a write would.
fn append_torn_write(log: &Path, bytes: u8) -> CheckResult {
    if bytes == 0 || !log.exists() {
        return Ok(());
    }
    let mut file = OpenOptions::new()
        .append(true)
        .open(log)
        .map_err(context("the write-ahead log"))?;
    let torn: Vec<u8> = (0..bytes).map(|at| at.wrapping_mul(37)).collect();
    file.write_all(&torn)
        .map_err(context("the write-ahead log"))
}
