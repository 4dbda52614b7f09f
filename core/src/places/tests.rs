//! The centers of faces with known truth, seen by a camera of known place.
#![allow(clippy::unwrap_used)]

use super::centers::{Basis, Centers, CentersError, FacePlaces, HolePlace, centers};
use super::height::{HeightsError, judge};
use super::outline::{
    IntendedCenter, OutlineCenter, OutlineError, OutlineScale, by_plane, by_rims,
};
use super::photos::{PhotoMark, PhotoPlaces};
use super::plane::{PhotoPlane, PlaneBasis, PlaneError};
use super::record::{
    FaceHeights, HeightAt, HeightTool, KnownPlace, OffsetSource, PatternHole, PatternSource,
    WantedPattern,
};
use crate::hole::condition::Condition;
use crate::hole::record::{FaceMilled, FaceRecord};
use crate::hole::testing::{mm, recorded};
use crate::id::PhotoId;
use holebook_place::{HolePoint, Point};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::f64::consts::TAU;

/// Twelve holes on a circle of 200 mm, numbered from 1; an invented flange.
fn flange() -> WantedPattern {
    let holes = (0..12).map(|at| {
        let (sin, cos) = (TAU * f64::from(at) / 12.0).sin_cos();
        hole(at + 1, 100.0 * cos, 100.0 * sin)
    });
    WantedPattern {
        holes: holes.collect(),
        source: PatternSource::Layout,
        tolerance: None,
        from_back: false,
        distances: Vec::new(),
        jaw_diameter: None,
        note: None,
    }
}

fn hole(number: u32, x_mm: f64, y_mm: f64) -> PatternHole {
    PatternHole {
        hole: number,
        x: mm((x_mm * 1e6).round() / 1e6),
        y: mm((y_mm * 1e6).round() / 1e6),
    }
}

/// An oblique camera: where a place on the face is in the photo.
fn camera(x_mm: f64, y_mm: f64) -> (f64, f64) {
    let (x, y) = (0.96 * x_mm - 0.28 * y_mm, 0.28 * x_mm + 0.96 * y_mm);
    let depth = 1.0 + 0.0012 * y - 0.0004 * x;
    (2_000.0 + 12.0 * x / depth, 1_500.0 - 10.0 * y / depth)
}

/// The face with all holes graded sound and marked where they are; some of them moved, mm.
fn photographed(pattern: &WantedPattern, moved: &[(u32, f64, f64)]) -> FacePlaces {
    let marks = pattern.holes.iter().map(|hole| {
        let off = moved.iter().find(|moved| moved.0 == hole.hole);
        let (x, y) = off.map_or((0.0, 0.0), |off| (off.1, off.2));
        by_hand(hole.hole, camera(hole.x.mm() + x, hole.y.mm() + y))
    });
    let holes = pattern.holes.iter().map(|hole| HolePlace {
        number: hole.hole,
        condition: Some(Condition::Sound),
        at: None,
        tolerance: None,
    });
    FacePlaces {
        holes: holes.collect(),
        photos: vec![PhotoPlaces {
            photo: PhotoId::fresh(),
            width_px: 4_000,
            height_px: 3_000,
            marks: marks.collect(),
            known: Vec::new(),
        }],
    }
}

fn by_hand(number: u32, (x_px, y_px): (f64, f64)) -> PhotoMark {
    PhotoMark {
        number,
        x_px,
        y_px,
        rim_radius_px: None,
    }
}

fn grade(face: &mut FacePlaces, number: u32, condition: Condition) {
    for hole in &mut face.holes {
        if hole.number == number {
            hole.condition = Some(condition);
        }
    }
}

fn unmark(face: &mut FacePlaces, number: u32) {
    face.photos[0].marks.retain(|mark| mark.number != number);
}

