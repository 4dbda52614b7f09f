//! Where things are on a joint face: a pattern fitted to the holes that were found, coordinates
//! from caliper distances, the plane of a photo, flatness and the face cut, leveling, table moves,
//! and the order of tightening.
//!
//! Lengths are millimeters as `f64`, with the unit in the name. An `error_mm` is the standard
//! deviation of each coordinate (about half of a reading's ± tolerance). X points right and Y up
//! as one looks at the face, Z out of the metal; angles count from X toward Y.

#![forbid(unsafe_code)]

pub mod distances;
mod error;
pub mod flatness;
mod gauss;
mod input;
pub mod linear;
pub mod moves;
pub mod outline;
pub mod pattern;
pub mod plane;
#[cfg(test)]
mod seeded;
mod show;
mod simplex;
pub mod tightening;

pub use error::PlaceError;

use serde::{Deserialize, Serialize};

/// The most points that one calculation takes.
pub const MOST_POINTS: usize = 10_000;

/// A place on the face.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
}

/// A numbered hole and where its center is.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HolePoint {
    /// The hole's number.
    pub hole: u32,
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
}

impl Point {
    /// Creates a point from its coordinates, mm.
    #[must_use]
    pub const fn new(x_mm: f64, y_mm: f64) -> Self {
        Self { x_mm, y_mm }
    }

    /// Returns the distance to another point, mm.
    #[must_use]
    pub fn distance_mm(self, other: Self) -> f64 {
        (self.x_mm - other.x_mm).hypot(self.y_mm - other.y_mm)
    }
}

impl HolePoint {
    /// Returns the hole's place.
    #[must_use]
    pub const fn at(&self) -> Point {
        Point::new(self.x_mm, self.y_mm)
    }
}
