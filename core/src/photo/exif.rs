//! What EXIF says that the notebook needs (which way up, when taken), and taking the position out of it.

use image::metadata::Orientation;

use super::jpeg;
use super::location::Found;
use super::resources;
use super::taken::TakenAt;
use super::tiff::{Directory, Entry, Purpose, Tiff, keep_entries, tag};
use super::words::{blank, speaks_of_place, speaks_of_position};

/// What is read from EXIF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Facts {
    /// Which way the camera was held (EXIF tag 0x0112).
    pub orientation: Option<Orientation>,
    pub taken_at: Option<TakenAt>,
}

impl Facts {
    /// Width and height of the upright picture, from those stored.
    pub const fn upright_size(self, width: u32, height: u32) -> (u32, u32) {
        use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
        match self.orientation {
            Some(Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH) => (height, width),
            _ => (width, height),
        }
    }
}

/// Reads the facts; what is not there or not understood is left at its default.
pub(super) fn facts(bytes: &[u8]) -> Facts {
    let Some(tiff) = Tiff::open(bytes) else {
        return Facts::default();
    };
    let directories = tiff.directories();
    let orientation = directories
        .first()
        .and_then(|first| first.entry(tag::ORIENTATION));
    let orientation =
        orientation.and_then(|entry| Orientation::from_exif(tiff.number(entry)?.try_into().ok()?));
    let text = |tag| {
        directories
            .iter()
            .find_map(|one| tiff.text(one.entry(tag)?))
    };
    let taken = |time, offset| TakenAt::from_exif(text(time)?, text(offset));
    Facts {
        orientation,
        taken_at: taken(tag::TIME_ORIGINAL, tag::OFFSET_ORIGINAL)
            .or_else(|| taken(tag::TIME_DIGITIZED, tag::OFFSET_DIGITIZED)),
    }
}

/// Tags by which surveying programs place a picture on the map (GeoTIFF 1.1, section 7; OGC 19-008r4).
const MAP_TAGS: [u16; 7] = [33550, 33922, 34264, 34735, 34736, 34737, 42112];

/// Overwrites every position in place, at every depth, and says whether there was one.
///
/// The directory of positions is wiped with all its values, the entry that points to it is taken out, and the rest
/// stays where it was, so that a maker's note with offsets of its own still reads.
pub(super) fn remove_location(bytes: &mut [u8]) -> Found {
    let Some(tiff) = Tiff::open(bytes) else {
        return Found::Nothing;
    };
    let thumbnails: Vec<_> = tiff
        .directories()
        .iter()
        .filter_map(|one| thumbnail(&tiff, one))
        .collect();
    let mut found = remove_own_location(bytes);
    for range in thumbnails {
        if let Some(thumbnail) = bytes.get_mut(range) {
            found |= jpeg::blank_positions(thumbnail);
        }
    }
    found
}

/// The same without the small picture within, which is a JPEG and could carry EXIF of its own.
pub(super) fn remove_own_location(bytes: &mut [u8]) -> Found {
    let Some(tiff) = Tiff::open(bytes) else {
        return Found::Nothing;
    };
    let (order, directories) = (tiff.order(), tiff.directories());
    let (positions, others): (Vec<_>, Vec<_>) = directories
        .into_iter()
        .partition(|one| one.purpose == Purpose::Position);
    let mut found = Found::Nothing;
    for directory in others {
        let keeps: Vec<bool> = directory
            .entries
            .iter()
            .map(|entry| !tells_place(bytes, entry))
            .collect();
        if keeps.iter().all(|keep| *keep) {
            continue;
        }
        let gone = directory
            .entries
            .iter()
            .zip(&keeps)
            .filter(|(_, keep)| !**keep);
        gone.for_each(|(entry, _)| wipe_value(bytes, entry));
        keep_entries(bytes, &directory, order, &keeps);
        found = Found::Something;
    }
    for directory in positions {
        directory
            .entries
            .iter()
            .for_each(|entry| wipe_value(bytes, entry));
        blank(bytes, directory.span(), 0);
        found = Found::Something;
    }
    found
}

fn tells_place(bytes: &[u8], entry: &Entry) -> bool {
    let value = bytes.get(entry.value.clone()).unwrap_or_default();
    match entry.tag {
        tag::GPS => true,
        tag::XMP => speaks_of_place(value),
        tag::IPTC => resources::iptc_tells_place(value),
        tag::RESOURCES => speaks_of_position(value) || resources::block_tells_place(value),
        other => MAP_TAGS.contains(&other),
    }
}

