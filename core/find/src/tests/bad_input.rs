//! Odd pictures and marks get an error, never a panic.

use crate::{FindError, Pattern, Picture, Point, propose, propose_on_pattern, snap};
use proptest::prelude::*;

fn flat(width: u32, height: u32, gray: u8) -> Picture {
    Picture::new(width, height, &vec![gray; (width * height) as usize]).unwrap()
}

#[test]
fn a_picture_needs_its_pixels() {
    for (width, height, count) in [(0, 0, 0), (4, 4, 15), (u32::MAX, u32::MAX, 16)] {
        let picture = Picture::new(width, height, &vec![0; count]);
        assert_eq!(
            picture.err(),
            Some(FindError::NotAPicture { width, height })
        );
    }
}

#[test]
fn nothing_is_found_where_nothing_shows() {
    let picture = flat(300, 200, 90);
    let at = Point { x: 150.0, y: 100.0 };
    assert_eq!(propose(&picture, &[]).err(), Some(FindError::NoMarks));
    assert_eq!(propose(&picture, &[at]).err(), Some(FindError::NoRim));
    assert_eq!(snap(&picture, at, None).err(), Some(FindError::NoRim));
}

#[test]
fn marks_must_be_in_the_picture() {
    let picture = flat(300, 200, 90);
    for (x, y) in [
        (-1.0, 5.0),
        (5.0, 200.5),
        (f64::NAN, 5.0),
        (f64::INFINITY, 5.0),
    ] {
        let error = propose(&picture, &[Point { x, y }]).unwrap_err();
        assert!(
            matches!(error, FindError::OutsidePicture { .. }),
            "{x}, {y}: {error}"
        );
    }
}

#[test]
fn a_pattern_needs_two_different_marks() {
    let scene = super::scene::scene(1000, super::scene::Make::Milled, 800);
    let picture = scene.picture();
    let pattern = Pattern {
        places: scene.plan.clone(),
        error: 0.0,
    };
    let one = [(0, scene.holes[0])];
    let wrong = [(scene.holes.len(), scene.holes[0])];
    let few = propose_on_pattern(&picture, &pattern, &one).err();
    assert_eq!(few, Some(FindError::TooFewMarks));
    let error = propose_on_pattern(&picture, &pattern, &wrong).err();
    assert_eq!(error, Some(FindError::NotInPattern));
    let point = Pattern {
        places: vec![(1.0, 1.0); 3],
        error: 0.0,
    };
    let same = [(0, scene.holes[0]), (1, scene.holes[1])];
    assert_eq!(
        propose_on_pattern(&picture, &point, &same).err(),
        Some(FindError::TooFewMarks)
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn noise_never_panics(
        width in 1_u32..90, height in 1_u32..90, seed in any::<u64>(), x in 0.0..1.0, y in 0.0..1.0,
    ) {
        let mut random = super::noise::Random::new(seed);
        let gray: Vec<u8> = (0..width * height).map(|_| (random.unit() * 255.0) as u8).collect();
        let picture = Picture::new(width, height, &gray).unwrap();
        let at = Point { x: x * f64::from(width), y: y * f64::from(height) };
        if let Ok(rim) = snap(&picture, at, None) {
            prop_assert!(rim.center.x.is_finite() && rim.diameter().is_finite());
        }
        if let Ok(found) = propose(&picture, &[at]) {
            prop_assert!(found.iter().all(|it| (0.5..=1.0).contains(&it.sureness)));
        }
    }
}
