//! Labels and messages for conflicts and for the enums of a hole's record.

use super::conflict::{Conflict, Fact};
use crate::hole::record::{CheckKind, Quantity, Remedy, RemedySpec};
use crate::length::show_range_both;
use std::fmt;

impl fmt::Display for Fact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Fact::Wanted => "the wanted thread",
            Fact::Condition => "the condition",
            Fact::Damage => "the damage",
            Fact::Choice => "the remedy",
        })
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Quantity::Depth => "depth",
            Quantity::Floor => "floor thickness",
            Quantity::NearestEdge => "edge distance",
            Quantity::NearestHole => "distance to the nearest hole",
            Quantity::Bore => "bore",
            Quantity::MatingHole => "clearance hole in the mating part",
            Quantity::Grip => "grip",
            Quantity::FullThread => "depth of full thread",
            Quantity::FullDiameter => "depth to full diameter",
            Quantity::NeighborDiameter => "outside diameter of the nearest hole's thread or insert",
            Quantity::BoltLength => "length of the bolt in hand",
            Quantity::BoltThreadLength => "thread length of the bolt in hand",
        })
    }
}

impl fmt::Display for CheckKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            CheckKind::StakeCheck => "stake check",
            CheckKind::RunsInByHand => "runs in by hand",
            CheckKind::Square => "square to the face",
        })
    }
}

impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Remedy::Leave => "leave as is",
            Remedy::LongerBolt => "longer bolt",
            Remedy::Chase => "chase the thread",
            Remedy::TapDeeper => "drill and tap deeper",
            Remedy::WireInsert => "wire thread insert",
            Remedy::KeyLockingInsert => "key-locking insert",
            Remedy::Bushing => "threaded bushing",
            Remedy::SteppedStud => "stepped stud",
            Remedy::LargerBolt => "next larger bolt",
            Remedy::ThreadedPlug => "threaded plug",
            Remedy::Specialist => "send it out",
        })
    }
}

impl fmt::Display for Conflict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Conflict::EntriesDiffer { fact, entries } => {
                write!(f, "{} entries disagree on {fact}; pick one", entries.len())
            }
            Conflict::ReadingsDiffer {
                quantity,
                least,
                most,
                ..
            } => write!(
                f,
                "readings of the {quantity} differ by more than their tolerances, {}; measure \
                 again and use the right one",
                show_range_both(*least, *most)
            ),
            Conflict::SetupDiffers { entries } => write!(
                f,
                "{} entries disagree on the setup of the face; open the setup and pick one",
                entries.len()
            ),
            Conflict::OtherRemedy { done_for, .. } => write!(
                f,
                "work was recorded for a remedy other than the chosen one ({}); strike it out, or \
                 choose that remedy",
                SpecLabel(done_for)
            ),
            Conflict::NoRemedyChosen { .. } => f.write_str(
                "work was recorded, but no remedy is chosen; choose the remedy it was done for",
            ),
        }
    }
}

/// Writes a remedy with its thread and length.
struct SpecLabel<'a>(&'a RemedySpec);

impl fmt::Display for SpecLabel<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.family {
            Some(family) => write!(f, "{family}")?,
            None => write!(f, "{}", self.0.remedy)?,
        }
        if let Some(thread) = &self.0.outside_thread {
            write!(f, ", {thread}")?;
        }
        match self.0.length {
            Some(length) => write!(f, ", {} long", length.both()),
            None => Ok(()),
        }
    }
}
