//! The devices of a history, the folders and bundles between them, and what each was told is on the disk.

use super::super::copy_folder;
use super::interrupted::{Interrupted, let_change, let_change_freely};
use super::look::{self, pick, told};
use super::lying::Lying;
use super::plan::{At, Begin, Clock, Cut, Place, Recording, Step};
use super::recording::{Became, record};
use super::stranger::{Known, Stranger};
use super::tally::Tally;
use super::{Done, beginning};
use crate::exchange::bundle::{self, BundleError, What};
use crate::exchange::{
    Bundle, ExchangeError, FolderShelf, NotebookShelf, Report, Shelf, exchange_over, unwatched,
};
use crate::notebook::tests::stage;
use crate::notebook::{DeviceId, EntryId, Finding, Notebook};
use crate::photo::PhotoHash;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use uuid::Uuid;

/// When histories begin.
pub const START_MS: i64 = 1_795_000_000_000;
const DAY_MS: i64 = 86_400_000;
/// The last millisecond of the year 2999.
const LAST_MOMENT_MS: i64 = 32_503_680_000_000 - 1;
const MOST_DEVICES: usize = 5;

pub struct World {
    stage: stage::Set,
    root: TempDir,
    /// How long it has gone on.
    ms: i64,
    /// How many folders were made, so that each has a name of its own.
    made: usize,
    pub devices: Vec<Device>,
    pub folders: [PathBuf; 2],
    pub bundles: Vec<PathBuf>,
    backups: Vec<PathBuf>,
    strangers: [Stranger; 2],
    /// What the notebooks said is on the disk, and no disk that went took with it.
    pub acknowledged: BTreeMap<EntryId, String>,
    /// Photos that went with the only disk that they were on.
    pub lost_photos: BTreeSet<PhotoHash>,
    /// Whether entries went with a disk.
    pub lost_entries: bool,
    /// The files that were left cut short on a folder.
    pub cut_files: BTreeSet<String>,
    pub tally: Tally,
}

pub struct Device {
    dir: PathBuf,
    notebook: Option<Notebook>,
    clock: Clock,
    offset_s: i32,
}

impl Device {
    /// Its notebook, which is only closed while another takes its place.
    pub fn notebook(&self) -> &Notebook {
        self.notebook.as_ref().expect("it is open")
    }
}

/// Which lines a notebook had under its own name.
struct Identity {
    device: DeviceId,
    own_lines: i64,
}

impl World {
    pub fn new(seed: u64, begin: &[Begin]) -> Done<Self> {
        let root = super::folder();
        let stage = stage::set(seed);
        stage.clock(START_MS, 0);
        let folders = ["stick", "shared"].map(|name| root.path().join(name));
        for folder in &folders {
            fs::create_dir(folder).map_err(told("a folder"))?;
        }
        let mut world = Self {
            stage,
            root,
            ms: 0,
            made: 0,
            devices: Vec::new(),
            folders,
            bundles: Vec::new(),
            backups: Vec::new(),
            strangers: [Stranger::new(), Stranger::new()],
            acknowledged: BTreeMap::new(),
            lost_photos: BTreeSet::new(),
            lost_entries: false,
            cut_files: BTreeSet::new(),
            tally: Tally::default(),
        };
        for begin in begin {
            let dir = world.new_place("device");
            beginning::put(*begin, &dir)?;
            world.add_device(dir, Clock::Off(0))?;
            if matches!(begin, Begin::Older) {
                world.lack_stored_photos()?;
            }
        }
        Ok(world)
    }

    fn new_place(&mut self, what: &str) -> PathBuf {
        self.made += 1;
        self.root.path().join(format!("{what}{}", self.made))
    }

    fn add_device(&mut self, dir: PathBuf, clock: Clock) -> Done {
        self.stage.clock(START_MS + self.ms, 0);
        let notebook = Notebook::open(&dir).map_err(told("opening"))?;
        self.devices.push(Device {
            dir,
            notebook: Some(notebook),
            clock,
            offset_s: self.devices.len() as i32 * 3600,
        });
        Ok(())
    }

    /// The photos of the stored notebook are not stored with it.
    fn lack_stored_photos(&mut self) -> Done {
        let named = self
            .devices
            .last()
            .map(|last| last.notebook().named_photos());
        let named = named.transpose().map_err(told("photos"))?;
        self.lost_photos.extend(named.unwrap_or_default());
        Ok(())
    }

