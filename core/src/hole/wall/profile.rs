//! What is left over a span of depth in which it changes, and its integral.
//!
//! The span is cut where the circles start or cease to touch the ring or each other; towards such a depth the part that is left may
//! run like a square root. A variable that slows down at both ends of each piece takes that away, and in it a short series of
//! Chebyshev polynomials fits; a piece in which it does not is halved. So the integral down to any depth is known at once, within a
//! bound that is known too. (Chebyshev series and their integrals: NIST Digital Library of Mathematical Functions, 3.5(iv), 3.11(ii).)

use std::f64::consts::PI;
use std::sync::OnceLock;

/// Terms of the series in each piece.
const TERMS: usize = 16;
/// The last terms of a series may come to so much, mm of whole thread: of them all, well below a millionth of any engagement.
const TAIL_MM: f64 = 2e-8;
/// Halvings at most. A piece that is still not smooth then is too short to matter.
const HALVINGS: u32 = 18;

/// What is left over a span, in pieces, from the face down.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Profile {
    pieces: Vec<Piece>,
    /// Depths looked at, in order, with what is left there.
    samples: Vec<(f64, f64)>,
}

#[derive(Debug, Clone, PartialEq)]
struct Piece {
    from_mm: f64,
    to_mm: f64,
    /// Whole thread above the piece, within the span.
    above_mm: f64,
    /// Coefficients of the integral from the piece's upper end, in the slowed variable.
    integral: [f64; TERMS + 1],
}

impl Profile {
    /// `left` is what is left at a depth; `cuts_mm` are the ends of the span and every depth between at which it may bend, in order.
    pub fn of(left: impl Fn(f64) -> f64, cuts_mm: &[f64]) -> Profile {
        let mut profile = Profile {
            pieces: Vec::with_capacity(cuts_mm.len()),
            samples: Vec::with_capacity(TERMS * cuts_mm.len()),
        };
        for pair in cuts_mm.windows(2) {
            profile.fit(&left, pair[0], pair[1], HALVINGS);
        }
        for end in [cuts_mm.first(), cuts_mm.last()].into_iter().flatten() {
            profile.samples.push((*end, left(*end)));
        }
        profile.samples.sort_by(|a, b| a.0.total_cmp(&b.0));
        profile.look_closer(left);
        profile
    }

    fn fit(&mut self, left: &impl Fn(f64) -> f64, from_mm: f64, to_mm: f64, halvings: u32) {
        let nodes = nodes();
        let values = nodes.map(|u| left(depth_at(u, from_mm, to_mm)));
        let weighted: [f64; TERMS] =
            std::array::from_fn(|i| values[i] * stretch(nodes[i]) * (to_mm - from_mm));
        let terms = series(&weighted);
        let tail: f64 = terms[TERMS - 3..].iter().map(|term| term.abs()).sum();
        if tail > TAIL_MM && halvings > 0 {
            let middle = 0.5 * (from_mm + to_mm);
            self.fit(left, from_mm, middle, halvings - 1);
            self.fit(left, middle, to_mm, halvings - 1);
            return;
        }
        let above_mm = self.pieces.last().map_or(0.0, Piece::below_mm);
        self.samples
            .extend((0..TERMS).map(|i| (depth_at(nodes[i], from_mm, to_mm), values[i])));
        self.pieces.push(Piece {
            from_mm,
            to_mm,
            above_mm,
            integral: integrated(&terms),
        });
    }

    /// Where the least of the samples lies between two that are more, the true least lies near by: it is looked for.
    fn look_closer(&mut self, left: impl Fn(f64) -> f64) {
        let lowest = (1..self.samples.len().saturating_sub(1)).min_by(|a, b| {
            let of = |i: &usize| self.samples[*i].1;
            of(a).total_cmp(&of(b))
        });
        let Some(i) = lowest else {
            return;
        };
        let (mut low, mut high) = (self.samples[i - 1].0, self.samples[i + 1].0);
        let flat = self.samples[i - 1].1 == self.samples[i].1;
        for _ in 0..if flat { 0 } else { 24 } {
            let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            if left(a) < left(b) {
                high = b;
            } else {
                low = a;
            }
        }
        let depth = 0.5 * (low + high);
        let at = self.samples.partition_point(|(known, _)| *known < depth);
        self.samples.insert(at, (depth, left(depth)));
    }

    /// Whole thread between two depths of the span, mm.
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

