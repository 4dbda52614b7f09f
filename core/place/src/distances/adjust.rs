//! Least squares over all distances, and what one more would bring.

use super::build::Built;
use super::{CheckedDistance, DistanceFit, DistanceWarning, Edge, NextDistance, PlacedHole};
use crate::linear::inverse_of_rows;
use crate::{PlaceError, Point};

/// Rounds of Gauss-Newton.
const ROUNDS: usize = 60;
/// Changes below this have settled, mm.
const SETTLED_MM: f64 = 1e-10;
/// A direction held this much less than the others is not held: the figure can bend there.
const NO_STIFFNESS: f64 = 1e9;
/// A figure that can bend is held by this share of its stiffness, so that it can be settled at all.
const SUPPORT: f64 = 1e-7;
/// The deviation that 999 of 1,000 readings stay within: the .9995 quantile of the normal
/// distribution.
const SUSPECT: f64 = 3.290_5;

pub(super) fn adjust(
    numbers: &[u32],
    edges: &[Edge],
    built: &Built,
) -> Result<DistanceFit, PlaceError> {
    let places = settle(edges, built.places.clone())?;
    let places = on_axes(&places);
    let covariance = free_inverse(edges, &places, 0.0).ok_or(PlaceError::NotSettled {
        what: "the figure of the holes",
    })?;
    let (redundancy, spread) = redundancy(edges, &places);
    let distances = checked(numbers, edges, &places, &covariance);
    let mut warnings = warnings(edges, &distances, redundancy);
    let next = best_next(edges, &places, numbers, built.either_side, &covariance);
    if let (Some(hole), Some(next)) = (built.either_side, &next) {
        let to = if next.from == numbers[hole] {
            next.to
        } else {
            next.from
        };
        warnings.push(DistanceWarning::EitherSide {
            hole: numbers[hole],
            to,
        });
    }
    let holes = numbers.iter().zip(&places).enumerate();
    let holes = holes.map(|(at, (hole, place))| PlacedHole {
        hole: *hole,
        x_mm: place.x_mm,
        y_mm: place.y_mm,
        error_mm: (f64::midpoint(
            covariance[2 * at][2 * at],
            covariance[2 * at + 1][2 * at + 1],
        ))
        .max(0.0)
        .sqrt()
            * spread.unwrap_or(1.0).max(1.0),
    });
    Ok(DistanceFit {
        holes: holes.collect(),
        closure_mm: closure(&distances, redundancy),
        distances,
        redundancy,
        best_next: next,
        warnings,
    })
}

/// The gradient of a distance: the direction from one hole to the other.
fn direction(places: &[Point], from: usize, to: usize) -> (f64, f64, f64) {
    let (a, b) = (places[from], places[to]);
    let length = a.distance_mm(b).max(1e-9);
    (
        length,
        (b.x_mm - a.x_mm) / length,
        (b.y_mm - a.y_mm) / length,
    )
}

/// The row of a distance in the matrix of all of them, divided by its error.
fn row(places: &[Point], from: usize, to: usize, error_mm: f64) -> Vec<f64> {
    let (_, x, y) = direction(places, from, to);
    let mut row = vec![0.0; 2 * places.len()];
    row[2 * from] = -x / error_mm;
    row[2 * from + 1] = -y / error_mm;
    row[2 * to] = x / error_mm;
    row[2 * to + 1] = y / error_mm;
    row
}

fn information(edges: &[Edge], places: &[Point]) -> Vec<Vec<f64>> {
    let size = 2 * places.len();
    let mut matrix = vec![vec![0.0; size]; size];
    for edge in edges {
        let (_, x, y) = direction(places, edge.from, edge.to);
        let weight = edge.error_mm.powi(-2);
        let entries = [
            (2 * edge.from, -x),
            (2 * edge.from + 1, -y),
            (2 * edge.to, x),
            (2 * edge.to + 1, y),
        ];
        for (i, a) in entries {
            for (j, b) in entries {
                matrix[i][j] += weight * a * b;
            }
        }
    }
    matrix
}

