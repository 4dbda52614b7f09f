//! The minimum zone: the two nearest parallel planes that hold all readings between them.
//!
//! For heights over fixed places this is a linear program, solved exactly at a vertex by the
//! simplex method. The distance square to the planes is least where the places are taken along the
//! planes themselves, so the readings are turned until the zone lies level; a joint face needs two
//! or three turns. Another zone could be narrower only by the square of its slope against this one:
//! some nanometers on a rough joint face.

use super::{HeightReading, Plane, planes};
use crate::linear::{Matrix, apply, identity, transposed};
use crate::simplex::{self, Column};
use crate::{PlaceError, Point, input};

/// Turns until the zone lies level.
const TURNS: usize = 20;
/// A slope that is level, mm per mm.
const LEVEL: f64 = 1e-12;

/// Finds the plane in the middle of the minimum zone.
///
/// # Errors
/// If a number is not usable, there are fewer than three readings or all lie in one line, or the
/// heights differ as much as the face is wide.
pub fn minimum_zone_plane(points: &[HeightReading]) -> Result<Plane, PlaceError> {
    super::check(points)?;
    let mut turn = identity::<3>();
    let mut best: Option<(f64, Plane)> = None;
    for _ in 0..TURNS {
        let turned: Vec<HeightReading> = points.iter().map(|point| turned(&turn, point)).collect();
        let level = level_zone(&turned)?;
        let plane = back(&turn, &level)?;
        let (low, high) = plane.range_mm(points);
        if best.is_some_and(|(least, _)| high - low >= least) {
            break;
        }
        best = Some((high - low, plane.raised_mm(f64::midpoint(low, high))));
        if level.slope_x.hypot(level.slope_y) < LEVEL {
            break;
        }
        turn = to_level(&plane);
    }
    best.map(|(_, plane)| plane).ok_or(NOT_SETTLED)
}

const NOT_SETTLED: PlaceError = PlaceError::NotSettled {
    what: "the minimum zone",
};

/// The turn that lays a plane level: its rows are the new axes, X along the old X as it lies in
/// the plane.
fn to_level(plane: &Plane) -> Matrix<3, 3> {
    let z = unit([-plane.slope_x, -plane.slope_y, 1.0]);
    let x = unit([1.0, 0.0, plane.slope_x]);
    let y = [
        z[1] * x[2] - z[2] * x[1],
        z[2] * x[0] - z[0] * x[2],
        z[0] * x[1] - z[1] * x[0],
    ];
    [x, y, z]
}

fn unit(vector: [f64; 3]) -> [f64; 3] {
    let length = vector.iter().map(|part| part * part).sum::<f64>().sqrt();
    vector.map(|part| part / length)
}

fn turned(turn: &Matrix<3, 3>, point: &HeightReading) -> HeightReading {
    let [x_mm, y_mm, z_mm] = apply(turn, &[point.x_mm, point.y_mm, point.z_mm]);
    HeightReading { x_mm, y_mm, z_mm }
}

/// A plane of turned readings, as a plane of the readings themselves.
fn back(turn: &Matrix<3, 3>, plane: &Plane) -> Result<Plane, PlaceError> {
    let back = transposed(turn);
    let normal = apply(&back, &[-plane.slope_x, -plane.slope_y, 1.0]);
    let on = apply(&back, &[0.0, 0.0, plane.height_mm]);
    if normal[2] < 0.1 {
        return Err(PlaceError::NotAFace);
    }
    let (slope_x, slope_y) = (-normal[0] / normal[2], -normal[1] / normal[2]);
    Ok(Plane {
        height_mm: on[2] - slope_x * on[0] - slope_y * on[1],
        slope_x,
        slope_y,
    })
}

/// The plane with the least largest vertical distance from the readings.
///
/// Its dual takes weights u above and v below it, in all 1, that balance: sum (u - v) (1, x, y) = 0;
/// the most sum (u - v) z is the distance, and the prices are the plane.
fn level_zone(points: &[HeightReading]) -> Result<Plane, PlaceError> {
    let places: Vec<Point> = points.iter().map(HeightReading::at).collect();
    let spread = input::spread_out(&places, "readings")?;
    let fitted = planes::fit(points, &spread)?;
    let left: Vec<f64> = points
        .iter()
        .map(|p| p.z_mm - fitted.at_mm(p.at()))
        .collect();
    let size = left.iter().fold(0.0_f64, |most, mm| most.max(mm.abs()));
    if size < 1e-12 {
        return Ok(fitted);
    }
    let row = |at: Point| {
        (
            (at.x_mm - spread.center.x_mm) / spread.along_mm,
            (at.y_mm - spread.center.y_mm) / spread.along_mm,
        )
    };
    let mut columns = Vec::with_capacity(2 * points.len());
    for (at, z) in places.iter().zip(&left) {
        let (x, y) = row(*at);
        columns.push(column(1.0, x, y, z / size));
        columns.push(column(-1.0, x, y, z / size));
    }
    let [a, b, c] = wide_triangle(&places);
    // One reading carries all the weight, half from each side: balanced, and a vertex.
    let basis = [2 * a, 2 * a + 1, 2 * b, 2 * c];
    let best = simplex::maximize(&columns, [0.0, 0.0, 0.0, 1.0], basis);
    let prices = best.ok_or(NOT_SETTLED)?.prices.map(|price| price * size);
    let (slope_x, slope_y) = (prices[1] / spread.along_mm, prices[2] / spread.along_mm);
    let center = spread.center;
    Ok(Plane {
        height_mm: fitted.height_mm + prices[0] - slope_x * center.x_mm - slope_y * center.y_mm,
        slope_x: fitted.slope_x + slope_x,
        slope_y: fitted.slope_y + slope_y,
    })
}

fn column(sign: f64, x: f64, y: f64, z: f64) -> Column<4> {
    Column {
        entries: [sign, sign * x, sign * y, 1.0],
        cost: sign * z,
    }
}

/// Three readings of a wide triangle: one, the farthest from it, and the farthest from their line.
pub(super) fn wide_triangle(places: &[Point]) -> [usize; 3] {
    let farthest = |of: &dyn Fn(Point) -> f64| {
        (0..places.len())
            .max_by(|i, j| of(places[*i]).total_cmp(&of(places[*j])))
            .unwrap_or_default()
    };
    let first = farthest(&|at| -at.x_mm);
    let a = places[first];
    let second = farthest(&|at| at.distance_mm(a));
    let b = places[second];
    let third = farthest(&|at| {
        ((b.x_mm - a.x_mm) * (at.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (at.x_mm - a.x_mm)).abs()
    });
    [first, second, third]
}
