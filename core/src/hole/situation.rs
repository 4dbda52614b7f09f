//! What the arithmetic needs to know about a hole: the input of `holebook remedies`, and what a
//! notebook's entries add up to.

mod from_record;
mod json;
mod keys;
mod tolerance;

pub use from_record::{SituationUnavailable, situation_of};
pub use tolerance::{ReadingTolerance, TolerancedReading, Tolerances};

use super::damage::{Damage, DamageError, MAX_DEPTH};
use super::limits::Limits;
use super::record::Quantity;
use crate::length::Length;
use crate::strength::{Grade, Metal, ShearBasis};
use crate::thread::{Thread, ThreadError};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use tolerance::MEASURED;

/// Largest face cut in one repair: 50 mm.
pub const LARGEST_FACE_CUT: Length = Length::from_nm(50_000_000);

/// Everything about a hole that decides which remedies fit.
///
/// `None` means "not known" throughout; what depends on it never passes. Depths are from the face
/// as is, distances from the intended center. [`Situation::from_json`] reads the JSON of `holebook
/// remedies --hole`.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(remote = "Self")]
pub struct Situation {
    /// The wanted thread.
    pub thread: Thread,
    /// The bolt's grade.
    #[serde(skip)]
    pub bolt: Option<Grade>,
    /// Length under the head of the bolt in hand.
    #[serde(skip)]
    pub bolt_length: Option<Length>,
    /// Length of thread on the bolt in hand; the rest of it is plain shank.
    #[serde(skip)]
    pub bolt_thread_length: Option<Length>,
    /// The casting's metal.
    #[serde(rename = "iron", default, deserialize_with = "json::or_default")]
    pub metal: Metal,
    /// Whether the hole goes through; if so, `depth` is the thickness of the metal.
    #[serde(default)]
    pub through: Option<bool>,
    /// Depth to the bottom of the hole.
    #[serde(rename = "depth_mm", default)]
    pub depth: Option<Length>,
    /// Depth to the end of the full diameter, where the cone of the drill starts.
    #[serde(rename = "full_diameter_mm", default)]
    pub full_diameter: Option<Length>,
    /// Depth to the end of full thread in the hole as it is.
    #[serde(rename = "full_thread_mm", default)]
    pub full_thread: Option<Length>,
    /// Floor thickness: metal under the bottom.
    #[serde(rename = "floor_mm", default)]
    pub floor: Option<Length>,
    /// Edge distance: from the intended center to the nearest edge of the face, or to a passage.
    #[serde(rename = "nearest_edge_mm", default)]
    pub nearest_edge: Option<Length>,
    /// From the intended center to the center of the nearest other hole.
    #[serde(rename = "nearest_hole_mm", default)]
    pub nearest_hole: Option<Length>,
    /// Outside diameter of the thread or insert in that hole; `None`: taken as large as the one to
    /// be cut.
    #[serde(rename = "nearest_hole_diameter_mm", default)]
    pub neighbor_diameter: Option<Length>,
    /// Whether water, oil or air under pressure is behind the wall around the hole or its floor.
    #[serde(
        rename = "pressure_behind_wall",
        default,
        deserialize_with = "json::or_default"
    )]
    pub pressure: bool,
    /// Diameter of the clearance hole in the mating part.
    #[serde(rename = "mating_hole_mm", default)]
    pub mating_hole: Option<Length>,
    /// Grip: thickness of part, gasket and washer.
    #[serde(rename = "grip_mm", default)]
    pub grip: Option<Length>,
    /// Stock left to remove from the face; zero if the face stays as is.
    #[serde(rename = "face_cut_mm", default)]
    pub face_cut: Option<Length>,
    /// Stock removed from the face before or after the damage was described: nobody knows which.
    #[serde(rename = "milled_mm", default, deserialize_with = "json::or_default")]
    pub milled: Length,
    /// Tolerances of the depths and distances above, which are already at their worst case: as
    /// read, less these.
    #[serde(
        rename = "errors",
        default,
        deserialize_with = "json::or_default",
        serialize_with = "json::null_if_default"
    )]
    pub tolerances: Tolerances,
    /// The damage; its readings are as read, each with its own tolerance.
    #[serde(skip)]
    pub damage: Damage,
    /// Whether anyone described the damage. If not, there may be more than `damage` says.
    #[serde(skip, default)]
    pub damage_described: bool,
    /// Whether heat may have left hard metal around the hole that nobody tested with a file.
    #[serde(default, deserialize_with = "json::or_default")]
    pub may_be_hard: bool,
    /// Families of inserts and taps on hand.
    #[serde(default)]
    pub on_hand: Option<Vec<String>>,
    /// The shop's limits where judgment decides; `None`: the standard ones.
    #[serde(skip)]
    pub limits: Option<Limits>,
}

