//! Centers that the edges of a picture vote for.
//!
//! At the rim of a hole the brightness rises outward. So each such pixel votes for the point where
//! the center must be if the hole has the expected shape, at several sizes.

use crate::plane::Plane;
use crate::rim::{Point, Shape};

/// The sizes that are tried, in parts of the expected one.
pub(crate) const SIZES: [f64; 7] = [0.76, 0.84, 0.92, 1.0, 1.09, 1.19, 1.3];
/// A rise of brightness a pixel, as a logarithm, that votes with half its weight.
const HALF_WEIGHT: f32 = 0.08;
/// A weaker rise does not vote.
const LEAST_RISE: f32 = 0.02;

/// A point that many edges vote for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Peak {
    pub center: Point,
    /// Its size, in parts of the expected one.
    pub size: f64,
    /// Votes, in parts of those that a whole sharp rim would give.
    pub votes: f64,
}

/// A part of a plane: columns and rows from the first, up to but without the second.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Window {
    pub x: (usize, usize),
    pub y: (usize, usize),
}

impl Window {
    pub fn whole(plane: &Plane) -> Self {
        Self {
            x: (0, plane.width()),
            y: (0, plane.height()),
        }
    }

    /// A square around a point.
    pub fn around(plane: &Plane, at: Point, reach: f64) -> Self {
        let span = |middle: f64, end: usize| {
            let from = (middle - reach).clamp(0.0, end as f64) as usize;
            let to = (middle + reach + 1.0).clamp(0.0, end as f64) as usize;
            (from, to)
        };
        Self {
            x: span(at.x, plane.width()),
            y: span(at.y, plane.height()),
        }
    }

    fn width(&self) -> usize {
        self.x.1 - self.x.0
    }

    fn height(&self) -> usize {
        self.y.1 - self.y.0
    }
}

/// The points with most votes in a window, most first. `shape` is in the plane's pixels.
pub(crate) fn peaks(plane: &Plane, window: Window, shape: Shape, most: usize) -> Vec<Peak> {
    let (width, height) = (window.width(), window.height());
    if width < 3 || height < 3 {
        return Vec::new();
    }
    let mut planes = vec![vec![0.0_f32; width * height]; SIZES.len()];
    vote(plane, window, shape, &mut planes);
    for (votes, size) in planes.iter_mut().zip(SIZES) {
        for _ in 0..2 {
            blur(votes, width, height);
        }
        // A whole rim has as many pixels as it is long.
        let rim = (std::f64::consts::TAU * shape.radius() * size) as f32;
        votes.iter_mut().for_each(|value| *value /= rim);
    }
    let apart = (0.5 * shape.half_axes().1).max(1.5);
    largest(&planes, window, apart, most)
}

fn vote(plane: &Plane, window: Window, shape: Shape, planes: &mut [Vec<f32>]) {
    let (width, height) = (window.width() as f64, window.height() as f64);
    for y in window.y.0.max(1)..window.y.1.min(plane.height() - 1) {
        for x in window.x.0.max(1)..window.x.1.min(plane.width() - 1) {
            let (dx, dy) = gradient(plane, x, y);
            let rise = dx.hypot(dy);
            if rise < LEAST_RISE {
                continue;
            }
            let weight = rise / (rise + HALF_WEIGHT);
            let (ux, uy) = shape.apply((f64::from(dx), f64::from(dy)));
            let length = ux.hypot(uy);
            let (ox, oy) = shape.apply((ux / length, uy / length));
            let (left, top) = (x as f64 - window.x.0 as f64, y as f64 - window.y.0 as f64);
            for (votes, size) in planes.iter_mut().zip(SIZES) {
                let (cx, cy) = ((left - ox * size).round(), (top - oy * size).round());
                if cx >= 0.0 && cy >= 0.0 && cx < width && cy < height {
                    votes[cy as usize * width as usize + cx as usize] += weight;
                }
            }
        }
    }
}

/// The slope of the brightness at a pixel inside the plane, over three rows and columns.
fn gradient(plane: &Plane, x: usize, y: usize) -> (f32, f32) {
    let at = |dx: usize, dy: usize| plane.at(x + dx - 1, y + dy - 1);
    let right = 3.0 * (at(2, 0) + at(2, 2)) + 10.0 * at(2, 1);
    let left = 3.0 * (at(0, 0) + at(0, 2)) + 10.0 * at(0, 1);
    let below = 3.0 * (at(0, 2) + at(2, 2)) + 10.0 * at(1, 2);
    let above = 3.0 * (at(0, 0) + at(2, 0)) + 10.0 * at(1, 0);
    ((right - left) / 32.0, (below - above) / 32.0)
}

/// Sums each value with its eight neighbors' by thirds, columns and then rows.
fn blur(values: &mut [f32], width: usize, height: usize) {
    let mut row = vec![0.0; width];
    for y in 0..height {
        let line = &mut values[y * width..][..width];
        row.copy_from_slice(line);
        for x in 1..width - 1 {
            line[x] = row[x] + 0.5 * (row[x - 1] + row[x + 1]);
        }
    }
    let mut above = values[..width].to_vec();
    for y in 1..height - 1 {
        for x in 0..width {
            let here = values[y * width + x];
            values[y * width + x] = here + 0.5 * (above[x] + values[(y + 1) * width + x]);
            above[x] = here;
        }
    }
}

fn largest(planes: &[Vec<f32>], window: Window, apart: f64, most: usize) -> Vec<Peak> {
    let (width, height) = (window.width(), window.height());
    let mut found: Vec<Peak> = Vec::new();
    for y in 1..height - 1 {
        for x in 1..width - 1 {
            for (votes, size) in planes.iter().zip(SIZES) {
                let here = votes[y * width + x];
                let is_peak = here > 0.0
                    && (0..9).all(|it| votes[(y + it / 3 - 1) * width + x + it % 3 - 1] <= here);
                if is_peak {
                    let center = Point {
                        x: (x + window.x.0) as f64 + 0.5,
                        y: (y + window.y.0) as f64 + 0.5,
                    };
                    found.push(Peak {
                        center,
                        size,
                        votes: f64::from(here),
                    });
                }
            }
        }
    }
    found.sort_by(|a, b| b.votes.total_cmp(&a.votes));
    let mut kept: Vec<Peak> = Vec::new();
    for peak in found {
        if kept.len() == most {
            break;
        }
        if kept
            .iter()
            .all(|other| other.center.distance(peak.center) > apart)
        {
            kept.push(peak);
        }
    }
    kept
}
