//! What the arithmetic must know of a hole: the input of `holebook remedies`, and what a notebook's entries come to.

mod doubt;
mod from_record;
mod json;

pub use doubt::{Doubt, DoubtfulReading, Errors};
pub use from_record::{Missing, situation_of};

use super::damage::{DEEPEST, Damage, DamageError};
use crate::length::Length;
use crate::strength::{Grade, Metal};
use crate::thread::Thread;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// No face is cut by more than this in one repair: 50 mm.
pub const LARGEST_FACE_CUT: Length = Length::from_nm(50_000_000);

/// Everything about a hole that decides which remedies fit. `None` stands for "not known" throughout, and what
/// depends on it is then never passed.
///
/// Depths run from today's face into the metal, distances from the intended centre. Reads and writes the JSON of
/// `holebook remedies --hole`; what does not pass [`Situation::check`] is refused on the way in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "json::Wire", into = "json::Wire")]
pub struct Situation {
    /// The thread that the hole shall have.
    pub thread: Thread,
    /// The bolt's grade.
    pub bolt: Option<Grade>,
    /// The metal of the casting.
    pub metal: Metal,
    /// Whether the hole goes through; then `depth` is the thickness of the metal.
    pub through: Option<bool>,
    /// Depth to the bottom of the hole.
    pub depth: Option<Length>,
    /// Metal under the bottom.
    pub floor: Option<Length>,
    /// From the intended centre to the nearest edge of the face, or to a passage.
    pub nearest_edge: Option<Length>,
    /// From the intended centre to that of the nearest other hole.
    pub nearest_hole: Option<Length>,
    /// Diameter of the hole in the part that is bolted on.
    pub mating_hole: Option<Length>,
    /// Thickness of all that the bolt holds: the part, its gasket and the washer.
    pub grip: Option<Length>,
    /// Metal still to come off the face; zero where the face stays as it is.
    pub face_cut: Option<Length>,
    /// Metal that has come off the face already.
    pub milled: Length,
    /// How far the readings above may be off. They stand at the worst already: what was read, less this.
    pub errors: Errors,
    /// What is missing or wrong round the intended centre; its readings stand as they were read, each with its own error.
    pub damage: Damage,
    /// Whether anyone looked what is missing. With `false`, `damage` may say less than there is.
    pub damage_read: bool,
    /// Families of inserts and taps in the drawer.
    pub on_hand: Option<Vec<String>>,
}

/// Why a situation was refused. Each message is one sentence that says what, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SituationError {
    /// A length that must be more than zero.
    #[error("{what} is {value}; it must be more than 0, so measure it again or leave it out")]
    NotPositive {
        /// Which reading.
        what: &'static str,
        /// Its value.
        value: Length,
    },
    /// An error of a reading below zero.
    #[error(
        "{what} may be off by {error}; an error is 0 or more, or left out where nobody said it"
    )]
    ErrorNegative {
        /// Which reading.
        what: &'static str,
        /// The error.
        error: Length,
    },
    /// A length beyond anything that a casting here has.
    #[error("{what} is {value}, which is more than {most}; check the number and its unit")]
    TooLong {
        /// Which reading.
        what: &'static str,
        /// Its value.
        value: Length,
        /// The most it may be.
        most: Length,
    },
    /// A face cut below zero.
    #[error("the face cut is {value}; it must be 0 or more, and 0 where the face stays as it is")]
    FaceCutNegative {
        /// Its value.
        value: Length,
    },
    /// The face cut takes the whole hole.
    #[error("the face cut of {cut} is as deep as the hole, {depth}; check both")]
    FaceCutTooDeep {
        /// The cut.
        cut: Length,
        /// The hole's depth.
        depth: Length,
    },
    /// A through hole with a floor.
    #[error(
        "a hole that goes through has no floor, but {floor} of floor is given; correct whichever is wrong"
    )]
    ThroughWithFloor {
        /// The floor.
        floor: Length,
    },
    /// A pipe thread is wanted.
    #[error(
        "{thread} is a pipe thread; it is identified and drilled here but not planned, so leave this hole out of the plan"
    )]
    PipeThread {
        /// The thread.
        thread: Thread,
    },
    /// The damage cannot be.
    #[error(transparent)]
    Damage(#[from] DamageError),
}

