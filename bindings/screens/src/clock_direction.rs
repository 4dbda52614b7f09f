//! Directions on a face as a clock: 12 up, 3 right, as the photo shows it.
//!
//! Stored in degrees counterclockwise from the right.

use crate::carrier::Request;
use crate::form::{FormError, degrees};
use crate::form_names::Field;
use holebook_core::labels::{parse_clock, show_clock};

pub use holebook_core::labels::o_clock;

/// Formats a direction for a field: by the clock where that says all of it, else in degrees.
pub fn editable_clock(direction_deg: f64) -> String {
    let shown = show_clock(direction_deg);
    let same =
        parse_clock(&shown).is_some_and(|parsed| (parsed - direction_deg).rem_euclid(360.0) == 0.0);
    if same {
        shown
    } else {
        format!("{direction_deg}°")
    }
}

/// Reads a direction: `3`, `3:30`, or degrees with a sign (`45°`, `-90`), counterclockwise from the
/// right. Returns degrees; `None` if the field is empty.
pub fn read_clock(request: &Request, field: Field, label: &str) -> Result<Option<f64>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    if text.ends_with('°') || text.starts_with(['+', '-']) {
        return degrees(request, field, label);
    }
    match parse_clock(text) {
        Some(direction_deg) => Ok(Some(direction_deg)),
        None => {
            let message =
                format!("'{text}' is not a direction; enter 1 to 12, 3:30, or degrees with °");
            Err(FormError::of(field, label, message))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_direction_that_is_no_full_minute_stays_in_degrees() {
        assert_eq!(editable_clock(12.3), "12.3°");
        assert_eq!(editable_clock(-90.0), "6");
        assert_eq!(editable_clock(0.0), "3");
    }
}
