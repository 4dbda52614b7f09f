//! Patterns made of lines, circles, ovals, and grids. Holes are numbered from 1.

use super::WantedHole;
use crate::{PlaceError, Point, input};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A pattern of one shape.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "shape", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Layout {
    /// Holes in a line, see [`line()`].
    Line {
        /// The first hole.
        start: Point,
        /// From each hole to the next, mm.
        step: Point,
        /// How many.
        count: u32,
    },
    /// Holes evenly around a circle, see [`circle`].
    Circle {
        /// The circle's center.
        center: Point,
        /// Its diameter, mm.
        diameter_mm: f64,
        /// How many.
        count: u32,
        /// Where the first is, degrees from X toward Y.
        #[serde(default)]
        first_deg: f64,
    },
    /// Holes evenly along an ellipse, see [`ellipse`].
    Ellipse {
        /// Its center.
        center: Point,
        /// Its size along X, mm.
        width_mm: f64,
        /// Its size along Y, mm.
        height_mm: f64,
        /// How many.
        count: u32,
    },
    /// Holes evenly along a slot, see [`slot`].
    Slot {
        /// Its center.
        center: Point,
        /// Its size along X, mm.
        width_mm: f64,
        /// Its size along Y, mm.
        height_mm: f64,
        /// How many.
        count: u32,
    },
    /// Holes in rows, see [`grid`].
    Grid {
        /// The first hole.
        start: Point,
        /// From each hole of a row to the next, mm.
        step: Point,
        /// How many in a row.
        columns: u32,
        /// From each row to the next, mm.
        row_step: Point,
        /// How many rows.
        rows: u32,
    },
}

impl Layout {
    /// Returns the holes, numbered from 1.
    ///
    /// # Errors
    /// If there are no or too many holes, a size is not above 0, or a number is not usable.
    pub fn holes(self) -> Result<Vec<WantedHole>, PlaceError> {
        match self {
            Self::Line { start, step, count } => line(start, step, count),
            Self::Circle {
                center,
                diameter_mm,
                count,
                first_deg,
            } => circle(center, diameter_mm, count, first_deg),
            Self::Ellipse {
                center,
                width_mm,
                height_mm,
                count,
            } => ellipse(center, width_mm, height_mm, count),
            Self::Slot {
                center,
                width_mm,
                height_mm,
                count,
            } => slot(center, width_mm, height_mm, count),
            Self::Grid {
                start,
                step,
                columns,
                row_step,
                rows,
            } => grid(start, step, columns, row_step, rows),
        }
    }
}

/// Points that an ellipse is walked by, to space holes evenly along it.
const CHORDS: u32 = 8_192;

/// Returns `count` holes from `start`, each a step to the right and up, mm.
///
/// # Errors
/// If there are no or too many holes, or a number is not usable.
pub fn line(start: Point, step: Point, count: u32) -> Result<Vec<WantedHole>, PlaceError> {
    grid(start, step, count, Point::default(), 1)
}

/// Returns a grid: `columns` holes a step apart in each of `rows` rows, which are `row_step` apart.
///
/// # Errors
/// If there are no or too many holes, or a number is not usable.
pub fn grid(
    start: Point,
    step: Point,
    columns: u32,
    row_step: Point,
    rows: u32,
) -> Result<Vec<WantedHole>, PlaceError> {
    let count = columns.saturating_mul(rows);
    counted(count)?;
    numbered((0..count).map(|at| {
        let (column, row) = (f64::from(at % columns), f64::from(at / columns));
        Point::new(
            start.x_mm + column * step.x_mm + row * row_step.x_mm,
            start.y_mm + column * step.y_mm + row * row_step.y_mm,
        )
    }))
}

/// Returns `count` holes evenly around a circle; the first at `first_deg` from X toward Y.
///
/// # Errors
/// If there are no or too many holes, the diameter is not above 0, or a number is not usable.
pub fn circle(
    center: Point,
    diameter_mm: f64,
    count: u32,
    first_deg: f64,
) -> Result<Vec<WantedHole>, PlaceError> {
    counted(count)?;
    input::positive(diameter_mm, || "the diameter".to_owned())?;
    input::length(first_deg, || "the angle of the first hole".to_owned())?;
    numbered((0..count).map(|at| {
        let angle = first_deg.to_radians() + TAU * f64::from(at) / f64::from(count);
        let radius = diameter_mm / 2.0;
        Point::new(
            center.x_mm + radius * angle.cos(),
            center.y_mm + radius * angle.sin(),
        )
    }))
}