#[test]
fn a_lost_center_is_found_by_the_marks_of_the_others() {
    let pattern = flange();
    let mut face = photographed(&pattern, &[]);
    unmark(&mut face, 7);
    let found = centers(&pattern, &face, None).unwrap();
    assert_eq!((found.basis, found.agreeing), (Basis::Photo, 11));
    let lost: Vec<u32> = numbers(&found, |center| center.lost);
    assert_eq!(lost, [7]);
    let center = &found.holes[6];
    let there = center.in_photo.unwrap();
    let (px, py) = camera(center.x_mm, center.y_mm);
    assert!((there.x_px - px).hypot(there.y_px - py) < 0.01, "{there:?}");
    assert!(
        center.off.is_none() && center.radius95_mm < 1.5,
        "{center:?}"
    );
}

fn numbers(found: &Centers, is: impl Fn(&super::Center) -> bool) -> Vec<u32> {
    let holes = found.holes.iter().filter(|center| is(center));
    holes.map(|center| center.number).collect()
}

#[test]
fn a_hole_graded_off_center_says_how_far_and_which_way_in_the_photo() {
    let pattern = flange();
    let mut face = photographed(&pattern, &[(4, 3.0, -4.0)]);
    grade(&mut face, 4, Condition::OffCenter);
    let found = centers(&pattern, &face, None).unwrap();
    let off = found.holes[3].off.unwrap();
    assert!((off.by_mm - 5.0).abs() < 0.02 && off.wandered, "{off:?}");
    assert!(off.tolerance_mm > 0.1 && off.tolerance_mm < 3.0, "{off:?}");
    assert_eq!(off.source, OffsetSource::PhotoPlane);
    let (at, there) = (camera(0.0, 100.0), camera(3.0, 96.0));
    let direction = (at.1 - there.1).atan2(there.0 - at.0).to_degrees();
    assert!((off.direction_deg - direction).abs() < 0.5, "{off:?}");
    assert!(found.holes[3].lost && !found.holes[3].used);
}

#[test]
fn sound_holes_that_wandered_are_left_out_though_a_third_of_them_lie() {
    let pattern = flange();
    let moved = [
        (2, 9.0, 2.0),
        (5, -8.0, 6.0),
        (9, 3.0, 11.0),
        (12, -7.0, -7.0),
    ];
    let face = photographed(&pattern, &moved);
    let found = centers(&pattern, &face, None).unwrap();
    assert_eq!(numbers(&found, |center| !center.used), [2, 5, 9, 12]);
    for (number, x, y) in moved {
        let off = found.holes[number as usize - 1].off.unwrap();
        assert!(
            (off.x_mm - x).hypot(off.y_mm - y) < 0.05,
            "{number} {off:?}"
        );
    }
}

#[test]
fn measured_places_come_before_marks() {
    let pattern = flange();
    let mut face = photographed(&pattern, &[]);
    for (place, wanted) in face.holes.iter_mut().zip(&pattern.holes).take(5) {
        // Turned by 90 degrees and moved.
        place.at = Some((mm(300.0 - wanted.y.mm()), mm(50.0 + wanted.x.mm())));
        place.tolerance = Some(mm(0.05));
    }
    let found = centers(&pattern, &face, None).unwrap();
    assert_eq!((found.basis, found.agreeing), (Basis::Places, 5));
    let seventh = &found.holes[6];
    let wanted = pattern.holes[6];
    assert!((seventh.x_mm - (300.0 - wanted.y.mm())).abs() < 1e-3);
    assert!((seventh.y_mm - (50.0 + wanted.x.mm())).abs() < 1e-3);
    assert!(seventh.in_photo.is_some() && seventh.lost);
}

#[test]
fn known_points_make_a_photo_measurable() {
    let pattern = flange();
    let mut face = photographed(&pattern, &[(3, 2.0, 0.0)]);
    face.photos[0].known = corners();
    let good: BTreeSet<u32> = [1, 5, 9, 11].into();
    let found = centers(&pattern, &face, Some(&good)).unwrap();
    assert_eq!((found.basis, found.agreeing), (Basis::Places, 4));
    let off = found.holes[2].off.unwrap();
    assert!(
        (off.x_mm - 2.0).abs() < 0.05 && off.y_mm.abs() < 0.05,
        "{off:?}"
    );
}

