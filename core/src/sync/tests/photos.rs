//! Photos are synced with the entries that name them.

use super::*;
use crate::notebook::tests::photos::photo_file;
use crate::photo::{LARGEST_FILE_BYTES, PhotoError, PhotoHash};
use crate::sync::{NotebookRemote, Progress, SyncPhase, ignore_progress, sync_with};
use std::io::{self, Read as _};
use std::ops::ControlFlow;

#[test]
fn photo_reaches_the_other_notebook_before_its_entry() {
    let (remote, source) = (remote(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let (photo, incoming) = first
        .notebook
        .add_photo(face, &photo_file(&source, 9), None)
        .unwrap();
    let report = sync_cleanly(&first.notebook, remote.path());
    assert_eq!(report.photos_pushed, 1);
    assert!(
        remote
            .path()
            .join("photos")
            .join(incoming.hash.to_string())
            .is_file()
    );
    let second = Bench::new();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).photos_pulled,
        1
    );
    assert_eq!(
        second.notebook.photo(photo).unwrap(),
        first.notebook.photo(photo).unwrap()
    );
    assert!(second.notebook.verify().unwrap().is_ok());
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()),
        SyncReport::default()
    );
}

#[test]
fn damaged_photo_does_not_block_entries_and_is_retried() {
    let (remote, source) = (remote(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let (_, incoming) = first
        .notebook
        .add_photo(face, &photo_file(&source, 9), None)
        .unwrap();
    sync_cleanly(&first.notebook, remote.path());
    let on_remote = remote.path().join("photos").join(incoming.hash.to_string());
    fs::write(&on_remote, "cut short").unwrap();

    let second = Bench::new();
    let report = sync_folder(&second.notebook, remote.path()).unwrap();
    assert_eq!((report.entries_pulled, report.photos_pulled), (4, 0));
    assert_eq!(report.photos_missing, [incoming.hash]);
    assert_eq!(report.problems.len(), 1);
    // The device that has it sees that the remote's copy is truncated.
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).photos_pushed,
        1
    );
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).photos_pulled,
        1
    );
    assert!(second.notebook.verify().unwrap().is_ok());

    // A missing photo is reported each time until it arrives.
    fs::remove_file(second.notebook.photos().original(&incoming.hash)).unwrap();
    fs::remove_file(&on_remote).unwrap();
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).photos_missing,
        [incoming.hash]
    );
    sync_cleanly(&first.notebook, remote.path());
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).photos_pulled,
        1
    );
}

#[test]
fn corrupt_photo_of_the_right_size_is_pushed_again() {
    let (remote, source) = (remote(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let photo = photo_file(&source, 9);
    let (_, incoming) = first.notebook.add_photo(face, &photo, None).unwrap();
    sync_cleanly(&first.notebook, remote.path());
    let on_remote = remote.path().join("photos").join(incoming.hash.to_string());
    let whole = fs::read(&on_remote).unwrap();
    // What a stick contains that was pulled out too early.
    fs::write(&on_remote, vec![0; whole.len()]).unwrap();
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()),
        SyncReport::default()
    );

    let second = Bench::new();
    let report = sync_folder(&second.notebook, remote.path()).unwrap();
    assert_eq!(report.photos_missing, [incoming.hash]);
    assert_eq!(report.problems.len(), 1);
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).photos_pushed,
        1
    );
    assert_eq!(fs::read(&on_remote).unwrap(), whole);
    assert_eq!(
        sync_cleanly(&second.notebook, remote.path()).photos_pulled,
        1
    );
    for bench in [&first, &second] {
        assert_eq!(
            sync_cleanly(&bench.notebook, remote.path()),
            SyncReport::default()
        );
        assert!(bench.notebook.verify().unwrap().is_ok());
    }
}

/// A notebook with one photo, and the photo's path.
fn bench_with_photo() -> (Bench, PathBuf) {
    let source = TempDir::new().unwrap();
    let bench = Bench::new();
    let (face, _) = lay_out(&bench.notebook, 1);
    let photo = photo_file(&source, 9);
    let (_, incoming) = bench.notebook.add_photo(face, &photo, None).unwrap();
    let path = bench.notebook.photos().original(&incoming.hash);
    (bench, path)
}

