//! Adding a photo, against `vipsthumbnail` making the same view and thumbnail.
//!
//! `cargo bench --profile dist -p holebook-tests --bench photo` takes 12 megapixels; with `-- --large` also 108.
//! Each side is a process on one core, timed from start to end; the sides alternate, so that a busy
//! machine slows both. Ours also hashes the photo and stores it durably. Needs `vipsthumbnail`, `convert`,
//! `cjpeg` (Debian: libvips-tools, imagemagick, libjpeg-turbo-progs).
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};

use holebook_core::photo::{Metadata, PhotoStore};
use holebook_test_support::requirements::have_imagemagick;
use holebook_tests::{median, print_ratio};

/// One kind of photo that is timed.
struct Case {
    name: &'static str,
    tiles: usize,
    coding: &'static [&'static str],
    pairs: usize,
    large: bool,
}

const CASES: [Case; 3] = [
    Case {
        name: "12 MP",
        tiles: 1,
        coding: &[],
        pairs: 15,
        large: false,
    },
    Case {
        name: "12 MP, progressive",
        tiles: 1,
        coding: &["-progressive"],
        pairs: 7,
        large: false,
    },
    Case {
        name: "108 MP",
        tiles: 3,
        coding: &[],
        pairs: 3,
        large: true,
    },
];

fn main() {
    let words: Vec<String> = env::args().skip(1).collect();
    match &words[..] {
        [word, source, store] if word == "add" => add(Path::new(source), Path::new(store)),
        words => compare(words.iter().any(|word| word == "--large")),
    }
}

/// What the timed process does; it prints its peak memory in megabytes.
fn add(source: &Path, store: &Path) {
    let photo = PhotoStore::open(store)
        .unwrap()
        .import(source, Metadata::Strip)
        .unwrap();
    assert!(!photo.already_there);
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| {
        line.strip_prefix("VmHWM:")?
            .trim()
            .strip_suffix(" kB")?
            .parse()
            .ok()
    });
    println!("{}", peak.unwrap_or(0_u64) / 1024);
}

fn compare(large: bool) {
    let can_run = |tool: &str| Command::new(tool).arg("--version").output().is_ok();
    for (tool, package, available) in [
        ("vipsthumbnail", "libvips-tools", can_run("vipsthumbnail")),
        ("convert", "imagemagick", have_imagemagick()),
        ("cjpeg", "libjpeg-turbo-progs", can_run("cjpeg")),
        ("taskset", "util-linux", can_run("taskset")),
    ] {
        if !available {
            println!("{tool} is missing; install {package} and run this again");
            return;
        }
    }
    for case in CASES.iter().filter(|case| large || !case.large) {
        row(case);
    }
}

fn row(case: &Case) {
    let photo = create(case);
    let work = tempfile::tempdir_in(folder()).unwrap();
    let (mut theirs, mut ours, mut peak) = (Vec::new(), Vec::new(), 0);
    for pair in 0..case.pairs {
        theirs.push(timed(|| {
            thumbnail(
                &photo,
                "2048x2048",
                &work.path().join("view.jpg[Q=82,strip]"),
            );
            thumbnail(
                &photo,
                "320x320",
                &work.path().join("thumb.jpg[Q=78,strip]"),
            );
        }));
        let store = work.path().join(format!("photos-{pair}"));
        ours.push(timed(|| peak = peak.max(add_in_process(&photo, &store))));
        fs::remove_dir_all(store).unwrap();
    }
    let (theirs, ours) = (median(theirs), median(ours));
    let megabytes = fs::metadata(&photo).unwrap().len() as f64 / 1e6;
    let what = format!("{}, {megabytes:.1} MB, peak {peak} MB", case.name);
    print_ratio(&what, ours, ("vipsthumbnail twice", theirs));
}

/// Runs on a fixed core, so that each side has one thread's worth of work.
fn on_one_core(program: &Path) -> Command {
    let mut command = Command::new("taskset");
    command
        .args(["-c", "0"])
        .arg(program)
        .env("VIPS_CONCURRENCY", "1");
    command
}

fn thumbnail(photo: &Path, size: &str, to: &Path) {
    let done = on_one_core(Path::new("vipsthumbnail"))
        .arg(photo)
        .args(["-s", size, "-o"])
        .arg(to)
        .status();
    assert!(done.unwrap().success());
}

fn add_in_process(photo: &Path, store: &Path) -> u64 {
    let done = on_one_core(&env::current_exe().unwrap())
        .arg("add")
        .args([photo, store])
        .output()
        .unwrap();
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    String::from_utf8(done.stdout)
        .unwrap()
        .trim()
        .parse()
        .unwrap()
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

/// A folder on a disk, since stored photos must reach it.
fn folder() -> PathBuf {
    let target = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .join("target");
    let folder = env::var_os("CARGO_TARGET_DIR")
        .map_or(target, PathBuf::from)
        .join("bench-photos");
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Creates a photo-like picture, encoded as cameras do, with half the color resolution.
fn create(case: &Case) -> PathBuf {
    let photo = folder().join(format!("{}.jpg", case.name.replace([' ', ','], "-")));
    if photo.exists() {
        return photo;
    }
    let unfinished = photo.with_extension("part");
    let mut encoder = Command::new("cjpeg")
        .args(["-quality", "90", "-sample", "2x2", "-outfile"])
        .arg(&unfinished)
        .args(case.coding)
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    write_tiled(case.tiles, encoder.stdin.take().unwrap());
    assert!(encoder.wait().unwrap().success());
    fs::rename(unfinished, &photo).unwrap();
    photo
}

/// Writes clouds with sensor noise as `tiles` by `tiles` tiles of 4000 by 3000 pixels, since
/// ImageMagick's default limits allow no larger picture.
fn write_tiled(tiles: usize, mut to: impl Write) {
    let clouds = [
        "-size",
        "4000x3000",
        "-seed",
        "7",
        "plasma:grey30-grey80",
        "-attenuate",
        "0.4",
        "+noise",
        "Gaussian",
    ];
    let tile = Command::new("convert")
        .args(clouds)
        .args(["-depth", "8", "rgb:-"])
        .output()
        .unwrap()
        .stdout;
    assert_eq!(tile.len(), 4000 * 3000 * 3);
    writeln!(to, "P6 {} {} 255", 4000 * tiles, 3000 * tiles).unwrap();
    for _ in 0..tiles {
        for row in tile.chunks_exact(4000 * 3) {
            (0..tiles).for_each(|_| to.write_all(row).unwrap());
        }
    }
}
