//! Finds holes in a photo of a face.
//!
//! A person marks two or three holes, best spread round the face; [`propose`] returns the others
//! that look like them, to be confirmed or dropped one by one, and [`snap`] the rim of the hole at
//! a tap. Nothing here decides: a proposal is a question.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::print_stdout))]

mod look;
mod pattern;
mod plane;
mod propose;
mod rays;
mod refine;
mod rim;
mod score;
#[cfg(test)]
mod tests;
mod view;
mod votes;

pub use look::Look;
pub use pattern::{Expected, Pattern, propose_on_pattern};
pub use plane::Picture;
pub use propose::{Proposal, propose, snap};
pub use rim::{Point, Rim};

/// Why nothing was looked for.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FindError {
    /// The pixels are not those of a picture of this size.
    #[error("the pixels are not those of a picture of {width} by {height}")]
    NotAPicture {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// No hole was marked.
    #[error("no hole is marked in this photo; mark two or three first")]
    NoMarks,
    /// A mark is outside the picture.
    #[error("the point {x:.0}, {y:.0} is not in the photo")]
    OutsidePicture {
        /// Pixels to the right.
        x: f64,
        /// Pixels down.
        y: f64,
    },
    /// A mark names a hole that the pattern does not have.
    #[error("a mark names a hole that is not in the pattern; choose one that is")]
    NotInPattern,
    /// Fewer than two different holes of the pattern are marked.
    #[error("two holes of the pattern must be marked in the photo, far apart; mark one more")]
    TooFewMarks,
    /// No rim was found around the marks.
    #[error("no rim was found there; zoom in and mark the center by hand")]
    NoRim,
}
