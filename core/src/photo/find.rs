//! Finds holes in a stored photo.

use super::error::PhotoError;
use super::hash::PhotoHash;
use super::store::PhotoStore;
use holebook_find::{
    Expected, FindError, Look, Pattern, Picture, Point, Rim, propose, propose_on_pattern, snap,
};
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

/// Where a hole of the wanted pattern must be in a photo, and the rim that was found there: a
/// question for a person, who confirms or drops it.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct ExpectedHole {
    /// Its number in the pattern.
    pub number: u32,
    /// Where it must be by the marked ones, pixels to the right in the upright photo.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// The true center is within this of there, 95 times in 100, if it is where the pattern says.
    pub radius95_px: f64,
    /// The rim that was found; `None`: nothing like a hole shows there.
    pub rim: Option<ProposedHole>,
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
        let found = found.iter();
        Ok(found
            .map(|it| searched.outward(&it.rim, it.sureness))
            .collect())
    }

    /// Proposes a place for every hole of a pattern that is not marked. `holes` are the pattern's
    /// numbers and places in mm, `error_mm` is how far a real hole may be from its place, one standard
    /// deviation; `marks` are numbers and positions in pixels of the upright photo.
    ///
    /// Blocks as [`PhotoStore::find_holes`] does.
    ///
    /// # Errors
    /// [`FindHolesError`] if the photo cannot be read, fewer than two holes of the pattern are marked,
    /// or there is no rim around the marks.
    pub fn find_on_pattern(
        &self,
        hash: &PhotoHash,
        holes: &[(u32, f64, f64)],
        error_mm: f64,
        marks: &[(u32, f64, f64)],
    ) -> Result<Vec<ExpectedHole>, FindHolesError> {
        let searched = Searched::open(self, hash)?;
        let pattern = Pattern {
            places: holes.iter().map(|(_, x, y)| (*x, *y)).collect(),
            error: error_mm,
        };
        let known = marks.iter().filter_map(|(number, x, y)| {
            let place = holes.iter().position(|hole| hole.0 == *number)?;
            Some((place, searched.inward((*x, *y))))
        });
        let known: Vec<(usize, Point)> = known.collect();
        let found = propose_on_pattern(&searched.picture, &pattern, &known)?;
        let expected = found.iter().map(|it| searched.expected(it, holes));
        Ok(expected.collect())
    }

    /// Returns the hole whose rim is around a point, within a radius of its center. `alike` are the
    /// marks of other holes in the same photo.
    ///
    /// Blocks as [`PhotoStore::find_holes`] does.
    ///
    /// # Errors
    /// [`FindHolesError`] if the photo cannot be read, or if there is no rim around the point.
    pub fn snap_to_hole(
        &self,
        hash: &PhotoHash,
        at: (f64, f64),
        alike: &[(f64, f64)],
    ) -> Result<ProposedHole, FindHolesError> {
        let searched = Searched::open(self, hash)?;
        let alike: Vec<Point> = alike.iter().map(|&mark| searched.inward(mark)).collect();
        // Without others that look alike, the size is found too, less surely.
        let look = Look::learn(&searched.picture, &alike).ok();
        let rim = snap(&searched.picture, searched.inward(at), look.as_ref())?;
        Ok(searched.outward(&rim, 1.0))
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

    fn expected(&self, found: &Expected, holes: &[(u32, f64, f64)]) -> ExpectedHole {
        ExpectedHole {
            number: holes[found.place].0,
            x_px: found.center.x * self.reduced,
            y_px: found.center.y * self.reduced,
            radius95_px: found.radius95_px * self.reduced,
            rim: found
                .rim
                .map(|(rim, sureness)| self.outward(&rim, sureness)),
        }
    }

    fn outward(&self, rim: &Rim, sureness: f64) -> ProposedHole {
        ProposedHole {
            x_px: rim.center.x * self.reduced,
            y_px: rim.center.y * self.reduced,
            diameter_px: rim.diameter() * self.reduced,
            sureness,
        }
    }
}
