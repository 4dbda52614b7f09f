//! A photo's brightness alone, for finding holes in it.

use crate::decode::decode;
use crate::{Layout, Orientation, PictureError, upright_size};

/// The brightness of an upright picture.
pub struct Gray {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// One sample a pixel, row by row.
    pub samples: Vec<u8>,
    /// How many pixels of the upright photo one of these is.
    pub reduced: f64,
}

impl Gray {
    /// Decodes a photo's brightness, upright, reduced by a whole power of two while its long edge
    /// stays at least `edge` pixels.
    ///
    /// # Errors
    /// [`PictureError::Damaged`] or [`PictureError::RareJpeg`] if it cannot be decoded.
    pub fn of(
        bytes: &[u8],
        layout: &Layout,
        orientation: Option<Orientation>,
        edge: u32,
    ) -> Result<Self, PictureError> {
        // Gray first: turning it moves a third of the samples.
        let mut picture =
            image::DynamicImage::from(decode(bytes, layout, edge)?.picture.into_luma8());
        if let Some(orientation) = orientation {
            picture.apply_orientation(orientation);
        }
        let picture = picture.into_luma8();
        let (full, _) = upright_size(layout, orientation);
        Ok(Self {
            width: picture.width(),
            height: picture.height(),
            reduced: f64::from(full) / f64::from(picture.width()),
            samples: picture.into_raw(),
        })
    }
}
