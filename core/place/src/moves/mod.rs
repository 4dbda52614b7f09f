//! Table moves from a picked-up reference hole to each center.

mod export;
mod handwheel;
mod route;

pub use export::{csv, dxf};
pub use handwheel::{Approach, Handwheel, WheelMove};
pub use route::shortest_route;

use crate::{HolePoint, PlaceError, Point, input};
use serde::{Deserialize, Serialize};

/// How the pattern lies on the table.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Alignment {
    /// Its X and Y are those of the table.
    AsDrawn,
    /// It is turned, from the table's X toward its Y.
    Angle {
        /// By how much, degrees.
        angle_deg: f64,
    },
    /// By a second hole picked up on the machine: where the table reads there, from the reference
    /// hole.
    SecondHole {
        /// The second hole's number.
        hole: u32,
        /// What X reads there, mm.
        reads_x_mm: f64,
        /// What Y reads there, mm.
        reads_y_mm: f64,
    },
}

/// What table moves are worked out from.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MovePlan {
    /// All centers, the reference hole among them.
    pub holes: Vec<HolePoint>,
    /// The hole that the spindle is centered on, where both axes read 0.
    pub reference: u32,
    /// The holes to go to; empty: all of them.
    #[serde(default)]
    pub visit: Vec<u32>,
    /// How the pattern lies on the table.
    pub alignment: Alignment,
    /// The handwheel of the X axis; none with a digital readout.
    #[serde(default)]
    pub x_wheel: Option<Handwheel>,
    /// The handwheel of the Y axis.
    #[serde(default)]
    pub y_wheel: Option<Handwheel>,
    /// Whether to keep the order of the holes instead of the shortest way.
    #[serde(default)]
    pub keep_order: bool,
}

/// The moves, first to last.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Moves {
    /// How far the pattern is turned on the table, degrees.
    pub angle_deg: f64,
    /// By how much the two picked-up holes are farther apart than in the pattern, mm; none without
    /// a second hole.
    pub closure_mm: Option<f64>,
    /// The moves.
    pub moves: Vec<Move>,
    /// The way of both axes together, mm.
    pub travel_mm: f64,
}

/// A move to a hole.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Move {
    /// The hole's number.
    pub hole: u32,
    /// What the X readout shows there, mm from the reference hole.
    pub x_mm: f64,
    /// What the Y readout shows there, mm from the reference hole.
    pub y_mm: f64,
    /// How far X goes from the hole before, mm.
    pub by_x_mm: f64,
    /// How far Y goes from the hole before, mm.
    pub by_y_mm: f64,
    /// How to turn the X handwheel.
    pub x_wheel: Option<WheelMove>,
    /// How to turn the Y handwheel.
    pub y_wheel: Option<WheelMove>,
}

/// Works out the moves to each hole.
///
/// # Errors
/// If a number is not usable, a hole is given twice or not at all, the second hole lies at the
/// reference, or a handwheel has no lead or divisions.
pub fn plan(plan: &MovePlan) -> Result<Moves, PlaceError> {
    check(plan)?;
    let (angle, closure_mm) = angle(plan)?;
    let reference = find(plan, plan.reference)?;
    let mut stops: Vec<HolePoint> = wanted(plan)?
        .into_iter()
        .map(|hole| on_table(hole, reference, angle))
        .collect();
    if !plan.keep_order {
        stops = shortest_route(Point::default(), &stops);
    }
    let mut at = Point::default();
    let mut travel_mm = 0.0;
    let mut moves = Vec::with_capacity(stops.len());
    for stop in &stops {
        travel_mm += (stop.x_mm - at.x_mm).abs() + (stop.y_mm - at.y_mm).abs();
        moves.push(Move {
            hole: stop.hole,
            x_mm: stop.x_mm,
            y_mm: stop.y_mm,
            by_x_mm: stop.x_mm - at.x_mm,
            by_y_mm: stop.y_mm - at.y_mm,
            x_wheel: plan.x_wheel.map(|wheel| wheel.turn(at.x_mm, stop.x_mm)),
            y_wheel: plan.y_wheel.map(|wheel| wheel.turn(at.y_mm, stop.y_mm)),
        });
        at = stop.at();
    }
    Ok(Moves {
        angle_deg: angle.to_degrees(),
        closure_mm,
        moves,
        travel_mm,
    })
}

fn check(plan: &MovePlan) -> Result<(), PlaceError> {
    input::count(plan.holes.len(), 1, "holes")?;
    input::once(plan.holes.iter().map(|hole| hole.hole), "holes")?;
    input::once(plan.visit.iter().copied(), "holes to go to")?;
    for hole in &plan.holes {
        input::point(hole.at(), || format!("hole {}", hole.hole))?;
    }
    for (axis, wheel) in [("X", plan.x_wheel), ("Y", plan.y_wheel)] {
        wheel.map_or(Ok(()), |wheel| wheel.check(axis))?;
    }
    Ok(())
}

fn find(plan: &MovePlan, number: u32) -> Result<HolePoint, PlaceError> {
    let found = plan.holes.iter().find(|hole| hole.hole == number);
    found.copied().ok_or(PlaceError::NoSuchHole {
        hole: number,
        among: "holes",
    })
}

/// The holes to go to: those named, else all but the reference.
fn wanted(plan: &MovePlan) -> Result<Vec<HolePoint>, PlaceError> {
    if plan.visit.is_empty() {
        let others = plan.holes.iter().filter(|hole| hole.hole != plan.reference);
        return Ok(others.copied().collect());
    }
    plan.visit
        .iter()
        .map(|number| find(plan, *number))
        .collect()
}

/// The turn of the pattern on the table, radians, and how the second hole closes.
fn angle(plan: &MovePlan) -> Result<(f64, Option<f64>), PlaceError> {
    match plan.alignment {
        Alignment::AsDrawn => Ok((0.0, None)),
        Alignment::Angle { angle_deg } => {
            let angle = input::length(angle_deg, || "the angle".to_owned())?;
            Ok((angle.to_radians(), None))
        }
        Alignment::SecondHole {
            hole,
            reads_x_mm,
            reads_y_mm,
        } => {
            let reads = input::point(Point::new(reads_x_mm, reads_y_mm), || {
                "the reading at the second hole".to_owned()
            })?;
            let (first, second) = (find(plan, plan.reference)?.at(), find(plan, hole)?.at());
            let origin = Point::default();
            let (drawn, read) = (first.distance_mm(second), origin.distance_mm(reads));
            if drawn < input::LEAST_ERROR_MM || read < input::LEAST_ERROR_MM {
                return Err(PlaceError::OnePlace {
                    what: "reference hole and second hole",
                });
            }
            let of = |from: Point, to: Point| (to.y_mm - from.y_mm).atan2(to.x_mm - from.x_mm);
            Ok((of(origin, reads) - of(first, second), Some(read - drawn)))
        }
    }
}

/// A hole's place on the table, from the reference hole.
fn on_table(hole: HolePoint, reference: HolePoint, angle: f64) -> HolePoint {
    let (sin, cos) = angle.sin_cos();
    let (x, y) = (hole.x_mm - reference.x_mm, hole.y_mm - reference.y_mm);
    HolePoint {
        hole: hole.hole,
        x_mm: cos * x - sin * y,
        y_mm: sin * x + cos * y,
    }
}

#[cfg(test)]
mod tests;
