//! Folders as remotes.

use super::calls::{add_casting, castings, report, sync};
use crate::support::{TestPhone, measured_hole};
use holebook_mobile::*;
use std::path::Path;

pub fn folder(at: &Path) -> SyncTarget {
    SyncTarget::Folder {
        path: at.to_string_lossy().into_owned(),
    }
}

/// What is wrong with a remote.
pub fn remote_problem(error: NotebookError) -> RemoteProblem {
    match error {
        NotebookError::Remote {
            reason, problem, ..
        } => {
            assert!(!reason.is_empty());
            problem
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn folder_carries_entries_and_photos_both_ways() {
    let (barn, bench) = (TestPhone::new(), TestPhone::new());
    let stick = barn.dir.path().join("stick");
    measured_hole(&barn.notebook);
    assert_eq!(barn.notebook.photos_not_synced().unwrap(), 1);
    let run = barn.notebook.start_sync(folder(&stick)).unwrap();
    let pushed = report(run.result().unwrap());
    assert!(pushed.created_remote && pushed.entries_pushed > 5 && pushed.photos_pushed == 1);
    assert!(run.is_over());
    assert_eq!(run.progress().phase, SyncRunPhase::Finished);
    assert_eq!(report(run.result().unwrap()), pushed, "the result stays");
    assert_eq!(barn.notebook.photos_not_synced().unwrap(), 0);
    assert_eq!(barn.notebook.entries_not_synced().unwrap(), 0);

    let pulled = report(sync(&bench.notebook, folder(&stick)).unwrap());
    assert_eq!(pulled.entries_pulled, pushed.entries_pushed);
    assert_eq!(pulled.photos_pulled, 1);
    assert_eq!(castings(&bench.notebook), castings(&barn.notebook));
}

#[test]
fn known_folder_is_listed_synced_again_and_forgotten() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    assert_eq!(notebook.known_remotes().unwrap(), []);
    let none = notebook.start_sync(SyncTarget::All).err().unwrap();
    assert_eq!(remote_problem(none), RemoteProblem::NotFound);

    let stick = phone.dir.path().canonicalize().unwrap().join("stick");
    add_casting(notebook, "one");
    report(sync(notebook, folder(&stick)).unwrap());
    let remote = notebook.known_remotes().unwrap().remove(0);
    assert!(!remote.paired);
    assert_eq!(remote.folder.as_deref(), stick.to_str());
    assert_eq!(remote.last.unwrap().counts.entries_pushed, 1);

    add_casting(notebook, "two");
    assert_eq!(
        report(sync(notebook, SyncTarget::All).unwrap()).entries_pushed,
        1
    );
    // A stick that is not plugged in is not created.
    std::fs::rename(&stick, phone.dir.path().join("elsewhere")).unwrap();
    let gone = sync(notebook, SyncTarget::All).unwrap_err();
    assert_eq!(remote_problem(gone), RemoteProblem::NotFound);
    assert!(!stick.exists());

    notebook.forget_remote(remote.id.clone()).unwrap();
    assert_eq!(notebook.known_remotes().unwrap(), []);
    let again = notebook.forget_remote(remote.id).unwrap_err();
    assert!(matches!(again, NotebookError::NoSuch { what, .. } if what == "remote"));
}

#[test]
fn file_instead_of_a_remotes_folder_is_named() {
    let phone = TestPhone::new();
    let stick = phone.dir.path().join("stick");
    measured_hole(&phone.notebook);
    report(sync(&phone.notebook, folder(&stick)).unwrap());
    let photos = stick.join("photos");
    std::fs::remove_dir_all(&photos).unwrap();
    std::fs::write(&photos, "no folder").unwrap();
    let failed = sync(&phone.notebook, folder(&stick)).unwrap_err();
    assert!(failed.to_string().contains("photos"), "{failed}");
    assert_eq!(remote_problem(failed), RemoteProblem::Failed);
}
