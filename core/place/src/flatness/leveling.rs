//! Leveling a face on jacks: how far to turn each screw, and in what order.
//!
//! Three jacks carry the casting first, since three always touch; the others are brought up to it
//! afterwards. Common practice, no source.

use super::{FaceReadings, HeightReading, judge, zone};
use crate::{PlaceError, Point, input};
use serde::{Deserialize, Serialize};

/// A jack under the casting.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Jack {
    /// Its number.
    pub jack: u32,
    /// Where it stands, to the right, in the coordinates of the readings, mm.
    pub x_mm: f64,
    /// Where it stands, up, mm.
    pub y_mm: f64,
    /// How far one turn of its screw lifts, mm.
    pub lead_mm: f64,
}

/// What to do with a jack.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct JackTurn {
    /// The jack's number.
    pub jack: u32,
    /// How far it must lift, mm; 0 for the one that stays.
    pub lift_mm: f64,
    /// How many turns of its screw that is.
    pub turns: f64,
    /// Whether it carries from the start; the others come up last, until they just touch.
    pub carries: bool,
}

/// How to level a face.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Leveling {
    /// The jacks in the order to turn them: those that carry, the largest lift first; then those to
    /// bring up.
    pub turns: Vec<JackTurn>,
    /// How far out of level the face is now, from its lowest to its highest corner, mm.
    pub out_of_level_mm: f64,
    /// How flat the face is, mm: no leveling gets it closer.
    pub flatness_mm: f64,
}

/// Works out the lifts that make the minimum-zone plane of a face level, so that it loses least.
/// Jacks only lift; the one at the highest corner stays.
///
/// # Errors
/// As for [`judge`]; and if there are fewer than three jacks, they stand in one line, or one is
/// given twice.
pub fn level(points: &[HeightReading], jacks: &[Jack]) -> Result<Leveling, PlaceError> {
    input::count(jacks.len(), 3, "jacks")?;
    input::once(jacks.iter().map(|jack| jack.jack), "jacks")?;
    for jack in jacks {
        let name = || format!("jack {}", jack.jack);
        input::point(place(jack), name)?;
        input::positive(jack.lead_mm, || format!("the lead of {}", name()))?;
    }
    let places: Vec<Point> = jacks.iter().map(place).collect();
    input::spread_out(&places, "jacks")?;
    let face = judge(&FaceReadings {
        points: points.to_vec(),
        holes: Vec::new(),
    })?;
    let heights: Vec<f64> = places.iter().map(|at| face.upper.at_mm(*at)).collect();
    let highest = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let carrying = zone::wide_triangle(&places);
    let mut turns: Vec<JackTurn> = jacks
        .iter()
        .zip(&heights)
        .enumerate()
        .map(|(at, (jack, height))| JackTurn {
            jack: jack.jack,
            lift_mm: highest - height,
            turns: (highest - height) / jack.lead_mm,
            carries: carrying.contains(&at),
        })
        .collect();
    turns.sort_by(|a, b| {
        let late = b.carries.cmp(&a.carries);
        late.then(b.lift_mm.total_cmp(&a.lift_mm))
    });
    let (low, high) = out_of_level(points, &face.upper);
    Ok(Leveling {
        turns,
        out_of_level_mm: high - low,
        flatness_mm: face.flatness_minimum_zone_mm,
    })
}

fn place(jack: &Jack) -> Point {
    Point::new(jack.x_mm, jack.y_mm)
}

/// The lowest and highest height of the plane over the readings.
fn out_of_level(points: &[HeightReading], plane: &super::Plane) -> (f64, f64) {
    let heights = points.iter().map(|point| plane.at_mm(point.at()));
    heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mm| {
        (low.min(mm), high.max(mm))
    })
}
