//! Pins that lock a threaded plug, or a bushing of the other hand than its bolt, drilled on the
//! joint line with the casting.

use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use crate::drill::Drill;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::length::Length;
use serde::Serialize;

/// Metric dowel diameters in hundredths of a millimeter (ISO 2338, from memory).
const METRIC_HUNDREDTHS: [i64; 7] = [150, 200, 250, 300, 400, 500, 600];
/// Inch dowel diameters in 64ths of an inch (from memory).
const INCH_64THS: [u16; 7] = [4, 6, 8, 10, 12, 16, 20];
/// Smallest plug diameter over pin diameter, so that a pin takes little from either side
/// (judgment).
const PLUG_DIAMETERS_PER_PIN: i64 = 6;
/// Plugs of at least this diameter, 20 mm, take three pins instead of two (judgment).
const THREE_PINS_FROM: Length = Length::from_nm(20_000_000);
/// Depth of a pin in pin diameters; it is at most two thirds of the plug's length (judgment).
const DEPTH_DIAMETERS: i64 = 3;

const CLEAR_OF_HOLE: &str =
    "half a pin's diameter of plug between the pin and the wanted thread (judgment)";
const CLEAR_OF_EDGE: &str = "a pin's diameter of metal between the pin and the edge, with the pin on the near side in the worst case (judgment)";

/// Pins on the joint line of a threaded plug or bushing.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pins {
    /// Number of pins, evenly spaced.
    pub count: u8,
    /// Drill for the pins, of their diameter.
    pub drill: Drill,
    /// Diameter of the circle of their centers around the intended center: the pitch diameter of
    /// the plug's thread.
    #[serde(rename = "circle_mm")]
    pub circle: Length,
    /// Drill depth to full diameter, finished face.
    #[serde(rename = "depth_after_cut_mm")]
    pub depth_after_cut: Length,
    /// Drill depth to full diameter, face as is; `None` while the face cut is unknown.
    #[serde(rename = "depth_mm")]
    pub depth: Option<Length>,
    /// Direction of the first pin, in degrees from the line to the nearest edge.
    pub first_deg: f64,
}

/// Returns the pins for a plug, and for a bushing that the bolt would unscrew; `None` for other
/// remedies.
pub(super) fn pins(situation: &Situation, candidate: &Candidate) -> Option<Pins> {
    let length = match candidate.remedy {
        Remedy::ThreadedPlug => candidate.plug_length?,
        Remedy::Bushing if candidate.unscrews() => candidate.insert.as_ref()?.length,
        _ => return None,
    };
    let drill = pin_drill(situation, candidate);
    let deep = drill.diameter * DEPTH_DIAMETERS;
    let depth_after_cut = deep.min(length * 2 / 3);
    Some(Pins {
        count: if candidate.major < THREE_PINS_FROM {
            2
        } else {
            3
        },
        drill,
        circle: Length::from_computed_mm(candidate.pitch_diameter_mm()),
        depth_after_cut,
        depth: situation.face_cut.map(|cut| depth_after_cut + cut),
        first_deg: 90.0,
    })
}

/// Returns the largest pin that takes little of the plug and leaves half its diameter to the wanted
/// thread; where none does, the smallest.
fn pin_drill(situation: &Situation, candidate: &Candidate) -> Drill {
    let ring = Length::from_computed_mm(candidate.pitch_diameter_mm()) / 2;
    let room = ring - situation.thread.nominal() / 2;
    let most = (candidate.major / PLUG_DIAMETERS_PER_PIN).min(room);
    let metric = candidate.bolt.series().is_metric();
    let sizes: Vec<Drill> = if metric {
        METRIC_HUNDREDTHS.map(Drill::metric).to_vec()
    } else {
        INCH_64THS.map(Drill::fraction).to_vec()
    };
    let fits = sizes.iter().rev().find(|drill| drill.diameter <= most);
    fits.copied().unwrap_or(sizes[0])
}

/// Appends the checks that the pins stay clear of the wanted thread and of the edge.
pub(super) fn pin_checks(pins: &Pins, situation: &Situation, checks: &mut Vec<Check>) {
    let (ring, half) = (pins.circle / 2, pins.drill.diameter / 2);
    let left = ring - half - situation.thread.nominal() / 2;
    checks.push(Check::least_length(
        "wall between pin and wanted thread",
        (Some(left), MissingReading::Damage),
        half,
        Weight::Preferred,
        CLEAR_OF_HOLE,
    ));
    let beyond = situation.nearest_edge.map(|edge| edge - ring - half);
    checks.push(Check::least_length(
        "wall between pin and edge",
        (beyond, MissingReading::NearestEdge),
        pins.drill.diameter,
        Weight::Preferred,
        CLEAR_OF_EDGE,
    ));
}