    /// The depths looked at between two depths, with what is left there.
    pub fn between(&self, from_mm: f64, to_mm: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        let start = self.samples.partition_point(|(depth, _)| *depth < from_mm);
        let samples = self.samples[start..].iter().copied();
        samples.take_while(move |(depth, _)| *depth <= to_mm)
    }
}

impl Piece {
    fn down_to(&self, depth_mm: f64) -> f64 {
        let share = (depth_mm - self.from_mm) / (self.to_mm - self.from_mm);
        self.above_mm + value(&self.integral, slowed(share.clamp(0.0, 1.0)))
    }

    fn below_mm(&self) -> f64 {
        self.above_mm + value(&self.integral, 1.0)
    }
}

/// The depth for a value of the slowed variable, which runs from -1 to 1: slow at both ends, `t^2 (3 - 2 t)` with `t` from 0 to 1.
fn depth_at(u: f64, from_mm: f64, to_mm: f64) -> f64 {
    let t = 0.5 * (u + 1.0);
    from_mm + (to_mm - from_mm) * t * t * (3.0 - 2.0 * t)
}

/// How fast the share of the piece grows with the slowed variable.
fn stretch(u: f64) -> f64 {
    let t = 0.5 * (u + 1.0);
    3.0 * t * (1.0 - t)
}

/// The slowed variable for a share of the piece: the middle root of `t^2 (3 - 2 t) = share`.
fn slowed(share: f64) -> f64 {
    -2.0 * ((1.0 - 2.0 * share).asin() / 3.0).sin()
}

/// Where the Chebyshev polynomial after the last term is zero.
fn nodes() -> [f64; TERMS] {
    static NODES: OnceLock<[f64; TERMS]> = OnceLock::new();
    *NODES.get_or_init(|| std::array::from_fn(|i| -cosine(1, i)))
}

fn cosine(order: usize, node: usize) -> f64 {
    (order as f64 * (node as f64 + 0.5) * PI / TERMS as f64).cos()
}

/// The coefficients of the series that takes these values at the nodes.
fn series(values: &[f64; TERMS]) -> [f64; TERMS] {
    static COSINES: OnceLock<[[f64; TERMS]; TERMS]> = OnceLock::new();
    let cosines =
        COSINES.get_or_init(|| std::array::from_fn(|k| std::array::from_fn(|i| cosine(k, i))));
    std::array::from_fn(|k| {
        let sum: f64 = values.iter().zip(&cosines[k]).map(|(v, c)| v * c).sum();
        // The nodes run the other way than their angles do.
        let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
        let share = if k == 0 { 1.0 } else { 2.0 };
        sign * share * sum / TERMS as f64
    })
}

/// The coefficients of the integral from -1 on.
fn integrated(terms: &[f64; TERMS]) -> [f64; TERMS + 1] {
    let term = |k: usize| terms.get(k).copied().unwrap_or(0.0);
    let mut integral: [f64; TERMS + 1] = std::array::from_fn(|k| match k {
        0 => 0.0,
        1 => term(0) - 0.5 * term(2),
        _ => (term(k - 1) - term(k + 1)) / (2.0 * k as f64),
    });
    integral[0] = -value(&integral, -1.0);
    integral
}

/// The value of a Chebyshev series, by Clenshaw's recurrence.
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
    fn a_polynomial_is_integrated_to_any_depth() {
        let profile = Profile::of(|z| z * z, &[1.0, 4.0]);
        for depth in [1.0, 1.3, 2.0, 3.999, 4.0] {
            let whole = profile.whole_mm(1.0, depth);
            assert!((whole - (depth.powi(3) - 1.0) / 3.0).abs() < 1e-12);
        }
        assert_eq!(profile.between(1.0, 4.0).next(), Some((1.0, 1.0)));
    }

    #[test]
    fn a_root_at_a_cut_and_a_bend_that_no_one_knew_of_stay_within_the_bound() {
        let root = Profile::of(|z: f64| (z - 2.0).abs().sqrt(), &[0.0, 2.0, 5.0]);
        let whole = (2.0_f64.powf(1.5) + 3.0_f64.powf(1.5)) / 1.5;
        assert!((root.whole_mm(0.0, 5.0) - whole).abs() < 1e-7);
        let bend = Profile::of(|z: f64| (z - 1.234_5).abs(), &[0.0, 3.0]);
        let whole = (1.234_5_f64.powi(2) + 1.765_5_f64.powi(2)) / 2.0;
        assert!((bend.whole_mm(0.0, 3.0) - whole).abs() < 1e-7);
        let least = bend.between(0.0, 3.0).map(|s| s.1).fold(1.0, f64::min);
        assert!(least < 1e-6, "{least}");
    }
}
