//! Thread left by depth where it varies, and its integral.
//!
//! The span is divided where circles become tangent to the ring or to each other; near such a depth
//! the thread left may behave like a square root. A change of variable with zero slope at both ends
//! of a piece removes that singularity, so that a short Chebyshev series fits; a piece that does
//! not fit is halved. The integral to any depth is then available at once, within a known error
//! bound. (Chebyshev series and their integrals: NIST Digital Library of Mathematical Functions,
//! 3.5(iv), 3.11(ii).)

use std::f64::consts::PI;
use std::sync::OnceLock;

/// Terms of the series of each piece.
const TERMS: usize = 20;
/// Largest sum of a series' last terms, in mm of whole thread: in total well below a millionth of
/// any engagement.
const MAX_TAIL_MM: f64 = 5e-8;
/// The same for the fraction left itself.
const MAX_TAIL: f64 = 1e-7;
/// Largest number of halvings. A piece that is still not smooth is then too short to matter.
const MAX_HALVINGS: u32 = 18;

/// Thread left over a span, in pieces from the face down.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Profile {
    pieces: Vec<Piece>,
    /// Sampled depths in mm, in order, with the fraction left there.
    samples: Vec<(f64, f64)>,
}

#[derive(Debug, Clone, PartialEq)]
struct Piece {
    from_mm: f64,
    to_mm: f64,
    /// Whole thread above the piece, within the span, in mm.
    above_mm: f64,
    /// Fraction left at each node.
    values: [f64; TERMS],
    /// Coefficients of the integral from the piece's upper end, in the mapped variable.
    integral: [f64; TERMS + 1],
}

impl Profile {
    /// Builds the profile of `left`, the fraction left at a depth in mm.
    ///
    /// `cuts_mm` are the ends of the span and every depth between them at which `left` may have a
    /// kink, in order.
    pub fn of(mut left: impl FnMut(f64) -> f64, cuts_mm: &[f64]) -> Profile {
        let mut profile = Profile {
            pieces: Vec::with_capacity(cuts_mm.len()),
            samples: Vec::with_capacity(TERMS * cuts_mm.len()),
        };
        for pair in cuts_mm.windows(2) {
            profile.fit(&mut left, pair[0], pair[1], MAX_HALVINGS);
        }
        // A kink is at a cut, and may be where least is left.
        let ends = cuts_mm.iter().map(|cut| (*cut, profile.at(*cut)));
        let ends: Vec<(f64, f64)> = ends.collect();
        profile.samples.extend(ends);
        profile.samples.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        profile.refine_minimum();
        profile
    }

    fn fit(&mut self, left: &mut impl FnMut(f64) -> f64, from_mm: f64, to_mm: f64, halvings: u32) {
        let nodes = nodes();
        let values = nodes.map(|u| left(depth_at(u, from_mm, to_mm)));
        let weighted: [f64; TERMS] =
            std::array::from_fn(|i| values[i] * jacobian(nodes[i]) * (to_mm - from_mm));
        let fits = tail(&weighted) <= MAX_TAIL_MM && tail(&values) <= MAX_TAIL;
        if !fits && halvings > 0 {
            let middle = 0.5 * (from_mm + to_mm);
            self.fit(left, from_mm, middle, halvings - 1);
            self.fit(left, middle, to_mm, halvings - 1);
            return;
        }
        let above_mm = self.pieces.last().map_or(0.0, Piece::total_mm);
        self.samples
            .extend((0..TERMS).map(|i| (depth_at(nodes[i], from_mm, to_mm), values[i])));
        self.pieces.push(Piece {
            from_mm,
            to_mm,
            above_mm,
            values,
            integral: integral_terms(&series(&weighted)),
        });
    }

    /// Adds a sample at the true minimum, searched for between the neighbors of the lowest sample.
    fn refine_minimum(&mut self) {
        let lowest = (1..self.samples.len().saturating_sub(1)).min_by(|a, b| {
            let of = |i: &usize| self.samples[*i].1;
            of(a).total_cmp(&of(b))
        });
        let Some(i) = lowest else {
            return;
        };
        let [above, at, below] = [i - 1, i, i + 1].map(|i| self.samples[i]);
        if above.1 == at.1 {
            return;
        }
        let depth = least_between(|depth| self.at(depth), above.0, below.0);
        let after = self.samples.partition_point(|(known, _)| *known < depth);
        self.samples.insert(after, (depth, self.at(depth)));
    }

