//! Core values that cross the FFI as a number, a text or a small record. If one cannot be
//! converted, the call fails with its own error type.

use crate::error::NotebookError;
use crate::lend::lend;
use chrono::{DateTime, FixedOffset, NaiveDate};
use holebook_core::drill::{DrillKinds, DrillName};
use holebook_core::hole::caution::Caution;
use holebook_core::insert::{Insert, SharedInsert};
use holebook_core::length::{Length, MAX_NM};
use holebook_core::notebook::LineHash;
use holebook_core::photo::{Format, PhotoHash, TakenAt};
use holebook_core::strength::bolt::BoltLengthAdvice;
use holebook_core::strength::{Grade, Metal};
use holebook_core::thread::{ExternalClass, InternalClass, Thread, ThreadsPerInch};
use serde_json::Value;
use std::borrow::Cow;
use std::path::PathBuf;
use uuid::Uuid;

/// A length or a signed distance, in whole nanometers: 25/64 in is exactly 9 921 875 nm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, uniffi::Record)]
pub struct Nanometers {
    /// Nanometers. A length that is passed in may be at most 100 m, either way.
    pub nm: i64,
}

uniffi::custom_type!(
    /// A length or a signed distance.
    Length, Nanometers, {
        remote,
        lower: |length| Nanometers { nm: length.nm() },
        try_lift: |given| Ok(length(given)?),
    }
);

fn length(Nanometers { nm }: Nanometers) -> Result<Length, NotebookError> {
    if nm.unsigned_abs() > MAX_NM.unsigned_abs() {
        return Err(NotebookError::invalid(format!(
            "a length of {nm} nm is more than 100 m; check the number and its unit"
        )));
    }
    Ok(Length::from_nm(nm))
}

/// A time by the clock of the device that wrote it. It is shown, and never decides anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct ClockTime {
    /// Milliseconds since the start of 1970, UTC.
    pub at_ms: i64,
    /// How far that device's local time was ahead of UTC, minutes.
    pub offset_minutes: i32,
}

/// A time with the offset of its place.
pub type Timestamp = DateTime<FixedOffset>;

uniffi::custom_type!(
    /// A time by a device's clock.
    Timestamp, ClockTime, {
        remote,
        lower: |time| ClockTime {
            at_ms: time.timestamp_millis(),
            offset_minutes: time.offset().local_minus_utc() / 60,
        },
        try_lift: |given| Ok(time(given)?),
    }
);

fn time(given: ClockTime) -> Result<Timestamp, NotebookError> {
    let seconds = given.offset_minutes.checked_mul(60);
    let offset = seconds.and_then(FixedOffset::east_opt);
    let time = DateTime::from_timestamp_millis(given.at_ms);
    match time.zip(offset) {
        Some((time, offset)) => Ok(time.with_timezone(&offset)),
        None => Err(NotebookError::invalid(
            "a time must lie within a quarter of a million years of today, and its offset within a day",
        )),
    }
}

