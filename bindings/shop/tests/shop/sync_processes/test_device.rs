//! A notebook, and the programs that run on it.

use crate::common::pairing_process::PairingProcess;
use crate::common::served_screens::ServedScreens;
use crate::common::{PROGRAM, error_sentence, json, stdout, with_home};
use holebook_core::hole::record::Note;
use holebook_core::notebook::{FaceId, HoleEntry, Notebook};
use holebook_test_support::{noise_png, notebooks};
use serde_json::Value;
use std::cell::OnceCell;
use std::fs;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// A device: its notebook's folder, and how its programs are run.
pub struct TestDevice {
    home: TempDir,
    folder: PathBuf,
    /// The command line before the program, such as one that enters a namespace.
    wrapper: Vec<String>,
    face: OnceCell<FaceId>,
}

impl TestDevice {
    /// A device with a new notebook.
    pub fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("notebook");
        fs::create_dir(&folder).unwrap();
        Self {
            home,
            folder,
            wrapper: Vec::new(),
            face: OnceCell::new(),
        }
    }

    /// A device whose programs are run by this command.
    pub fn run_by(wrapper: &[&str]) -> Self {
        Self {
            wrapper: wrapper.iter().map(ToString::to_string).collect(),
            ..Self::new()
        }
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub fn notebook(&self) -> Notebook {
        Notebook::open(&self.folder).unwrap()
    }

    fn face(&self) -> FaceId {
        *self
            .face
            .get_or_init(|| notebooks::add_face(&self.notebook()))
    }

    /// Adds that many holes.
    pub fn add_holes(&self, holes: usize) {
        let (notebook, face) = (self.notebook(), self.face());
        for _ in 0..holes {
            notebook.add_hole(face, None, None).unwrap();
        }
    }

    /// Adds a hole with that many notes of 8 kB.
    pub fn add_long_notes(&self, notes: usize) {
        let (notebook, face) = (self.notebook(), self.face());
        let hole = notebook.add_hole(face, None, None).unwrap();
        for number in 0..notes {
            let text = format!("{number}: the drill wanders here. ").repeat(300);
            let note = HoleEntry::Note(Note { text });
            notebook.record(hole, note, &[]).unwrap();
        }
    }

    /// Adds that many photos of 100 kB that no other notebook has.
    pub fn add_photos(&self, photos: u32) {
        static SEED: AtomicU32 = AtomicU32::new(1);
        let camera = tempfile::tempdir().unwrap();
        let seed = SEED.fetch_add(1, Ordering::SeqCst);
        noise_png::write_files(camera.path(), photos, seed.wrapping_mul(0x9e37_79b9)).unwrap();
        let (notebook, face) = (self.notebook(), self.face());
        for photo in fs::read_dir(camera.path()).unwrap() {
            let photo = photo.unwrap().path();
            notebook.add_photo(face, &photo, None).unwrap();
        }
    }

    /// See [`notebooks::contents`].
    pub fn contents(&self) -> (Vec<String>, Vec<String>) {
        notebooks::contents(&self.notebook())
    }

    /// The program with these arguments.
    pub fn program(&self, args: &[&str]) -> Command {
        let command = match self.wrapper.split_first() {
            None => Command::new(PROGRAM),
            Some((first, others)) => {
                let mut command = Command::new(first);
                command.args(others).arg(PROGRAM);
                command
            }
        };
        let mut command = with_home(command, self.home.path());
        command.args(args).arg("--notebook").arg(&self.folder);
        command
    }

    pub fn run(&self, args: &[&str]) -> Output {
        self.program(args).output().unwrap()
    }

    /// Opens the notebook, and serves syncs on this port, or on any free one if it is 0.
    pub fn open(&self, port: u16) -> ServedScreens {
        let port = port.to_string();
        ServedScreens::of(self.program(&["open", "--no-open", "--port", &port]))
    }

    /// Where an open notebook is served, as its pairing code says.
    pub fn address(&self) -> SocketAddr {
        Code::of(self).address()
    }

    /// Pairs with a shop computer that is open.
    pub fn pair(&self, shop: &Self) {
        self.pair_by(&Code::of(shop).link);
    }

    /// Pairs with a shop computer by its link, with another address in it.
    pub fn pair_at(&self, shop: &Self, address: SocketAddr) {
        self.pair_by(&Code::of(shop).at(address));
    }

    fn pair_by(&self, link: &str) {
        stdout(&self.run(&["pair", "--code", link]));
    }

    /// Syncs with the one shop computer that it is paired with.
    pub fn try_sync(&self) -> Output {
        self.run(&["sync", "--shop"])
    }

    /// Starts a sync.
    pub fn start_sync(&self) -> Child {
        let mut program = self.program(&["sync", "--shop"]);
        let program = program.stdout(Stdio::piped()).stderr(Stdio::piped());
        program.spawn().unwrap()
    }

    /// Syncs without errors, and returns the report.
    pub fn sync(&self) -> Value {
        let report = json(&self.run(&["sync", "--shop", "--json"]));
        assert_eq!(report["problems"], Value::Array(Vec::new()));
        report
    }

    /// Syncs in vain, and returns the error.
    pub fn sync_error(&self) -> String {
        error_sentence(&self.try_sync())
    }

    /// Asserts that `holebook verify` finds nothing.
    pub fn assert_valid(&self) {
        let text = stdout(&self.run(&["verify"]));
        assert!(text.contains("No problems found"), "{text}");
    }
}

/// Asserts that the notebooks hold the same and are valid.
pub fn assert_equal(devices: &[&TestDevice]) {
    for device in devices {
        assert_eq!(device.contents(), devices[0].contents());
        device.assert_valid();
    }
}

/// A pairing code of a shop computer that is open. The program that shows it waits for a device
/// until this is dropped.
pub struct Code {
    pairing: Option<PairingProcess>,
    pub link: String,
}

impl Code {
    pub fn of(shop: &TestDevice) -> Self {
        let pairing = PairingProcess::of(shop.program(&["pair", "--port", "0", "--json"]));
        Self {
            link: pairing.link().to_owned(),
            pairing: Some(pairing),
        }
    }

    /// Waits until the program that shows it ends by itself.
    pub fn wait(mut self) -> Output {
        self.pairing.take().unwrap().wait()
    }

    fn address_in_link(&self) -> &str {
        let (_, rest) = self.link.split_once("&a=").unwrap();
        rest.split_once('&').unwrap().0
    }

    pub fn address(&self) -> SocketAddr {
        self.address_in_link().parse().unwrap()
    }

    /// The link with another address in it.
    pub fn at(&self, address: SocketAddr) -> String {
        self.link
            .replace(self.address_in_link(), &address.to_string())
    }
}

impl Drop for Code {
    fn drop(&mut self) {
        if let Some(pairing) = &self.pairing {
            pairing.interrupt();
        }
    }
}
