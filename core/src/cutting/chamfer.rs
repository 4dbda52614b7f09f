//! Chamfer lengths of taps.

use crate::insert::TapChamfer;
use crate::length::Length;
use serde::Serialize;

/// The chamfer of a kind of tap, in threads and in length.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ChamferLead {
    /// Kind of tap.
    pub tap: TapChamfer,
    /// Fewest threads of chamfer.
    pub threads_min: u8,
    /// Most threads of chamfer.
    pub threads_max: u8,
    /// Shortest chamfer.
    #[serde(rename = "shortest_mm")]
    pub shortest: Length,
    /// Longest chamfer, which is how far from its end the tap may leave incomplete thread.
    #[serde(rename = "longest_mm")]
    pub longest: Length,
}

/// Returns the chamfers of taper, plug and bottoming taps for a pitch in millimeters (TM 9-254
/// paragraph 4-27 d).
pub fn chamfer_leads(pitch_mm: f64) -> [ChamferLead; 3] {
    let lead = |tap, threads_min: u8, threads_max: u8| ChamferLead {
        tap,
        threads_min,
        threads_max,
        shortest: Length::from_computed_mm(pitch_mm * f64::from(threads_min)),
        longest: Length::from_computed_mm(pitch_mm * f64::from(threads_max)),
    };
    [
        lead(TapChamfer::Taper, 7, 10),
        lead(TapChamfer::Plug, 3, 5),
        lead(TapChamfer::Bottoming, 1, 2),
    ]
}
