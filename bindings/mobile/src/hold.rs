//! What holds: a bolt straight in sound metal.

use crate::border::{In, Out};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::joint::Comparison;
use crate::length::Length;
use crate::torque::{Condition, Torque};
use holebook_core::strength::{Grade, Metal, hold as hold_in};
use holebook_core::thread::Thread;

/// The torque range for one state of a bolt's threads.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TorqueRange {
    /// The state of the threads.
    pub condition: Condition,
    /// The range.
    pub torque: Torque,
}

/// What a bolt straight in sound metal comes to.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Hold {
    /// What fails first.
    pub fails: Comparison,
    /// The torque range for each state of the threads; empty where the bolt's strength is not known.
    pub torques: Vec<TorqueRange>,
}

/// What fails first of a bolt straight in sound metal, and how far it may be tightened.
///
/// Fails with `Unreadable` for a thread, grade or metal that is none known here, with `Unfit` for a length that cannot be.
#[uniffi::export]
pub fn hold(
    thread: String,
    grade: Option<String>,
    metal: String,
    engaged: Length,
) -> Result<Hold, NotebookError> {
    guard("hold", || {
        let (thread, metal): (Thread, Metal) = (thread.inward()?, metal.inward()?);
        let grade: Option<Grade> = grade.inward()?;
        let found = hold_in(thread, grade, metal, engaged.inward()?);
        let found = found.map_err(NotebookError::unfit)?;
        let torques = found.torques.into_iter();
        let torques = torques.map(|(condition, torque)| TorqueRange {
            condition: condition.out(),
            torque: torque.out(),
        });
        Ok(Hold {
            torques: torques.collect(),
            fails: found.comparison.out(),
        })
    })
}