/// Zeroes a value, but never the header.
fn wipe_value(bytes: &mut [u8], entry: &Entry) {
    blank(bytes, entry.value.start.max(8)..entry.value.end, 0);
}

/// Where a directory's small picture stands.
fn thumbnail(tiff: &Tiff<'_>, directory: &Directory) -> Option<std::ops::Range<usize>> {
    let number = |tag| {
        tiff.number(directory.entry(tag)?)
            .map(|number| number as usize)
    };
    let (start, length) = (
        number(tag::THUMBNAIL_OFFSET)?,
        number(tag::THUMBNAIL_LENGTH)?,
    );
    Some(start..start.checked_add(length)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A picture's directory (orientation, GPS), one of positions with a value apart, and a second picture's directory.
    fn sample(big: bool) -> Vec<u8> {
        let two = |n: u16| {
            if big {
                n.to_be_bytes()
            } else {
                n.to_le_bytes()
            }
        };
        let four = |n: u32| {
            if big {
                n.to_be_bytes()
            } else {
                n.to_le_bytes()
            }
        };
        let entry = |tag, kind, count, value: [u8; 4]| {
            [&two(tag)[..], &two(kind), &four(count), &value].concat()
        };
        let short = |n| [two(n), [0, 0]].concat().try_into().unwrap_or_default();
        [
            if big { &b"MM\0*"[..] } else { b"II*\0" },
            &four(8),
            &two(2),
            &entry(tag::GPS, 4, 1, four(38)),
            &entry(tag::ORIENTATION, 3, 1, short(6)),
            &four(80),
            &two(1),
            &entry(2, 5, 3, four(56)),
            &four(0),
            &[0xAB; 24],
            &two(1),
            &entry(tag::ORIENTATION, 3, 1, short(1)),
            &four(0),
        ]
        .concat()
    }

    #[test]
    fn a_position_is_wiped_and_the_rest_stays_in_place() {
        for big in [false, true] {
            let mut bytes = sample(big);
            assert_eq!(facts(&bytes).orientation, Some(Orientation::Rotate90));
            assert_eq!(remove_location(&mut bytes), Found::Something);
            assert_eq!(bytes.len(), sample(big).len());
            assert!(
                bytes[38..80].iter().all(|byte| *byte == 0),
                "directory and value"
            );
            assert_eq!(bytes[80..], sample(big)[80..]);
            assert_eq!(facts(&bytes).orientation, Some(Orientation::Rotate90));
            let directories = Tiff::open(&bytes)
                .map(|tiff| tiff.directories())
                .unwrap_or_default();
            let entries: Vec<_> = directories.iter().map(|one| one.entries.len()).collect();
            assert_eq!(entries, [1, 1], "the way to the second directory is kept");
            assert_eq!(remove_location(&mut bytes), Found::Nothing);
        }
    }

    #[test]
    fn directories_that_lead_in_circles_come_to_an_end() {
        let mut bytes = sample(false);
        // The directory of positions is the picture's own.
        bytes[18..22].copy_from_slice(&8_u32.to_le_bytes());
        // The second picture's directory is followed by the first.
        let end = bytes.len() - 4;
        bytes[end..].copy_from_slice(&8_u32.to_le_bytes());
        assert_eq!(remove_location(&mut bytes), Found::Something);
    }

    proptest! {
        #[test]
        fn any_bytes_are_survived(
            big: bool,
            tail in prop::collection::vec(any::<u8>(), 0..200),
            changes in prop::collection::vec((4_usize..98, prop::sample::select(vec![0_u8, 1, 2, 8, 38, 80, 0x25, 0x69, 0x87, 0x88, 0xFF])), 0..12),
        ) {
            let mut bytes = sample(big);
            changes.iter().for_each(|(at, byte)| bytes[*at] = *byte);
            bytes.extend(tail);
            let length = bytes.len();
            let _ = facts(&bytes);
            let _ = remove_location(&mut bytes);
            prop_assert_eq!(bytes.len(), length);
            prop_assert_eq!(remove_location(&mut bytes), Found::Nothing, "nothing is left after once");
        }
    }
}
