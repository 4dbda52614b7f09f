//! Folders that cannot hold a notebook or a shelf: one sentence, and nothing changed.

#![allow(clippy::unwrap_used)]

mod common;

use common::{run, said, sentence};
use std::fs;
use std::path::Path;
use std::process::Command;

#[test]
fn a_file_or_foreign_folder_is_no_notebook() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("letter.txt");
    fs::write(&file, "dear").unwrap();
    let folder = home.path().to_str().unwrap();
    for words in [
        &["open", "--no-open"] as &[&str],
        &["list"],
        &["verify"],
        &["demo", "--no-open"],
        &["exchange", "--folder", "/tmp"],
    ] {
        for place in [
            file.to_str().unwrap(),
            folder,
            &format!("{}/inside", file.display()),
        ] {
            let said = sentence(&run(home.path(), &[words, &["--notebook", place]].concat()));
            assert!(said.contains(place), "{words:?}: {said}");
        }
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), "dear");
    assert_eq!(
        fs::read_dir(home.path()).unwrap().count(),
        1,
        "nothing was made beside it"
    );
}

#[test]
fn reading_commands_make_no_notebook() {
    let home = tempfile::tempdir().unwrap();
    let place = home.path().join("new");
    for words in [
        &["list"] as &[&str],
        &["verify"],
        &["sheet", "--out", "sheet.html"],
    ] {
        sentence(&run(
            home.path(),
            &[words, &["--notebook", place.to_str().unwrap()]].concat(),
        ));
    }
    assert!(!place.exists());
}

#[test]
#[cfg(target_os = "linux")]
fn a_place_where_nothing_can_be_written_gets_one_sentence() {
    let home = tempfile::tempdir().unwrap();
    for words in [
        &["open", "--no-open"] as &[&str],
        &["demo", "--no-open"],
        &["exchange", "--folder", "/tmp"],
    ] {
        sentence(&run(
            home.path(),
            &[words, &["--notebook", "/proc/holebook"]].concat(),
        ));
    }
}

/// A small disk of its own, where this account may mount one.
struct SmallDisk<'a>(&'a Path);

impl<'a> SmallDisk<'a> {
    fn mount(place: &'a Path, size: &str) -> Option<Self> {
        let size = format!("size={size}");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "tmpfs"])
            .arg(place)
            .output()
            .ok()?;
        mounted.status.success().then_some(Self(place))
    }
}

impl Drop for SmallDisk<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_gets_one_sentence_and_leaves_nothing_half_made() {
    let home = tempfile::tempdir().unwrap();
    let place = home.path().join("disk");
    fs::create_dir(&place).unwrap();
    let Some(_disk) = SmallDisk::mount(&place, "400k") else {
        eprintln!("no small disk may be mounted here, so a full one was not tried");
        return;
    };
    let folder = place.to_str().unwrap();
    let words = sentence(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", folder],
    ));
    assert!(
        words.contains("full") || words.contains("no room"),
        "{words}"
    );
    let left: Vec<_> = fs::read_dir(&place)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_shelf_gets_one_sentence_and_takes_nothing_from_the_notebook() {
    let home = tempfile::tempdir().unwrap();
    let (place, sample) = (home.path().join("disk"), home.path().join("sample"));
    fs::create_dir(&place).unwrap();
    let Some(_disk) = SmallDisk::mount(&place, "200k") else {
        eprintln!("no small disk may be mounted here, so a full shelf was not tried");
        return;
    };
    let sample = sample.to_str().unwrap();
    said(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", sample],
    ));
    let words = sentence(&run(
        home.path(),
        &[
            "exchange",
            "--notebook",
            sample,
            "--folder",
            place.to_str().unwrap(),
        ],
    ));
    assert!(words.contains("full"), "{words}");
    said(&run(home.path(), &["verify", "--notebook", sample]));
}
