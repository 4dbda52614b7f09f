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
