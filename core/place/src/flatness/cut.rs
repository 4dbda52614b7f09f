//! What each hole loses by a face cut.

use super::HeightReading;
use crate::{HolePoint, Point};
use serde::Serialize;

/// A reading this near to a hole is the hole's own, mm.
const AT_HOLE_MM: f64 = 0.5;
/// How many of the nearest readings count.
const NEAREST: usize = 4;

/// What a hole loses by the cut.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HoleLoss {
    /// The hole's number.
    pub hole: u32,
    /// About how much is milled off there, mm: the mean of the four nearest readings, weighted by
    /// the inverse square of their distance.
    pub loses_mm: f64,
    /// The most that is milled off at those readings, mm; depths that must hold count with this.
    pub at_most_mm: f64,
}

/// Works out what each hole loses. `above_mm` is how far each reading lies above the finished face.
#[must_use]
pub fn cut_at_holes(
    points: &[HeightReading],
    above_mm: &[f64],
    holes: &[HolePoint],
) -> Vec<HoleLoss> {
    holes
        .iter()
        .map(|hole| loss(points, above_mm, hole))
        .collect()
}

fn loss(points: &[HeightReading], above_mm: &[f64], hole: &HolePoint) -> HoleLoss {
    let at: Point = hole.at();
    let mut near: Vec<(f64, f64)> = points
        .iter()
        .zip(above_mm)
        .map(|(point, above)| (point.at().distance_mm(at), *above))
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.truncate(NEAREST);
    if near.first().is_some_and(|(far, _)| *far <= AT_HOLE_MM) {
        near.truncate(1);
    }
    let weights: f64 = near
        .iter()
        .map(|(far, _)| far.max(AT_HOLE_MM).powi(-2))
        .sum();
    let sum: f64 = near
        .iter()
        .map(|(far, above)| far.max(AT_HOLE_MM).powi(-2) * above)
        .sum();
    HoleLoss {
        hole: hole.hole,
        loses_mm: sum / weights,
        at_most_mm: near.iter().map(|(_, above)| *above).fold(0.0, f64::max),
    }
}
