//! From packed bytes to pixels.
//!
//! Two JPEG decoders share the work, both in Rust alone, so that a phone's build needs no other tools. One is faster at
//! full size, and is called by itself since `image` would let it pass over damage. The other makes a half, a quarter or
//! an eighth while it decodes, so that 108 megapixels never lie in memory, and it hands out all four colours of a print
//! file as they are.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use image::codecs::png::PngDecoder;
use image::{
    DynamicImage, GrayImage, ImageBuffer, ImageDecoder, Limits, Pixel, Primitive, RgbImage,
};
use jpeg_decoder::PixelFormat;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::error::Flaw;
use super::{LARGEST_PICTURE_PIXELS, jpeg, png as structure};

/// The most that a PNG may take: four colours of 16 bits.
const MOST_PNG_BYTES: u64 = 8 * LARGEST_PICTURE_PIXELS;

/// A picture as it is stored, not yet upright, and the colour profile that its file carries.
pub(super) struct Decoded {
    pub picture: DynamicImage,
    pub profile: Option<Vec<u8>>,
}

/// Pixels of a JPEG file, grey or in colour, with a long edge of at least `wanted` if it has that many.
pub(super) fn jpeg(bytes: &[u8], map: &jpeg::Map, wanted: u32) -> Result<Decoded, Flaw> {
    let reducible = map.frame.width.max(map.frame.height) >= 2 * wanted;
    guarded(|| match reducible || map.frame.components == 4 {
        true => jpeg_reduced(bytes, map, wanted),
        false => jpeg_in_full(bytes, map),
    })
}

/// All pixels of a PNG file, in 8 or 16 bits. Transparent parts are laid on white, as on paper.
pub(super) fn png(bytes: &[u8], map: &structure::Map) -> Result<Decoded, Flaw> {
    guarded(|| {
        let mut limits = Limits::default();
        limits.max_alloc = Some(MOST_PNG_BYTES);
        let mut decoder =
            PngDecoder::with_limits(Cursor::new(&bytes[..map.end]), limits).map_err(damaged)?;
        let profile = decoder.icc_profile().map_err(damaged)?;
        let mut picture = DynamicImage::from_decoder(decoder).map_err(damaged)?;
        match &mut picture {
            DynamicImage::ImageLumaA8(pixels) => lay_on_white(pixels),
            DynamicImage::ImageRgba8(pixels) => lay_on_white(pixels),
            DynamicImage::ImageLumaA16(pixels) => lay_on_white(pixels),
            DynamicImage::ImageRgba16(pixels) => lay_on_white(pixels),
            _ => {}
        }
        Ok(Decoded { picture, profile })
    })
}

/// In place, for there may be many.
fn lay_on_white<P: Pixel>(pixels: &mut ImageBuffer<P, Vec<P::Subpixel>>) {
    for pixel in pixels.pixels_mut() {
        let mut paper = pixel.map(|_| P::Subpixel::DEFAULT_MAX_VALUE);
        paper.blend(pixel);
        *pixel = paper;
    }
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

fn jpeg_in_full(bytes: &[u8], map: &jpeg::Map) -> Result<Decoded, Flaw> {
    let (width, height) = (map.frame.width, map.frame.height);
    let space = match map.frame.components {
        1 => ColorSpace::Luma,
        _ => ColorSpace::RGB,
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
    let picture = match space {
        ColorSpace::Luma => grey(width, height, samples),
        _ => colour(width, height, samples),
    };
    Ok(Decoded {
        picture: picture?,
        profile: decoder.icc_profile(),
    })
}

fn jpeg_reduced(bytes: &[u8], map: &jpeg::Map, wanted: u32) -> Result<Decoded, Flaw> {
    let mut decoder = jpeg_decoder::Decoder::new(&bytes[..map.end]);
    // The decoder stops at the first edge that is long enough, so only the long edge is named.
    let wanted = u16::try_from(wanted).unwrap_or(u16::MAX);
    let (wide, high) = if map.frame.width >= map.frame.height {
        (wanted, u16::MAX)
    } else {
        (u16::MAX, wanted)
    };
    let (width, height) = decoder.scale(wide, high).map_err(damaged)?;
    let (width, height) = (width.into(), height.into());
    let samples = decoder.decode().map_err(damaged)?;
    let picture = match decoder.info().map(|info| info.pixel_format) {
        Some(PixelFormat::L8) => grey(width, height, samples),
        Some(PixelFormat::RGB24) => colour(width, height, samples),
        Some(PixelFormat::CMYK32) => colour(width, height, ink_to_light(samples)),
        _ => Err(Flaw::RareJpeg("more than 8 bits a colour")),
    };
    Ok(Decoded {
        picture: picture?,
        profile: decoder.icc_profile(),
    })
}

fn grey(width: u32, height: u32, samples: Vec<u8>) -> Result<DynamicImage, Flaw> {
    let picture = GrayImage::from_raw(width, height, samples);
    picture.map(Into::into).ok_or_else(too_few)
}

fn colour(width: u32, height: u32, samples: Vec<u8>) -> Result<DynamicImage, Flaw> {
    let picture = RgbImage::from_raw(width, height, samples);
    picture.map(Into::into).ok_or_else(too_few)
}

fn too_few() -> Flaw {
    Flaw::Damaged("its size and its pixels do not agree".into())
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
