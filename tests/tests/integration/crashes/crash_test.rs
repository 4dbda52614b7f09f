//! A notebook, and a program that works on it until it is killed.

use holebook_core::hole::record::Note;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook, PhotoId};
use holebook_core::photo::PhotoHash;
use holebook_test_support::notebooks::add_face;
use holebook_test_support::{SeededRng, env_number, noise_png};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;

pub const CRASH_TARGET: &str = env!("CARGO_BIN_EXE_crash-target");
/// When a program counts as hung. On a busy machine, a sync takes minutes.
const HUNG: Duration = Duration::from_secs(1_200);
/// How many tests share the kills.
const TESTS: u64 = 10;

/// One test's share of the kills in `HOLEBOOK_KILLS`, or of 50.
pub fn kills() -> u64 {
    env_number("HOLEBOOK_KILLS").unwrap_or(50).div_ceil(TESTS)
}

/// A notebook with a hole, a second folder, and what was acknowledged.
pub struct CrashTest {
    dir: TempDir,
    other: TempDir,
    entries: Vec<String>,
    photos: Vec<(PhotoId, PhotoHash)>,
    hole: HoleId,
}

impl CrashTest {
    pub fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        let face = add_face(&notebook);
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

    /// Records that many notes.
    pub fn fill(&self, notes: u32) {
        let notebook = self.notebook();
        for number in 0..notes {
            let text = format!("note {number} ").repeat(number as usize % 40 + 1);
            notebook
                .record(self.hole, HoleEntry::Note(Note { text }), &[])
                .unwrap();
        }
    }

    /// Starts a program, and waits for its first line.
    pub fn start(&self, task: &str, rng: &mut SeededRng) -> CrashTarget {
        let mut command = Command::new(CRASH_TARGET);
        command.arg(task).arg(self.dir());
        if task == "import" {
            if fs::read_dir(self.other()).unwrap().next().is_none() {
                let seed = rng.below(1 << 32) as u32;
                noise_png::write_files(self.other.path(), 40, seed).unwrap();
            }
            command.arg(self.other.path());
        } else if task == "stop" {
            command.arg("1000000");
        } else if !["record", "lan", "checkpoint"].contains(&task) {
            command.arg(self.other.path());
        }
        CrashTarget::start(command)
    }

    /// Starts a program, kills it at a random moment, and remembers what it acknowledged.
    pub fn kill(&mut self, task: &str, rng: &mut SeededRng) {
        let mut target = self.start(task, rng);
        thread::sleep(Duration::from_micros(rng.below(60_000)));
        self.remember(&target.kill());
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
                ["sync"] => {}
                _ => panic!("{line}"),
            }
        }
    }

    /// Returns how many entries and photos were acknowledged.
    pub fn acknowledged(&self) -> [usize; 2] {
        [self.entries.len(), self.photos.len()]
    }

    /// Checks that everything acknowledged is there, and that the notebook has no findings.
    pub fn check(&self) {
        let notebook = self.notebook();
        let report = notebook.verify().unwrap();
        assert!(report.is_ok(), "{report:?}");
        let there = ids(self.dir());
        let lost = self.entries.iter().find(|id| !there.contains(id));
        assert_eq!(lost, None);
        for (photo, hash) in &self.photos {
            assert_eq!(notebook.photo(*photo).unwrap().hash, *hash);
            notebook.photos().verify(hash).unwrap();
        }
    }
}

/// A running program, and the lines that it has printed.
pub struct CrashTarget {
    child: Child,
    printed: Receiver<String>,
    seen: Vec<String>,
}

impl CrashTarget {
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
        let first = printed.recv_timeout(HUNG);
        Self {
            seen: vec![first.expect("the program prints a line")],
            child,
            printed,
        }
    }

    /// Kills it, and returns all that it printed, also what was still in the pipe.
    pub fn kill(&mut self) -> Vec<String> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        self.seen.extend(self.printed.iter());
        std::mem::take(&mut self.seen)
    }

    /// Returns the first line that it printed.
    pub fn first(&self) -> &str {
        &self.seen[0]
    }

    /// Waits for its next line with this text.
    pub fn wait_for(&mut self, text: &str) {
        loop {
            let line = self.printed.recv_timeout(HUNG);
            self.seen.push(line.expect("the program is running"));
            if self.seen.last().is_some_and(|line| line == text) {
                return;
            }
        }
    }

    /// Returns all that it has printed so far.
    pub fn printed(&mut self) -> &[String] {
        self.seen.extend(self.printed.try_iter());
        &self.seen
    }

    /// Runs `with` while the program is stopped, and returns the entries that it had acknowledged
    /// before.
    pub fn frozen<T>(&mut self, with: impl FnOnce() -> T) -> (T, Vec<String>) {
        let entries = self
            .printed()
            .iter()
            .filter_map(|line| line.strip_prefix("entry "));
        let entries = entries.map(str::to_owned).collect();
        self.signal("-STOP");
        // It stops a moment after the signal, and a thread that waits for the disk when that is
        // done.
        let since = Instant::now();
        while !self.is_stopped() {
            assert!(since.elapsed() < HUNG, "it does not stop");
            thread::sleep(Duration::from_millis(1));
        }
        let done = with();
        self.signal("-CONT");
        (done, entries)
    }

    fn is_stopped(&self) -> bool {
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

/// Starts a repair, and kills it before or just after it is done.
pub fn kill_repair(dir: &Path, rng: &mut SeededRng) {
    let mut command = Command::new(CRASH_TARGET);
    let mut child = command
        .arg("repair")
        .arg(dir)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    thread::sleep(Duration::from_micros(rng.below(500_000)));
    // It may have ended already.
    let _ = child.kill();
    child.wait().unwrap();
}

/// Returns the ids of all entries, each after the one that its device wrote before it.
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

/// Copies a notebook's folder as it is.
pub fn copy(dir: &Path) -> TempDir {
    let copy = TempDir::new().unwrap();
    for entry in fs::read_dir(dir).unwrap().map(Result::unwrap) {
        // SQLite rebuilds the shared index from the log.
        let shared = entry.file_name() == "notebook.sqlite-shm";
        if entry.path().is_file() && !shared {
            fs::copy(entry.path(), copy.path().join(entry.file_name())).unwrap();
        }
    }
    copy
}
