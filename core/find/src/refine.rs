//! Fits an ellipse to the edge around a hole.

use crate::plane::Picture;
use crate::rays::{Edge, LEAST_RISE, Patch, RAYS, directions, moved};
use crate::rim::{Rim, Shape};
use holebook_place::linear::{Matrix, apply, dot, inverse};

/// The edge is looked for where the hole has a radius below this, in pixels.
const RADIUS_PX: f64 = 44.0;
/// Rounds of looking for the edge and fitting the ellipse.
const ROUNDS: usize = 4;
/// A shape flatter than this is no hole that a person can look into.
const FLATTEST: f64 = 0.4;
/// An edge that is further from the ellipse, in radii, is not part of it.
const ON_RIM: f64 = 0.06;

/// A rim with how well the picture shows it.
pub(crate) struct Fit {
    pub rim: Rim,
    /// Share of the rays that have an edge on the ellipse.
    pub share: f64,
    /// Mean rise of brightness across the rim, as a logarithm; large rises count as 1.
    pub rise: f64,
    /// How far the edges are from the ellipse: root mean square, in radii.
    pub residual: f64,
    /// How much darker the inside is than the surroundings, as a logarithm.
    pub contrast: f64,
    /// What the hole and its surroundings look like.
    pub patch: Patch,
}

impl Fit {
    /// How surely there is a rim, to compare fits from several starts.
    pub fn quality(&self) -> f64 {
        self.rise.max(0.0) * self.share * (1.0 - (self.residual / 0.15).min(1.0))
    }
}

/// Finds the rim near a rim that is about there; `None` if it wanders off.
pub(crate) fn refine(picture: &Picture, start: &Rim) -> Option<Fit> {
    let mut rim = *start;
    for _ in 0..ROUNDS {
        let (plane, scale) = picture.level(rim.shape.radius(), RADIUS_PX);
        let edges = Patch::of(plane, scale, &rim).edges();
        rim = step(&rim, &edges)?;
        let away = rim.center.distance(start.center) / start.shape.radius();
        let grown = rim.shape.radius() / start.shape.radius();
        if away > 0.9 || !(0.5..2.0).contains(&grown) {
            return None;
        }
    }
    Some(measured(picture, rim))
}

/// How well the picture shows a rim.
pub(crate) fn measured(picture: &Picture, rim: Rim) -> Fit {
    let (plane, scale) = picture.level(rim.shape.radius(), RADIUS_PX);
    let patch = Patch::of(plane, scale, &rim);
    let edges = patch.edges();
    let on_rim =
        |edge: &&Edge| (edge.radius - 1.0).abs() < ON_RIM && edge.rise > f64::from(LEAST_RISE);
    let share = edges.iter().filter(on_rim).count() as f64 / RAYS as f64;
    let squares: f64 = edges
        .iter()
        .map(|edge| (edge.radius - 1.0).powi(2).min(0.1))
        .sum();
    let rise: f64 = patch.rise_at_rim().iter().map(|rise| rise.min(1.0)).sum();
    let inner: f64 = (0..RAYS).map(|ray| patch.mean(ray, 0.35, 0.8)).sum();
    let outer: f64 = (0..RAYS).map(|ray| patch.mean(ray, 1.15, 1.5)).sum();
    Fit {
        rim,
        share,
        rise: rise / RAYS as f64,
        residual: (squares / RAYS as f64).sqrt(),
        contrast: (outer - inner) / RAYS as f64,
        patch,
    }
}

/// Moves and reshapes a rim to fit its edges; `None` if they are nowhere near an ellipse.
///
/// Around a rim that is nearly right, the radius of an ellipse is `c0 + c1 cos + c2 sin + c3 cos 2 +
/// c4 sin 2` of the angle: its size, its shift, and its shape. Edges far off count less.
fn step(rim: &Rim, edges: &[Edge; RAYS]) -> Option<Rim> {
    let rows =
        directions().map(|(cos, sin)| [1.0, cos, sin, cos * cos - sin * sin, 2.0 * cos * sin]);
    let mut fit = [0.0; 5];
    let mut spread = f64::INFINITY;
    for _ in 0..6 {
        let mut normal: Matrix<5, 5> = [[0.0; 5]; 5];
        let mut right = [0.0; 5];
        for (row, edge) in rows.iter().zip(edges) {
            let off = edge.radius - dot(row, &fit);
            let weight = edge.rise.min(0.5) / (1.0 + (off / spread).powi(2));
            for (at, value) in row.iter().enumerate() {
                right[at] += value * edge.radius * weight;
                for (entry, other) in normal[at].iter_mut().zip(row) {
                    *entry += value * other * weight;
                }
            }
        }
        fit = apply(&inverse(&normal)?, &right);
        let offs = rows.iter().zip(edges);
        let mut offs: Vec<f64> = offs
            .map(|(row, edge)| (edge.radius - dot(row, &fit)).abs())
            .collect();
        offs.sort_by(f64::total_cmp);
        spread = (1.5 * offs[RAYS / 2]).max(0.01);
    }
    let [size, right, down, stretch, skew] = fit;
    let inner = Shape {
        xx: size + stretch,
        xy: skew,
        yy: size - stretch,
    };
    let shape = rim.shape.times(inner);
    let (long, short) = shape.half_axes();
    let center = moved(rim, (right, down));
    (size > 0.2 && short > FLATTEST * long && center.x.is_finite() && center.y.is_finite())
        .then_some(Rim { center, shape })
}
