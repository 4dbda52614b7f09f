//! Lines of equal height over a face, interpolated between readings.

use holebook_place::flatness::HeightReading;

/// Cells of the grid along each side.
const CELLS: usize = 32;
/// The lines divide the range into so many bands.
const BANDS: usize = 5;

/// A place, mm to the right and up.
type Place = (f64, f64);

/// A line of equal height.
pub struct Contour {
    /// Its straight pieces.
    pub pieces: Vec<(Place, Place)>,
}

/// The corners of the grid, and the height at each.
struct Grid {
    x_mm: Vec<f64>,
    y_mm: Vec<f64>,
    heights: Vec<f64>,
}

/// Returns the lines of equal height inside the readings' range; none for a flat face.
/// `above_mm` is the height of each reading.
pub fn contours(points: &[HeightReading], above_mm: &[f64]) -> Vec<Contour> {
    let highest = above_mm.iter().copied().fold(0.0, f64::max);
    if highest <= 0.0 || points.len() < 3 {
        return Vec::new();
    }
    let grid = Grid::over(points, above_mm);
    let levels = (1..BANDS).map(|band| highest * band as f64 / BANDS as f64);
    levels.map(|level| grid.contour(level)).collect()
}

impl Grid {
    fn over(points: &[HeightReading], above_mm: &[f64]) -> Self {
        let steps = |of: fn(&HeightReading) -> f64| {
            let low = points.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            let step = (high - low) / CELLS as f64;
            (0..=CELLS)
                .map(|at| low + step * at as f64)
                .collect::<Vec<f64>>()
        };
        let (x_mm, y_mm) = (steps(|point| point.x_mm), steps(|point| point.y_mm));
        let corners = y_mm.iter().flat_map(|y| x_mm.iter().map(move |x| (*x, *y)));
        let heights = corners
            .map(|at| interpolated(points, above_mm, at))
            .collect();
        Self {
            x_mm,
            y_mm,
            heights,
        }
    }

    fn corner(&self, column: usize, row: usize) -> (Place, f64) {
        let at = (self.x_mm[column], self.y_mm[row]);
        (at, self.heights[row * (CELLS + 1) + column])
    }

    /// The line of a height: where each half of each cell is cut by it.
    fn contour(&self, level: f64) -> Contour {
        let mut pieces = Vec::new();
        for row in 0..CELLS {
            for column in 0..CELLS {
                let [a, b, c, d] = [(0, 0), (1, 0), (1, 1), (0, 1)]
                    .map(|(right, up)| self.corner(column + right, row + up));
                pieces.extend(cut([a, b, c], level));
                pieces.extend(cut([a, c, d], level));
            }
        }
        Contour { pieces }
    }
}

/// The piece of a line in a triangle.
fn cut(corners: [(Place, f64); 3], level: f64) -> Option<(Place, Place)> {
    let sides = [(0, 1), (1, 2), (2, 0)];
    let mut ends = sides.iter().filter_map(|(from, to)| {
        let ((from, low), (to, high)) = (corners[*from], corners[*to]);
        let crosses = (low < level) != (high < level);
        let share = (level - low) / (high - low);
        let between = |from: f64, to: f64| from + share * (to - from);
        crosses.then(|| (between(from.0, to.0), between(from.1, to.1)))
    });
    Some((ends.next()?, ends.next()?))
}

/// The mean of the readings, weighted by the inverse square of their distance.
fn interpolated(points: &[HeightReading], above_mm: &[f64], (x, y): Place) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (point, above) in points.iter().zip(above_mm) {
        let weight = 1.0 / ((point.x_mm - x).powi(2) + (point.y_mm - y).powi(2)).max(1e-6);
        (sum, weights) = (sum + weight * above, weights + weight);
    }
    sum / weights
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hill in the middle has closed lines around it.
    #[test]
    fn every_line_ends_where_another_piece_begins() {
        let at = |x: f64, y: f64, z: f64| HeightReading {
            x_mm: x,
            y_mm: y,
            z_mm: z,
        };
        let grid = (0..25).map(|at_: u32| (f64::from(at_ % 5), f64::from(at_ / 5)));
        let hill = |(x, y): (f64, f64)| (2.0 - (x - 2.0).abs()).min(2.0 - (y - 2.0).abs());
        let points: Vec<HeightReading> = grid.map(|(x, y)| at(x, y, hill((x, y)))).collect();
        let above: Vec<f64> = points.iter().map(|point| point.z_mm).collect();
        let lines = contours(&points, &above);
        assert_eq!(lines.len(), BANDS - 1);
        let top = &lines[BANDS - 2].pieces;
        assert!(top.len() > 8, "{}", top.len());
        for (from, to) in top {
            for end in [from, to] {
                let near = |other: &Place| (other.0 - end.0).hypot(other.1 - end.1) < 1e-9;
                let ends = top.iter().flat_map(|(from, to)| [from, to]);
                assert!(
                    ends.filter(|other| near(other)).count() >= 2,
                    "open at {end:?}"
                );
            }
        }
        assert!(
            contours(&points, &[0.0; 25]).is_empty(),
            "a flat face has none"
        );
    }
}
