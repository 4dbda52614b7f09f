//! Decodes a file into pixels.
//!
//! Two JPEG decoders share the work, both in Rust alone, so that a phone's build needs no other
//! tools. One is faster at full size, and is called directly since `image` would let it skip
//! damage. The other makes a half, a quarter or an eighth while it decodes, so that 108 megapixels
//! are never held in memory, and it returns all four colors of a print file as they are.

use std::panic::{AssertUnwindSafe, catch_unwind};

use image::{DynamicImage, GrayImage, RgbImage};
use jpeg_decoder::PixelFormat;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::deadline::Timed;
use crate::reduced_png::{self, Reduced};
use crate::{Layout, PictureError, jpeg, png as structure};

/// The most memory for the coefficients of a progressive JPEG, all of which must be held: 80
/// megapixels in gray, 53 with a quarter of the detail of color, as cameras store it.
const MOST_COEFFICIENT_BYTES: u64 = 160_000_000;
/// The most memory for coefficients and decoded samples together. The decoder holds the samples
/// twice, color by color and then together.
const MOST_DECODER_BYTES: u64 = 172_000_000;
/// The sizes, as fractions of the full one, that a JPEG can be decoded to.
const REDUCTIONS: [u32; 4] = [8, 4, 2, 1];

/// A picture as it is stored, not yet upright, and the color profile that its file carries.
pub(crate) struct Decoded {
    pub picture: DynamicImage,
    pub profile: Option<Vec<u8>>,
}

/// Decodes a picture whose long edge should have at least `wanted` pixels, if it has that many.
pub(crate) fn decode(bytes: &[u8], layout: &Layout, wanted: u32) -> Result<Decoded, PictureError> {
    match layout {
        Layout::Jpeg(layout) => jpeg(bytes, layout, wanted),
        Layout::Png(layout) => png(bytes, layout, wanted),
    }
}

/// Decodes a JPEG file, gray or in color, with a long edge of at least `wanted` if it has that
/// many.
fn jpeg(bytes: &[u8], layout: &jpeg::Layout, wanted: u32) -> Result<Decoded, PictureError> {
    if layout.frame.coefficient_bytes() > MOST_COEFFICIENT_BYTES {
        return Err(PictureError::RareJpeg(
            "progressive, and too large to be held in memory",
        ));
    }
    let reducible = layout.frame.width.max(layout.frame.height) >= 2 * wanted;
    guarded(|| match reducible || layout.frame.components == 4 {
        true => jpeg_reduced(bytes, layout, wanted),
        false => jpeg_in_full(bytes, layout),
    })
}

/// Decodes a PNG file row by row, made smaller meanwhile.
fn png(bytes: &[u8], layout: &structure::Layout, wanted: u32) -> Result<Decoded, PictureError> {
    guarded(|| {
        let Reduced { picture, profile } =
            reduced_png::decode(Timed::new(&bytes[..layout.end()]), wanted)?;
        Ok(Decoded { picture, profile })
    })
}

/// Turns a panic of a decoder into an error: a damaged file must not end the program.
fn guarded<T>(decode: impl FnOnce() -> Result<T, PictureError>) -> Result<T, PictureError> {
    catch_unwind(AssertUnwindSafe(decode))
        .unwrap_or_else(|_| Err(PictureError::Damaged("its decoder failed".into())))
}

fn jpeg_in_full(bytes: &[u8], layout: &jpeg::Layout) -> Result<Decoded, PictureError> {
    let (width, height) = (layout.frame.width, layout.frame.height);
    let space = match layout.frame.components {
        1 => ColorSpace::Luma,
        _ => ColorSpace::RGB,
    };
    // Strict, or else missing pixels would be gray. Stray bytes between segments are harmless, but
    // strict rejects them.
    let options = DecoderOptions::default()
        .set_strict_mode(!layout.has_stray_bytes)
        .set_max_width(width as usize)
        .set_max_height(height as usize)
        .jpeg_set_out_colorspace(space);
    let mut decoder =
        zune_jpeg::JpegDecoder::new_with_options(ZCursor::new(&bytes[..layout.end]), options);
    let samples = decoder.decode().map_err(PictureError::damaged)?;
    let picture = match space {
        ColorSpace::Luma => gray(width, height, samples),
        _ => color(width, height, samples),
    };
    Ok(Decoded {
        picture: picture?,
        profile: decoder.icc_profile(),
    })
}

