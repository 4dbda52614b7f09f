//! Exchanges with the shop computer's shelf on loopback: 200 photographs of 4 MB against `rsync` from a daemon and `curl`
//! from nginx over TLS; 100 000 entries; nothing new; and with `-- memory` what 5 GB of photographs take of either side.
//!
//! `cargo bench -p holebook-tests --bench exchange`
//! Both ends are processes of their own, and all that move the same photographs take turns. Ours also checks each photo against
//! its name and waits for the disk; the others' time is given with and without that wait.
//! Needs `rsync`, `curl`, `nginx` and `openssl` (Debian's packages of those names).
#![allow(clippy::print_stdout, clippy::unwrap_used)]

mod others;

use holebook_core::notebook::Notebook;
use holebook_tests::proxy::Proxy;
use holebook_tests::{lan, median, peak, shop};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};
use tempfile::TempDir;

const PHOTOGRAPHS: usize = 200;
const PHOTOGRAPH_BYTES: usize = 4_000_000;
/// 5 GB.
const MANY_PHOTOGRAPHS: usize = 1250;
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
        ["exchange", dir] => exchange(Path::new(dir)),
        ["memory"] => memory(),
        [] => {
            photographs();
            entries();
        }
        _ => panic!("give nothing, or: memory"),
    }
}

/// A folder beside the build's own files: a temporary folder may lie in memory, where nothing waits for a disk.
fn folder() -> TempDir {
    TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap()
}

fn photographs() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        shop::photograph(notebook, PHOTOGRAPHS, PHOTOGRAPH_BYTES)
    });
    let photos = dir.path().join("shop/photos");
    let daemon = others::Rsync::serve(&photos, dir.path());
    let nginx = others::Nginx::serve(&photos, dir.path());
    let (mut ours, mut rsync, mut curl) = (Vec::new(), Vec::new(), Vec::new());
    for turn in 0..TURNS {
        let into = |who: &str| dir.path().join(format!("{who}-{turn}"));
        let device = into("device");
        shop.pair(&device, shop.address);
        ours.push(timed_exchange(&device).0);
        rsync.push(daemon.fetch(&into("rsync")));
        curl.push(nginx.fetch(&into("curl")));
        for who in ["device", "rsync", "curl"] {
            fs::remove_dir_all(into(who)).unwrap();
        }
    }
    let ours = median(ours);
    println!("{PHOTOGRAPHS} photographs of 4 MB: {} ms", ours.as_millis());
    for (who, times) in [("rsync", rsync), ("curl", curl)] {
        let (plain, on_disk): (Vec<_>, Vec<_>) = times.into_iter().unzip();
        for (how, times) in [("", plain), (" and the wait for the disk", on_disk)] {
            let theirs = median(times);
            let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
            println!("{who}{how}: {} ms, ratio {ratio:.2}", theirs.as_millis());
        }
    }
}

fn entries() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        let pieces = shop::journals(ENTRIES).into_iter();
        notebook
            .take_pieces(pieces, |taken| assert!(taken.is_ok()))
            .unwrap();
    });
    let proxy = Proxy::before(shop.address);
    let device = dir.path().join("device");
    shop.pair(&device, proxy.address);
    let before = proxy.passed();
    let (took, said) = timed_exchange(&device);
    let bytes = proxy.passed() - before;
    println!(
        "{ENTRIES} entries: {} ms, {bytes} bytes on the wire; {said}",
        took.as_millis()
    );
    let before = proxy.passed();
    let (_, said) = timed_exchange(&device);
    let bytes = proxy.passed() - before;
    println!("nothing new: {bytes} bytes on the wire; {said}");
}

fn memory() {
    let dir = folder();
    let shop = ShopComputer::start(&dir.path().join("shop"), |notebook| {
        shop::photograph(notebook, MANY_PHOTOGRAPHS, PHOTOGRAPH_BYTES)
    });
    let device = dir.path().join("device");
    shop.pair(&device, shop.address);
    let (took, said) = timed_exchange(&device);
    println!(
        "{MANY_PHOTOGRAPHS} photographs of 4 MB: {} ms",
        took.as_millis()
    );
    println!("the device: {said}");
    println!("the shop computer: {}", shop.peak());
}

/// A process that is the shop computer, until this is dropped.
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
        let mut said = BufReader::new(process.stdout.as_mut().unwrap());
        said.read_line(&mut line).unwrap();
        Self {
            process,
            address: line.trim().parse().unwrap(),
            dir: dir.to_owned(),
        }
    }

    /// Makes a notebook and pairs it, at an address of this computer.
    fn pair(&self, device: &Path, address: SocketAddr) {
        lan::pair(device, &self.dir, address);
    }

    /// The most memory that it has taken so far.
    fn peak(&self) -> String {
        peak(self.process.id())
    }
}

impl Drop for ShopComputer {
    fn drop(&mut self) {
        // It ends with its input.
        drop(self.process.stdin.take());
        self.process.wait().unwrap();
    }
}

fn this_program(words: &[&str]) -> Command {
    let mut command = Command::new(env::current_exe().unwrap());
    command.args(words);
    command
}

/// Has a process of its own exchange, and gives how long that took from start to end, and what it said.
fn timed_exchange(device: &Path) -> (Duration, String) {
    let since = Instant::now();
    let output = this_program(&["exchange", device.to_str().unwrap()])
        .stderr(Stdio::inherit())
        .output()
        .unwrap();
    let took = since.elapsed();
    assert!(output.status.success());
    let said = String::from_utf8(output.stdout).unwrap();
    (took, said.trim_end().to_owned())
}

/// Exchanges with the shop computer that the notebook is paired with.
fn exchange(dir: &Path) {
    let notebook = Notebook::open(dir).unwrap();
    let since = Instant::now();
    let report = lan::exchange(&notebook).unwrap();
    let took = since.elapsed();
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    println!(
        "took {} entries and {} photos in {:.1} ms; {}",
        report.entries_taken,
        report.photos_taken,
        took.as_secs_f64() * 1e3,
        peak(std::process::id())
    );
}
