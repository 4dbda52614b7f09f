#![allow(clippy::unwrap_used)]

use super::*;
use crate::seeded::Seeded;

fn reading(x_mm: f64, y_mm: f64, z_mm: f64) -> HeightReading {
    HeightReading { x_mm, y_mm, z_mm }
}

fn face(points: Vec<HeightReading>) -> FaceReadings {
    FaceReadings {
        points,
        holes: Vec::new(),
    }
}

fn grid(columns: u32, rows: u32, mut height: impl FnMut(f64, f64) -> f64) -> Vec<HeightReading> {
    let at = |at: u32| {
        (
            f64::from(at % columns) * 50.0,
            f64::from(at / columns) * 40.0,
        )
    };
    (0..columns * rows)
        .map(|index| {
            let (x, y) = at(index);
            reading(x, y, height(x, y))
        })
        .collect()
}

#[test]
fn a_true_plane_is_flat_however_it_leans() {
    let judged = judge(&face(grid(6, 5, |x, y| 3.0 + 0.01 * x - 0.02 * y))).unwrap();
    assert!(judged.flatness_minimum_zone_mm < 1e-9 && judged.flatness_least_squares_mm < 1e-9);
    assert!((judged.tilt_x_deg - 0.01_f64.atan().to_degrees()).abs() < 1e-9);
    assert!((judged.tilt_y_deg + 0.02_f64.atan().to_degrees()).abs() < 1e-9);
}

#[test]
fn one_high_corner_is_shared_out() {
    // A square with one corner up by 0.2: the planes lean with it, and half of it is left over.
    let points = [
        (0.0, 0.0, 0.2),
        (100.0, 0.0, 0.0),
        (100.0, 100.0, 0.0),
        (0.0, 100.0, 0.0),
    ];
    let judged = judge(&face(points.map(|(x, y, z)| reading(x, y, z)).to_vec())).unwrap();
    assert!(
        (judged.flatness_minimum_zone_mm - 0.1).abs() < 1e-6,
        "{judged:?}"
    );
    assert!((judged.face_cut_mm - 0.1).abs() < 1e-6);
    let lowest = judged.above_mm.iter().copied().fold(f64::MAX, f64::min);
    assert!(lowest.abs() < 1e-12);
}

/// Moving the zone's plane never makes it narrower, in any direction.
#[test]
fn no_neighboring_plane_is_better() {
    let mut random = Seeded::new(31);
    for round in 0..200 {
        let points = grid(3 + round % 4, 3, |_, _| random.normal(0.05));
        let zone = minimum_zone_plane(&points).unwrap();
        let width = |plane: &Plane| {
            let (low, high) = plane.range_mm(&points);
            high - low
        };
        let fitted = least_squares_plane(&points).unwrap();
        assert!(width(&zone) <= width(&fitted) + 1e-12);
        for _ in 0..40 {
            let moved = Plane {
                slope_x: zone.slope_x + random.normal(1e-5),
                slope_y: zone.slope_y + random.normal(1e-5),
                ..zone
            };
            assert!(width(&moved) >= width(&zone) - 1e-12);
        }
    }
}

#[test]
fn a_steep_face_is_measured_square_to_itself() {
    let mut random = Seeded::new(32);
    let points = grid(5, 4, |_, _| random.normal(0.1));
    let flat = judge(&face(points.clone())).unwrap();
    // The same face turned by 20 degrees about Y.
    let (sin, cos) = 20_f64.to_radians().sin_cos();
    let turned = points.iter().map(|p| {
        reading(
            cos * p.x_mm - sin * p.z_mm,
            p.y_mm,
            sin * p.x_mm + cos * p.z_mm,
        )
    });
    let steep = judge(&face(turned.collect())).unwrap();
    assert!((flat.flatness_minimum_zone_mm - steep.flatness_minimum_zone_mm).abs() < 1e-9);
    assert!((steep.tilt_x_deg - 20.0).abs() < 0.2);
}

#[test]
fn holes_lose_what_the_cut_takes_there() {
    let mut readings = face(grid(5, 4, |x, _| if x > 120.0 { 0.3 } else { 0.0 }));
    let hole = |hole, x_mm, y_mm| crate::HolePoint { hole, x_mm, y_mm };
    readings.holes = vec![
        hole(1, 0.0, 0.0),
        hole(2, 200.0, 120.0),
        hole(3, 125.0, 60.0),
    ];
    let judged = judge(&readings).unwrap();
    assert!((judged.holes[0].loses_mm - judged.above_mm[0]).abs() < 1e-12);
    assert!((judged.holes[1].loses_mm - judged.above_mm[19]).abs() < 1e-12);
    for hole in &judged.holes {
        assert!(
            hole.loses_mm <= hole.at_most_mm + 1e-12
                && hole.at_most_mm <= judged.face_cut_mm + 1e-12
        );
    }
}

