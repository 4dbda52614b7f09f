//! A drill that a file gives for wire thread inserts.

use super::confidence::Confidence;
use crate::drill::Drill;
use crate::thread::Thread;

/// A drill for the tapped hole of a wire thread insert.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WireDrill {
    pub line: usize,
    pub thread: Thread,
    pub drill: Drill,
    pub source: String,
    pub confidence: Confidence,
}