impl Situation {
    /// A hole for a thread, of which nothing else is known.
    pub fn of(thread: Thread) -> Situation {
        Situation {
            thread,
            bolt: None,
            metal: Metal::default(),
            through: None,
            depth: None,
            floor: None,
            nearest_edge: None,
            nearest_hole: None,
            mating_hole: None,
            grip: None,
            face_cut: None,
            milled: Length::ZERO,
            errors: Errors::default(),
            damage: Damage::default(),
            damage_read: false,
            on_hand: None,
        }
    }

    /// Looks whether such a hole can be.
    ///
    /// # Errors
    /// The first reading that cannot be right.
    pub fn check(&self) -> Result<(), SituationError> {
        if self.thread.is_pipe() {
            return Err(SituationError::PipeThread {
                thread: self.thread,
            });
        }
        positive("the depth", self.depth, DEEPEST)?;
        positive("the floor", self.floor, DEEPEST)?;
        positive(
            "the distance to the nearest edge",
            self.nearest_edge,
            FARTHEST,
        )?;
        positive(
            "the distance to the nearest hole",
            self.nearest_hole,
            FARTHEST,
        )?;
        positive("the hole in the part bolted on", self.mating_hole, DEEPEST)?;
        positive("the thickness bolted on", self.grip, DEEPEST)?;
        self.check_face_cut()?;
        match (self.through, self.floor) {
            (Some(true), Some(floor)) => return Err(SituationError::ThroughWithFloor { floor }),
            _ => self.damage.check(self.depth_as_read())?,
        }
        Ok(())
    }

    /// The depth before what it may be off is taken from it: what is missing may well reach so deep.
    fn depth_as_read(&self) -> Option<Length> {
        let (depth, error) = self.plain(DoubtfulReading::Depth);
        depth.map(|depth| depth + error)
    }

    fn check_face_cut(&self) -> Result<(), SituationError> {
        let Some(cut) = self.face_cut else {
            return Ok(());
        };
        if cut < Length::ZERO {
            return Err(SituationError::FaceCutNegative { value: cut });
        }
        if cut > LARGEST_FACE_CUT {
            let (what, most) = ("the face cut", LARGEST_FACE_CUT);
            return Err(SituationError::TooLong {
                what,
                value: cut,
                most,
            });
        }
        match self.depth {
            Some(depth) if cut >= depth => Err(SituationError::FaceCutTooDeep { cut, depth }),
            _ => Ok(()),
        }
    }

    /// Whether the hole has a bottom. A hole with a known floor has one.
    pub fn blind(&self) -> Option<bool> {
        match (self.through, self.floor) {
            (Some(through), _) => Some(!through),
            (None, Some(_)) => Some(true),
            (None, None) => None,
        }
    }

    /// What is missing to whoever cuts on the true axis: the damage, and the old hole where that leans.
    pub(super) fn damage_to_cut(&self) -> Cow<'_, Damage> {
        let Some(lean) = &self.damage.lean else {
            return Cow::Borrowed(&self.damage);
        };
        let nominal = self.thread.nominal();
        // With the depth unknown, deeper than any insert reaches.
        let bottom = self.depth.unwrap_or(nominal * 10);
        let mut damage = self.damage.clone();
        let old_hole = lean.station(nominal, bottom, self.milled);
        damage.stations.push(old_hole);
        Cow::Owned(damage)
    }

    /// The face cut, or none where nobody has said.
    pub(super) fn cut_or_none(&self) -> Length {
        self.face_cut.unwrap_or(Length::ZERO)
    }
}

/// In place of a depth or distance that its own error eats up.
const A_TRIFLE: Length = Length::from_nm(1);
/// No edge and no hole that matters lies farther off: 10 m.
const FARTHEST: Length = Length::from_nm(10_000_000_000);

fn positive(what: &'static str, value: Option<Length>, most: Length) -> Result<(), SituationError> {
    match value {
        Some(value) if !value.is_positive() => Err(SituationError::NotPositive { what, value }),
        Some(value) if value > most => Err(SituationError::TooLong { what, value, most }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests;
