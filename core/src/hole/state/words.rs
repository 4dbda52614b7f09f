//! Questions, and what they are about, in words.

use super::question::{Fact, Question};
use crate::hole::record::{CheckKind, Quantity, Remedy, Work};
use std::fmt;

impl fmt::Display for Fact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Fact::Wanted => "what the hole shall hold",
            Fact::Damage => "what is missing round it",
            Fact::Choice => "the remedy",
        })
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Quantity::Depth => "depth",
            Quantity::Floor => "floor",
            Quantity::NearestEdge => "distance to the nearest edge",
            Quantity::NearestHole => "distance to the nearest hole",
            Quantity::Bore => "bore",
            Quantity::MatingHole => "hole in the part bolted on",
            Quantity::Grip => "thickness bolted on",
        })
    }
}

impl fmt::Display for CheckKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            CheckKind::RuleAcross => "rule across",
            CheckKind::RunsIn => "runs in by hand",
            CheckKind::Square => "square to the face",
        })
    }
}

impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Remedy::Leave => "leave as it is",
            Remedy::Chase => "chase the thread",
            Remedy::WireInsert => "wire thread insert",
            Remedy::KeyLockingInsert => "key-locking insert",
            Remedy::Bushing => "threaded bushing",
            Remedy::SteppedStud => "stepped stud",
            Remedy::LargerBolt => "next larger bolt",
            Remedy::ThreadedPlug => "threaded plug",
            Remedy::Specialist => "hand to a specialist",
        })
    }
}

impl fmt::Display for Question {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Question::SeveralAnswers { fact, entries } => write!(
                f,
                "{} answers stand for {fact}, and they differ; say which holds",
                entries.len()
            ),
            Question::ReadingsDiffer { quantity, least, most, .. } => write!(
                f,
                "readings of the {quantity} differ by more than they may be off, from {least} to {most}; \
                 measure again and strike the wrong one, or the one from before the face was cut"
            ),
            Question::OtherWork { done_for, .. } => write!(
                f,
                "work was recorded for another remedy ({}) than the chosen one; strike it, or choose that remedy",
                Named(done_for)
            ),
            Question::NothingChosen { .. } => {
                f.write_str("work was recorded, but no remedy is chosen; choose the one it was for")
            }
            Question::DryFitFailed { .. } => f.write_str(
                "a dry fit failed; when the insert goes in as it should, strike the failed one",
            ),
            Question::CheckFailed { check, .. } => write!(
                f,
                "the check `{check}` failed; put it right, check again and strike the failed one"
            ),
            Question::ProofFailed { .. } => f.write_str(
                "a proof failed; find out why before the hole is trusted, and strike it only when that is put right",
            ),
            Question::SetBeforeFaceCut { .. } => f.write_str(
                "the insert was set before the face cut that the plan counts on, and no reason stands; give the reason",
            ),
            Question::ProvedNotSet { .. } => f.write_str(
                "the hole was proved, but no entry says that the insert or plug was put in; record it, or strike the proof",
            ),
            Question::ProvedWithoutKeys { .. } => f.write_str(
                "the hole was proved, but no entry says that the keys were driven; look, and record it",
            ),
        }
    }
}

/// A piece of work in words.
struct Named<'a>(&'a Work);

impl fmt::Display for Named<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.family {
            Some(family) => write!(f, "{family}")?,
            None => write!(f, "{}", self.0.remedy)?,
        }
        if let Some(thread) = &self.0.outside_thread {
            write!(f, ", {thread}")?;
        }
        match self.0.length {
            Some(length) => write!(f, ", {length} long"),
            None => Ok(()),
        }
    }
}
