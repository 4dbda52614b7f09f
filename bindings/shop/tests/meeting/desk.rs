//! A notebook, and the program at work on it.

use super::common::pairing::Pairing;
use super::common::showing::Showing;
use super::common::{PROGRAM, at_home, json, said, sentence};
use holebook_core::hole::record::Note;
use holebook_core::notebook::{FaceId, Notebook, Saying};
use holebook_tests::{face, pictures};
use serde_json::Value;
use std::cell::OnceCell;
use std::fs;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// One device: its notebook's folder, and how its programs are run.
pub struct Desk {
    home: TempDir,
    folder: PathBuf,
    /// What stands before the program on its command line.
    before: Vec<String>,
    face: OnceCell<FaceId>,
}

impl Desk {
    /// With a new notebook.
    pub fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("notebook");
        fs::create_dir(&folder).unwrap();
        Self {
            home,
            folder,
            before: Vec::new(),
            face: OnceCell::new(),
        }
    }

    /// Whose programs are run by these words.
    pub fn run_by(words: &[&str]) -> Self {
        Self {
            before: words.iter().map(ToString::to_string).collect(),
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
        *self.face.get_or_init(|| face(&self.notebook()))
    }

    /// Writes down so many holes.
    pub fn note(&self, holes: usize) {
        let (notebook, face) = (self.notebook(), self.face());
        for _ in 0..holes {
            notebook.add_hole(face, None, None).unwrap();
        }
    }

    /// Writes so many notes of 8 kB on a hole.
    pub fn write_at_length(&self, notes: usize) {
        let (notebook, face) = (self.notebook(), self.face());
        let hole = notebook.add_hole(face, None, None).unwrap();
        for number in 0..notes {
            let text = format!("{number}: the drill wanders here. ").repeat(300);
            let note = Saying::Note(Note { text });
            notebook.say(hole, note, &[]).unwrap();
        }
    }

    /// Brings in so many photos of 100 kB that no other notebook has.
    pub fn photograph(&self, photos: u32) {
        static SEED: AtomicU32 = AtomicU32::new(1);
        let camera = tempfile::tempdir().unwrap();
        let seed = SEED.fetch_add(1, Ordering::SeqCst);
        pictures::fill(camera.path(), photos, seed.wrapping_mul(0x9e37_79b9)).unwrap();
        let (notebook, face) = (self.notebook(), self.face());
        for photo in fs::read_dir(camera.path()).unwrap() {
            let photo = photo.unwrap().path();
            notebook.add_photo(face, &photo, None).unwrap();
        }
    }

    /// The last lines of all devices, and the photos, in order: what notebooks that are equal have in common.
    pub fn ends(&self) -> (Vec<String>, Vec<String>) {
        let notebook = self.notebook();
        let heads = notebook.heads().unwrap().into_iter();
        let heads = heads.map(|head| format!("{} {} {:?}", head.device, head.seq, head.hash));
        let photos = notebook.photos().hashes().unwrap().into_iter();
        let photos = photos.map(|photo| photo.to_string());
        let (mut heads, mut photos): (Vec<_>, Vec<_>) = (heads.collect(), photos.collect());
        heads.sort();
        photos.sort();
        (heads, photos)
    }

    /// The program with these words.
    pub fn program(&self, words: &[&str]) -> Command {
        let command = match self.before.split_first() {
            None => Command::new(PROGRAM),
            Some((first, others)) => {
                let mut command = Command::new(first);
                command.args(others).arg(PROGRAM);
                command
            }
        };
        let mut command = at_home(command, self.home.path());
        command.args(words).arg("--notebook").arg(&self.folder);
        command
    }

    pub fn run(&self, words: &[&str]) -> Output {
        self.program(words).output().unwrap()
    }

    /// Opens the notebook, and its shelf on this port; on any free one where it is 0.
    pub fn open(&self, port: u16) -> Showing {
        let port = port.to_string();
        Showing::of(self.program(&["open", "--no-open", "--port", &port]))
    }

    /// Where the shelf of a notebook that is open is, as the code says it.
    pub fn address(&self) -> SocketAddr {
        let code = Code::of(self);
        code.address()
    }

    /// Pairs with the shop computer, which is open.
    pub fn pair(&self, shop: &Self) {
        self.pair_by(&Code::of(shop).link);
    }

    /// Pairs with the shop computer by its link, with another address in it.
    pub fn pair_at(&self, shop: &Self, address: SocketAddr) {
        self.pair_by(&Code::of(shop).at(address));
    }

    fn pair_by(&self, link: &str) {
        said(&self.run(&["pair", "--code", link]));
    }

    /// Exchanges with the one shop computer that it is paired with.
    pub fn exchange(&self) -> Output {
        self.run(&["exchange", "--shop"])
    }

    /// Begins to exchange.
    pub fn begin_to_exchange(&self) -> Child {
        let mut program = self.program(&["exchange", "--shop"]);
        let program = program.stdout(Stdio::piped()).stderr(Stdio::piped());
        program.spawn().unwrap()
    }

    /// Exchanges as it should be; gives what was moved.
    pub fn exchange_well(&self) -> Value {
        let report = json(&self.run(&["exchange", "--shop", "--json"]));
        assert_eq!(report["problems"], Value::Array(Vec::new()));
        report
    }

    /// Exchanges and is not let; gives the sentence.
    pub fn is_refused(&self) -> String {
        sentence(&self.exchange())
    }

    /// Asks the program whether all is well with the notebook.
    pub fn is_sound(&self) {
        let words = said(&self.run(&["verify"]));
        assert!(words.contains("Nothing is wrong"), "{words}");
    }
}

/// Asserts that the notebooks hold the same and are sound.
pub fn are_equal(desks: &[&Desk]) {
    for desk in desks {
        assert_eq!(desk.ends(), desks[0].ends());
        desk.is_sound();
    }
}

/// A code of a shop computer that is open. The program that shows it waits for a device until this is dropped.
pub struct Code {
    pairing: Option<Pairing>,
    words: String,
    pub link: String,
}

impl Code {
    pub fn of(shop: &Desk) -> Self {
        let pairing = Pairing::of(shop.program(&["pair", "--port", "0", "--json"]));
        Self {
            words: pairing.words().to_owned(),
            link: pairing.link().to_owned(),
            pairing: Some(pairing),
        }
    }

    pub fn words(&self) -> String {
        self.words.clone()
    }

    /// Waits until the program that shows it ends by itself.
    pub fn end(mut self) -> Output {
        self.pairing.take().unwrap().end()
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
