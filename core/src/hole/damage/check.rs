//! Validation of a damage description.

use super::{BrokenTool, Damage, Lean, MAX_DEPTH, MAX_DIAMETER, MAX_STATIONS, Span, Station, Tilt};
use crate::id::EntryId;
use crate::length::Length;
use crate::places::record::{MOST_EDGE_POINTS, MOST_RESTED_ON};

/// Error of a damage description. Each message is one sentence: what, where, what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DamageError {
    /// More stations than [`MAX_STATIONS`].
    #[error(
        "{count} stations and hard zones are too many; one hole takes at most {MAX_STATIONS}, so join those that touch"
    )]
    TooMany {
        /// Number given.
        count: usize,
    },
    /// A span starts above the face.
    #[error(
        "{what} starts {} above the face; start it at 0",
        .from.both()
    )]
    AboveFace {
        /// Which span.
        what: SpanLabel,
        /// Height above the face.
        from: Length,
    },
    /// A span does not end deeper than it starts.
    #[error(
        "{what} runs from {} to {}; it must end deeper than it starts",
        .from.both(), .to.both()
    )]
    EndsBeforeStart {
        /// Which span.
        what: SpanLabel,
        /// Upper end.
        from: Length,
        /// Lower end.
        to: Length,
    },
    /// A span ends below the bottom of the hole.
    #[error(
        "{what} ends at {}, but the hole ends at {}; correct the wrong one",
        .to.both(), .depth.both()
    )]
    BelowBottom {
        /// Which span.
        what: SpanLabel,
        /// Lower end.
        to: Length,
        /// Depth of the hole.
        depth: Length,
    },
    /// A span ends deeper than [`MAX_DEPTH`].
    #[error(
        "{what} ends at {}; the limit is {}, so check the number and unit",
        .to.both(), MAX_DEPTH.both()
    )]
    TooDeep {
        /// Which span.
        what: SpanLabel,
        /// Lower end.
        to: Length,
    },
    /// A diameter out of range.
    #[error(
        "{what} is {} across; it must be more than 0 and at most {}",
        .diameter.both(), MAX_DIAMETER.both()
    )]
    Diameter {
        /// Which station.
        what: SpanLabel,
        /// Its diameter.
        diameter: Length,
    },
    /// An offset out of range.
    #[error(
        "{what} is {} off center; it must be 0 or more and at most {}",
        .offset.both(), MAX_DIAMETER.both()
    )]
    Offset {
        /// Which station.
        what: SpanLabel,
        /// Its offset.
        offset: Length,
    },
    /// A direction that is not a number.
    #[error(
        "the direction of {what} is not a number; give degrees counterclockwise, 0 to the right in the photo"
    )]
    Direction {
        /// Which station.
        what: SpanLabel,
    },
    /// A diameter or offset out of range at the lower end.
    #[error(
        "{what} ends in a circle {} across and {} off center; both must be 0 or more and at most {}",
        .diameter.both(), .offset.both(), MAX_DIAMETER.both()
    )]
    LowerCircle {
        /// Which station.
        what: SpanLabel,
        /// Its diameter at the lower end.
        diameter: Length,
        /// Its offset at the lower end.
        offset: Length,
    },
    /// A tolerance out of range.
    #[error(
        "a tolerance of {what} is {}; it must be 0 or more and at most {}",
        .tolerance.both(), MAX_DIAMETER.both()
    )]
    Tolerance {
        /// Which station or zone.
        what: SpanLabel,
        /// The tolerance.
        tolerance: Length,
    },
    /// A traced edge that cannot be one, or too many entries that a station rests on.
    #[error(
        "{what} was taken from a photo, and what it was taken from cannot be read; it must have at most \
         {MOST_EDGE_POINTS} traced points and {MOST_RESTED_ON} entries, so trace it again"
    )]
    TakenFrom {
        /// Which station.
        what: SpanLabel,
    },
    /// A lean out of range, given as a run over a depth.
    #[error(
        "the old hole leans {} over {} of depth; the lean must be more than 0 and at most 30 degrees, so check both, or leave the lean out",
        .by.both(), .over.both()
    )]
    LeanRun {
        /// Sideways run.
        by: Length,
        /// Depth of that run.
        over: Length,
    },
    /// A lean out of range, given as an angle.
    #[error(
        "the old hole leans {degrees} degrees; the lean must be more than 0 and at most 30, so check it, or leave the lean out"
    )]
    LeanAngle {
        /// The angle.
        degrees: f64,
    },
    /// A diameter, offset or direction of a lean out of range.
    #[error(
        "{what} of the leaning hole is out of range; a diameter is more than 0 and at most {}, an offset 0 or more, a direction a number of degrees",
        MAX_DIAMETER.both()
    )]
    Lean {
        /// Which value.
        what: &'static str,
    },
    /// A broken piece that has no length or does not lie in the hole.
    #[error(
        "the broken {piece} cannot be {} long with its top {} below the face; measure it again, or leave out what is unknown",
        .length.both(), .top.both()
    )]
    BrokenTool {
        /// What broke.
        piece: String,
        /// Its length.
        length: Length,
        /// Depth of its top.
        top: Length,
    },
}

