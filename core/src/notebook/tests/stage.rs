//! A stage: on this thread, the clock and the names come from the test, so that a history can be repeated.

use chrono::{DateTime, FixedOffset, TimeZone};
use std::cell::RefCell;
use uuid::{Builder, Uuid};

thread_local! {
    static STAGE: RefCell<Option<Stage>> = const { RefCell::new(None) };
}

struct Stage {
    /// Milliseconds since 1970 by the clock of whoever acts.
    ms: i64,
    /// The offset of that clock from UTC in seconds.
    offset_s: i32,
    dice: u64,
}

/// Sets the stage, until what it gives is dropped.
pub(crate) fn set(seed: u64) -> Set {
    let stage = Stage {
        ms: 0,
        offset_s: 0,
        dice: seed,
    };
    STAGE.with_borrow_mut(|current| *current = Some(stage));
    Set
}

/// That the stage is set.
pub(crate) struct Set;

impl Drop for Set {
    fn drop(&mut self) {
        STAGE.with_borrow_mut(|current| *current = None);
    }
}

impl Set {
    /// Whoever acts now has this clock.
    pub fn clock(&self, ms: i64, offset_s: i32) {
        STAGE.with_borrow_mut(|current| {
            if let Some(stage) = current {
                (stage.ms, stage.offset_s) = (ms, offset_s);
            }
        });
    }
}

/// The clock on this thread's stage; none where there is no stage.
pub(crate) fn now() -> Option<DateTime<FixedOffset>> {
    STAGE.with_borrow(|current| {
        let stage = current.as_ref()?;
        let offset = FixedOffset::east_opt(stage.offset_s)?;
        offset.timestamp_millis_opt(stage.ms).single()
    })
}

/// A name by this thread's clock and dice; none where there is no stage.
pub(crate) fn fresh() -> Option<Uuid> {
    STAGE.with_borrow_mut(|current| {
        let stage = current.as_mut()?;
        let mut random = [0; 10];
        random[..8].copy_from_slice(&stage.roll().to_le_bytes());
        random[8..].copy_from_slice(&stage.roll().to_le_bytes()[..2]);
        let ms = u64::try_from(stage.ms).unwrap_or(0);
        Some(Builder::from_unix_timestamp_millis(ms, &random).into_uuid())
    })
}

impl Stage {
    /// The next of a row of numbers without a pattern (the mixing steps of Steele, Lea and Flood, "Fast splittable
    /// pseudorandom number generators", 2014).
    fn roll(&mut self) -> u64 {
        self.dice = self.dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.dice ^ (self.dice >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }
}
