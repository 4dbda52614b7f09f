//! A damaged remote: nothing partial is ever imported, and what is lost is pushed again.

use super::*;
use crate::notebook::tests::{depth_of, lines};
use crate::notebook::{DeviceId, EntryId, Line};
use crate::sync::Segment;

/// A remote with one segment of four lines, and the notebook that pushed it.
fn remote_with_one_segment() -> (TempDir, Bench, PathBuf) {
    let remote = remote();
    let (first, hole) = bench_with_hole();
    first.notebook.record(hole, depth_of(20.0), &[]).unwrap();
    sync_cleanly(&first.notebook, remote.path());
    let file = segments(remote.path()).remove(0);
    (remote, first, file)
}

/// Pulls from the remote; nothing may arrive, and one sentence must say why.
fn assert_rejected(remote: &Path) -> String {
    let second = Bench::new();
    let report = sync_folder(&second.notebook, remote).unwrap();
    assert_eq!(report.entries_pulled, 0);
    assert_eq!(lines(&second.notebook), []);
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
    report.problems[0].to_string()
}

#[test]
fn segment_truncated_anywhere_is_rejected() {
    let (remote, _, file) = remote_with_one_segment();
    let whole = fs::read(&file).unwrap();
    for keep in [0, 1, 100, whole.len() / 2, whole.len() - 1] {
        fs::write(&file, &whole[..keep]).unwrap();
        assert_rejected(remote.path());
    }
}

#[test]
fn temporary_files_are_ignored() {
    let (remote, _, file) = remote_with_one_segment();
    let temp_file = file.with_file_name(".unfinished-a1b2c3");
    fs::rename(&file, &temp_file).unwrap();
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        0
    );
    fs::rename(&temp_file, file.with_extension("jsonl.tmp")).unwrap();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        0
    );
}

#[test]
fn changed_byte_breaks_the_hash_chain() {
    let (remote, _, file) = remote_with_one_segment();
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("pump end", "pump and", 1)).unwrap();
    assert!(assert_rejected(remote.path()).contains("line 2 does not follow"));
}

#[test]
fn missing_or_duplicate_line_is_rejected() {
    let (remote, _, file) = remote_with_one_segment();
    let text = fs::read_to_string(&file).unwrap();
    let written: Vec<_> = text.lines().collect();
    for kept in [vec![0, 2, 3], vec![0, 0, 1], vec![1, 2, 3], vec![1, 0, 2]] {
        let kept: String = kept
            .into_iter()
            .map(|at| format!("{}\n", written[at]))
            .collect();
        fs::write(&file, kept).unwrap();
        assert_rejected(remote.path());
    }
}

#[test]
fn skipped_sequence_number_is_rejected_even_with_a_valid_hash() {
    let (remote, first, file) = remote_with_one_segment();
    let written = lines(&first.notebook);
    let mut entry = written[1].entry().clone();
    entry.seq = 3;
    let skips = Line::write(&entry).unwrap();
    fs::remove_file(&file).unwrap();
    let segment = Segment {
        device: entry.device,
        first: 1,
        last: 3,
        last_hash: skips.hash().into(),
    };
    let text = format!("{}\n{}\n", written[0].text(), skips.text());
    fs::write(remote.path().join(segment.to_string()), text).unwrap();
    assert!(assert_rejected(remote.path()).contains("line 2 does not follow"));
}

#[test]
fn lines_under_another_device_id_are_rejected() {
    let (remote, _, file) = remote_with_one_segment();
    let other = remote
        .path()
        .join("journal")
        .join(DeviceId::fresh().to_string());
    fs::rename(file.parent().unwrap(), other).unwrap();
    assert!(assert_rejected(remote.path()).contains("another device"));
}