    pub fn at(&self, who: u8) -> usize {
        usize::from(who) % self.devices.len()
    }

    pub fn notebook(&self, who: usize) -> &Notebook {
        self.devices[who].notebook()
    }

    /// Time goes on, now and then not by a millisecond; and it is this device's turn.
    fn turn(&mut self, who: usize) {
        self.ms +=
            i64::from(!self.made.is_multiple_of(3)) + (self.acknowledged.len() as i64 % 5) * 700;
        let device = &self.devices[who];
        let now = START_MS + self.ms;
        let ms = match device.clock {
            Clock::Off(days) => now + i64::from(days) * DAY_MS,
            Clock::Zero => self.ms,
            Clock::LastMoment => LAST_MOMENT_MS,
            Clock::Beyond => LAST_MOMENT_MS + 1 + now,
        };
        self.stage.clock(ms.max(0), device.offset_s);
    }

    pub fn step(&mut self, step: &Step) -> Done {
        match step {
            Step::Record { who, what } => self.record(self.at(*who), *what),
            Step::Exchange { who, over, cut } => {
                self.exchange(self.at(*who), *over, *cut).map(drop)
            }
            Step::Pack { who, all, home } => self.pack(self.at(*who), *all, *home),
            Step::Unpack { who, which, cut } => self.unpack(self.at(*who), *which, *cut).map(drop),
            Step::BackUp { who } => self.back_up(self.at(*who)),
            Step::Restore { who, which } => self.restore(self.at(*who), *which),
            Step::Copy { who } => self.copy(self.at(*who)),
            Step::Kill { who, during, torn } => self.kill(self.at(*who), *during, *torn),
            Step::SetClock { who, to } => {
                let who = self.at(*who);
                self.devices[who].clock = *to;
                Ok(())
            }
            Step::Carry { from, picks, cut } => self.carry(usize::from(*from), *picks, *cut),
            Step::Stranger { which, says, over } => self.stranger(usize::from(*which), says, *over),
            Step::Verify { who } => self.verify(self.at(*who)),
        }
    }

    fn record(&mut self, who: usize, what: Recording) -> Done {
        self.turn(who);
        let notebook = self.devices[who].notebook();
        let device = notebook.device().map_err(told("its device"))?;
        let before = notebook.last_number(device).map_err(told("its lines"))?;
        let greatest = look::column::<Uuid>(
            &notebook.connection(),
            "SELECT id FROM entry ORDER BY id DESC LIMIT 1",
            [],
        )?;
        match record(notebook, what)? {
            Became::Acknowledged => {
                let new = look::after(notebook, device, before.cast_signed())?;
                if new
                    .iter()
                    .any(|(id, _)| greatest.iter().any(|known| id.0 <= *known))
                {
                    return Err(format!(
                        "{what:?} does not stand behind what device {who} knew"
                    ));
                }
                self.acknowledged.extend(new);
                Ok(())
            }
            Became::Refused => Ok(()),
            Became::Failed(error) => Err(format!("recording {what:?}: {error}")),
        }
    }

    fn identity(&self, who: usize) -> Done<Identity> {
        let (_, device, own_lines) = look::count(self.notebook(who))?;
        Ok(Identity { device, own_lines })
    }

    /// Whoever got lines of its own name that it did not write goes on under another name; nobody else does.
    fn check_identity(&mut self, who: usize, before: &Identity) -> Done {
        let sql = "SELECT count(*) FROM entry WHERE device = ?1";
        let notebook = self.notebook(who);
        let now = notebook.device().map_err(told("its device"))?;
        let count = look::column::<i64>(&notebook.connection(), sql, [before.device.0])?;
        let copied = count[0] > before.own_lines;
        if copied != (now != before.device) {
            return Err(format!(
                "device {who} has {} of its own lines, after {}, and writes as {now}, after {}",
                count[0], before.own_lines, before.device
            ));
        }
        self.tally.forks += usize::from(copied);
        Ok(())
    }

    /// Up to which number the lines of each of a device's identities are said to lie on a shelf.
    fn home(&self, who: usize) -> Done<BTreeMap<DeviceId, u64>> {
        let notebook = self.notebook(who);
        let own = notebook.own_devices().map_err(told("its names"))?;
        let home = own.into_iter().map(|own| {
            let brought = notebook.brought_home(own).map_err(told("home"))?;
            Ok((own, brought))
        });
        home.collect()
    }

