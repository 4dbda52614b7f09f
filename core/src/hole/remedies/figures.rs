//! The figures of one remedy.

use super::depth::DepthPlan;
use super::strength_checks::Strengths;
use crate::hole::damage::{Slice, Span};
use crate::length::Length;

/// Figures that the checks and the assessment of a candidate are based on.
pub(super) struct Figures {
    /// Engaged depth range, from the face as is.
    pub engaged: Span,
    /// Wall within the engaged range; `None` if the damage or the depth is unknown.
    pub slices: Option<Vec<Slice>>,
    /// Length of whole thread equivalent to the thread left.
    pub effective: Option<Length>,
    pub strengths: Strengths,
    /// Depths, if anything is cut.
    pub depth_plan: Option<DepthPlan>,
}
