//! EXIF (EXIF 3.0, in the layout of TIFF 6.0): the fields that are kept, read and written new.

use std::io::Cursor;

use chrono::{FixedOffset, NaiveDateTime};
use exif::experimental::Writer;
use exif::{Field, In, Reader, Tag, Value};
use holebook_pixels::Orientation;

use crate::photo::taken::TakenAt;

/// The most that fits in a JPEG segment behind its label; larger EXIF in PNG is not read.
const MOST_BYTES: usize = 0xFFFF - 2 - 6;
/// Cameras write three directories that others point to; the parser follows each.
const MOST_POINTERS: usize = 16;
/// The longest name of a make or model; cameras' names are shorter.
const MOST_NAME: usize = 64;

/// A text's canonical form, or `None` if it is not of its kind.
type Check = fn(&str) -> Option<String>;

/// The texts that are kept, each with what it must look like: no other text fits in.
const TEXTS: [(Tag, Check); 11] = [
    (Tag::Make, name),
    (Tag::Model, name),
    (Tag::DateTime, time),
    (Tag::DateTimeOriginal, time),
    (Tag::DateTimeDigitized, time),
    (Tag::OffsetTime, offset),
    (Tag::OffsetTimeOriginal, offset),
    (Tag::OffsetTimeDigitized, offset),
    (Tag::SubSecTime, fraction),
    (Tag::SubSecTimeOriginal, fraction),
    (Tag::SubSecTimeDigitized, fraction),
];

/// The allowed fields of a photo's EXIF.
pub(super) struct Exif {
    orientation: Option<u16>,
    texts: Vec<(Tag, String)>,
}

impl Exif {
    /// Reads the allowed fields; what is not there, not understood or not well-formed is left out.
    pub fn read(bytes: &[u8]) -> Self {
        let is_safe = bytes.len() <= MOST_BYTES && pointers(bytes) <= MOST_POINTERS;
        let read = Reader::new()
            .continue_on_error(true)
            .read_raw(if is_safe { bytes.to_vec() } else { Vec::new() })
            .or_else(|error| error.distill_partial_result(|_| {}));
        let Ok(exif) = read else {
            return Self {
                orientation: None,
                texts: Vec::new(),
            };
        };
        let value = |tag| exif.get_field(tag, In::PRIMARY).map(|field| &field.value);
        let orientation = value(Tag::Orientation).and_then(|value| value.get_uint(0));
        let text = |(tag, check): &(Tag, Check)| match value(*tag)? {
            Value::Ascii(texts) => {
                let text = std::str::from_utf8(texts.first()?).ok()?;
                Some((*tag, check(text.trim())?))
            }
            _ => None,
        };
        Self {
            orientation: orientation
                .filter(|turn| (1..=8).contains(turn))
                .map(|turn| turn as u16),
            texts: TEXTS.iter().filter_map(text).collect(),
        }
    }

    /// How the stored picture must be turned to be upright.
    pub fn orientation(&self) -> Option<Orientation> {
        Orientation::from_exif(self.orientation?.try_into().ok()?)
    }

    /// When the photo was taken, or else when it was digitized.
    pub fn taken_at(&self) -> Option<TakenAt> {
        let text = |tag| {
            let found = self.texts.iter().find(|(other, _)| *other == tag);
            found.map(|(_, text)| text.as_str())
        };
        let taken = |time, offset| TakenAt::from_exif(text(time)?, text(offset));
        taken(Tag::DateTimeOriginal, Tag::OffsetTimeOriginal)
            .or_else(|| taken(Tag::DateTimeDigitized, Tag::OffsetTimeDigitized))
    }

    /// EXIF with these fields and nothing else; `None` if there are none.
    pub fn write(&self) -> Option<Vec<u8>> {
        let field = |tag, value| Field {
            tag,
            ifd_num: In::PRIMARY,
            value,
        };
        let texts = self.texts.iter();
        let mut fields: Vec<Field> = texts
            .map(|(tag, text)| field(*tag, Value::Ascii(vec![text.clone().into_bytes()])))
            .collect();
        let orientation = self.orientation.map(|turn| Value::Short(vec![turn]));
        fields.extend(orientation.map(|value| field(Tag::Orientation, value)));
        if fields.is_empty() {
            return None;
        }
        // A must where there are times; the version that knows their offsets is 2.31.
        let version = Value::Undefined(b"0231".to_vec(), 0);
        fields.push(field(Tag::ExifVersion, version));
        let mut writer = Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut bytes = Cursor::new(Vec::new());
        writer.write(&mut bytes, true).ok()?;
        Some(bytes.into_inner())
    }
}

