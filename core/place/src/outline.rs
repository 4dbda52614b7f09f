//! The circle of an outline: points along an edge that somebody traced.
//!
//! Least squares of the distances from the circle (geometric fit), from an algebraic start.

use crate::linear::{apply, inverse, product, transposed};
use crate::{PlaceError, Point, input};
use serde::{Deserialize, Serialize};

/// Rounds of refinement.
const ROUNDS: usize = 60;
/// A step smaller than this share of the radius has settled.
const SETTLED: f64 = 1e-13;
/// A hand that traces an edge strays slowly, so more points than this tell no more. Judgment.
const INDEPENDENT: f64 = 8.0;
/// A radius so many times as large as the outline tells of a straight line.
const STRAIGHT: f64 = 100.0;

/// Points along an edge.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TracedEdge {
    /// The points, at least three.
    pub points: Vec<Point>,
    /// The standard deviation of each coordinate, mm.
    pub error_mm: f64,
}

/// The circle that fits an edge best.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OutlineCircle {
    /// Its center, to the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// The standard deviation of each coordinate of the center, mm.
    pub center_error_mm: f64,
    /// The standard deviation of the diameter, mm.
    pub diameter_error_mm: f64,
    /// The root mean square distance of the points from it, mm.
    pub residual_mm: f64,
}

/// Center and radius.
type Circle = [f64; 3];

/// Fits a circle.
///
/// # Errors
/// If a number is not usable, there are fewer than three points, or they lie on one line.
pub fn circle(edge: &TracedEdge) -> Result<OutlineCircle, PlaceError> {
    const WHAT: &str = "points of the edge";
    let points = &edge.points;
    input::count(points.len(), 3, WHAT)?;
    for (point, at) in points.iter().zip(1..) {
        input::point(*point, || format!("point {at} of the edge"))?;
    }
    let error_mm = input::error(edge.error_mm, || "the error of the edge".to_owned())?;
    let spread = input::spread_out(points, WHAT)?;
    let line = || PlaceError::OneLine { what: WHAT };
    let mut circle = start(points, spread.center, spread.along_mm).ok_or_else(line)?;
    for _ in 0..ROUNDS {
        let step = step(points, &circle).ok_or_else(line)?;
        circle = std::array::from_fn(|at| circle[at] + step[at]);
        let largest = step.iter().fold(0.0_f64, |most, it| most.max(it.abs()));
        if largest < SETTLED * circle[2].abs() {
            break;
        }
    }
    let flat = !(circle[2] > 0.0 && circle[2] < STRAIGHT * spread.along_mm);
    if flat {
        return Err(line());
    }
    report(points, &circle, error_mm).ok_or_else(line)
}

/// The algebraic fit (Kåsa): linear in center and power.
fn start(points: &[Point], middle: Point, size: f64) -> Option<Circle> {
    let (mut squares, mut sums) = ([[0.0; 3]; 3], [0.0; 3]);
    for point in points {
        let (x, y) = (
            (point.x_mm - middle.x_mm) / size,
            (point.y_mm - middle.y_mm) / size,
        );
        let row = [x, y, 1.0];
        let square = x * x + y * y;
        for (at, own) in row.iter().enumerate() {
            for (other, with) in row.iter().enumerate() {
                squares[at][other] += own * with;
            }
            sums[at] += own * square;
        }
    }
    let [a, b, c] = apply(&inverse(&squares)?, &sums);
    let (x, y) = (a / 2.0, b / 2.0);
    let radius = (c + x * x + y * y).sqrt();
    radius.is_finite().then_some([
        middle.x_mm + x * size,
        middle.y_mm + y * size,
        radius * size,
    ])
}

/// How the distance of a point from the circle changes with center and radius, and the distance.
fn derivative(point: &Point, [x, y, radius]: &Circle) -> ([f64; 3], f64) {
    let (dx, dy) = (point.x_mm - x, point.y_mm - y);
    let far = dx.hypot(dy).max(f64::MIN_POSITIVE);
    ([dx / far, dy / far, 1.0], far - radius)
}

