//! The plane of a photo: from points of known place to the place of every mark.
//!
//! Four or more known points give the whole perspective (a homography: normalized direct linear
//! transform, refined by weighted least squares). Two or three give turn and scale only, for a
//! camera held square to the face.

mod homography;
mod photos;
mod similarity;
mod warnings;

pub use homography::Homography;
pub use photos::{AgreedPoint, PhotoPoint, compare_photos};
pub(crate) use warnings::hull;

use crate::pattern::CommonError;
use crate::show::both;
use crate::{PlaceError, input};
use serde::{Deserialize, Serialize, Serializer};
use std::fmt;

/// The standard deviation of a mark, pixels, if none is given: a careful tap on a zoomed photo.
/// Judgment; nothing was measured.
pub const USUAL_MARK_ERROR_PX: f64 = 1.0;

/// A point of known place in a photo.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KnownPoint {
    /// To the right in the photo, pixels.
    pub px: f64,
    /// Down in the photo, pixels.
    pub py: f64,
    /// To the right on the face, mm.
    pub x_mm: f64,
    /// Up on the face, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate on the face, mm.
    #[serde(default)]
    pub error_mm: f64,
    /// The standard deviation of its mark, pixels; `None`: as the survey says of all marks.
    #[serde(default)]
    pub error_px: Option<f64>,
}

/// A mark in a photo.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    /// To the right in the photo, pixels.
    pub px: f64,
    /// Down in the photo, pixels.
    pub py: f64,
    /// Its standard deviation in each coordinate, pixels; `None`: as the survey says of all marks; 0
    /// for a pixel that nobody had to hit.
    #[serde(default)]
    pub error_px: Option<f64>,
}

/// Known points and marks of one photo.
#[derive(holebook_shape::Shape, Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoSurvey {
    /// The known points, at least two.
    pub known: Vec<KnownPoint>,
    /// The marks to place.
    #[serde(default)]
    pub marks: Vec<Mark>,
    /// The standard deviation of a mark in each coordinate, pixels [default: 1].
    #[serde(default)]
    pub mark_error_px: Option<f64>,
    /// The photo's width, pixels; with the height, lens distortion is judged about its middle.
    #[serde(default)]
    pub width_px: Option<f64>,
    /// The photo's height, pixels.
    #[serde(default)]
    pub height_px: Option<f64>,
}

/// A photo made measurable.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct PlaneFit {
    /// Where each mark lies, in the order given.
    pub points: Vec<PlacedMark>,
    /// The root mean square distance of the known points from where the fit puts them, mm.
    pub residual_mm: f64,
    /// The same of each known point, mm.
    pub known_residuals_mm: Vec<f64>,
    /// How oblique the camera was in the middle of the known points, degrees; 0 is square to the
    /// face.
    pub tilt_deg: f64,
    /// What to be careful about.
    pub warnings: Vec<PlaneWarning>,
}

/// A mark's place on the face.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlacedMark {
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, mm.
    pub error_mm: f64,
    /// The radius of the circle around it that holds the true place with 95 % probability, mm.
    pub radius95_mm: f64,
}

/// What to be careful about in a measured photo.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq)]
pub enum PlaneWarning {
    /// Nothing checks the known points: as many as it takes.
    NotChecked,
    /// Two or three points cannot show how the camera was held.
    TakenAsSquare,
    /// A mark lies outside of the known points, where errors grow quickly.
    Outside {
        /// The mark, counted from 1.
        mark: u32,
        /// How far outside, mm.
        by_mm: f64,
    },
    /// The camera was very oblique.
    Oblique {
        /// By how much, degrees.
        tilt_deg: f64,
    },
    /// The residuals grow away from the middle as lens distortion makes them.
    LensDistortion {
        /// About how far a point at the outermost known point is off, mm.
        by_mm: f64,
    },
    /// The known points miss by more than their errors explain.
    ErrorsTooSmall {
        /// How many times more.
        factor: f64,
    },
    /// One known point misses by more than its error explains.
    WrongPoint {
        /// The known point, counted from 1.
        known: u32,
        /// How far it misses, mm.
        by_mm: f64,
    },
}

