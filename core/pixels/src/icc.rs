//! Color profiles (ICC.1:2022): what colors need is kept, everything else is removed.

use std::ops::Range;

/// The largest profile that is kept; those of printing presses have 1 to 3 MB.
pub const MOST_BYTES: usize = 4 << 20;
/// Header (7.2), and the number of tags after it (7.3).
const HEADER: usize = 128;
const TABLE: usize = HEADER + 4;
/// Signature, offset and size of one tag.
const ENTRY: usize = 12;
/// More tags than any profile has.
const MOST_TAGS: usize = 100;

/// Tags that say which colors are meant (9.2), and the profile's own name and copyright, which
/// every profile must have. Private tags and dictionaries can hold anything.
const KEPT: [&[u8; 4]; 33] = [
    b"A2B0", b"A2B1", b"A2B2", b"B2A0", b"B2A1", b"B2A2", b"B2D0", b"B2D1", b"B2D2", b"B2D3",
    b"D2B0", b"D2B1", b"D2B2", b"D2B3", b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC",
    b"kTRC", b"wtpt", b"bkpt", b"chad", b"chrm", b"cicp", b"gamt", b"lumi", b"pre0", b"pre1",
    b"pre2", b"desc", b"cprt",
];

/// Returns the profile reduced to its color tags, or `None` if this is not a profile.
///
/// Kept data keeps its offset; removed data becomes zeros. So a profile with nothing to remove is
/// returned byte for byte, and cleaning twice changes nothing.
#[must_use]
pub fn clean(profile: &[u8]) -> Option<Vec<u8>> {
    let size = number(profile, 0)?;
    let profile = profile.get(..size).filter(|_| size <= MOST_BYTES)?;
    let count = number(profile, HEADER)?;
    let entries = profile.get(TABLE..TABLE + ENTRY * count.min(MOST_TAGS))?;
    if profile.get(36..40) != Some(b"acsp") || count > MOST_TAGS {
        return None;
    }
    let kept: Vec<&[u8]> = entries
        .chunks_exact(ENTRY)
        .filter(|entry| KEPT.iter().any(|tag| entry.starts_with(*tag)))
        .collect();
    let mut cleaned = vec![0; size];
    cleaned[..100].copy_from_slice(&profile[..100]);
    cleaned[HEADER..TABLE].copy_from_slice(&(kept.len() as u32).to_be_bytes());
    let data = TABLE + ENTRY * kept.len();
    cleaned[TABLE..data].copy_from_slice(&kept.concat());
    for entry in kept {
        let range = data_range(entry, TABLE + entries.len())?;
        let data = profile.get(range.clone())?;
        cleaned[range].copy_from_slice(data);
    }
    if cleaned != profile {
        // The digest of the whole profile (7.2.18); zero: not calculated.
        cleaned[84..100].fill(0);
    }
    Some(cleaned)
}

/// The position of a tag's data, if that is after the table.
fn data_range(entry: &[u8], table_end: usize) -> Option<Range<usize>> {
    let start = number(entry, 4)?;
    let end = start.checked_add(number(entry, 8)?)?;
    (start >= table_end).then_some(start..end)
}

fn number(bytes: &[u8], at: usize) -> Option<usize> {
    let four = bytes.get(at..)?.first_chunk()?;
    usize::try_from(u32::from_be_bytes(*four)).ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    /// A profile with these tags, their data one after another.
    fn profile(tags: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
        let mut profile = vec![7; HEADER];
        profile[36..40].copy_from_slice(b"acsp");
        profile[100..].fill(0);
        profile.extend((tags.len() as u32).to_be_bytes());
        let mut at = TABLE + ENTRY * tags.len();
        for (tag, data) in tags {
            profile.extend(*tag);
            profile.extend((at as u32).to_be_bytes());
            profile.extend((data.len() as u32).to_be_bytes());
            at += data.len();
        }
        tags.iter().for_each(|(_, data)| profile.extend(*data));
        profile[..4].copy_from_slice(&(at as u32).to_be_bytes());
        profile
    }

    #[test]
    fn a_profile_with_nothing_to_remove_stays_byte_for_byte() {
        let whole = profile(&[(b"wtpt", &[1; 20]), (b"desc", b"a wide one")]);
        assert_eq!(clean(&whole), Some(whole));
    }

    #[test]
    fn private_tags_and_slack_become_zeros() {
        let mut dirty = profile(&[(b"wtpt", &[1; 20]), (b"GPSp", b"48 S"), (b"cprt", b"none")]);
        dirty.extend(b"48 S");
        let cleaned = clean(&dirty).unwrap();
        assert!(
            !cleaned
                .windows(4)
                .any(|four| four == b"48 S" || four == b"GPSp")
        );
        assert!(cleaned.windows(20).any(|data| data == [1; 20]));
        assert_eq!(cleaned[HEADER..TABLE], 2_u32.to_be_bytes());
        assert_eq!(clean(&cleaned), Some(cleaned));
    }

    #[test]
    fn what_is_no_profile_is_none() {
        for bytes in [&b"exif:GPSLatitude"[..], &[0; 200], &profile(&[])[..131]] {
            assert_eq!(clean(bytes), None);
        }
        let mut outside = profile(&[(b"wtpt", &[1; 20])]);
        outside[TABLE + 4..TABLE + 8].copy_from_slice(&4_u32.to_be_bytes());
        assert_eq!(clean(&outside), None, "its data is in its header");
    }

    proptest! {
        #[test]
        fn cleaning_twice_changes_nothing(
            data in prop::collection::vec(any::<u8>(), 0..40),
            changes in prop::collection::vec((0_usize..200, any::<u8>()), 0..6),
        ) {
            let mut bytes = profile(&[(b"rXYZ", &data), (b"priv", &data), (b"rTRC", &data)]);
            for (at, byte) in changes {
                let length = bytes.len();
                bytes[at % length] = byte;
            }
            if let Some(cleaned) = clean(&bytes) {
                prop_assert_eq!(clean(&cleaned), Some(cleaned.clone()));
            }
        }
    }
}
