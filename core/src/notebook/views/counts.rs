//! Counts the holes of a face or casting by stage.

use crate::hole::stage::Stage;

/// How many holes are in each stage, and how many have a conflict or an open problem.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default)]
pub struct StageCounts {
    /// Each stage that holes are in, in the order of the work, with their number.
    pub holes: Vec<(Stage, u32)>,
    /// How many of all of them have a conflict.
    pub conflicts: u32,
    /// How many of all of them have an open problem.
    pub problems: u32,
}

impl StageCounts {
    /// Returns how many holes are in a stage.
    pub fn of(&self, stage: Stage) -> u32 {
        self.holes
            .iter()
            .filter(|(found, _)| *found == stage)
            .map(|(_, holes)| holes)
            .sum()
    }

    /// Returns how many holes there are.
    pub fn total(&self) -> u32 {
        self.holes.iter().map(|(_, holes)| holes).sum()
    }
}
