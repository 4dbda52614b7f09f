//! Normal distributions in the plane.

use std::f64::consts::TAU;

/// The squared deviation in two coordinates that 999 of 1,000 readings stay within: the .999
/// quantile of chi-squared with two degrees of freedom, -2 ln .001.
pub(crate) const WANDERED_CHI2: f64 = 13.815_510_557_964_274;

/// The covariance of a point, mm².
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Covariance {
    pub xx: f64,
    pub xy: f64,
    pub yy: f64,
}

impl Covariance {
    /// The same in all directions.
    pub fn round(variance: f64) -> Self {
        Self {
            xx: variance,
            xy: 0.0,
            yy: variance,
        }
    }

    /// Along one direction: `variance` times v vᵀ.
    pub fn along((x, y): (f64, f64), variance: f64) -> Self {
        Self {
            xx: variance * x * x,
            xy: variance * x * y,
            yy: variance * y * y,
        }
    }

    pub fn plus(self, other: Self) -> Self {
        Self {
            xx: self.xx + other.xx,
            xy: self.xy + other.xy,
            yy: self.yy + other.yy,
        }
    }

    pub fn times(self, factor: f64) -> Self {
        Self {
            xx: self.xx * factor,
            xy: self.xy * factor,
            yy: self.yy * factor,
        }
    }

    /// The squared deviation of a point in units of this covariance.
    pub fn chi2(self, (x, y): (f64, f64)) -> f64 {
        let determinant = self.xx * self.yy - self.xy * self.xy;
        (self.yy * x * x - 2.0 * self.xy * x * y + self.xx * y * y) / determinant
    }

    /// Variances along and across the longest direction.
    pub fn principal(self) -> (f64, f64) {
        let half = f64::midpoint(self.xx, self.yy);
        let root = ((self.xx - self.yy) / 2.0).hypot(self.xy);
        (half + root, (half - root).max(0.0))
    }

    /// The standard deviation of a coordinate, averaged over all directions.
    pub fn error(self) -> f64 {
        f64::midpoint(self.xx, self.yy).max(0.0).sqrt()
    }

    /// The radius of the circle that holds 95 % of the distribution.
    pub fn radius95(self) -> f64 {
        let (along, across) = self.principal();
        if along <= 0.0 {
            return 0.0;
        }
        let narrow = (across / along).min(1.0);
        along.sqrt() * radius95_of_unit(narrow)
    }
}

/// The radius for variances 1 and `across`: 1.960 for a line, 2.448 for a circle.
///
/// A point of the distribution is R (cos u, b sin u) with R Rayleigh-distributed and u uniform, so
/// the share outside of radius r is the mean of exp(-r² / 2 (cos² u + b² sin² u)) over u; solved
/// with Newton's method.
fn radius95_of_unit(across: f64) -> f64 {
    const STEPS: u32 = 48;
    let mut r = 2.2;
    for _ in 0..8 {
        let (mut outside, mut slope) = (0.0, 0.0);
        for step in 0..STEPS {
            // By symmetry a quarter turn is enough; midpoints avoid both ends.
            let u = (f64::from(step) + 0.5) / f64::from(STEPS) * TAU / 4.0;
            let g = u.cos().powi(2) + across * u.sin().powi(2);
            let tail = (-r * r / (2.0 * g)).exp() / f64::from(STEPS);
            outside += tail;
            slope -= tail * r / g;
        }
        let change = (outside - 0.05) / slope;
        r -= change;
        if change.abs() < 1e-10 {
            break;
        }
    }
    r
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_circle_of_95_percent_has_its_known_limits() {
        // Normal and Rayleigh distributions: 1.959964 and sqrt(-2 ln .05).
        assert!((radius95_of_unit(0.0) - 1.959_964).abs() < 1e-5);
        assert!((radius95_of_unit(1.0) - (-2.0 * 0.05_f64.ln()).sqrt()).abs() < 1e-9);
        let circle = Covariance::round(4.0).radius95();
        assert!((circle - 2.0 * 2.447_747).abs() < 1e-5);
    }

    #[test]
    fn a_deviation_is_measured_in_its_covariance() {
        let covariance = Covariance {
            xx: 4.0,
            xy: 0.0,
            yy: 1.0,
        };
        assert!((covariance.chi2((2.0, 1.0)) - 2.0).abs() < 1e-12);
        let turned = Covariance::along((0.6, 0.8), 3.0).plus(Covariance::round(1.0));
        assert!((turned.chi2((0.6, 0.8)) - 0.25).abs() < 1e-12);
        assert!((turned.principal().0 - 4.0).abs() < 1e-12);
    }
}
