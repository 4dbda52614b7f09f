//! The stages of a hole, and how many holes are at each.

use crate::lend::lend;
use holebook_core::hole::stage::Stage as CoreStage;

lend! {
    holebook_core::hole::stage {
        Stage,
    }
}

lend! {
    holebook_core::notebook {
        StageCounts,
    }
}

/// How many holes are at one stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct StageCount {
    /// The stage.
    pub stage: Stage,
    /// How many holes.
    pub holes: u32,
}

/// A stage with a count.
pub type HolesAtStage = (CoreStage, u32);

uniffi::custom_type!(
    /// How many holes are at one stage.
    HolesAtStage, StageCount, {
        remote,
        lower: |count| StageCount { stage: count.0, holes: count.1 },
        try_lift: |count| Ok((count.stage, count.holes)),
    }
);
