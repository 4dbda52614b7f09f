//! A notebook, a program that works on it, and chance.

use holebook_core::hole::record::Note;
use holebook_core::notebook::{HoleId, Notebook, PhotoId, Saying};
use holebook_core::photo::PhotoHash;
use holebook_tests::dice::{Dice, asked};
use holebook_tests::{face, pictures};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;

pub const VICTIM: &str = env!("CARGO_BIN_EXE_notebook-victim");
/// So many tests share the kills.
const SHARES: u64 = 8;

/// One test's share of the kills that were asked for, of 50 if none were.
pub fn kills() -> u64 {
    asked("HOLEBOOK_KILLS").unwrap_or(50).div_ceil(SHARES)
}

/// A notebook with a hole, a place for what it works with, and what was acknowledged.
pub struct Stage {
    dir: TempDir,
    other: TempDir,
    entries: Vec<String>,
    photos: Vec<(PhotoId, PhotoHash)>,
    hole: HoleId,
}

impl Stage {
    pub fn set() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        let face = face(&notebook);
        Self {
            hole: notebook.add_hole(face, None, None).unwrap(),
            dir,
            other: TempDir::new().unwrap(),
            entries: Vec::new(),
            photos: Vec::new(),
        }
    }

    pub fn dir(&self) -> &Path {
        self.dir.path()
    }

    pub fn other(&self) -> PathBuf {
        self.other.path().to_owned()
    }

    pub fn notebook(&self) -> Notebook {
        Notebook::open(self.dir()).unwrap()
    }

    /// Writes so many notes.
    pub fn fill(&self, notes: u32) {
        let notebook = self.notebook();
        for number in 0..notes {
            let text = format!("note {number} ").repeat(number as usize % 40 + 1);
            notebook
                .say(self.hole, Saying::Note(Note { text }), &[])
                .unwrap();
        }
    }

    /// Starts a program, and waits for a first sign of it.
    pub fn start(&self, work: &str, dice: &mut Dice) -> Victim {
        let mut command = Command::new(VICTIM);
        command.arg(work).arg(self.dir());
        if work == "import" {
            if fs::read_dir(self.other()).unwrap().next().is_none() {
                let seed = dice.below(1 << 32) as u32;
                pictures::fill(self.other.path(), 40, seed).unwrap();
            }
            command.arg(self.other.path());
        } else if work != "record" && work != "lan" {
            command.arg(self.other.path());
        }
        Victim::start(command)
    }

    /// Starts a program, kills it at some moment, and remembers what it acknowledged.
    pub fn kill(&mut self, work: &str, dice: &mut Dice) {
        let mut victim = self.start(work, dice);
        thread::sleep(Duration::from_micros(dice.below(60_000)));
        self.remember(&victim.kill());
    }

    /// Remembers what a program acknowledged.
    pub fn remember(&mut self, lines: &[String]) {
        for line in lines {
            let words: Vec<&str> = line.split(' ').collect();
            match words[..] {
                ["entry", id] => self.entries.push(id.to_owned()),
                ["photo", id, hash] => self
                    .photos
                    .push((id.parse().unwrap(), hash.parse().unwrap())),
                ["exchange"] => {}
                _ => panic!("{line}"),
            }
        }
    }

    /// All that was acknowledged is there, and the notebook is sound.
    pub fn check(&self) {
        let notebook = self.notebook();
        let report = notebook.verify().unwrap();
        assert!(report.is_sound(), "{report:?}");
        let there = ids(self.dir());
        let lost = self.entries.iter().find(|id| !there.contains(id));
        assert_eq!(lost, None);
        for (photo, hash) in &self.photos {
            assert_eq!(notebook.photo(*photo).unwrap().hash, *hash);
            notebook.photos().verify(hash).unwrap();
        }
    }
}

/// A program at work, and the lines that it has printed.
pub struct Victim {
    child: Child,
    printed: Receiver<String>,
    seen: Vec<String>,
}

