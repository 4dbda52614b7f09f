//! What holds for any remote: a notebook as a remote, entries that travel over several, canceling,
//! nothing new.

use super::*;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{depth_of, derived_tables, lines};
use crate::notebook::{DeviceId, HoleEntry};
use crate::photo::PhotoHash;
use crate::sync::{
    FolderRemote, Listing, MissingFolder, NotebookRemote, Progress, Remote, Segment, SyncError,
    SyncPhase, ignore_progress, sync_with,
};
use std::io::{Read, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Syncs with another notebook as the remote.
fn sync_with_notebook(guest: &Notebook, host: &Notebook) -> SyncReport {
    let report = sync_with(guest, &NotebookRemote(host), &ignore_progress).unwrap();
    assert_eq!(report.problems, []);
    report
}

#[test]
fn notebook_serves_as_a_remote() {
    let source = TempDir::new().unwrap();
    let (host, hole) = bench_with_hole();
    let guest = Bench::new();
    assert_eq!(
        sync_with_notebook(&guest.notebook, &host.notebook).entries_pulled,
        3
    );
    guest.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    let face = guest.notebook.list().unwrap().castings[0].faces[0].id;
    let photo = photo_file(&source, 9);
    guest.notebook.add_photo(face, &photo, None).unwrap();
    let report = sync_with_notebook(&guest.notebook, &host.notebook);
    assert_eq!((report.entries_pushed, report.photos_pushed), (2, 1));
    assert_eq!(
        derived_tables(&guest.notebook),
        derived_tables(&host.notebook)
    );
    assert!(host.notebook.verify().unwrap().is_ok());
    host.notebook.record(hole, depth_of(31.0), &[]).unwrap();
    let report = sync_with_notebook(&guest.notebook, &host.notebook);
    assert_eq!((report.entries_pulled, report.entries_pushed), (1, 0));
    assert_eq!(guest.notebook.entries_not_synced().unwrap(), 0);
}

#[test]
fn entries_travel_over_remotes_their_author_never_used() {
    let (here, there) = (remote(), remote());
    let (first, _) = bench_with_hole();
    let [second, third] = [Bench::new(), Bench::new()];
    sync_cleanly(&first.notebook, here.path());
    sync_cleanly(&second.notebook, here.path());
    assert_eq!(
        sync_cleanly(&second.notebook, there.path()).entries_pushed,
        3
    );
    assert_eq!(
        sync_cleanly(&third.notebook, there.path()).entries_pulled,
        3
    );
    // Their author finds them there, and pushes nothing again.
    assert_eq!(
        sync_cleanly(&first.notebook, there.path()).entries_pushed,
        0
    );
    assert_eq!(
        sync_with_notebook(&third.notebook, &first.notebook),
        SyncReport::default()
    );
}

/// A notebook as a remote that counts the calls.
struct CountingRemote<'a> {
    remote: NotebookRemote<'a>,
    listings: AtomicUsize,
    others: AtomicUsize,
}

impl Remote for CountingRemote<'_> {
    fn id(&self) -> String {
        self.remote.id()
    }

    fn name(&self) -> String {
        self.remote.name()
    }

    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let listing = self.remote.list(known)?;
        let whole = usize::from(listing.is_some());
        self.listings.fetch_add(whole, Ordering::Relaxed);
        Ok(listing)
    }

    fn pull_lines(&self, segment: &Segment, from: u64) -> Result<Vec<u8>, SyncError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.remote.pull_lines(segment, from)
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.remote.push_lines(segment, lines)
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.remote.pull_photo(photo, into)
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.remote.push_photo(photo, bytes, from)
    }

    fn report_corrupt(&self, file: &str) {
        self.remote.report_corrupt(file);
    }
}

#[test]
fn nothing_is_listed_if_neither_side_changed() {
    let (host, hole) = bench_with_hole();
    let guest = Bench::new();
    let assert_calls = |expected: (usize, usize)| {
        let remote = CountingRemote {
            remote: NotebookRemote(&host.notebook),
            listings: AtomicUsize::new(0),
            others: AtomicUsize::new(0),
        };
        let report = sync_with(&guest.notebook, &remote, &ignore_progress).unwrap();
        let counts = (remote.listings.into_inner(), remote.others.into_inner());
        assert_eq!(counts, expected);
        report
    };
    assert_calls((1, 1));
    assert_calls((0, 0));
    guest.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    // Listed once more after the push, to learn the remote's new state.
    assert_calls((2, 1));
    assert_calls((0, 0));
    host.notebook.record(hole, depth_of(31.0), &[]).unwrap();
    assert_eq!(assert_calls((1, 1)).entries_pulled, 1);
    let known = guest.notebook.remotes().unwrap();
    assert_eq!((known.len(), known[0].counts.entries_pulled), (1, 1));
    guest.notebook.forget_remote(&known[0].id).unwrap();
    assert_calls((1, 0));
}

