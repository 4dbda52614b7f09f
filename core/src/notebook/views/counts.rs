//! How far the holes of a face or casting are, counted.

use crate::hole::state::State;

/// How many holes are in each state, and how many are in question.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StateCounts {
    /// Each state that holes are in, in the order the work goes, with how many.
    pub holes: Vec<(State, usize)>,
    /// How many of all of them are in question.
    pub in_question: usize,
}

impl StateCounts {
    /// How many holes are in this state.
    pub fn of(&self, state: State) -> usize {
        self.holes
            .iter()
            .filter(|(found, _)| *found == state)
            .map(|(_, holes)| holes)
            .sum()
    }

    /// How many holes there are.
    pub fn total(&self) -> usize {
        self.holes.iter().map(|(_, holes)| holes).sum()
    }
}
