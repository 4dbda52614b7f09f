//! Which marked holes agree with the pattern, as one photo of a flat face sees it.

use holebook_place::Point;
use holebook_place::plane::{Homography, KnownPoint, Mark, PhotoSurvey, measure};

/// Once in 1,000 holes by chance: the quantile of chi-squared with two degrees of freedom.
pub(super) const WANDERED_CHI2: f64 = 13.816;
/// As many points as a perspective takes, and one to check it and one to tell which is off.
const TELLS_WHICH: usize = 6;
/// Sets of four that are tried.
const MOST_TRIED: u64 = 400;

/// Returns the indices of the known points that agree, in order. With fewer than six nothing tells
/// which one is off, and all are returned.
pub(super) fn agreeing(known: &[KnownPoint], mark_error_px: f64) -> Vec<usize> {
    let all: Vec<usize> = (0..known.len()).collect();
    if known.len() < TELLS_WHICH || worst(known, &all, mark_error_px).is_none() {
        return all;
    }
    let mut kept = most_agreeing(known, mark_error_px);
    while kept.len() >= TELLS_WHICH
        && let Some(at) = worst(known, &kept, mark_error_px)
    {
        kept.remove(at);
    }
    kept
}

/// The point that lies farthest from where the others put it, if that is too far for chance.
fn worst(known: &[KnownPoint], kept: &[usize], mark_error_px: f64) -> Option<usize> {
    let off = (0..kept.len()).map(|at| (at, deviation(known, kept, at, mark_error_px)));
    let (at, chi2) = off.max_by(|a, b| a.1.total_cmp(&b.1))?;
    (chi2 > WANDERED_CHI2).then_some(at)
}

/// The squared deviation of a point from where the others put it, in units of both variances.
fn deviation(known: &[KnownPoint], kept: &[usize], at: usize, mark_error_px: f64) -> f64 {
    let point = known[kept[at]];
    let others = kept.iter().filter(|other| **other != kept[at]);
    let fit = measure(&PhotoSurvey {
        known: others.map(|other| known[*other]).collect(),
        marks: vec![Mark {
            px: point.px,
            py: point.py,
            error_px: point.error_px,
        }],
        mark_error_px: Some(mark_error_px),
        ..PhotoSurvey::default()
    });
    let Some(placed) = fit.ok().and_then(|fit| fit.points.first().copied()) else {
        return 0.0;
    };
    let off = Point::new(placed.x_mm, placed.y_mm).distance_mm(Point::new(point.x_mm, point.y_mm));
    off.powi(2) / (placed.error_mm.powi(2) + point.error_mm.powi(2)).max(f64::MIN_POSITIVE)
}

/// The most points that agree with the map of any four of them, of so many sets of four.
fn most_agreeing(known: &[KnownPoint], mark_error_px: f64) -> Vec<usize> {
    let near_mm = 4.0 * mark_error_px * millimeters_a_pixel(known);
    let mut best: Vec<usize> = Vec::new();
    let mut dice = 0x9e37_79b9_7f4a_7c15_u64;
    for _ in 0..MOST_TRIED {
        let Some(map) = map_of_four(known, &mut dice) else {
            continue;
        };
        let agrees = |at: &usize| {
            let point = known[*at];
            let placed = map.place(point.px, point.py);
            let reach = near_mm.hypot(4.0 * point.error_mm);
            placed.is_some_and(|it| it.distance_mm(Point::new(point.x_mm, point.y_mm)) <= reach)
        };
        let kept: Vec<usize> = (0..known.len()).filter(agrees).collect();
        if kept.len() > best.len() {
            best = kept;
        }
    }
    best
}

/// The map of four points drawn at random; the same ones every time.
fn map_of_four(known: &[KnownPoint], dice: &mut u64) -> Option<Homography> {
    let mut four: Vec<KnownPoint> = Vec::with_capacity(4);
    while four.len() < 4 {
        *dice = dice
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let drawn = known[(*dice >> 33) as usize % known.len()];
        if !four.contains(&drawn) {
            four.push(drawn);
        }
    }
    let survey = PhotoSurvey {
        known: four,
        ..PhotoSurvey::default()
    };
    Homography::fit(&survey).ok()
}

/// About how much of the face a pixel covers, mm.
fn millimeters_a_pixel(known: &[KnownPoint]) -> f64 {
    let spread = |of: fn(&KnownPoint) -> (f64, f64)| {
        let n = known.len().max(1) as f64;
        let (x, y) = known
            .iter()
            .map(of)
            .fold((0.0, 0.0), |sum, at| (sum.0 + at.0 / n, sum.1 + at.1 / n));
        let far = known.iter().map(of).map(|at| (at.0 - x).hypot(at.1 - y));
        far.fold(0.0, f64::max)
    };
    spread(|known| (known.x_mm, known.y_mm))
        / spread(|known| (known.px, known.py)).max(f64::MIN_POSITIVE)
}
