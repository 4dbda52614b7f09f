//! Errors that found holes have in common, such as those of one photo: the mean of many such holes is
//! no better for them.

use super::consensus::Consensus;
use super::least_squares::{Fit, weight};
use super::{CommonError, Pair, Survey};
use crate::Point;
use crate::gauss::Covariance;
use crate::linear::Matrix;

/// The holes that a fit rests on, with the parts of their errors.
pub(super) struct Common<'a> {
    fit: &'a Fit,
    holes: Vec<Part<'a>>,
    causes: usize,
}

/// A hole of the fit.
struct Part<'a> {
    at: Point,
    weight: f64,
    /// The variance that it has for itself.
    own: f64,
    common: &'a [(f64, f64)],
}

impl<'a> Common<'a> {
    /// `None` if no error is common.
    pub fn of(
        survey: &Survey,
        common: &'a [CommonError],
        pairs: &[Pair],
        found: &'a Consensus,
    ) -> Option<Self> {
        let causes = common.iter().map(Vec::len).max().filter(|most| *most > 0)?;
        let size = found.fit.placement.scale();
        let part = |at: &usize| {
            let pair = &pairs[*at];
            let common: &[(f64, f64)] = common.get(pair.found_index).map_or(&[], |it| it);
            let shared = common.iter().map(|(x, y)| x * x + y * y).sum::<f64>() / 2.0;
            let stated = survey.found[pair.found_index].error_mm.powi(2);
            Part {
                at: pair.wanted,
                weight: weight(pair, size),
                own: (stated - shared).max(0.0) + (size * pair.wanted_error_mm).powi(2),
                common,
            }
        };
        Some(Self {
            fit: &found.fit,
            holes: found.agreeing.iter().map(part).collect(),
            causes,
        })
    }

    /// The covariance of a predicted place.
    pub fn covariance(&self, wanted: Point) -> Covariance {
        let mut moved = vec![(0.0, 0.0); self.causes];
        let mut sum = Covariance::default();
        for hole in &self.holes {
            let [[a, b], [c, d]] = self.pull(wanted, hole);
            sum = sum
                .plus(Covariance::along((a, c), hole.own))
                .plus(Covariance::along((b, d), hole.own));
            for (moved, (x, y)) in moved.iter_mut().zip(hole.common) {
                moved.0 += a * x + b * y;
                moved.1 += c * x + d * y;
            }
        }
        let common = moved.into_iter().map(|by| Covariance::along(by, 1.0));
        common.fold(sum, Covariance::plus)
    }

    /// How the deviation of a hole moves a predicted place.
    fn pull(&self, wanted: Point, hole: &Part<'_>) -> Matrix<2, 2> {
        self.fit.pull(wanted, hole.at, hole.weight)
    }
}
