//! From packed bytes to pixels, no more of them than are wanted.
//!
//! Two JPEG decoders share the work, both in Rust alone, so that a phone's build needs no other tools. One is faster at
//! full size. The other makes a half, a quarter or an eighth while it decodes, so that 108 megapixels never lie in
//! memory, and it hands out all four colours of a print file as they are.

use std::panic::{AssertUnwindSafe, catch_unwind};

use jpeg_decoder::PixelFormat;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::error::Flaw;
use super::raster::{Raster, Tone};
use super::{jpeg, png as structure};

/// Pixels of a JPEG file, with a long edge of at least `wanted` if it has that many.
pub(super) fn jpeg(bytes: &[u8], map: &jpeg::Map, wanted: u32) -> Result<Raster, Flaw> {
    let reducible = map.frame.width.max(map.frame.height) >= 2 * wanted;
    guarded(|| match reducible || map.frame.components == 4 {
        true => jpeg_reduced(bytes, map, wanted),
        false => jpeg_in_full(bytes, map),
    })
}

/// Pixels of a PNG file, likewise; the colour profile, if it carries one, comes with them.
pub(super) fn png(
    bytes: &[u8],
    map: &structure::Map,
    wanted: u32,
) -> Result<(Raster, Option<Vec<u8>>), Flaw> {
    guarded(|| super::decode_png::read(bytes, map, wanted))
}

/// A decoder that trips over a damaged file must not take the program with it.
fn guarded<T>(decode: impl FnOnce() -> Result<T, Flaw>) -> Result<T, Flaw> {
    catch_unwind(AssertUnwindSafe(decode))
        .unwrap_or_else(|_| Err(Flaw::Damaged("its decoder gave up on it".into())))
}

/// What a decoder says becomes part of a sentence.
pub(super) fn damaged(why: impl std::fmt::Display) -> Flaw {
    let why = why.to_string();
    Flaw::Damaged(why.trim_end_matches(['.', '\n']).replace('\n', " "))
}

fn jpeg_in_full(bytes: &[u8], map: &jpeg::Map) -> Result<Raster, Flaw> {
    let (width, height) = (map.frame.width, map.frame.height);
    let (tone, space) = match map.frame.components {
        1 => (Tone::Grey, ColorSpace::Luma),
        _ => (Tone::Colour, ColorSpace::RGB),
    };
    // Strict, or else what is missing would come out grey. Strays between segments do no harm, but strict forbids them.
    let options = DecoderOptions::default()
        .set_strict_mode(!map.strays)
        .set_max_width(width as usize)
        .set_max_height(height as usize)
        .jpeg_set_out_colorspace(space);
    let mut decoder =
        zune_jpeg::JpegDecoder::new_with_options(ZCursor::new(&bytes[..map.end]), options);
    let samples = decoder.decode().map_err(damaged)?;
    checked(Raster {
        width,
        height,
        tone,
        samples,
    })
}

fn jpeg_reduced(bytes: &[u8], map: &jpeg::Map, wanted: u32) -> Result<Raster, Flaw> {
    let mut decoder = jpeg_decoder::Decoder::new(&bytes[..map.end]);
    // The decoder stops at the first edge that is long enough, so only the long edge is named.
    let wanted = u16::try_from(wanted).unwrap_or(u16::MAX);
    let (wide, high) = if map.frame.width >= map.frame.height {
        (wanted, u16::MAX)
    } else {
        (u16::MAX, wanted)
    };
    let (width, height) = decoder.scale(wide, high).map_err(damaged)?;
    let samples = decoder.decode().map_err(damaged)?;
    let format = decoder.info().map(|info| info.pixel_format);
    let (tone, samples) = match format {
        Some(PixelFormat::L8) => (Tone::Grey, samples),
        Some(PixelFormat::RGB24) => (Tone::Colour, samples),
        Some(PixelFormat::CMYK32) => (Tone::Colour, ink_to_light(samples)),
        _ => return Err(Flaw::RareJpeg("more than 8 bits a colour")),
    };
    checked(Raster {
        width: width.into(),
        height: height.into(),
        tone,
        samples,
    })
}

/// Cyan, magenta, yellow and black ink to red, green and blue light, without a profile of the press.
///
/// The decoder has already turned the values round, for print programs store them so.
fn ink_to_light(mut samples: Vec<u8>) -> Vec<u8> {
    let light =
        |ink: u8, black: u8| ((u32::from(255 - ink) * u32::from(255 - black) + 127) / 255) as u8;
    let pixels = samples.len() / 4;
    for pixel in 0..pixels {
        let [c, m, y, k] = [0, 1, 2, 3].map(|ink| samples[4 * pixel + ink]);
        // Three samples never reach past the four that were just read.
        samples[3 * pixel..][..3].copy_from_slice(&[light(c, k), light(m, k), light(y, k)]);
    }
    samples.truncate(3 * pixels);
    samples
}

/// Only a picture of the size that was promised is passed on.
pub(super) fn checked(picture: Raster) -> Result<Raster, Flaw> {
    let samples = u64::from(picture.width) * u64::from(picture.height) * picture.channels() as u64;
    match samples == picture.samples.len() as u64 && samples > 0 {
        true => Ok(picture),
        false => Err(Flaw::Damaged("its size and its pixels do not agree".into())),
    }
}
