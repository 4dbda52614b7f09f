//! Directions on a face as a clock: 12 up, 3 right, as the photo shows it.
//!
//! Stored in degrees counterclockwise from the right.

/// Degrees in an hour of the dial.
const HOUR_DEG: f64 = 30.0;
/// Where 12 o'clock is, in degrees counterclockwise from the right.
const TWELVE_DEG: f64 = 90.0;

/// Formats a direction by the clock, to the minute: `3`, `8:20`.
pub fn show_clock(direction_deg: f64) -> String {
    let hours = (TWELVE_DEG - direction_deg) / HOUR_DEG;
    let minutes = (hours * 60.0).round().rem_euclid(12.0 * 60.0);
    let (hour, minute) = ((minutes / 60.0).floor(), minutes % 60.0);
    let hour = if hour == 0.0 { 12.0 } else { hour };
    if minute == 0.0 {
        format!("{hour:.0}")
    } else {
        format!("{hour:.0}:{minute:02.0}")
    }
}

/// Formats a direction for a sentence: `3 o'clock`, `8:20`.
pub fn o_clock(direction_deg: f64) -> String {
    let shown = show_clock(direction_deg);
    if shown.contains(':') {
        shown
    } else {
        format!("{shown} o'clock")
    }
}

/// Parses a direction by the clock: `3`, `3:30`. Returns degrees counterclockwise from the right, 0 up
/// to 360; `None` if it is none.
pub fn parse_clock(text: &str) -> Option<f64> {
    let (hour, minute) = text.split_once(':').unwrap_or((text, "0"));
    let is_number = |part: &str| {
        (1..=2).contains(&part.len()) && part.bytes().all(|digit| digit.is_ascii_digit())
    };
    if !is_number(hour) || !is_number(minute) {
        return None;
    }
    let (hour, minute) = (hour.parse::<u8>().ok()?, minute.parse::<u8>().ok()?);
    if !(1..=12).contains(&hour) || minute > 59 {
        return None;
    }
    let hours = f64::from(hour) + f64::from(minute) / 60.0;
    // In whole minutes, of half a degree each, so that every time of day is exact.
    let halves = (2.0 * (TWELVE_DEG - hours * HOUR_DEG)).round();
    Some((halves / 2.0).rem_euclid(360.0))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use proptest::prelude::*;

    /// A clock's dial: 3 is right, 12 up, 6 down, 9 left.
    #[test]
    fn clock_positions_in_degrees() {
        for (clock, deg) in [
            ("3", 0.0),
            ("12", 90.0),
            ("9", 180.0),
            ("6", 270.0),
            ("1:30", 45.0),
        ] {
            assert_eq!(parse_clock(clock), Some(deg), "{clock}");
            assert_eq!(show_clock(deg), clock);
        }
        assert_eq!(show_clock(-90.0), "6");
        for wrong in [
            "0", "13", "3:60", "3:", ":30", "three", "90", "1e1", "003", "3.5",
        ] {
            assert_eq!(parse_clock(wrong), None, "{wrong}");
        }
    }

    proptest! {
        #[test]
        fn shown_direction_is_within_a_quarter_degree(deg in -360.0..360.0_f64) {
            let parsed = parse_clock(&show_clock(deg)).unwrap();
            let apart = (parsed - deg).rem_euclid(360.0);
            prop_assert!(apart.min(360.0 - apart) <= 0.25 + 1e-9);
        }
    }
}
