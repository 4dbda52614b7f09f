//! Holes are proposed in the sample's photo, and added once they are confirmed.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::notebook::PhotoId;
use std::path::{Path, PathBuf};

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/pump-end-cover")
}

/// The invented photo of the sample's face, with some of its 14 holes marked.
fn photo(screens: &Screens, marked: &[usize]) -> PhotoId {
    let face = screens.face();
    let file = sample().join("joint-face.jpg");
    let (photo, _) = screens.notebook.add_photo(face, &file, None).unwrap();
    let marks = std::fs::read_to_string(sample().join("marks.json")).unwrap();
    let marks: serde_json::Value = serde_json::from_str(&marks).unwrap();
    for &mark in marked {
        let hole = screens.notebook.add_hole(face, None, None).unwrap();
        let at = |axis: &str| marks["marks"][mark][axis].as_f64().unwrap();
        screens
            .notebook
            .mark(hole, photo, at("px"), at("py"), &[])
            .unwrap();
    }
    photo
}

/// The proposals of a page, as its form sends them.
fn proposals(page: &str) -> Vec<String> {
    let boxes = page.split("name=\"found\"").skip(1);
    let value = |it: &str| {
        it.split("value=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .to_owned()
    };
    boxes.map(value).collect()
}

#[test]
fn the_rest_of_the_face_is_proposed_and_added_when_it_is_confirmed() {
    let screens = Screens::new();
    let photo = photo(&screens, &[0, 4, 9]);
    let path = format!("/photo/{photo}/find");
    assert!(screens.get(&format!("/photo/{photo}")).contains(&path));
    let proposed = proposals(&screens.get(&path));
    assert!((10..=11).contains(&proposed.len()), "{proposed:?}");
    let marks = || screens.notebook.photo(photo).unwrap().marks.len();
    assert_eq!(marks(), 3, "looking records nothing");

    let add = format!("/photo/{photo}/add-found");
    let ticked: Vec<(&str, &str)> = proposed[1..]
        .iter()
        .map(|it| ("found", it.as_str()))
        .collect();
    let page = text(&screens.post(&add, &ticked));
    assert!(
        page.contains(&format!("{} holes added and marked.", ticked.len())),
        "{page}"
    );
    assert_eq!(marks(), 3 + ticked.len());
    // The one that was dropped is offered again, and nothing that is marked is.
    assert_eq!(proposals(&screens.get(&path)).len(), 1);
}

#[test]
fn odd_requests_add_nothing() {
    let screens = Screens::new();
    let photo = photo(&screens, &[0]);
    let add = format!("/photo/{photo}/add-found");
    let odd: [&[(&str, &str)]; 5] = [
        &[],
        &[("found", "x y")],
        &[("found", "NaN 3")],
        &[("found", "100 100"), ("found", "9999999 3")],
        &[("found", "100")],
    ];
    for fields in odd {
        screens.rejected(&add, fields);
    }
    assert_eq!(screens.notebook.photo(photo).unwrap().marks.len(), 1);
}

#[test]
fn without_a_mark_the_page_says_what_to_do() {
    let screens = Screens::new();
    let photo = photo(&screens, &[]);
    let page = screens.get(&format!("/photo/{photo}/find"));
    assert!(page.contains("Mark two or three holes first"));
}

/// The holes of the invented casting as it was drawn: number, inches to the right and up.
fn pattern_lines() -> String {
    let scenario = std::fs::read_to_string(sample().join("scenario.json")).unwrap();
    let scenario: serde_json::Value = serde_json::from_str(&scenario).unwrap();
    let holes = scenario["holes"].as_array().unwrap().iter();
    let line = |hole: &serde_json::Value| {
        let mm = |axis: &str| hole[axis].as_f64().unwrap();
        format!("{} {}mm {}mm\n", hole["number"], mm("x_mm"), mm("y_mm"))
    };
    holes.map(line).collect()
}

#[test]
fn with_a_pattern_the_holes_are_proposed_by_number_and_marked_as_they_are() {
    let screens = Screens::new();
    let photo = photo(&screens, &[0, 1, 2, 3, 4, 5]);
    let face = screens.notebook.photo(photo).unwrap().face;
    screens.submit(
        &format!("/face/{face}/pattern/lines"),
        &[("wanted-pattern", &pattern_lines())],
    );
    let path = format!("/photo/{photo}/find");
    let page = screens.get(&path);
    assert!(page.contains("of the pattern show"), "{page}");
    let proposed = proposals(&page);
    assert!((7..=8).contains(&proposed.len()), "{proposed:?}");
    let truth = std::fs::read_to_string(sample().join("marks.json")).unwrap();
    let truth: serde_json::Value = serde_json::from_str(&truth).unwrap();
    for place in &proposed {
        let mut words = place.split(' ').map(|word| word.parse::<f64>().unwrap());
        let (number, x, y) = (
            words.next().unwrap(),
            words.next().unwrap(),
            words.next().unwrap(),
        );
        let mark = &truth["marks"][number as usize - 1];
        let (px, py) = (mark["px"].as_f64().unwrap(), mark["py"].as_f64().unwrap());
        assert!(
            (x - px).hypot(y - py) < 25.0,
            "hole {number} at {x}, {y}, not {px}, {py}"
        );
    }
    let add = format!("/photo/{photo}/add-expected");
    let ticked: Vec<(&str, &str)> = proposed.iter().map(|it| ("found", it.as_str())).collect();
    let page = text(&screens.post(&add, &ticked));
    assert!(
        page.contains(&format!("{} holes marked.", ticked.len())),
        "{page}"
    );
    let view = screens.notebook.face(face).unwrap();
    assert_eq!(view.holes.len(), 6 + ticked.len());
    assert!(
        view.holes.iter().all(|hole| !hole.shares_number),
        "each has its own number"
    );
    let odd: [&[(&str, &str)]; 4] = [
        &[],
        &[("found", "9 x y")],
        &[("found", "100 100")],
        &[("found", "9 NaN 3")],
    ];
    for fields in odd {
        screens.rejected(&add, fields);
    }
}

#[test]
fn a_mark_snaps_to_its_rim_when_the_person_says_so() {
    let screens = Screens::new();
    let photo = photo(&screens, &[0, 4, 9]);
    let mark = &screens.notebook.photo(photo).unwrap().marks[1];
    let (hole, first) = (mark.hole, mark.entries.0[0].clone());
    let (x, y) = (first.body.x_px + 9.0, first.body.y_px - 7.0);
    screens
        .notebook
        .mark(hole, photo, x, y, &[first.entry])
        .unwrap();
    let hole = hole.to_string();
    let snap = format!("/photo/{photo}/snap");
    let page = text(&screens.post(&snap, &[("hole", &hole)]));
    assert!(page.contains("the middle of the rim is"), "{page}");
    let at = || {
        let marks = screens.notebook.photo(photo).unwrap().marks;
        let body = marks[1].entries.0[0].body;
        (body.x_px, body.y_px)
    };
    assert_eq!(at(), (x, y), "asking moves nothing");
    let form = page
        .split("<form")
        .find(|form| form.contains("Move the mark there"))
        .unwrap();
    let hidden = |name: &str| {
        let rest = form
            .split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap();
        rest.split('"').next().unwrap().to_owned()
    };
    let (x_px, y_px, replaces) = (hidden("x_px"), hidden("y_px"), hidden("replaces"));
    let fields = [
        ("hole", hole.as_str()),
        ("x_px", &x_px),
        ("y_px", &y_px),
        ("replaces", &replaces),
    ];
    screens.post(&format!("/photo/{photo}/mark"), &fields);
    let (x, y) = at();
    let miss = (x - first.body.x_px).hypot(y - first.body.y_px);
    assert!(miss < 6.0, "{miss} px off the true center");
    assert!(
        screens
            .rejected(&snap, &[("hole", "nothing")])
            .contains("no longer")
    );
}
