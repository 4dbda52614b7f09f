//! A photo in memory: what it says of itself, and the smaller pictures made of it.

use fast_image_resize::images::TypedImage;
use fast_image_resize::pixels::{InnerPixel, U8x3};
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::{DynamicImage, GrayImage, RgbImage};
use jpeg_encoder::{ColorType, Encoder};

use super::decode::{self, Decoded};
use super::error::Flaw;
use super::exif::{Facts, facts};
use super::format::Format;
use super::location::{Found, remove_from_jpeg, remove_from_png};
use super::{THUMBNAIL_EDGE_PX, VIEW_EDGE_PX, jpeg, png};

/// Quality of the view and the thumbnail, on the usual scale to 100 (common practice, no source).
const VIEW_QUALITY: u8 = 82;
const THUMBNAIL_QUALITY: u8 = 78;
/// Cameras' colour profiles are smaller; those of printing presses are not worth carrying.
const MOST_PROFILE_BYTES: usize = 16 * 1024;

/// A photo whose structure is whole and whose size is allowed.
pub(super) struct Picture {
    bytes: Vec<u8>,
    map: Map,
}

enum Map {
    Jpeg(jpeg::Map),
    Png(png::Map),
}

/// The view and the thumbnail, as JPEG files.
pub(super) struct Smaller {
    pub view: Vec<u8>,
    pub thumbnail: Vec<u8>,
}

impl Picture {
    /// Looks at the structure only; pixels may still turn out damaged.
    pub fn of(bytes: Vec<u8>) -> Result<Self, Flaw> {
        let map = match Format::of(&bytes)? {
            Format::Jpeg => Map::Jpeg(jpeg::Map::of(&bytes)?),
            Format::Png => Map::Png(png::Map::of(&bytes)?),
        };
        Ok(Self { bytes, map })
    }

    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    pub fn format(&self) -> Format {
        match self.map {
            Map::Jpeg(_) => Format::Jpeg,
            Map::Png(_) => Format::Png,
        }
    }

    /// Whether something follows the picture in its file.
    pub fn has_trailer(&self) -> bool {
        let end = match &self.map {
            Map::Jpeg(map) => map.end,
            Map::Png(map) => map.end,
        };
        end < self.bytes.len()
    }

    /// The same photo without whatever tells where it was taken, and whether there was any such thing.
    pub fn without_location(self) -> Result<(Self, Found), Flaw> {
        let length = self.bytes.len();
        let (bytes, found) = match &self.map {
            Map::Jpeg(map) => remove_from_jpeg(self.bytes, map),
            Map::Png(map) => remove_from_png(self.bytes, map),
        };
        // What was only overwritten is still where the map says.
        let picture = match bytes.len() == length {
            true => Self {
                bytes,
                map: self.map,
            },
            false => Self::of(bytes)?,
        };
        Ok((picture, found))
    }

    /// Which way up, and when taken.
    pub fn facts(&self) -> Facts {
        let exif = match &self.map {
            Map::Jpeg(map) => map.exif(&self.bytes),
            Map::Png(map) => map.data(b"eXIf"),
        };
        exif.map(|range| facts(&self.bytes[range]))
            .unwrap_or_default()
    }

    /// Width and height of the upright picture, in pixels.
    pub fn upright_size(&self) -> (u32, u32) {
        let (width, height) = self.stored_size();
        self.facts().upright_size(width, height)
    }

    fn stored_size(&self) -> (u32, u32) {
        match &self.map {
            Map::Jpeg(map) => (map.frame.width, map.frame.height),
            Map::Png(map) => (map.width, map.height),
        }
    }

    /// Whether its pixels can be read.
    pub fn decodes(self) -> bool {
        match &self.map {
            Map::Jpeg(map) => decode::jpeg(&self.bytes, map, 1).is_ok(),
            Map::Png(map) => decode::png(&self.bytes, map).is_ok(),
        }
    }