/// Values that cross as a text: how each is written, and how it is read.
macro_rules! texts {
    ($($(#[$doc:meta])* $name:ident = $core:ty, |$value:ident| $lower:expr, |$text:ident| $lift:expr;)+) => {$(
        $(#[$doc])*
        pub type $name = $core;

        uniffi::custom_type!($(#[$doc])* $name, String, {
            remote,
            lower: |$value| $lower,
            try_lift: |$text| Ok($lift?),
        });
    )+};
}

texts! {
    /// A thread, as the trade writes it: `3/8-16`, `M10x1.5`. It is given out in full: `3/8-16
    /// UNC`.
    ThreadName = Thread,
        |thread| thread.designation(),
        |text| Thread::parse(&text).map_err(|error| NotebookError::unreadable("thread", text, &error));
    /// A bolt's strength grade: `SAE J429 grade 5`, `ISO 898-1 class 8.8`.
    GradeName = Grade,
        |grade| grade.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("grade", text, &error));
    /// A metal: `ASTM A48 class 25`, or a kind of metal with its tensile strength, such as `steel
    /// of 60000 psi`.
    MetalName = Metal,
        |metal| metal.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("metal", text, &error));
    /// The name of a drill in the trade: `29/64`, `#7`, `X`, `10.2 mm`.
    DrillSize = DrillName,
        |name| name.to_string(),
        |text| match holebook_core::drill::Drill::parse(&text) {
            Ok(drill) => Ok(drill.name),
            Err(error) => Err(NotebookError::unreadable("drill", text, &error)),
        };
    /// Tolerance class of a tapped hole: `2B`, `6H`.
    HoleClass = InternalClass,
        |class| class.name().to_owned(),
        |text| one_of(InternalClass::ALL, |class| class.name() == text, "class", &text);
    /// Tolerance class of a screw: `2A`, `6g`.
    ScrewClass = ExternalClass,
        |class| class.name().to_owned(),
        |text| one_of(ExternalClass::ALL, |class| class.name() == text, "class", &text);
    /// The media type of a photo's file: `image/jpeg` or `image/png`.
    MediaType = Format,
        |format| format.media_type().to_owned(),
        |text| one_of([Format::Jpeg, Format::Png], |format| format.media_type() == text, "media type", &text);
    /// SHA-256 of a photo's content, in hexadecimal digits: the name of its file.
    PhotoDigest = PhotoHash,
        |hash| hash.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("photo hash", text, &error));
    /// When a camera says that a photo was taken, as it wrote it: local time, with the offset where
    /// it wrote one.
    CameraTime = TakenAt,
        |time| time.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("time", text, &error));
    /// A day of the calendar: `2026-11-30`.
    CalendarDate = NaiveDate,
        |date| date.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("date", text, &error));
    /// The UUID of what an entry is about.
    SubjectId = Uuid,
        |id| id.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("id", text, &error));
    /// What an entry says, as JSON; lengths in it are millimeters.
    Json = Value,
        |value| value.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("JSON", text, &error));
    /// SHA-256 of a line of the journal, in hexadecimal digits.
    EntryHash = LineHash,
        |hash| hash.to_string(),
        |text| text.parse().map_err(|error| NotebookError::unreadable("entry hash", text, &error));
    /// A file or folder. Names that are not Unicode are shown with replacement characters.
    FilePath = PathBuf,
        |path| path.to_string_lossy().into_owned(),
        |text| Ok::<_, NotebookError>(PathBuf::from(text));
    /// A text.
    Text = Cow<'static, str>,
        |text| text.into_owned(),
        |text| Ok::<_, NotebookError>(Cow::Owned(text));
    /// A text that this program gives out.
    Label = &'static str,
        |label| label.to_owned(),
        |text| given_out_only(&text);
    /// A caution, in sentences.
    CautionText = Caution,
        |caution| caution.to_string(),
        |text| given_out_only(&text);
    /// What to do about a bolt's length, in a sentence.
    BoltLengthText = BoltLengthAdvice,
        |advice| advice.to_string(),
        |text| given_out_only(&text);
}

fn one_of<T, const N: usize>(
    all: [T; N],
    is: impl Fn(&T) -> bool,
    what: &str,
    text: &str,
) -> Result<T, NotebookError> {
    let found = all.into_iter().find(is);
    found.ok_or_else(|| {
        NotebookError::unreadable(what, text.to_owned(), &format!("`{text}` is no {what}"))
    })
}

/// The failure of a call that is given what only results hold.
pub(crate) fn given_out_only<T>(text: &str) -> Result<T, NotebookError> {
    Err(NotebookError::invalid(format!(
        "`{text}` is part of a result; no call takes it as input"
    )))
}

uniffi::custom_type!(
    /// An insert.
    SharedInsert, Insert, {
        remote,
        lower: |shared| shared.into(),
        try_lift: |insert| Ok(insert.into()),
    }
);

lend! {
    holebook_core::drill {
        DrillKind,
    }
}

uniffi::custom_type!(
    /// The kinds of drills on hand.
    DrillKinds, Vec<DrillKind>, {
        remote,
        lower: |kinds| kinds.kinds().collect(),
        try_lift: |kinds| Ok(DrillKinds::of(&kinds)),
    }
);

uniffi::custom_type!(
    /// Threads per inch, in whole or half threads.
    ThreadsPerInch, f64, {
        remote,
        lower: |threads| threads.count(),
        try_lift: |count| Ok(threads_per_inch(count)?),
    }
);