impl fmt::Display for PlaneWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotChecked => f.write_str(
                "nothing checks the known points: one at a wrong place would not show; add a fifth",
            ),
            Self::TakenAsSquare => f.write_str(
                "with fewer than four known points the camera is taken as square to the face; add points for an oblique photo",
            ),
            Self::Outside { mark, by_mm } => write!(
                f,
                "mark {mark} is {} outside of the known points; errors grow there, add a known point beyond it",
                both(*by_mm)
            ),
            Self::Oblique { tilt_deg } => write!(
                f,
                "the camera was {tilt_deg:.0} degrees from square; take the photo from straight above"
            ),
            Self::LensDistortion { by_mm } => write!(
                f,
                "the known points miss as with lens distortion, by about {} at the outermost; step back and zoom in, \
                 or keep the face in the middle of the photo", both(*by_mm)
            ),
            Self::ErrorsTooSmall { factor } => write!(
                f,
                "the known points miss {factor:.1} times as much as their errors explain; the errors given are that much larger"
            ),
            Self::WrongPoint { known, by_mm } => write!(
                f,
                "known point {known} misses by {}; check its place and its mark",
                both(*by_mm)
            ),
        }
    }
}

/// As its sentence.
impl Serialize for PlaneWarning {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Places the marks of a photo on the face.
///
/// # Errors
/// If a number is not usable, there are fewer than two known points, they are at one place or in
/// one line (three of them of four), or no flat face looks like that.
pub fn measure(survey: &PhotoSurvey) -> Result<PlaneFit, PlaceError> {
    check(survey)?;
    match survey.known.len() {
        0..=3 => similarity::measure(survey),
        _ => homography::measure(survey),
    }
}

/// Returns the part of each mark's error that comes from the known points, which all marks of the
/// photo have in common: independent causes of variance 1, and by how much each moves the mark, mm.
///
/// # Errors
/// As for [`measure`].
pub fn common_errors(survey: &PhotoSurvey) -> Result<Vec<CommonError>, PlaceError> {
    check(survey)?;
    match survey.known.len() {
        0..=3 => similarity::common_errors(survey),
        _ => homography::common_errors(survey),
    }
}

fn check(survey: &PhotoSurvey) -> Result<(), PlaceError> {
    input::count(survey.known.len(), 2, "known points")?;
    input::count(survey.marks.len(), 0, "marks")?;
    for (known, at) in survey.known.iter().zip(1..) {
        let name = || format!("known point {at}");
        input::point(crate::Point::new(known.px, known.py), || {
            format!("{} in the photo", name())
        })?;
        input::point(crate::Point::new(known.x_mm, known.y_mm), name)?;
        input::error(known.error_mm, || format!("the error of {}", name()))?;
        if let Some(error_px) = known.error_px {
            input::error(error_px, || format!("the error of the mark of {}", name()))?;
        }
    }
    for (mark, at) in survey.marks.iter().zip(1..) {
        input::point(crate::Point::new(mark.px, mark.py), || format!("mark {at}"))?;
        if let Some(error_px) = mark.error_px {
            input::error(error_px, || format!("the error of mark {at}"))?;
        }
    }
    input::error(survey.mark_error(), || "the error of a mark".to_owned())?;
    Ok(())
}

impl PhotoSurvey {
    fn mark_error(&self) -> f64 {
        self.mark_error_px.unwrap_or(USUAL_MARK_ERROR_PX)
    }

    /// The standard deviation of a mark's pixels: its own, or that of all marks.
    fn error_px(&self, own: Option<f64>) -> f64 {
        own.unwrap_or_else(|| self.mark_error())
    }

    /// The point that lens distortion is judged about: the middle of the photo, else of the known
    /// points.
    fn middle(&self) -> (f64, f64) {
        match (self.width_px, self.height_px) {
            (Some(width), Some(height)) if width > 0.0 && height > 0.0 => {
                (width / 2.0, height / 2.0)
            }
            _ => {
                let n = self.known.len().max(1) as f64;
                let sum = |of: fn(&KnownPoint) -> f64| self.known.iter().map(of).sum::<f64>() / n;
                (sum(|known| known.px), sum(|known| known.py))
            }
        }
    }
}

#[cfg(test)]
mod tests;
