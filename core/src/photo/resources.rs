//! Image resource blocks (JPEG marker APP13) and the IPTC record within: captions, credits, and the names of places.
//!
//! Layout: each block is `8BIM`, a number, a name, a length and data. Block 0x0404 holds an IPTC record (IPTC-NAA
//! Information Interchange Model 4.2): datasets of 0x1C, record, dataset, length, data.

/// IPTC-NAA IIM 4.2, record 2: content location code and name, city, sublocation, province or state, country code and
/// name.
const PLACE_DATASETS: [u8; 7] = [26, 27, 90, 92, 95, 100, 101];

const IPTC: u16 = 0x0404;
/// A checksum of the IPTC record; it would not match any more.
const IPTC_DIGEST: u16 = 0x0425;
const EXIF: [u16; 2] = [0x0422, 0x0423];
const XMP: u16 = 0x0424;

struct Block<'a> {
    number: u16,
    /// With its head and its padding.
    whole: &'a [u8],
    /// Up to the length.
    head: &'a [u8],
    data: &'a [u8],
}

/// The first block, and the bytes behind it.
fn first_block(bytes: &[u8]) -> Option<(Block<'_>, &[u8])> {
    let number = u16::from_be_bytes(*bytes.get(4..)?.first_chunk()?);
    bytes.starts_with(b"8BIM").then_some(())?;
    let name = usize::from(*bytes.get(6)?) + 1;
    let head = 6 + name.next_multiple_of(2);
    let length = u32::from_be_bytes(*bytes.get(head..)?.first_chunk()?) as usize;
    let start = head + 4;
    let data = bytes.get(start..start.checked_add(length)?)?;
    let end = (start + length.next_multiple_of(2)).min(bytes.len());
    Some((
        Block {
            number,
            whole: &bytes[..end],
            head: &bytes[..head],
            data,
        },
        &bytes[end..],
    ))
}

/// All blocks; `None` if something else stands between them.
fn blocks(mut bytes: &[u8]) -> Option<Vec<Block<'_>>> {
    let mut found = Vec::new();
    while !bytes.iter().all(|byte| *byte == 0) {
        let (block, rest) = first_block(bytes)?;
        found.push(block);
        bytes = rest;
    }
    Some(found)
}

/// The datasets of an IPTC record, each with its head; `None` if it is not one.
fn datasets(mut bytes: &[u8]) -> Option<Vec<&[u8]>> {
    let mut found = Vec::new();
    while !bytes.iter().all(|byte| *byte == 0) {
        let [0x1C, _, _, high, low, ..] = *bytes else {
            return None;
        };
        let end = 5 + usize::from(u16::from_be_bytes([high, low]));
        found.push(bytes.get(..end)?);
        bytes = &bytes[end..];
    }
    Some(found)
}

fn names_place(dataset: &[u8]) -> bool {
    matches!(dataset, [_, 2, number, ..] if PLACE_DATASETS.contains(number))
}

/// Whether an IPTC record names a place, or cannot be read and so might.
pub(super) fn iptc_tells_place(bytes: &[u8]) -> bool {
    datasets(bytes).is_none_or(|all| all.into_iter().any(names_place))
}

fn tells_place(block: &Block<'_>) -> bool {
    match block.number {
        IPTC => iptc_tells_place(block.data),
        XMP => super::words::speaks_of_place(block.data),
        number if EXIF.contains(&number) => {
            super::exif::remove_location(&mut block.data.to_vec()).is_something()
        }
        _ => false,
    }
}

/// Whether any block tells of a place, or cannot be read and so might.
pub(super) fn block_tells_place(bytes: &[u8]) -> bool {
    blocks(bytes).is_none_or(|all| all.iter().any(tells_place))
}

/// The same blocks without places; `None` if there are none in it and it can stay as it is.
///
/// Blocks that cannot be read go altogether.
pub(super) fn without_places(bytes: &[u8]) -> Option<Vec<u8>> {
    let Some(all) = blocks(bytes) else {
        return Some(Vec::new());
    };
    if !all.iter().any(tells_place) {
        return None;
    }
    let mut left = Vec::with_capacity(bytes.len());
    for block in all.iter().filter(|block| block.number != IPTC_DIGEST) {
        match tells_place(block) {
            false => left.extend(block.whole),
            true if block.number == IPTC => left.extend(iptc_without_places(block)),
            true => {}
        }
    }
    Some(left)
}

/// The block of an IPTC record without its places; nothing if no dataset is left or it cannot be read.
fn iptc_without_places(block: &Block<'_>) -> Vec<u8> {
    let kept: Vec<_> = datasets(block.data)
        .unwrap_or_default()
        .into_iter()
        .filter(|one| !names_place(one))
        .collect();
    let data = kept.concat();
    if data.is_empty() {
        return Vec::new();
    }
    let mut bytes = [block.head, &(data.len() as u32).to_be_bytes()[..], &data].concat();
    bytes.resize(bytes.len().next_multiple_of(2), 0);
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dataset(number: u8, text: &[u8]) -> Vec<u8> {
        [&[0x1C, 2, number, 0, text.len() as u8], text].concat()
    }

    fn block(number: u16, data: &[u8]) -> Vec<u8> {
        let mut bytes = [
            &b"8BIM"[..],
            &number.to_be_bytes(),
            &[0, 0],
            &(data.len() as u32).to_be_bytes()[..],
            data,
        ]
        .concat();
        bytes.resize(bytes.len().next_multiple_of(2), 0);
        bytes
    }

    #[test]
    fn places_go_and_captions_stay() {
        let caption = dataset(120, b"Pump end, joint face");
        let record = [
            caption.clone(),
            dataset(90, b"Nowhere"),
            dataset(101, b"Noland"),
        ]
        .concat();
        let other = block(0x03ED, b"resolution12");
        let bytes = [
            block(IPTC, &record),
            other.clone(),
            block(IPTC_DIGEST, &[7; 16]),
        ]
        .concat();
        assert_eq!(
            without_places(&bytes),
            Some([block(IPTC, &caption), other].concat())
        );
    }

    #[test]
    fn blocks_without_places_are_not_touched() {
        let bytes = [
            block(IPTC, &dataset(120, b"odd")),
            block(IPTC_DIGEST, &[7; 16]),
        ]
        .concat();
        assert_eq!(without_places(&bytes), None);
    }

    #[test]
    fn blocks_that_cannot_be_read_go() {
        let mut bytes = block(IPTC, &dataset(90, b"Nowhere"));
        bytes.truncate(bytes.len() - 4);
        assert_eq!(without_places(&bytes), Some(Vec::new()));
        assert!(block_tells_place(&bytes));
    }
}