    /// Decodes the photo and makes its view and thumbnail, upright.
    pub fn smaller(&self) -> Result<Smaller, Flaw> {
        let Decoded { picture, profile } = match &self.map {
            Map::Jpeg(map) => decode::jpeg(&self.bytes, map, VIEW_EDGE_PX)?,
            Map::Png(map) => decode::png(&self.bytes, map)?,
        };
        let profile = profile.filter(|profile| is_worth_carrying(profile, &picture));
        let (width, height) = self.stored_size();
        let mut view = resized(in_8_bits(picture), fit(width, height, VIEW_EDGE_PX))?;
        // Turned only once it is small: fewer pixels to move.
        if let Some(orientation) = self.facts().orientation {
            view.apply_orientation(orientation);
        }
        let (width, height) = self.upright_size();
        let view_file = packed(&view, VIEW_QUALITY, profile.as_deref())?;
        let thumbnail = resized(view, fit(width, height, THUMBNAIL_EDGE_PX))?;
        let thumbnail = packed(&thumbnail, THUMBNAIL_QUALITY, profile.as_deref())?;
        Ok(Smaller {
            view: view_file,
            thumbnail,
        })
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

/// A picture in 8 bits, made smaller.
fn resized(picture: DynamicImage, to: (u32, u32)) -> Result<DynamicImage, Flaw> {
    let from = (picture.width(), picture.height());
    if from == to {
        return Ok(picture);
    }
    let is_grey = !picture.color().has_color();
    let samples = scaled(picture.into_rgb8().into_raw(), from, to)?;
    let smaller: Option<DynamicImage> = match is_grey {
        true => {
            let one_each = samples.into_iter().step_by(3).collect();
            GrayImage::from_raw(to.0, to.1, one_each).map(Into::into)
        }
        false => RgbImage::from_raw(to.0, to.1, samples).map(Into::into),
    };
    smaller.ok_or_else(|| decode::damaged("its size and its pixels do not agree"))
}

/// Red, green and blue, scaled. What was transparent lies on white by now, and grey comes as colour: the scaler is in the program once
/// for each kind of pixels and each way they are held, over 0.2 MB of a phone's library each. So there is one kind, and it is held in the
/// way that the scaler holds what lies between its two passes, though it reads it only.
fn scaled(
    mut samples: Vec<u8>,
    (width, height): (u32, u32),
    to: (u32, u32),
) -> Result<Vec<u8>, Flaw> {
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom))
        .use_alpha(false);
    let mut smaller = vec![0; to.0 as usize * to.1 as usize * U8x3::size()];
    let from =
        TypedImage::<U8x3>::from_buffer(width, height, &mut samples).map_err(decode::damaged)?;
    let mut into = TypedImage::from_buffer(to.0, to.1, &mut smaller).map_err(decode::damaged)?;
    Resizer::new()
        .resize_typed(&from, &mut into, &options)
        .map_err(decode::damaged)?;
    Ok(smaller)
}

/// One sample a pixel if it is grey, else red, green and blue.
fn in_8_bits(picture: DynamicImage) -> DynamicImage {
    match picture.color().has_color() {
        true => picture.into_rgb8().into(),
        false => picture.into_luma8().into(),
    }
}

/// A profile that the view needs: one for the kind of pixels it has, small, and not sRGB, which is taken for granted.
fn is_worth_carrying(profile: &[u8], picture: &DynamicImage) -> bool {
    let space: &[u8] = match picture.color().has_color() {
        true => b"RGB ",
        false => b"GRAY",
    };
    let says = |name: &[u8]| super::words::holds(profile, name);
    profile.len() <= MOST_PROFILE_BYTES
        && profile.get(16..20) == Some(space)
        && !says(b"sRGB")
        && !says(b"\0s\0R\0G\0B")
}

/// Packed as baseline JPEG, without metadata.
fn packed(picture: &DynamicImage, quality: u8, profile: Option<&[u8]>) -> Result<Vec<u8>, Flaw> {
    let samples = picture.as_bytes();
    let mut bytes = Vec::with_capacity(samples.len() / 8);
    let mut encoder = Encoder::new(&mut bytes, quality);
    if let Some(profile) = profile {
        encoder.add_icc_profile(profile).map_err(decode::damaged)?;
    }
    let kind = match picture.color().has_color() {
        true => ColorType::Rgb,
        false => ColorType::Luma,
    };
    let (width, height) = (picture.width() as u16, picture.height() as u16);
    encoder
        .encode(samples, width, height, kind)
        .map_err(decode::damaged)?;
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
