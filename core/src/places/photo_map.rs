//! The map between a photo and the face: both ways, by known points.

use holebook_place::plane::{Homography, KnownPoint, Mark, PhotoSurvey, measure};
use holebook_place::{PlaceError, Point};

/// A map between a photo's pixels and places on the face.
pub(crate) enum PhotoMap {
    /// Turn, scale and perspective.
    Perspective(Homography),
    /// Turn and scale: from the pixel of the origin, and what a pixel to the right and one down are
    /// on the face.
    Square {
        origin: Point,
        right: (f64, f64),
        down: (f64, f64),
    },
}

impl PhotoMap {
    /// Fits a map to known points: two or three give turn and scale, more the perspective.
    pub fn fit(known: Vec<KnownPoint>) -> Result<Self, PlaceError> {
        if known.len() >= 4 {
            let survey = PhotoSurvey {
                known,
                ..PhotoSurvey::default()
            };
            return Homography::fit(&survey).map(Self::Perspective);
        }
        let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)];
        let survey = PhotoSurvey {
            known,
            marks: corners
                .map(|(px, py)| Mark {
                    px,
                    py,
                    error_px: None,
                })
                .to_vec(),
            ..PhotoSurvey::default()
        };
        let points = measure(&survey)?.points;
        let origin = Point::new(points[0].x_mm, points[0].y_mm);
        let step = |at: usize| (points[at].x_mm - origin.x_mm, points[at].y_mm - origin.y_mm);
        Ok(Self::Square {
            origin,
            right: step(1),
            down: step(2),
        })
    }

    /// Returns the place of a pixel; `None` beyond the horizon.
    pub fn place(&self, (px, py): (f64, f64)) -> Option<Point> {
        match self {
            Self::Perspective(map) => map.place(px, py),
            Self::Square {
                origin,
                right,
                down,
            } => Some(Point::new(
                origin.x_mm + px * right.0 + py * down.0,
                origin.y_mm + px * right.1 + py * down.1,
            )),
        }
    }

    /// Returns the pixel of a place; `None` if it cannot be in the photo.
    pub fn pixel(&self, at: Point) -> Option<(f64, f64)> {
        match self {
            Self::Perspective(map) => map.pixel(at),
            Self::Square {
                origin,
                right,
                down,
            } => {
                let (x, y) = (at.x_mm - origin.x_mm, at.y_mm - origin.y_mm);
                let det = right.0 * down.1 - right.1 * down.0;
                let px = (x * down.1 - y * down.0) / det;
                let py = (right.0 * y - right.1 * x) / det;
                (px.is_finite() && py.is_finite()).then_some((px, py))
            }
        }
    }

    /// Returns how many pixels a length at a place covers at most.
    pub fn pixels(&self, at: Point, mm: f64) -> Option<f64> {
        let (px, py) = self.pixel(at)?;
        let sides = [(mm, 0.0), (0.0, mm), (-mm, 0.0), (0.0, -mm)];
        let far = sides.iter().filter_map(|(x, y)| {
            let (other_px, other_py) = self.pixel(Point::new(at.x_mm + x, at.y_mm + y))?;
            Some((other_px - px).hypot(other_py - py))
        });
        far.reduce(f64::max)
    }

    /// Returns whether the face is seen turned over at a pixel: Y counts down in a photo and up on a
    /// face.
    pub fn is_turned_over(&self, (px, py): (f64, f64)) -> bool {
        let corners = (
            self.place((px, py)),
            self.place((px + 1.0, py)),
            self.place((px, py + 1.0)),
        );
        let (Some(at), Some(right), Some(down)) = corners else {
            return false;
        };
        let x = (right.x_mm - at.x_mm, right.y_mm - at.y_mm);
        let y = (down.x_mm - at.x_mm, down.y_mm - at.y_mm);
        x.0 * y.1 - x.1 * y.0 > 0.0
    }
}
