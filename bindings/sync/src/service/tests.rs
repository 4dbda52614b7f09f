//! What runs in the background.

#![allow(clippy::unwrap_used)]
use super::*;
use holebook_core::notebook::Notebook;
use holebook_core::sync::{SyncError, SyncPhase};
use holebook_screens::sync_backend::{RunResult, RunStepState, StepFailure, TaskKind};

fn service(dir: &tempfile::TempDir) -> SyncService {
    let notebook = Arc::new(Notebook::open(&dir.path().join("notebook")).unwrap());
    let finder = Arc::new(SeenShops::default());
    let remotes = Arc::new(Remotes::new(notebook, finder, "unnamed"));
    SyncService::new(remotes, ServiceOptions::default())
}

fn failure(run: &RunHandle) -> StepFailure {
    match run.run().steps.remove(0).state {
        RunStepState::Failed(failure) => failure,
        other => panic!("{other:?}"),
    }
}

#[test]
fn nothing_uses_the_notebook_after_the_service_was_shut_down() {
    let dir = tempfile::tempdir().unwrap();
    let service = service(&dir);
    let (started, has_started) = std::sync::mpsc::channel();
    let remotes = Arc::clone(service.remotes());
    let waits = Job::new(TaskKind::Sync, "the remote a", move |on_progress| {
        let _uses_the_notebook = remotes;
        started.send(()).unwrap();
        let progress = Progress {
            phase: SyncPhase::Listing,
            entries: 0,
            entries_total: 0,
            photo_bytes: 0,
            photo_bytes_total: 0,
        };
        while on_progress(progress).is_continue() {
            std::thread::yield_now();
        }
        Err(StepFailure::new(ServiceError::from(SyncError::Canceled)))
    });
    let run = service.run(vec![waits]).unwrap();
    has_started.recv().unwrap();
    service.shut_down();
    assert!(run.is_over());
    assert_eq!(Arc::strong_count(service.remotes()), 1);
    let failure = failure(&run);
    let cause = failure.cause::<ServiceError>().unwrap();
    assert!(matches!(cause, ServiceError::Sync(SyncError::Canceled)));
}

#[test]
fn a_sync_with_a_folder_is_known_afterwards_and_can_be_forgotten() {
    let dir = tempfile::tempdir().unwrap();
    let service = service(&dir);
    assert!(matches!(
        service.start(&SyncTarget::All),
        Err(ServiceError::NoRemotes)
    ));
    let folder = dir.path().join("stick");
    let run = service.start(&SyncTarget::Folder(&folder)).unwrap();
    run.wait();
    let step = run.run().steps.remove(0);
    assert!(
        matches!(step.state, RunStepState::Done(RunResult::Synced(_))),
        "{step:?}"
    );
    let known = service.remotes().known().unwrap();
    assert_eq!(known.len(), 1);
    assert!(known[0].last.is_some() && !known[0].is_paired());
    service.start(&SyncTarget::All).unwrap().wait();
    service.remotes().forget(&known[0]).unwrap();
    assert!(service.remotes().known().unwrap().is_empty());
    let gone = service.remotes().by_id(&known[0].id);
    assert!(matches!(gone, Err(ServiceError::UnknownRemote { .. })));
}
