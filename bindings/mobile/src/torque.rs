//! Tightening torque, as a range and never as one number; and the grades and metals that are known.

use crate::border::{In, Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use holebook_core::strength as core;
use holebook_core::thread::Thread;

words! {
    /// The state of a steel bolt's threads when it is tightened.
    Condition = core::Condition {
        /// Plain steel, dry.
        Dry,
        /// Machine oil.
        Oiled,
        /// Zinc plated, dry.
        Zinc,
    }
}

words! {
    /// What held a preload down.
    Bound = core::Bound {
        /// The bolt's proof load.
        Bolt,
        /// The strip load of the metal round the hole.
        Iron,
    }
}

record_out! {
    /// A torque with the spread that is in it. The machine's own manual comes first; tighten in steps, with a torque wrench.
    Torque = core::Torque {
        /// Preload that must not be passed, newtons.
        preload_cap_n: f64,
        /// What sets that cap.
        bound: Bound,
        /// Preload aimed at, newtons, so that the plus side of the scatter ends at the cap.
        preload_n: f64,
        /// Preload at the minus side of the scatter, newtons.
        preload_min_n: f64,
        /// Torque for the preload aimed at with the usual nut factor, newton metres.
        usual_nm_torque: f64,
        /// The same with the least nut factor of the range, newton metres. With unknown threads do not go above this.
        low_nm_torque: f64,
        /// The same with the largest nut factor of the range, newton metres.
        high_nm_torque: f64,
        /// Scatter of the preload about its mean at one torque, as a fraction.
        scatter: f64,
    }
}

/// Torque range for a bolt whose hole strips at `strip_load_n` newtons.
///
/// Fails with `Unreadable` for a thread or grade that is none known here, with `Unfit` where the grade does not cover the size
/// or the load is not above zero.
#[uniffi::export]
pub fn torque(
    thread: String,
    grade: String,
    strip_load_n: f64,
    condition: Condition,
) -> Result<Torque, NotebookError> {
    guard("torque", || {
        let (thread, grade): (Thread, core::Grade) = (thread.inward()?, grade.inward()?);
        let torque = core::torque(&thread, &grade, strip_load_n, condition.inward()?);
        Ok(torque.map_err(NotebookError::unfit)?.out())
    })
}

/// The bolt grades that are known, as they are written.
#[uniffi::export]
pub fn bolt_grades() -> Result<Vec<String>, NotebookError> {
    guard("bolt_grades", || Ok(core::Grade::ALL.map(Out::out).into()))
}

/// The metals that have a name here, as they are written. Others are written as a kind with its tensile strength, such as
/// `steel of 60000 psi`.
#[uniffi::export]
pub fn metals() -> Result<Vec<String>, NotebookError> {
    guard("metals", || {
        Ok(core::Metal::named().map(Out::out).collect())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_name_that_is_given_reads_back() {
        for grade in bolt_grades().unwrap() {
            let read: core::Grade = grade.clone().inward().unwrap();
            assert_eq!(read.out(), grade);
        }
        for metal in metals().unwrap() {
            let read: core::Metal = metal.clone().inward().unwrap();
            assert_eq!(read.out(), metal);
        }
    }

    #[test]
    fn a_weak_hole_holds_the_torque_down() {
        let grade = || "SAE J429 grade 5".to_owned();
        let weak = torque("3/8-16".to_owned(), grade(), 5_000.0, Condition::Oiled).unwrap();
        let strong = torque("3/8-16".to_owned(), grade(), 500_000.0, Condition::Oiled).unwrap();
        assert_eq!((weak.bound, strong.bound), (Bound::Iron, Bound::Bolt));
        assert!(weak.high_nm_torque < strong.low_nm_torque);
        assert!(torque("3/8-16".to_owned(), grade(), 0.0, Condition::Dry).is_err());
    }
}
