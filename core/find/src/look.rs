//! What the holes of a picture look like, learned from those that a person marked.

use crate::FindError;
use crate::plane::Picture;
use crate::rays::Patch;
use crate::refine::{Fit, refine};
use crate::rim::{Point, Rim, Shape};
use crate::votes::{Window, peaks};

/// Votes are counted where a hole has a radius below this, in pixels.
pub(crate) const VOTING_RADIUS_PX: f64 = 16.0;
/// The smallest hole, and how much each size that is tried is larger than the one before.
const SMALLEST_RADIUS_PX: f64 = 4.0;
const SIZE_STEP: f64 = 1.22;
/// The largest hole, in parts of the picture's shorter side.
const LARGEST_RADIUS: f64 = 0.12;
/// A mark is this far off the center at most, in radii.
pub(crate) const MARK_REACH: f64 = 1.1;
/// Fits whose size differs from the median by more than this factor do not count.
const OUTLIER: f64 = 1.3;

/// The mean look of the marked holes.
pub struct Look {
    pub(crate) shape: Shape,
    pub(crate) rise: f64,
    pub(crate) contrast: f64,
    pub(crate) patch: Patch,
    /// The marks' rims; `None` where none was found.
    pub(crate) rims: Vec<Option<Rim>>,
}

impl Look {
    /// Learns the look from marks, each within a radius of its hole's center.
    ///
    /// # Errors
    /// If there is no mark, if one is outside the picture, or if no rim is found around them.
    pub fn learn(picture: &Picture, marks: &[Point]) -> Result<Self, FindError> {
        if marks.is_empty() {
            return Err(FindError::NoMarks);
        }
        check(picture, marks)?;
        let fits = best_size(picture, marks);
        let mut radii: Vec<f64> = fits
            .iter()
            .flatten()
            .map(|fit| fit.rim.shape.radius())
            .collect();
        radii.sort_by(f64::total_cmp);
        let median = *radii.get(radii.len() / 2).ok_or(FindError::NoRim)?;
        let is_usual = |fit: &&Fit| {
            let ratio = fit.rim.shape.radius() / median;
            (1.0 / OUTLIER..OUTLIER).contains(&ratio)
        };
        let usual: Vec<&Fit> = fits.iter().flatten().filter(is_usual).collect();
        let shapes: Vec<Shape> = usual.iter().map(|fit| fit.rim.shape).collect();
        let mean =
            |of: fn(&Fit) -> f64| usual.iter().map(|fit| of(fit)).sum::<f64>() / usual.len() as f64;
        Ok(Self {
            shape: Shape::mean(&shapes).ok_or(FindError::NoRim)?,
            rise: mean(|fit| fit.rise).max(0.05),
            contrast: mean(|fit| fit.contrast).max(0.05),
            patch: Patch::mean_of(usual.iter().map(|fit| &fit.patch)).ok_or(FindError::NoRim)?,
            rims: fits
                .iter()
                .map(|fit| fit.as_ref().filter(is_usual).map(|fit| fit.rim))
                .collect(),
        })
    }
}

/// Rejects marks that are not in the picture.
fn check(picture: &Picture, marks: &[Point]) -> Result<(), FindError> {
    match marks.iter().find(|mark| !picture.contains(**mark)) {
        Some(mark) => Err(FindError::OutsidePicture {
            x: mark.x,
            y: mark.y,
        }),
        None => Ok(()),
    }
}

/// The fits at the one size that suits all marks best: the holes of a face are mostly alike.
fn best_size(picture: &Picture, marks: &[Point]) -> Vec<Option<Fit>> {
    let largest = LARGEST_RADIUS * picture.width().min(picture.height());
    let mut best = (0.0, Vec::new());
    let mut radius = SMALLEST_RADIUS_PX;
    while radius <= largest {
        let shape = Shape::circle(radius);
        let fits: Vec<Option<Fit>> = marks
            .iter()
            .map(|&mark| near(picture, mark, shape, MARK_REACH))
            .collect();
        let together: f64 = fits
            .iter()
            .zip(marks)
            .filter_map(|(fit, &mark)| fit.as_ref().map(|fit| worth(fit, mark)))
            .sum();
        if together > best.0 {
            best = (together, fits);
        }
        radius *= SIZE_STEP;
    }
    best.1
}

/// The best rim near a point, within `reach` radii of it.
pub(crate) fn near(picture: &Picture, at: Point, shape: Shape, reach: f64) -> Option<Fit> {
    let (plane, scale) = picture.level(shape.radius(), VOTING_RADIUS_PX);
    let middle = Point {
        x: at.x * scale,
        y: at.y * scale,
    };
    let window = Window::around(plane, middle, reach * shape.half_axes().0 * scale);
    let starts = peaks(plane, window, shape.scaled(scale), 3)
        .into_iter()
        .map(|peak| Rim {
            center: Point {
                x: peak.center.x / scale,
                y: peak.center.y / scale,
            },
            shape: shape.scaled(peak.size),
        });
    let fits = starts.filter_map(|start| refine(picture, &start));
    fits.max_by(|a, b| worth(a, at).total_cmp(&worth(b, at)))
}

/// How good a fit is for a mark: the rim's quality, less if it is far from the mark.
fn worth(fit: &Fit, mark: Point) -> f64 {
    let off = fit.rim.center.distance(mark) / fit.rim.shape.radius();
    fit.quality() * (-0.5 * (off / 0.6).powi(2)).exp()
}
