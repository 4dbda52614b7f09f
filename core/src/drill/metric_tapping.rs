//! Tap drill diameters of metric threads.

use crate::length::{Length, NM_PER_MM};
use crate::thread::Thread;

/// Metric coarse: diameter in tenths of a mm, tap drill in hundredths of a mm.
///
/// Source: ISO 2306 as transcribed in the hole tables of the public repository `FreeCAD/FreeCAD`.
/// M5 to M48 of the first choice agree with the Mechanical Engineer's Data Handbook page 299.
const COARSE: [(i64, i64); 39] = [
    (10, 75),
    (11, 85),
    (12, 95),
    (14, 110),
    (16, 125),
    (18, 145),
    (20, 160),
    (22, 175),
    (25, 205),
    (30, 250),
    (35, 290),
    (40, 330),
    (45, 370),
    (50, 420),
    (60, 500),
    (70, 600),
    (80, 680),
    (90, 780),
    (100, 850),
    (110, 950),
    (120, 1020),
    (140, 1200),
    (160, 1400),
    (180, 1550),
    (200, 1750),
    (220, 1950),
    (240, 2100),
    (270, 2400),
    (300, 2650),
    (330, 2950),
    (360, 3200),
    (390, 3500),
    (420, 3750),
    (450, 4050),
    (480, 4300),
    (520, 4700),
    (560, 5050),
    (600, 5450),
    (640, 5800),
];
/// Metric fine where the standard's drill is not the diameter less the pitch: diameter in mm, pitch
/// and tap drill in hundredths of a mm. From memory; the data of the package bd-warehouse 0.4.0 agree.
const FINE: [(i64, i64, i64); 2] = [(10, 125, 880), (12, 125, 1080)];
const ISO_2306_FINE: &str = "ISO 2306 (from memory; a public package agrees)";
const ISO_2306: &str = "ISO 2306 (transcribed)";
const BY_PITCH: &str = "diameter minus pitch, as in ISO 2306 for fine threads (transcribed)";

/// Returns the tap drill diameter and its source.
pub(super) fn hole(thread: &Thread) -> (Length, &'static str) {
    let pitch = Length::from_computed_mm(thread.pitch_mm());
    let fine = FINE.iter().find(|(mm, hundredths, _)| {
        thread.nominal() == Length::from_nm(mm * NM_PER_MM)
            && pitch == Length::from_nm(hundredths * NM_PER_MM / 100)
    });
    if let Some((_, _, hole)) = fine {
        return (Length::from_nm(hole * NM_PER_MM / 100), ISO_2306_FINE);
    }
    let by_pitch = thread.nominal() - pitch;
    let listed = COARSE
        .iter()
        .find(|(tenths, _)| thread.nominal() == Length::from_nm(tenths * NM_PER_MM / 10))
        .map(|(_, hundredths)| Length::from_nm(hundredths * NM_PER_MM / 100));
    // The list is for coarse threads; a fine one of the same size differs by more than its
    // rounding, which is below a tenth of the pitch.
    let coarse = listed.filter(|listed| (*listed - by_pitch).abs() * 10 <= pitch);
    coarse.map_or((by_pitch, BY_PITCH), |hole| (hole, ISO_2306))
}
