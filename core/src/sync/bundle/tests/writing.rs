//! Writing a bundle: complete or not at all, never over another file, always the same bytes, and
//! not synced by itself.

use super::*;
use crate::notebook::tests::derived_tables;
use crate::sync::bundle::{BundleError, WrittenBundle, import, write_replacing};
use crate::sync::{Progress, SyncError, SyncReport};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::time::Duration;

fn import_cleanly(notebook: &Notebook, path: &std::path::Path) -> SyncReport {
    let report = import(notebook, path, &ignore_progress).unwrap();
    assert_eq!(report.problems, []);
    report
}

/// The names in the bench's folder, except those of the photos that were added.
fn names(shop: &BundleBench) -> Vec<String> {
    let names = fs::read_dir(shop.dir.path()).unwrap();
    let names = names.map(|file| file.unwrap().file_name().into_string().unwrap());
    names.filter(|name| !name.ends_with(".jpg")).collect()
}

#[test]
fn bundle_holds_everything_and_imports_once() {
    let (shop, other) = (BundleBench::new(), Bench::new());
    let path = shop.path("all.zip");
    let written = write(shop.notebook(), &path, BundleContent::All, &ignore_progress).unwrap();
    assert_eq!((written.entries, written.photos), (4, 1));
    assert_eq!(written.bytes, fs::metadata(&path).unwrap().len());
    assert_eq!(written.photos_missing, []);
    let report = import_cleanly(&other.notebook, &path);
    assert_eq!((report.entries_pulled, report.photos_pulled), (4, 1));
    assert_eq!(
        derived_tables(&other.notebook),
        derived_tables(shop.notebook())
    );
    assert!(other.notebook.verify().unwrap().is_ok());
    assert_eq!(
        import_cleanly(&other.notebook, &path),
        SyncReport::default()
    );
    assert_eq!(
        other.notebook.remotes().unwrap(),
        [],
        "a bundle is no remote to come back to"
    );
}

#[test]
fn equal_content_gives_equal_bytes_on_any_device_at_any_time() {
    let (shop, other) = (BundleBench::new(), Bench::new());
    let (first, second) = (shop.path("1.zip"), shop.path("2.zip"));
    write(
        shop.notebook(),
        &first,
        BundleContent::All,
        &ignore_progress,
    )
    .unwrap();
    import_cleanly(&other.notebook, &first);
    let (face, _) = lay_out(&other.notebook, 2);
    add_photo(&other.notebook, face, &shop.dir, 8);
    let theirs = shop.path("theirs.zip");
    write(
        &other.notebook,
        &theirs,
        BundleContent::All,
        &ignore_progress,
    )
    .unwrap();
    import_cleanly(shop.notebook(), &theirs);
    std::thread::sleep(Duration::from_millis(2100)); // The times of a zip file are even seconds.
    write(
        shop.notebook(),
        &second,
        BundleContent::All,
        &ignore_progress,
    )
    .unwrap();
    assert_eq!(fs::read(second).unwrap(), fs::read(theirs).unwrap());
}

#[test]
fn existing_file_is_kept_unless_replacing_is_allowed() {
    let shop = BundleBench::new();
    let path = shop.path("all.zip");
    fs::write(&path, "another file").unwrap();
    let rejected = write(shop.notebook(), &path, BundleContent::All, &ignore_progress).unwrap_err();
    assert!(
        matches!(rejected, SyncError::Bundle(BundleError::Exists { .. })),
        "{rejected}"
    );
    assert_eq!(fs::read(&path).unwrap(), b"another file");
    assert_eq!(names(&shop), ["all.zip"]);
    write_replacing(shop.notebook(), &path, BundleContent::All, &ignore_progress).unwrap();
    assert_eq!(
        import_cleanly(&Bench::new().notebook, &path).entries_pulled,
        4
    );
    let appears = |_: Progress| {
        let _ = fs::write(shop.path("late.zip"), "another file");
        ControlFlow::Continue(())
    };
    let rejected = write(
        shop.notebook(),
        &shop.path("late.zip"),
        BundleContent::All,
        &appears,
    )
    .unwrap_err();
    assert!(
        matches!(rejected, SyncError::Bundle(BundleError::Exists { .. })),
        "{rejected}"
    );
    assert_eq!(fs::read(shop.path("late.zip")).unwrap(), b"another file");
    for nowhere in [shop.path("no/folder/all.zip"), shop.dir.path().to_owned()] {
        let rejected = write_replacing(
            shop.notebook(),
            &nowhere,
            BundleContent::All,
            &ignore_progress,
        )
        .unwrap_err();
        let said = rejected.to_string();
        assert!(
            said.contains("cannot write ") && said.contains("check that its folder"),
            "{said}"
        );
    }
}

