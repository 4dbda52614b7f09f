//! Names on a shelf: of stretches, photos, lines and devices.

use super::{Reader, chain, names};
use holebook_core::exchange::Stretch;
use holebook_core::notebook::{DeviceId, EntryId, Head, LineHash};
use holebook_core::photo::PhotoHash;
use std::fmt::Display;
use std::path::{Component, Path};
use std::str::FromStr;

pub const READER: Reader = Reader {
    name: "stretch",
    give,
    examples,
};

/// A name that is taken is written just so again, and leads nowhere but into its folder.
fn give(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let device = names::device(1);
    if let Some(stretch) = Stretch::from_file_name(device, text) {
        assert_eq!(stretch.device, device);
        assert_eq!(stretch.file_name(), text);
        stays_within(text, 1);
        check(&stretch);
    }
    if let Ok(stretch) = text.parse::<Stretch>() {
        assert_eq!(stretch.to_string(), text);
        stays_within(text, 3);
        check(&stretch);
    }
    same_again::<PhotoHash>(text);
    same_again::<LineHash>(text);
    if let Ok(hash) = text.parse::<PhotoHash>() {
        stays_within(&hash.to_string(), 1);
    }
    for id in [
        text.parse::<DeviceId>().map(|id| id.to_string()),
        text.parse::<EntryId>().map(|id| id.to_string()),
    ]
    .into_iter()
    .flatten()
    {
        stays_within(&id, 1);
    }
}

fn check(stretch: &Stretch) {
    assert!(1 <= stretch.first && stretch.first <= stretch.last);
    assert!(i64::try_from(stretch.last).is_ok());
    assert_eq!(stretch.to_string().parse().as_ref(), Ok(stretch));
}

/// Whether a text that reads as `T` is the very text that `T` writes.
fn same_again<T: FromStr + Display>(text: &str) {
    if let Ok(read) = text.parse::<T>() {
        assert_eq!(read.to_string(), text);
    }
}

/// So many plain names, one below the other.
fn stays_within(name: &str, parts: usize) {
    let mut components = Path::new(name).components();
    assert!(
        components.all(|part| matches!(part, Component::Normal(_))),
        "{name:?}"
    );
    assert_eq!(name.split(['/', '\\']).count(), parts, "{name:?}");
}

fn examples() -> Vec<Vec<u8>> {
    let lines = chain::sample(names::device(1));
    let last = lines.last().expect("the sample has lines");
    let end = Head {
        device: names::device(1),
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let stretch = Stretch::to(&end, 1);
    [
        stretch.to_string(),
        stretch.file_name(),
        last.hash().to_string(),
        PhotoHash::of(b"a photo").to_string(),
        names::device(1).to_string(),
        "journal/../../000000000001-000000000001-0123456789abcdef.jsonl".to_owned(),
    ]
    .map(String::into_bytes)
    .into()
}
