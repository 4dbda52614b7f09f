//! Remedies: every way to make a hole hold again, each with its reasons and both numbers of every
//! check.

use crate::damage::Span;
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::{Drill, TapChamfer};
use crate::lend::lend;
use crate::record::{Remedy, RemedySpec};
use crate::situation::{Situation, TolerancedReading};
use crate::strength::{BoltLength, Comparison};
use holebook_core::hole::caution::Caution;
use holebook_core::hole::remedies::assessments;

use holebook_core::insert::{Catalog, SharedInsert};
use holebook_core::length::Length;
use holebook_core::thread::Thread;
use std::borrow::Cow;

lend! {
    holebook_core::hole::depths {
        Depths,
    }
}

lend! {
    holebook_core::hole::remedies {
        Assessment,
        BoltTip,
        Check,
        MissingReading,
        Pins,
        Sensitivity,
        ThreadLeft,
        Verdict,
        Weight,
    }
}

/// A remedy, assessed.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct AssessedRemedy {
    /// Identifies it in a choice, and in every entry about its work.
    pub spec: RemedySpec,
    /// Its checks, verdict and numbers.
    pub assessment: Assessment,
    /// Why it does not simply fit: its rationale, its sensitivities and each check that does not
    /// pass, one sentence each, with lengths in both units.
    pub reasons: Vec<String>,
}

impl From<Assessment> for AssessedRemedy {
    fn from(assessment: Assessment) -> Self {
        Self {
            spec: assessment.spec(),
            reasons: assessment.reasons(),
            assessment,
        }
    }
}

/// Assesses every remedy for a hole: those that fit first, and among them the least invasive. It
/// needs no notebook, so it does not offer the shop's own inserts.
///
/// Fails with `Invalid` if the hole is impossible, with `Unreadable` for a thread, grade or metal
/// that is not known.
#[uniffi::export]
pub fn remedies(situation: Situation) -> Result<Vec<AssessedRemedy>, NotebookError> {
    guard("remedies", || {
        situation.validate().map_err(NotebookError::invalid)?;
        let all = assessments(&situation, Catalog::standard());
        Ok(all.into_iter().map(Into::into).collect())
    })
}
