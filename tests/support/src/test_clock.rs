//! A clock that the test moves.

use chrono::{DateTime, TimeDelta, Utc};
use holebook_sync::Clock;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

/// A clock that stands still until the test moves it.
#[derive(Debug, Default)]
pub struct TestClock {
    minutes: Arc<AtomicI64>,
}

impl TestClock {
    /// Returns the clock to give to what is tested.
    pub fn clock(&self) -> Clock {
        let start = DateTime::<Utc>::from_timestamp_millis(1_800_000_000_000).unwrap();
        let minutes = self.minutes.clone();
        Clock::new(move || start + TimeDelta::minutes(minutes.load(Ordering::SeqCst)))
    }

    /// Moves the clock on.
    pub fn advance_minutes(&self, minutes: i64) {
        self.minutes.fetch_add(minutes, Ordering::SeqCst);
    }
}
