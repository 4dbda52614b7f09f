//! Whether the work of one tap grows with the notebook: shows the same page and records the same
//! reading in notebooks of 4,000 and of 400,000 entries, alternating so that a busy machine slows
//! both; and times opening the large one.
//!
//! `cargo bench --profile dist -p holebook-tests --bench notebook`
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use holebook_core::hole::record::{Quantity, Reading};
use holebook_core::length::Length;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use holebook_test_support::large_notebook;
use holebook_tests::{median, print_ratio};
use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use std::{env, fs};
use tempfile::TempDir;

const SMALL: usize = 4_000;
const LARGE: usize = 400_000;
const TURNS: usize = 1000;
const SEARCHES: usize = 20;
/// How many holes a person works on for a while: those of one casting.
const ONE_CASTING: usize = 120;

fn main() {
    let words: Vec<String> = env::args().skip(1).collect();
    match &words[..] {
        [word, dir] if word == "open" => open(Path::new(dir)),
        _ => compare(),
    }
}

struct Filled {
    dir: TempDir,
    notebook: Notebook,
    holes: Vec<HoleId>,
}

fn filled(entries: usize) -> Filled {
    // In the build folder: a temporary folder may be in memory, where nothing waits for a disk.
    let dir = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let since = Instant::now();
    let holes = large_notebook::fill(&notebook, entries).unwrap();
    let took = since.elapsed();
    let rate = entries as f64 / took.as_secs_f64();
    println!(
        "{entries} entries written in {:.1} s, {rate:.0} per second",
        took.as_secs_f64()
    );
    Filled {
        dir,
        notebook,
        holes,
    }
}

fn compare() {
    let (small, large) = (filled(SMALL), filled(LARGE));
    let within = |holes: usize| {
        move |at: &Filled, turn: usize| {
            let hole = pick(&at.holes[..holes.min(at.holes.len())], turn);
            let since = Instant::now();
            black_box(at.notebook.hole(hole).unwrap());
            since.elapsed()
        }
    };
    ratio(
        "a hole's page, of one casting",
        &small,
        &large,
        within(ONE_CASTING),
    );
    ratio("recording a reading", &small, &large, |at, turn| {
        let hole = pick(&at.holes, turn);
        let since = Instant::now();
        at.notebook.record(hole, reading(turn), &[]).unwrap();
        since.elapsed()
    });
    // Nearly every page is shown for the first time here, so it comes from the disk cache.
    ratio(
        "a hole's page, of any casting",
        &small,
        &large,
        within(usize::MAX),
    );
    // It reads all names, holes and notes, so it grows with the notebook.
    ratio_of(
        "a search that finds nothing",
        SEARCHES,
        &small,
        &large,
        |at, _| {
            let since = Instant::now();
            assert!(at.notebook.search("zzzz").unwrap().found.is_empty());
            since.elapsed()
        },
    );
    let dir = large.dir.path().to_owned();
    drop(large.notebook);
    for _ in 0..3 {
        let status = Command::new(env::current_exe().unwrap())
            .arg("open")
            .arg(&dir)
            .status();
        assert!(status.unwrap().success());
    }
    let since = Instant::now();
    let notebook = Notebook::open(&dir).unwrap();
    let sound = notebook.verify().unwrap();
    println!(
        "verifying {} entries: {:.1} s, sound: {}",
        sound.entries,
        since.elapsed().as_secs_f64(),
        sound.is_ok()
    );
}

/// A hole far from the previous one.
fn pick(holes: &[HoleId], turn: usize) -> HoleId {
    holes[turn * 7919 % holes.len()]
}

fn reading(turn: usize) -> HoleEntry {
    HoleEntry::Reading(Reading {
        quantity: Quantity::Bore,
        value: Length::from_nm(9_000_000 + turn as i64),
        tolerance: None,
        instrument: Some("small-hole gauge".to_owned()),
    })
}

fn ratio(what: &str, small: &Filled, large: &Filled, time: impl Fn(&Filled, usize) -> Duration) {
    ratio_of(what, TURNS, small, large, time);
}

fn ratio_of(
    what: &str,
    turns: usize,
    small: &Filled,
    large: &Filled,
    time: impl Fn(&Filled, usize) -> Duration,
) {
    let mut times = (Vec::new(), Vec::new());
    for turn in 0..turns {
        times.0.push(time(small, turn));
        times.1.push(time(large, turn));
    }
    let (small, large) = (median(times.0), median(times.1));
    let what = format!("{what}, {LARGE} entries");
    print_ratio(&what, large, (&format!("{SMALL} entries"), small));
}

/// Opens a notebook in its own process, shows a page, and prints the times.
fn open(dir: &Path) {
    let since = Instant::now();
    let notebook = Notebook::open(dir).unwrap();
    let opened = since.elapsed();
    let castings = notebook.castings().unwrap();
    let listed = since.elapsed() - opened;
    let face = notebook.casting(castings[0].id).unwrap().faces[0].id;
    let hole = notebook.face(face).unwrap().holes[0].id;
    notebook.record(hole, reading(1), &[]).unwrap();
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status
        .lines()
        .find(|line| line.starts_with("VmHWM"))
        .unwrap_or("VmHWM: unknown");
    println!(
        "opening: {opened:.1?}; its {} castings: {listed:.1?}; {peak}",
        castings.len()
    );
}