/// Names the span of a [`DamageError`], counted from one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpanLabel {
    /// A station of damage.
    Station(usize),
    /// A hard zone.
    Hard(usize),
}

impl std::fmt::Display for SpanLabel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SpanLabel::Station(number) => write!(f, "damage station {number}"),
            SpanLabel::Hard(number) => write!(f, "hard zone {number}"),
        }
    }
}

impl Damage {
    /// Returns the entries that its circles were worked out from.
    pub fn rests_on(&self) -> impl Iterator<Item = EntryId> + '_ {
        self.stations
            .iter()
            .flat_map(|station| station.rests_on.iter().copied())
    }

    /// Validates the damage of a hole of depth `depth`, measured from the same face; `None`:
    /// unknown.
    ///
    /// # Errors
    /// The first station, hard zone, lean or broken piece that lies outside the hole or has a size
    /// out of range.
    pub fn validate(&self, depth: Option<Length>) -> Result<(), DamageError> {
        if self.stations.len() + self.hard.len() > MAX_STATIONS {
            let count = self.stations.len() + self.hard.len();
            return Err(DamageError::TooMany { count });
        }
        for (i, station) in self.stations.iter().enumerate() {
            let what = SpanLabel::Station(i + 1);
            check_span(what, station.span, depth)?;
            check_circle(what, station)?;
            let traced = station.traced.as_ref().is_none_or(|edge| edge.is_valid());
            if !traced || station.rests_on.len() > MOST_RESTED_ON {
                return Err(DamageError::TakenFrom { what });
            }
        }
        for (i, zone) in self.hard.iter().enumerate() {
            let what = SpanLabel::Hard(i + 1);
            check_span(what, zone.span, depth)?;
            check_tolerance(what, zone.tolerance)?;
        }
        self.lean.as_ref().map_or(Ok(()), check_lean)?;
        self.broken_tool
            .as_ref()
            .map_or(Ok(()), |tool| check_broken(tool, depth))
    }
}

fn check_span(what: SpanLabel, span: Span, depth: Option<Length>) -> Result<(), DamageError> {
    let Span { from, to } = span;
    if from < Length::ZERO {
        return Err(DamageError::AboveFace { what, from: -from });
    }
    if to <= from {
        return Err(DamageError::EndsBeforeStart { what, from, to });
    }
    if to > MAX_DEPTH {
        return Err(DamageError::TooDeep { what, to });
    }
    match depth {
        Some(depth) if to > depth => Err(DamageError::BelowBottom { what, to, depth }),
        _ => Ok(()),
    }
}

fn check_circle(what: SpanLabel, station: &Station) -> Result<(), DamageError> {
    let Station {
        diameter,
        offset,
        direction_deg,
        ..
    } = *station;
    if !diameter.is_positive() || diameter > MAX_DIAMETER {
        return Err(DamageError::Diameter { what, diameter });
    }
    if offset < Length::ZERO || offset > MAX_DIAMETER {
        return Err(DamageError::Offset { what, offset });
    }
    if !direction_deg.is_finite() || station.to_direction_deg.is_some_and(|deg| !deg.is_finite()) {
        return Err(DamageError::Direction { what });
    }
    let (diameter, offset) = (
        station.to_diameter.unwrap_or(diameter),
        station.to_offset.unwrap_or(offset),
    );
    let sound = |length: Length| Length::ZERO <= length && length <= MAX_DIAMETER;
    if !sound(diameter) || !sound(offset) {
        return Err(DamageError::LowerCircle {
            what,
            diameter,
            offset,
        });
    }
    check_tolerance(what, station.diameter_tolerance)?;
    check_tolerance(what, station.offset_tolerance)
}

fn check_tolerance(what: SpanLabel, tolerance: Option<Length>) -> Result<(), DamageError> {
    match tolerance {
        Some(tolerance) if tolerance < Length::ZERO || tolerance > MAX_DIAMETER => {
            Err(DamageError::Tolerance { what, tolerance })
        }
        _ => Ok(()),
    }
}

/// Largest lean accepted, in degrees (judgment).
const MAX_LEAN_DEG: f64 = 30.0;

fn check_lean(lean: &Lean) -> Result<(), DamageError> {
    let degrees = lean.tilt.degrees();
    let possible = degrees > 0.0 && degrees <= MAX_LEAN_DEG;
    match lean.tilt {
        Tilt::Run { by, over } if !possible || !over.is_positive() => {
            return Err(DamageError::LeanRun { by, over });
        }
        Tilt::Degrees(degrees) if !possible => return Err(DamageError::LeanAngle { degrees }),
        _ => {}
    }
    let bad_size = |size: Length| !size.is_positive() || size > MAX_DIAMETER;
    let wrong = [
        (lean.diameter.is_some_and(bad_size), "the diameter"),
        (
            lean.offset < Length::ZERO || lean.offset > MAX_DIAMETER,
            "the offset at the face",
        ),
        (!lean.direction_deg.is_finite(), "the direction"),
        (
            !lean.offset_direction_deg.is_finite(),
            "the direction of the offset at the face",
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
    let bottom = depth.unwrap_or(MAX_DEPTH);
    let proud = -(top.min(Length::ZERO));
    if !length.is_positive()
        || length > MAX_DEPTH
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
