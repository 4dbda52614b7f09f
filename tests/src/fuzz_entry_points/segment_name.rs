//! Names on a remote: of segments, photos, lines and devices.

use super::{FuzzEntryPoint, fixed_ids, journal_writer};
use holebook_core::notebook::{DeviceId, EntryId, Head, LineHash};
use holebook_core::photo::PhotoHash;
use holebook_core::sync::Segment;
use std::fmt::Display;
use std::path::{Component, Path};
use std::str::FromStr;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "segment_name",
    run,
    examples,
};

/// An accepted name is written back identically, and never leaves its folder.
fn run(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let device = fixed_ids::device(1);
    if let Some(segment) = Segment::from_file_name(device, text) {
        assert_eq!(segment.device, device);
        assert_eq!(segment.file_name(), text);
        assert_plain_path(text, 1);
        check(&segment);
    }
    if let Ok(segment) = text.parse::<Segment>() {
        assert_eq!(segment.to_string(), text);
        assert_plain_path(text, 3);
        check(&segment);
    }
    assert_round_trip::<PhotoHash>(text);
    assert_round_trip::<LineHash>(text);
    if let Ok(hash) = text.parse::<PhotoHash>() {
        assert_plain_path(&hash.to_string(), 1);
    }
    for id in [
        text.parse::<DeviceId>().map(|id| id.to_string()),
        text.parse::<EntryId>().map(|id| id.to_string()),
    ]
    .into_iter()
    .flatten()
    {
        assert_plain_path(&id, 1);
    }
}

fn check(segment: &Segment) {
    assert!(1 <= segment.first && segment.first <= segment.last);
    assert!(i64::try_from(segment.last).is_ok());
    assert_eq!(segment.to_string().parse().as_ref(), Ok(segment));
}

/// Text that parses as `T` is exactly what `T` writes.
fn assert_round_trip<T: FromStr + Display>(text: &str) {
    if let Ok(read) = text.parse::<T>() {
        assert_eq!(read.to_string(), text);
    }
}

/// A path of this many plain names, one below the other.
fn assert_plain_path(name: &str, parts: usize) {
    let mut components = Path::new(name).components();
    assert!(
        components.all(|part| matches!(part, Component::Normal(_))),
        "{name:?}"
    );
    assert_eq!(name.split(['/', '\\']).count(), parts, "{name:?}");
}

fn examples() -> Vec<Vec<u8>> {
    let lines = journal_writer::sample(fixed_ids::device(1));
    let last = lines.last().expect("the sample has lines");
    let end = Head {
        device: fixed_ids::device(1),
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let segment = Segment::ending_at(&end, 1);
    [
        segment.to_string(),
        segment.file_name(),
        last.hash().to_string(),
        PhotoHash::of(b"a photo").to_string(),
        fixed_ids::device(1).to_string(),
        "journal/../../000000000001-000000000001-0123456789abcdef.jsonl".to_owned(),
    ]
    .map(String::into_bytes)
    .into()
}
