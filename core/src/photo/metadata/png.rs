//! The parts of a PNG file that are kept.

use std::collections::BTreeSet;
use std::io::Read;

use flate2::read::ZlibDecoder;
use holebook_pixels::png::Layout;
use holebook_pixels::{PictureError, icc};
use img_parts::png::Png;
use img_parts::{Bytes, ImageEXIF, ImageICC};

use super::Parts;
use super::exif::Exif;

/// Signature, and the `IHDR` chunk with its 13 bytes.
const START: usize = 8 + 12 + 13;

/// The data of the first chunk of a type, empty if there is none.
pub(super) fn data<'a>(bytes: &'a [u8], layout: &Layout, kind: [u8; 4]) -> &'a [u8] {
    let chunk = layout.chunks.iter().find(|chunk| chunk.kind == kind);
    chunk.map_or(&[], |chunk| &bytes[chunk.data.clone()])
}

/// A new head with the metadata that is allowed, then the chunks of the picture as they are.
pub(super) fn parts(bytes: &[u8], layout: &Layout) -> Result<Parts, PictureError> {
    let mut parts = Parts::new(head(bytes, layout)?);
    let mut seen = BTreeSet::new();
    for chunk in layout.chunks.iter().skip(1) {
        let data = &bytes[chunk.data.clone()];
        if is_kept(&chunk.kind, data) && (&chunk.kind == b"IDAT" || seen.insert(chunk.kind)) {
            parts.keep(chunk.whole.clone());
        }
    }
    Ok(parts)
}

/// Whether a chunk is needed for the picture and its colors, or is a time; and no longer than it
/// may be (11.2 and 11.3).
fn is_kept(kind: &[u8; 4], data: &[u8]) -> bool {
    match kind {
        b"IDAT" => true,
        b"IEND" => data.is_empty(),
        b"PLTE" => data.len() <= 768,
        b"tRNS" => data.len() <= 256,
        b"cHRM" => data.len() == 32,
        b"mDCV" => data.len() == 24,
        b"cLLI" => data.len() == 8,
        b"gAMA" | b"cICP" => data.len() == 4,
        b"sBIT" => data.len() <= 4,
        b"sRGB" => data.len() == 1,
        b"tIME" => matches!(data, [_, _, 1..=12, 1..=31, ..=23, ..=59, ..=60]),
        _ => false,
    }
}

/// Inflates a color profile (11.3.2.3): name, method, and deflated bytes. `None` if there is none, or
/// it is larger than any that is kept: a chunk of 1 MB can inflate to 1 GB.
fn inflated_profile(chunk: &[u8]) -> Option<Vec<u8>> {
    let name = chunk.iter().position(|byte| *byte == 0)?;
    let deflated = chunk.get(name + 1..)?.strip_prefix(&[0])?;
    let mut profile = Vec::new();
    let most = icc::MOST_BYTES as u64 + 1;
    ZlibDecoder::new(deflated)
        .take(most)
        .read_to_end(&mut profile)
        .ok()?;
    (profile.len() <= icc::MOST_BYTES).then_some(profile)
}

/// Signature and `IHDR` as they are, color profile and EXIF as far as they are there.
fn head(bytes: &[u8], layout: &Layout) -> Result<Vec<u8>, PictureError> {
    let signature = Bytes::copy_from_slice(&bytes[..8]);
    let mut new = Png::from_bytes(signature).map_err(PictureError::damaged)?;
    let profile = inflated_profile(data(bytes, layout, *b"iCCP"));
    let profile = profile.and_then(|profile| icc::clean(&profile));
    new.set_icc_profile(profile.map(Bytes::from));
    let exif = Exif::read(data(bytes, layout, *b"eXIf")).write();
    new.set_exif(exif.map(Bytes::from));
    Ok([&bytes[..START], &new.encoder().bytes()[8..]].concat())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::io::Write;

    fn chunk(profile: &[u8]) -> Vec<u8> {
        let mut deflated = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        deflated.write_all(profile).unwrap();
        [b"name\0\0", &deflated.finish().unwrap()[..]].concat()
    }

    #[test]
    fn a_profile_that_inflates_without_end_is_left_out() {
        assert_eq!(
            inflated_profile(&chunk(b"a profile")).unwrap(),
            b"a profile"
        );
        let bomb = chunk(&vec![0; icc::MOST_BYTES + 1]);
        assert!(bomb.len() < 10_000);
        assert_eq!(inflated_profile(&bomb), None);
        assert_eq!(inflated_profile(b"no profile"), None);
        assert_eq!(inflated_profile(b""), None);
    }
}