/// Corners and the middle of the face, as the camera shows them.
fn corners() -> Vec<KnownPlace> {
    let corners = [
        (-150.0, -150.0),
        (150.0, -150.0),
        (150.0, 150.0),
        (-150.0, 150.0),
        (0.0, 0.0),
    ];
    let known = corners.map(|(x, y)| {
        let (x_px, y_px) = camera(x, y);
        KnownPlace {
            x_px,
            y_px,
            x: mm(x),
            y: mm(y),
            tolerance: None,
        }
    });
    known.to_vec()
}

/// The face in several photos with known points; in each, some marks moved, mm.
fn photographed_by(pattern: &WantedPattern, moved: &[&[(u32, f64, f64)]]) -> FacePlaces {
    let mut all = photographed(pattern, &[]);
    let photos = moved.iter().map(|moved| {
        let mut one = photographed(pattern, moved).photos.remove(0);
        one.known = corners();
        one
    });
    all.photos = photos.collect();
    all
}

/// Of two photos nothing tells which is right, so the hole is left out; of three, the odd one is.
#[test]
fn photos_that_disagree_about_a_hole_are_named_and_not_averaged() {
    let pattern = flange();
    let agreeing = photographed_by(&pattern, &[&[], &[(3, 0.3, 0.0)]]);
    let fine = centers(&pattern, &agreeing, None).unwrap();
    assert_eq!((fine.agreeing, fine.differing.len()), (12, 0));
    let two = photographed_by(&pattern, &[&[], &[(3, 6.0, 0.0)]]);
    let found = centers(&pattern, &two, None).unwrap();
    assert_eq!((found.basis, found.agreeing), (Basis::Places, 11));
    let [differs] = &found.differing[..] else {
        panic!("{:?}", found.differing);
    };
    assert_eq!((differs.number, differs.left_out), (3, true));
    assert_eq!(differs.photos.len(), 2);
    assert!((differs.by_mm - 6.0).abs() < 0.01, "{differs:?}");
    let third = &found.holes[2];
    assert!(
        third.off.is_none() && !third.used && !third.lost,
        "{third:?}"
    );

    let three = photographed_by(&pattern, &[&[], &[(3, 6.0, 0.0)], &[]]);
    let found = centers(&pattern, &three, None).unwrap();
    let [differs] = &found.differing[..] else {
        panic!("{:?}", found.differing);
    };
    assert_eq!(differs.photos, [three.photos[1].photo]);
    assert!(!differs.left_out && found.agreeing == 12, "{differs:?}");
    assert!(found.holes[2].off.unwrap().by_mm < 0.01);
    let mut measured = two;
    let wanted = pattern.holes[2];
    measured.holes[2].at = Some((wanted.x, wanted.y));
    let found = centers(&pattern, &measured, None).unwrap();
    assert_eq!(found.differing, []);
}

/// Without known points each photo is measured by the pattern.
#[test]
fn photos_are_compared_by_the_pattern_too() {
    let pattern = flange();
    let mut face = photographed(&pattern, &[]);
    let other = photographed(&pattern, &[(5, 8.0, 0.0)]).photos.remove(0);
    face.photos.push(other);
    let found = centers(&pattern, &face, None).unwrap();
    let [differs] = &found.differing[..] else {
        panic!("{:?}", found.differing);
    };
    assert_eq!((differs.number, differs.left_out), (5, false));
    assert!((differs.by_mm - 8.0).abs() < 0.05, "{differs:?}");
    assert_eq!((found.basis, found.agreeing), (Basis::Photo, 12));
}

/// A photo that cannot be measured does not keep the others from it.
#[test]
fn a_photo_with_known_points_on_one_line_is_left_out() {
    let pattern = flange();
    let mut face = photographed_by(&pattern, &[&[], &[]]);
    for (known, at) in face.photos[1].known.iter_mut().zip(0..) {
        (known.x_px, known.y_px) = (500.0 + 100.0 * f64::from(at), 500.0);
    }
    let found = centers(&pattern, &face, None).unwrap();
    assert_eq!(found.agreeing, 12);
    assert!(
        found.warnings[0].starts_with("photo 2 was not used"),
        "{:?}",
        found.warnings
    );
}

