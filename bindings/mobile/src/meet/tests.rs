//! What goes on in the background, by itself.

#![allow(clippy::unwrap_used)]
use super::*;
use crate::error::NotebookError;
use holebook_core::exchange::{ExchangeError, Stage};
use holebook_screens::meeting::Way;

fn meet(dir: &tempfile::TempDir) -> Meet {
    Meet::of(Arc::new(
        Notebook::open(&dir.path().join("notebook")).unwrap(),
    ))
}

#[test]
fn a_panic_in_the_background_names_the_call_and_the_next_run_begins() {
    let dir = tempfile::tempdir().unwrap();
    let meet = meet(&dir);
    let name = || "the shelf a".to_owned();
    let fault = meet.todo(Way::Exchange, name(), |_| panic!("no chuck"));
    let failed = meet.run(vec![fault]).unwrap().result().unwrap_err();
    let NotebookError::Internal { call, reason } = failed else {
        panic!("{failed:?}")
    };
    assert_eq!(call, "begin_exchange");
    assert!(reason.contains("no chuck"), "{reason}");
    let good = meet.todo(Way::Exchange, name(), |_| Ok(Default::default()));
    assert_eq!(meet.run(vec![good]).unwrap().result().unwrap().len(), 1);
}

/// What a page or a call waits for is let go of when the notebook is shut down.
#[test]
fn nothing_keeps_the_notebook_open_once_it_was_stopped() {
    let dir = tempfile::tempdir().unwrap();
    let meet = meet(&dir);
    let (started, has_started) = std::sync::mpsc::channel();
    let waits = meet.todo(Way::Exchange, "the shelf a".to_owned(), move |doing| {
        started.send(()).unwrap();
        let progress = Progress {
            stage: Stage::Looking,
            entries: 0,
            entries_of: 0,
            photo_bytes: 0,
            photo_bytes_of: 0,
        };
        while (doing.watch)(progress).is_continue() {
            std::thread::yield_now();
        }
        Err(ExchangeError::Stopped.into())
    });
    let run = meet.run(vec![waits]).unwrap();
    has_started.recv().unwrap();
    meet.stop();
    assert!(run.is_over());
    assert_eq!(Arc::strong_count(&meet.notebook), 1);
    assert!(matches!(run.result(), Err(NotebookError::Stopped { .. })));
}