fn jpeg_reduced(bytes: &[u8], layout: &jpeg::Layout, wanted: u32) -> Result<Decoded, PictureError> {
    let mut decoder = jpeg_decoder::Decoder::new(Timed::new(&bytes[..layout.end]));
    // The decoder stops at the first edge that is long enough, so only the long edge is named.
    let wanted = u16::try_from(affordable(&layout.frame, wanted)).unwrap_or(u16::MAX);
    let (wide, high) = if layout.frame.width >= layout.frame.height {
        (wanted, u16::MAX)
    } else {
        (u16::MAX, wanted)
    };
    let (width, height) = decoder.scale(wide, high).map_err(PictureError::damaged)?;
    let (width, height) = (width.into(), height.into());
    let samples = decoder.decode().map_err(PictureError::damaged)?;
    let picture = match decoder.info().map(|info| info.pixel_format) {
        Some(PixelFormat::L8) => gray(width, height, samples),
        Some(PixelFormat::RGB24) => color(width, height, samples),
        Some(PixelFormat::CMYK32) => color(width, height, ink_to_light(samples)),
        _ => Err(PictureError::RareJpeg("more than 8 bits a color")),
    };
    Ok(Decoded {
        picture: picture?,
        profile: decoder.icc_profile(),
    })
}

/// Halves the wanted edge until the coefficients and the decoded samples fit into memory together.
fn affordable(frame: &jpeg::Frame, wanted: u32) -> u32 {
    let samples = |wanted: u32| {
        let long = frame.width.max(frame.height);
        let mut reductions = REDUCTIONS.into_iter();
        let by = reductions.find(|by| long.div_ceil(*by) >= wanted);
        let scaled = |side: u32| u64::from(side.div_ceil(by.unwrap_or(1)));
        scaled(frame.width) * scaled(frame.height) * u64::from(frame.components)
    };
    let bytes = |wanted: u32| frame.coefficient_bytes() + 2 * samples(wanted);
    let fits = |wanted: &u32| bytes(*wanted) <= MOST_DECODER_BYTES;
    let mut halves = (0..4).map(|half| wanted >> half);
    halves.find(fits).unwrap_or(1)
}

fn gray(width: u32, height: u32, samples: Vec<u8>) -> Result<DynamicImage, PictureError> {
    let picture = GrayImage::from_raw(width, height, samples);
    picture.map(Into::into).ok_or_else(too_few)
}

fn color(width: u32, height: u32, samples: Vec<u8>) -> Result<DynamicImage, PictureError> {
    let picture = RgbImage::from_raw(width, height, samples);
    picture.map(Into::into).ok_or_else(too_few)
}

fn too_few() -> PictureError {
    PictureError::Damaged("its size and its pixels do not agree".into())
}

/// Cyan, magenta, yellow and black ink to red, green and blue light, without the press's profile.
///
/// Print programs store the values inverted; the decoder has already undone that.
fn ink_to_light(mut samples: Vec<u8>) -> Vec<u8> {
    let light =
        |ink: u8, black: u8| ((u32::from(255 - ink) * u32::from(255 - black) + 127) / 255) as u8;
    let pixels = samples.len() / 4;
    for pixel in 0..pixels {
        let [c, m, y, k] = [0, 1, 2, 3].map(|ink| samples[4 * pixel + ink]);
        // The three written samples never reach the next pixel, which is still to be read.
        samples[3 * pixel..][..3].copy_from_slice(&[light(c, k), light(m, k), light(y, k)]);
    }
    samples.truncate(3 * pixels);
    samples
}
