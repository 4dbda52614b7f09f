//! Checks that all calculations share.

use crate::{MOST_POINTS, PlaceError, Point};
use std::collections::HashSet;

/// The largest coordinate, mm: 100 m, as for every length in a notebook.
const LARGEST_MM: f64 = 100_000.0;
/// The least error that is calculated with, mm. Nothing in a shop is known better.
pub(crate) const LEAST_ERROR_MM: f64 = 0.001;

/// Checks that a length is a number within 100 m.
pub(crate) fn length(mm: f64, what: impl FnOnce() -> String) -> Result<f64, PlaceError> {
    if mm.is_finite() && mm.abs() <= LARGEST_MM {
        return Ok(mm);
    }
    Err(PlaceError::Number {
        what: what(),
        most: "100 m",
    })
}

/// Checks that a length is more than 0.
pub(crate) fn positive(mm: f64, what: impl Fn() -> String) -> Result<f64, PlaceError> {
    if length(mm, &what)? > 0.0 {
        return Ok(mm);
    }
    Err(PlaceError::NotPositive { what: what() })
}

/// Checks a standard deviation, and raises it to the least that is calculated with.
pub(crate) fn error(mm: f64, what: impl Fn() -> String) -> Result<f64, PlaceError> {
    if length(mm, &what)? >= 0.0 {
        return Ok(mm.max(LEAST_ERROR_MM));
    }
    Err(PlaceError::NotPositive { what: what() })
}

/// Checks the coordinates of a point.
pub(crate) fn point(at: Point, what: impl Fn() -> String) -> Result<Point, PlaceError> {
    length(at.x_mm, || format!("X of {}", what()))?;
    length(at.y_mm, || format!("Y of {}", what()))?;
    Ok(at)
}

/// Checks how many points there are.
pub(crate) fn count(have: usize, needs: u32, what: &'static str) -> Result<(), PlaceError> {
    if have > MOST_POINTS {
        return Err(PlaceError::TooMany {
            what,
            most: MOST_POINTS as u32,
        });
    }
    if have < needs as usize {
        return Err(PlaceError::TooFew {
            what,
            have: have as u32,
            needs,
        });
    }
    Ok(())
}

/// Checks that no hole number occurs twice.
pub(crate) fn once(
    numbers: impl IntoIterator<Item = u32>,
    among: &'static str,
) -> Result<(), PlaceError> {
    let mut seen = HashSet::new();
    match numbers.into_iter().find(|hole| !seen.insert(*hole)) {
        Some(hole) => Err(PlaceError::Twice { hole, among }),
        None => Ok(()),
    }
}

/// How points spread: their centroid, and the standard deviation along and across their main
/// direction, mm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spread {
    /// The centroid.
    pub center: Point,
    /// Along the main direction.
    pub along_mm: f64,
    /// Across it.
    pub across_mm: f64,
}

/// Returns how points spread. No points have no spread.
pub(crate) fn spread(points: &[Point]) -> Spread {
    let n = points.len().max(1) as f64;
    let sum = |of: fn(&Point) -> f64| points.iter().map(of).sum::<f64>() / n;
    let center = Point::new(sum(|p| p.x_mm), sum(|p| p.y_mm));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let (x, y) = (point.x_mm - center.x_mm, point.y_mm - center.y_mm);
        (xx, xy, yy) = (xx + x * x / n, xy + x * y / n, yy + y * y / n);
    }
    let half = f64::midpoint(xx, yy);
    let root = ((xx - yy) / 2.0).hypot(xy);
    Spread {
        center,
        along_mm: (half + root).max(0.0).sqrt(),
        across_mm: (half - root).max(0.0).sqrt(),
    }
}

/// The smallest share of its length that points must spread across a line to count as off it.
const OFF_LINE: f64 = 1e-4;

/// Checks that points are neither at one place nor on one line.
pub(crate) fn spread_out(points: &[Point], what: &'static str) -> Result<Spread, PlaceError> {
    let spread = apart(points, what)?;
    if spread.across_mm < OFF_LINE * spread.along_mm {
        return Err(PlaceError::OneLine { what });
    }
    Ok(spread)
}

/// Checks that points are not at one place.
pub(crate) fn apart(points: &[Point], what: &'static str) -> Result<Spread, PlaceError> {
    let spread = spread(points);
    if spread.along_mm < LEAST_ERROR_MM {
        return Err(PlaceError::OnePlace { what });
    }
    Ok(spread)
}
