//! Pins that lock a threaded plug: drilled along the joint line between plug and casting, half in the one and half in the other.

use super::candidate::Candidate;
use super::check::{Check, Lack, Weight};
use crate::drill::Drill;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::length::Length;
use serde::Serialize;

/// Pins in hundredths of a millimetre and in 1/64 in, as dowels are sold (ISO 2338 and inch dowels, sizes from memory).
const METRIC: [i64; 7] = [150, 200, 250, 300, 400, 500, 600];
const INCH: [u16; 7] = [4, 6, 8, 10, 12, 16, 20];
/// A pin is at most so much of the plug's diameter, so that half of it takes little from either side: a sixth (judgement).
const PLUG_DIAMETERS_PER_PIN: i64 = 6;
/// From this plug on three pins instead of two: 20 mm (judgement).
const THREE_PINS_FROM: Length = Length::from_nm(20_000_000);
/// How deep a pin goes: three of its diameters, and at most two thirds of the plug (judgement).
const DEPTH_DIAMETERS: i64 = 3;

const CLEAR_OF_HOLE: &str =
    "half a pin's diameter of plug between the pin and the wanted thread (judgement)";
const CLEAR_OF_EDGE: &str = "a pin's diameter of iron between the pin and the edge, with the pin on the near side at the worst (judgement)";

/// The pins of one plug.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pins {
    /// How many, spaced evenly.
    pub count: u8,
    /// The drill for them, which is their diameter.
    pub drill: Drill,
    /// The circle that their centres lie on, round the intended centre: the pitch diameter of the plug's thread.
    #[serde(rename = "circle_mm")]
    pub circle: Length,
    /// How deep they go below the finished face, to the full diameter of the drill.
    #[serde(rename = "depth_after_cut_mm")]
    pub depth_after_cut: Length,
    /// How deep from today's face; none while nobody has said how much is to come off.
    #[serde(rename = "depth_mm")]
    pub depth: Option<Length>,
    /// Where the first one goes: square to the line from the hole to the nearest edge, degrees from that line.
    pub first_deg: f64,
}

/// The pins for a plug; none for other remedies.
pub(super) fn pins(situation: &Situation, way: &Candidate) -> Option<Pins> {
    if way.remedy != Remedy::ThreadedPlug {
        return None;
    }
    let length = way.plug_length?;
    let drill = drill(way);
    let deep = drill.diameter * DEPTH_DIAMETERS;
    let depth_after_cut = deep.min(length * 2 / 3);
    Some(Pins {
        count: if way.major < THREE_PINS_FROM { 2 } else { 3 },
        drill,
        circle: Length::computed_mm(way.pitch_diameter_mm()),
        depth_after_cut,
        depth: situation.face_cut.map(|cut| depth_after_cut + cut),
        first_deg: 90.0,
    })
}

fn drill(way: &Candidate) -> Drill {
    let most = way.major / PLUG_DIAMETERS_PER_PIN;
    let metric = way.bolt.series().is_metric();
    let sizes: Vec<Drill> = if metric {
        METRIC.map(Drill::metric).to_vec()
    } else {
        INCH.map(Drill::fraction).to_vec()
    };
    let fits = sizes.iter().rev().find(|drill| drill.diameter <= most);
    fits.copied().unwrap_or(sizes[0])
}

/// Whether they stay clear of the wanted hole and of the edge.
pub(super) fn checks(pins: &Pins, situation: &Situation, checks: &mut Vec<Check>) {
    let (ring, half) = (pins.circle / 2, pins.drill.diameter / 2);
    let left = ring - half - situation.thread.nominal() / 2;
    checks.push(Check::least_length(
        "wall from a pin to the wanted thread",
        (Some(left), Lack::Damage),
        half,
        Weight::Preferred,
        CLEAR_OF_HOLE,
    ));
    let beyond = situation.nearest_edge.map(|edge| edge - ring - half);
    checks.push(Check::least_length(
        "iron from a pin to the edge",
        (beyond, Lack::NearestEdge),
        pins.drill.diameter,
        Weight::Preferred,
        CLEAR_OF_EDGE,
    ));
}
