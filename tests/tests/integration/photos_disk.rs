//! A photo is on disk when importing it returns, and a full disk stores nothing.
//!
//! Each test runs the same small program, the ignored test below, under a tool that traces or
//! limits it: `strace`, and `unshare` with a disk of one megabyte in memory (Debian: strace,
//! util-linux). If a tool is missing or not allowed, the test is counted as skipped; with `CI` set it
//! fails.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::{env, fs};

use holebook_core::photo::{Metadata, PhotoStore};
use holebook_test_support::requirements::{have, works};

#[test]
#[ignore = "run by the tests below"]
fn imports_one_photo() {
    let (Some(source), Some(photos_dir)) = (env::var_os("PHOTO_SOURCE"), env::var_os("PHOTO_DIR"))
    else {
        return;
    };
    match PhotoStore::open(photos_dir)
        .and_then(|store| store.import(Path::new(&source), Metadata::Keep))
    {
        Ok(photo) => println!("stored {}", photo.hash),
        Err(error) => println!("rejected: {error}"),
    }
}

fn run(wrapper: &mut Command, source: &Path, photos_dir: &Path) -> Output {
    wrapper.arg(env::current_exe().unwrap()).args([
        "--exact",
        "photos_disk::imports_one_photo",
        "--ignored",
        "--nocapture",
    ]);
    wrapper
        .env("PHOTO_SOURCE", source)
        .env("PHOTO_DIR", photos_dir)
        .output()
        .unwrap()
}

/// A photo of some size: what follows the picture stays in a file that is stored as it is.
fn photo_of(bytes: usize, dir: &Path) -> PathBuf {
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("photos/phone.jpg");
    let mut content = fs::read(fixture).unwrap();
    content.resize(bytes, b'.');
    let photo = dir.join("barn.jpg");
    fs::write(&photo, content).unwrap();
    photo
}

#[test]
fn full_disk_is_reported_and_nothing_is_left_on_it() {
    let tiny = "mount -t tmpfs -o size=1m none \"$PHOTO_DIR\" && \"$@\"; ls -A \"$PHOTO_DIR\" \"$PHOTO_DIR\"/*";
    let probe = ["-rm", "sh", "-c", "mount -t tmpfs none /mnt"];
    if !have(
        works("unshare", &probe),
        "mounting a small disk with unshare",
    ) {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let photos_dir = dir.path().join("photos");
    fs::create_dir(&photos_dir).unwrap();
    let mut wrapper = Command::new("unshare");
    wrapper.args(["-rm", "sh", "-c", tiny, "sh"]);
    let output = run(&mut wrapper, &photo_of(2_000_000, dir.path()), &photos_dir);
    let stdout = String::from_utf8(output.stdout).unwrap();
    assert!(
        stdout.contains("rejected: there is no space left for photos in"),
        "{stdout}"
    );
    assert!(
        !stdout.contains(".incoming-") && !stdout.contains(".jpg"),
        "{stdout}"
    );
}

/// The order that POSIX asks for: content to disk, then its name, then the folder with the name
/// (fsync(2), rename(2)).
#[test]
fn content_name_and_folder_reach_the_disk_in_that_order() {
    if !have(works("strace", &["-o", "/dev/null", "true"]), "strace") {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let (log, photos_dir) = (dir.path().join("log"), dir.path().join("photos"));
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
    let output = run(&mut wrapper, &photo_of(100_000, dir.path()), &photos_dir);
    let stdout = String::from_utf8(output.stdout).unwrap();
    let hash = stdout
        .split_once("stored ")
        .unwrap()
        .1
        .split_whitespace()
        .next()
        .unwrap();
    let log = fs::read_to_string(log).unwrap();
    let (photos_dir, named) = (photos_dir.to_str().unwrap(), format!("photos/{hash}\""));
    let at = |what: &dyn Fn(&str) -> bool| {
        log.lines()
            .position(what)
            .unwrap_or_else(|| panic!("{log}"))
    };
    let content = at(&|line| line.contains("fsync(") && line.contains("/photos/.incoming-"));
    let name = at(&|line| line.contains("rename") && line.contains(&named));
    let folder = at(&|line| line.contains("fsync(") && line.contains(&format!("<{photos_dir}>")));
    assert!(content < name && name < folder, "{log}");
}
