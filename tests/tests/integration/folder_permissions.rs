//! A remote in a folder of which a part may not be read or written.

#![cfg(unix)]

use holebook_core::notebook::Notebook;
use holebook_core::sync::{SyncError, SyncReport, sync_folder};
use holebook_test_support::namespaces::with_file_permissions;
use holebook_test_support::{TestNotebook, notebooks};
use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

fn set_mode(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

/// The problem of the one file that was skipped, as its path on the remote and as a sentence.
fn only_problem(report: &SyncReport) -> (String, String) {
    let [problem] = &report.problems[..] else {
        panic!("{:?}", report.problems);
    };
    (problem.file.clone(), problem.to_string())
}

/// A remote with the entries of two devices, of which one has a photo.
fn remote_of_two() -> tempfile::TempDir {
    let remote = tempfile::tempdir().unwrap();
    let (first, second) = (TestNotebook::new(), TestNotebook::new());
    first.add_photo(1, 40);
    second.add_castings("other", 2);
    for device in [&first, &second] {
        let report = sync_folder(&device.notebook, remote.path()).unwrap();
        assert_eq!(report.problems, []);
    }
    remote
}

fn sync(notebook: &Notebook, remote: &Path) -> SyncReport {
    sync_folder(notebook, remote).unwrap()
}

#[test]
fn one_file_that_may_not_be_read_is_named_once_and_the_rest_is_synced() {
    with_file_permissions(
        one_file_that_may_not_be_read_is_named_once_and_the_rest_is_synced,
        || {
            let remote = remote_of_two();
            let files = notebooks::files(remote.path());
            let read = |name: &String| fs::read(remote.path().join(name)).unwrap();
            let names_photo = |name: &&String| {
                name.starts_with("journal/")
                    && String::from_utf8(read(name))
                        .unwrap()
                        .contains(r#""kind":"photo""#)
            };
            let journal = files.iter().find(names_photo).unwrap();
            let photo = files.iter().find(|name| name.starts_with("photos/"));
            for (name, entries) in [(journal, 2), (photo.unwrap(), 5)] {
                let file = remote.path().join(name);
                set_mode(&file, 0o000);
                let device = TestNotebook::new();
                let report = sync(&device.notebook, remote.path());
                assert_eq!((report.entries_pulled, report.photos_pulled), (entries, 0));
                let (named, sentence) = only_problem(&report);
                assert_eq!(&named, name);
                assert!(
                    sentence.contains("you have no permission to read it"),
                    "{sentence}"
                );
                assert!(!sentence.contains("write-protected"), "{sentence}");
                set_mode(&file, 0o644);
                let rest = sync(&device.notebook, remote.path());
                assert_eq!(rest.problems, []);
                assert_eq!(rest.entries_pulled + entries, 5);
                assert_eq!(rest.photos_pulled, 1);
            }
        },
    );
}

#[test]
fn a_remote_that_may_not_be_read_or_written_is_called_that() {
    with_file_permissions(
        a_remote_that_may_not_be_read_or_written_is_called_that,
        || {
            let remote = remote_of_two();
            let device = TestNotebook::new();
            device.add_castings("new", 1);
            set_mode(remote.path(), 0o000);
            let error = sync_folder(&device.notebook, remote.path()).unwrap_err();
            assert!(!error.to_string().contains("write-protected"), "{error}");
            assert!(error.to_string().contains("permission"), "{error}");
            set_mode(remote.path(), 0o755);
            set_mode(&remote.path().join("journal"), 0o555);
            let error = sync_folder(&device.notebook, remote.path()).unwrap_err();
            assert!(matches!(error, SyncError::NotWritable { .. }), "{error}");
            set_mode(&remote.path().join("journal"), 0o755);
            assert_eq!(sync(&device.notebook, remote.path()).entries_pushed, 1);
        },
    );
}