    /// What counts as brought home by an exchange, also by one that was cut off, lies where it was brought to.
    fn check_home(&self, who: usize, over: Place, before: &BTreeMap<DeviceId, u64>) -> Done {
        for (device, brought) in self.home(who)? {
            if before.get(&device).is_some_and(|before| brought <= *before) || brought == 0 {
                continue;
            }
            let mut lying = Lying::default();
            match over {
                Place::Folder(which) => {
                    let folder = &self.folders[usize::from(which)];
                    lying.add(&FolderShelf::open(folder).map_err(told("a folder"))?.0)?;
                }
                Place::Notebook(other) => {
                    lying.add(&NotebookShelf(self.notebook(self.at(other))))?;
                }
            }
            let there = lying.entries();
            let conn = self.notebook(who).connection();
            let sql = "SELECT id FROM entry WHERE device = ?1 AND seq <= ?2 ORDER BY seq";
            let home = look::column::<Uuid>(&conn, sql, (device.0, brought.cast_signed()))?;
            let all = home.len() as u64 >= brought;
            if !all || home.iter().any(|id| !there.contains(&EntryId(*id))) {
                return Err(format!(
                    "lines of device {who} up to {brought} are said to be home and are not"
                ));
            }
        }
        Ok(())
    }

    /// One device exchanges; none where it would be with itself.
    pub fn exchange(&mut self, who: usize, over: Place, cut: Option<Cut>) -> Done<Option<Report>> {
        self.turn(who);
        let other = match over {
            Place::Notebook(other) => Some(self.at(other)),
            Place::Folder(_) => None,
        };
        if other == Some(who) {
            return Ok(None);
        }
        let before = self.identity(who)?;
        let others = other.map(|other| self.identity(other)).transpose()?;
        let home = self.home(who)?;
        let done = {
            let guest = self.notebook(who);
            match over {
                Place::Folder(which) => {
                    let folder = &self.folders[usize::from(which)];
                    let (shelf, _) = FolderShelf::open(folder).map_err(told("a folder"))?;
                    cut_off(guest, None, cut, &shelf)
                }
                Place::Notebook(_) => {
                    let host = self.notebook(other.unwrap_or(who));
                    cut_off(guest, Some(host), cut, &NotebookShelf(host))
                }
            }
        };
        self.check_identity(who, &before)?;
        self.check_home(who, over, &home)?;
        if let (Some(other), Some(before)) = (other, others) {
            self.check_identity(other, &before)?;
        }
        self.ended(done, who, other, cut)
    }

    /// An exchange that nobody cut off goes well; one that was may be the end of who did it.
    fn ended(
        &mut self,
        done: Result<Report, ExchangeError>,
        who: usize,
        other: Option<usize>,
        cut: Option<Cut>,
    ) -> Done<Option<Report>> {
        match (done, cut) {
            (Ok(report), _) => {
                self.tally.take(&report);
                Ok(Some(report))
            }
            (Err(_), Some(cut)) => {
                self.tally.cut += 1;
                let dead = match cut.at {
                    At::Other => other,
                    _ => Some(who),
                };
                if let Some(dead) = dead.filter(|_| cut.kills) {
                    self.kill(dead, None, 0)?;
                }
                Ok(None)
            }
            (Err(error), None) => Err(format!("an exchange of device {who}: {error}")),
        }
    }

    fn pack(&mut self, who: usize, all: bool, home: bool) -> Done {
        self.turn(who);
        let file = self.new_place("bundle").with_extension("zip");
        let what = if all { What::All } else { What::NotHome };
        let notebook = self.notebook(who);
        match bundle::write(notebook, &file, what, &unwatched) {
            Ok(written) => {
                if home {
                    written.count_as_home(notebook).map_err(told("a bundle"))?;
                }
                self.bundles.push(file);
                Ok(())
            }
            Err(ExchangeError::Bundle(BundleError::Nothing { .. })) => Ok(()),
            Err(error) => Err(format!("writing a bundle: {error}")),
        }
    }

