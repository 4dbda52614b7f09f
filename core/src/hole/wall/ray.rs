//! Rays from the intended center, as unit vectors: they are sorted, halved and subtracted without
//! computing an angle of each, which would take longer than all the rest.

/// A ray from the intended center, counterclockwise from half a turn before zero to half a turn
/// after it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ray {
    pub cos: f64,
    pub sin: f64,
    /// Grows with the angle, from -2 to 2.
    order: f64,
}

impl Ray {
    /// Half a turn before zero.
    pub const START: Ray = Ray::new(-1.0, -0.0);
    /// Angle zero, to the right in the photo.
    pub const ZERO: Ray = Ray::new(1.0, 0.0);
    /// Half a turn after zero.
    pub const END: Ray = Ray::new(-1.0, 0.0);

    /// Returns the ray of an angle whose cosine and sine are given.
    pub const fn new(cos: f64, sin: f64) -> Ray {
        let away = 1.0 - cos / (cos.abs() + sin.abs());
        Ray {
            cos,
            sin,
            order: away.copysign(sin),
        }
    }

    /// Returns the ray to a point, `None` for the intended center itself.
    pub fn to_point((x, y): (f64, f64)) -> Option<Ray> {
        let distance = (x * x + y * y).sqrt();
        (distance > 0.0).then(|| Ray::new(x / distance, y / distance))
    }

    /// Returns its angle, half a turn to either side of zero at most.
    pub fn angle(&self) -> f64 {
        self.sin.atan2(self.cos)
    }

    pub fn is_before(&self, other: &Ray) -> bool {
        self.order < other.order
    }

    pub fn total_cmp(&self, other: &Ray) -> std::cmp::Ordering {
        self.order.total_cmp(&other.order)
    }

    /// Returns the cosine and sine of the angle halfway to a later ray, at most half a turn away.
    pub fn halfway(&self, later: &Ray) -> (f64, f64) {
        let is_sharp = self.cos * later.cos + self.sin * later.sin > 0.0;
        // Along the sum of both, or square to their difference, whichever is longer.
        let (x, y) = if is_sharp {
            (self.cos + later.cos, self.sin + later.sin)
        } else {
            (later.sin - self.sin, self.cos - later.cos)
        };
        let length = (x * x + y * y).sqrt();
        (x / length, y / length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn ray(angle: f64) -> Ray {
        Ray::new(angle.cos(), angle.sin())
    }

    #[test]
    fn order_is_that_of_the_angles() {
        let angles = (-314..=314).map(|i| f64::from(i) / 100.0);
        let rays: Vec<Ray> = angles.clone().map(ray).collect();
        assert!(rays.windows(2).all(|pair| pair[0].is_before(&pair[1])));
        assert!(Ray::START.is_before(&rays[0]) && rays[628].is_before(&Ray::END));
        for (angle, ray) in angles.zip(rays) {
            assert!((ray.angle() - angle).abs() < 1e-12, "{angle}");
        }
        assert_eq!((Ray::START.angle(), Ray::END.angle()), (-PI, PI));
    }

    #[test]
    fn halfway_is_the_mean_angle() {
        for from in [-3.1, -1.7, -0.2, 0.0] {
            for turn in [1e-6, 0.4, 1.57, 1.58, 2.9, 3.1] {
                let (cos, sin) = ray(from).halfway(&ray(from + turn));
                assert!(
                    (cos - (from + 0.5 * turn).cos()).abs() < 1e-9,
                    "{from} {turn}"
                );
                assert!(
                    (sin - (from + 0.5 * turn).sin()).abs() < 1e-9,
                    "{from} {turn}"
                );
            }
        }
        assert_eq!(Ray::START.halfway(&Ray::ZERO), (0.0, -1.0));
        assert_eq!(Ray::ZERO.halfway(&Ray::END), (0.0, 1.0));
    }

    #[test]
    fn center_is_on_no_ray() {
        assert!(Ray::to_point((0.0, 0.0)).is_none());
        assert!(Ray::to_point((0.0, 1e-9)).is_some_and(|ray| ray.sin == 1.0));
    }
}
