//! The sample casting: a picture by another renderer, which the weights were not fitted on.

use crate::{Look, Picture, Point, propose, snap};
use holebook_pixels::{Gray, Layout};
use std::path::PathBuf;

/// The sample's picture and where its holes are.
fn sample() -> (Picture, Vec<Point>) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../samples/pump-end-cover");
    let bytes = std::fs::read(folder.join("joint-face.jpg")).unwrap();
    let layout = Layout::of(&bytes).unwrap();
    let upright = Some(holebook_pixels::Orientation::Rotate90);
    let gray = Gray::of(&bytes, &layout, upright, 4096).unwrap();
    let marks = std::fs::read_to_string(folder.join("marks.json")).unwrap();
    let marks: serde_json::Value = serde_json::from_str(&marks).unwrap();
    let point = |mark: &serde_json::Value| Point {
        x: mark["px"].as_f64().unwrap(),
        y: mark["py"].as_f64().unwrap(),
    };
    let holes = marks["marks"]
        .as_array()
        .unwrap()
        .iter()
        .map(point)
        .collect();
    assert_eq!((gray.width, gray.height), (1800, 2400));
    (
        Picture::new(gray.width, gray.height, &gray.samples).unwrap(),
        holes,
    )
}

/// The sample's holes are worn, off center, broken out, or have a tap in them, so some rims are far
/// from their holes' intended centers.
#[test]
fn holes_of_the_sample_are_proposed_and_nothing_else() {
    let (picture, holes) = sample();
    for marked in [[0, 4, 9], [1, 6, 11], [3, 8, 12]] {
        let marks: Vec<Point> = marked.iter().map(|&hole| holes[hole]).collect();
        let look = Look::learn(&picture, &marks).unwrap();
        let diameter = 2.0 * look.shape.radius();
        let nearest = |center: Point| {
            let off = holes.iter().map(|hole| hole.distance(center));
            off.fold(f64::INFINITY, f64::min) / diameter
        };
        let proposals = propose(&picture, &marks).unwrap();
        assert!(proposals.len() >= 10, "{} of 11", proposals.len());
        assert!(proposals.iter().all(|it| nearest(it.rim.center) < 0.4));
        let snapped = holes.iter().filter(|&&hole| {
            let tap = Point {
                x: hole.x + 0.2 * diameter,
                y: hole.y - 0.15 * diameter,
            };
            snap(&picture, tap, Some(&look))
                .is_ok_and(|rim| rim.center.distance(hole) < 0.1 * diameter)
        });
        assert!(snapped.count() >= 10);
    }
}

/// One marked hole is enough to begin with.
#[test]
fn one_mark_finds_the_size() {
    let (picture, holes) = sample();
    let rim = snap(&picture, holes[0], None).unwrap();
    assert!(
        rim.center.distance(holes[0]) < 0.1 * rim.diameter(),
        "{rim:?}"
    );
    assert!((35.0..85.0).contains(&rim.diameter()), "{rim:?}");
}
