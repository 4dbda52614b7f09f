//! What the damage of a hole, or the planned cut of a face, was worked out from and does not hold any
//! more.
//!
//! An off-center amount that was taken from a photo or the pattern, and a crater that was traced,
//! name the entries that they rest on. A mark that moved, a hole that got another number, a known
//! point that was struck out: each of them takes the amount with it.

use super::condition::Condition;
use crate::id::EntryId;
use std::fmt;

/// A change of something that the damage of a hole was worked out from. `Display` says it in a few
/// words, without a capital: `the mark of hole 5 was moved`.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlaceChange {
    /// The entry that describes the damage, or plans the cut.
    pub damage: EntryId,
    /// What changed.
    pub fact: PlaceFact,
    /// The number of the hole that it is about; `None`: it is about the face or a photo.
    pub hole: Option<u32>,
    /// How it changed.
    pub how: ChangeKind,
}

/// What an amount can rest on.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaceFact {
    /// The wanted pattern.
    Pattern,
    /// The holes that were chosen as good.
    GoodHoles,
    /// The mark of a hole.
    Mark,
    /// The number of a hole, and its measured place.
    Place,
    /// The condition of a hole by a first look.
    Condition(Condition),
    /// The thread that gave a photo its scale.
    Thread,
    /// A known point of a photo.
    KnownPoint,
    /// A photo.
    Photo,
    /// Heights read on the face.
    Heights,
    /// Something that this version does not know, or that is not here yet.
    Unknown,
}

/// How it changed.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangeKind {
    /// Another entry replaces it, or adds to it.
    Changed,
    /// It was struck out.
    Removed,
    /// Devices recorded different ones.
    InConflict,
    /// It has not come to this notebook yet, or is of a kind that this version does not know.
    NotHere,
}

impl PlaceChange {
    /// Returns that something about the face was changed.
    pub(crate) fn of(damage: EntryId, fact: PlaceFact) -> Self {
        Self {
            damage,
            fact,
            hole: None,
            how: ChangeKind::Changed,
        }
    }

    /// Returns whether two say the same in words.
    pub(crate) fn is_same(&self, other: &PlaceChange) -> bool {
        (self.fact, self.hole, self.how) == (other.fact, other.hole, other.how)
    }
}

impl fmt::Display for PlaceChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let PlaceFact::Condition(condition) = self.fact {
            let hole = Named("hole", self.hole);
            return write!(f, "{hole} was graded '{}'", condition.label());
        }
        let hole = |of| Named(of, self.hole);
        let what = match self.fact {
            PlaceFact::Pattern => "the pattern".to_owned(),
            PlaceFact::GoodHoles => "the choice of good holes".to_owned(),
            PlaceFact::Mark => hole("the mark of hole").to_string(),
            PlaceFact::Place => hole("the number or place of hole").to_string(),
            PlaceFact::Thread => hole("the thread of hole").to_string(),
            PlaceFact::KnownPoint => "a known point of the photo".to_owned(),
            PlaceFact::Photo => "the photo".to_owned(),
            PlaceFact::Heights => "one set of height readings".to_owned(),
            PlaceFact::Condition(_) | PlaceFact::Unknown => "something it rests on".to_owned(),
        };
        match self.how {
            ChangeKind::Changed if self.fact == PlaceFact::Heights => write!(f, "{what} was added"),
            ChangeKind::Changed if self.fact == PlaceFact::Mark => write!(f, "{what} was moved"),
            ChangeKind::Changed => write!(f, "{what} was changed"),
            ChangeKind::Removed => write!(f, "{what} was removed"),
            ChangeKind::InConflict => write!(f, "devices disagree about {what}"),
            ChangeKind::NotHere => {
                write!(f, "{what} is not in this notebook: sync, or take it again")
            }
        }
    }
}

/// A hole by its number, if that is known.
struct Named(&'static str, Option<u32>);

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.1 {
            Some(number) => write!(f, "{} {number}", self.0),
            None => f.write_str(&self.0.replace("hole", "a hole")),
        }
    }
}
