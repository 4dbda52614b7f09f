//! A folder in which others put links, pipes, devices, and junk: nothing outside it is read or
//! written, and the sync ends.

use super::*;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{depth_of, lines};
use rustix::fs::{CWD, FileType, Mode, mknodat};
use std::os::unix::fs::symlink;
use std::time::{Duration, Instant, SystemTime};

/// A remote with one segment and one photo, the notebook that pushed them, and a file of its owner
/// elsewhere.
struct Sample {
    remote: TempDir,
    first: Bench,
    segment: PathBuf,
    photo: PathBuf,
    outside: TempDir,
}

impl Sample {
    fn new() -> Self {
        let (remote, outside) = (remote(), TempDir::new().unwrap());
        let (first, hole) = bench_with_hole();
        first.notebook.record(hole, depth_of(20.0), &[]).unwrap();
        let face = first.notebook.list().unwrap().castings[0].faces[0].id;
        let source = TempDir::new().unwrap();
        let file = photo_file(&source, 1);
        first.notebook.add_photo(face, &file, None).unwrap();
        sync_cleanly(&first.notebook, remote.path());
        fs::write(outside.path().join("diary"), "mine").unwrap();
        let photos = remote.path().join("photos");
        let photo = fs::read_dir(photos)
            .unwrap()
            .next()
            .unwrap()
            .unwrap()
            .path();
        Self {
            segment: segments(remote.path()).remove(0),
            photo,
            remote,
            first,
            outside,
        }
    }

    fn diary(&self) -> PathBuf {
        self.outside.path().join("diary")
    }

    /// The name of the report that a file is corrupt.
    fn report_of(&self, file: &Path) -> PathBuf {
        let name = file.strip_prefix(self.remote.path()).unwrap();
        let parts: Vec<_> = name.iter().map(|part| part.to_str().unwrap()).collect();
        self.remote.path().join("doubts").join(parts.join("."))
    }

    /// Damages the segment, so that a device that pulls it reports it as corrupt.
    fn damage(&self) {
        let text = fs::read_to_string(&self.segment).unwrap();
        fs::write(&self.segment, text.replacen("pump end", "pump and", 1)).unwrap();
    }

    fn assert_nothing_changed_outside(&self) {
        assert_eq!(fs::read_to_string(self.diary()).unwrap(), "mine");
        assert_eq!(fs::read_dir(self.outside.path()).unwrap().count(), 1);
    }
}

fn make_pipe(path: &Path) {
    mknodat(CWD, path, FileType::Fifo, Mode::from_raw_mode(0o666), 0).unwrap();
}

/// Syncs in time, however the remote behaves.
fn sync_in_time(notebook: &Notebook, remote: &Path) -> SyncReport {
    let since = Instant::now();
    let report = sync_folder(notebook, remote).unwrap();
    assert!(since.elapsed() < Duration::from_secs(20));
    report
}

#[test]
fn a_link_in_place_of_a_report_is_not_followed() {
    let sample = Sample::new();
    sample.damage();
    fs::create_dir_all(sample.remote.path().join("doubts")).unwrap();
    symlink(sample.diary(), sample.report_of(&sample.segment)).unwrap();
    let second = Bench::new();
    sync_in_time(&second.notebook, sample.remote.path());
    sample.assert_nothing_changed_outside();
}

#[test]
fn a_link_in_place_of_a_folder_is_not_followed() {
    for folder in ["doubts", "photos", "journal"] {
        let sample = Sample::new();
        sample.damage();
        let path = sample.remote.path().join(folder);
        let _ = fs::remove_dir_all(&path);
        symlink(sample.outside.path(), &path).unwrap();
        let second = Bench::new();
        let _ = sync_folder(&second.notebook, sample.remote.path());
        let _ = sync_folder(&sample.first.notebook, sample.remote.path());
        sample.assert_nothing_changed_outside();
    }
}

#[test]
fn a_link_in_place_of_a_file_is_reported_and_replaced() {
    let sample = Sample::new();
    for file in [&sample.segment, &sample.photo] {
        let whole = fs::read(file).unwrap();
        fs::remove_file(file).unwrap();
        symlink(sample.diary(), file).unwrap();
        let second = Bench::new();
        let report = sync_in_time(&second.notebook, sample.remote.path());
        assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
        assert!(report.problems[0].to_string().contains("a link"));
        // The device that has the content puts it there.
        sync_cleanly(&sample.first.notebook, sample.remote.path());
        assert_eq!(fs::read(file).unwrap(), whole);
        assert!(!fs::symlink_metadata(file).unwrap().is_symlink());
        sample.assert_nothing_changed_outside();
    }
}

