//! The standard threads.
//!
//! A thread is listed only if the limits of its usual class are known.

mod metric;
mod pipe;
mod unified;
mod whitworth;

pub(super) use pipe::pipe;

use super::Thread;
use crate::length::Length;
use std::sync::OnceLock;

/// Returns the diameter of a numbered size: .060 in plus .013 in per number (ASME B1.1).
pub(super) const fn numbered_size(number: i64) -> Length {
    Length::from_fraction(60 + 13 * number, 1000)
}

/// Returns every standard thread, right-hand, smallest first within its series.
///
/// Other specials (UNS) are computed when [`Thread::parse`] meets one.
pub fn standard_threads() -> impl Iterator<Item = Thread> {
    static THREADS: OnceLock<Vec<Thread>> = OnceLock::new();
    let threads = THREADS.get_or_init(|| {
        let mut threads = unified::threads();
        threads.extend(metric::threads());
        threads.extend(whitworth::threads());
        threads.extend(pipe::threads());
        threads
    });
    threads.iter().copied()
}
