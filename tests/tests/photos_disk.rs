//! A photo is on disk when bringing it in returns, and a full disk stores nothing.
//!
//! Each test runs the same small program, the ignored test below, under a tool that watches or hampers it: `strace`, and
//! `unshare` with a disk of one megabyte in memory (Debian: strace, util-linux). Where a tool is missing or not allowed,
//! the test says so and passes, but not when `CI` is set.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::{env, fs};

use holebook_core::photo::{Location, PhotoStore};
use holebook_tests::need::{have, works};

#[test]
#[ignore = "run by the tests below"]
fn brings_in_what_it_is_told() {
    let (Some(source), Some(place)) = (env::var_os("PHOTO_SOURCE"), env::var_os("PHOTO_PLACE"))
    else {
        return;
    };
    match PhotoStore::open(place)
        .and_then(|store| store.bring_in(Path::new(&source), Location::Keep))
    {
        Ok(photo) => println!("stored {}", photo.hash),
        Err(error) => println!("refused: {error}"),
    }
}

fn run(wrapper: &mut Command, source: &Path, place: &Path) -> Output {
    wrapper.arg(env::current_exe().unwrap()).args([
        "--exact",
        "brings_in_what_it_is_told",
        "--ignored",
        "--nocapture",
    ]);
    wrapper
        .env("PHOTO_SOURCE", source)
        .env("PHOTO_PLACE", place)
        .output()
        .unwrap()
}

/// A photo of some size: whatever stands behind the picture is kept when its owner keeps the place.
fn photo_of(bytes: usize, dir: &Path) -> PathBuf {
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("photos/phone.jpg");
    let mut content = fs::read(fixture).unwrap();
    content.resize(bytes, b'.');
    let photo = dir.join("barn.jpg");
    fs::write(&photo, content).unwrap();
    photo
}

#[test]
fn a_full_disk_is_said_and_nothing_is_left_on_it() {
    let tiny = "mount -t tmpfs -o size=1m none \"$PHOTO_PLACE\" && \"$@\"; ls -A \"$PHOTO_PLACE\" \"$PHOTO_PLACE\"/*";
    let may = ["-rm", "sh", "-c", "mount -t tmpfs none /mnt"];
    if !have(works("unshare", &may), "mounting a small disk with unshare") {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let place = dir.path().join("photos");
    fs::create_dir(&place).unwrap();
    let mut wrapper = Command::new("unshare");
    wrapper.args(["-rm", "sh", "-c", tiny, "sh"]);
    let output = run(&mut wrapper, &photo_of(2_000_000, dir.path()), &place);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        said.contains("refused: there is no room left for photos in"),
        "{said}"
    );
    assert!(
        !said.contains(".incoming-") && !said.contains(".jpg"),
        "{said}"
    );
}

/// The order that POSIX asks for: content to disk, then its name, then the folder with the name (fsync(2), rename(2)).
#[test]
fn content_name_and_folder_reach_the_disk_in_that_order() {
    if !have(works("strace", &["-o", "/dev/null", "true"]), "strace") {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let (log, place) = (dir.path().join("log"), dir.path().join("photos"));
    let mut wrapper = Command::new("strace");
    wrapper
        .args([
            "-f",
            "-y",
            "-e",
            "trace=fsync,fdatasync,rename,renameat,renameat2",
            "-o",
        ])
        .arg(&log);
    let output = run(&mut wrapper, &photo_of(100_000, dir.path()), &place);
    let said = String::from_utf8(output.stdout).unwrap();
    let hash = said
        .split_once("stored ")
        .unwrap()
        .1
        .split_whitespace()
        .next()
        .unwrap();
    let log = fs::read_to_string(log).unwrap();
    let (place, named) = (place.to_str().unwrap(), format!("photos/{hash}\""));
    let at = |what: &dyn Fn(&str) -> bool| {
        log.lines()
            .position(what)
            .unwrap_or_else(|| panic!("{log}"))
    };
    let content = at(&|line| line.contains("fsync(") && line.contains("/photos/.incoming-"));
    let name = at(&|line| line.contains("rename") && line.contains(&named));
    let folder = at(&|line| line.contains("fsync(") && line.contains(&format!("<{place}>")));
    assert!(content < name && name < folder, "{log}");
}
