//! A photo of a face as seen from straight above, in true scale.

use super::plane::{Bounds, PhotoPlane};
use crate::photo::{PhotoError, PhotoHash, PhotoStore};
use holebook_pixels::{Oblique, STRAIGHT_EDGE_PX};
use holebook_place::Point;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

/// One at a time: each takes up to 12 MB for the view and 17 MB for the picture made of it.
static ONE: Mutex<()> = Mutex::new(());

/// A part of a face as seen from straight above.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct StraightPicture {
    /// The JPEG file.
    pub jpeg: Vec<u8>,
    /// What it shows.
    pub bounds: Bounds,
    /// Its width, pixels.
    pub width_px: u32,
    /// Its height, pixels.
    pub height_px: u32,
}

/// A photo that pictures are made of.
pub struct Straightener<'a> {
    view: Oblique,
    path: PathBuf,
    plane: &'a PhotoPlane,
    /// Pixels of the view that one of the photo is.
    scale: f64,
}

impl<'a> Straightener<'a> {
    /// Decodes the view of a photo that is a map of its face.
    ///
    /// # Errors
    /// [`PhotoError`] if the photo cannot be read.
    pub fn open(
        photos: &PhotoStore,
        hash: &PhotoHash,
        plane: &'a PhotoPlane,
    ) -> Result<Self, PhotoError> {
        let path = photos.view(hash)?;
        let _one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = std::fs::read(&path).map_err(|error| PhotoError::storage(&path, error))?;
        let view = Oblique::of(&bytes).map_err(|error| PhotoError::picture(&path, error))?;
        Ok(Self {
            scale: f64::from(view.size().0) / plane.photo_width_px(),
            view,
            path,
            plane,
        })
    }

    /// Makes a picture of a part of the face, no finer than the view shows it. `fade` brings it that
    /// part of the way to white, to draw on.
    ///
    /// # Errors
    /// [`PhotoError`] if the part is empty or the picture cannot be written.
    pub fn picture(&self, bounds: Bounds, fade: f64) -> Result<StraightPicture, PhotoError> {
        let _one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
        let (wide, high) = (bounds.width_mm(), bounds.height_mm());
        let middle = Point::new(bounds.left_mm + wide / 2.0, bounds.bottom_mm + high / 2.0);
        let most = f64::from(STRAIGHT_EDGE_PX) / wide.max(high);
        let shown = self.plane.mm_a_pixel(middle);
        let a_mm = shown.map_or(most, |mm| (self.scale / mm).min(most));
        let pixels = |mm: f64| ((mm * a_mm).round() as u32).clamp(1, STRAIGHT_EDGE_PX);
        let (width_px, height_px) = (pixels(wide), pixels(high));
        let (right, down) = (wide / f64::from(width_px), high / f64::from(height_px));
        let source = |x: f64, y: f64| {
            let at = Point::new(bounds.left_mm + x * right, bounds.top_mm - y * down);
            let (px, py) = self.plane.pixel(at)?;
            Some((px * self.scale, py * self.scale))
        };
        let jpeg = self.view.straightened((width_px, height_px), fade, source);
        let jpeg = jpeg.map_err(|error| PhotoError::picture(&self.path, error))?;
        Ok(StraightPicture {
            jpeg,
            bounds,
            width_px,
            height_px,
        })
    }
}