fn normal(points: &[Point], circle: &Circle) -> ([[f64; 3]; 3], [f64; 3]) {
    let (mut squares, mut sums) = ([[0.0; 3]; 3], [0.0; 3]);
    for point in points {
        let (row, off) = derivative(point, circle);
        let upright = transposed(&[row]);
        let outer = product(&upright, &[row]);
        squares = crate::linear::plus(&squares, &outer, 1.0);
        sums = std::array::from_fn(|at| sums[at] + row[at] * off);
    }
    (squares, sums)
}

/// A step of Gauss and Newton.
fn step(points: &[Point], circle: &Circle) -> Option<[f64; 3]> {
    let (squares, sums) = normal(points, circle);
    Some(apply(&inverse(&squares)?, &sums))
}

fn report(points: &[Point], circle: &Circle, error_mm: f64) -> Option<OutlineCircle> {
    let n = points.len() as f64;
    let squares = points.iter().map(|it| derivative(it, circle).1.powi(2));
    let residual_mm = (squares.sum::<f64>() / n).sqrt();
    let freedom = (n - 3.0).max(1.0);
    let scatter_mm = residual_mm * (n / freedom).sqrt();
    let each = error_mm.max(scatter_mm) * (n / INDEPENDENT).max(1.0).sqrt();
    let covariance = inverse(&normal(points, circle).0)?;
    let [x_mm, y_mm, radius] = *circle;
    Some(OutlineCircle {
        x_mm,
        y_mm,
        diameter_mm: 2.0 * radius,
        center_error_mm: each * f64::midpoint(covariance[0][0], covariance[1][1]).sqrt(),
        diameter_error_mm: 2.0 * each * covariance[2][2].sqrt(),
        residual_mm,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::seeded::Seeded;

    fn arc(count: u32, turn: f64, error_mm: f64, random: &mut Seeded) -> Vec<Point> {
        let point = |at: u32| {
            let (sin, cos) = (turn * f64::from(at) / f64::from(count - 1)).sin_cos();
            Point::new(
                40.0 + 9.0 * cos + random.normal(error_mm),
                -7.0 + 9.0 * sin + random.normal(error_mm),
            )
        };
        (0..count).map(point).collect()
    }

    #[test]
    fn the_circle_of_an_arc_is_found_again() {
        for (count, turn) in [(3, 4.0), (12, 6.0), (40, 1.5)] {
            let points = arc(count, turn, 0.0, &mut Seeded::new(1));
            let edge = TracedEdge {
                points,
                error_mm: 0.1,
            };
            let found = circle(&edge).unwrap();
            assert!((found.diameter_mm - 18.0).abs() < 1e-8, "{found:?}");
            assert!((found.x_mm - 40.0).hypot(found.y_mm + 7.0) < 1e-8);
        }
    }

    /// Of 4,000 traced edges, 93 to 97 in 100 diameters are within twice their error.
    #[test]
    fn errors_are_as_large_as_they_say() {
        let mut random = Seeded::new(2);
        let mut within = 0;
        for round in 0..4_000 {
            let turn = [6.0, 4.0, 2.5][round % 3];
            let points = arc(8, turn, 0.1, &mut random);
            let edge = TracedEdge {
                points,
                error_mm: 0.1,
            };
            let found = circle(&edge).unwrap();
            within += u32::from((found.diameter_mm - 18.0).abs() <= 2.0 * found.diameter_error_mm);
        }
        let share = f64::from(within) / 4_000.0;
        assert!((0.94..=0.99).contains(&share), "{share}");
    }

    #[test]
    fn lines_and_too_few_points_are_refused() {
        let refusal = |points: Vec<Point>| {
            let edge = TracedEdge {
                points,
                error_mm: 0.1,
            };
            circle(&edge).unwrap_err().to_string()
        };
        let line = |n: u32| (0..n).map(|at| Point::new(f64::from(at), 2.0 * f64::from(at)));
        assert!(refusal(line(2).collect()).contains("3 are needed"));
        assert!(refusal(line(9).collect()).contains("on one line"));
        assert!(refusal(vec![Point::new(1.0, 1.0); 5]).contains("at one place"));
        let mut odd: Vec<Point> = line(4).collect();
        odd[1].x_mm = f64::NAN;
        assert!(refusal(odd).contains("point 2 of the edge"));
        let nearly: Vec<Point> = (0..20)
            .map(|at| Point::new(f64::from(at), 1e-3 * f64::from(at % 2)))
            .collect();
        assert!(refusal(nearly).contains("on one line"));
    }
}
