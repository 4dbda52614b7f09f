//! The photo of a face by plain forms, as a browser without the script sends them.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::hole::condition::{Condition, FirstLook};
use holebook_core::notebook::{FaceId, HoleEntry, HoleId, PhotoId};
use std::path::Path;

struct Photo {
    screens: Screens,
    face: FaceId,
    id: PhotoId,
    width: f64,
}

impl Photo {
    fn new() -> Self {
        let screens = Screens::new();
        let face = screens.face();
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
        let (id, file) = screens
            .notebook
            .add_photo(face, &file, Some("barn.jpg"))
            .unwrap();
        let width = f64::from(file.width);
        Self {
            screens,
            face,
            id,
            width,
        }
    }

    fn at(&self, form: &str) -> String {
        format!("/photo/{}/{form}", self.id)
    }

    /// Presses the plain picture; returns the next page.
    fn press(&self, hole: &str, x: &str, y: &str) -> String {
        let fields = [("hole", hole), ("at.x", x), ("at.y", y)];
        self.follow("mark", &fields)
    }

    /// Sends a form and returns the page that it leads to.
    fn follow(&self, form: &str, fields: &[(&str, &str)]) -> String {
        let response = self.screens.post(&self.at(form), fields);
        assert_eq!(response.status, 303, "{}", text(&response));
        let location = &response.headers[0].1;
        self.screens.get(location.split('#').next().unwrap())
    }

    fn holes(&self) -> Vec<HoleId> {
        let holes = self.screens.notebook.face(self.face).unwrap().holes;
        holes.iter().map(|hole| hole.id).collect()
    }

    fn condition(&self, hole: HoleId) -> Option<Condition> {
        let record = self.screens.notebook.hole(hole).unwrap().record;
        record.condition_in_force()
    }

