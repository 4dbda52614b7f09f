//! Whether a damage can be, and why not.

use super::{BrokenTool, DEEPEST, Damage, MOST_STATIONS, Span, Station, WIDEST};
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
    /// The first station, hard zone or broken piece that lies outside of the hole or has no sensible size.
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
        for (i, span) in self.hard.iter().enumerate() {
            check_span(SpanOf::Hard(i + 1), *span, depth)?;
        }
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
    if !direction_deg.is_finite() {
        return Err(DamageError::Direction { what });
    }
    Ok(())
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
