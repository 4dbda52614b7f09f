//! The steps of a chosen remedy, in an order that still works after the face cut, with their
//! numbers.

use crate::cutting::Feed;
use crate::ids::EntryId;
use crate::inserts::Drill;
use crate::lend::lend;
use crate::length::Rounding;
use crate::record::{CheckKind, CutStep};
use chrono::{DateTime, FixedOffset};
use holebook_core::hole::caution::Caution;
use holebook_core::hole::problem::Problem;
use holebook_core::hole::steps::{Done, Number, Value};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::steps {
        CuttingTool,
        Done as StepDone,
        Number as StepNumber,
        Step,
        StepKey,
        StepTool,
        Value as StepValue,
    }
}