#[test]
fn canceled_sync_continues_next_time() {
    let (remote, source) = (remote(), TempDir::new().unwrap());
    let (first, _) = bench_with_hole();
    let face = first.notebook.list().unwrap().castings[0].faces[0].id;
    for kind in 0..6 {
        let photo = photo_file(&source, kind);
        first.notebook.add_photo(face, &photo, None).unwrap();
    }
    sync_cleanly(&first.notebook, remote.path());
    let remote = FolderRemote::open(remote.path()).unwrap().0;
    let second = Bench::new();
    let steps = AtomicUsize::new(0);
    let mut runs = 0;
    loop {
        runs += 1;
        let max_calls = runs * 2;
        steps.store(0, Ordering::Relaxed);
        let on_progress = |progress: Progress| {
            assert!(progress.photo_bytes <= progress.photo_bytes_total);
            assert!(
                progress.entries <= progress.entries_total || progress.phase == SyncPhase::Listing
            );
            if steps.fetch_add(1, Ordering::Relaxed) < max_calls {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(())
            }
        };
        match sync_with(&second.notebook, &remote, &on_progress) {
            Ok(_) => break,
            Err(SyncError::Canceled) => assert!(second.notebook.verify().unwrap().is_ok()),
            Err(error) => panic!("{error}"),
        }
    }
    assert!(runs > 3, "it was ended {runs} times");
    assert_eq!(
        derived_tables(&first.notebook),
        derived_tables(&second.notebook)
    );
}

#[test]
fn entries_recorded_during_a_sync_are_pushed_by_the_next() {
    let host = Bench::new();
    let (guest, hole) = bench_with_hole();
    let recorded = AtomicUsize::new(0);
    let on_progress = |progress: Progress| {
        let leaving = progress.phase == SyncPhase::Pushing && progress.entries > 0;
        if leaving && recorded.fetch_add(1, Ordering::Relaxed) == 0 {
            guest.notebook.record(hole, depth_of(30.0), &[]).unwrap();
        }
        ControlFlow::Continue(())
    };
    let remote = NotebookRemote(&host.notebook);
    let report = sync_with(&guest.notebook, &remote, &on_progress).unwrap();
    assert_eq!(report.entries_pushed, 3);
    assert_eq!(guest.notebook.entries_not_synced().unwrap(), 1);
    assert_eq!(
        sync_with_notebook(&guest.notebook, &host.notebook).entries_pushed,
        1
    );
    assert_eq!(guest.notebook.entries_not_synced().unwrap(), 0);
}

#[test]
fn lines_added_to_the_remote_during_a_push_are_pulled_by_the_next_sync() {
    let (host, hole) = bench_with_hole();
    let guest = Bench::new();
    sync_with_notebook(&guest.notebook, &host.notebook);
    guest.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    let recorded = AtomicUsize::new(0);
    let on_progress = |progress: Progress| {
        let leaving = progress.phase == SyncPhase::Pushing && progress.entries > 0;
        if leaving && recorded.fetch_add(1, Ordering::Relaxed) == 0 {
            host.notebook.record(hole, depth_of(31.0), &[]).unwrap();
        }
        ControlFlow::Continue(())
    };
    let remote = NotebookRemote(&host.notebook);
    let report = sync_with(&guest.notebook, &remote, &on_progress).unwrap();
    assert_eq!((report.entries_pushed, report.entries_pulled), (1, 0));
    assert_eq!(
        sync_with_notebook(&guest.notebook, &host.notebook).entries_pulled,
        1
    );
}

#[test]
fn sync_without_changes_is_recorded_as_the_last_sync() {
    let (host, _) = bench_with_hole();
    let guest = Bench::new();
    let pulled = || guest.notebook.remotes().unwrap()[0].counts.entries_pulled;
    sync_with_notebook(&guest.notebook, &host.notebook);
    assert_eq!(pulled(), 3);
    sync_with_notebook(&guest.notebook, &host.notebook);
    assert_eq!(pulled(), 0);
}

