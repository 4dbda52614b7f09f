//! Whether several photos of one face agree.

use crate::gauss::{Covariance, WANDERED_CHI2};
use crate::{PlaceError, Point, input};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A hole's place by one photo.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoPoint {
    /// The photo, by a number of the caller's.
    pub photo: u32,
    /// The hole's number.
    pub hole: u32,
    /// To the right on the face, mm.
    pub x_mm: f64,
    /// Up on the face, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, mm.
    pub error_mm: f64,
}

/// A hole's place by all photos.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct AgreedPoint {
    /// The hole's number.
    pub hole: u32,
    /// To the right, mm: the mean, weighted by the photos' errors.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, mm.
    pub error_mm: f64,
    /// The photos that disagree with the others by more than their errors explain (once in 1,000);
    /// they do not count, unless there are only two.
    pub disagreeing: Vec<u32>,
    /// How far the farthest photo lies from the mean, mm.
    pub farthest_mm: f64,
}

/// Combines the places that several photos give, by hole number, and says where they disagree.
///
/// # Errors
/// If a number is not usable, or a photo has a hole twice.
pub fn compare_photos(points: &[PhotoPoint]) -> Result<Vec<AgreedPoint>, PlaceError> {
    input::count(points.len(), 1, "places")?;
    let mut by_hole: BTreeMap<u32, Vec<PhotoPoint>> = BTreeMap::new();
    for point in points {
        let name = || format!("hole {} in photo {}", point.hole, point.photo);
        input::point(Point::new(point.x_mm, point.y_mm), name)?;
        let error_mm = input::error(point.error_mm, || format!("the error of {}", name()))?;
        let same = by_hole.entry(point.hole).or_default();
        if same.iter().any(|other| other.photo == point.photo) {
            return Err(PlaceError::Twice {
                hole: point.hole,
                among: "holes of one photo",
            });
        }
        same.push(PhotoPoint { error_mm, ..*point });
    }
    Ok(by_hole.values().map(|points| agreed(points)).collect())
}

fn agreed(points: &[PhotoPoint]) -> AgreedPoint {
    let (agreeing, disagreeing) = split(points);
    let (mean, error_mm) = mean(agreeing.iter());
    let far = points
        .iter()
        .map(|point| mean.distance_mm(Point::new(point.x_mm, point.y_mm)));
    AgreedPoint {
        hole: points[0].hole,
        x_mm: mean.x_mm,
        y_mm: mean.y_mm,
        error_mm,
        farthest_mm: far.fold(0.0, f64::max),
        disagreeing,
    }
}

/// The photos that agree, and the numbers of those that do not: the worst is taken out until the
/// rest agree. Of two that differ nothing tells which is off, so both are named and kept.
fn split(points: &[PhotoPoint]) -> (Vec<PhotoPoint>, Vec<u32>) {
    let mut agreeing = points.to_vec();
    let mut disagreeing = Vec::new();
    while agreeing.len() > 1 {
        let off: Vec<f64> = (0..agreeing.len())
            .map(|at| deviation(&agreeing, at))
            .collect();
        let worst = (0..off.len()).max_by(|a, b| off[*a].total_cmp(&off[*b]));
        let Some(worst) = worst.filter(|worst| off[*worst] > WANDERED_CHI2) else {
            break;
        };
        if agreeing.len() == 2 {
            disagreeing.extend(agreeing.iter().map(|point| point.photo));
            break;
        }
        disagreeing.push(agreeing.remove(worst).photo);
    }
    disagreeing.sort_unstable();
    (agreeing, disagreeing)
}

/// The squared deviation of a photo from the mean of the others, in units of both variances.
fn deviation(points: &[PhotoPoint], at: usize) -> f64 {
    let others = points.iter().enumerate().filter(|(other, _)| *other != at);
    let (mean, error_mm) = mean(others.map(|(_, point)| point));
    let both = Covariance::round(error_mm.powi(2) + points[at].error_mm.powi(2));
    both.chi2((points[at].x_mm - mean.x_mm, points[at].y_mm - mean.y_mm))
}

fn mean<'a>(points: impl Iterator<Item = &'a PhotoPoint>) -> (Point, f64) {
    let (mut x, mut y, mut sum) = (0.0, 0.0, 0.0);
    for point in points {
        let weight = point.error_mm.powi(-2);
        (x, y, sum) = (
            x + weight * point.x_mm,
            y + weight * point.y_mm,
            sum + weight,
        );
    }
    (Point::new(x / sum, y / sum), sum.sqrt().recip())
}
