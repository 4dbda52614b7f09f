//! Why a calculation was refused: what, where, and what to do.

use crate::show::{both, holes};

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlaceError {
    /// A number is NaN, infinite, or absurdly large.
    #[error("{what} is not a usable number; enter one within ±{most}")]
    Number {
        /// Which number.
        what: String,
        /// The largest that is taken.
        most: &'static str,
    },
    /// A number that must be more than 0.
    #[error("{what} must be more than 0")]
    NotPositive {
        /// Which number.
        what: String,
    },
    /// Too few points for the question.
    #[error("{have} {what}, but {needs} are needed; add {}", needs - have)]
    TooFew {
        /// What is counted, in the plural.
        what: &'static str,
        /// How many there are.
        have: u32,
        /// How many it takes.
        needs: u32,
    },
    /// More points than a face has.
    #[error("more than {most} {what}; split the job")]
    TooMany {
        /// What is counted, in the plural.
        what: &'static str,
        /// The most that are taken.
        most: u32,
    },
    /// A hole number occurs twice.
    #[error("hole {hole} is given twice among the {among}; number each hole once")]
    Twice {
        /// The hole's number.
        hole: u32,
        /// Where it occurs.
        among: &'static str,
    },
    /// A hole that is not there.
    #[error("hole {hole} is not among the {among}; check its number")]
    NoSuchHole {
        /// The hole's number.
        hole: u32,
        /// Where it was sought.
        among: &'static str,
    },
    /// Points at one place.
    #[error("the {what} are all at one place; give points that are well apart")]
    OnePlace {
        /// Which points.
        what: &'static str,
    },
    /// Points on one line.
    #[error("the {what} lie on one line; add one well off that line")]
    OneLine {
        /// Which points.
        what: &'static str,
    },
    /// Two points are not as far apart as in the pattern.
    #[error(
        "holes {first} and {second} are {} apart but {} in the pattern, and nothing tells which is off; \
         measure a third hole", both(*found_mm), both(*wanted_mm)
    )]
    PairDisagrees {
        /// One hole.
        first: u32,
        /// The other hole.
        second: u32,
        /// How far apart they are, mm.
        found_mm: f64,
        /// How far apart they should be, mm.
        wanted_mm: f64,
    },
    /// No placement of the pattern fits enough holes.
    #[error(
        "fewer than {needs} of the {found} holes found agree with the pattern; check the hole numbers, the unit, \
         whether the pattern is seen from the back, and the stated errors"
    )]
    NoAgreement {
        /// How many holes were found.
        found: u32,
        /// How many must agree.
        needs: u32,
    },
    /// Two placements of the pattern fit equally many holes.
    #[error(
        "holes {} agree with one placement of the pattern and holes {} with another; measure one more hole",
        holes(first),
        holes(second)
    )]
    Ambiguous {
        /// The holes of one placement.
        first: Vec<u32>,
        /// The holes of the other.
        second: Vec<u32>,
    },
    /// The pattern fits when it is turned over.
    #[error(
        "the pattern fits {mirrored} holes when it is mirrored, but only {unmirrored} as it is: it is seen \
         from the other side; allow a mirrored fit, or change the sign of all its X"
    )]
    Mirrored {
        /// Holes that agree with the mirrored pattern.
        mirrored: u32,
        /// Holes that agree with it as given.
        unmirrored: u32,
    },
    /// A hole has too few distances to be placed.
    #[error(
        "hole {hole} cannot be placed: it needs distances to two placed holes that are not in one line \
         with it; measure from hole {hole} to hole {}",
        to.map_or_else(|| "two others".to_owned(), |to| to.to_string())
    )]
    Unplaced {
        /// The hole.
        hole: u32,
        /// The hole to measure to.
        to: Option<u32>,
    },
    /// Distances that no three points have.
    #[error(
        "the distances between holes {} make no triangle: the longest is longer than the other two together; \
         measure them again",
        holes(at)
    )]
    NoTriangle {
        /// The three holes.
        at: Vec<u32>,
    },
    /// A calculation did not settle.
    #[error("{what} did not settle; the points are too close together or too nearly in one line")]
    NotSettled {
        /// What was calculated.
        what: &'static str,
    },
    /// The height differences are as large as the face.
    #[error("the heights differ by as much as the face is wide; check their unit")]
    NotAFace,
    /// A mark lies at or beyond the horizon of the photo.
    #[error(
        "mark {mark} lies beyond the horizon of the face in this photo; check the known points"
    )]
    BeyondHorizon {
        /// The mark, counted from 1.
        mark: u32,
    },
    /// The known points cannot be seen like that on one flat face.
    #[error(
        "the known points cannot lie like this on one flat face; check that each one's place is right"
    )]
    Folded,
}