/// Returns `count` holes evenly along an ellipse, from its right end toward Y.
///
/// # Errors
/// If there are no or too many holes, a size is not above 0, or a number is not usable.
pub fn ellipse(
    center: Point,
    width_mm: f64,
    height_mm: f64,
    count: u32,
) -> Result<Vec<WantedHole>, PlaceError> {
    counted(count)?;
    sizes(width_mm, height_mm)?;
    let at = |turn: f64| {
        let angle = TAU * turn;
        Point::new(
            center.x_mm + width_mm / 2.0 * angle.cos(),
            center.y_mm + height_mm / 2.0 * angle.sin(),
        )
    };
    along(
        (0..=CHORDS).map(|chord| at(f64::from(chord) / f64::from(CHORDS))),
        count,
    )
}

/// Returns `count` holes evenly along a slot: two straight sides with half circles at the ends of
/// the longer direction. Starts in the middle of the right side, toward Y.
///
/// # Errors
/// If there are no or too many holes, a size is not above 0, or a number is not usable.
pub fn slot(
    center: Point,
    width_mm: f64,
    height_mm: f64,
    count: u32,
) -> Result<Vec<WantedHole>, PlaceError> {
    counted(count)?;
    sizes(width_mm, height_mm)?;
    let radius = width_mm.min(height_mm) / 2.0;
    let (right, up) = (width_mm / 2.0 - radius, height_mm / 2.0 - radius);
    let at = |turn: f64| {
        let (sin, cos) = (TAU * turn).sin_cos();
        let side = |direction: f64, half: f64| {
            if direction.abs() < 1e-12 {
                0.0
            } else {
                half.copysign(direction)
            }
        };
        Point::new(
            center.x_mm + side(cos, right) + radius * cos,
            center.y_mm + side(sin, up) + radius * sin,
        )
    };
    along(
        (0..=CHORDS).map(|chord| at(f64::from(chord) / f64::from(CHORDS))),
        count,
    )
}

/// Holes evenly along a closed path of points.
fn along(path: impl Iterator<Item = Point>, count: u32) -> Result<Vec<WantedHole>, PlaceError> {
    let path: Vec<Point> = path.collect();
    let mut walked = vec![0.0];
    for pair in path.windows(2) {
        let so_far = walked.last().copied().unwrap_or_default();
        walked.push(so_far + pair[0].distance_mm(pair[1]));
    }
    let whole = walked.last().copied().unwrap_or_default();
    numbered((0..count).map(|hole| {
        let at = whole * f64::from(hole) / f64::from(count);
        let end = walked
            .partition_point(|so_far| *so_far <= at)
            .min(path.len() - 1);
        let (from, to) = (path[end - 1], path[end]);
        let length = walked[end] - walked[end - 1];
        let share = if length > 0.0 {
            (at - walked[end - 1]) / length
        } else {
            0.0
        };
        Point::new(
            from.x_mm + share * (to.x_mm - from.x_mm),
            from.y_mm + share * (to.y_mm - from.y_mm),
        )
    }))
}

fn counted(count: u32) -> Result<(), PlaceError> {
    input::count(count as usize, 1, "holes in the pattern")
}

fn sizes(width_mm: f64, height_mm: f64) -> Result<(), PlaceError> {
    input::positive(width_mm, || "the width".to_owned())?;
    input::positive(height_mm, || "the height".to_owned())?;
    Ok(())
}

fn numbered(points: impl Iterator<Item = Point>) -> Result<Vec<WantedHole>, PlaceError> {
    (1..)
        .zip(points)
        .map(|(hole, at)| {
            input::point(at, || format!("hole {hole} of the pattern"))?;
            Ok(WantedHole {
                hole,
                x_mm: at.x_mm,
                y_mm: at.y_mm,
                error_mm: 0.0,
            })
        })
        .collect()
}
