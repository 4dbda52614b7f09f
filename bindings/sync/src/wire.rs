//! The HTTP protocol between a paired device and the shop computer, shared by client and server.
//!
//! ```text
//! POST /pair                          {"secret": .., "name": ..} -> {"token": .., "name": ..}
//! POST /pair/exchange                 {"message": ..} -> {"message": ..}
//! POST /pair/digits                   {"proof": .., "name": ..} -> {"proof": .., "token": .., "name": ..}
//! GET  /journal                       the listing, one item per line; its state is the ETag
//! GET  /journal/<device>/<file>?from= lines of that segment, starting at an entry number
//! PUT  /journal/<device>/<file>       lines of that segment
//! GET  /photos/<hash>                 a photo
//! PUT  /photos/<hash>                 a photo
//! POST /done                          the sync finished
//! ```
//!
//! A device pairs by the secret of a link, or by digits: then it exchanges messages with the shop
//! computer and proves over the same connection that it has their key ([`crate::exchange`]). Every
//! other request carries the device's token as `Authorization: Bearer`.

use holebook_core::notebook::MAX_LINE_BYTES;
use holebook_core::photo::PhotoHash;
use holebook_core::sync::{CHUNK_BYTES, Listing, Segment};
use serde::{Deserialize, Serialize};
use std::io::{self, BufRead};

pub(crate) const PAIR: &str = "/pair";
pub(crate) const PAIR_EXCHANGE: &str = "/pair/exchange";
pub(crate) const PAIR_DIGITS: &str = "/pair/digits";
pub(crate) const JOURNAL: &str = "/journal";
pub(crate) const DONE: &str = "/done";
pub(crate) const PHOTOS: &str = "photos/";
/// The query parameter with the number of the first entry to send.
pub(crate) const FROM: &str = "from";

/// The most bytes of lines in one request or response: a chunk plus one line of maximum length with
/// its line break.
pub(crate) const MAX_CHUNK_BYTES: u64 = (CHUNK_BYTES + MAX_LINE_BYTES + 1) as u64;
/// The most bytes of a pairing request, its response, and an error sentence.
pub(crate) const MAX_SMALL_BYTES: u64 = 4096;
/// The most bytes of a listing that are read: about 400,000 photos.
pub(crate) const MAX_LISTING_BYTES: u64 = 32 << 20;

/// The body of a pairing request: the secret of the pairing code, and the device's name.
#[derive(Serialize, Deserialize)]
pub(crate) struct PairRequest {
    pub secret: String,
    pub name: String,
}

/// The body of the response to a pairing request: the device's token, and the shop computer's name.
#[derive(Serialize, Deserialize)]
pub(crate) struct PairResponse {
    pub token: String,
    pub name: String,
}

/// The body of the request that begins pairing by digits, and of its response: a message of the key
/// exchange, in base64url.
#[derive(Serialize, Deserialize)]
pub(crate) struct ExchangeMessage {
    pub message: String,
}

/// The body of the request that ends pairing by digits: the device's proof, in base64url, and its name.
#[derive(Serialize, Deserialize)]
pub(crate) struct DigitsRequest {
    pub proof: String,
    pub name: String,
}

/// The body of the response to it: the shop computer's proof, and what every paired device gets.
#[derive(Serialize, Deserialize)]
pub(crate) struct DigitsResponse {
    pub proof: String,
    #[serde(flatten)]
    pub paired: PairResponse,
}

/// Writes a listing, one item per line: `journal/<device>/<file>` for a segment,
/// `photos/<hash> <bytes>` for a photo.
pub(crate) fn write_listing(listing: &Listing) -> String {
    let segments = listing
        .segments
        .iter()
        .map(|segment| format!("{segment}\n"));
    let photos = listing.photos.iter();
    let photos = photos.map(|(photo, bytes)| format!("{PHOTOS}{photo} {bytes}\n"));
    segments.chain(photos).collect()
}

/// Reads a listing written by [`write_listing`]. Unknown lines are skipped, since a newer shop
/// computer may send other items.
///
/// # Errors
/// If it cannot be read, is longer than [`MAX_LISTING_BYTES`], or is not UTF-8.
pub(crate) fn read_listing(from: impl BufRead, state: Option<String>) -> io::Result<Listing> {
    let mut listing = Listing {
        state,
        ..Listing::default()
    };
    let mut limited = from.take(MAX_LISTING_BYTES + 1);
    let mut line = String::new();
    while limited.read_line(&mut line)? > 0 {
        if let Ok(segment) = line.trim_end().parse::<Segment>() {
            listing.segments.insert(segment);
        } else if let Some((photo, bytes)) = parse_photo(line.trim_end()) {
            listing.photos.insert(photo, bytes);
        }
        line.clear();
    }
    if limited.limit() == 0 {
        return Err(io::Error::other("its listing is too long"));
    }
    Ok(listing)
}

fn parse_photo(line: &str) -> Option<(PhotoHash, u64)> {
    let (hash, bytes) = line.strip_prefix(PHOTOS)?.split_once(' ')?;
    Some((hash.parse().ok()?, bytes.parse().ok()?))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::notebook::{DeviceId, Head, LineHash};

    #[test]
    fn a_listing_round_trips() {
        let mut listing = Listing {
            state: Some("x".into()),
            ..Listing::default()
        };
        for seq in [1, 5, 900] {
            let (device, hash) = (DeviceId::fresh(), LineHash::of("line"));
            let head = Head { device, seq, hash };
            listing.segments.insert(Segment::ending_at(&head, 1));
            listing
                .photos
                .insert(PhotoHash::of(&seq.to_be_bytes()), seq);
        }
        let text = write_listing(&listing);
        let with_unknown = format!("{text}a line of a newer version\nphotos/../x 4\nphotos/ 3\n");
        for text in [&text, &with_unknown] {
            let read = read_listing(text.as_bytes(), Some("x".into())).unwrap();
            assert_eq!(read, listing);
        }
    }

    #[test]
    fn an_endless_listing_is_rejected() {
        let endless = io::BufReader::new(io::repeat(b'x'));
        assert!(read_listing(endless, None).is_err());
        let endless = io::BufReader::new(io::repeat(b'\n'));
        assert!(read_listing(endless, None).is_err());
    }
}
