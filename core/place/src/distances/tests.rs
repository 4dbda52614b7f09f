#![allow(clippy::unwrap_used)]

use super::*;
use crate::Point;
use crate::seeded::Seeded;

fn holes(count: u32) -> Vec<MeasuredHole> {
    let hole = |hole| MeasuredHole {
        hole,
        diameter_mm: Some(10.0),
        rough: None,
    };
    (1..=count).map(hole).collect()
}

fn distance(from: u32, to: u32, reading_mm: f64) -> Distance {
    Distance {
        from,
        to,
        reading_mm,
        across: Across::Centers,
        error_mm: 0.05,
    }
}

/// All distances of a figure.
fn all(places: &[Point], mut error: impl FnMut() -> f64) -> DistanceSurvey {
    let mut distances = Vec::new();
    for (at, place) in places.iter().enumerate() {
        for (from, other) in places[..at].iter().enumerate() {
            let reading = other.distance_mm(*place) + error();
            distances.push(distance(from as u32 + 1, at as u32 + 1, reading));
        }
    }
    DistanceSurvey {
        holes: holes(places.len() as u32),
        distances,
    }
}

#[test]
fn jaws_are_taken_off() {
    // A 3-4-5 triangle with holes of 10 mm.
    let across = |from, to, reading_mm, across| Distance {
        across,
        ..distance(from, to, reading_mm)
    };
    let survey = DistanceSurvey {
        holes: holes(3),
        distances: vec![
            across(1, 2, 40.0, Across::Centers),
            across(1, 3, 40.0, Across::FarSides),
            across(2, 3, 40.0, Across::NearSides),
        ],
    };
    let fit = solve(&survey).unwrap();
    assert!((fit.holes[1].x_mm - 40.0).abs() < 1e-9 && fit.holes[1].y_mm.abs() < 1e-9);
    assert!(fit.holes[2].x_mm.abs() < 1e-9 && (fit.holes[2].y_mm - 30.0).abs() < 1e-9);
    assert_eq!((fit.redundancy, fit.closure_mm), (0, None));
    assert_eq!(fit.warnings, [DistanceWarning::NotChecked]);
    assert_eq!(fit.best_next, None);
}

#[test]
fn exact_distances_give_the_figure_back() {
    let mut random = Seeded::new(11);
    for round in 0..60 {
        let count = 4 + round % 8;
        let places: Vec<Point> = (0..count)
            .map(|_| Point::new(random.even(0.0, 300.0), random.even(0.0, 300.0)))
            .collect();
        let survey = all(&places, || 0.0);
        let fit = solve(&survey).unwrap();
        for distance in &survey.distances {
            let at = |hole: u32| {
                let hole = fit.holes[hole as usize - 1];
                Point::new(hole.x_mm, hole.y_mm)
            };
            let off = at(distance.from).distance_mm(at(distance.to)) - distance.reading_mm;
            assert!(off.abs() < 1e-6, "{off}");
        }
    }
}

#[test]
fn errors_are_as_large_as_they_say() {
    let mut random = Seeded::new(12);
    let places = [
        (0.0, 0.0),
        (120.0, 0.0),
        (130.0, 80.0),
        (60.0, 110.0),
        (-10.0, 70.0),
    ]
    .map(|(x, y)| Point::new(x, y));
    let (mut squares, mut stated, mut closure) = (0.0, 0.0, 0.0);
    let rounds = 400;
    for _ in 0..rounds {
        let fit = solve(&all(&places, || random.normal(0.05))).unwrap();
        assert_eq!(fit.redundancy, 3);
        closure += fit.closure_mm.unwrap().powi(2) / f64::from(rounds);
        // The figure is laid on the truth as it fits best before its errors are counted.
        let survey = crate::pattern::Survey {
            wanted: fit
                .holes
                .iter()
                .map(|h| crate::pattern::WantedHole {
                    hole: h.hole,
                    x_mm: h.x_mm,
                    y_mm: h.y_mm,
                    error_mm: 0.0,
                })
                .collect(),
            found: (1..)
                .zip(places)
                .map(|(hole, p)| crate::pattern::FoundHole {
                    hole,
                    x_mm: p.x_mm,
                    y_mm: p.y_mm,
                    error_mm: 1.0,
                })
                .collect(),
            ..Default::default()
        };
        let laid = crate::pattern::fit(&survey).unwrap();
        squares += laid
            .holes
            .iter()
            .map(|h| h.residual_mm.unwrap().powi(2))
            .sum::<f64>();
        stated += fit
            .holes
            .iter()
            .map(|h| 2.0 * h.error_mm.powi(2))
            .sum::<f64>();
    }
    assert!((closure.sqrt() - 0.05).abs() < 0.005, "{}", closure.sqrt());
    // The stated error is raised where the readings scatter by chance, never lowered.
    let ratio = stated / squares;
    assert!((0.9..1.6).contains(&ratio), "{ratio}");
}