/// Marks at the middle of rims make centers surer than marks by hand; errors of the known points,
/// which all marks share, are not averaged away.
#[test]
fn how_sure_a_center_is_follows_from_how_marks_and_points_were_placed() {
    let pattern = flange();
    let by_hand = photographed(&pattern, &[]);
    let mut by_rim = by_hand.clone();
    for mark in &mut by_rim.photos[0].marks {
        mark.rim_radius_px = Some(30.0);
    }
    let radius = |face: &FacePlaces| centers(&pattern, face, None).unwrap().holes[6].radius95_mm;
    // 2.4 against 4 pixels.
    let ratio = radius(&by_rim) / radius(&by_hand);
    assert!((ratio - 0.6).abs() < 0.01, "{ratio}");

    let mut exact = photographed_by(&pattern, &[&[]]);
    let mut rough = exact.clone();
    for mark in exact.photos[0]
        .marks
        .iter_mut()
        .chain(&mut rough.photos[0].marks)
    {
        mark.rim_radius_px = Some(30.0);
    }
    for known in &mut rough.photos[0].known {
        known.tolerance = Some(mm(4.0));
    }
    // Five points of 2 mm each hold the middle of the face to .9 mm in each coordinate at best.
    assert!(radius(&exact) < 1.0, "{}", radius(&exact));
    assert!(radius(&rough) > 2.4 * 0.9, "{}", radius(&rough));
}

fn hole_points(pattern: &WantedPattern) -> Vec<HolePoint> {
    let points = pattern.holes.iter().map(|hole| HolePoint {
        hole: hole.hole,
        x_mm: hole.x.mm(),
        y_mm: hole.y.mm(),
    });
    points.collect()
}

/// By the marked holes, of which one wandered, or by known points where no hole's place is known.
#[test]
fn a_photo_is_a_map_of_its_face() {
    let pattern = flange();
    let mut photo = photographed(&pattern, &[(4, 9.0, 0.0)]).photos.remove(0);
    let plane = PhotoPlane::of(photo.clone(), &hole_points(&pattern)).unwrap();
    assert_eq!(plane.by, PlaneBasis::Holes(11));
    let (px, py) = camera(30.0, -20.0);
    let place = plane.place(px, py).unwrap();
    assert!(
        place.distance_mm(Point::new(30.0, -20.0)) < 1e-3,
        "{place:?}"
    );
    let bounds = plane.bounds();
    assert!((bounds.width_mm() - 260.0).abs() < 0.01, "{bounds:?}");
    let nothing = PhotoPlane::of(photo.clone(), &[]).err();
    assert_eq!(nothing, Some(PlaneError::NothingKnown));

    photo.known = corners();
    let plane = PhotoPlane::of(photo.clone(), &[]).unwrap();
    assert_eq!(plane.by, PlaneBasis::KnownPoints(5));
    let holes = plane.holes().unwrap();
    let (number, at) = holes[3];
    let off = Point::new(at.x_mm, at.y_mm).distance_mm(Point::new(9.0, 100.0));
    assert!(number == 4 && off < 1e-3, "{number}: {off}");
    let mut turned = pattern.clone();
    for hole in &mut turned.holes {
        hole.x = -hole.x;
    }
    photo.known.clear();
    let error = PhotoPlane::of(photo, &hole_points(&turned)).err();
    assert_eq!(error, Some(PlaneError::TurnedOver));
}