#[test]
fn damaged_local_photo_does_not_replace_a_good_one_on_the_remote() {
    let remote = remote();
    let (first, path) = bench_with_photo();
    let second = joined(&first.notebook, remote.path());
    let whole = fs::read(&path).unwrap();
    let on_remote = remote.path().join("photos").join(path.file_name().unwrap());
    fs::write(&path, &whole[..whole.len() / 2]).unwrap();
    let report = sync_folder(&first.notebook, remote.path()).unwrap();
    assert_eq!((report.photos_pushed, report.problems.len()), (0, 1));
    assert!(
        report.problems[0]
            .reason
            .contains("is damaged and must not replace")
    );
    assert_eq!(fs::read(&on_remote).unwrap(), whole);
    // Once it was moved aside, the remote's copy is pulled.
    first.notebook.repair().unwrap();
    assert_eq!(
        sync_cleanly(&first.notebook, remote.path()).photos_pulled,
        1
    );
    assert_eq!(fs::read(&path).unwrap(), whole);
    assert!(second.notebook.verify().unwrap().is_ok());
}

#[test]
fn lost_photo_is_pulled_again_without_new_entries() {
    let (host, _) = bench_with_photo();
    let guest = Bench::new();
    let sync_with_notebook = || {
        sync_with(
            &guest.notebook,
            &NotebookRemote(&host.notebook),
            &ignore_progress,
        )
    };
    assert_eq!(sync_with_notebook().unwrap().photos_pulled, 1);
    assert_eq!(sync_with_notebook().unwrap(), SyncReport::default());
    let photo = guest.notebook.photos().hashes().unwrap()[0];
    fs::remove_file(guest.notebook.photos().original(&photo)).unwrap();
    assert_eq!(sync_with_notebook().unwrap().photos_pulled, 1);
}

#[test]
fn sync_after_a_problem_lists_everything_again() {
    let (host, path) = bench_with_photo();
    let guest = Bench::new();
    let sync_with_notebook = || {
        sync_with(
            &guest.notebook,
            &NotebookRemote(&host.notebook),
            &ignore_progress,
        )
    };
    let whole = fs::read(&path).unwrap();
    let mut damaged = whole.clone();
    damaged[whole.len() / 2] ^= 1;
    fs::write(&path, damaged).unwrap();
    assert_eq!(sync_with_notebook().unwrap().problems.len(), 1);
    // The remote's listing is the same as before.
    fs::write(&path, whole).unwrap();
    assert_eq!(sync_with_notebook().unwrap().photos_pulled, 1);
}

#[test]
fn pushed_photo_replaces_a_truncated_one() {
    let (guest, path) = bench_with_photo();
    let host = Bench::new();
    let sync_with_notebook = || {
        sync_with(
            &guest.notebook,
            &NotebookRemote(&host.notebook),
            &ignore_progress,
        )
    };
    assert_eq!(sync_with_notebook().unwrap().photos_pushed, 1);
    let photo = host.notebook.photos().hashes().unwrap()[0];
    let there = host.notebook.photos().original(&photo);
    fs::write(&there, "cut short").unwrap();
    assert_eq!(sync_with_notebook().unwrap().photos_pushed, 1);
    assert_eq!(fs::read(there).unwrap(), fs::read(path).unwrap());
}

#[test]
fn photos_are_pushed_before_lines() {
    let (guest, _) = bench_with_photo();
    let host = Bench::new();
    let photo = guest.notebook.photos().hashes().unwrap()[0];
    let on_progress = |progress: Progress| {
        if progress.phase == SyncPhase::Pushing && progress.entries > 0 {
            assert!(host.notebook.photos().contains(&photo));
        }
        ControlFlow::Continue(())
    };
    let remote = NotebookRemote(&host.notebook);
    let report = sync_with(&guest.notebook, &remote, &on_progress).unwrap();
    assert_eq!((report.photos_pushed, report.entries_pushed), (1, 4));
}

#[test]
fn endless_photo_is_rejected() {
    let host = Bench::new();
    let photos = host.notebook.photos();
    let mut endless = io::repeat(7).take(LARGEST_FILE_BYTES + (1 << 20));
    let pulled = photos.receive_from(&PhotoHash::of(b"a photo"), &mut endless);
    assert!(matches!(pulled, Err(PhotoError::FileTooLarge { .. })));
    assert!(host.notebook.verify().unwrap().unexpected_files.is_empty());
}
