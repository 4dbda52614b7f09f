//! Several processes with one notebook, and processes that are killed.

use holebook_core::notebook::{EntryId, HoleId, Notebook};
use holebook_test_support::notebooks::add_face;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use tempfile::TempDir;

const WRITER: &str = env!("CARGO_BIN_EXE_notebook-writer");

fn notebook_with_hole() -> (TempDir, HoleId) {
    let dir = TempDir::new().unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let face = add_face(&notebook);
    let hole = notebook.add_hole(face, None, None).unwrap();
    (dir, hole)
}

fn writer(dir: &Path, count: u32) -> Command {
    let mut writer = Command::new(WRITER);
    writer
        .arg(dir)
        .arg(count.to_string())
        .stdout(Stdio::piped());
    writer
}

#[test]
fn killed_program_loses_no_acknowledged_entry() {
    let (dir, hole) = notebook_with_hole();
    let mut acknowledged: Vec<EntryId> = Vec::new();
    for kill_after in [1, 5, 12, 25] {
        let mut child = writer(dir.path(), 1_000_000).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut seen = 0;
        while seen < kill_after {
            acknowledged.push(lines.next().unwrap().unwrap().parse().unwrap());
            seen += 1;
        }
        child.kill().unwrap();
        // What it acknowledged just before the signal counts too.
        acknowledged.extend(lines.map(|line| line.unwrap().parse::<EntryId>().unwrap()));
        child.wait().unwrap();

        let notebook = Notebook::open(dir.path()).unwrap();
        let readings = notebook.hole(hole).unwrap().record.readings;
        let there: Vec<EntryId> = readings.iter().map(|reading| reading.entry).collect();
        assert!(acknowledged.iter().all(|entry| there.contains(entry)));
        assert!(
            there.len() <= acknowledged.len() + 4,
            "at most one more per kill"
        );
        assert!(notebook.verify().unwrap().is_ok());
    }
}

#[test]
fn sequence_numbers_have_no_gaps_if_several_programs_write() {
    let (dir, hole) = notebook_with_hole();
    let writers: Vec<_> = (0..3)
        .map(|_| writer(dir.path(), 40).spawn().unwrap())
        .collect();
    for writer in writers {
        let output = writer.wait_with_output().unwrap();
        assert!(output.status.success());
        assert_eq!(output.stdout.split(|byte| *byte == b'\n').count(), 41);
    }
    let notebook = Notebook::open(dir.path()).unwrap();
    let mut seqs: Vec<u64> = notebook
        .history(hole.into(), 1000, None)
        .unwrap()
        .iter()
        .map(|line| line.seq)
        .collect();
    seqs.sort_unstable();
    assert_eq!(seqs, (3..=123).collect::<Vec<u64>>());
    assert_eq!(notebook.heads().unwrap().len(), 1);
    assert!(notebook.verify().unwrap().is_ok());
}

/// Root may write anywhere, so the program runs as nobody.
#[cfg(unix)]
#[test]
fn read_only_folder_is_reported_in_one_sentence() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let (dir, _) = notebook_with_hole();
    let empty = TempDir::new().unwrap();
    let programs = TempDir::new().unwrap();
    let program = programs.path().join("writer");
    // Copied by another process: a program that another test starts meanwhile would inherit the
    // open copy, and a file that is open for writing cannot be run.
    let copied = Command::new("cp")
        .arg(WRITER)
        .arg(&program)
        .status()
        .unwrap();
    assert!(copied.success());
    fs::set_permissions(programs.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let is_root = fs::metadata(programs.path()).unwrap().uid() == 0;
    let read_only = |path: &Path| {
        let mode = if path.is_dir() { 0o555 } else { 0o444 };
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    };
    for entry in fs::read_dir(dir.path()).unwrap() {
        read_only(&entry.unwrap().path());
    }
    for folder in [
        dir.path().to_owned(),
        empty.path().to_owned(),
        empty.path().join("new"),
    ] {
        read_only(
            folder
                .parent()
                .filter(|parent| *parent == empty.path())
                .unwrap_or(&folder),
        );
        let mut command = Command::new(&program);
        command.arg(&folder).arg("1");
        if is_root {
            command.uid(65_534).gid(65_534);
        }
        let output = command.output().unwrap();
        let stderr = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{stderr}");
        assert!(
            stderr.contains("cannot be written; choose another folder"),
            "{stderr}"
        );
        assert_eq!(stderr.lines().count(), 1, "{stderr}");
    }
    for folder in [dir.path(), empty.path()] {
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    }
}
