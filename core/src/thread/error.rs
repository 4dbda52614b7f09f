//! Why a thread or class is refused.

use super::{ExternalClass, InternalClass, Thread};

/// Why a thread, or a class of it, was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ThreadError {
    /// The text is not a thread.
    #[error(
        "`{input}` is not a thread; write one such as 3/8-16, 10-24, M10, M10x1.25, 1/2-12 BSW, G 1/2, 1/2 NPT or 3/8-16 STI"
    )]
    NotAThread {
        /// What was written.
        input: String,
    },
    /// The thread is in none of the standards included here.
    #[error(
        "`{input}` is not a standard thread; the nearest are {}",
        list(nearest)
    )]
    UnknownThread {
        /// What was written.
        input: String,
        /// The nearest existing threads, best first.
        nearest: Vec<Thread>,
    },
    /// An inch size without threads per inch, or a series with two threads of that size.
    #[error("`{input}` could be {}; write the threads per inch", list(candidates))]
    Ambiguous {
        /// What was written.
        input: String,
        /// The threads of that size.
        candidates: Vec<Thread>,
    },
    /// An inch thread that is in no Unified series but in one of another form.
    #[error(
        "`{input}` is in no Unified series; it may be {} (55 degrees) or a Unified special (60 degrees): check the \
         flank angle and add the series BSW, BSF or UNS",
        list(candidates)
    )]
    OtherForm {
        /// What was written.
        input: String,
        /// The threads of that size and pitch.
        candidates: Vec<Thread>,
    },
    /// A special of an impossible size or pitch.
    #[error(
        "`{input}` is not a possible special thread; check size (.060 to 6 in) and pitch (3.5 to 100 threads in one \
         diameter)"
    )]
    InvalidSpecial {
        /// What was written.
        input: String,
    },
    /// An STI hole where a bolt's thread is needed.
    #[error(
        "{thread} is the tapped hole for a wire thread insert; enter the bolt's thread, {bolt}"
    )]
    StiHole {
        /// The hole.
        thread: Thread,
        /// The bolt's thread.
        bolt: Thread,
    },
    /// A series that is not supported.
    #[error(
        "the series {series} in `{input}` is not supported; use UNC, UNF, UNEF, UN, UNS, NS, metric M, BSW, BSF, G, \
         R or NPT"
    )]
    UnsupportedSeries {
        /// What was written.
        input: String,
        /// The series in it.
        series: String,
    },
    /// A class that the thread does not have.
    #[error("{thread} has no class {class}; use {classes}")]
    ClassNotAvailable {
        /// The thread.
        thread: String,
        /// The class requested.
        class: String,
        /// The classes it has.
        classes: String,
    },
    /// A class of a thread whose tolerances are not included here.
    #[error(
        "{thread} has no class {class}: only its basic sizes are known here; leave out the class"
    )]
    NoClasses {
        /// The thread.
        thread: String,
        /// The class requested.
        class: String,
    },
    /// A class that no series has.
    #[error(
        "`{input}` is not a tolerance class; write 1B, 2B, 3B, 4H, 5H, 6H or 7H for a hole, 1A, 2A, 3A, 4h, 6h, 6g or \
         6e for a screw"
    )]
    UnknownClass {
        /// What was written.
        input: String,
    },
}

fn list(threads: &[Thread]) -> String {
    threads
        .iter()
        .map(|t| t.designation())
        .collect::<Vec<_>>()
        .join(", ")
}

pub(super) fn class_not_available(thread: Thread, class: &str) -> ThreadError {
    let internal = InternalClass::ALL
        .into_iter()
        .filter(|&class| thread.internal_limits(class).is_some())
        .map(InternalClass::name);
    let external = ExternalClass::ALL
        .into_iter()
        .filter(|&class| thread.external_limits(class).is_some())
        .map(ExternalClass::name);
    let classes: Vec<&str> = internal.chain(external).collect();
    if classes.is_empty() {
        return ThreadError::NoClasses {
            thread: thread.designation(),
            class: class.to_owned(),
        };
    }
    ThreadError::ClassNotAvailable {
        thread: thread.designation(),
        class: class.to_owned(),
        classes: classes.join(", "),
    }
}