    fn undo(&self, page: &str) -> String {
        let form = page
            .split(&format!("action=\"{}\"", self.at("undo")))
            .nth(1)
            .unwrap();
        let entry = form
            .split("value=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        text(&self.screens.post(&self.at("undo"), &[("entry", entry)]))
    }
}

#[test]
fn the_plain_picture_marks_where_it_is_pressed() {
    let photo = Photo::new();
    let page = photo.press("new", "300", "60");
    assert!(page.contains("Hole 1 marked.") && page.contains("Hole 1: first look"));
    let marks = photo.screens.notebook.photo(photo.id).unwrap().marks;
    let x = marks[0].entries.0[0].body.x_px;
    // The picture is 1200 pixels wide there.
    assert!((x - 300.0 * photo.width / 1200.0).abs() < 1e-6, "{x}");
    // The hole again: its mark moves, and there is no second one.
    let hole = photo.holes()[0].to_string();
    photo.press(&hole, "600", "60");
    let marks = photo.screens.notebook.photo(photo.id).unwrap().marks;
    assert_eq!((marks.len(), marks[0].entries.0.len()), (1, 1));
    for (x, y) in [("", "3"), ("NaN", "3"), ("a", "3"), ("1", "")] {
        let fields = [("hole", "new"), ("at.x", x), ("at.y", y)];
        photo.screens.rejected(&photo.at("mark"), &fields);
    }
    assert_eq!(photo.holes().len(), 1, "nothing was added");
}

#[test]
fn a_grade_is_recorded_changed_and_undone() {
    let photo = Photo::new();
    photo.press("new", "300", "60");
    let hole = photo.holes()[0];
    let id = hole.to_string();
    let grade = |condition: &str| {
        let shown = photo.screens.hidden(
            &format!("/photo/{}?grade={id}", photo.id),
            &photo.at("grade"),
            "replaces",
        );
        let mut fields = vec![("hole", id.as_str()), ("condition", condition)];
        fields.extend(shown.iter().map(|entry| ("replaces", entry.as_str())));
        photo.follow("grade", &fields)
    };
    let page = grade("crater");
    assert!(page.contains("Hole 1: crater.") && page.contains("data-condition=\"crater\""));
    assert!(
        !page.contains("first look</legend>"),
        "nothing is left to grade"
    );
    let page = grade("sound");
    assert_eq!(
        photo.condition(hole),
        Some(Condition::Sound),
        "not a conflict"
    );
    let undone = photo.undo(&page);
    assert!(undone.contains("Condition of hole 1 struck out."));
    assert_eq!(photo.condition(hole), Some(Condition::Crater));
    for fields in [
        vec![("hole", id.as_str()), ("condition", "rusty")],
        vec![("hole", id.as_str())],
        vec![("hole", "x"), ("condition", "sound")],
        vec![("condition", "sound")],
    ] {
        photo.screens.rejected(&photo.at("grade"), &fields);
    }
}

#[test]
fn all_the_rest_are_graded_sound_but_no_hole_in_conflict() {
    let photo = Photo::new();
    let screens = &photo.screens;
    for x in ["100", "300", "500", "700"] {
        photo.press("new", x, "60");
    }
    let holes = photo.holes();
    let record = |hole, condition| {
        let entry = HoleEntry::Condition(FirstLook { condition });
        screens.notebook.record(hole, entry, &[]).unwrap();
    };
    record(holes[0], Condition::Loose);
    record(holes[1], Condition::Loose);
    record(holes[1], Condition::Crater);
    let page = screens.get(&format!("/photo/{}", photo.id));
    assert!(page.contains("All the rest are sound (2)"));
    let page = text(&screens.post(&photo.at("grade-rest"), &[]));
    assert!(page.contains("2 holes graded sound.") && !page.contains("All the rest"));
    let found: Vec<Option<Condition>> = holes.iter().map(|hole| photo.condition(*hole)).collect();
    let sound = Some(Condition::Sound);
    assert_eq!(found, [Some(Condition::Loose), None, sound, sound]);
    let entries = screens
        .notebook
        .hole(holes[1])
        .unwrap()
        .record
        .condition
        .0
        .len();
    assert_eq!(entries, 2, "the conflict is as it was");
    let again = text(&screens.post(&photo.at("grade-rest"), &[]));
    assert!(again.contains("Every hole is graded already."));
}

#[test]
fn undo_takes_only_what_this_photo_recorded() {
    let photo = Photo::new();
    let page = photo.press("new", "300", "60");
    let other = photo.screens.hole().to_string();
    let elsewhere = HoleEntry::Condition(FirstLook {
        condition: Condition::Loose,
    });
    let hole: HoleId = other.parse().unwrap();
    let entry = photo.screens.notebook.record(hole, elsewhere, &[]).unwrap();
    let entry = entry.to_string();
    for fields in [
        vec![("entry", entry.as_str())],
        vec![("entry", "x")],
        vec![],
    ] {
        photo.screens.rejected(&photo.at("undo"), &fields);
    }
    let undone = photo.undo(&page);
    assert!(undone.contains("Mark of hole 1 struck out; the hole itself stays."));
    assert_eq!(photo.holes().len(), 1);
    assert!(
        photo
            .screens
            .notebook
            .photo(photo.id)
            .unwrap()
            .marks
            .is_empty()
    );
}

#[test]
fn a_wrong_photo_is_removed_with_its_marks_and_brought_back() {
    let photo = Photo::new();
    photo.press("new", "300", "60");
    let face = format!("/face/{}", photo.face);
    assert_eq!(photo.screens.submit(&photo.at("remove"), &[]), face);
    let page = photo.screens.get(&face);
    assert!(page.contains("Removed photos (1)") && page.contains("barn.jpg"));
    assert!(!page.contains("view.jpg"), "the picture is gone");
    assert_eq!(photo.holes().len(), 1);
    let back = photo.follow("restore", &[]);
    assert!(back.contains("Photo brought back with its marks."));
    assert!(back.contains("aria-label=\"Hole 1, not measured\""));
    assert!(!photo.screens.get(&face).contains("Removed photos"));
}

#[test]
fn a_photo_of_one_hole_comes_first_on_its_page_and_is_none_of_the_face() {
    let photo = Photo::new();
    photo.press("new", "300", "60");
    let hole = photo.holes()[0];
    let path = format!("/hole/{hole}");
    let next = photo.screens.send_photo(&format!("{path}/photo"));
    assert!(next.starts_with(&format!("{path}?")), "{next}");
    let face = photo.screens.notebook.face(photo.face).unwrap();
    let close = face.photos.iter().find(|it| it.hole == Some(hole)).unwrap();
    assert_eq!(face.photos_of_face().count(), 1);
    let mark = close.marks[0].entries.agreed().unwrap();
    let middle = (
        f64::from(close.width_px) / 2.0,
        f64::from(close.height_px) / 2.0,
    );
    assert_eq!((mark.x_px, mark.y_px), middle);

    let page = photo.screens.get(&path);
    let (first, _) = page.split_once("/view.jpg").unwrap();
    assert!(
        first.ends_with(&format!("/photo/{}", close.id)),
        "it comes first"
    );
    let (_, section) = page.split_once("id=\"hole-photos\"").unwrap();
    assert!(section.contains(&format!("/photo/{}/thumb.jpg", close.id)));
    let face_page = photo.screens.get(&format!("/face/{}", photo.face));
    assert!(!face_page.contains(&close.id.to_string()));
    assert!(face_page.contains(&photo.id.to_string()));
    // Its page is about this hole, and marks no other.
    let own_page = photo.screens.get(&format!("/photo/{}", close.id));
    assert!(own_page.contains("<h1>Photo of hole 1, "), "{own_page}");
    assert!(
        own_page.contains(&format!("href=\"{path}\">Hole 1</a>")),
        "{own_page}"
    );
    assert!(
        own_page.contains("Hole 1 again") && !own_page.contains("(new)"),
        "{own_page}"
    );
    assert!(own_page.contains("id=\"find-others\" hidden"), "{own_page}");
    // Without a file there is one sentence, and nothing is added.
    let message = photo.screens.rejected(&format!("{path}/photo"), &[]);
    assert!(message.contains("no file chosen"), "{message}");
    // Removed, the hole is cut out of the photo of the face again.
    let remove = format!("/photo/{}/remove", close.id);
    let removed = photo.screens.post(&remove, &[]);
    let after = removed.headers[0].1.clone();
    assert!(after.starts_with(&format!("{path}?")), "{after}");
    let page = photo.screens.get(&after);
    assert!(page.contains("Photo removed. The hole stays."), "{page}");
    let (before, view) = page.split_once("/view.jpg").unwrap();
    assert!(before.ends_with(&format!("/photo/{}", photo.id)));
    assert!(!view.contains(&format!("/photo/{}/thumb.jpg", close.id)));

    // Undo brings it back, on the page of the hole.
    let restore = format!("/photo/{}/restore", close.id);
    let back = photo.screens.hidden(&after, &restore, "back").remove(0);
    assert_eq!(back, path);
    let next = photo.screens.submit(&restore, &[("back", &back)]);
    assert_eq!(next, path);
    let page = photo.screens.get(&path);
    let (first, _) = page.split_once("/view.jpg").unwrap();
    assert!(first.ends_with(&format!("/photo/{}", close.id)));
    let again = photo.screens.get(&after);
    assert!(!again.contains(&restore), "offered again");
}

/// A photo of the face leads to the face's page, also with Undo.
#[test]
fn a_removed_photo_of_the_face_is_brought_back_on_its_page() {
    let photo = Photo::new();
    let face = format!("/face/{}", photo.face);
    let removed = photo
        .screens
        .post(&format!("/photo/{}/remove", photo.id), &[]);
    let after = removed.headers[0].1.clone();
    assert!(after.starts_with(&format!("{face}?")), "{after}");
    let page = photo.screens.get(&after);
    assert!(page.contains("Photo removed with its marks."), "{page}");
    let restore = format!("/photo/{}/restore", photo.id);
    let back = photo.screens.hidden(&after, &restore, "back").remove(0);
    assert_eq!(photo.screens.submit(&restore, &[("back", &back)]), face);
    let found = photo.screens.notebook.face(photo.face).unwrap();
    assert_eq!(found.photos_of_face().count(), 1);
}

#[test]
fn a_note_is_one_tap_away_on_the_face_and_on_the_hole() {
    let screens = Screens::new();
    let (face, hole) = (screens.face(), screens.hole());
    for path in [format!("/face/{face}"), format!("/hole/{hole}")] {
        let page = screens.get(&path);
        // The label brings the keyboard up, also without a script.
        assert!(page.contains("<label class=\"button note-tap\" for=\"note-text\">Note</label>"));
        assert!(page.contains("id=\"note-text\" name=\"text\""));
        screens.submit(
            &format!("{path}/note"),
            &[("text", "Gasket was paper, .020")],
        );
        assert!(screens.get(&path).contains("Gasket was paper, .020"));
        screens.rejected(&format!("{path}/note"), &[("text", " ")]);
    }
}
