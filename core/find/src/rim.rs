//! The rim of a hole as it shows in a picture: an ellipse.

/// A point of a picture: pixels to the right and down from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Pixels to the right.
    pub x: f64,
    /// Pixels down.
    pub y: f64,
}

impl Point {
    /// The distance to another point, pixels.
    #[must_use]
    pub fn distance(self, other: Point) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// The shape of an ellipse: the symmetric matrix that makes it of the unit circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Shape {
    pub xx: f64,
    pub xy: f64,
    pub yy: f64,
}

impl Shape {
    pub fn circle(radius: f64) -> Self {
        Self {
            xx: radius,
            xy: 0.0,
            yy: radius,
        }
    }

    pub fn scaled(self, by: f64) -> Self {
        Self {
            xx: self.xx * by,
            xy: self.xy * by,
            yy: self.yy * by,
        }
    }

    /// Applies the matrix, which is its own transpose.
    pub fn apply(self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.xx * x + self.xy * y, self.xy * x + self.yy * y)
    }

    /// The radius of a circle of the same area.
    pub fn radius(self) -> f64 {
        (self.xx * self.yy - self.xy * self.xy).max(0.0).sqrt()
    }

    /// The longer and the shorter half axis.
    pub fn half_axes(self) -> (f64, f64) {
        let middle = (self.xx + self.yy) / 2.0;
        let apart = ((self.xx - self.yy) / 2.0).hypot(self.xy);
        (middle + apart, middle - apart)
    }

    /// The ellipse that this one makes of the small ellipse `inner`: the symmetric root of
    /// `M Mᵀ` with `M` the product of both, which has the same outline.
    pub fn times(self, inner: Self) -> Self {
        let m = [
            [
                self.xx * inner.xx + self.xy * inner.xy,
                self.xx * inner.xy + self.xy * inner.yy,
            ],
            [
                self.xy * inner.xx + self.yy * inner.xy,
                self.xy * inner.xy + self.yy * inner.yy,
            ],
        ];
        let square = Self {
            xx: m[0][0] * m[0][0] + m[0][1] * m[0][1],
            xy: m[0][0] * m[1][0] + m[0][1] * m[1][1],
            yy: m[1][0] * m[1][0] + m[1][1] * m[1][1],
        };
        square.root()
    }

    /// The symmetric square root of a positive matrix.
    fn root(self) -> Self {
        let determinant = (self.xx * self.yy - self.xy * self.xy).max(0.0).sqrt();
        let trace = (self.xx + self.yy + 2.0 * determinant)
            .max(f64::MIN_POSITIVE)
            .sqrt();
        Self {
            xx: (self.xx + determinant) / trace,
            xy: self.xy / trace,
            yy: (self.yy + determinant) / trace,
        }
    }

    /// The mean of shapes, with the sizes averaged by their logarithm.
    pub fn mean(shapes: &[Shape]) -> Option<Shape> {
        let count = shapes.len() as f64;
        let log: f64 = shapes.iter().map(|shape| shape.radius().ln()).sum::<f64>() / count;
        let mut sum = Shape {
            xx: 0.0,
            xy: 0.0,
            yy: 0.0,
        };
        for shape in shapes {
            let unit = shape.scaled(1.0 / shape.radius());
            sum = Shape {
                xx: sum.xx + unit.xx,
                xy: sum.xy + unit.xy,
                yy: sum.yy + unit.yy,
            };
        }
        let radius = sum.radius();
        (radius > 0.0).then(|| sum.scaled(log.exp() / radius))
    }
}

/// The rim of a hole in a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rim {
    /// Its center.
    pub center: Point,
    pub(crate) shape: Shape,
}

impl Rim {
    /// The diameter of a circle of the same area, pixels.
    #[must_use]
    pub fn diameter(&self) -> f64 {
        2.0 * self.shape.radius()
    }

    /// The longest and the shortest diameter, pixels.
    #[must_use]
    pub fn axes(&self) -> (f64, f64) {
        let (long, short) = self.shape.half_axes();
        (2.0 * long, 2.0 * short)
    }
}
