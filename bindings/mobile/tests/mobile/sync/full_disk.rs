//! Disks that are full or read-only, each a real one.

use super::bundles::bundle_problem;
use super::calls::{add_casting, castings, sync};
use super::folders::{folder, remote_problem};
use crate::support::{TestPhone, measured_hole, photo};
use holebook_mobile::*;
use holebook_test_support::namespaces::{run, with_private_mounts};
use std::fs;
use std::path::{Path, PathBuf};

/// Mounts a disk with these options, `size=200k` or `ro`, and returns its folder.
fn mount_disk(phone: &TestPhone, options: &str) -> PathBuf {
    let folder = phone.dir.path().join("disk");
    fs::create_dir(&folder).unwrap();
    let at = folder.to_str().unwrap();
    run("mount", &["-t", "tmpfs", "-o", options, "none", at]);
    folder
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect()
}

/// A photo of more than 2 MB: what follows a picture is stored too if photos are kept as they are.
fn large_photo(phone: &TestPhone, notebook: &Notebook) -> String {
    let settings = Settings {
        keep_photo_gps: true,
        ..notebook.settings().unwrap()
    };
    notebook.set_settings(settings).unwrap();
    let mut content = fs::read(photo()).unwrap();
    content.resize(content.len() + (2 << 20), b'.');
    let file = phone.dir.path().join("large.jpg");
    fs::write(&file, content).unwrap();
    file.to_string_lossy().into_owned()
}

#[test]
fn bundle_on_a_full_disk_leaves_no_file() {
    with_private_mounts(bundle_on_a_full_disk_leaves_no_file, || {
        let phone = TestPhone::new();
        let face = measured_hole(&phone.notebook).face;
        let large = large_photo(&phone, &phone.notebook);
        phone.notebook.add_photo(face, large, None).unwrap();
        let disk = mount_disk(&phone, "size=1m");
        let file = disk.join("all.zip").to_string_lossy().into_owned();
        let refused = phone.notebook.write_bundle(file, BundleContent::All);
        let refused = refused.unwrap_err();
        assert!(refused.to_string().contains("free some space"), "{refused}");
        assert_eq!(bundle_problem(refused), BundleProblem::StorageFull);
        assert_eq!(names(&disk), [""; 0]);
    });
}

#[test]
fn full_and_read_only_folders_are_errors() {
    with_private_mounts(full_and_read_only_folders_are_errors, || {
        for (options, problem) in [
            ("size=8k", RemoteProblem::Full),
            ("ro", RemoteProblem::NotWritable),
        ] {
            let phone = TestPhone::new();
            measured_hole(&phone.notebook);
            let disk = mount_disk(&phone, options);
            let failed = sync(&phone.notebook, folder(&disk)).unwrap_err();
            assert_eq!(remote_problem(failed), problem);
            assert_eq!(phone.notebook.verify().unwrap().findings, []);
        }
    });
}

/// The full folder that an error names.
fn full_folder(error: NotebookError) -> String {
    match error {
        NotebookError::StorageFull { dir, .. } => dir,
        other => panic!("{other:?}"),
    }
}

#[test]
fn full_disk_under_the_notebook_keeps_what_was_acknowledged() {
    with_private_mounts(
        full_disk_under_the_notebook_keeps_what_was_acknowledged,
        || {
            let phone = TestPhone::new();
            let disk = mount_disk(&phone, "size=1m").join("notebook");
            let dir = disk.to_string_lossy().into_owned();
            let notebook = Notebook::open(dir.clone()).unwrap();
            let face = {
                let casting = add_casting(&notebook, "one");
                let name = "top".to_owned();
                let body = FaceBody {
                    casting,
                    name,
                    note: None,
                };
                notebook.add_face(body).unwrap()
            };
            let large = large_photo(&phone, &notebook);
            let photo = notebook.add_photo(face, large, None).unwrap_err();
            assert_eq!(full_folder(photo), disk.join("photos").to_string_lossy());

            let long = "long ".repeat(1000);
            let mut added = 1;
            let refused = loop {
                let body = CastingBody {
                    name: format!("casting {added}"),
                    note: Some(long.clone()),
                    metal: None,
                };
                match notebook.add_casting(body) {
                    Ok(_) => added += 1,
                    Err(error) => break error,
                }
                assert!(added < 1000, "a disk of 1 MB holds no more");
            };
            assert_eq!(full_folder(refused), dir);
            assert_eq!(castings(&notebook).len(), added);
        },
    );
}
