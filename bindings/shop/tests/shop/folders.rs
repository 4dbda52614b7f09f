//! Folders that cannot hold a notebook or a remote: one sentence, and nothing changes.

use crate::common::{error_sentence, run, stdout};
use std::fs;
use std::path::Path;
use std::process::Command;

#[test]
fn file_or_other_folder_is_not_used_as_a_notebook() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("letter.txt");
    fs::write(&file, "dear").unwrap();
    let folder = home.path().to_str().unwrap();
    for args in [
        &["open", "--no-open"] as &[&str],
        &["list"],
        &["verify"],
        &["demo", "--no-open"],
        &["sync", "--folder", "/tmp"],
    ] {
        for path in [
            file.to_str().unwrap(),
            folder,
            &format!("{}/inside", file.display()),
        ] {
            let error = error_sentence(&run(home.path(), &[args, &["--notebook", path]].concat()));
            assert!(error.contains(path), "{args:?}: {error}");
        }
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), "dear");
    assert_eq!(
        fs::read_dir(home.path()).unwrap().count(),
        1,
        "nothing was created beside it"
    );
}

#[test]
fn reading_commands_create_no_notebook() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("new");
    for args in [
        &["list"] as &[&str],
        &["verify"],
        &["sheet", "--out", "sheet.html"],
    ] {
        error_sentence(&run(
            home.path(),
            &[args, &["--notebook", path.to_str().unwrap()]].concat(),
        ));
    }
    assert!(!path.exists());
}

#[test]
#[cfg(target_os = "linux")]
fn unwritable_folder_is_reported_in_one_sentence() {
    let home = tempfile::tempdir().unwrap();
    for args in [
        &["open", "--no-open"] as &[&str],
        &["demo", "--no-open"],
        &["sync", "--folder", "/tmp"],
    ] {
        error_sentence(&run(
            home.path(),
            &[args, &["--notebook", "/proc/holebook"]].concat(),
        ));
    }
}

/// A small disk, if this account may mount one.
pub struct SmallDisk<'a>(&'a Path);

impl<'a> SmallDisk<'a> {
    pub fn mount(path: &'a Path, size: &str) -> Option<Self> {
        let size = format!("size={size}");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "tmpfs"])
            .arg(path)
            .output()
            .ok()?;
        mounted.status.success().then_some(Self(path))
    }
}

impl Drop for SmallDisk<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
#[cfg(target_os = "linux")]
fn full_disk_is_reported_in_one_sentence_and_nothing_is_left_on_it() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("disk");
    fs::create_dir(&path).unwrap();
    let Some(_disk) = SmallDisk::mount(&path, "400k") else {
        eprintln!("no small disk may be mounted here");
        return;
    };
    let folder = path.to_str().unwrap();
    let text = error_sentence(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", folder],
    ));
    assert!(
        text.contains("full") || text.contains("no space left"),
        "{text}"
    );
    let left: Vec<_> = fs::read_dir(&path)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
#[cfg(target_os = "linux")]
fn full_remote_is_reported_in_one_sentence_and_the_notebook_stays_valid() {
    let home = tempfile::tempdir().unwrap();
    let (path, sample) = (home.path().join("disk"), home.path().join("sample"));
    fs::create_dir(&path).unwrap();
    let Some(_disk) = SmallDisk::mount(&path, "200k") else {
        eprintln!("no small disk may be mounted here");
        return;
    };
    let sample = sample.to_str().unwrap();
    stdout(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", sample],
    ));
    let text = error_sentence(&run(
        home.path(),
        &[
            "sync",
            "--notebook",
            sample,
            "--folder",
            path.to_str().unwrap(),
        ],
    ));
    assert!(text.contains("full"), "{text}");
    stdout(&run(home.path(), &["verify", "--notebook", sample]));
}
