//! Two notebooks sync over a remote and end equal.

use super::*;
use crate::notebook::tests::{depth_of, derived_tables, lines, wanted};
use crate::notebook::{HoleEntry, Line, Settings};
use crate::sync::{MissingFolder, SyncError, ignore_progress, sync_folder_with};

#[test]
fn entries_reach_the_other_notebook_and_come_back() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    first.notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let pushed = sync_cleanly(&first.notebook, remote.path());
    assert_eq!((pushed.entries_pushed, pushed.entries_pulled), (4, 0));
    let second = Bench::new();
    let pulled = sync_cleanly(&second.notebook, remote.path());
    assert_eq!((pulled.entries_pushed, pulled.entries_pulled), (0, 4));
    second.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    sync_cleanly(&second.notebook, remote.path());
    sync_cleanly(&first.notebook, remote.path());
    assert_eq!(
        first.notebook.hole(hole).unwrap(),
        second.notebook.hole(hole).unwrap()
    );
    assert_eq!(
        derived_tables(&first.notebook),
        derived_tables(&second.notebook)
    );
    assert!(second.notebook.verify().unwrap().is_ok());
}

#[test]
fn entries_not_synced_are_counted_until_they_are_pushed() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    let not_synced = |bench: &Bench| bench.notebook.entries_not_synced().unwrap();
    assert_eq!(not_synced(&first), 3);
    sync_cleanly(&first.notebook, remote.path());
    assert_eq!(not_synced(&first), 0);
    let second = joined(&first.notebook, remote.path());
    assert_eq!(
        not_synced(&second),
        0,
        "what others wrote is theirs to bring"
    );
    first.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    assert_eq!(not_synced(&first), 1);
    sync_cleanly(&first.notebook, &remote.path().join("second-remote"));
    first.notebook.rebuild().unwrap();
    assert_eq!(not_synced(&first), 0, "any remote will do");
}

#[test]
fn folder_remote_has_the_documented_layout() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    sync_cleanly(&first.notebook, remote.path());
    first.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    sync_cleanly(&first.notebook, remote.path());
    let device = first.notebook.device().unwrap();
    let names: Vec<_> = files(remote.path())
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    let written = lines(&first.notebook);
    let name = |first: u64, last: u64| {
        let end = &written[last as usize - 1].hash().to_string()[..16];
        PathBuf::from(format!(
            "journal/{device}/{first:012}-{last:012}-{end}.jsonl"
        ))
    };
    let expected = [name(1, 3), name(4, 4)];
    assert_eq!(names, expected);
    let text = fs::read_to_string(remote.path().join(&names[0])).unwrap();
    let pushed: Vec<_> = text
        .lines()
        .map(|line| Line::read(line.to_owned()).unwrap())
        .collect();
    assert_eq!(pushed, written[..3]);
}

#[test]
fn second_sync_without_changes_transfers_nothing() {
    let remote = remote();
    let (first, _) = bench_with_hole();
    let second = joined(&first.notebook, remote.path());
    let before = files(remote.path());
    for notebook in [&first.notebook, &second.notebook] {
        assert_eq!(sync_cleanly(notebook, remote.path()), SyncReport::default());
    }
    assert_eq!(files(remote.path()), before);
}

#[test]
fn concurrent_answers_conflict_until_a_person_resolves_them() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    let asked = first.notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let second = joined(&first.notebook, remote.path());
    first
        .notebook
        .record(hole, wanted("M10"), &[asked])
        .unwrap();
    second
        .notebook
        .record(hole, wanted("1/2-13"), &[asked])
        .unwrap();
    for notebook in [&first.notebook, &second.notebook, &first.notebook] {
        sync_cleanly(notebook, remote.path());
    }
    for notebook in [&first.notebook, &second.notebook] {
        let view = notebook.hole(hole).unwrap();
        assert_eq!(view.record.wanted.0.len(), 2);
        assert!(view.conflict);
    }
    second.notebook.resolve(hole, wanted("M10")).unwrap();
    sync_cleanly(&second.notebook, remote.path());
    sync_cleanly(&first.notebook, remote.path());
    assert!(!first.notebook.hole(hole).unwrap().conflict);
    assert_eq!(
        derived_tables(&first.notebook),
        derived_tables(&second.notebook)
    );
}