#[test]
fn a_device_folder_that_is_a_link_is_reported() {
    let sample = Sample::new();
    let device = sample.segment.parent().unwrap();
    let elsewhere = sample.outside.path().join("journal");
    fs::rename(device, &elsewhere).unwrap();
    symlink(&elsewhere, device).unwrap();
    let second = Bench::new();
    let report = sync_in_time(&second.notebook, sample.remote.path());
    assert_eq!((report.entries_pulled, report.problems.len()), (0, 1));
}

#[test]
fn a_pipe_or_device_does_not_hold_a_sync() {
    let sample = Sample::new();
    for file in [&sample.segment, &sample.photo] {
        let whole = fs::read(file).unwrap();
        fs::remove_file(file).unwrap();
        make_pipe(file);
        let second = Bench::new();
        let report = sync_in_time(&second.notebook, sample.remote.path());
        assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
        sync_in_time(&sample.first.notebook, sample.remote.path());
        assert_eq!(fs::read(file).unwrap(), whole);
    }
    // A report that is a pipe still is a report.
    sample.damage();
    fs::create_dir_all(sample.remote.path().join("doubts")).unwrap();
    make_pipe(&sample.report_of(&sample.segment));
    sync_in_time(&Bench::new().notebook, sample.remote.path());
    sync_in_time(&sample.first.notebook, sample.remote.path());
    // A device that never ends.
    fs::remove_file(&sample.photo).unwrap();
    symlink("/dev/zero", &sample.photo).unwrap();
    let report = sync_in_time(&Bench::new().notebook, sample.remote.path());
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
}

#[test]
fn one_unusable_file_does_not_end_a_sync() {
    let sample = Sample::new();
    let hole = sample.first.notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    let record = |depth| {
        let notebook = &sample.first.notebook;
        notebook.record(hole, depth_of(depth), &[]).unwrap();
        sync_cleanly(notebook, sample.remote.path());
    };
    record(21.0);
    record(22.0);
    // A folder cannot be read, or replaced by a file, whoever runs the test.
    let last = segments(sample.remote.path()).pop().unwrap();
    fs::remove_file(&last).unwrap();
    fs::create_dir_all(last.join("full")).unwrap();
    let second = Bench::new();
    let report = sync_in_time(&second.notebook, sample.remote.path());
    assert_eq!(report.entries_pulled, 6);
    assert_eq!(report.photos_pulled, 1);
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
    // The device that wrote it cannot put it there, but everything else.
    let report = sync_in_time(&sample.first.notebook, sample.remote.path());
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
    fs::remove_dir_all(&last).unwrap();
    sync_cleanly(&sample.first.notebook, sample.remote.path());
    assert_eq!(
        sync_cleanly(&second.notebook, sample.remote.path()).entries_pulled,
        1
    );
}

#[test]
fn an_entry_that_could_not_be_pushed_is_not_counted_as_synced() {
    let (known, other) = (remote(), remote());
    let (first, _) = bench_with_hole();
    let copy = copy_of(&first);
    sync_cleanly(&first.notebook, known.path());
    let file = segments(known.path()).remove(0);
    let blocked = other.path().join(file.strip_prefix(known.path()).unwrap());
    fs::create_dir_all(blocked.join("full")).unwrap();
    let again = Notebook::open(copy.path()).unwrap();
    let report = sync_folder(&again, other.path()).unwrap();
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
    assert_eq!(again.entries_not_synced().unwrap(), 3);
}

#[test]
fn what_interrupted_syncs_left_is_cleared_once_it_is_old() {
    let sample = Sample::new();
    let device = sample.segment.parent().unwrap();
    let photos = sample.photo.parent().unwrap();
    let days = |days: u64| SystemTime::now() - Duration::from_secs(days * 24 * 60 * 60);
    let mut left = Vec::new();
    for folder in [device, photos] {
        for (name, age) in [("old", 30), ("new", 1)] {
            let path = folder.join(format!(".unfinished-{name}"));
            let file = fs::File::create(&path).unwrap();
            file.set_modified(days(age)).unwrap();
            left.push((path, age == 1));
        }
    }
    sync_cleanly(&sample.first.notebook, sample.remote.path());
    for (path, stays) in left {
        assert_eq!(path.exists(), stays, "{}", path.display());
    }
    assert!(sample.segment.exists() && sample.photo.exists());
}

#[test]
fn thousands_of_junk_files_are_each_named_once() {
    let sample = Sample::new();
    let name = sample.segment.file_name().unwrap().to_str().unwrap();
    let (_, end) = name.rsplit_once('-').unwrap();
    for at in 0..3000 {
        let junk = sample
            .segment
            .with_file_name(format!("{:012}-{:012}-{end}", at + 10, at + 10));
        fs::write(junk, "junk\n".repeat(3)).unwrap();
    }
    let second = Bench::new();
    let report = sync_in_time(&second.notebook, sample.remote.path());
    assert_eq!(report.problems.len(), 3000);
    assert_eq!(lines(&second.notebook).len(), 5);
}