#[test]
fn new_conflicts_are_reported() {
    let (host, hole) = bench_with_hole();
    let guest = Bench::new();
    sync_with_notebook(&guest.notebook, &host.notebook);
    let say = |notebook: &Notebook, thread| {
        let wanted = crate::notebook::tests::wanted(thread);
        notebook.record(hole, wanted, &[]).unwrap();
    };
    say(&host.notebook, "M10");
    say(&guest.notebook, "3/8-16");
    assert_eq!(
        sync_with_notebook(&guest.notebook, &host.notebook).conflicts,
        [hole]
    );
    assert_eq!(
        sync_with_notebook(&guest.notebook, &host.notebook).conflicts,
        []
    );
}

#[test]
fn long_journal_is_pulled_in_chunks_and_resumes_in_the_middle() {
    let (host, hole) = bench_with_hole();
    let note = |at: usize| {
        HoleEntry::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    let notes: Vec<_> = (0..600).map(note).collect();
    host.notebook.record_all(hole, &notes).unwrap();
    let guest = Bench::new();
    let remote = NotebookRemote(&host.notebook);
    let stop_early = |progress: Progress| match progress.entries {
        0 => ControlFlow::Continue(()),
        _ => ControlFlow::Break(()),
    };
    let ended = sync_with(&guest.notebook, &remote, &stop_early);
    assert!(matches!(ended, Err(SyncError::Canceled)));
    let pulled = sync_with_notebook(&guest.notebook, &host.notebook).entries_pulled;
    assert!(pulled > 0 && pulled < 603, "{pulled}");
    assert_eq!(
        derived_tables(&guest.notebook),
        derived_tables(&host.notebook)
    );
}

#[test]
fn notebook_remote_returns_no_lines_it_does_not_have() {
    let (host, _) = bench_with_hole();
    let remote = NotebookRemote(&host.notebook);
    let listing = remote.list(None).unwrap().unwrap();
    let known = listing.segments.first().unwrap().clone();
    let other = Segment {
        device: DeviceId::fresh(),
        ..known.clone()
    };
    for (segment, from) in [(&other, 1), (&known, 0), (&known, 4)] {
        let rejected = remote.pull_lines(segment, from);
        assert!(matches!(rejected, Err(SyncError::File(_))), "{from}");
    }
}

#[test]
fn notebook_remote_rejects_lines_after_a_gap() {
    let (writer, hole) = bench_with_hole();
    let text = |at: usize| format!("{}\n", lines(&writer.notebook)[at].text());
    let first = writer.notebook.heads().unwrap()[0];
    writer.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    let last = writer.notebook.heads().unwrap()[0];
    let host = Bench::new();
    let remote = NotebookRemote(&host.notebook);
    let segment = Segment::ending_at(&last, first.seq + 1);
    let rejected = remote.push_lines(&segment, text(3).as_bytes());
    assert!(matches!(rejected, Err(SyncError::File(_))));
    assert_eq!(host.notebook.heads().unwrap(), []);
    sync_with_notebook(&writer.notebook, &host.notebook);
    remote.push_lines(&segment, text(3).as_bytes()).unwrap();
}

#[test]
fn a_notebooks_own_folder_is_not_a_remote() {
    let bench = Bench::new();
    let other = Bench::new();
    for folder in [bench.notebook.dir(), other.notebook.dir()] {
        let opened = FolderRemote::open(folder);
        assert!(matches!(opened, Err(SyncError::IsNotebook { .. })));
        let reopened = FolderRemote::open_with(folder, MissingFolder::Fail, &|| false);
        assert!(matches!(reopened, Err(SyncError::IsNotebook { .. })));
        assert!(!folder.join("journal").exists());
        // Nor is a folder inside it, whether it is there or not.
        let inside = folder.join("photos/shared");
        for _ in 0..2 {
            let opened = FolderRemote::open(&inside);
            assert!(matches!(opened, Err(SyncError::IsNotebook { .. })));
            std::fs::create_dir_all(&inside).unwrap();
        }
        // A notebook whose database is gone is one still.
        let emptied = TempDir::new().unwrap();
        std::fs::write(emptied.path().join(".in-use"), "").unwrap();
        let opened = FolderRemote::open(emptied.path());
        assert!(matches!(opened, Err(SyncError::IsNotebook { .. })));
    }
}
