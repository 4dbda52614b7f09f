//! How surely a rim is a hole like those that were marked.

use crate::look::Look;
use crate::refine::Fit;
use crate::rim::Shape;

/// The number of features.
pub(crate) const FEATURES: usize = 7;

/// The weights of the features: a logistic regression on pictures that the tests generate, so
/// they are judgements and not measured on photographs.
const WEIGHTS: [f64; FEATURES] = [-14.75, 0.33, 3.44, 0.72, 9.18, -15.93, 18.39];

/// What is compared with the marked holes; the first feature is always 1.
pub(crate) fn features(fit: &Fit, votes: f64, look: &Look, expected: Shape) -> [f64; FEATURES] {
    let size = (fit.rim.shape.radius() / expected.radius()).ln().abs();
    let relative = |has: f64, usual: f64| (has.max(0.01) / usual).ln().clamp(-2.5, 0.7);
    [
        1.0,
        votes.min(1.0),
        fit.share,
        relative(fit.rise, look.rise) + relative(fit.contrast, look.contrast),
        fit.residual.min(0.3),
        size.min(0.7),
        fit.patch.likeness(&look.patch),
    ]
}

/// From 0 to 1: the share of rims like this one that are holes.
pub(crate) fn sureness(features: &[f64; FEATURES]) -> f64 {
    let sum: f64 = features
        .iter()
        .zip(WEIGHTS)
        .map(|(feature, weight)| feature * weight)
        .sum();
    1.0 / (1.0 + (-sum).exp())
}
