//! Lengths, threads, drills, grades, metals and more as people write them.

use super::FuzzEntryPoint;
use holebook_core::drill::{Drill, DrillKinds};
use holebook_core::insert::Family;
use holebook_core::length::{Length, MAX_NM, NM_PER_MM, Unit};
use holebook_core::photo::TakenAt;
use holebook_core::strength::{Grade, Metal};
use holebook_core::thread::{ParsedThread, Thread};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt::{Debug, Display};
use std::str::FromStr;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "quantities",
    run,
    examples,
};

/// What is parsed is parsed again from what we write, and a rejection is one sentence.
fn run(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    for bare in [None, Some(Unit::Inch), Some(Unit::Millimeter)] {
        if let Some(length) = read(Length::parse(text, bare)) {
            check_length(length);
        }
    }
    if let Some(thread) = read(Thread::parse(text)) {
        assert_eq!(Thread::parse(&thread.designation()), Ok(thread));
        assert_json_round_trip(&thread);
        assert!(thread.nominal() > Length::ZERO && thread.pitch_mm() > 0.0);
        let limits = thread.usual_internal();
        assert!(limits.minor_min <= limits.minor_max);
        assert_eq!(
            read(ParsedThread::parse(text)).map(|written| written.thread),
            Some(thread)
        );
    }
    if let Some(drill) = read(Drill::parse(text)) {
        assert_eq!(Drill::parse(&drill.to_string()), Ok(drill), "{text:?}");
    }
    read(text.parse::<DrillKinds>());
    assert_round_trip::<Grade>(text);
    assert_round_trip::<Metal>(text);
    assert_round_trip::<Family>(text);
    if let Some(at) = read(text.parse::<TakenAt>()) {
        assert_eq!(at.to_string().parse().as_ref(), Ok(&at));
        assert_json_round_trip(&at);
    }
}

fn check_length(length: Length) {
    assert!(length.nm().abs() <= MAX_NM);
    assert_eq!(Length::parse(&length.exact(), None), Ok(length));
    assert_eq!(Length::from_mm(length.mm()), Ok(length));
    assert_json_round_trip(&length);
    // Rounded for display, it may exceed the longest length that is parsed.
    if length.nm().abs() > MAX_NM - NM_PER_MM {
        return;
    }
    // Half of the last digit shown: .01 mm, and .001 in.
    for (unit, most_off_nm) in [(Unit::Millimeter, 5_000), (Unit::Inch, 12_700)] {
        let shown = length.show(unit);
        let again = Length::parse(&shown, None).unwrap_or_else(|error| panic!("{shown}: {error}"));
        let off = (again.nm() - length.nm()).abs();
        assert!(off <= most_off_nm, "{} is shown as {shown}", length.exact());
    }
}

fn assert_round_trip<
    T: FromStr<Err: Display> + Display + PartialEq + Debug + Serialize + DeserializeOwned,
>(
    text: &str,
) {
    if let Some(value) = read(text.parse::<T>()) {
        let written = value.to_string();
        assert_eq!(
            read(written.parse::<T>()).as_ref(),
            Some(&value),
            "{written}"
        );
        assert_json_round_trip(&value);
    }
}

/// To JSON and back.
fn assert_json_round_trip<T: Serialize + DeserializeOwned + PartialEq + Debug>(value: &T) {
    let json = serde_json::to_string(value).expect("a value is written as JSON");
    let again: T = serde_json::from_str(&json).unwrap_or_else(|error| panic!("{json}: {error}"));
    assert_eq!(&again, value, "{json}");
}

/// The parsed value; a rejection must be one sentence.
fn read<T, E: Display>(result: Result<T, E>) -> Option<T> {
    result
        .map_err(|error| {
            let sentence = error.to_string();
            assert!(!sentence.is_empty() && sentence.len() < 1_000, "{sentence}");
        })
        .ok()
}

fn examples() -> Vec<Vec<u8>> {
    [
        "25/64",
        "1-1/8",
        "1 1/8 in",
        ".390",
        "#7",
        "No. 7",
        "U",
        "0.39\"",
        "9,9 mm",
        "15 thou",
        "\u{215c} in",
        "99999.999999 mm",
        "3/8-16 UNC-2B",
        "M10x1.5-6H",
        "M10",
        "3/8-24 SAE LH",
        "1/2 Whitworth",
        "G 1/2",
        "1/2-14 NPT",
        "#4-40 UNC",
        "drill X",
        "10.5 mm",
        "SAE J429 grade 5",
        "class 10.9",
        "ASTM A48 class 25",
        "steel of 60 ksi",
        "gray iron 200 MPa",
        "key-locking insert, thin wall",
        "2026-11-01T10:00:00+01:00",
        "fractions, letters",
        "1 7/64-8 UN",
        "BA 4",
        "Tr 20x4",
    ]
    .map(|text| text.as_bytes().to_vec())
    .into()
}
