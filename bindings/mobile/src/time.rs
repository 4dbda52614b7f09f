//! When something was written.

use crate::border::Out;
use chrono::{DateTime, FixedOffset};

/// A moment, by the clock of the device that wrote it. It is shown, and never decides anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct Moment {
    /// Milliseconds since the start of 1970, UTC.
    pub at_ms: i64,
    /// How far that device's local time was ahead of UTC, minutes.
    pub offset_minutes: i32,
}

impl Out for DateTime<FixedOffset> {
    type Face = Moment;
    fn out(self) -> Moment {
        Moment {
            at_ms: self.timestamp_millis(),
            offset_minutes: self.offset().local_minus_utc() / 60,
        }
    }
}