/// Moves the holes until the weighted squares are least. Each step is the shortest that does it,
/// and is halved while it makes the fit worse.
fn settle(edges: &[Edge], mut places: Vec<Point>) -> Result<Vec<Point>, PlaceError> {
    let mut chi2 = misses(edges, &places);
    for _ in 0..ROUNDS {
        let mut gradient = vec![0.0; 2 * places.len()];
        for edge in edges {
            let (length, ..) = direction(&places, edge.from, edge.to);
            let miss = (edge.center_mm - length) / edge.error_mm;
            let row = row(&places, edge.from, edge.to, edge.error_mm);
            gradient
                .iter_mut()
                .zip(row)
                .for_each(|(sum, entry)| *sum += entry * miss);
        }
        let back =
            free_inverse(edges, &places, 0.0).or_else(|| free_inverse(edges, &places, SUPPORT));
        let Some(step) = back.map(|back| times(&back, &gradient)) else {
            break;
        };
        let Some((moved, better)) = (0..30).find_map(|halvings| {
            let moved = moved(&places, &step, 0.5_f64.powi(halvings));
            let better = misses(edges, &moved);
            (better <= chi2).then_some((moved, better))
        }) else {
            break;
        };
        (places, chi2) = (moved, better);
        if step.iter().all(|part| part.abs() < SETTLED_MM) {
            break;
        }
    }
    let is_finite = |place: &Point| place.x_mm.is_finite() && place.y_mm.is_finite();
    if places.iter().all(is_finite) {
        return Ok(places);
    }
    Err(PlaceError::NotSettled {
        what: "the figure of the holes",
    })
}

fn moved(places: &[Point], step: &[f64], share: f64) -> Vec<Point> {
    let by = |at: usize| Point::new(share * step[2 * at], share * step[2 * at + 1]);
    let moved = places
        .iter()
        .enumerate()
        .map(|(at, place)| Point::new(place.x_mm + by(at).x_mm, place.y_mm + by(at).y_mm));
    moved.collect()
}

fn misses(edges: &[Edge], places: &[Point]) -> f64 {
    let miss = |edge: &Edge| {
        let (length, ..) = direction(places, edge.from, edge.to);
        ((edge.center_mm - length) / edge.error_mm).powi(2)
    };
    edges.iter().map(miss).sum()
}

/// The three motions of the figure as a whole, which no distance holds: two shifts and a turn, each
/// of length 1 and square to the others.
fn motions(places: &[Point]) -> [Vec<f64>; 3] {
    let n = places.len() as f64;
    let center = crate::input::spread(places).center;
    let around = |place: &Point| [center.y_mm - place.y_mm, place.x_mm - center.x_mm];
    let unit = |motion: Vec<f64>| {
        let length = motion.iter().map(|part| part * part).sum::<f64>().sqrt();
        motion.into_iter().map(|part| part / length).collect()
    };
    let shift = |x: f64, y: f64| places.iter().flat_map(|_| [x / n, y / n]).collect();
    [
        unit(shift(1.0, 0.0)),
        unit(shift(0.0, 1.0)),
        unit(places.iter().flat_map(around).collect()),
    ]
}

/// The covariance with the figure free to move as a whole, and held everywhere by `support`, a share
/// of its stiffness. `None` if it can bend.
///
/// The motions of the whole are held while the matrix is inverted, and taken off again.
fn free_inverse(edges: &[Edge], places: &[Point], support: f64) -> Option<Vec<Vec<f64>>> {
    let mut matrix = information(edges, places);
    let size = matrix.len();
    let stiffness = (0..size).map(|at| matrix[at][at]).sum::<f64>() / size as f64;
    let motions = motions(places);
    let held = |i: usize, j: usize| {
        motions
            .iter()
            .map(|motion| motion[i] * motion[j])
            .sum::<f64>()
    };
    for (i, row) in matrix.iter_mut().enumerate() {
        for (j, entry) in row.iter_mut().enumerate() {
            *entry += stiffness * held(i, j);
        }
        row[i] += support * stiffness;
    }
    let mut back = inverse_of_rows(matrix)?;
    for (i, row) in back.iter_mut().enumerate() {
        for (j, entry) in row.iter_mut().enumerate() {
            *entry -= held(i, j) / stiffness;
        }
    }
    let largest = (0..size).map(|at| back[at][at]).fold(0.0, f64::max);
    (support > 0.0 || largest * stiffness < NO_STIFFNESS).then_some(back)
}

