#![allow(clippy::unwrap_used)]

use super::*;
use crate::Point;
use crate::pattern::{FoundHole, WantedHole, fit_with_common_errors};
use crate::seeded::Seeded;

/// A camera above a face: where it stands, how far it leans, and how strong its lens bends.
struct Camera {
    lean: f64,
    turn: f64,
    height_mm: f64,
    focal_px: f64,
    bend: f64,
}

impl Camera {
    fn random(random: &mut Seeded) -> Self {
        Self {
            lean: random.even(0.0, 0.7),
            turn: random.even(-3.0, 3.0),
            height_mm: random.even(600.0, 1500.0),
            focal_px: 3000.0,
            bend: 0.0,
        }
    }

    /// The pixel of a place, by an ordinary pinhole.
    fn see(&self, at: Point) -> (f64, f64) {
        let (sin, cos) = self.turn.sin_cos();
        let (x, y) = (cos * at.x_mm - sin * at.y_mm, sin * at.x_mm + cos * at.y_mm);
        let (sin, cos) = self.lean.sin_cos();
        let (down, away) = (-y * cos, self.height_mm + y * sin);
        let (u, v) = (x / away, down / away);
        let bent = 1.0 + self.bend * (u * u + v * v);
        (
            2000.0 + self.focal_px * u * bent,
            1500.0 + self.focal_px * v * bent,
        )
    }
}

fn places(count: usize, random: &mut Seeded) -> Vec<Point> {
    (0..count)
        .map(|_| Point::new(random.even(-250.0, 250.0), random.even(-180.0, 180.0)))
        .collect()
}

fn known(camera: &Camera, at: Point, mut error_px: impl FnMut() -> f64) -> KnownPoint {
    let (px, py) = camera.see(at);
    KnownPoint {
        px: px + error_px(),
        py: py + error_px(),
        x_mm: at.x_mm,
        y_mm: at.y_mm,
        error_mm: 0.0,
        error_px: None,
    }
}

fn mark_at(px: f64, py: f64) -> Mark {
    Mark {
        px,
        py,
        error_px: None,
    }
}

fn survey(camera: &Camera, at: &[Point], marks: &[Point]) -> PhotoSurvey {
    let mark = |at: &Point| {
        let (px, py) = camera.see(*at);
        mark_at(px, py)
    };
    PhotoSurvey {
        known: at.iter().map(|at| known(camera, *at, || 0.0)).collect(),
        marks: marks.iter().map(mark).collect(),
        ..PhotoSurvey::default()
    }
}

const CORNERS: [Point; 4] = [
    Point::new(-250.0, -180.0),
    Point::new(250.0, -170.0),
    Point::new(240.0, 180.0),
    Point::new(-240.0, 175.0),
];

#[test]
fn four_points_give_every_mark_its_place() {
    let mut random = Seeded::new(21);
    for _ in 0..300 {
        let camera = Camera::random(&mut random);
        let marks = places(5, &mut random);
        let fit = measure(&survey(&camera, &CORNERS, &marks)).unwrap();
        for (point, mark) in fit.points.iter().zip(&marks) {
            assert!(Point::new(point.x_mm, point.y_mm).distance_mm(*mark) < 1e-6);
        }
        assert!(fit.residual_mm < 1e-6);
        assert!(fit.warnings.contains(&PlaneWarning::NotChecked));
        let map = Homography::fit(&survey(&camera, &CORNERS, &[])).unwrap();
        let (px, py) = camera.see(marks[0]);
        let (qx, qy) = map.pixel(marks[0]).unwrap();
        assert!((px - qx).hypot(py - qy) < 1e-6);
        assert!(map.place(px, py).unwrap().distance_mm(marks[0]) < 1e-6);
    }
}

/// Of simulated photos, the places miss the truth by the standard deviation given.
#[test]
fn errors_of_marks_are_as_large_as_they_say() {
    let mut random = Seeded::new(22);
    let (mut squares, mut count) = (0.0, 0.0);
    for round in 0..3_000 {
        let camera = Camera::random(&mut random);
        let mut at = CORNERS.to_vec();
        at.extend(places(round % 5, &mut random));
        let marks = places(2, &mut random);
        let mut survey = survey(&camera, &at, &marks);
        let error_px = 1.5;
        survey.mark_error_px = Some(error_px);
        for known in &mut survey.known {
            (known.px, known.py) = (
                known.px + random.normal(error_px),
                known.py + random.normal(error_px),
            );
        }
        for mark in &mut survey.marks {
            (mark.px, mark.py) = (
                mark.px + random.normal(error_px),
                mark.py + random.normal(error_px),
            );
        }
        let fit = measure(&survey).unwrap();
        for (point, mark) in fit.points.iter().zip(&marks) {
            let off = Point::new(point.x_mm, point.y_mm).distance_mm(*mark) / point.error_mm;
            squares += off * off / 2.0;
            count += 1.0;
        }
    }
    let ratio = (squares / count).sqrt();
    assert!((0.95..1.03).contains(&ratio), "{ratio}");
}

