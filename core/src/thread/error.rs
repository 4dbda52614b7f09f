//! What can be wrong with a thread that somebody asked for.

use super::{ExternalClass, InternalClass, Thread};

/// Why a thread, or a class of it, was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ThreadError {
    /// The text is not a thread.
    #[error(
        "`{asked}` is not a thread; write one such as 3/8-16, 10-24, M10, M10x1.25, 1/2-12 BSW, G 1/2 or 1/2 NPT"
    )]
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
    /// An inch size without threads per inch, or a series with two threads of a size.
    #[error(
        "`{asked}` does not say which thread of its size; it could be {}",
        list(candidates)
    )]
    NoPitch {
        /// What was written.
        asked: String,
        /// The threads of that size.
        candidates: Vec<Thread>,
    },
    /// An inch thread that is in no Unified series, but in one of another form.
    #[error(
        "`{asked}` is in no Unified series; it may be {} (55 degrees) or a Unified special (60 degrees): check the angle and write its \
         series behind it, BSW, BSF or UNS",
        list(candidates)
    )]
    OtherForm {
        /// What was written.
        asked: String,
        /// The threads of that size and pitch.
        candidates: Vec<Thread>,
    },
    /// A special of a size or pitch that cannot be.
    #[error(
        "`{asked}` is no special that could be; sizes run from .060 to 6 in with 3.5 to 100 threads on one diameter, so check both"
    )]
    AbsurdSpecial {
        /// What was written.
        asked: String,
    },
    /// A series that is not kept.
    #[error(
        "`{asked}` names the series {series}, which is not kept here; UNC, UNF, UNEF, UN, UNS, NS, metric M, BSW, BSF, G, R and NPT are"
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
    /// A class of a thread whose tolerances are not kept.
    #[error(
        "{thread} has no class {class}, since only its basic sizes are kept here; leave the class out"
    )]
    NoClasses {
        /// The thread.
        thread: String,
        /// The class asked for.
        class: String,
    },
    /// A class that no series has.
    #[error(
        "`{asked}` is not a tolerance class; write 1B, 2B, 3B or 4H, 5H, 6H, 7H for a hole, 1A, 2A, 3A or 4h, 6h, 6g, 6e for a screw"
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
    let internal = InternalClass::ALL
        .into_iter()
        .filter(|&class| thread.internal_in(class).is_some())
        .map(InternalClass::name);
    let external = ExternalClass::ALL
        .into_iter()
        .filter(|&class| thread.external_in(class).is_some())
        .map(ExternalClass::name);
    let classes: Vec<&str> = internal.chain(external).collect();
    if classes.is_empty() {
        return ThreadError::NoClasses {
            thread: thread.designation(),
            class: class.to_owned(),
        };
    }
    ThreadError::NoSuchClass {
        thread: thread.designation(),
        class: class.to_owned(),
        classes: classes.join(", "),
    }
}
