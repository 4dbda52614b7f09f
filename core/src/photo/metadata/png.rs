//! The parts of a PNG file that are kept.

use std::collections::BTreeSet;

use holebook_pixels::png::Layout;
use holebook_pixels::{PictureError, icc};
use img_parts::png::{Png, PngChunk};
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

/// Signature and `IHDR` as they are, color profile and EXIF as far as they are there.
fn head(bytes: &[u8], layout: &Layout) -> Result<Vec<u8>, PictureError> {
    let signature = Bytes::copy_from_slice(&bytes[..8]);
    let mut old = Png::from_bytes(signature.clone()).map_err(PictureError::damaged)?;
    let profile = Bytes::copy_from_slice(data(bytes, layout, *b"iCCP"));
    old.chunks_mut().push(PngChunk::new(*b"iCCP", profile));

    let mut new = Png::from_bytes(signature).map_err(PictureError::damaged)?;
    let profile = old.icc_profile().and_then(|profile| icc::clean(&profile));
    new.set_icc_profile(profile.map(Bytes::from));
    let exif = Exif::read(data(bytes, layout, *b"eXIf")).write();
    new.set_exif(exif.map(Bytes::from));
    Ok([&bytes[..START], &new.encoder().bytes()[8..]].concat())
}
