//! Disks that are full or not to be written on, each of them a real one.

use crate::apart::{run, with_own_disks};
use crate::bundles::wrong;
use crate::common::{Desk, photo, read_hole};
use crate::folders::{folder, shelf_trouble};
use crate::phone::{castings, exchange, note};
use holebook_mobile::*;
use std::fs;
use std::path::{Path, PathBuf};

/// A disk of that size in a folder of its own: `size=200k`, or `ro` for one that cannot be written on.
fn disk(desk: &Desk, options: &str) -> PathBuf {
    let place = desk.dir.path().join("disk");
    fs::create_dir(&place).unwrap();
    let at = place.to_str().unwrap();
    run("mount", &["-t", "tmpfs", "-o", options, "none", at]);
    place
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect()
}

#[test]
fn a_bundle_for_which_there_is_no_room_leaves_nothing() {
    with_own_disks(a_bundle_for_which_there_is_no_room_leaves_nothing, || {
        let desk = Desk::new();
        read_hole(&desk.notebook);
        let photo = fs::metadata(photo()).unwrap().len();
        let disk = disk(&desk, &format!("size={}", photo / 2));
        let place = disk.join("all.zip").to_string_lossy().into_owned();
        let refused = desk.notebook.write_bundle(place, BundleOf::All);
        let refused = refused.unwrap_err();
        assert!(refused.to_string().contains("free some space"), "{refused}");
        assert_eq!(wrong(refused), BundleTrouble::NoRoom);
        assert_eq!(names(&disk), [""; 0]);
    });
}

#[test]
fn a_shelf_without_room_and_one_that_cannot_be_written_say_so() {
    with_own_disks(
        a_shelf_without_room_and_one_that_cannot_be_written_say_so,
        || {
            for (options, trouble) in [
                ("size=8k", ShelfTrouble::Full),
                ("ro", ShelfTrouble::NotWritable),
            ] {
                let desk = Desk::new();
                read_hole(&desk.notebook);
                let disk = disk(&desk, options);
                let failed = exchange(&desk.notebook, folder(&disk)).unwrap_err();
                assert_eq!(shelf_trouble(failed), trouble);
                assert_eq!(desk.notebook.verify().unwrap().findings, []);
            }
        },
    );
}

/// What a call says where there is no room for what it would write.
fn full(error: NotebookError) -> String {
    match error {
        NotebookError::StorageFull { dir, .. } => dir,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_full_disk_under_the_notebook_keeps_what_was_acknowledged() {
    with_own_disks(
        a_full_disk_under_the_notebook_keeps_what_was_acknowledged,
        || {
            let desk = Desk::new();
            let disk = disk(&desk, "size=1m").join("notebook");
            let dir = disk.to_string_lossy().into_owned();
            let book = Notebook::open(dir.clone()).unwrap();
            let face = {
                let casting = note(&book, "one");
                let name = "top".to_owned();
                let body = FaceBody {
                    casting,
                    name,
                    note: None,
                };
                book.add_face(body).unwrap()
            };
            // What stands behind a picture stays, where its place may stay, and is as large as one likes.
            let large = desk.dir.path().join("large.jpg");
            let mut content = fs::read(photo()).unwrap();
            content.resize(content.len() + (2 << 20), b'.');
            fs::write(&large, content).unwrap();
            book.set_settings(Settings {
                keep_location: true,
                ..book.settings().unwrap()
            })
            .unwrap();
            let large = large.to_string_lossy().into_owned();
            let photo = book.add_photo(face, large, None).unwrap_err();
            assert_eq!(full(photo), disk.join("photos").to_string_lossy());

            let long = "long ".repeat(1000);
            let mut noted = 1;
            let refused = loop {
                let body = CastingBody {
                    name: format!("casting {noted}"),
                    note: Some(long.clone()),
                    metal: None,
                };
                match book.add_casting(body) {
                    Ok(_) => noted += 1,
                    Err(error) => break error,
                }
                assert!(noted < 1000, "a disk of 1 MB holds no more");
            };
            assert_eq!(full(refused), dir);
            assert_eq!(castings(&book).len(), noted);
        },
    );
}
