//! The droop of a machine's table, and what it does to a face.

use crate::{PlaceError, input};
use serde::{Deserialize, Serialize};

/// Indicator readings from the spindle on a straight surface clamped to the table, with the table
/// moved so that each place is under the spindle. More is higher.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableReadings {
    /// At one end of the travel, mm.
    pub one_end_mm: f64,
    /// In the middle, mm.
    pub middle_mm: f64,
    /// At the other end, mm.
    pub other_end_mm: f64,
    /// How far apart the ends are, mm.
    pub travel_mm: f64,
    /// How long the face is along the travel, mm; it is taken as clamped in the middle.
    pub face_mm: f64,
}

/// What a drooping table does to a face.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Droop {
    /// By how much the ends read lower than the middle, on average, mm; negative if higher.
    pub droop_mm: f64,
    /// The rise from one end to the other, mm: tilt, which a shim takes out; it makes no high spot.
    pub tilt_mm: f64,
    /// How far the ends of the milled face will stand above its middle, mm: where the table droops,
    /// the cutter takes less. Negative: a high spot in the middle.
    pub ends_high_mm: f64,
}

/// Works out what table droop mills into a face, as a parabola through the three readings.
///
/// # Errors
/// If a number is not usable or a length is not above 0, or the face is longer than the travel.
pub fn table_droop(readings: &TableReadings) -> Result<Droop, PlaceError> {
    let ends = [
        (readings.one_end_mm, "the reading at one end"),
        (readings.middle_mm, "the reading in the middle"),
        (readings.other_end_mm, "the reading at the other end"),
    ];
    for (mm, what) in ends {
        input::length(mm, || what.to_owned())?;
    }
    input::positive(readings.travel_mm, || "the travel".to_owned())?;
    input::positive(readings.face_mm, || "the length of the face".to_owned())?;
    let beyond = readings.travel_mm - readings.face_mm;
    if beyond < 0.0 {
        return Err(PlaceError::NotPositive {
            what: "the travel less the length of the face".to_owned(),
        });
    }
    let droop_mm = readings.middle_mm - f64::midpoint(readings.one_end_mm, readings.other_end_mm);
    Ok(Droop {
        droop_mm,
        tilt_mm: readings.other_end_mm - readings.one_end_mm,
        ends_high_mm: droop_mm * (readings.face_mm / readings.travel_mm).powi(2),
    })
}