    /// Returns the fraction left at a depth in mm; depths outside the span count as its nearer end.
    pub fn at(&self, depth_mm: f64) -> f64 {
        let after = self
            .pieces
            .partition_point(|piece| piece.from_mm < depth_mm);
        self.pieces
            .get(after.saturating_sub(1))
            .map_or(1.0, |piece| piece.at(depth_mm))
    }

    /// Returns the whole thread between two depths of the span, in mm.
    pub fn whole_mm(&self, from_mm: f64, to_mm: f64) -> f64 {
        self.down_to(to_mm) - self.down_to(from_mm)
    }

    fn down_to(&self, depth_mm: f64) -> f64 {
        let before = self
            .pieces
            .partition_point(|piece| piece.from_mm < depth_mm);
        before
            .checked_sub(1)
            .map_or(0.0, |index| self.pieces[index].down_to(depth_mm))
    }

    /// Returns the samples between two depths in mm: each a depth and the fraction left there.
    pub fn samples_between(
        &self,
        from_mm: f64,
        to_mm: f64,
    ) -> impl Iterator<Item = (f64, f64)> + '_ {
        let start = self.samples.partition_point(|(depth, _)| *depth < from_mm);
        let samples = self.samples[start..].iter().copied();
        samples.take_while(move |(depth, _)| *depth <= to_mm)
    }
}

/// Returns where a function with one minimum is least, by golden sections: each shortens the range to
/// .618, and keeps one of the two values.
fn least_between(of: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    const ROUNDS: usize = 14;
    let at = |low: f64, high: f64, share: f64| low + (high - low) * share;
    let (mut a, mut b) = (at(low, high, 1.0 - GOLDEN), at(low, high, GOLDEN));
    let (mut of_a, mut of_b) = (of(a), of(b));
    for _ in 0..ROUNDS {
        if of_a < of_b {
            (high, b, of_b) = (b, a, of_a);
            a = at(low, high, 1.0 - GOLDEN);
            of_a = of(a);
        } else {
            (low, a, of_a) = (a, b, of_b);
            b = at(low, high, GOLDEN);
            of_b = of(b);
        }
    }
    0.5 * (low + high)
}

impl Piece {
    /// Returns the mapped variable at a depth.
    fn mapped(&self, depth_mm: f64) -> f64 {
        let share = (depth_mm - self.from_mm) / (self.to_mm - self.from_mm);
        mapped(share.clamp(0.0, 1.0))
    }

    fn at(&self, depth_mm: f64) -> f64 {
        interpolated(&self.values, self.mapped(depth_mm)).clamp(0.0, 1.0)
    }

    fn down_to(&self, depth_mm: f64) -> f64 {
        self.above_mm + value(&self.integral, self.mapped(depth_mm))
    }

    fn total_mm(&self) -> f64 {
        self.above_mm + value(&self.integral, 1.0)
    }
}

/// Returns the polynomial through the values at the nodes, by the barycentric formula. (J.-P.
/// Berrut, L. N. Trefethen, Barycentric Lagrange Interpolation, 2004, equation 5.4.)
fn interpolated(values: &[f64; TERMS], u: f64) -> f64 {
    static WEIGHTS: OnceLock<[f64; TERMS]> = OnceLock::new();
    let weights = WEIGHTS.get_or_init(|| {
        std::array::from_fn(|i| {
            let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
            sign * ((i as f64 + 0.5) * PI / TERMS as f64).sin()
        })
    });
    let (mut top, mut bottom) = (0.0, 0.0);
    for ((node, weight), value) in nodes().into_iter().zip(weights).zip(values) {
        let away = u - node;
        if away == 0.0 {
            return *value;
        }
        top += weight / away * value;
        bottom += weight / away;
    }
    top / bottom
}

/// Returns the depth for a value `u` of the mapped variable, -1 to 1.
///
/// The map is `t^2 (3 - 2 t)` with `t` from 0 to 1, which has zero slope at both ends.
fn depth_at(u: f64, from_mm: f64, to_mm: f64) -> f64 {
    let t = 0.5 * (u + 1.0);
    from_mm + (to_mm - from_mm) * t * t * (3.0 - 2.0 * t)
}

