//! What an entry has from nobody who says it: the device's clock, and names that nothing else has.
//!
//! Here alone, so that a test can set clocks wrong by years and repeat a history to the last digit.

use chrono::{DateTime, FixedOffset, Local};
use uuid::Uuid;

/// The device's clock, with its offset from UTC.
pub(crate) fn now() -> DateTime<FixedOffset> {
    #[cfg(test)]
    if let Some(now) = super::tests::stage::now() {
        return now;
    }
    Local::now().fixed_offset()
}

/// A name that nothing else has.
pub(crate) fn fresh() -> Uuid {
    #[cfg(test)]
    if let Some(fresh) = super::tests::stage::fresh() {
        return fresh;
    }
    Uuid::now_v7()
}
