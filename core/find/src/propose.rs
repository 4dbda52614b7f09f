//! Proposes the other holes of a picture.

use crate::FindError;
use crate::look::{Look, MARK_REACH, VOTING_RADIUS_PX, near};
use crate::plane::Picture;
use crate::refine::{Fit, refine};
use crate::rim::{Point, Rim, Shape};
use crate::score::{FEATURES, features, sureness};
use crate::votes::{Window, peaks};

/// Points with most votes that are looked at closely.
const MOST_PEAKS: usize = 240;
/// Proposals are at least this sure.
const LEAST_SURE: f64 = 0.5;
/// Centers of two holes are further apart than this, in radii.
const APART: f64 = 1.4;

/// A rim that may be a hole. A person confirms or drops it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// The rim.
    pub rim: Rim,
    /// From 0 to 1: how many of such proposals are holes, on generated pictures.
    pub sureness: f64,
}

/// Returns the rim of the hole that a person tapped, within a radius of its center. `look` is that
/// of the other holes in the same picture; without one the size is found too, less surely.
///
/// # Errors
/// If the point is outside the picture, or if there is no rim around it.
pub fn snap(picture: &Picture, at: Point, look: Option<&Look>) -> Result<Rim, FindError> {
    let own = match look {
        Some(_) => None,
        None => Some(Look::learn(picture, &[at])?),
    };
    let look = look.or(own.as_ref()).ok_or(FindError::NoRim)?;
    if !picture.contains(at) {
        return Err(FindError::OutsidePicture { x: at.x, y: at.y });
    }
    let fit = near(picture, at, look.shape, MARK_REACH).ok_or(FindError::NoRim)?;
    Ok(fit.rim)
}

/// Proposes the holes that look like the marked ones, surest first. Marks are within a radius of
/// their holes' centers.
///
/// # Errors
/// If no hole is marked, if a mark is outside the picture, or if no rim is found around the marks.
pub fn propose(picture: &Picture, marks: &[Point]) -> Result<Vec<Proposal>, FindError> {
    let look = Look::learn(picture, marks)?;
    let candidates = candidates(picture, &look);
    let taken: Vec<Point> = marked_centers(&look, marks);
    let size = SizeTrend::of(&look, marks);
    let mut found: Vec<Proposal> = candidates
        .iter()
        .map(|candidate| Proposal {
            rim: candidate.fit.rim,
            sureness: sureness(&candidate.features(&look, &size)),
        })
        .filter(|proposal| proposal.sureness >= LEAST_SURE)
        .collect();
    found.sort_by(|a, b| b.sureness.total_cmp(&a.sureness));
    Ok(apart_from(&taken, found, APART * look.shape.radius()))
}

/// A rim that was looked at closely.
pub(crate) struct Candidate {
    pub fit: Fit,
    pub votes: f64,
}

impl Candidate {
    pub fn features(&self, look: &Look, size: &SizeTrend) -> [f64; FEATURES] {
        features(&self.fit, self.votes, look, size.at(self.fit.rim.center))
    }
}

/// All rims of about the marked holes' size.
pub(crate) fn candidates(picture: &Picture, look: &Look) -> Vec<Candidate> {
    let (plane, scale) = picture.level(look.shape.radius(), VOTING_RADIUS_PX);
    let peaks = peaks(
        plane,
        Window::whole(plane),
        look.shape.scaled(scale),
        MOST_PEAKS,
    );
    let fits = peaks.into_iter().filter_map(|peak| {
        let center = Point {
            x: peak.center.x / scale,
            y: peak.center.y / scale,
        };
        let start = Rim {
            center,
            shape: look.shape.scaled(peak.size),
        };
        let fit = refine(picture, &start)?;
        Some(Candidate {
            fit,
            votes: peak.votes,
        })
    });
    fits.collect()
}

/// Where the marked holes are: the rims' centers, and the marks where no rim was found.
pub(crate) fn marked_centers(look: &Look, marks: &[Point]) -> Vec<Point> {
    let centers = look.rims.iter().zip(marks);
    centers
        .map(|(rim, &mark)| rim.map_or(mark, |rim| rim.center))
        .collect()
}

/// Drops what is too close to a mark or to a surer proposal.
fn apart_from(taken: &[Point], found: Vec<Proposal>, distance: f64) -> Vec<Proposal> {
    let mut kept: Vec<Proposal> = Vec::new();
    for proposal in found {
        let center = proposal.rim.center;
        let others = taken
            .iter()
            .copied()
            .chain(kept.iter().map(|kept| kept.rim.center));
        if others
            .into_iter()
            .all(|other| other.distance(center) > distance)
        {
            kept.push(proposal);
        }
    }
    kept
}

/// How the size of holes changes over the picture, since a camera at an angle shows the far ones
/// smaller.
pub(crate) struct SizeTrend {
    shape: Shape,
    middle: Point,
    /// Change of the logarithm of the size, a pixel to the right and down.
    slope: (f64, f64),
}

/// A slope of this logarithm over the picture's marks is as likely as not.
const USUAL_SLOPE: f64 = 0.15;
/// A single rim's size is off by about this, as a logarithm.
const SIZE_ERROR: f64 = 0.06;

impl SizeTrend {
    /// Fits the trend to the rims of the marks, held back where they are few or close together.
    pub fn of(look: &Look, marks: &[Point]) -> Self {
        let rims: Vec<Rim> = look.rims.iter().flatten().copied().collect();
        let count = rims.len().max(1) as f64;
        let sum = |of: fn(&Rim) -> f64| rims.iter().map(of).sum::<f64>() / count;
        let middle = match rims.is_empty() {
            true => marks[0],
            false => Point {
                x: sum(|rim| rim.center.x),
                y: sum(|rim| rim.center.y),
            },
        };
        let reach = rims
            .iter()
            .map(|rim| rim.center.distance(middle))
            .fold(1.0, f64::max);
        let prior = (SIZE_ERROR / USUAL_SLOPE).powi(2);
        let (mut xx, mut xy, mut yy, mut xr, mut yr) = (prior, 0.0, prior, 0.0, 0.0);
        for rim in &rims {
            let x = (rim.center.x - middle.x) / reach;
            let y = (rim.center.y - middle.y) / reach;
            let log = (rim.shape.radius() / look.shape.radius()).ln();
            (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
            (xr, yr) = (xr + x * log, yr + y * log);
        }
        let determinant = xx * yy - xy * xy;
        let slope = (
            (xr * yy - yr * xy) / determinant / reach,
            (yr * xx - xr * xy) / determinant / reach,
        );
        Self {
            shape: look.shape,
            middle,
            slope,
        }
    }

    /// The shape expected at a point.
    pub fn at(&self, point: Point) -> Shape {
        let log =
            self.slope.0 * (point.x - self.middle.x) + self.slope.1 * (point.y - self.middle.y);
        self.shape.scaled(log.clamp(-0.5, 0.5).exp())
    }
}
