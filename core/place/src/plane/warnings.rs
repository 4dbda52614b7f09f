//! What the fit of a photo shows about it.

use super::homography::Fit;
use super::{PhotoSurvey, PlacedMark, PlaneWarning};
use crate::Point;
use crate::linear::{self, Matrix, apply, dot, inverse, product, transposed};

/// Above this, errors along the view are 1.4 times those across. Judgment.
const OBLIQUE_DEG: f64 = 45.0;
/// Lens distortion counts if it is so many times its own standard deviation. Judgment.
const SURE: f64 = 4.0;
/// A known point misses if it is so many times as far off as the others on average. Judgment.
const WRONG: f64 = 2.5;

/// The tilt of the camera in the middle of the known points: how much shorter things look along
/// the view than across.
pub(super) fn tilt_deg(fit: &Fit, survey: &PhotoSurvey) -> f64 {
    let n = survey.known.len() as f64;
    let px = survey.known.iter().map(|known| known.px).sum::<f64>() / n;
    let py = survey.known.iter().map(|known| known.py).sum::<f64>() / n;
    let Some((_, by_pixel, _)) = fit.place(px, py) else {
        return 90.0;
    };
    // The squares of the least and the most that a pixel covers on the face.
    let (squares, _) = linear::eigen(product(&by_pixel, &transposed(&by_pixel)));
    let (large, small) = (squares[0].max(squares[1]), squares[0].min(squares[1]));
    if large <= 0.0 {
        return 90.0;
    }
    (small / large).clamp(0.0, 1.0).sqrt().acos().to_degrees()
}

/// Warnings of the fit as a whole.
pub(super) fn of_fit(
    fit: &Fit,
    survey: &PhotoSurvey,
    residuals_mm: &[f64],
    tilt_deg: f64,
) -> Vec<PlaneWarning> {
    let mut warnings = Vec::new();
    if tilt_deg > OBLIQUE_DEG {
        warnings.push(PlaneWarning::Oblique { tilt_deg });
    }
    if let Some(by_mm) = lens_distortion(fit, survey) {
        warnings.push(PlaneWarning::LensDistortion { by_mm });
    } else if fit.is_loose() {
        warnings.push(PlaneWarning::ErrorsTooSmall { factor: fit.factor });
        warnings.extend(wrong_point(residuals_mm));
    }
    warnings
}

/// The known point that stands out, if one does and there are enough to tell.
fn wrong_point(residuals_mm: &[f64]) -> Option<PlaneWarning> {
    if residuals_mm.len() < 6 {
        return None;
    }
    let (worst, by_mm) = residuals_mm
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1))?;
    let others: f64 = residuals_mm.iter().sum::<f64>() - by_mm;
    let mean = others / (residuals_mm.len() - 1) as f64;
    (*by_mm > WRONG * mean).then_some(PlaneWarning::WrongPoint {
        known: worst as u32 + 1,
        by_mm: *by_mm,
    })
}

/// How far radial distortion moves the outermost known point, mm, if the residuals show it.
///
/// The fit gets one parameter more, the factor of the cube of the distance from the middle of the
/// photo; its value and standard deviation come from one step of least squares.
fn lens_distortion(fit: &Fit, survey: &PhotoSurvey) -> Option<f64> {
    let known = &survey.known;
    if known.len() < 6 {
        return None;
    }
    let middle = survey.middle();
    let reach = known
        .iter()
        .map(|known| (known.px - middle.0).hypot(known.py - middle.1))
        .fold(0.0, f64::max);
    let (mut information, mut gradient) = ([[0.0; 9]; 9], [0.0; 9]);
    let (mut squares, mut largest) = (0.0, 0.0_f64);
    for point in known {
        let (at, by_pixel, by_entries) = fit.place(point.px, point.py)?;
        let (x, y) = ((point.px - middle.0) / reach, (point.py - middle.1) / reach);
        let cube = (x * x + y * y) * reach;
        let moves = apply(&by_pixel, &[x * cube, y * cube]);
        largest = largest.max(moves[0].hypot(moves[1]));
        let row: Matrix<2, 9> = std::array::from_fn(|row| {
            std::array::from_fn(|at| {
                if at < 8 {
                    by_entries[row][at]
                } else {
                    moves[row]
                }
            })
        });
        let miss = [point.x_mm - at.x_mm, point.y_mm - at.y_mm];
        let upright = transposed(&row);
        information = linear::plus(&information, &product(&upright, &row), 1.0);
        let pull = apply(&upright, &miss);
        gradient = std::array::from_fn(|at| gradient[at] + pull[at]);
        squares += dot(&miss, &miss);
    }
    let back = inverse(&information)?;
    let step = apply(&back, &gradient);
    let freedom = (2 * known.len()) as f64 - 9.0;
    let left = (squares - dot(&step, &gradient)).max(0.0) / freedom;
    let deviation = (left * back[8][8]).sqrt();
    (step[8].abs() > SURE * deviation && fit.is_loose()).then(|| (step[8] * largest).abs())
}

/// Marks outside of the known points' hull.
pub(super) fn outside(survey: &PhotoSurvey, points: &[PlacedMark]) -> Vec<PlaneWarning> {
    let hull = hull(
        survey
            .known
            .iter()
            .map(|k| Point::new(k.x_mm, k.y_mm))
            .collect(),
    );
    let far = |at: Point| {
        let edges = hull.iter().zip(hull.iter().cycle().skip(1));
        let outside = |(a, b): &(&Point, &Point)| cross(**a, **b, at) < 0.0 || hull.len() < 3;
        let beyond = edges.filter(outside).map(|(a, b)| to_segment(at, *a, *b));
        beyond.min_by(f64::total_cmp).unwrap_or(0.0)
    };
    // A mark on the rim is not outside; a tenth of a millimeter is below any mark's error.
    let warn = |(at, mark): (&PlacedMark, u32)| {
        let by_mm = far(Point::new(at.x_mm, at.y_mm));
        (by_mm > 0.1_f64.max(2.0 * at.error_mm)).then_some(PlaneWarning::Outside { mark, by_mm })
    };
    points.iter().zip(1..).filter_map(warn).collect()
}

/// The convex hull, counterclockwise (Andrew's monotone chain).
pub(crate) fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x_mm.total_cmp(&b.x_mm).then(a.y_mm.total_cmp(&b.y_mm)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = chain.as_slice() {
                if cross(*a, *b, point) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

/// Positive if c lies left of the line from a to b.
fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
}

fn to_segment(at: Point, a: Point, b: Point) -> f64 {
    let (ux, uy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let square = ux * ux + uy * uy;
    let share = if square > 0.0 {
        (((at.x_mm - a.x_mm) * ux + (at.y_mm - a.y_mm) * uy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    at.distance_mm(Point::new(a.x_mm + share * ux, a.y_mm + share * uy))
}