#[test]
fn progress_is_reported_and_canceling_leaves_nothing() {
    let shop = BundleBench::new();
    let seen = Mutex::new(Vec::new());
    let on_progress = |progress: Progress| {
        seen.lock().unwrap().push(progress);
        ControlFlow::Continue(())
    };
    let path = shop.path("all.zip");
    write(shop.notebook(), &path, BundleContent::All, &on_progress).unwrap();
    let seen = seen.into_inner().unwrap();
    let last = seen.last().unwrap();
    assert_eq!((last.entries, last.entries_total), (4, 4));
    assert!(last.photo_bytes == last.photo_bytes_total && last.photo_bytes > 0);
    for max_calls in 0..seen.len() {
        let left = Mutex::new(max_calls);
        let on_progress = |_: Progress| {
            let mut left = left.lock().unwrap();
            let go_on = left.checked_sub(1);
            *left = go_on.unwrap_or(0);
            go_on.map_or(ControlFlow::Break(()), |_| ControlFlow::Continue(()))
        };
        let ended = write_replacing(shop.notebook(), &path, BundleContent::All, &on_progress);
        assert!(matches!(ended, Err(SyncError::Canceled)), "{max_calls}");
        assert_eq!(names(&shop), ["all.zip"]);
    }
}

#[test]
fn only_unsynced_entries_are_written_and_count_as_synced_when_a_person_says_so() {
    let (shop, other) = (BundleBench::new(), Bench::new());
    import_cleanly(&other.notebook, &{
        let path = shop.path("first.zip");
        let first = write(
            shop.notebook(),
            &path,
            BundleContent::NotSynced,
            &ignore_progress,
        )
        .unwrap();
        assert_eq!((first.entries, first.photos), (4, 1));
        assert_eq!(shop.notebook().entries_not_synced().unwrap(), 4);
        // Stored as text until the person confirms; what is recorded meanwhile is not synced.
        let kept = serde_json::to_string(&first).unwrap();
        shop.record_depth(30.0);
        let kept: WrittenBundle = serde_json::from_str(&kept).unwrap();
        kept.mark_synced(shop.notebook()).unwrap();
        assert_eq!(shop.notebook().entries_not_synced().unwrap(), 1);
        path
    });
    add_photo(shop.notebook(), shop.face, &shop.dir, 9);
    let path = shop.path("second.zip");
    let second = write(
        shop.notebook(),
        &path,
        BundleContent::NotSynced,
        &ignore_progress,
    )
    .unwrap();
    assert_eq!((second.entries, second.photos), (2, 1));
    // A notebook that lacks the earlier entries imports nothing, and reports that.
    let unrelated = Bench::new();
    let report = import(&unrelated.notebook, &path, &ignore_progress).unwrap();
    assert_eq!((report.entries_pulled, report.problems.len()), (0, 1));
    assert_eq!(import_cleanly(&other.notebook, &path).entries_pulled, 2);
    assert_eq!(
        derived_tables(&other.notebook),
        derived_tables(shop.notebook())
    );
    // Entries of other devices are not this device's to send.
    let nothing = write(
        &other.notebook,
        &shop.path("none.zip"),
        BundleContent::NotSynced,
        &ignore_progress,
    );
    let nothing = nothing.unwrap_err();
    assert!(
        nothing.to_string().contains("is synced already"),
        "{nothing}"
    );
    assert!(!shop.path("none.zip").exists());
    let empty = write(
        &Bench::new().notebook,
        &shop.path("none.zip"),
        BundleContent::All,
        &ignore_progress,
    );
    assert!(
        empty
            .unwrap_err()
            .to_string()
            .contains("the notebook is empty")
    );
}

#[test]
fn missing_photo_is_reported_and_the_rest_is_written() {
    let shop = BundleBench::new();
    fs::remove_file(shop.notebook().photos().original(&shop.photo)).unwrap();
    let path = shop.path("all.zip");
    let written = write(shop.notebook(), &path, BundleContent::All, &ignore_progress).unwrap();
    assert_eq!((written.entries, written.photos), (4, 0));
    assert_eq!(written.photos_missing, [shop.photo]);
    let report = import_cleanly(&Bench::new().notebook, &path);
    assert_eq!(
        (report.entries_pulled, report.photos_missing),
        (4, vec![shop.photo])
    );
}

#[test]
fn long_journal_is_written_in_chunks() {
    let shop = BundleBench::new();
    let note = |at: usize| {
        crate::notebook::HoleEntry::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    let notes: Vec<_> = (0..600).map(note).collect();
    shop.notebook().record_all(shop.hole, &notes).unwrap();
    let path = shop.path("all.zip");
    let written = write(shop.notebook(), &path, BundleContent::All, &ignore_progress).unwrap();
    assert!(
        written.entries == 604 && written.bytes < 1 << 20,
        "{written:?}"
    );
    let bundle = crate::sync::Bundle::open(&path).unwrap();
    let listing = crate::sync::Remote::list(&bundle, None).unwrap().unwrap();
    assert!(listing.segments.len() > 2);
    let other = Bench::new();
    assert_eq!(import_cleanly(&other.notebook, &path).entries_pulled, 604);
    assert_eq!(
        derived_tables(&other.notebook),
        derived_tables(shop.notebook())
    );
}
