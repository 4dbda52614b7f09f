//! Strength and torque: what fails first, how far a bolt may be tightened, and which length of bolt
//! to take.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::lend::lend;
use holebook_core::length::Length;
use holebook_core::strength::bolt::BoltLengthAdvice;
use holebook_core::strength::{self as core, Grade, Metal};
use holebook_core::thread::Thread;

lend! {
    holebook_core::strength {
        Comparison,
        EngagementNeeded,
        FailureLoad,
        FailureMode,
        Lubrication,
        PreloadLimit,
        StrengthReport,
        Torque,
    }
}

lend! {
    holebook_core::strength::bolt {
        BoltLength,
    }
}

/// The torque for one state of a bolt's threads.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TorqueRange {
    /// The state of the threads.
    pub lubrication: Lubrication,
    /// The torque.
    pub torque: Torque,
}

/// A torque with the state of the threads that it is for.
pub type LubricationTorque = (Lubrication, Torque);

uniffi::custom_type!(
    /// The torque for one state of a bolt's threads.
    LubricationTorque, TorqueRange, {
        remote,
        lower: |range| TorqueRange { lubrication: range.0, torque: range.1 },
        try_lift: |range| Ok((range.lubrication, range.torque)),
    }
);

/// Reports what fails first when a bolt engages sound metal directly, and its torque.
///
/// Fails with `Unreadable` for a thread, grade or metal that is not known, with `Invalid` for
/// an impossible length.
#[uniffi::export]
pub fn strength_report(
    thread: Thread,
    grade: Option<Grade>,
    metal: Metal,
    engaged: Length,
) -> Result<StrengthReport, NotebookError> {
    guard("strength_report", || {
        core::strength_report(thread, grade, metal, engaged).map_err(NotebookError::invalid)
    })
}

/// The torque for a bolt whose hole strips at `strip_load_n` newtons.
///
/// Fails with `Unreadable` for a thread or grade that is not known, with `Invalid` if the
/// grade does not cover the size or the load is not above zero.
#[uniffi::export]
pub fn torque(
    thread: Thread,
    grade: Grade,
    strip_load_n: f64,
    lubrication: Lubrication,
) -> Result<Torque, NotebookError> {
    guard("torque", || {
        core::torque(&thread, &grade, strip_load_n, lubrication).map_err(NotebookError::invalid)
    })
}

/// The bolt grades that are known.
#[uniffi::export]
pub fn bolt_grades() -> Result<Vec<Grade>, NotebookError> {
    guard("bolt_grades", || Ok(Grade::ALL.to_vec()))
}

/// The metals that have a name here. Others are written as a kind with its tensile strength, such
/// as `steel of 60000 psi`.
#[uniffi::export]
pub fn metals() -> Result<Vec<Metal>, NotebookError> {
    guard("metals", || Ok(Metal::named().collect()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_weak_hole_limits_the_torque() {
        let thread = Thread::parse("3/8-16").unwrap();
        let grade: Grade = "SAE J429 grade 5".parse().unwrap();
        let at = |load| torque(thread, grade, load, Lubrication::Oiled);
        let (weak, strong) = (at(5_000.0).unwrap(), at(500_000.0).unwrap());
        assert_eq!(
            (weak.preload_limit, strong.preload_limit),
            (PreloadLimit::ParentMetal, PreloadLimit::Bolt)
        );
        assert!(weak.high_nm_torque < strong.low_nm_torque);
        assert!(at(0.0).is_err());
    }
}