#[test]
fn two_points_give_scale_and_turn() {
    let camera = Camera {
        lean: 0.0,
        turn: 0.4,
        height_mm: 900.0,
        focal_px: 3000.0,
        bend: 0.0,
    };
    let marks = [Point::new(30.0, -20.0), Point::new(-100.0, 90.0)];
    for known in [2, 3] {
        let fit = measure(&survey(&camera, &CORNERS[..known], &marks)).unwrap();
        for (point, mark) in fit.points.iter().zip(&marks) {
            assert!(Point::new(point.x_mm, point.y_mm).distance_mm(*mark) < 1e-6);
        }
        assert_eq!(fit.warnings[0], PlaneWarning::TakenAsSquare);
    }
}

#[test]
fn what_is_doubtful_is_said() {
    let mut random = Seeded::new(23);
    let mut camera = Camera {
        lean: 0.0,
        turn: 0.0,
        height_mm: 700.0,
        focal_px: 3000.0,
        bend: 0.0,
    };
    let outside = measure(&survey(
        &camera,
        &CORNERS,
        &[Point::new(300.0, 0.0), Point::new(0.0, 0.0)],
    ))
    .unwrap();
    let far: Vec<_> = outside
        .warnings
        .iter()
        .filter(|w| matches!(w, PlaneWarning::Outside { .. }))
        .collect();
    assert!(
        matches!(far[..], [PlaneWarning::Outside { mark: 1, by_mm }] if (50.0..65.0).contains(by_mm)),
        "{far:?}"
    );

    camera.lean = 1.0;
    let oblique = measure(&survey(&camera, &CORNERS, &[])).unwrap();
    assert!(
        oblique.warnings.iter().any(
            |w| matches!(w, PlaneWarning::Oblique { tilt_deg } if (48.0..66.0).contains(tilt_deg))
        ),
        "{oblique:?}"
    );
    assert!(
        (oblique.tilt_deg - 57.3).abs() < 6.0,
        "{}",
        oblique.tilt_deg
    );

    camera.lean = 0.2;
    camera.bend = -0.08;
    let mut at = CORNERS.to_vec();
    at.extend(places(12, &mut random));
    let mut bent = survey(&camera, &at, &[]);
    (bent.width_px, bent.height_px) = (Some(4000.0), Some(3000.0));
    let bent = measure(&bent).unwrap();
    assert!(
        bent.warnings
            .iter()
            .any(|w| matches!(w, PlaneWarning::LensDistortion { .. })),
        "{bent:?}"
    );
    camera.bend = 0.0;
    let mut wrong = survey(&camera, &at, &[]);
    wrong.known[7].x_mm += 10.0;
    let wrong = measure(&wrong).unwrap();
    assert!(
        wrong
            .warnings
            .iter()
            .any(|w| matches!(w, PlaneWarning::WrongPoint { known: 8, .. })),
        "{wrong:?}"
    );
    let straight = measure(&survey(&camera, &at, &[])).unwrap();
    assert_eq!(straight.warnings, []);
}

#[test]
fn bad_points_get_one_clear_sentence() {
    let camera = Camera {
        lean: 0.3,
        turn: 0.0,
        height_mm: 900.0,
        focal_px: 3000.0,
        bend: 0.0,
    };
    let refusal = |survey: &PhotoSurvey| measure(survey).unwrap_err().to_string();
    let one = survey(&camera, &CORNERS[..1], &[]);
    assert!(refusal(&one).contains("1 known points, but 2 are needed"));
    let equal = survey(&camera, &[CORNERS[0]; 4], &[]);
    assert!(
        refusal(&equal).contains("all at one place"),
        "{}",
        refusal(&equal)
    );
    let line: Vec<Point> = (0..5_i32)
        .map(|at| Point::new(f64::from(at) * 40.0, 10.0))
        .collect();
    assert!(refusal(&survey(&camera, &line, &[])).contains("on one line"));
    let three_of_four = [line[0], line[1], line[2], CORNERS[2]];
    let text = refusal(&survey(&camera, &three_of_four, &[]));
    assert!(text.contains("three of four"), "{text}");
    let mut crossed = survey(&camera, &CORNERS, &[]);
    let moved = crossed.known[0];
    (crossed.known[0].px, crossed.known[0].py) = (crossed.known[1].px, crossed.known[1].py);
    (crossed.known[1].px, crossed.known[1].py) = (moved.px, moved.py);
    assert!(
        refusal(&crossed).contains("one flat face"),
        "{}",
        refusal(&crossed)
    );
    let mut nan = survey(&camera, &CORNERS, &[]);
    nan.marks.push(mark_at(f64::NAN, 0.0));
    assert!(refusal(&nan).contains("mark 1"));
    let thousand = survey(&camera, &places(1_000, &mut Seeded::new(9)), &[]);
    assert!(measure(&thousand).unwrap().residual_mm < 1e-6);
    let mut horizon = survey(
        &Camera {
            lean: 0.7,
            ..camera
        },
        &CORNERS,
        &[],
    );
    horizon.marks.push(mark_at(2000.0, -9000.0));
    assert!(refusal(&horizon).contains("mark 1 lies beyond the horizon"));
}

