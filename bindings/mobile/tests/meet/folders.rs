//! Folders that devices share.

use crate::common::{Desk, read_hole};
use crate::phone::{castings, exchange, note, report};
use holebook_mobile::*;
use std::path::Path;

pub fn folder(at: &Path) -> ExchangeWith {
    ExchangeWith::Folder {
        path: at.to_string_lossy().into_owned(),
    }
}

/// What is wrong with a shelf.
pub fn shelf_trouble(error: NotebookError) -> ShelfTrouble {
    match error {
        NotebookError::Shelf {
            reason, trouble, ..
        } => {
            assert!(!reason.is_empty());
            trouble
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_folder_carries_entries_and_photos_there_and_back() {
    let (barn, bench) = (Desk::new(), Desk::new());
    let stick = barn.dir.path().join("stick");
    read_hole(&barn.notebook);
    assert_eq!(barn.notebook.photos_to_bring_home().unwrap(), 1);
    let run = barn.notebook.begin_exchange(folder(&stick)).unwrap();
    let left = report(run.result().unwrap());
    assert!(left.made_shelf && left.entries_left > 5 && left.photos_left == 1);
    assert!(run.is_over());
    assert_eq!(run.progress().stage, ExchangeStage::Over);
    assert_eq!(
        report(run.result().unwrap()),
        left,
        "it answers the same again"
    );
    assert_eq!(barn.notebook.photos_to_bring_home().unwrap(), 0);
    assert_eq!(barn.notebook.entries_to_bring_home().unwrap(), 0);

    let taken = report(exchange(&bench.notebook, folder(&stick)).unwrap());
    assert_eq!(taken.entries_taken, left.entries_left);
    assert_eq!(taken.photos_taken, 1);
    assert_eq!(castings(&bench.notebook), castings(&barn.notebook));
}

#[test]
fn a_known_folder_is_listed_exchanged_with_again_and_forgotten() {
    let desk = Desk::new();
    let book = &desk.notebook;
    assert_eq!(book.known_shelves().unwrap(), []);
    let none = book.begin_exchange(ExchangeWith::Every).err().unwrap();
    assert_eq!(shelf_trouble(none), ShelfTrouble::NotThere);

    let stick = desk.dir.path().canonicalize().unwrap().join("stick");
    note(book, "one");
    report(exchange(book, folder(&stick)).unwrap());
    let shelf = book.known_shelves().unwrap().remove(0);
    assert!(!shelf.paired);
    assert_eq!(shelf.folder.as_deref(), stick.to_str());
    assert_eq!(shelf.last.unwrap().entries_left, 1);

    note(book, "two");
    assert_eq!(
        report(exchange(book, ExchangeWith::Every).unwrap()).entries_left,
        1
    );
    // A stick that is not plugged in is no new shelf.
    std::fs::rename(&stick, desk.dir.path().join("elsewhere")).unwrap();
    let gone = exchange(book, ExchangeWith::Every).unwrap_err();
    assert_eq!(shelf_trouble(gone), ShelfTrouble::NotThere);
    assert!(!stick.exists());

    book.forget_shelf(shelf.id.clone()).unwrap();
    assert_eq!(book.known_shelves().unwrap(), []);
    let again = book.forget_shelf(shelf.id).unwrap_err();
    assert!(matches!(again, NotebookError::NoSuch { what, .. } if what == "shelf"));
}

#[test]
fn a_shelf_with_a_file_where_a_folder_belongs_names_it() {
    let desk = Desk::new();
    let stick = desk.dir.path().join("stick");
    read_hole(&desk.notebook);
    report(exchange(&desk.notebook, folder(&stick)).unwrap());
    let photos = stick.join("photos");
    std::fs::remove_dir_all(&photos).unwrap();
    std::fs::write(&photos, "no folder").unwrap();
    let failed = exchange(&desk.notebook, folder(&stick)).unwrap_err();
    assert!(failed.to_string().contains("photos"), "{failed}");
    assert_eq!(shelf_trouble(failed), ShelfTrouble::Failed);
}
