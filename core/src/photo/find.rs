//! Finds holes in a stored photo.

use super::error::PhotoError;
use super::hash::PhotoHash;
use super::store::PhotoStore;
use holebook_find::{FindError, Picture, Point, Proposal, propose};
use holebook_pixels::Gray;

/// Long edge of the picture that is searched: enough for holes that are a hundredth of it.
const EDGE_PX: u32 = 2048;

/// A rim in a photo that may be a hole: a question for a person, who confirms or drops it.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct ProposedHole {
    /// Its center, pixels to the right in the upright photo.
    pub x_px: f64,
    /// Its center, pixels down.
    pub y_px: f64,
    /// Diameter of its rim, pixels.
    pub diameter_px: f64,
    /// From 0 to 1: how many of such proposals are holes, on generated pictures.
    pub sureness: f64,
}

/// Why holes could not be looked for.
#[derive(Debug, thiserror::Error)]
pub enum FindHolesError {
    /// The photo cannot be read.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// Nothing can be found with these marks.
    #[error(transparent)]
    Find(#[from] FindError),
}

impl PhotoStore {
    /// Proposes the holes of a photo that look like those at `marks`, which are positions in pixels
    /// of the upright photo, within a radius of their holes' centers. Surest first.
    ///
    /// Blocks while the photo is decoded and searched: some tenths of a second of processor for 12
    /// megapixels.
    ///
    /// # Errors
    /// [`FindHolesError`] if the photo cannot be read, or if there is no rim around the marks.
    pub fn find_holes(
        &self,
        hash: &PhotoHash,
        marks: &[(f64, f64)],
    ) -> Result<Vec<ProposedHole>, FindHolesError> {
        let searched = Searched::open(self, hash)?;
        let marks: Vec<Point> = marks.iter().map(|&mark| searched.inward(mark)).collect();
        let found = propose(&searched.picture, &marks)?;
        Ok(found.iter().map(|it| searched.outward(it)).collect())
    }
}

/// The reduced picture that is searched.
struct Searched {
    picture: Picture,
    /// Pixels of the upright photo that one of the picture is.
    reduced: f64,
}

impl Searched {
    fn open(store: &PhotoStore, hash: &PhotoHash) -> Result<Self, FindHolesError> {
        let Gray {
            width,
            height,
            samples,
            reduced,
        } = store.gray(hash, EDGE_PX)?;
        let picture = Picture::new(width, height, &samples)?;
        Ok(Self { picture, reduced })
    }

    fn inward(&self, (x, y): (f64, f64)) -> Point {
        Point {
            x: x / self.reduced,
            y: y / self.reduced,
        }
    }

    fn outward(&self, found: &Proposal) -> ProposedHole {
        ProposedHole {
            x_px: found.rim.center.x * self.reduced,
            y_px: found.rim.center.y * self.reduced,
            diameter_px: found.rim.diameter() * self.reduced,
            sureness: found.sureness,
        }
    }
}
