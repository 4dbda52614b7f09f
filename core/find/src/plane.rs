//! Gray pictures: halved until a hole has the size that a step works at.

use crate::FindError;
use crate::rim::Point;

/// A gray picture, upright, with its brightness as the natural logarithm: a shadow then lowers both
/// sides of an edge alike.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    width: usize,
    height: usize,
    samples: Vec<f32>,
}

/// Added to a brightness of 0 to 255 before its logarithm, so that noise in black stays small.
const BLACK: f32 = 10.0;

impl Plane {
    pub fn width(&self) -> usize {
        self.width
    }

    pub fn height(&self) -> usize {
        self.height
    }

    /// The sample at whole coordinates, which must be inside.
    pub fn at(&self, x: usize, y: usize) -> f32 {
        self.samples[y * self.width + x]
    }

    /// The brightness at a point, between four samples; outside the picture, that of its edge.
    pub fn between(&self, x: f32, y: f32) -> f32 {
        let x = (x - 0.5).clamp(0.0, (self.width - 1) as f32);
        let y = (y - 0.5).clamp(0.0, (self.height - 1) as f32);
        let (left, top) = (x as usize, y as usize);
        let (right, below) = (
            (left + 1).min(self.width - 1),
            (top + 1).min(self.height - 1),
        );
        let (fx, fy) = (x - left as f32, y - top as f32);
        let upper = self.at(left, top) * (1.0 - fx) + self.at(right, top) * fx;
        let lower = self.at(left, below) * (1.0 - fx) + self.at(right, below) * fx;
        upper * (1.0 - fy) + lower * fy
    }
}

/// A gray picture with smaller copies of itself, each half as wide as the one before.
#[derive(Debug, Clone)]
pub struct Picture {
    levels: Vec<Plane>,
}

/// Narrower pictures are not halved again.
const SMALLEST_EDGE: usize = 32;

impl Picture {
    /// Takes the brightness of each pixel, row by row, from 0 to 255.
    ///
    /// # Errors
    /// [`FindError::NotAPicture`] if there are not `width` times `height` of them, or none.
    pub fn new(width: u32, height: u32, gray: &[u8]) -> Result<Self, FindError> {
        let (wide, high) = (width as usize, height as usize);
        if gray.is_empty() || wide.checked_mul(high) != Some(gray.len()) {
            return Err(FindError::NotAPicture { width, height });
        }
        let mut bright: Vec<f32> = gray.iter().map(|&sample| f32::from(sample)).collect();
        let (mut wide, mut high) = (wide, high);
        let mut levels = vec![logarithm(wide, high, &bright)];
        while wide.min(high) >= 2 * SMALLEST_EDGE {
            bright = halved(wide, high, &bright);
            (wide, high) = (wide / 2, high / 2);
            levels.push(logarithm(wide, high, &bright));
        }
        Ok(Self { levels })
    }

    /// Width in pixels.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.levels[0].width as f64
    }

    /// Height in pixels.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.levels[0].height as f64
    }

    /// Whether a point is in the picture.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        (0.0..=self.width()).contains(&point.x) && (0.0..=self.height()).contains(&point.y)
    }

    /// The largest copy in which `size` pixels of the picture are fewer than `most`, and how many
    /// of its pixels one of the picture is.
    pub(crate) fn level(&self, size: f64, most: f64) -> (&Plane, f64) {
        let mut scale = 1.0;
        let mut index = 0;
        while size * scale >= most && index + 1 < self.levels.len() {
            scale *= 0.5;
            index += 1;
        }
        (&self.levels[index], scale)
    }
}

fn logarithm(width: usize, height: usize, bright: &[f32]) -> Plane {
    Plane {
        width,
        height,
        samples: bright.iter().map(|sample| (sample + BLACK).ln()).collect(),
    }
}

fn halved(width: usize, height: usize, bright: &[f32]) -> Vec<f32> {
    let mut half = Vec::with_capacity((width / 2) * (height / 2));
    for y in 0..height / 2 {
        let upper = &bright[2 * y * width..][..width];
        let lower = &bright[(2 * y + 1) * width..][..width];
        let pairs = upper.chunks_exact(2).zip(lower.chunks_exact(2));
        half.extend(pairs.map(|(up, low)| (up[0] + up[1] + low[0] + low[1]) / 4.0));
    }
    half
}
