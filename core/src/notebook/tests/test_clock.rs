//! A clock and an id generator that a test controls, for this thread only, so that a history can
//! be repeated exactly.

use chrono::{DateTime, FixedOffset, TimeZone};
use std::cell::RefCell;
use uuid::{Builder, Uuid};

thread_local! {
    static CLOCK: RefCell<Option<State>> = const { RefCell::new(None) };
}

struct State {
    /// Milliseconds since 1970 by the clock of the device that acts now.
    ms: i64,
    /// The offset of that clock from UTC in seconds.
    offset_s: i32,
    seed: u64,
}

/// Replaces the clock and the id generator on this thread until the returned guard is dropped.
pub(crate) fn set(seed: u64) -> TestClock {
    let state = State {
        ms: 0,
        offset_s: 0,
        seed,
    };
    CLOCK.with_borrow_mut(|current| *current = Some(state));
    TestClock
}

/// Keeps the test clock in place until it is dropped.
pub(crate) struct TestClock;

impl Drop for TestClock {
    fn drop(&mut self) {
        CLOCK.with_borrow_mut(|current| *current = None);
    }
}

impl TestClock {
    /// Sets the clock of the device that acts now.
    pub fn set(&self, ms: i64, offset_s: i32) {
        CLOCK.with_borrow_mut(|current| {
            if let Some(state) = current {
                (state.ms, state.offset_s) = (ms, offset_s);
            }
        });
    }
}

/// Returns the test clock's time; `None` if no test clock is set.
pub(crate) fn now() -> Option<DateTime<FixedOffset>> {
    CLOCK.with_borrow(|current| {
        let state = current.as_ref()?;
        let offset = FixedOffset::east_opt(state.offset_s)?;
        offset.timestamp_millis_opt(state.ms).single()
    })
}

/// Returns an id made from the test clock and its seed; `None` if no test clock is set.
pub(crate) fn new_id() -> Option<Uuid> {
    CLOCK.with_borrow_mut(|current| {
        let state = current.as_mut()?;
        let mut random = [0; 10];
        random[..8].copy_from_slice(&state.roll().to_le_bytes());
        random[8..].copy_from_slice(&state.roll().to_le_bytes()[..2]);
        let ms = u64::try_from(state.ms).unwrap_or(0);
        Some(Builder::from_unix_timestamp_millis(ms, &random).into_uuid())
    })
}

impl State {
    /// Returns the next pseudorandom number (the mixing steps of Steele, Lea and Flood, "Fast
    /// splittable pseudorandom number generators", 2014).
    fn roll(&mut self) -> u64 {
        self.seed = self.seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.seed ^ (self.seed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }
}
