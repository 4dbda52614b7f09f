//! The time of day, which tests may set.

use chrono::{DateTime, Utc};
use std::fmt;
use std::sync::Arc;

/// Tells the time. What it says only shows when things happened, and ends pairing codes.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>);

impl Clock {
    /// One that asks `now`.
    pub fn new(now: impl Fn() -> DateTime<Utc> + Send + Sync + 'static) -> Self {
        Self(Arc::new(now))
    }

    /// The time, to the millisecond, as it is kept.
    pub(crate) fn now_ms(&self) -> i64 {
        (self.0)().timestamp_millis()
    }
}

impl Default for Clock {
    /// The system's.
    fn default() -> Self {
        Self::new(Utc::now)
    }
}

impl fmt::Debug for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Clock")
    }
}

/// A moment as it is kept.
pub(crate) fn moment(ms: i64) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(ms).unwrap_or_default()
}
