//! When a photo was taken, by the camera's clock.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike as _, FixedOffset, NaiveDateTime};
use serde::{Deserialize, Serialize};

/// The camera's clock when it took the photo, to the second.
///
/// Many cameras do not record the time zone; then there is no offset, and none is guessed.
/// Written as `2026-05-06T07:08:09`, followed by `+02:00` where the camera recorded its offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct TakenAt {
    /// Local time.
    pub local: NaiveDateTime,
    /// Offset from UTC, where the camera recorded it.
    pub offset: Option<FixedOffset>,
}

/// A text that is not a time as [`TakenAt`] writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "write the time a photo was taken as 2026-05-06T07:08:09, followed by +02:00 if the offset is known"
)]
pub struct InvalidTime;

const LOCAL: &str = "%Y-%m-%dT%H:%M:%S";

impl TakenAt {
    /// Reads EXIF text: `2026:05:06 07:08:09`, and `+02:00` if there is one (EXIF 3.0,
    /// DateTimeOriginal and OffsetTimeOriginal). Blank or zero, which cameras write when their
    /// clock is not set, is not a time.
    pub(super) fn from_exif(time: &str, offset: Option<&str>) -> Option<Self> {
        let local = local(time.trim(), "%Y:%m:%d %H:%M:%S")?;
        Some(Self {
            local,
            offset: offset.and_then(|text| text.trim().parse().ok()),
        })
    }
}

/// Reads a time whose year has four digits and no sign; others could not be read back.
fn local(text: &str, form: &str) -> Option<NaiveDateTime> {
    let local = NaiveDateTime::parse_from_str(text, form).ok()?;
    (0..=9999).contains(&local.year()).then_some(local)
}

impl fmt::Display for TakenAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.local.format(LOCAL))?;
        self.offset.map_or(Ok(()), |offset| write!(f, "{offset}"))
    }
}

impl FromStr for TakenAt {
    type Err = InvalidTime;

    fn from_str(text: &str) -> Result<Self, InvalidTime> {
        let (local, offset) = match text.get(19..) {
            Some("") => (text, None),
            Some(offset) => (&text[..19], Some(offset.parse().map_err(|_| InvalidTime)?)),
            None => return Err(InvalidTime),
        };
        let local = self::local(local, LOCAL).ok_or(InvalidTime)?;
        Ok(Self { local, offset })
    }
}

impl TryFrom<String> for TakenAt {
    type Error = InvalidTime;

    fn try_from(text: String) -> Result<Self, InvalidTime> {
        text.parse()
    }
}

impl From<TakenAt> for String {
    fn from(taken: TakenAt) -> Self {
        taken.to_string()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn exif_time_with_and_without_offset() {
        let with = TakenAt::from_exif("2026:05:06 07:08:09", Some("+02:00")).unwrap();
        assert_eq!(with.to_string(), "2026-05-06T07:08:09+02:00");
        let west = TakenAt::from_exif("2026:05:06 07:08:09", Some("-03:30")).unwrap();
        assert_eq!(west.to_string(), "2026-05-06T07:08:09-03:30");
        let without = TakenAt::from_exif("2026:05:06 07:08:09", None).unwrap();
        assert_eq!(without.to_string(), "2026-05-06T07:08:09");
        for taken in [with, west, without] {
            assert_eq!(taken.to_string().parse(), Ok(taken));
        }
    }

    #[test]
    fn a_year_that_is_not_of_four_digits_is_no_time() {
        for year in ["-116", "-0001", "+10000", "12026"] {
            let exif = format!("{year}:11:01 10:01:00");
            assert_eq!(TakenAt::from_exif(&exif, None), None, "{year}");
            assert!(format!("{year}-11-01T10:01:00").parse::<TakenAt>().is_err());
        }
    }

    #[test]
    fn a_clock_never_set_is_no_time() {
        for text in [
            "0000:00:00 00:00:00",
            "    :  :     :  :  ",
            "",
            "2026:13:40 00:00:00",
            "yesterday",
        ] {
            assert_eq!(TakenAt::from_exif(text, None), None, "{text}");
        }
        assert!("2026-05-06".parse::<TakenAt>().is_err());
        assert!("2026-05-06T07:08:09 somewhere".parse::<TakenAt>().is_err());
        assert!("2026-05-06T07:08:0é+02:00".parse::<TakenAt>().is_err());
    }
}
