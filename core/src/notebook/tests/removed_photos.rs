//! Removing a wrong photo with its marks, and bringing it back.

use super::*;
use crate::notebook::{NotebookError, PhotoId};

#[test]
fn a_removed_photo_takes_its_marks_with_it_and_brings_them_back() {
    let (bench, face, holes) = Bench::with_holes(3);
    let notebook = &bench.notebook;
    let source = TempDir::new().unwrap();
    let file = photos::photo_file(&source, 7);
    let add = |name| notebook.add_photo(face, &file, Some(name)).unwrap().0;
    let (wrong, right) = (add("wrong.jpg"), add("right.jpg"));
    let marked = |hole, x| notebook.mark(hole, wrong, x, 20.0, &[]).unwrap();
    let first = marked(holes[0], 10.0);
    notebook
        .mark(holes[0], wrong, 12.0, 20.0, &[first])
        .unwrap();
    let mistaken = marked(holes[1], 30.0);
    notebook.strike_out(mistaken, "not a hole").unwrap();
    notebook.mark(holes[2], right, 40.0, 20.0, &[]).unwrap();
    let before = derived_tables(notebook);
    let marks = |photo| notebook.photo(photo).unwrap().marks;
    let at = |photo: PhotoId| -> Vec<f64> {
        let marks = marks(photo).into_iter();
        marks.map(|mark| mark.entries.0[0].body.x_px).collect()
    };
    assert_eq!(at(wrong), [12.0]);

    notebook.remove_photo(wrong).unwrap();
    let gone = notebook.photo(wrong).unwrap_err();
    assert!(matches!(gone, NotebookError::NoSuch { .. }), "{gone:?}");
    assert_eq!(notebook.face(face).unwrap().photos.len(), 1);
    assert_eq!(notebook.face(face).unwrap().holes.len(), 3);
    assert!(notebook.hole(holes[0]).unwrap().marks.is_empty());
    assert_eq!(at(right), [40.0]);
    let removed = notebook.removed_photos(face).unwrap();
    assert_eq!(removed.len(), 1);
    assert_eq!(
        (removed[0].id, removed[0].name.as_deref()),
        (wrong, Some("wrong.jpg"))
    );
    assert!(notebook.remove_photo(wrong).is_err(), "not twice");
    assert!(notebook.restore_photo(right).is_err(), "it is here");
    assert!(
        notebook.verify().unwrap().is_ok(),
        "{:?}",
        notebook.verify()
    );
    let tables = derived_tables(notebook);
    notebook.rebuild().unwrap();
    assert_eq!(derived_tables(notebook), tables);

    notebook.restore_photo(wrong).unwrap();
    assert_eq!(
        at(wrong),
        [12.0],
        "not the mark that was struck out for itself"
    );
    assert_eq!(notebook.removed_photos(face).unwrap(), []);
    assert!(notebook.verify().unwrap().is_ok());
    let photos = |tables: &[(&'static str, Vec<Vec<Value>>)]| -> Vec<Vec<Value>> {
        let mut tables = tables.iter();
        tables.find(|(name, _)| *name == "photo").unwrap().1.clone()
    };
    assert_eq!(photos(&derived_tables(notebook)), photos(&before));

    notebook.remove_mark(holes[0], wrong).unwrap();
    assert_eq!(
        at(wrong),
        [] as [f64; 0],
        "the mark that it replaced does not count again"
    );
    assert!(notebook.remove_mark(holes[0], wrong).is_err());
    notebook.mark(holes[0], wrong, 12.0, 20.0, &[]).unwrap();

    // Again, with the mark moved meanwhile.
    notebook.mark(holes[1], wrong, 50.0, 20.0, &[]).unwrap();
    notebook.remove_photo(wrong).unwrap();
    notebook.restore_photo(wrong).unwrap();
    assert_eq!(at(wrong), [12.0, 50.0]);
}
