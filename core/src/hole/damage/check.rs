//! Whether a damage can be, and why not.

use super::{BrokenTool, DEEPEST, Damage, Lean, MOST_STATIONS, Span, Station, Tilt, WIDEST};
use crate::length::Length;

/// Why a damage was refused. Each message is one sentence that says what, where and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DamageError {
    /// More stations than [`MOST_STATIONS`].
    #[error(
        "{count} stations of damage are more than the {MOST_STATIONS} that one hole can have here; join those that touch"
    )]
    TooMany {
        /// How many were given.
        count: usize,
    },
    /// A span starts above the face.
    #[error("{what} starts {from} above the face; depths run into the metal, so start it at 0")]
    AboveFace {
        /// Which span.
        what: SpanOf,
        /// How far above.
        from: Length,
    },
    /// A span ends where it starts, or before.
    #[error("{what} runs from {from} to {to}; it must end deeper than it starts")]
    NotForward {
        /// Which span.
        what: SpanOf,
        /// Its start.
        from: Length,
        /// Its end.
        to: Length,
    },
    /// A span reaches below the bottom of the hole.
    #[error("{what} reaches to {to}, but the hole ends at {depth}; correct whichever is wrong")]
    BelowBottom {
        /// Which span.
        what: SpanOf,
        /// Its end.
        to: Length,
        /// The hole's depth.
        depth: Length,
    },
    /// A span reaches deeper than [`DEEPEST`].
    #[error(
        "{what} reaches to {to}, deeper than any hole here ({DEEPEST}); check the number and its unit"
    )]
    TooDeep {
        /// Which span.
        what: SpanOf,
        /// Its end.
        to: Length,
    },
    /// A circle of no size, or too large to be one hole's damage.
    #[error("{what} is {diameter} across; it must be more than 0 and at most {WIDEST}")]
    Diameter {
        /// Which station.
        what: SpanOf,
        /// Its diameter.
        diameter: Length,
    },
    /// An offset below zero, or too far to concern the hole.
    #[error(
        "{what} lies {offset} off the intended centre; it must be 0 or more and at most {WIDEST}"
    )]
    Offset {
        /// Which station.
        what: SpanOf,
        /// Its offset.
        offset: Length,
    },
    /// The direction is not a number.
    #[error(
        "the direction of {what} is not a number; give degrees counter-clockwise from the picture's right"
    )]
    Direction {
        /// Which station.
        what: SpanOf,
    },
    /// The circle at the lower end is of a size or in a place that cannot be.
    #[error(
        "{what} ends in a circle {diameter} across and {offset} off the intended centre; neither may be less than 0 or more than {WIDEST}"
    )]
    Lower {
        /// Which station.
        what: SpanOf,
        /// Its diameter at the lower end.
        diameter: Length,
        /// Its offset there.
        offset: Length,
    },
    /// An error of a reading below zero, or larger than anything measured here.
    #[error("a reading of {what} may be off by {error}; it must be 0 or more and at most {WIDEST}")]
    Error {
        /// Which station or zone.
        what: SpanOf,
        /// The error.
        error: Length,
    },
    /// The old hole leans by nothing, by less, or so much that it is no hole for this face.
    #[error(
        "the old hole leans {by} over {over} of depth; it must be more than 0 and at most 30 degrees, so check both, or leave the lean out"
    )]
    LeansBy {
        /// Sideways.
        by: Length,
        /// Over this depth.
        over: Length,
    },
    /// The same, given as an angle.
    #[error(
        "the old hole leans {degrees} degrees; it must be more than 0 and at most 30, so check it, or leave the lean out"
    )]
    Leans {
        /// The angle.
        degrees: f64,
    },
    /// What else a lean says cannot be.
    #[error(
        "of the old hole that leans, {what} cannot be right; a size is more than 0 and at most {WIDEST}, an offset 0 or more, a direction a number of degrees"
    )]
    Lean {
        /// What it is.
        what: &'static str,
    },
    /// The broken piece has no length, or lies outside of the hole.
    #[error(
        "the broken {piece} cannot be {length} long with its top {top} below the face; measure it again, or leave out what is not known"
    )]
    BrokenTool {
        /// What broke.
        piece: String,
        /// Its length.
        length: Length,
        /// Where its top lies.
        top: Length,
    },
}

/// Which span a [`DamageError`] speaks of, counted from one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpanOf {
    /// A station of damage.
    Station(usize),
    /// A hard zone.
    Hard(usize),
}

impl std::fmt::Display for SpanOf {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SpanOf::Station(number) => write!(f, "station {number} of the damage"),
            SpanOf::Hard(number) => write!(f, "hard zone {number}"),
        }
    }
}