    pub fn unpack(&mut self, who: usize, which: u8, cut: Option<Cut>) -> Done<Option<Report>> {
        let bundles: Vec<_> = self.bundles.iter().collect();
        let Some(file) = pick(&bundles, which).cloned() else {
            return Ok(None);
        };
        self.turn(who);
        let before = self.identity(who)?;
        let done = {
            let bundle = Bundle::open(&file).map_err(told("a bundle"))?;
            let notebook = self.notebook(who);
            let own = cut.filter(|cut| matches!(cut.at, At::Own));
            if let Some(cut) = own {
                let_change(notebook, cut.after);
            }
            let done =
                crate::exchange::take_from(notebook, &Interrupted::new(&bundle, cut), &unwatched);
            let_change_freely(notebook);
            done
        };
        self.check_identity(who, &before)?;
        self.ended(done, who, None, cut)
    }

    fn back_up(&mut self, who: usize) -> Done {
        let place = self.new_place("backup");
        copy_folder(&self.devices[who].dir, &place);
        self.backups.push(place);
        Ok(())
    }

    /// A device's disk is gone, and a backup takes its place.
    fn restore(&mut self, who: usize, which: u8) -> Done {
        let backups: Vec<_> = self.backups.iter().collect();
        let Some(backup) = pick(&backups, which).cloned() else {
            return Ok(());
        };
        let dir = self.devices[who].dir.clone();
        self.devices[who].notebook = None;
        fs::remove_dir_all(&dir).map_err(told("a disk"))?;
        copy_folder(&backup, &dir);
        self.reopen(who)?;
        self.count_losses()
    }

    /// What is nowhere any more is not asked for at the end.
    fn count_losses(&mut self) -> Done {
        let mut lying = Lying::default();
        for device in &self.devices {
            lying.add(&NotebookShelf(device.notebook()))?;
        }
        for folder in &self.folders {
            lying.add(&FolderShelf::open(folder).map_err(told("a folder"))?.0)?;
        }
        for bundle in &self.bundles {
            lying.add(&Bundle::open(bundle).map_err(told("a bundle"))?)?;
        }
        let entries = lying.entries();
        let before = self.acknowledged.len();
        self.acknowledged.retain(|id, _| entries.contains(id));
        self.lost_entries |= self.acknowledged.len() < before;
        self.tally.lost += before - self.acknowledged.len();
        for device in &self.devices {
            let named = device.notebook().named_photos().map_err(told("photos"))?;
            self.lost_photos.extend(named.difference(&lying.photos));
        }
        Ok(())
    }

    fn copy(&mut self, who: usize) -> Done {
        if self.devices.len() == MOST_DEVICES {
            return Ok(());
        }
        let place = self.new_place("device");
        copy_folder(&self.devices[who].dir, &place);
        self.add_device(place, self.devices[who].clock)
    }

    /// A device ends in the middle of recording something, and begins again with what is on the disk.
    fn kill(&mut self, who: usize, during: Option<Recording>, torn: u8) -> Done {
        self.turn(who);
        let before = look::count(self.notebook(who))?;
        if let Some(what) = during {
            let notebook = self.notebook(who);
            let_change(notebook, 0);
            let became = record(notebook, what);
            let_change_freely(notebook);
            if matches!(became?, Became::Acknowledged) {
                return Err(format!(
                    "{what:?} did not reach the disk and was acknowledged"
                ));
            }
        }
        let on_disk = self.new_place("disk");
        let dir = self.devices[who].dir.clone();
        copy_folder(&dir, &on_disk);
        self.devices[who].notebook = None;
        fs::remove_dir_all(&dir).map_err(told("a disk"))?;
        fs::rename(&on_disk, &dir).map_err(told("a disk"))?;
        tear(&dir.join("notebook.sqlite-wal"), torn)?;
        self.reopen(who)?;
        let after = look::count(self.notebook(who))?;
        if after == before {
            self.tally.killed += 1;
            Ok(())
        } else {
            Err(format!(
                "killed with {before:?}, device {who} has {after:?}"
            ))
        }
    }

    fn reopen(&mut self, who: usize) -> Done {
        let device = &mut self.devices[who];
        device.notebook = Some(Notebook::open(&device.dir).map_err(told("opening again"))?);
        Ok(())
    }