fn times(matrix: &[Vec<f64>], vector: &[f64]) -> Vec<f64> {
    let row = |row: &Vec<f64>| row.iter().zip(vector).map(|(a, b)| a * b).sum();
    matrix.iter().map(row).collect()
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Turns the figure so that the first hole is the origin, the second on X, the third above it.
fn on_axes(places: &[Point]) -> Vec<Point> {
    let (_, cos, sin) = direction(places, 0, 1);
    let origin = places[0];
    let turned = places.iter().map(|place| {
        let (x, y) = (place.x_mm - origin.x_mm, place.y_mm - origin.y_mm);
        Point::new(cos * x + sin * y, cos * y - sin * x)
    });
    let mut turned: Vec<Point> = turned.collect();
    if turned.get(2).is_some_and(|third| third.y_mm < 0.0) {
        turned.iter_mut().for_each(|place| place.y_mm = -place.y_mm);
    }
    turned
}

/// Spare readings, and by how much they scatter more than their errors say.
fn redundancy(edges: &[Edge], places: &[Point]) -> (u32, Option<f64>) {
    let spare = (edges.len() + 3).saturating_sub(2 * places.len());
    let spread = (spare > 0).then(|| (misses(edges, places) / spare as f64).sqrt());
    (spare as u32, spread)
}

fn closure(distances: &[CheckedDistance], redundancy: u32) -> Option<f64> {
    let squares: f64 = distances
        .iter()
        .map(|distance| distance.residual_mm.powi(2))
        .sum();
    (redundancy > 0).then(|| (squares / f64::from(redundancy)).sqrt())
}

fn checked(
    numbers: &[u32],
    edges: &[Edge],
    places: &[Point],
    covariance: &[Vec<f64>],
) -> Vec<CheckedDistance> {
    let checked = edges.iter().map(|edge| {
        let (length, ..) = direction(places, edge.from, edge.to);
        let residual_mm = edge.center_mm - length;
        let row = row(places, edge.from, edge.to, edge.error_mm);
        // The share of the reading's variance that is left in its residual.
        let free = 1.0 - product(&row, &times(covariance, &row));
        let allowed = SUSPECT * edge.error_mm * free.max(0.0).sqrt();
        CheckedDistance {
            from: numbers[edge.from],
            to: numbers[edge.to],
            center_mm: edge.center_mm,
            residual_mm,
            suspect: free > 1e-6 && residual_mm.abs() > allowed,
        }
    });
    checked.collect()
}

/// The worst of the readings that disagree: one wrong reading makes others look wrong too.
fn warnings(
    edges: &[Edge],
    distances: &[CheckedDistance],
    redundancy: u32,
) -> Vec<DistanceWarning> {
    if redundancy == 0 {
        return vec![DistanceWarning::NotChecked];
    }
    let suspects = edges
        .iter()
        .zip(distances)
        .filter(|(_, distance)| distance.suspect);
    let miss =
        |(edge, distance): &(&Edge, &CheckedDistance)| distance.residual_mm.abs() / edge.error_mm;
    let worst = suspects.max_by(|a, b| miss(a).total_cmp(&miss(b)));
    let worst = worst.map(|(_, worst)| DistanceWarning::Suspect {
        from: worst.from,
        to: worst.to,
        by_mm: worst.residual_mm.abs(),
    });
    worst.into_iter().collect()
}

/// The distance not yet measured that takes most off the sum of variances. If a hole's side is
/// open, one from it.
fn best_next(
    edges: &[Edge],
    places: &[Point],
    numbers: &[u32],
    open: Option<usize>,
    covariance: &[Vec<f64>],
) -> Option<NextDistance> {
    let whole: f64 = (0..covariance.len()).map(|at| covariance[at][at]).sum();
    let mut errors: Vec<f64> = edges.iter().map(|edge| edge.error_mm).collect();
    errors.sort_by(f64::total_cmp);
    let error_mm = errors[errors.len() / 2];
    let measured = |from: usize, to: usize| {
        edges
            .iter()
            .any(|edge| (edge.from, edge.to) == (from, to) || (edge.from, edge.to) == (to, from))
    };
    let mut best: Option<(f64, usize, usize)> = None;
    for from in 0..places.len() {
        for to in from + 1..places.len() {
            if measured(from, to) || open.is_some_and(|hole| hole != from && hole != to) {
                continue;
            }
            let row = row(places, from, to, error_mm);
            let seen = times(covariance, &row);
            let gain = product(&seen, &seen) / (1.0 + product(&row, &seen));
            if best.is_none_or(|(most, ..)| gain > most) {
                best = Some((gain, from, to));
            }
        }
    }
    best.map(|(gain, from, to)| NextDistance {
        from: numbers[from],
        to: numbers[to],
        center_mm: places[from].distance_mm(places[to]),
        error_left: if whole > 0.0 { 1.0 - gain / whole } else { 0.0 },
    })
}
