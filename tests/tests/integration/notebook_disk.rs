//! Notebooks on a full disk, beside a busy program, and after a clock before 1970.

use holebook_core::hole::record::Note;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook, NotebookError, Warning};
use holebook_test_support::namespaces::with_private_mounts;
use holebook_test_support::notebooks::add_face;
use holebook_test_support::requirements::{have, works};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use tempfile::TempDir;

const CRASH_TARGET: &str = env!("CARGO_BIN_EXE_crash-target");

fn note(notebook: &Notebook, hole: HoleId, bytes: usize) -> Result<(), NotebookError> {
    let text = "x".repeat(bytes);
    let entry = HoleEntry::Note(Note { text });
    notebook.record(hole, entry, &[]).map(drop)
}

fn notes(notebook: &Notebook, hole: HoleId) -> usize {
    notebook.hole(hole).unwrap().record.notes.len()
}

/// Mounts a small disk in memory.
fn mount(at: &Path, size: &str) {
    fs::create_dir_all(at).unwrap();
    let mut command = Command::new("mount");
    command.args(["-t", "tmpfs", "-o", &format!("size={size}"), "none"]);
    assert!(command.arg(at).status().unwrap().success());
}

/// The disk fills up, the program stops, and its last checkpoint finds no room either. Before, every
/// such notebook was called damaged.
#[test]
fn a_notebook_opens_after_a_full_disk_and_a_clean_stop() {
    with_private_mounts(a_notebook_opens_after_a_full_disk_and_a_clean_stop, || {
        let above = TempDir::new().unwrap();
        for round in 0..12 {
            let disk = above.path().join(format!("disk{round}"));
            mount(&disk, &format!("{}k", 700 + 52 * round));
            let dir = disk.join("notebook");
            let notebook = Notebook::open(&dir).unwrap();
            let face = add_face(&notebook);
            let hole = notebook.add_hole(face, None, None).unwrap();
            let mut acknowledged = 0;
            let error = loop {
                match note(&notebook, hole, 3_000 + 100 * round) {
                    Ok(()) => acknowledged += 1,
                    Err(error) => break error,
                }
            };
            assert!(
                matches!(error, NotebookError::StorageFull { .. }),
                "{error}"
            );
            // Nothing at all is left.
            let filler = disk.join("filler");
            let _ = fs::write(&filler, vec![0; 1 << 20]);
            drop(notebook);
            // It can be read while the disk is full.
            let notebook = Notebook::open(&dir).unwrap();
            assert_eq!(notes(&notebook, hole), acknowledged);
            assert!(note(&notebook, hole, 3_000).is_err());
            drop(notebook);
            fs::remove_file(&filler).unwrap();
            let notebook = Notebook::open(&dir).unwrap();
            assert_eq!(notes(&notebook, hole), acknowledged, "disk {round}");
            assert!(notebook.verify().unwrap().is_ok());
            assert_eq!(notebook.warnings().unwrap(), []);
        }
    });
}

/// A program that writes all the time, with checkpoints, and others that look beside it.
#[test]
fn a_look_beside_a_busy_notebook_is_never_refused() {
    let dir = TempDir::new().unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let face = add_face(&notebook);
    notebook.add_hole(face, None, None).unwrap();
    drop(notebook);
    let mut writer = Command::new(CRASH_TARGET)
        .arg("checkpoint")
        .arg(dir.path())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    for look in 0..300 {
        let looked = Command::new(CRASH_TARGET)
            .arg("look")
            .arg(dir.path())
            .output()
            .unwrap();
        let stderr = String::from_utf8_lossy(&looked.stderr).into_owned();
        assert!(looked.status.success(), "look {look}: {stderr}");
    }
    writer.kill().unwrap();
    writer.wait().unwrap();
    assert!(
        Notebook::open(dir.path())
            .unwrap()
            .verify()
            .unwrap()
            .is_ok()
    );
}

/// The clock of a device whose battery was empty. A small library, built here, sets it back for one
/// program.
#[test]
fn a_clock_before_1970_is_taken_for_1970_with_a_warning() {
    if !have(works("cc", &["--version"]), "a C compiler") {
        return;
    }
    let dir = TempDir::new().unwrap();
    let (source, library) = (dir.path().join("clock.c"), dir.path().join("clock.so"));
    let code = "#define _GNU_SOURCE
        #include <time.h>
        #include <unistd.h>
        #include <sys/syscall.h>
        int clock_gettime(clockid_t which, struct timespec *t) {
            int done = (int)syscall(SYS_clock_gettime, which, t);
            if (which == CLOCK_REALTIME) t->tv_sec = -86400L * 365;
            return done;
        }";
    fs::write(&source, code).unwrap();
    let mut compile = Command::new("cc");
    compile
        .args(["-shared", "-fPIC", "-o"])
        .arg(&library)
        .arg(&source);
    assert!(compile.status().unwrap().success());
    let notebook = dir.path().join("notebook");
    {
        let notebook = Notebook::open(&notebook).unwrap();
        let face = add_face(&notebook);
        notebook.add_hole(face, None, None).unwrap();
    }
    let ran = Command::new(CRASH_TARGET)
        .arg("stop")
        .arg(&notebook)
        .arg("1")
        .env("LD_PRELOAD", &library)
        .output()
        .unwrap();
    let stdout = String::from_utf8_lossy(&ran.stdout).into_owned();
    let stderr = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(
        ran.status.success() && stdout.contains("entry "),
        "{stdout}{stderr}"
    );
    assert!(
        stderr.contains(&Warning::ClockBefore1970.to_string()),
        "{stderr}"
    );
    assert!(Notebook::open(&notebook).unwrap().verify().unwrap().is_ok());
}