#[test]
fn a_wrong_reading_is_named() {
    let places = [
        (0.0, 0.0),
        (120.0, 0.0),
        (130.0, 80.0),
        (60.0, 110.0),
        (-10.0, 70.0),
    ]
    .map(|(x, y)| Point::new(x, y));
    let mut survey = all(&places, || 0.0);
    survey.distances[4].reading_mm += 2.0;
    let fit = solve(&survey).unwrap();
    let wrong = survey.distances[4];
    assert!(
        matches!(fit.warnings[..], [DistanceWarning::Suspect { from, to, .. }] if (from, to) == (wrong.from, wrong.to)),
        "{:?}",
        fit.warnings
    );
}

#[test]
fn the_distance_that_helps_most_is_across_a_long_row() {
    // A ladder of triangles: only neighbors are measured, so its ends are loose.
    let places: Vec<Point> = (0..8_i32)
        .map(|at| Point::new(f64::from(at) * 40.0, if at % 2 == 0 { 0.0 } else { 50.0 }))
        .collect();
    let mut survey = all(&places, || 0.0);
    survey
        .distances
        .retain(|distance| distance.to - distance.from <= 2);
    // Each hole hangs on two others, so a sketch tells on which side.
    for (hole, place) in survey.holes.iter_mut().zip(&places) {
        hole.rough = Some(Point::new(place.x_mm / 9.0 + 1.0, place.y_mm / 8.0));
    }
    let fit = solve(&survey).unwrap();
    let next = fit.best_next.unwrap();
    assert!(next.to - next.from >= 4, "{next:?}");
    assert!(next.error_left < 0.9, "{next:?}");
    let measured = places[next.from as usize - 1].distance_mm(places[next.to as usize - 1]);
    assert!((next.center_mm - measured).abs() < 1e-6);
    // Taking it brings what it promised.
    let variance = |fit: &DistanceFit| fit.holes.iter().map(|h| h.error_mm.powi(2)).sum::<f64>();
    survey
        .distances
        .push(distance(next.from, next.to, measured));
    let ratio = variance(&solve(&survey).unwrap()) / variance(&fit);
    assert!((ratio - next.error_left).abs() < 1e-6, "{ratio} {next:?}");
}

#[test]
fn a_hole_on_either_side_is_named() {
    // Hole 4 hangs on holes 1 and 2 only, so it may lie above or below them.
    let places =
        [(0.0, 0.0), (100.0, 0.0), (50.0, 80.0), (50.0, -60.0)].map(|(x, y)| Point::new(x, y));
    let mut survey = all(&places, || 0.0);
    survey
        .distances
        .retain(|distance| (distance.from, distance.to) != (3, 4));
    let fit = solve(&survey).unwrap();
    assert!(
        fit.warnings
            .contains(&DistanceWarning::EitherSide { hole: 4, to: 3 }),
        "{:?}",
        fit.warnings
    );
}

#[test]
fn bad_distances_get_one_clear_sentence() {
    let refusal = |count, distances: &[Distance]| {
        let survey = DistanceSurvey {
            holes: holes(count),
            distances: distances.to_vec(),
        };
        solve(&survey).unwrap_err().to_string()
    };
    assert!(refusal(1, &[]).contains("1 holes, but 2 are needed"));
    assert!(refusal(2, &[]).contains("0 distances"));
    assert!(refusal(2, &[distance(1, 9, 3.0)]).contains("hole 9 is not among the holes"));
    assert!(refusal(2, &[distance(1, 1, 3.0)]).contains("twice"));
    assert!(refusal(2, &[distance(1, 2, -3.0)]).contains("must be more than 0"));
    assert!(refusal(2, &[distance(1, 2, f64::NAN)]).contains("not a usable number"));
    let inside = Distance {
        across: Across::FarSides,
        ..distance(1, 2, 8.0)
    };
    assert!(refusal(2, &[inside]).contains("less the radii"));
    assert!(refusal(3, &[distance(1, 2, 30.0)]).contains("hole 3 cannot be placed"));
    let open = [
        distance(1, 2, 10.0),
        distance(1, 3, 10.0),
        distance(2, 3, 90.0),
    ];
    let text = refusal(3, &open);
    assert!(text.contains("make no triangle"), "{text}");
    let many = DistanceSurvey {
        holes: holes(200),
        distances: open.to_vec(),
    };
    assert!(
        solve(&many)
            .unwrap_err()
            .to_string()
            .contains("more than 100")
    );
}
