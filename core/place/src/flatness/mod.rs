//! The truth about a face: how flat it is, the least cut that cleans it up, leveling it on jacks,
//! the droop of a machine's table, and two faces rocked on each other.
//!
//! Heights are out of the metal: a high spot is positive.

mod cut;
mod droop;
mod leveling;
mod planes;
mod rocking;
mod zone;

pub use cut::{HoleLoss, cut_at_holes};
pub use droop::{Droop, TableReadings, table_droop};
pub use leveling::{Jack, JackTurn, Leveling, level};
pub use planes::{Plane, least_squares_plane};
pub use rocking::{Rocking, rock};
pub use zone::minimum_zone_plane;

use crate::{HolePoint, PlaceError, Point, input};
use serde::{Deserialize, Serialize};

/// A reading of height on a face.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeightReading {
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// Out of the metal, mm.
    pub z_mm: f64,
}

/// Readings all over a face.
#[derive(holebook_shape::Shape, Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaceReadings {
    /// The readings: three or more, not in one line.
    pub points: Vec<HeightReading>,
    /// Where holes are, to say what each loses by the cut.
    #[serde(default)]
    pub holes: Vec<HolePoint>,
}

/// How flat a face is.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Flatness {
    /// From the highest to the lowest reading, square to the least-squares plane, mm.
    pub flatness_least_squares_mm: f64,
    /// The least distance of two parallel planes that hold all readings between them, mm.
    pub flatness_minimum_zone_mm: f64,
    /// The least cut parallel to those planes that cleans up every reading, from the highest spot,
    /// mm.
    pub face_cut_mm: f64,
    /// How much the minimum zone rises toward X, degrees.
    pub tilt_x_deg: f64,
    /// How much it rises toward Y, degrees.
    pub tilt_y_deg: f64,
    /// The upper plane of the minimum zone, which the highest readings touch.
    pub upper: Plane,
    /// How far each reading lies above the finished face, mm, in the order given; 0 for the lowest.
    pub above_mm: Vec<f64>,
    /// What each hole loses by the cut.
    pub holes: Vec<HoleLoss>,
}

impl HeightReading {
    /// Returns where it was taken.
    #[must_use]
    pub const fn at(&self) -> Point {
        Point::new(self.x_mm, self.y_mm)
    }
}

/// Judges a face by its readings.
///
/// # Errors
/// If a number is not usable, a hole is given twice, there are fewer than three readings or all lie
/// in one line, or the heights differ as much as the face is wide.
pub fn judge(face: &FaceReadings) -> Result<Flatness, PlaceError> {
    check(&face.points)?;
    input::once(face.holes.iter().map(|hole| hole.hole), "holes")?;
    for hole in &face.holes {
        input::point(hole.at(), || format!("hole {}", hole.hole))?;
    }
    let fitted = least_squares_plane(&face.points)?;
    let zone = minimum_zone_plane(&face.points)?;
    let (low, high) = zone.range_mm(&face.points);
    let face_cut_mm = high - low;
    let above_mm: Vec<f64> = face
        .points
        .iter()
        .map(|point| zone.above_mm(point) - low)
        .collect();
    let (least, most) = fitted.range_mm(&face.points);
    Ok(Flatness {
        flatness_least_squares_mm: most - least,
        flatness_minimum_zone_mm: face_cut_mm,
        face_cut_mm,
        // Zero is added so that no tilt is not written as minus zero.
        tilt_x_deg: zone.slope_x.atan().to_degrees() + 0.0,
        tilt_y_deg: zone.slope_y.atan().to_degrees() + 0.0,
        upper: zone.raised_mm(high),
        holes: cut_at_holes(&face.points, &above_mm, &face.holes),
        above_mm,
    })
}

/// Checks readings of a face.
fn check(points: &[HeightReading]) -> Result<(), PlaceError> {
    input::count(points.len(), 3, "readings")?;
    for (point, at) in points.iter().zip(1..) {
        input::point(point.at(), || format!("reading {at}"))?;
        input::length(point.z_mm, || format!("the height of reading {at}"))?;
    }
    let places: Vec<Point> = points.iter().map(HeightReading::at).collect();
    let spread = input::spread_out(&places, "readings")?;
    let plane = planes::fit(points, &spread)?;
    let (low, high) = plane.range_mm(points);
    if high - low > spread.across_mm {
        return Err(PlaceError::NotAFace);
    }
    Ok(())
}

#[cfg(test)]
mod tests;