impl Damage {
    /// Looks whether this can be the damage of a hole of that depth (from the same face; `None`: not known).
    ///
    /// # Errors
    /// The first station, hard zone, lean or broken piece that lies outside of the hole or has no sensible size.
    pub fn check(&self, depth: Option<Length>) -> Result<(), DamageError> {
        if self.stations.len() + self.hard.len() > MOST_STATIONS {
            let count = self.stations.len() + self.hard.len();
            return Err(DamageError::TooMany { count });
        }
        for (i, station) in self.stations.iter().enumerate() {
            let what = SpanOf::Station(i + 1);
            check_span(what, station.span, depth)?;
            check_circle(what, station)?;
        }
        for (i, zone) in self.hard.iter().enumerate() {
            let what = SpanOf::Hard(i + 1);
            check_span(what, zone.span, depth)?;
            check_error(what, zone.error)?;
        }
        self.lean.as_ref().map_or(Ok(()), check_lean)?;
        self.broken_tool
            .as_ref()
            .map_or(Ok(()), |tool| check_broken(tool, depth))
    }
}

fn check_span(what: SpanOf, span: Span, depth: Option<Length>) -> Result<(), DamageError> {
    let Span { from, to } = span;
    if from < Length::ZERO {
        return Err(DamageError::AboveFace { what, from: -from });
    }
    if to <= from {
        return Err(DamageError::NotForward { what, from, to });
    }
    if to > DEEPEST {
        return Err(DamageError::TooDeep { what, to });
    }
    match depth {
        Some(depth) if to > depth => Err(DamageError::BelowBottom { what, to, depth }),
        _ => Ok(()),
    }
}

fn check_circle(what: SpanOf, station: &Station) -> Result<(), DamageError> {
    let Station {
        diameter,
        offset,
        direction_deg,
        ..
    } = *station;
    if !diameter.is_positive() || diameter > WIDEST {
        return Err(DamageError::Diameter { what, diameter });
    }
    if offset < Length::ZERO || offset > WIDEST {
        return Err(DamageError::Offset { what, offset });
    }
    if !direction_deg.is_finite() || station.to_direction_deg.is_some_and(|deg| !deg.is_finite()) {
        return Err(DamageError::Direction { what });
    }
    let (diameter, offset) = (
        station.to_diameter.unwrap_or(diameter),
        station.to_offset.unwrap_or(offset),
    );
    let sound = |length: Length| Length::ZERO <= length && length <= WIDEST;
    if !sound(diameter) || !sound(offset) {
        return Err(DamageError::Lower {
            what,
            diameter,
            offset,
        });
    }
    check_error(what, station.diameter_error)?;
    check_error(what, station.offset_error)
}

fn check_error(what: SpanOf, error: Option<Length>) -> Result<(), DamageError> {
    match error {
        Some(error) if error < Length::ZERO || error > WIDEST => {
            Err(DamageError::Error { what, error })
        }
        _ => Ok(()),
    }
}

/// More than this is no lean that a person would want to keep or to drill through: 30 degrees (judgement).
const MOST_LEAN_DEG: f64 = 30.0;

fn check_lean(lean: &Lean) -> Result<(), DamageError> {
    let degrees = lean.tilt.degrees();
    let possible = degrees > 0.0 && degrees <= MOST_LEAN_DEG;
    match lean.tilt {
        Tilt::Run { by, over } if !possible || !over.is_positive() => {
            return Err(DamageError::LeansBy { by, over });
        }
        Tilt::Degrees(degrees) if !possible => return Err(DamageError::Leans { degrees }),
        _ => {}
    }
    let bad_size = |size: Length| !size.is_positive() || size > WIDEST;
    let wrong = [
        (lean.diameter.is_some_and(bad_size), "its diameter"),
        (
            lean.offset < Length::ZERO || lean.offset > WIDEST,
            "its offset at the face",
        ),
        (!lean.direction_deg.is_finite(), "the way it leans"),
        (
            !lean.offset_direction_deg.is_finite(),
            "the way it lies off at the face",
        ),
    ];
    match wrong.iter().find(|(wrong, _)| *wrong) {
        Some((_, what)) => Err(DamageError::Lean { what }),
        None => Ok(()),
    }
}

fn check_broken(tool: &BrokenTool, depth: Option<Length>) -> Result<(), DamageError> {
    let top = tool.top.unwrap_or(Length::ZERO);
    let length = tool.length.unwrap_or(Length::from_nm(1));
    let bottom = depth.unwrap_or(DEEPEST);
    let proud = -(top.min(Length::ZERO));
    if !length.is_positive()
        || length > DEEPEST
        || top >= bottom
        || proud > length
        || top + length > bottom
    {
        return Err(DamageError::BrokenTool {
            piece: tool.what.clone(),
            length: tool.length.unwrap_or(Length::ZERO),
            top,
        });
    }
    Ok(())
}
