//! Clock and id generation, isolated so that tests can control them.

use chrono::{DateTime, FixedOffset, Local};
use uuid::Uuid;

/// Returns the device's time, with its offset from UTC.
pub(crate) fn now() -> DateTime<FixedOffset> {
    #[cfg(test)]
    if let Some(now) = super::tests::test_clock::now() {
        return now;
    }
    Local::now().fixed_offset()
}

/// Returns a new unique id (UUID version 7).
pub(crate) fn new_id() -> Uuid {
    #[cfg(test)]
    if let Some(id) = super::tests::test_clock::new_id() {
        return id;
    }
    Uuid::now_v7()
}