/// A crater of 24 mm, 4 mm off to the right and 3 mm up, traced through an oblique camera; and by the
/// rim of a known thread in a photo that nothing else makes measurable.
#[test]
fn a_traced_crater_has_its_size_and_offset() {
    let pattern = flange();
    let photo = photographed(&pattern, &[]).photos.remove(0);
    let plane = PhotoPlane::of(photo.clone(), &hole_points(&pattern)).unwrap();
    let edge: Vec<(f64, f64)> = (0..20)
        .map(|at| {
            let (sin, cos) = (TAU * f64::from(at) / 20.0).sin_cos();
            camera(4.0 + 12.0 * cos, 3.0 + 12.0 * sin)
        })
        .collect();
    let (x_px, y_px) = camera(0.0, 0.0);
    let center = IntendedCenter {
        x_px,
        y_px,
        error_px: None,
        from: OutlineCenter::Pattern,
    };
    let found = by_plane(&plane, &edge, &center).unwrap();
    assert!((found.diameter_mm - 24.0).abs() < 0.01, "{found:?}");
    assert!((found.offset_mm - 5.0).abs() < 0.01, "{found:?}");
    let (px, py) = camera(4.0, 3.0);
    let toward = (y_px - py).atan2(px - x_px).to_degrees();
    assert!((found.direction_deg - toward).abs() < 0.5, "{found:?}");
    assert!(
        (0.05..1.5).contains(&found.diameter_tolerance_mm),
        "{found:?}"
    );

    // 12 pixels a millimeter to the right, 10 down: as if square, within the tolerance it says.
    let rims = [(60.0, 10.0), (58.0, 10.0), (62.0, 10.0)];
    let rough = by_rims(&photo, &rims, &edge, &center).unwrap();
    assert_eq!(rough.scale, OutlineScale::Thread);
    assert!(
        (rough.diameter_mm - 24.0).abs() < rough.diameter_tolerance_mm,
        "{rough:?}"
    );
    assert_eq!(
        by_rims(&photo, &[], &edge, &center),
        Err(OutlineError::NoScale)
    );
    let few = by_plane(&plane, &edge[..2], &center).unwrap_err();
    assert!(few.to_string().contains("3 are needed"), "{few}");
}

#[test]
fn what_cannot_be_told_is_refused_with_a_sentence() {
    let pattern = flange();
    let nothing = centers(&pattern, &FacePlaces::default(), None);
    assert_eq!(nothing, Err(CentersError::TooFew { have: 0 }));
    let mut one = photographed(&pattern, &[]);
    one.photos[0].marks.truncate(1);
    assert_eq!(
        centers(&pattern, &one, None),
        Err(CentersError::TooFew { have: 1 })
    );

    // Taken from the back: X counts the other way.
    let mut back = flange();
    for hole in &mut back.holes {
        hole.x = -hole.x;
    }
    let face = photographed(&pattern, &[]);
    assert_eq!(centers(&back, &face, None), Err(CentersError::TurnedOver));
    back.from_back = true;
    assert_eq!(centers(&back, &face, None).unwrap().agreeing, 12);

    // Six holes on one line tell nothing about the perspective.
    let line = WantedPattern {
        holes: (1..=6)
            .map(|at| hole(at, f64::from(at) * 30.0, 0.0))
            .collect(),
        ..flange()
    };
    let error = centers(&line, &photographed(&line, &[]), None).unwrap_err();
    assert!(error.to_string().contains("on one line"), "{error}");
    // Marks at one place.
    let mut same = photographed(&pattern, &[]);
    for mark in &mut same.photos[0].marks {
        (mark.x_px, mark.y_px) = (700.0, 700.0);
    }
    let error = centers(&pattern, &same, None).unwrap_err();
    assert!(error.to_string().len() > 20, "{error}");
    let mut wild = photographed(&pattern, &[]);
    for (at, mark) in (0..).zip(&mut wild.photos[0].marks) {
        (mark.x_px, mark.y_px) = (
            f64::from(at * 977 % 4_000),
            f64::from(at * at * 613 % 3_000),
        );
    }
    assert!(matches!(
        centers(&pattern, &wild, None),
        Err(CentersError::NoAgreement { .. } | CentersError::Place(_))
    ));
}

#[test]
fn a_thousand_holes_are_fitted() {
    let holes =
        (0..1_000).map(|at| hole(at + 1, f64::from(at % 40) * 10.0, f64::from(at / 40) * 10.0));
    let pattern = WantedPattern {
        holes: holes.collect(),
        ..flange()
    };
    pattern.validate().unwrap();
    let places = pattern.holes.iter().map(|hole| HolePlace {
        number: hole.hole,
        condition: Some(Condition::Sound),
        at: (hole.hole % 3 > 0).then_some((hole.x, hole.y)),
        tolerance: None,
    });
    let face = FacePlaces {
        holes: places.collect(),
        photos: Vec::new(),
    };
    let found = centers(&pattern, &face, None).unwrap();
    assert_eq!(numbers(&found, |center| center.lost).len(), 333);
}

