//! How long the chamfer of a tap is.

use crate::insert::TapChamfer;
use crate::length::Length;
use serde::Serialize;

/// The chamfer of one kind of tap, in threads and in length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ChamferLead {
    /// Which tap.
    pub tap: TapChamfer,
    /// Fewest threads that its chamfer takes.
    pub threads_min: u8,
    /// Most threads.
    pub threads_max: u8,
    /// Shortest chamfer.
    #[serde(rename = "shortest_mm")]
    pub shortest: Length,
    /// Longest chamfer: so far from its end the tap may leave no full thread.
    #[serde(rename = "longest_mm")]
    pub longest: Length,
}

/// Taper, plug and bottoming taps of a pitch in millimetres: TM 9-254 paragraph 4-27 d.
pub fn chamfer_leads(pitch_mm: f64) -> [ChamferLead; 3] {
    let lead = |tap, threads_min: u8, threads_max: u8| ChamferLead {
        tap,
        threads_min,
        threads_max,
        shortest: Length::computed_mm(pitch_mm * f64::from(threads_min)),
        longest: Length::computed_mm(pitch_mm * f64::from(threads_max)),
    };
    [
        lead(TapChamfer::Taper, 7, 10),
        lead(TapChamfer::Plug, 3, 5),
        lead(TapChamfer::Bottoming, 1, 2),
    ]
}
