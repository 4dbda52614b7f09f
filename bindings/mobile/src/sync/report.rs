//! What a sync did.

use crate::ids::{DeviceId, HoleId};
use crate::lend::lend;
use holebook_core::photo::PhotoHash;

lend! {
    holebook_core::sync {
        Problem,
        SyncReport,
    }
}

lend! {
    holebook_core::notebook {
        SyncCounts,
    }
}

/// The sentence about a file that was skipped: which one, why, and what to do.
#[uniffi::export]
pub fn problem_sentence(problem: Problem) -> String {
    problem.to_string()
}
