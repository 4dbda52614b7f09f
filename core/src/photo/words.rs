//! Finding words that tell where a photo was taken, in metadata that is not taken apart further.

use std::ops::Range;

/// Words of a position on the earth, in any kind of metadata.
const POSITION: [&str; 4] = ["gps", "latitude", "longitude", "geotag"];

/// Properties of XMP that name a place: those of the IPTC Photo Metadata Standard 2023.1 (city, state, country,
/// location created and shown, sublocation, world region) and the older ones of the same names.
const PLACE: [&str; 9] = [
    "location",
    ":city",
    ":state",
    ":country",
    ":provincestate",
    "worldregion",
    "geo:lat",
    "geo:lon",
    "geo:point",
];

/// Whether `bytes` name a position. Letters of either case count.
///
/// Three letters turn up by chance in packed data; then a block is dropped that a photo does not need.
pub(super) fn speaks_of_position(bytes: &[u8]) -> bool {
    holds_any(bytes, &POSITION)
}

/// Whether an XMP packet names a position or a place.
pub(super) fn speaks_of_place(xmp: &[u8]) -> bool {
    speaks_of_position(xmp) || holds_any(xmp, &PLACE)
}

fn holds_any(bytes: &[u8], words: &[&str]) -> bool {
    let lower = bytes.to_ascii_lowercase();
    words.iter().any(|word| holds(&lower, word.as_bytes()))
}

/// Whether `word` stands anywhere in `bytes`.
pub(super) fn holds(bytes: &[u8], word: &[u8]) -> bool {
    memchr::memmem::find(bytes, word).is_some()
}

/// Fills a range, as far as it lies within `bytes`.
pub(super) fn blank(bytes: &mut [u8], range: Range<usize>, with: u8) {
    let end = range.end.min(bytes.len());
    if let Some(part) = bytes.get_mut(range.start.min(end)..end) {
        part.fill(with);
    }
}
