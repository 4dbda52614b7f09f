//! The verdict on a remedy.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Verdict on a remedy, from its checks; the best one sorts first.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
pub enum Verdict {
    /// Every check passes.
    #[serde(rename = "fits")]
    Fits,
    /// Every required check passes, but a preferred one fails.
    #[serde(rename = "marginal")]
    Marginal,
    /// A reading is missing and no required check fails, or one fails only at the worst case of
    /// the tolerances.
    #[serde(rename = "unknown")]
    Unknown,
    /// A required check fails.
    #[serde(rename = "does not fit")]
    DoesNotFit,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Verdict::Fits => "fits",
            Verdict::Marginal => "marginal",
            Verdict::Unknown => "unknown",
            Verdict::DoesNotFit => "does not fit",
        })
    }
}