#[test]
fn many_entries_are_pushed_as_several_segments() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    let note = |at: usize| {
        HoleEntry::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    for part in 0..3 {
        let notes: Vec<_> = (0..200).map(|at| note(part * 200 + at)).collect();
        first.notebook.record_all(hole, &notes).unwrap();
    }
    sync_cleanly(&first.notebook, remote.path());
    assert_eq!(segments(remote.path()).len(), 3);
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        603
    );
    assert_eq!(
        derived_tables(&first.notebook),
        derived_tables(&second.notebook)
    );
}

#[test]
fn device_name_reaches_the_other_notebook() {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    let settings = Settings {
        device_name: "phone".into(),
        ..first.notebook.settings().unwrap()
    };
    first.notebook.set_settings(&settings).unwrap();
    let entry = first.notebook.record(hole, depth_of(2.0), &[]).unwrap();
    let second = joined(&first.notebook, remote.path());
    assert_eq!(
        second.notebook.entry(entry).unwrap().device_name.as_deref(),
        Some("phone")
    );
}

#[test]
fn folder_remote_is_created_only_if_its_parent_exists() {
    let parent = remote();
    let (first, _) = bench_with_hole();
    assert!(sync_cleanly(&first.notebook, &parent.path().join("new")).created_remote);
    let rejected = sync_folder(&first.notebook, &parent.path().join("stick/folder"))
        .unwrap_err()
        .to_string();
    assert!(rejected.contains("not found; plug"), "{rejected}");
    let file = parent.path().join("file");
    fs::write(&file, "x").unwrap();
    assert!(sync_folder(&first.notebook, &file).is_err());
}

#[test]
fn a_missing_folder_is_created_only_if_asked() {
    let (first, _) = bench_with_hole();
    let parent = TempDir::new().unwrap();
    let folder = parent.path().join("stick");
    let sync = |missing| sync_folder_with(&first.notebook, &folder, missing, &ignore_progress);
    let asked = sync(MissingFolder::Ask);
    assert!(matches!(asked, Err(SyncError::RemoteMissing { .. })));
    let failed = sync(MissingFolder::Fail);
    assert!(matches!(failed, Err(SyncError::RemoteNotFound { .. })));
    assert!(!folder.exists());
    assert!(sync(MissingFolder::Create).unwrap().created_remote);
    assert!(!sync(MissingFolder::Ask).unwrap().created_remote);
}

#[test]
fn a_device_is_reported_when_its_first_entries_arrive() {
    let (here, there) = (remote(), remote());
    let (first, hole) = bench_with_hole();
    let second = Bench::new();
    let device = first.notebook.heads().unwrap()[0].device;
    let devices = |report: SyncReport| report.new_devices;
    assert_eq!(devices(sync_cleanly(&first.notebook, here.path())), []);
    assert_eq!(
        devices(sync_cleanly(&second.notebook, here.path())),
        [device]
    );
    let from = format!("the folder {}", here.path().display());
    let arrivals = || second.notebook.arrivals().unwrap();
    assert_eq!(arrivals().len(), 1);
    assert_eq!(
        (arrivals()[0].device, arrivals()[0].from.clone()),
        (device, from.clone())
    );
    // Later entries, and the same from elsewhere, are not news.
    first.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    sync_cleanly(&first.notebook, there.path());
    assert_eq!(devices(sync_cleanly(&second.notebook, there.path())), []);
    assert_eq!(arrivals()[0].from, from);
    assert_eq!(
        first.notebook.arrivals().unwrap(),
        [],
        "its own are not news"
    );
}