fn threads_per_inch(count: f64) -> Result<ThreadsPerInch, NotebookError> {
    let read = ThreadsPerInch::parse(&count.to_string());
    read.ok_or_else(|| NotebookError::invalid(format!("{count} threads per inch is no pitch")))
}

/// The least and the most of something.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Between {
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// A range of numbers.
pub type Range = (f64, f64);

uniffi::custom_type!(
    /// A range of numbers.
    Range, Between, {
        remote,
        lower: |range| Between { least: range.0, most: range.1 },
        try_lift: |given| Ok((given.least, given.most)),
    }
);

/// The fewest and the most of something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct FewestAndMost {
    /// The fewest.
    pub fewest: u8,
    /// The most.
    pub most: u8,
}

/// A range of counts.
pub type CountRange = (u8, u8);

uniffi::custom_type!(
    /// A range of counts.
    CountRange, FewestAndMost, {
        remote,
        lower: |range| FewestAndMost { fewest: range.0, most: range.1 },
        try_lift: |given| Ok((given.fewest, given.most)),
    }
);

/// A position on a face, along its two axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct Point {
    /// Along the face's x axis.
    pub x: Length,
    /// Along the face's y axis.
    pub y: Length,
}

/// Two coordinates.
pub type Position = (Length, Length);

uniffi::custom_type!(
    /// A position on a face.
    Position, Point, {
        remote,
        lower: |position| Point { x: position.0, y: position.1 },
        try_lift: |point| Ok((point.x, point.y)),
    }
);

/// How many there are, as it crosses.
pub(crate) fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::UniFfiTag;
    use crate::ids::{EntryId, EntryUuid, HoleId, HoleUuid};
    use uniffi::{Lift, Lower};

    /// The error that a call fails with if it is passed this value, as another language passes it.
    fn error<T, Passed>(passed: Passed) -> NotebookError
    where
        T: std::fmt::Debug + Lift<UniFfiTag, FfiType = <Passed as Lower<UniFfiTag>>::FfiType>,
        Passed: Lower<UniFfiTag>,
    {
        let lifted = T::try_lift(Passed::lower(passed));
        lifted.unwrap_err().downcast().unwrap()
    }

    #[test]
    fn a_length_beyond_100_m_is_invalid() {
        let error = error::<Length, _>(Nanometers { nm: i64::MIN });
        assert!(matches!(error, NotebookError::Invalid { .. }), "{error:?}");
    }

    #[test]
    fn a_text_that_is_no_such_value_is_unreadable() {
        let text = || "an ell".to_owned();
        let errors = [
            (error::<Thread, _>(text()), "thread"),
            (error::<Grade, _>(text()), "grade"),
            (error::<Metal, _>(text()), "metal"),
            (error::<DrillName, _>(text()), "drill"),
            (error::<InternalClass, _>(text()), "class"),
        ];
        for (error, expected) in errors {
            let NotebookError::Unreadable { what, asked, .. } = &error else {
                panic!("{error:?}")
            };
            assert_eq!((what.as_str(), asked.as_str()), (expected, "an ell"));
        }
    }

    #[test]
    fn an_id_that_is_none_names_what_it_was_to_be() {
        let id = || "x".to_owned();
        let errors = [
            (error::<HoleId, _>(HoleUuid { id: id() }), "hole"),
            (error::<EntryId, _>(EntryUuid { id: id() }), "entry"),
        ];
        for (error, expected) in errors {
            assert!(
                matches!(&error, NotebookError::NoSuch { what, id, .. } if what == expected && id == "x"),
                "{error:?}"
            );
        }
    }

    #[test]
    fn names_and_times_read_back_as_they_were_given_out() {
        for grade in Grade::ALL {
            assert_eq!(grade.to_string().parse::<Grade>().unwrap(), grade);
        }
        for metal in Metal::named() {
            assert_eq!(metal.to_string().parse::<Metal>().unwrap(), metal);
        }
        for halves in [7, 9, 23, 26, 32, 160] {
            let threads = ThreadsPerInch::halves(halves);
            assert_eq!(threads_per_inch(threads.count()).unwrap(), threads);
        }
        let given = ClockTime {
            at_ms: 1_764_460_800_123,
            offset_minutes: -300,
        };
        let time = time(given).unwrap();
        assert_eq!(time.to_rfc3339(), "2025-11-29T19:00:00.123-05:00");
    }
}
