//! The smaller pictures made of a photo: its view and its thumbnail, upright.

use fast_image_resize::images::TypedImage;
use fast_image_resize::pixels::{InnerPixel, U8x3};
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::{DynamicImage, GrayImage, RgbImage};
use jpeg_encoder::{ColorType, Encoder};

use crate::decode::{Decoded, decode};
use crate::{Layout, Orientation, PictureError, THUMBNAIL_EDGE_PX, VIEW_EDGE_PX, icc};

/// Quality of the view and the thumbnail, on the usual scale to 100 (common practice, no source).
const VIEW_QUALITY: u8 = 82;
const THUMBNAIL_QUALITY: u8 = 78;
/// Cameras' color profiles are smaller; those of printing presses are not worth carrying.
const MOST_PROFILE_BYTES: usize = 16 * 1024;

/// The view and the thumbnail, as JPEG files without metadata.
pub struct Previews {
    /// Long edge [`VIEW_EDGE_PX`] at most.
    pub view: Vec<u8>,
    /// Long edge [`THUMBNAIL_EDGE_PX`] at most.
    pub thumbnail: Vec<u8>,
}

impl Previews {
    /// Decodes the photo and makes its view and thumbnail, upright.
    ///
    /// # Errors
    /// [`PictureError::Damaged`] or [`PictureError::RareJpeg`] if it cannot be decoded.
    pub fn of(
        bytes: &[u8],
        layout: &Layout,
        orientation: Option<Orientation>,
    ) -> Result<Self, PictureError> {
        let Decoded { picture, profile } = decode(bytes, layout, VIEW_EDGE_PX)?;
        let profile = profile.filter(|profile| is_worth_carrying(profile, &picture));
        let profile = profile.and_then(|profile| icc::clean(&profile));
        let (width, height) = layout.stored_size();
        let mut view = resized(in_8_bits(picture), fit(width, height, VIEW_EDGE_PX))?;
        // Turned only once it is small: fewer pixels to move.
        if let Some(orientation) = orientation {
            view.apply_orientation(orientation);
        }
        let (width, height) = upright_size(layout, orientation);
        let view_file = encoded(&view, VIEW_QUALITY, profile.as_deref())?;
        let thumbnail = resized(view, fit(width, height, THUMBNAIL_EDGE_PX))?;
        let thumbnail = encoded(&thumbnail, THUMBNAIL_QUALITY, profile.as_deref())?;
        Ok(Self {
            view: view_file,
            thumbnail,
        })
    }
}

impl Layout {
    /// Whether the pixels can be decoded.
    #[must_use]
    pub fn decodes(&self, bytes: &[u8]) -> bool {
        decode(bytes, self, 1).is_ok()
    }
}

/// Width and height of the upright picture, in pixels.
#[must_use]
pub const fn upright_size(layout: &Layout, orientation: Option<Orientation>) -> (u32, u32) {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    let (width, height) = layout.stored_size();
    match orientation {
        Some(Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH) => (height, width),
        _ => (width, height),
    }
}

/// The largest size of the same shape whose long edge is at most `edge`; never larger than it was.
fn fit(width: u32, height: u32, edge: u32) -> (u32, u32) {
    let long = width.max(height);
    if long <= edge {
        return (width, height);
    }
    let scaled = |side: u32| {
        let side =
            (u64::from(side) * u64::from(edge) * 2 + u64::from(long)) / (u64::from(long) * 2);
        (side as u32).max(1)
    };
    (scaled(width), scaled(height))
}

/// Scales a picture of 8 bits down.
fn resized(picture: DynamicImage, to: (u32, u32)) -> Result<DynamicImage, PictureError> {
    let from = (picture.width(), picture.height());
    if from == to {
        return Ok(picture);
    }
    let is_gray = !picture.color().has_color();
    let samples = scaled(picture.into_rgb8().into_raw(), from, to)?;
    let smaller: Option<DynamicImage> = match is_gray {
        true => {
            let one_each = samples.into_iter().step_by(3).collect();
            GrayImage::from_raw(to.0, to.1, one_each).map(Into::into)
        }
        false => RgbImage::from_raw(to.0, to.1, samples).map(Into::into),
    };
    smaller.ok_or_else(|| PictureError::damaged("its size and its pixels do not agree"))
}

/// Scales red, green and blue samples. Gray is converted to color first: the scaler is compiled
/// once for each pixel type and container, over 0.2 MB of a phone's library each. So there is one
/// type, and its container is the one that the scaler uses between its two passes.
fn scaled(
    mut samples: Vec<u8>,
    (width, height): (u32, u32),
    to: (u32, u32),
) -> Result<Vec<u8>, PictureError> {
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom))
        .use_alpha(false);
    let mut smaller = vec![0; to.0 as usize * to.1 as usize * U8x3::size()];
    let from = TypedImage::<U8x3>::from_buffer(width, height, &mut samples)
        .map_err(PictureError::damaged)?;
    let mut into =
        TypedImage::from_buffer(to.0, to.1, &mut smaller).map_err(PictureError::damaged)?;
    Resizer::new()
        .resize_typed(&from, &mut into, &options)
        .map_err(PictureError::damaged)?;
    Ok(smaller)
}

/// Converts to 8 bits: one sample a pixel if it is gray, else red, green and blue.
fn in_8_bits(picture: DynamicImage) -> DynamicImage {
    match picture.color().has_color() {
        true => picture.into_rgb8().into(),
        false => picture.into_luma8().into(),
    }
}

/// Whether the view needs a profile: one for its kind of pixels, small, and not sRGB, which is the
/// default.
fn is_worth_carrying(profile: &[u8], picture: &DynamicImage) -> bool {
    let space: &[u8] = match picture.color().has_color() {
        true => b"RGB ",
        false => b"GRAY",
    };
    let contains = |name: &[u8]| memchr::memmem::find(profile, name).is_some();
    profile.len() <= MOST_PROFILE_BYTES
        && profile.get(16..20) == Some(space)
        && !contains(b"sRGB")
        && !contains(b"\0s\0R\0G\0B")
}

/// Encodes as baseline JPEG, without metadata.
fn encoded(
    picture: &DynamicImage,
    quality: u8,
    profile: Option<&[u8]>,
) -> Result<Vec<u8>, PictureError> {
    let samples = picture.as_bytes();
    let mut bytes = Vec::with_capacity(samples.len() / 8);
    let mut encoder = Encoder::new(&mut bytes, quality);
    if let Some(profile) = profile {
        encoder
            .add_icc_profile(profile)
            .map_err(PictureError::damaged)?;
    }
    let kind = match picture.color().has_color() {
        true => ColorType::Rgb,
        false => ColorType::Luma,
    };
    let (width, height) = (picture.width() as u16, picture.height() as u16);
    encoder
        .encode(samples, width, height, kind)
        .map_err(PictureError::damaged)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::fit;

    #[test]
    fn a_picture_keeps_its_shape_and_never_grows() {
        assert_eq!(fit(4000, 3000, 2048), (2048, 1536));
        assert_eq!(fit(3000, 4000, 320), (240, 320));
        assert_eq!(fit(4032, 3024, 2048), (2048, 1536));
        assert_eq!(fit(100, 50, 320), (100, 50));
        assert_eq!(fit(100_000, 3, 2048), (2048, 1));
    }
}