/// Why a situation is not valid. Each message is one sentence: what is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SituationError {
    /// A reading that must be positive.
    #[error(
        "the {what} is {}; it must be more than 0, so measure it again or leave it out",
        value.both()
    )]
    NotPositive {
        /// The reading.
        what: Quantity,
        /// Its value.
        value: Length,
    },
    /// A negative tolerance.
    #[error(
        "the tolerance of the {what} is {}; it must be 0 or more, or left out",
        tolerance.both()
    )]
    ToleranceNegative {
        /// The reading.
        what: Quantity,
        /// The tolerance.
        tolerance: Length,
    },
    /// A reading beyond anything that a casting has.
    #[error(
        "the {what} is {}, more than {}; check the number and unit",
        value.both(),
        most.both()
    )]
    TooLong {
        /// The reading.
        what: Quantity,
        /// Its value.
        value: Length,
        /// The largest value allowed.
        most: Length,
    },
    /// A negative face cut.
    #[error(
        "the face cut is {}; it must be 0 or more, and 0 if the face stays as is",
        value.both()
    )]
    FaceCutNegative {
        /// Its value.
        value: Length,
    },
    /// A face cut beyond [`LARGEST_FACE_CUT`].
    #[error(
        "the face cut is {}, more than {}; check the number and unit",
        value.both(),
        LARGEST_FACE_CUT.both()
    )]
    FaceCutTooLarge {
        /// Its value.
        value: Length,
    },
    /// A face cut that removes the whole hole.
    #[error(
        "the face cut of {} is as deep as the hole, {}; check both",
        cut.both(),
        depth.both()
    )]
    FaceCutTooDeep {
        /// The cut.
        cut: Length,
        /// The hole's depth.
        depth: Length,
    },
    /// A through hole with a floor.
    #[error(
        "a through hole has no floor, but a floor thickness of {} is given; correct one of them",
        floor.both()
    )]
    ThroughWithFloor {
        /// The floor thickness.
        floor: Length,
    },
    /// A pipe thread as the wanted thread.
    #[error(
        "{thread} is a pipe thread; pipe threads are identified and drilled here but not planned, \
         so leave this hole out of the plan"
    )]
    PipeThread {
        /// The thread.
        thread: Thread,
    },
    /// An STI hole as the wanted thread.
    #[error(transparent)]
    StiHole(#[from] ThreadError),
    /// Damage that is not possible.
    #[error(transparent)]
    Damage(#[from] DamageError),
}

impl Situation {
    /// Returns a hole for a thread, with nothing else known.
    pub fn of(thread: Thread) -> Situation {
        Situation {
            thread,
            bolt: None,
            bolt_length: None,
            bolt_thread_length: None,
            metal: Metal::default(),
            through: None,
            depth: None,
            full_diameter: None,
            full_thread: None,
            floor: None,
            nearest_edge: None,
            nearest_hole: None,
            neighbor_diameter: None,
            pressure: false,
            mating_hole: None,
            grip: None,
            face_cut: None,
            milled: Length::ZERO,
            tolerances: Tolerances::default(),
            damage: Damage::default(),
            damage_described: false,
            may_be_hard: false,
            on_hand: None,
            limits: None,
        }
    }

    /// Validates the readings.
    ///
    /// # Errors
    /// The first reading that cannot be right.
    pub fn validate(&self) -> Result<(), SituationError> {
        self.thread.not_sti()?;
        if self.thread.is_pipe() {
            return Err(SituationError::PipeThread {
                thread: self.thread,
            });
        }
        for reading in MEASURED {
            if let Some(quantity) = reading.quantity() {
                check_length(quantity, self.measured(reading))?;
            }
        }
        let others = [
            (Quantity::Grip, self.grip),
            (Quantity::FullDiameter, self.full_diameter),
            (Quantity::FullThread, self.full_thread),
            (Quantity::NeighborDiameter, self.neighbor_diameter),
            (Quantity::BoltLength, self.bolt_length),
            (Quantity::BoltThreadLength, self.bolt_thread_length),
        ];
        for (quantity, value) in others {
            check_length(quantity, value)?;
        }
        self.check_face_cut()?;
        match (self.through, self.floor) {
            (Some(true), Some(floor)) => return Err(SituationError::ThroughWithFloor { floor }),
            _ => self.damage.validate(self.depth_as_read())?,
        }
        Ok(())
    }

    /// Returns the depth as read, before its tolerance is taken off: damage may reach that deep.
    fn depth_as_read(&self) -> Option<Length> {
        self.stated(TolerancedReading::Depth)
    }

    fn check_face_cut(&self) -> Result<(), SituationError> {
        let Some(cut) = self.face_cut else {
            return Ok(());
        };
        if cut < Length::ZERO {
            return Err(SituationError::FaceCutNegative { value: cut });
        }
        if cut > LARGEST_FACE_CUT {
            return Err(SituationError::FaceCutTooLarge { value: cut });
        }
        match self.depth {
            Some(depth) if cut >= depth => Err(SituationError::FaceCutTooDeep { cut, depth }),
            _ => Ok(()),
        }
    }

    /// Returns whether the hole is blind. A hole with a known floor is.
    pub fn blind(&self) -> Option<bool> {
        match (self.through, self.floor) {
            (Some(through), _) => Some(!through),
            (None, Some(_)) => Some(true),
            (None, None) => None,
        }
    }

    /// Returns the depth to the bottom of the hole; where only the full diameter was measured, that
    /// depth, which is less.
    pub(super) fn bottom(&self) -> Option<Length> {
        self.depth.or(self.full_diameter)
    }

    /// Returns the depth to the end of the old hole's full thread.
    ///
    /// Unless it was measured, that is the full diameter, or else the depth, less the pitches that
    /// a plug tap leaves unfinished; in a through hole all of it.
    pub(super) fn old_full_thread(&self) -> Option<Length> {
        if let Some(read) = self.full_thread {
            return Some(self.bottom().map_or(read, |bottom| read.min(bottom)));
        }
        let unfinished = match self.blind() {
            Some(false) => 0.0,
            _ => self.limits().unfinished_pitches,
        };
        let cylinder = [self.full_diameter, self.depth]
            .into_iter()
            .flatten()
            .min()?;
        let unfinished = Length::from_computed_mm(unfinished * self.thread.pitch_mm());
        Some((cylinder - unfinished).clamp_at_zero())
    }

    /// Returns the limits to judge by.
    pub fn limits(&self) -> &Limits {
        self.limits.as_ref().unwrap_or(&Limits::STANDARD)
    }

    /// Returns the damage as seen along the true axis: with the old hole added if it is not square.
    pub(super) fn damage_to_cut(&self) -> Cow<'_, Damage> {
        let Some(lean) = &self.damage.lean else {
            return Cow::Borrowed(&self.damage);
        };
        let nominal = self.thread.nominal();
        // If the depth is unknown, deeper than any insert reaches.
        let bottom = self.bottom().unwrap_or(nominal * 10);
        let mut damage = self.damage.clone();
        let old_hole = lean.station(nominal, bottom, self.milled);
        damage.stations.push(old_hole);
        Cow::Owned(damage)
    }

    /// Returns which shear strength of the metal counts: the floor where the metal is unknown, or a
    /// hard spot or heat makes its hardness suspect.
    pub(super) fn shear_basis(&self) -> ShearBasis {
        if self.damage.hard.is_empty() && !self.may_be_hard {
            self.metal.shear_basis()
        } else {
            ShearBasis::Floor
        }
    }

    /// Returns the face cut, or zero if it is not known.
    pub(super) fn face_cut_or_zero(&self) -> Length {
        self.face_cut.unwrap_or(Length::ZERO)
    }
}

/// Replaces a depth or distance that its tolerance uses up.
const SMALLEST: Length = Length::from_nm(1);
/// Largest distance to an edge or hole: 10 m.
const MAX_DISTANCE: Length = Length::from_nm(10_000_000_000);

fn check_length(what: Quantity, value: Option<Length>) -> Result<(), SituationError> {
    let most = match what {
        Quantity::NearestEdge | Quantity::NearestHole => MAX_DISTANCE,
        _ => MAX_DEPTH,
    };
    match value {
        Some(value) if !value.is_positive() => Err(SituationError::NotPositive { what, value }),
        Some(value) if value > most => Err(SituationError::TooLong { what, value, most }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests;
