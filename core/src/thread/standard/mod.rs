//! The threads that the standards list.
//!
//! A thread is only listed when the limits of its usual class are known.

mod metric;
mod pipe;
mod unified;
mod whitworth;

pub(super) use pipe::pipe;

use super::Thread;
use crate::length::Length;
use std::sync::OnceLock;

/// A numbered size: 0.060 in and 0.013 in more for each number (ASME B1.1).
pub(super) const fn numbered_size(number: i64) -> Length {
    Length::from_fraction(60 + 13 * number, 1000)
}

/// Every thread kept here, right-hand, smallest first within its series. Specials (UNS) beyond these are worked out when
/// somebody writes one.
pub fn standard_threads() -> impl Iterator<Item = Thread> {
    static KEPT: OnceLock<Vec<Thread>> = OnceLock::new();
    let kept = KEPT.get_or_init(|| {
        let mut threads = unified::threads();
        threads.extend(metric::threads());
        threads.extend(whitworth::threads());
        threads.extend(pipe::threads());
        threads
    });
    kept.iter().copied()
}
