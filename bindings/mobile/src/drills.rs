//! The hole that a job needs, and the nearest drills on hand.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::Drill;
use crate::lend::lend;
use crate::notebook::Notebook;
use holebook_core::drill::{self as core, DrillKinds};
use holebook_core::insert::holes_for;
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::drill {
        ClearanceFit,
        DrillChoice,
        FullThread,
        HolePurpose,
        HoleSpec,
        SizeCheck,
    }
}

/// A hole to be drilled, and the drills to choose from.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DrillChoices {
    /// The hole.
    pub hole: HoleSpec,
    /// The largest drill below the target diameter.
    pub below: Option<DrillChoice>,
    /// A drill of exactly that diameter.
    pub exact: Option<DrillChoice>,
    /// The smallest drill above it.
    pub above: Option<DrillChoice>,
    /// The best choice; none if no drill is within the limits, and a person must decide.
    pub best: Option<DrillChoice>,
    /// The nearest drill of any kind within the limits, where none of these is.
    pub nearest_within: Option<DrillChoice>,
}

impl From<core::DrillChoices> for DrillChoices {
    fn from(choices: core::DrillChoices) -> Self {
        Self {
            best: choices.best().copied(),
            hole: choices.hole,
            below: choices.below,
            exact: choices.exact,
            above: choices.above,
            nearest_within: choices.nearest_within,
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// The drills for every hole around a thread: tapped, for each insert, clearance, and for drilling
    /// out a broken bolt. Of the kinds in `kinds`, or of all kinds. `engagement` allows a larger
    /// tapped hole, since a longer thread needs less height. Blocks.
    ///
    /// Fails with `Unreadable` if the thread is not known.
    #[uniffi::method(default(kinds = None, engagement = None))]
    pub fn drills_for_thread(
        &self,
        thread: Thread,
        kinds: Option<DrillKinds>,
        engagement: Option<Length>,
    ) -> Result<Vec<DrillChoices>, NotebookError> {
        self.call("drills_for_thread", |open| {
            let kinds = kinds.unwrap_or(DrillKinds::ALL);
            let holes = holes_for(&*open.catalog()?, &thread, engagement);
            let choices = holes
                .iter()
                .map(|hole| core::drill_choices(hole, kinds).into());
            Ok(choices.collect())
        })
    }
}

/// The drills that come nearest to a diameter, of the kinds in `kinds`, or of all that are sold.
///
/// Fails with `Invalid` if the diameter is not more than 0.
#[uniffi::export(default(kinds = None))]
pub fn nearest_drills(
    diameter: Length,
    kinds: Option<DrillKinds>,
) -> Result<DrillChoices, NotebookError> {
    guard("nearest_drills", || {
        if !diameter.is_positive() {
            return Err(NotebookError::invalid(
                "the diameter of a drill must be more than 0; check the number",
            ));
        }
        let hole = HoleSpec::diameter(diameter);
        Ok(core::drill_choices(&hole, kinds.unwrap_or(DrillKinds::ALL)).into())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::values::DrillKind;

    #[test]
    fn the_nearest_drills_of_some_kinds_stand_on_either_side() {
        let aim = Length::from_nm(9_900_000);
        let kinds = DrillKinds::of(&[DrillKind::Fractional]);
        let found = nearest_drills(aim, Some(kinds)).unwrap();
        let name = |choice: Option<DrillChoice>| choice.map(|choice| choice.drill.name.to_string());
        assert_eq!(name(found.below), Some("3/8".to_owned()));
        assert_eq!(name(found.above), Some("25/64".to_owned()));
        assert_eq!(found.best, found.above);
        assert!(nearest_drills(Length::ZERO, None).is_err());
    }
}
