//! A plane through readings.

use super::HeightReading;
use crate::input::{self, Spread};
use crate::linear::{apply, inverse};
use crate::{PlaceError, Point};
use serde::{Deserialize, Serialize};

/// A plane above a face: z = height + slope x · x + slope y · y.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Plane {
    /// At the origin, mm.
    pub height_mm: f64,
    /// Rise toward X, mm per mm.
    pub slope_x: f64,
    /// Rise toward Y, mm per mm.
    pub slope_y: f64,
}

impl Plane {
    /// Returns the height at a place, mm.
    #[must_use]
    pub fn at_mm(&self, at: Point) -> f64 {
        self.height_mm + self.slope_x * at.x_mm + self.slope_y * at.y_mm
    }

    /// Returns how far a reading lies above the plane, square to it, mm.
    #[must_use]
    pub fn above_mm(&self, point: &HeightReading) -> f64 {
        (point.z_mm - self.at_mm(point.at())) / self.lean()
    }

    /// Returns the plane moved up square to itself, mm.
    #[must_use]
    pub fn raised_mm(&self, by_mm: f64) -> Self {
        Self {
            height_mm: self.height_mm + by_mm * self.lean(),
            ..*self
        }
    }

    /// How much longer a vertical distance is than one square to the plane.
    fn lean(&self) -> f64 {
        (1.0 + self.slope_x.powi(2) + self.slope_y.powi(2)).sqrt()
    }

    /// The lowest and the highest reading above the plane, mm.
    pub(super) fn range_mm(&self, points: &[HeightReading]) -> (f64, f64) {
        let above = points.iter().map(|point| self.above_mm(point));
        above.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mm| {
            (low.min(mm), high.max(mm))
        })
    }
}

/// Fits a plane by least squares of the heights.
///
/// # Errors
/// If a number is not usable, or there are fewer than three readings or all lie in one line.
pub fn least_squares_plane(points: &[HeightReading]) -> Result<Plane, PlaceError> {
    super::check(points)?;
    let places: Vec<Point> = points.iter().map(HeightReading::at).collect();
    fit(points, &input::spread_out(&places, "readings")?)
}

pub(super) fn fit(points: &[HeightReading], spread: &Spread) -> Result<Plane, PlaceError> {
    let center = spread.center;
    let size = spread.along_mm;
    let mut squares = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for point in points {
        let row = [
            1.0,
            (point.x_mm - center.x_mm) / size,
            (point.y_mm - center.y_mm) / size,
        ];
        for (at, entry) in row.iter().enumerate() {
            for (other, factor) in row.iter().enumerate() {
                squares[at][other] += entry * factor;
            }
            right[at] += entry * point.z_mm;
        }
    }
    let back = inverse(&squares).ok_or(PlaceError::OneLine { what: "readings" })?;
    let plane = apply(&back, &right);
    let (slope_x, slope_y) = (plane[1] / size, plane[2] / size);
    Ok(Plane {
        height_mm: plane[0] - slope_x * center.x_mm - slope_y * center.y_mm,
        slope_x,
        slope_y,
    })
}