#[test]
fn line_with_a_duplicate_entry_id_is_rejected() {
    let (remote, first, _) = remote_with_one_segment();
    let written = lines(&first.notebook);
    let device = DeviceId::fresh();
    let forged = crate::notebook::Entry {
        device,
        seq: 1,
        prev: None,
        ..written[3].entry().clone()
    };
    let line = Line::write(&forged).unwrap();
    let segment = Segment {
        device,
        first: 1,
        last: 1,
        last_hash: line.hash().into(),
    };
    let file = remote.path().join(segment.to_string());
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, format!("{}\n", line.text())).unwrap();
    let report = sync_folder(&first.notebook, remote.path()).unwrap();
    assert_eq!(report.problems.len(), 1);
    assert_eq!(lines(&first.notebook), written);
}

#[test]
fn lines_after_a_gap_wait_until_the_gap_is_filled() {
    let (remote, first, file) = remote_with_one_segment();
    let hole = first.notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    first.notebook.record(hole, depth_of(21.0), &[]).unwrap();
    sync_cleanly(&first.notebook, remote.path());
    let kept = fs::read(&file).unwrap();
    fs::remove_file(&file).unwrap();
    assert!(assert_rejected(remote.path()).contains("not here"));
    // The device that wrote it finds that the remote lacks it.
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).entries_pushed,
        4
    );
    assert_eq!(fs::read(&file).unwrap(), kept);
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        5
    );
}

#[test]
fn truncated_segment_is_pushed_again() {
    let (remote, first, file) = remote_with_one_segment();
    let whole = fs::read(&file).unwrap();
    fs::write(&file, &whole[..whole.len() - 9]).unwrap();
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).entries_pushed,
        4
    );
    assert_eq!(fs::read(&file).unwrap(), whole);
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        4
    );
}

#[test]
fn corrupt_segment_is_pushed_again_once_reported() {
    let (remote, first, file) = remote_with_one_segment();
    let whole = fs::read_to_string(&file).unwrap();
    fs::write(&file, whole.replacen("pump end", "pump and", 1)).unwrap();
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );
    assert_rejected(remote.path());
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).entries_pushed,
        4
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), whole);
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).entries_pulled,
        4
    );
}

#[test]
fn sync_continues_if_a_corrupt_report_is_invalid_or_cannot_be_stored() {
    let (remote, first, file) = remote_with_one_segment();
    let reports = remote.path().join("doubts");
    fs::create_dir_all(reports.join("photos.x/y")).unwrap();
    for name in ["", "journal.a.b.c.d", "photos...", &"x".repeat(200)] {
        fs::write(reports.join(format!("{name}~")), "").unwrap();
    }
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );
    fs::remove_dir_all(&reports).unwrap();
    fs::write(&reports, "no folder").unwrap();
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("pump end", "pump and", 1)).unwrap();
    assert_rejected(remote.path());
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );
}

#[test]
fn unrelated_files_on_a_remote_are_ignored() {
    let (remote, first, _) = remote_with_one_segment();
    fs::write(remote.path().join("journal/readme.txt"), "hello").unwrap();
    fs::create_dir_all(remote.path().join("journal/not-a-device")).unwrap();
    fs::create_dir_all(remote.path().join("photos")).unwrap();
    fs::write(remote.path().join("photos/../photos/x.jpg"), "hello").unwrap();
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );
    assert!(first.notebook.entry(EntryId::fresh()).is_err());
}

#[test]
fn claimed_sequence_numbers_do_not_overflow() {
    let (first, _) = bench_with_hole();
    let remote = remote();
    sync_cleanly(&first.notebook, remote.path());
    let lines = segments(remote.path()).remove(0);
    let name = lines.file_name().unwrap().to_str().unwrap();
    let (_, end) = name.rsplit_once('-').unwrap();
    for _ in 0..3 {
        let folder = remote.path().join(format!("journal/{}", DeviceId::fresh()));
        fs::create_dir(&folder).unwrap();
        let boast = folder.join(format!("{:012}-{}-{end}", 1, i64::MAX));
        fs::copy(&lines, boast).unwrap();
    }
    let second = Bench::new();
    let report = sync_folder(&second.notebook, remote.path()).unwrap();
    assert_eq!(report.problems.len(), 3);
    assert!(report.entries_pulled > 0);
}
