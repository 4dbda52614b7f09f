//! What can be wrong with a thread that somebody asked for.

use super::{ExternalClass, InternalClass, Thread};

/// Why a thread, or a class of it, was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ThreadError {
    /// The text is not a thread.
    #[error("`{asked}` is not a thread; write one such as 3/8-16, 10-24, M10 or M10x1.5")]
    Unreadable {
        /// What was written.
        asked: String,
    },
    /// No such thread is in the standards kept here.
    #[error(
        "`{asked}` is not among the standard threads kept here; the nearest are {}",
        list(nearest)
    )]
    NoSuchThread {
        /// What was written.
        asked: String,
        /// The nearest that exist, best first.
        nearest: Vec<Thread>,
    },
    /// An inch size without threads per inch.
    #[error(
        "`{asked}` does not say how many threads per inch; it could be {}",
        list(candidates)
    )]
    NoPitch {
        /// What was written.
        asked: String,
        /// The threads of that size.
        candidates: Vec<Thread>,
    },
    /// A left-hand thread.
    #[error(
        "`{asked}` is a left-hand thread, and only right-hand threads are worked out here; plan this hole by hand"
    )]
    LeftHand {
        /// What was written.
        asked: String,
    },
    /// A tolerance class behind the designation.
    #[error(
        "`{asked}` has a tolerance class behind the thread; write the thread alone and give {class} as its class"
    )]
    ClassInDesignation {
        /// What was written.
        asked: String,
        /// The class in it.
        class: String,
    },
    /// A series that is not kept.
    #[error(
        "`{asked}` names the series {series}, which is not kept here; UNC, UNF, UNEF, UN, UNS and metric M are"
    )]
    SeriesNotKept {
        /// What was written.
        asked: String,
        /// The series in it.
        series: String,
    },
    /// A class that the thread does not have.
    #[error("{thread} has no class {class}; its classes are {classes}")]
    NoSuchClass {
        /// The thread.
        thread: String,
        /// The class asked for.
        class: String,
        /// The classes it has.
        classes: String,
    },
    /// A class that no series has.
    #[error(
        "`{asked}` is not a tolerance class; write 1B, 2B, 3B or 4H, 5H, 6H for a hole, 1A, 2A, 3A or 6g for a screw"
    )]
    UnknownClass {
        /// What was written.
        asked: String,
    },
}

fn list(threads: &[Thread]) -> String {
    threads
        .iter()
        .map(|t| t.designation())
        .collect::<Vec<_>>()
        .join(", ")
}

pub(super) fn no_such_class(thread: Thread, class: &str) -> ThreadError {
    let metric = thread.series().is_metric();
    let internal = InternalClass::ALL
        .into_iter()
        .filter(|c| c.is_metric() == metric)
        .map(InternalClass::name);
    let external = ExternalClass::ALL
        .into_iter()
        .filter(|c| c.is_metric() == metric)
        .map(ExternalClass::name);
    ThreadError::NoSuchClass {
        thread: thread.designation(),
        class: class.to_owned(),
        classes: internal.chain(external).collect::<Vec<_>>().join(", "),
    }
}