impl Victim {
    pub fn start(mut command: Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
        let output = BufReader::new(child.stdout.take().unwrap());
        let (sender, printed) = channel();
        thread::spawn(move || {
            output
                .lines()
                .map_while(Result::ok)
                .all(|line| sender.send(line).is_ok())
        });
        let first = printed.recv_timeout(Duration::from_secs(60));
        Self {
            seen: vec![first.expect("the program does something")],
            child,
            printed,
        }
    }

    /// Kills it, and gives all that it printed, also what was still on its way.
    pub fn kill(&mut self) -> Vec<String> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        self.seen.extend(self.printed.iter());
        std::mem::take(&mut self.seen)
    }

    /// The first line that it printed.
    pub fn first(&self) -> &str {
        &self.seen[0]
    }

    /// Waits for its next line of this text.
    pub fn wait_for(&mut self, text: &str) {
        loop {
            let line = self.printed.recv_timeout(Duration::from_secs(60));
            self.seen.push(line.expect("the program goes on"));
            if self.seen.last().is_some_and(|line| line == text) {
                return;
            }
        }
    }

    /// All that it has printed by now.
    pub fn printed(&mut self) -> &[String] {
        self.seen.extend(self.printed.try_iter());
        &self.seen
    }

    /// Does something while it stands still, and gives the entries that it had acknowledged before.
    pub fn frozen<T>(&mut self, with: impl FnOnce() -> T) -> (T, Vec<String>) {
        let entries = self
            .printed()
            .iter()
            .filter_map(|line| line.strip_prefix("entry "));
        let entries = entries.map(str::to_owned).collect();
        self.signal("-STOP");
        // It stands still a moment after it was told to, and what waits for the disk when that is done.
        let since = Instant::now();
        while !self.stands_still() {
            assert!(since.elapsed() < Duration::from_secs(60), "it goes on");
            thread::sleep(Duration::from_millis(1));
        }
        let done = with();
        self.signal("-CONT");
        (done, entries)
    }

    fn stands_still(&self) -> bool {
        let threads = fs::read_dir(format!("/proc/{}/task", self.child.id())).unwrap();
        threads.flatten().all(|thread| {
            let stat = fs::read_to_string(thread.path().join("stat")).unwrap_or_default();
            let state = stat.rsplit_once(") ").map(|(_, state)| state);
            state.is_some_and(|state| state.starts_with('T'))
        })
    }

    fn signal(&self, signal: &str) {
        let id = self.child.id().to_string();
        let sent = Command::new("kill").args([signal, &id]).status().unwrap();
        assert!(sent.success());
    }
}

/// Starts a repair and kills it before it is done, or just after.
pub fn kill_repair(dir: &Path, dice: &mut Dice) {
    let mut command = Command::new(VICTIM);
    let mut child = command
        .arg("repair")
        .arg(dir)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    thread::sleep(Duration::from_micros(dice.below(500_000)));
    // It may have ended by itself.
    let _ = child.kill();
    child.wait().unwrap();
}

/// The ids of all entries, each behind the one its device wrote before it.
pub fn ids(dir: &Path) -> Vec<String> {
    let conn = rusqlite::Connection::open(dir.join("notebook.sqlite")).unwrap();
    let mut statement = conn
        .prepare("SELECT id FROM entry ORDER BY device, seq")
        .unwrap();
    let ids = statement
        .query_map([], |row| row.get::<_, uuid::Uuid>(0))
        .unwrap();
    ids.map(|id| id.unwrap().to_string()).collect()
}

/// A copy of a notebook's folder as it lies.
pub fn copy(dir: &Path) -> TempDir {
    let copy = TempDir::new().unwrap();
    for entry in fs::read_dir(dir).unwrap().map(Result::unwrap) {
        // What the system shares between programs of the log is made anew from it.
        let shared = entry.file_name() == "notebook.sqlite-shm";
        if entry.path().is_file() && !shared {
            fs::copy(entry.path(), copy.path().join(entry.file_name())).unwrap();
        }
    }
    copy
}
