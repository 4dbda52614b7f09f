//! Wall clock of the pairing store, replaceable in tests.

use chrono::{DateTime, Utc};
use std::fmt;
use std::sync::Arc;

/// Source of the current time. It is used only for displayed times and to expire pairing codes,
/// never to trust a certificate.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>);

impl Clock {
    /// Creates a clock that calls `now`.
    pub fn new(now: impl Fn() -> DateTime<Utc> + Send + Sync + 'static) -> Self {
        Self(Arc::new(now))
    }

    /// Returns the current time in milliseconds since 1970 (UTC), as the store keeps it.
    pub(crate) fn now_ms(&self) -> i64 {
        (self.0)().timestamp_millis()
    }
}

impl Default for Clock {
    /// Returns the system clock.
    fn default() -> Self {
        Self::new(|| holebook_core::notebook::now().to_utc())
    }
}

impl fmt::Debug for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Clock")
    }
}

/// Converts a stored time, in milliseconds since 1970 (UTC).
pub(crate) fn from_ms(ms: i64) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(ms).unwrap_or_default()
}
