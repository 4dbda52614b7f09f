//! Fits the weights of the score to generated pictures.

use super::noise::Random;
use super::scene::{Make, scene};
use super::trial::{marks, spread};
use crate::look::Look;
use crate::propose::{SizeTrend, candidates, marked_centers};
use crate::score::FEATURES;

/// Features of rims, and whether each is a hole.
fn examples() -> Vec<([f64; FEATURES], bool)> {
    let mut random = Random::new(3);
    let mut examples = Vec::new();
    for seed in 0..48 {
        let make = if seed % 3 == 2 {
            Make::Rough
        } else {
            Make::Milled
        };
        let scene = scene(seed, make, 1000);
        let picture = scene.picture();
        let holes = spread(&scene);
        let marks = marks(&scene, &holes, &mut random);
        let Ok(look) = Look::learn(&picture, &marks) else {
            continue;
        };
        let size = SizeTrend::of(&look, &marks);
        let taken = marked_centers(&look, &marks);
        for candidate in candidates(&picture, &look) {
            let center = candidate.fit.rim.center;
            if taken
                .iter()
                .any(|mark| mark.distance(center) < 0.5 * scene.diameter)
            {
                continue;
            }
            let off = scene.holes.iter().map(|hole| hole.distance(center));
            let off = off.fold(f64::INFINITY, f64::min) / scene.diameter;
            // Neither: a rim of a hole, but badly placed.
            if (0.1..0.5).contains(&off) {
                continue;
            }
            examples.push((candidate.features(&look, &size), off < 0.1));
        }
    }
    examples
}

/// A logistic regression by gradient descent, held back a little, on features of equal spread.
fn fitted(examples: &[([f64; FEATURES], bool)]) -> [f64; FEATURES] {
    let count = examples.len() as f64;
    let mean: [f64; FEATURES] =
        std::array::from_fn(|k| examples.iter().map(|it| it.0[k]).sum::<f64>() / count);
    let spread: [f64; FEATURES] = std::array::from_fn(|k| {
        let square: f64 = examples.iter().map(|it| (it.0[k] - mean[k]).powi(2)).sum();
        (square / count).sqrt().max(1e-9)
    });
    let mut weights = [0.0; FEATURES];
    let mut bias = 0.0;
    for _ in 0..4000 {
        let mut slope = [0.0; FEATURES];
        let mut bias_slope = 0.0;
        for (features, is_hole) in examples {
            let unit: [f64; FEATURES] =
                std::array::from_fn(|k| (features[k] - mean[k]) / spread[k]);
            let sum: f64 = bias + unit.iter().zip(&weights).map(|(x, w)| x * w).sum::<f64>();
            let off = 1.0 / (1.0 + (-sum).exp()) - f64::from(u8::from(*is_hole));
            bias_slope += off;
            for k in 1..FEATURES {
                slope[k] += off * unit[k];
            }
        }
        bias -= 3.0 * bias_slope / count;
        for k in 1..FEATURES {
            weights[k] -= 3.0 * (slope[k] / count + 2e-5 * weights[k]);
        }
    }
    let mut result: [f64; FEATURES] = std::array::from_fn(|k| weights[k] / spread[k]);
    result[0] = bias - (1..FEATURES).map(|k| result[k] * mean[k]).sum::<f64>();
    result
}

#[test]
#[ignore = "prints the weights of the score, to be put into score.rs"]
fn weights() {
    let examples = examples();
    let holes = examples.iter().filter(|it| it.1).count();
    println!("{} rims, {holes} of them holes", examples.len());
    println!("{:.2?}", fitted(&examples));
}
