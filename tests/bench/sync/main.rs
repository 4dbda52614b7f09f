//! Syncs with the shop computer on loopback: 200 photos of 4 MB against `rsync` from a daemon and
//! `curl` from nginx over TLS; 100,000 entries; nothing new; and with `-- memory` the peak memory of
//! both sides for 5 GB of photos.
//!
//! `cargo bench --profile dist -p holebook-tests --bench sync`
//! Both ends are their own processes, and the programs alternate. Ours also checks each photo
//! against its name and waits for the disk; the others' time is given with and without that wait.
//! Needs `rsync`, `curl`, `nginx` and `openssl` (Debian's packages of those names).
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod others;

use holebook_core::notebook::Notebook;
use holebook_test_support::{Proxy, lan, shop_journals};
use holebook_tests::{median, peak, print_ratio};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};
use tempfile::TempDir;

const PHOTOS: usize = 200;
const PHOTO_BYTES: usize = 4_000_000;
/// 5 GB.
const MANY_PHOTOS: usize = 1250;
const ENTRIES: usize = 100_000;
const TURNS: usize = 5;

fn main() {
    let words: Vec<String> = env::args()
        .skip(1)
        .filter(|word| word != "--bench")
        .collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        ["serve", dir] => lan::serve(Path::new(dir), 0),
        ["sync", dir] => sync(Path::new(dir)),
        ["memory"] => memory(),
        [] => {
            photos();
            entries();
        }
        _ => panic!("give nothing, or: memory"),
    }
}

/// In the build folder: a temporary folder may be in memory, where nothing waits for a disk.
fn folder() -> TempDir {
    TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap()
}

fn photos() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        shop_journals::add_photos(notebook, PHOTOS, PHOTO_BYTES)
    });
    let folder = dir.path().join("shop/photos");
    let daemon = others::Rsync::serve(&folder, dir.path());
    let nginx = others::Nginx::serve(&folder, dir.path());
    let (mut ours, mut rsync, mut curl) = (Vec::new(), Vec::new(), Vec::new());
    for turn in 0..TURNS {
        let into = |who: &str| dir.path().join(format!("{who}-{turn}"));
        let device = into("device");
        shop.pair(&device, shop.address);
        ours.push(timed_sync(&device).0);
        rsync.push(daemon.fetch(&into("rsync")));
        curl.push(nginx.fetch(&into("curl")));
        for who in ["device", "rsync", "curl"] {
            fs::remove_dir_all(into(who)).unwrap();
        }
    }
    let ours = median(ours);
    for (who, times) in [("rsync", rsync), ("curl", curl)] {
        let (plain, on_disk): (Vec<_>, Vec<_>) = times.into_iter().unzip();
        for (how, times) in [("", plain), (" and fsync", on_disk)] {
            let what = format!("{PHOTOS} photos of 4 MB");
            print_ratio(&what, ours, (&format!("{who}{how}"), median(times)));
        }
    }
}

fn entries() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        let chunks = shop_journals::journals(ENTRIES).into_iter();
        notebook
            .import_chunks(chunks, |imported| assert!(imported.is_ok()))
            .unwrap();
    });
    let proxy = Proxy::to(shop.address);
    let device = dir.path().join("device");
    shop.pair(&device, proxy.address);
    let before = proxy.bytes();
    let (took, printed) = timed_sync(&device);
    let bytes = proxy.bytes() - before;
    println!(
        "{ENTRIES} entries: {} ms, {bytes} bytes on the wire; {printed}",
        took.as_millis()
    );
    let before = proxy.bytes();
    let (_, printed) = timed_sync(&device);
    let bytes = proxy.bytes() - before;
    println!("nothing new: {bytes} bytes on the wire; {printed}");
}

fn memory() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        shop_journals::add_photos(notebook, MANY_PHOTOS, PHOTO_BYTES)
    });
    let device = dir.path().join("device");
    shop.pair(&device, shop.address);
    let (took, printed) = timed_sync(&device);
    println!("{MANY_PHOTOS} photos of 4 MB: {} ms", took.as_millis());
    println!("the device: {printed}");
    println!("the shop computer: {}", shop.peak());
}

/// A shop computer in its own process, which ends when this is dropped.
struct ShopComputer {
    process: Child,
    address: SocketAddr,
    dir: PathBuf,
}

impl ShopComputer {
    fn start(dir: &Path, fill: impl FnOnce(&Notebook)) -> Self {
        fill(&Notebook::open(dir).unwrap());
        let mut process = this_program(&["serve", dir.to_str().unwrap()])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        let mut printed = BufReader::new(process.stdout.as_mut().unwrap());
        printed.read_line(&mut line).unwrap();
        Self {
            process,
            address: line.trim().parse().unwrap(),
            dir: dir.to_owned(),
        }
    }

    /// Creates a notebook and pairs it with the shop computer at this address.
    fn pair(&self, device: &Path, address: SocketAddr) {
        lan::pair(device, &self.dir, address);
    }

    /// Its peak memory so far.
    fn peak(&self) -> String {
        peak(self.process.id())
    }
}

impl Drop for ShopComputer {
    fn drop(&mut self) {
        // It ends when its input closes.
        drop(self.process.stdin.take());
        self.process.wait().unwrap();
    }
}

fn this_program(words: &[&str]) -> Command {
    let mut command = Command::new(env::current_exe().unwrap());
    command.args(words);
    command
}

/// Syncs in another process; returns how long that took from start to end, and what it printed.
fn timed_sync(device: &Path) -> (Duration, String) {
    let since = Instant::now();
    let output = this_program(&["sync", device.to_str().unwrap()])
        .stderr(Stdio::inherit())
        .output()
        .unwrap();
    let took = since.elapsed();
    assert!(output.status.success());
    let printed = String::from_utf8(output.stdout).unwrap();
    (took, printed.trim_end().to_owned())
}

/// Syncs with the shop computer that the notebook is paired with.
fn sync(dir: &Path) {
    let notebook = Notebook::open(dir).unwrap();
    let since = Instant::now();
    let report = lan::sync(&notebook).unwrap();
    let took = since.elapsed();
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    println!(
        "pulled {} entries and {} photos in {:.1} ms; {}",
        report.entries_pulled,
        report.photos_pulled,
        took.as_secs_f64() * 1e3,
        peak(std::process::id())
    );
}