/// Returns the derivative of the share of the piece by the mapped variable.
fn jacobian(u: f64) -> f64 {
    let t = 0.5 * (u + 1.0);
    3.0 * t * (1.0 - t)
}

/// Returns the mapped variable for a share of the piece: the middle root of `t^2 (3 - 2 t) =
/// share`.
fn mapped(share: f64) -> f64 {
    -2.0 * ((1.0 - 2.0 * share).asin() / 3.0).sin()
}

/// Returns the zeros of the Chebyshev polynomial after the last term.
fn nodes() -> [f64; TERMS] {
    static NODES: OnceLock<[f64; TERMS]> = OnceLock::new();
    *NODES.get_or_init(|| std::array::from_fn(|i| -cosine(1, i)))
}

fn cosine(order: usize, node: usize) -> f64 {
    (order as f64 * (node as f64 + 0.5) * PI / TERMS as f64).cos()
}

/// Returns the coefficients of the series that has these values at the nodes.
fn series(values: &[f64; TERMS]) -> [f64; TERMS] {
    std::array::from_fn(|k| coefficient(values, k))
}

/// Returns the sum of the last terms of the series that has these values at the nodes.
fn tail(values: &[f64; TERMS]) -> f64 {
    let last = TERMS - 3..TERMS;
    last.map(|k| coefficient(values, k).abs()).sum()
}

/// Returns one coefficient of the series that has these values at the nodes.
fn coefficient(values: &[f64; TERMS], k: usize) -> f64 {
    static COSINES: OnceLock<[[f64; TERMS]; TERMS]> = OnceLock::new();
    let cosines =
        COSINES.get_or_init(|| std::array::from_fn(|k| std::array::from_fn(|i| cosine(k, i))));
    let sum: f64 = values.iter().zip(&cosines[k]).map(|(v, c)| v * c).sum();
    // The nodes run opposite to their angles.
    let sign = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
    let share = if k == 0 { 1.0 } else { 2.0 };
    sign * share * sum / TERMS as f64
}

/// Returns the coefficients of the integral from -1.
fn integral_terms(terms: &[f64; TERMS]) -> [f64; TERMS + 1] {
    let term = |k: usize| terms.get(k).copied().unwrap_or(0.0);
    let mut integral: [f64; TERMS + 1] = std::array::from_fn(|k| match k {
        0 => 0.0,
        1 => term(0) - 0.5 * term(2),
        _ => (term(k - 1) - term(k + 1)) / (2.0 * k as f64),
    });
    integral[0] = -value(&integral, -1.0);
    integral
}

/// Returns the value of a Chebyshev series, by Clenshaw's recurrence.
fn value(terms: &[f64; TERMS + 1], u: f64) -> f64 {
    let (mut one, mut two) = (0.0, 0.0);
    for term in terms[1..].iter().rev() {
        (one, two) = (2.0 * u * one - two + term, one);
    }
    u * one - two + terms[0]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomial_is_integrated_to_any_depth() {
        let profile = Profile::of(|z| z * z, &[1.0, 4.0]);
        for depth in [1.0, 1.3, 2.0, 3.999, 4.0] {
            let whole = profile.whole_mm(1.0, depth);
            assert!((whole - (depth.powi(3) - 1.0) / 3.0).abs() < 1e-12);
        }
        assert_eq!(profile.samples_between(1.0, 4.0).next(), Some((1.0, 1.0)));
    }

    #[test]
    fn root_at_a_cut_and_unannounced_kink_stay_within_the_bound() {
        let root = Profile::of(|z: f64| (z - 2.0).abs().sqrt(), &[0.0, 2.0, 5.0]);
        let whole = (2.0_f64.powf(1.5) + 3.0_f64.powf(1.5)) / 1.5;
        assert!((root.whole_mm(0.0, 5.0) - whole).abs() < 1e-7);
        let bend = Profile::of(|z: f64| (z - 1.234_5).abs(), &[0.0, 3.0]);
        let whole = (1.234_5_f64.powi(2) + 1.765_5_f64.powi(2)) / 2.0;
        assert!((bend.whole_mm(0.0, 3.0) - whole).abs() < 1e-7);
        let least = bend
            .samples_between(0.0, 3.0)
            .map(|s| s.1)
            .fold(1.0, f64::min);
        assert!(least < 1e-6, "{least}");
    }
}
