//! Clock and id generation, isolated so that tests can control them.
//!
//! A clock before 1970, as after a dead battery, is taken for 1970: ids begin there, and libraries
//! for time fail before it.

use chrono::{DateTime, FixedOffset, Local};
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use uuid::{NoContext, Timestamp, Uuid};

/// Returns the device's time, with its offset from UTC.
pub fn now() -> DateTime<FixedOffset> {
    #[cfg(test)]
    if let Some(now) = super::tests::test_clock::now() {
        return now;
    }
    at(since_1970(SystemTime::now()))
}

/// Returns whether the device's clock is before 1970.
pub fn is_before_1970() -> bool {
    SystemTime::now() < UNIX_EPOCH
}

/// Returns a new unique id (UUID version 7).
pub(crate) fn new_id() -> Uuid {
    #[cfg(test)]
    if let Some(id) = super::tests::test_clock::new_id() {
        return id;
    }
    id_at(SystemTime::now())
}

/// Returns the time since 1970; zero before that.
fn since_1970(time: SystemTime) -> Duration {
    time.duration_since(UNIX_EPOCH).unwrap_or_default()
}

fn at(since_1970: Duration) -> DateTime<FixedOffset> {
    let seconds = i64::try_from(since_1970.as_secs()).unwrap_or_default();
    let time = DateTime::from_timestamp(seconds, since_1970.subsec_nanos());
    time.unwrap_or_default()
        .with_timezone(&Local)
        .fixed_offset()
}

fn id_at(time: SystemTime) -> Uuid {
    match time < UNIX_EPOCH {
        true => Uuid::new_v7(Timestamp::from_unix(NoContext, 0, 0)),
        false => Uuid::now_v7(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_before_1970_counts_as_1970() {
        let before = UNIX_EPOCH - Duration::from_secs(86_400);
        let (time, id) = (at(since_1970(before)), id_at(before));
        assert_eq!(time.timestamp(), 0);
        assert_eq!(id.get_version_num(), 7);
        assert_eq!(id.as_bytes()[..6], [0; 6]);
        assert_ne!(id, id_at(before));
    }

    #[test]
    fn the_time_is_that_of_the_clock() {
        let time = UNIX_EPOCH + Duration::from_millis(1_764_500_000_123);
        assert_eq!(at(since_1970(time)).timestamp_millis(), 1_764_500_000_123);
    }
}
