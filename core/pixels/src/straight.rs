//! A picture of a flat face as seen from straight above, made of an oblique one.

use crate::decode::decode;
use crate::{Layout, PictureError, VIEW_EDGE_PX};
use image::RgbImage;
use jpeg_encoder::{ColorType, Encoder};

/// Quality of the picture, on the usual scale to 100 (common practice, no source).
const QUALITY: u8 = 85;
/// The longest edge of a straightened picture, pixels.
pub const STRAIGHT_EDGE_PX: u32 = 2_400;

/// An upright picture, decoded: at most [`VIEW_EDGE_PX`] along its long edge, 12 MB.
pub struct Oblique {
    picture: RgbImage,
}

impl Oblique {
    /// Decodes a view, which is upright and small: see [`crate::Previews`].
    ///
    /// # Errors
    /// [`PictureError::Damaged`] or [`PictureError::RareJpeg`] if it cannot be decoded.
    pub fn of(view: &[u8]) -> Result<Self, PictureError> {
        let layout = Layout::of(view)?;
        let picture = decode(view, &layout, VIEW_EDGE_PX)?.picture.into_rgb8();
        Ok(Self { picture })
    }

    /// Width and height, pixels.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.picture.dimensions()
    }

    /// Makes a picture of `size`, at most [`STRAIGHT_EDGE_PX`] along its long edge, as a JPEG file:
    /// `source` says which place of the view, from 0 to its width and height, is shown at a place of
    /// the new picture. White where the view has none. `fade` brings every sample that part of the
    /// way to white.
    ///
    /// # Errors
    /// [`PictureError::Damaged`] if the size has no pixels or too many.
    pub fn straightened(
        &self,
        (width, height): (u32, u32),
        fade: f64,
        source: impl Fn(f64, f64) -> Option<(f64, f64)>,
    ) -> Result<Vec<u8>, PictureError> {
        if width.min(height) == 0 || width.max(height) > STRAIGHT_EDGE_PX {
            return Err(PictureError::damaged(
                "the straightened picture has no usable size",
            ));
        }
        let mut samples = Vec::with_capacity(width as usize * height as usize * 3);
        for y in 0..height {
            for x in 0..width {
                let at = source(f64::from(x) + 0.5, f64::from(y) + 0.5);
                let color = at.and_then(|at| self.color(at)).unwrap_or([255.0; 3]);
                let faded = color.map(|it| (it + fade * (255.0 - it)).round() as u8);
                samples.extend_from_slice(&faded);
            }
        }
        let mut bytes = Vec::with_capacity(samples.len() / 8);
        Encoder::new(&mut bytes, QUALITY)
            .encode(&samples, width as u16, height as u16, ColorType::Rgb)
            .map_err(PictureError::damaged)?;
        Ok(bytes)
    }

    /// The color at a place, from the four pixels around it. `None` outside.
    fn color(&self, (x, y): (f64, f64)) -> Option<[f64; 3]> {
        let (width, height) = self.size();
        let inside =
            (0.0..=f64::from(width)).contains(&x) && (0.0..=f64::from(height)).contains(&y);
        if !inside {
            return None;
        }
        // Pixels have their middles at .5.
        let (x, y) = (
            (x - 0.5).clamp(0.0, f64::from(width - 1)),
            (y - 0.5).clamp(0.0, f64::from(height - 1)),
        );
        let (left, top) = (x as u32, y as u32);
        let (right, bottom) = ((left + 1).min(width - 1), (top + 1).min(height - 1));
        let (across, down) = (x - f64::from(left), y - f64::from(top));
        let at = |x: u32, y: u32| self.picture.get_pixel(x, y).0.map(f64::from);
        let (a, b) = (at(left, top), at(right, top));
        let (c, d) = (at(left, bottom), at(right, bottom));
        Some(std::array::from_fn(|k| {
            let above = a[k] + across * (b[k] - a[k]);
            let below = c[k] + across * (d[k] - c[k]);
            above + down * (below - above)
        }))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// A gray ramp to the right, 200 by 100.
    fn ramp() -> Oblique {
        let picture = RgbImage::from_fn(200, 100, |x, _| image::Rgb([x as u8; 3]));
        Oblique { picture }
    }

    fn decoded(jpeg: &[u8]) -> RgbImage {
        let layout = Layout::of(jpeg).unwrap();
        decode(jpeg, &layout, 4_096).unwrap().picture.into_rgb8()
    }

    #[test]
    fn a_place_shows_what_its_source_shows() {
        // Turned by half a turn, at half the size.
        let turned = |x: f64, y: f64| Some((200.0 - 2.0 * x, 100.0 - 2.0 * y));
        let jpeg = ramp().straightened((100, 50), 0.0, turned).unwrap();
        let picture = decoded(&jpeg);
        assert_eq!(picture.dimensions(), (100, 50));
        for x in [5_u32, 50, 95] {
            let shown = f64::from(picture.get_pixel(x, 25).0[0]);
            // The middle of pixel x shows 200 - 2 (x + .5), half a pixel less for the ramp.
            let wanted = 200.0 - 2.0 * (f64::from(x) + 0.5) - 0.5;
            assert!((shown - wanted).abs() < 4.0, "{x}: {shown}, not {wanted}");
        }
        let faded = ramp().straightened((100, 50), 0.5, turned).unwrap();
        let shown = f64::from(decoded(&faded).get_pixel(95, 25).0[0]);
        assert!((shown - 131.0).abs() < 4.0, "{shown}");
    }

    #[test]
    fn what_the_view_does_not_show_is_white() {
        let beside = |x: f64, y: f64| (x > 20.0).then_some((x + 150.0, y));
        let picture = decoded(&ramp().straightened((100, 50), 0.0, beside).unwrap());
        assert!(picture.get_pixel(4, 25).0[0] > 250, "no source");
        assert!(picture.get_pixel(90, 25).0[0] > 250, "beyond the edge");
        assert!(picture.get_pixel(35, 25).0[0] < 200);
    }

    #[test]
    fn sizes_are_bounded() {
        for size in [(0, 10), (10, 0), (STRAIGHT_EDGE_PX + 1, 10)] {
            assert!(ramp().straightened(size, 0.0, |_, _| None).is_err());
        }
        assert!(Oblique::of(b"no picture").is_err());
    }
}