#[test]
fn jacks_lift_the_face_level() {
    let points = grid(5, 5, |x, y| -0.002 * x + 0.001 * y);
    let jack = |jack, x_mm, y_mm| Jack {
        jack,
        x_mm,
        y_mm,
        lead_mm: 1.5,
    };
    let jacks = [
        jack(1, 0.0, 0.0),
        jack(2, 200.0, 0.0),
        jack(3, 200.0, 160.0),
        jack(4, 0.0, 160.0),
    ];
    let leveling = level(&points, &jacks).unwrap();
    let lift = |number: u32| {
        leveling
            .turns
            .iter()
            .find(|turn| turn.jack == number)
            .unwrap()
            .lift_mm
    };
    for point in &points {
        // The lifts are those of a plane, so any reading can be checked by the corners.
        let (u, v) = (point.x_mm / 200.0, point.y_mm / 160.0);
        let lifted = point.z_mm + lift(1) + u * (lift(2) - lift(1)) + v * (lift(4) - lift(1));
        assert!((lifted - 0.16).abs() < 1e-9, "{lifted}");
    }
    assert_eq!(lift(4), 0.0);
    assert!(leveling.turns.iter().all(|turn| turn.lift_mm >= 0.0));
    assert!((leveling.turns[0].turns - leveling.turns[0].lift_mm / 1.5).abs() < 1e-12);
    assert_eq!(leveling.turns.iter().filter(|turn| turn.carries).count(), 3);
    assert!(!leveling.turns[3].carries);
    assert!((leveling.out_of_level_mm - 0.56).abs() < 1e-9);
    let in_line = [jack(1, 0.0, 0.0), jack(2, 100.0, 0.0), jack(3, 200.0, 0.0)];
    assert!(
        level(&points, &in_line)
            .unwrap_err()
            .to_string()
            .contains("jacks lie on one line")
    );
    assert!(
        level(&points, &jacks[..2])
            .unwrap_err()
            .to_string()
            .contains("2 jacks, but 3")
    );
}

#[test]
fn a_drooping_table_leaves_the_ends_high() {
    let readings = TableReadings {
        one_end_mm: -0.08,
        middle_mm: 0.0,
        other_end_mm: -0.04,
        travel_mm: 600.0,
        face_mm: 300.0,
    };
    let found = table_droop(&readings).unwrap();
    assert!((found.droop_mm - 0.06).abs() < 1e-12 && (found.tilt_mm - 0.04).abs() < 1e-12);
    // Half the travel: a quarter of the droop.
    assert!((found.ends_high_mm - 0.015).abs() < 1e-12);
    assert!(
        table_droop(&TableReadings {
            face_mm: 700.0,
            ..readings
        })
        .is_err()
    );
    assert!(
        table_droop(&TableReadings {
            travel_mm: f64::NAN,
            ..readings
        })
        .is_err()
    );
}

#[test]
fn a_twisted_face_rocks_on_a_flat_one() {
    let flat = grid(3, 3, |_, _| 0.0);
    // One diagonal 0.1 up, the other down.
    let twisted = grid(3, 3, |x, y| 0.1 * (x - 50.0) / 50.0 * (y - 40.0) / 40.0);
    let rocking = rock(&flat, &twisted).unwrap();
    assert!((rocking.rocks_mm - 0.4).abs() < 1e-9, "{rocking:?}");
    assert!(rocking.is_felt);
    assert!(rocking.gaps_mm.iter().all(|gap| *gap >= 0.0));
    let still = rock(&flat, &flat).unwrap();
    assert!(!still.is_felt && still.rocks_mm < 1e-12);
    // A hollow face does not rock on its corners.
    let hollow = grid(3, 3, |x, y| {
        0.1 * (((x - 50.0) / 50.0).powi(2) + ((y - 40.0) / 40.0).powi(2))
    });
    assert!(!rock(&flat, &hollow).unwrap().is_felt);
    assert!(rock(&flat, &twisted[1..]).is_err());
}

#[test]
fn bad_readings_get_one_clear_sentence() {
    let refusal = |points: Vec<HeightReading>| judge(&face(points)).unwrap_err().to_string();
    assert!(refusal(vec![]).contains("0 readings, but 3 are needed"));
    assert!(refusal(vec![reading(0.0, 0.0, 0.0)]).contains("1 readings"));
    let line: Vec<_> = (0..9_i32)
        .map(|at| reading(f64::from(at) * 10.0, 0.0, 0.1))
        .collect();
    assert!(refusal(line).contains("on one line"));
    assert!(refusal(vec![reading(1.0, 1.0, 0.0); 5]).contains("all at one place"));
    let mut points = grid(3, 3, |_, _| 0.0);
    points[4].z_mm = f64::NAN;
    assert!(refusal(points.clone()).contains("the height of reading 5"));
    points[4].z_mm = 900.0;
    assert!(refusal(points).contains("check their unit"));
    let many = grid(101, 100, |_, _| 0.0);
    assert!(refusal(many).contains("more than 10000 readings"));
    let mut random = Seeded::new(33);
    let thousand = judge(&face(grid(40, 25, |_, _| random.normal(0.02)))).unwrap();
    assert!(thousand.flatness_minimum_zone_mm <= thousand.flatness_least_squares_mm);
}
