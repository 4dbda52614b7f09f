//! Two or three known points: turn and scale, for a camera square to the face.

use super::{KnownPoint, PhotoSurvey, PlacedMark, PlaneFit, PlaneWarning, homography, warnings};
use crate::pattern::{self, CommonError, FoundHole, PatternFit, Survey, WantedHole};
use crate::{PlaceError, Point, input};

/// Y counts down in a photo and up on the face, so the photo is a mirrored pattern.
pub(super) fn measure(survey: &PhotoSurvey) -> Result<PlaneFit, PlaceError> {
    let known = (1..).zip(&survey.known);
    let wanted = known
        .clone()
        .map(|(hole, known)| hole_of(hole, known.px, known.py));
    let marks = survey.marks.iter().zip(survey.known.len() as u32 + 1..);
    let marks = marks.map(|(mark, hole)| hole_of(hole, mark.px, mark.py));
    let size = scale(survey);
    let found = known.map(|(hole, known)| FoundHole {
        hole,
        x_mm: known.x_mm,
        y_mm: known.y_mm,
        error_mm: error_mm(survey, known, size),
    });
    let fit = pattern::fit(&Survey {
        wanted: wanted.chain(marks).collect(),
        found: found.collect(),
        mirror: false,
        scale: true,
    })?;
    Ok(report(survey, &fit, size))
}

/// The error of a known point, with that of its mark.
fn error_mm(survey: &PhotoSurvey, known: &KnownPoint, size: f64) -> f64 {
    known.error_mm.hypot(size * survey.error_px(known.error_px))
}

/// The center of the known points may be off in X and in Y, and the turn and the size about it.
pub(super) fn common_errors(survey: &PhotoSurvey) -> Result<Vec<CommonError>, PlaceError> {
    let fit = measure(survey)?;
    let size = scale(survey);
    let known: Vec<(Point, f64)> = survey
        .known
        .iter()
        .map(|known| {
            let error_mm = error_mm(survey, known, size).max(input::LEAST_ERROR_MM);
            (Point::new(known.x_mm, known.y_mm), error_mm.powi(-2))
        })
        .collect();
    let sum: f64 = known.iter().map(|(_, weight)| weight).sum();
    let mean = |of: fn(&Point) -> f64| known.iter().map(|(at, w)| w * of(at)).sum::<f64>() / sum;
    let center = Point::new(mean(|at| at.x_mm), mean(|at| at.y_mm));
    let square = known
        .iter()
        .map(|(at, weight)| weight * at.distance_mm(center).powi(2));
    let (shift, turn) = (sum.sqrt().recip(), square.sum::<f64>().sqrt().recip());
    let of_mark = |mark: &PlacedMark| {
        let (x, y) = (mark.x_mm - center.x_mm, mark.y_mm - center.y_mm);
        vec![
            (shift, 0.0),
            (0.0, shift),
            (-y * turn, x * turn),
            (x * turn, y * turn),
        ]
    };
    Ok(fit.points.iter().map(of_mark).collect())
}

/// A pixel as a place, its Y turned up.
const fn hole_of(hole: u32, px: f64, py: f64) -> WantedHole {
    WantedHole {
        hole,
        x_mm: px,
        y_mm: -py,
        error_mm: 0.0,
    }
}

/// Millimeters a pixel, by the two known points.
fn scale(survey: &PhotoSurvey) -> f64 {
    let spread = |points: Vec<Point>| crate::input::spread(&points).along_mm;
    let pixels = spread(
        survey
            .known
            .iter()
            .map(|k| Point::new(k.px, k.py))
            .collect(),
    );
    let face = spread(
        survey
            .known
            .iter()
            .map(|k| Point::new(k.x_mm, k.y_mm))
            .collect(),
    );
    if pixels > 0.0 { face / pixels } else { 1.0 }
}

fn report(survey: &PhotoSurvey, fit: &PatternFit, size: f64) -> PlaneFit {
    /// The radius of the 95 % circle over the standard deviation, of a round distribution.
    const RADIUS95: f64 = 2.447_746_83;
    let (known, marks) = fit.holes.split_at(survey.known.len());
    let points: Vec<PlacedMark> = marks
        .iter()
        .zip(&survey.marks)
        .map(|(hole, mark)| {
            let own_mm = size * survey.error_px(mark.error_px);
            let error_mm = (hole.radius95_mm / RADIUS95).hypot(own_mm);
            PlacedMark {
                x_mm: hole.x_mm,
                y_mm: hole.y_mm,
                error_mm,
                radius95_mm: RADIUS95 * error_mm,
            }
        })
        .collect();
    let known_residuals_mm: Vec<f64> = known
        .iter()
        .map(|hole| hole.residual_mm.unwrap_or_default())
        .collect();
    let mut found = vec![PlaneWarning::TakenAsSquare];
    found.extend(warnings::outside(survey, &points));
    PlaneFit {
        residual_mm: homography::root_mean_square(&known_residuals_mm),
        points,
        known_residuals_mm,
        tilt_deg: 0.0,
        warnings: found,
    }
}
