//! The parts of a JPEG file that are kept.

use holebook_pixels::jpeg::{Layout, Segment, marker};
use holebook_pixels::{PictureError, icc};
use img_parts::jpeg::{Jpeg, JpegSegment};
use img_parts::{Bytes, ImageEXIF, ImageICC};

use super::Parts;
use super::exif::Exif;

/// What segments begin with (EXIF 3.0, ICC.1:2022 annex B.4, ISO/IEC 10918-5 and -6).
const EXIF: &[u8] = b"Exif\0\0";
const ICC: &[u8] = b"ICC_PROFILE\0";
const JFIF: &[u8] = b"JFIF\0";
const ADOBE: &[u8] = b"Adobe";
/// An ICC profile has 255 parts at most.
const MOST_ICC_PARTS: usize = 255;

/// The EXIF data, empty if there is none.
pub(super) fn exif<'a>(bytes: &'a [u8], layout: &Layout) -> &'a [u8] {
    let body = labeled(bytes, &layout.segments, marker::APP1, EXIF).next();
    body.map_or(&[], |body| &body[EXIF.len()..])
}

/// A new head with the metadata that is allowed, then tables, frame and scans as they are.
pub(super) fn parts(bytes: &[u8], layout: &Layout) -> Result<Parts, PictureError> {
    let mut parts = Parts::new(head(bytes, layout)?);
    for segment in &layout.segments {
        if is_picture(segment.marker) {
            parts.keep(segment.whole.clone());
        }
    }
    parts.keep(layout.end - 2..layout.end);
    Ok(parts)
}

/// A segment that is needed for decoding (ISO/IEC 10918-1, annex B).
const fn is_picture(marker: u8) -> bool {
    matches!(
        marker,
        // Frames, DHT and DAC.
        marker::SOF0..=marker::SOF15 if marker != marker::JPG
    ) || matches!(marker, marker::SOS..=marker::DRI)
}

/// Start of image, JFIF, EXIF, color profile and Adobe marker, as far as they are there.
fn head(bytes: &[u8], layout: &Layout) -> Result<Vec<u8>, PictureError> {
    let mut old = empty()?;
    let profile = labeled(bytes, &layout.segments, marker::APP2, ICC).take(MOST_ICC_PARTS + 1);
    old.segments_mut()
        .extend(profile.map(|body| {
            JpegSegment::new_with_contents(marker::APP2, Bytes::copy_from_slice(body))
        }));
    // Decoders look for these two before the first scan only.
    let scan = layout
        .segments
        .iter()
        .position(|one| one.marker == marker::SOS);
    let start = &layout.segments[..scan.unwrap_or_default()];
    let jfif = labeled(bytes, start, marker::APP0, JFIF).find_map(jfif);
    let adobe = labeled(bytes, start, marker::APP14, ADOBE).filter_map(adobe);

    let mut new = empty()?;
    new.segments_mut().extend(jfif);
    let profile = old.icc_profile().and_then(|profile| icc::clean(&profile));
    new.set_icc_profile(profile.map(Bytes::from));
    new.set_exif(Exif::read(exif(bytes, layout)).write().map(Bytes::from));
    new.segments_mut().extend(adobe.last());
    let mut head = Vec::from(new.encoder().bytes());
    // Without the end-of-image marker.
    head.truncate(head.len() - 2);
    Ok(head)
}

/// A file without segments.
fn empty() -> Result<Jpeg, PictureError> {
    let file = [0xFF, marker::SOI, 0xFF, marker::EOI];
    Jpeg::from_bytes(Bytes::copy_from_slice(&file)).map_err(PictureError::damaged)
}

/// Version and pixel density, without the thumbnail.
fn jfif(body: &[u8]) -> Option<JpegSegment> {
    let kept = body.get(..12).filter(|_| body.len() >= 14)?;
    let body = [kept, &[0, 0]].concat();
    Some(JpegSegment::new_with_contents(marker::APP0, body.into()))
}

/// The color transform; version and flags as libjpeg writes them.
fn adobe(body: &[u8]) -> Option<JpegSegment> {
    let transform = body.get(11)?;
    let body = [ADOBE, &[0, 100, 0, 0, 0, 0, *transform]].concat();
    Some(JpegSegment::new_with_contents(marker::APP14, body.into()))
}

/// The bodies of one marker's segments that begin with a label.
fn labeled<'a>(
    bytes: &'a [u8],
    segments: &[Segment],
    marker: u8,
    label: &'a [u8],
) -> impl Iterator<Item = &'a [u8]> {
    let bodies = segments
        .iter()
        .filter(move |segment| segment.marker == marker)
        .map(|segment| &bytes[segment.body.clone()]);
    bodies.filter(move |body| body.starts_with(label))
}