#[test]
fn heights_count_until_the_face_is_cut() {
    let heights = |tool, reading: fn(f64, f64) -> f64| {
        let points = [
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 80.0),
            (0.0, 80.0),
            (50.0, 40.0),
        ];
        let points = points.map(|(x, y)| HeightAt {
            x: mm(x),
            y: mm(y),
            reading: mm(reading(x, y)),
        });
        FaceHeights {
            points: points.to_vec(),
            tool,
            instrument: None,
            tolerance: Some(mm(0.01)),
        }
    };
    let face = FaceRecord::default();
    assert_eq!(judge(&[], &face, Vec::new()), Err(HeightsError::None));
    // Hollow by .2 mm, read by an indicator or by feelers: the same face.
    let hollow = |x: f64, _: f64| if x == 50.0 { -0.2 } else { 0.0 };
    let read = recorded(heights(HeightTool::Indicator, hollow));
    let state = judge(std::slice::from_ref(&read), &face, Vec::new()).unwrap();
    assert!((state.flatness.face_cut_mm - 0.2).abs() < 1e-9);
    assert!(
        state.planned >= mm(0.22) && state.planned < mm(0.25),
        "{:?}",
        state.planned
    );
    let gap = |x: f64, _: f64| if x == 50.0 { 0.2 } else { 0.0 };
    let feelers = recorded(heights(HeightTool::Feeler, gap));
    let same = judge(&[feelers], &face, Vec::new()).unwrap();
    assert_eq!(same.flatness, state.flatness);

    let milled = recorded(FaceMilled {
        removed: mm(0.3),
        ..FaceMilled::default()
    });
    let cut = FaceRecord {
        milled: vec![milled],
        ..FaceRecord::default()
    };
    assert_eq!(
        judge(std::slice::from_ref(&read), &cut, Vec::new()),
        Err(HeightsError::BeforeCut)
    );
    let flat = recorded(heights(HeightTool::Indicator, |_, _| 0.0));
    let after = judge(&[read, flat], &cut, Vec::new()).unwrap();
    assert_eq!((after.points.len(), after.flatness.face_cut_mm), (5, 0.0));
    assert!(
        after.planned >= mm(0.32),
        "what was removed counts: {:?}",
        after.planned
    );
}

proptest! {
    /// Wherever the pattern's zero is, the photo shows the same centers.
    #[test]
    fn moving_the_pattern_moves_no_center_in_the_photo(
        dx in -500.0..500.0_f64, dy in -500.0..500.0_f64, lost in 1..=12_u32,
    ) {
        let pattern = flange();
        let mut face = photographed(&pattern, &[]);
        unmark(&mut face, lost);
        let mut moved = pattern.clone();
        for hole in &mut moved.holes {
            (hole.x, hole.y) = (hole.x + mm(dx.round()), hole.y + mm(dy.round()));
        }
        let (here, there) = (centers(&pattern, &face, None).unwrap(), centers(&moved, &face, None).unwrap());
        let at = lost as usize - 1;
        let (here, there) = (here.holes[at].in_photo.unwrap(), there.holes[at].in_photo.unwrap());
        prop_assert!((here.x_px - there.x_px).hypot(here.y_px - there.y_px) < 1e-3);
        prop_assert!((here.radius_px - there.radius_px).abs() < 1e-2 * here.radius_px);
    }

    /// No numbers from a file make the centers panic.
    #[test]
    fn odd_numbers_are_refused_or_fitted(
        marks in prop::collection::vec((0..14_u32, -1e9..1e9_f64, -1e9..1e9_f64), 0..20),
    ) {
        let pattern = flange();
        let mut face = photographed(&pattern, &[]);
        let mut seen = BTreeSet::new();
        face.photos[0].marks = marks
            .into_iter()
            .filter(|mark| seen.insert(mark.0))
            .map(|(number, x, y)| by_hand(number, (x, y)))
            .collect();
        if let Err(error) = centers(&pattern, &face, None) {
            prop_assert!(error.to_string().len() > 20);
        }
    }
}