#[test]
fn photos_agree_or_are_named() {
    let point = |photo, x_mm| PhotoPoint {
        photo,
        hole: 7,
        x_mm,
        y_mm: 0.0,
        error_mm: 0.2,
    };
    let fine = compare_photos(&[point(1, 10.0), point(2, 10.3)]).unwrap();
    assert!(fine[0].disagreeing.is_empty() && (fine[0].x_mm - 10.15).abs() < 1e-12);
    assert!((fine[0].error_mm - 0.2 / 2.0_f64.sqrt()).abs() < 1e-12);
    let off = compare_photos(&[
        point(1, 10.0),
        point(2, 10.1),
        point(3, 10.0),
        point(4, 14.0),
    ])
    .unwrap();
    assert_eq!(off[0].disagreeing, [4]);
    assert!(compare_photos(&[point(1, 10.0), point(1, 10.1)]).is_err());
}

/// Of 10,000 simulated photos with known points and marks that are off by their stated errors, some
/// marks placed closer than others, the regions of 95 % hold the true place as often as they say; so
/// do those of the centers that the pattern predicts from the marks, where the known points' errors
/// are common to all marks.
#[test]
fn regions_of_95_percent_hold_the_truth_through_the_photo_plane() {
    let mut random = Seeded::new(20_261_201);
    let (mut marks_held, mut centers_held) = ([0, 0], [0, 0]);
    for round in 0..10_000 {
        let camera = Camera::random(&mut random);
        let mut at = CORNERS.to_vec();
        at.extend(places(round % 6, &mut random));
        let mut places = places(10, &mut random);
        let lost = places[9];
        places.truncate(9);
        let survey = with_errors(survey(&camera, &at, &places), &mut random);
        let fit = measure(&survey).unwrap();
        let point = fit.points[round % 9];
        let held = places[round % 9].distance_mm(Point::new(point.x_mm, point.y_mm));
        marks_held[usize::from(held <= point.radius95_mm)] += 1;

        places.push(lost);
        let center = predicted_tenth(&survey, &fit, &places, &mut random);
        let held = lost.distance_mm(Point::new(center.x_mm, center.y_mm));
        centers_held[usize::from(held <= center.radius95_mm)] += 1;
    }
    for (name, [out, within]) in [("marks", marks_held), ("centers", centers_held)] {
        let share = f64::from(within) / f64::from(within + out);
        assert!((0.93..=0.97).contains(&share), "{name}: {share}");
    }
}

/// Moves the known points and the marks by errors, and states these.
fn with_errors(mut survey: PhotoSurvey, random: &mut Seeded) -> PhotoSurvey {
    let known_mm = [0.02, 0.1, 0.3][random.below(3)];
    survey.mark_error_px = Some(1.5);
    for known in &mut survey.known {
        (known.px, known.py) = (known.px + random.normal(1.5), known.py + random.normal(1.5));
        known.x_mm += random.normal(known_mm);
        known.y_mm += random.normal(known_mm);
        known.error_mm = known_mm;
    }
    for (mark, at) in survey.marks.iter_mut().zip(0..) {
        let error_px = if at % 2 == 0 { 0.6 } else { 1.5 };
        mark.error_px = (at % 2 == 0).then_some(error_px);
        (mark.px, mark.py) = (
            mark.px + random.normal(error_px),
            mark.py + random.normal(error_px),
        );
    }
    survey
}

/// The center of the tenth hole by the pattern, which is turned and shifted against the photo's
/// places.
fn predicted_tenth(
    survey: &PhotoSurvey,
    fit: &PlaneFit,
    places: &[Point],
    random: &mut Seeded,
) -> crate::pattern::PredictedHole {
    let (sin, cos) = random.even(-3.0, 3.0).sin_cos();
    let wanted = (1..).zip(places).map(|(hole, at)| WantedHole {
        hole,
        x_mm: cos * at.x_mm - sin * at.y_mm + 40.0,
        y_mm: sin * at.x_mm + cos * at.y_mm - 25.0,
        error_mm: 0.0,
    });
    let found = (1..).zip(&fit.points).map(|(hole, point)| FoundHole {
        hole,
        x_mm: point.x_mm,
        y_mm: point.y_mm,
        error_mm: point.error_mm,
    });
    let pattern = crate::pattern::Survey {
        wanted: wanted.collect(),
        found: found.collect(),
        ..crate::pattern::Survey::default()
    };
    let common = common_errors(survey).unwrap();
    let fit = fit_with_common_errors(&pattern, &common).unwrap();
    fit.holes[9]
}
