//! Two faces on each other: where they touch, and how much they rock.
//!
//! What counts is the sum of both faces' heights at each place. The upper part rests where a plane
//! on top of those sums carries its weight: the facet of their upper hull at the center of gravity.
//! Pressed at a corner, it tips until that corner touches.

use super::HeightReading;
use crate::linear::dot;
use crate::simplex::{self, Column};
use crate::{PlaceError, Point};
use serde::Serialize;

/// Rocking below this does not show on feelers, mm (.0005 in). Judgment.
const FELT_MM: f64 = 0.013;

/// How two faces lie on each other.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Rocking {
    /// Where they touch when nothing presses: the numbers of the readings, counted from 1.
    pub touch: Vec<u32>,
    /// The gap at each reading then, mm.
    pub gaps_mm: Vec<f64>,
    /// The most that the part goes down where it is pressed, mm.
    pub rocks_mm: f64,
    /// Where that is: the number of the reading, counted from 1.
    pub rocks_at: u32,
    /// Whether that can be felt (more than 0.013 mm, .0005 in).
    pub is_felt: bool,
}

/// Lays a face on another. Both have readings at the same places, seen from above the lower one:
/// `upper` heights are out of the upper part's metal, so downward. The weight is taken in the
/// middle of the readings.
///
/// # Errors
/// As for [`super::judge`], and if the readings are not at the same places.
pub fn rock(lower: &[HeightReading], upper: &[HeightReading]) -> Result<Rocking, PlaceError> {
    super::check(lower)?;
    super::check(upper)?;
    let is_same = |(a, b): (&HeightReading, &HeightReading)| a.at().distance_mm(b.at()) < 0.5;
    if lower.len() != upper.len() || !lower.iter().zip(upper).all(is_same) {
        return Err(PlaceError::NotSettled {
            what: "the contact of two faces with readings at different places",
        });
    }
    let places: Vec<Point> = lower.iter().map(HeightReading::at).collect();
    let sums: Vec<f64> = lower
        .iter()
        .zip(upper)
        .map(|(a, b)| a.z_mm + b.z_mm)
        .collect();
    let spread = crate::input::spread(&places);
    let rest = Rest::of(&places, &sums, spread.center)?;
    let gaps_mm: Vec<f64> = places
        .iter()
        .zip(&sums)
        .map(|(at, sum)| (rest.at_mm(*at) - sum).max(0.0))
        .collect();
    // Pressed at a corner of the outline, the part tips until that corner touches.
    let corners = hull(&places).into_iter();
    let most = corners.max_by(|a, b| gaps_mm[*a].total_cmp(&gaps_mm[*b]));
    let at = most.unwrap_or_default();
    let rocks_mm = gaps_mm[at];
    Ok(Rocking {
        touch: rest.touch,
        rocks_mm,
        rocks_at: at as u32 + 1,
        is_felt: rocks_mm > FELT_MM,
        gaps_mm,
    })
}

/// A plane resting on heights.
struct Rest {
    /// Height in the middle and slopes, for places of about size 1.
    plane: [f64; 3],
    center: Point,
    size: f64,
    touch: Vec<u32>,
}

impl Rest {
    /// The lowest plane at `load` that no height rises above.
    fn of(places: &[Point], heights: &[f64], load: Point) -> Result<Self, PlaceError> {
        let spread = crate::input::spread_out(places, "readings")?;
        let (center, size) = (load, spread.along_mm);
        let scale = heights.iter().fold(1e-9_f64, |most, mm| most.max(mm.abs()));
        let columns: Vec<Column<3>> = places
            .iter()
            .zip(heights)
            .map(|(at, height)| Column {
                entries: row(*at, center, size),
                cost: height / scale,
            })
            .collect();
        let basis = around(places, load)?;
        let best = simplex::maximize(&columns, [1.0, 0.0, 0.0], basis);
        let best = best.ok_or(PlaceError::NotSettled {
            what: "the contact of the faces",
        })?;
        let carries = best.basis.iter().zip(best.values.iter());
        let mut touch: Vec<u32> = carries
            .filter(|(_, load)| **load > 1e-9)
            .map(|(at, _)| *at as u32 + 1)
            .collect();
        touch.sort_unstable();
        Ok(Self {
            plane: best.prices.map(|price| price * scale),
            center,
            size,
            touch,
        })
    }

    fn at_mm(&self, at: Point) -> f64 {
        dot(&self.plane, &row(at, self.center, self.size))
    }
}

fn row(at: Point, center: Point, size: f64) -> [f64; 3] {
    [
        1.0,
        (at.x_mm - center.x_mm) / size,
        (at.y_mm - center.y_mm) / size,
    ]
}

/// Three readings with the load inside of their triangle, or on its rim.
fn around(places: &[Point], load: Point) -> Result<[usize; 3], PlaceError> {
    let hull = hull(places);
    let area = |a: Point, b: Point, c: Point| {
        (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
    };
    let least = -1e-9 * crate::input::spread(places).along_mm.powi(2);
    for pair in hull[1..].windows(2) {
        let [a, b, c] = [places[hull[0]], places[pair[0]], places[pair[1]]];
        let sides = [area(a, b, load), area(b, c, load), area(c, a, load)];
        if sides.iter().all(|side| *side >= least) && area(a, b, c) > 0.0 {
            return Ok([hull[0], pair[0], pair[1]]);
        }
    }
    Err(PlaceError::OneLine { what: "readings" })
}

/// The convex hull, counterclockwise, by index.
fn hull(places: &[Point]) -> Vec<usize> {
    let corners = crate::plane::hull(places.to_vec());
    let index = |corner: &Point| places.iter().position(|place| place == corner);
    corners.iter().filter_map(index).collect()
}