/// Counts what looks like a pointer to a directory, in either byte order. The parser takes memory
/// for all entries of each directory, and crafted ones overlap.
fn pointers(bytes: &[u8]) -> usize {
    let tags = [
        Tag::ExifIFDPointer,
        Tag::GPSInfoIFDPointer,
        Tag::InteropIFDPointer,
    ];
    let is_pointer = |window: &[u8]| {
        let [a, b, c, d] = [window[0], window[1], window[2], window[3]];
        let is = |tag, kind| tags.iter().any(|one| one.number() == tag) && (1..=13).contains(&kind);
        is(u16::from_be_bytes([a, b]), u16::from_be_bytes([c, d]))
            || is(u16::from_le_bytes([a, b]), u16::from_le_bytes([c, d]))
    };
    bytes.windows(4).filter(|window| is_pointer(window)).count()
}

/// A camera's make or model.
fn name(text: &str) -> Option<String> {
    let is_name = text.bytes().all(|byte| (b' '..=b'~').contains(&byte));
    (is_name && (1..=MOST_NAME).contains(&text.len())).then(|| text.to_owned())
}

/// `2026:05:06 07:08:09`.
fn time(text: &str) -> Option<String> {
    const FORM: &str = "%Y:%m:%d %H:%M:%S";
    let time = NaiveDateTime::parse_from_str(text, FORM).ok()?;
    let written = time.format(FORM).to_string();
    (written.len() == 19).then_some(written)
}

/// `+02:00`.
fn offset(text: &str) -> Option<String> {
    let offset: FixedOffset = text.parse().ok()?;
    let written = offset.to_string();
    (written.len() == 6).then_some(written)
}

/// Decimals of a second.
fn fraction(text: &str) -> Option<String> {
    let is_fraction = text.bytes().all(|byte| byte.is_ascii_digit());
    (is_fraction && (1..=9).contains(&text.len())).then(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn sample() -> Exif {
        let texts = ["Barn", "Barn Door 12", "2026:05:06 07:08:09"];
        let tags = [Tag::Make, Tag::Model, Tag::DateTimeOriginal];
        Exif {
            orientation: Some(6),
            texts: tags.into_iter().zip(texts.map(str::to_owned)).collect(),
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        let written = sample().write().unwrap();
        let read = Exif::read(&written);
        assert_eq!(read.texts, sample().texts);
        assert_eq!(read.orientation(), Some(Orientation::Rotate90));
        assert_eq!(read.taken_at().unwrap().to_string(), "2026-05-06T07:08:09");
        assert_eq!(read.write().unwrap(), written);
        assert_eq!(Exif::read(b"no EXIF").write(), None);
    }

    #[test]
    fn a_text_must_be_of_its_kind() {
        for (check, good, bad) in [
            (name as Check, "Barn Door 12", "Barn\nDoor"),
            (name, "B", ""),
            (time, "2026:05:06 07:08:09", "0000:00:00 00:00:00"),
            (time, "0099:12:31 23:59:59", "12026:05:06 07:08:09"),
            (offset, "-09:00", "48.876543"),
            (fraction, "123", "48.876543"),
            (fraction, "000000001", "4887654312"),
        ] {
            assert_eq!(check(good).as_deref(), Some(good));
            assert_eq!(check(bad), None, "{bad}");
        }
        assert_eq!(name(&"x".repeat(MOST_NAME + 1)), None);
    }

    /// Thousands of pointers to directories that overlap: the parser would take gigabytes for them.
    #[test]
    fn a_bomb_of_directories_is_not_parsed() {
        let mut bomb = b"II*\0\x08\0\0\0\xFF\x7F".to_vec();
        for at in 0..2_000_u32 {
            bomb.extend(b"\x69\x87\x04\0\x01\0\0\0");
            bomb.extend((10 + 6 * at).to_le_bytes());
        }
        bomb.resize(MOST_BYTES, 0xFF);
        assert!(pointers(&bomb) >= 2_000);
        assert!(Exif::read(&bomb).texts.is_empty());
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_without_panic(
            big: bool,
            changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12),
            tail in prop::collection::vec(any::<u8>(), 0..100),
        ) {
            let mut bytes = sample().write().unwrap();
            bytes.extend(tail);
            changes.iter().for_each(|(at, byte)| *at.get_mut(&mut bytes) = *byte);
            if big {
                bytes[..4].copy_from_slice(b"MM\0*");
            }
            if let Some(written) = Exif::read(&bytes).write() {
                prop_assert_eq!(Exif::read(&written).write(), Some(written));
            }
        }
    }
}