    /// Another program copies files from one folder to the other, not all of them, and may be cut off in the last.
    fn carry(&mut self, from: usize, picks: u8, cut: Option<u8>) -> Done {
        let (from, to) = (self.folders[from].clone(), self.folders[1 - from].clone());
        let files = super::super::files(&from).into_iter().enumerate();
        let chosen = files.filter(|(at, _)| picks >> (at % 8) & 1 == 1);
        let mut chosen: Vec<_> = chosen.map(|(_, file)| file).collect();
        let last = chosen.pop();
        for (name, bytes) in chosen {
            self.put(&to, &name, &bytes)?;
        }
        let Some((name, bytes)) = last else {
            return Ok(());
        };
        let kept = cut.map_or(bytes.len(), |cut| bytes.len() * usize::from(cut) / 256);
        let file = to.join(&name);
        if kept < bytes.len() && !file.exists() {
            self.cut_files.insert(name.to_string_lossy().into_owned());
            self.tally.cut_short += 1;
        }
        self.put(&to, &name, &bytes[..kept])
    }

    fn put(&self, folder: &Path, name: &Path, bytes: &[u8]) -> Done {
        let file = folder.join(name);
        if file.exists() {
            return Ok(());
        }
        let parent = file.parent().unwrap_or(folder);
        fs::create_dir_all(parent).map_err(told("a folder"))?;
        fs::write(file, bytes).map_err(told("a file"))
    }

    fn stranger(&mut self, which: usize, says: &[(super::plan::Foreign, u8)], over: Place) -> Done {
        let meets = match over {
            Place::Notebook(other) => self.at(other),
            // It has been told by somebody what to write of.
            Place::Folder(first) => usize::from(first),
        };
        self.turn(meets);
        let holes = look::things(self.notebook(meets), "hole_now")?;
        let entries = self.entries_of(meets)?;
        let known = Known {
            holes: &holes,
            entries: &entries,
        };
        let stranger = &mut self.strangers[which];
        for (what, at) in says {
            stranger.write(*what, *at, &known)?;
        }
        match over {
            Place::Folder(folder) => {
                let folder = usize::from(folder);
                stranger.leave(&self.folders[folder], folder)?;
            }
            Place::Notebook(_) => {
                let notebook = self.devices[meets].notebook();
                let lines = stranger.lacking(notebook)?;
                notebook.take(&lines).map_err(told("a stranger's lines"))?;
            }
        }
        let lines = stranger.lines.iter();
        self.acknowledged
            .extend(lines.map(|line| (line.entry().id, line.text().to_owned())));
        Ok(())
    }

    fn entries_of(&self, who: usize) -> Done<Vec<(EntryId, String, Uuid)>> {
        let conn = self.notebook(who).connection();
        let ids = look::column::<Uuid>(&conn, "SELECT id FROM entry ORDER BY id", [])?;
        let kinds = look::column(&conn, "SELECT kind FROM entry ORDER BY id", [])?;
        let subjects = look::column(&conn, "SELECT subject FROM entry ORDER BY id", [])?;
        let entries = ids.into_iter().zip(kinds).zip(subjects);
        Ok(entries
            .map(|((id, kind), subject)| (EntryId(id), kind, subject))
            .collect())
    }

    /// Nothing is wrong with a notebook but photos that were lost, or did not come yet.
    pub fn verify(&mut self, who: usize) -> Done {
        let report = self.notebook(who).verify().map_err(told("verifying"))?;
        let mut findings = report.findings;
        findings.retain(|finding| !matches!(finding, Finding::PhotoMissing { .. }));
        match &findings[..] {
            [] => Ok(()),
            _ => Err(format!("device {who}: {findings:?}")),
        }
    }
}

/// Exchanges, and cuts it off where it is to be.
fn cut_off(
    guest: &Notebook,
    host: Option<&Notebook>,
    cut: Option<Cut>,
    shelf: &dyn Shelf,
) -> Result<Report, ExchangeError> {
    let changes = match cut.map(|cut| cut.at) {
        Some(At::Own) => Some(guest),
        Some(At::Other) => host,
        _ => None,
    };
    if let (Some(notebook), Some(cut)) = (changes, cut) {
        let_change(notebook, cut.after);
    }
    let done = exchange_over(guest, &Interrupted::new(shelf, cut), &unwatched);
    if let Some(notebook) = changes {
        let_change_freely(notebook);
    }
    done
}

/// What was being written when the power failed stands behind the last whole change in the log.
fn tear(log: &Path, bytes: u8) -> Done {
    if bytes == 0 || !log.exists() {
        return Ok(());
    }
    let mut open = OpenOptions::new()
        .append(true)
        .open(log)
        .map_err(told("the log"))?;
    let torn: Vec<u8> = (0..bytes).map(|at| at.wrapping_mul(37)).collect();
    open.write_all(&torn).map_err(told("the log"))
}
