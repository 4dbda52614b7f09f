//! Elliptic integral of the second kind: the mean distance to an off-center circle needs it.
//!
//! Computed with Carlson's symmetric integrals (B. C. Carlson, Numerical computation of real or
//! complex elliptic integrals, 1995; the same formulas are in the NIST Digital Library of
//! Mathematical Functions, 19.25(i) and 19.36(i)).

use std::f64::consts::PI;

/// The series are of fifth order, so their error falls with the sixth power of the spread.
const MAX_SPREAD: f64 = 0.004;

/// Up to here the power series needs fewer steps.
const LARGEST_K2_OF_SERIES: f64 = 0.25;
/// Terms of the power series: enough for 1e-14 at its largest `k2`.
const TERMS: usize = 22;
/// One over twice the number of each term.
const HALVES: [f64; TERMS] = {
    let mut halves = [0.0; TERMS];
    let mut at = 0;
    while at < TERMS {
        halves[at] = 0.5 / (at as f64 + 1.0);
        at += 1;
    }
    halves
};

/// Returns the integral of `sqrt(1 - k2 * sin^2)` between two angles, whose sines and cosines are
/// given, and which are `turn` radians apart.
///
/// The root must be real over the whole range.
pub(super) fn second_kind(turn: f64, from: (f64, f64), to: (f64, f64), k2: f64) -> f64 {
    if k2 <= LARGEST_K2_OF_SERIES {
        return by_series(turn, [from, to], k2);
    }
    let start = from.0.atan2(from.1);
    by_carlson(start + turn, to, k2) - by_carlson(start, from, k2)
}

/// Returns the integral from zero to an angle by Carlson's algorithm, for any `k2`.
pub(super) fn by_carlson(angle: f64, (sin, cos): (f64, f64), k2: f64) -> f64 {
    let half_turns = (angle / PI).round();
    // Half a turn changes both signs.
    let sign = if half_turns % 2.0 == 0.0 { 1.0 } else { -1.0 };
    let within = first_quarter((sign * sin, sign * cos), k2);
    if half_turns == 0.0 {
        within
    } else {
        2.0 * half_turns * first_quarter((1.0, 0.0), k2) + within
    }
}

/// Returns the integral between two angles by the binomial series of the root, term by term: the
/// integral of `sin^2n` from zero is `a angle - sin cos q`, where `a` and `q` follow from those of
/// the term before.
fn by_series(turn: f64, ends: [(f64, f64); 2], k2: f64) -> f64 {
    let sin2 = ends.map(|(sin, _)| sin * sin);
    let (mut factor, mut power) = (1.0, [1.0; 2]);
    let (mut a, mut q) = (1.0, [0.0; 2]);
    let (mut sum_a, mut sum_q) = (1.0, [0.0; 2]);
    for half in HALVES {
        factor *= k2 * (1.0 - 3.0 * half);
        a -= a * half;
        sum_a += factor * a;
        for end in 0..2 {
            q[end] += half * (power[end] - q[end]);
            power[end] *= sin2[end];
            sum_q[end] += factor * q[end];
        }
        if factor.abs() < 1e-13 {
            break;
        }
    }
    let [from, to] = [0, 1].map(|end| sum_q[end] * ends[end].0 * ends[end].1);
    sum_a * turn - (to - from)
}

/// Returns it for an angle within a quarter turn of zero, by its sine and cosine.
fn first_quarter((sin, cos): (f64, f64), k2: f64) -> f64 {
    let (cos2, root2) = (cos * cos, (1.0 - k2 * sin * sin).max(0.0));
    if cos2 < 1e-24 && root2 < 1e-24 {
        // The damage circle passes through the intended center, where the root is the cosine.
        return sin;
    }
    let (rf, rd) = carlson_rf_rd(cos2, root2);
    sin * (rf - k2 * sin * sin * rd / 3.0)
}

/// Returns Carlson's RF(x, y, 1) and RD(x, y, 1), by his duplication algorithm.
///
/// `x` and `y` must not be negative, nor both zero.
fn carlson_rf_rd(mut x: f64, mut y: f64) -> (f64, f64) {
    let (mut z, mut scale, mut sum) = (1.0_f64, 1.0_f64, 0.0_f64);
    loop {
        let (mean_f, mean_d) = ((x + y + z) / 3.0, (x + y + 3.0 * z) / 5.0);
        let spread = (mean_f - x)
            .abs()
            .max((mean_f - y).abs())
            .max((mean_f - z).abs());
        if spread < MAX_SPREAD * mean_f {
            let rf = series_f(1.0 - x / mean_f, 1.0 - y / mean_f) / mean_f.sqrt();
            let rd = series_d(1.0 - x / mean_d, 1.0 - y / mean_d) / (mean_d * mean_d.sqrt());
            return (rf, 3.0 * sum + scale * rd);
        }
        let (root_x, root_y, root_z) = (x.sqrt(), y.sqrt(), z.sqrt());
        let lambda = root_x * root_y + root_x * root_z + root_y * root_z;
        sum += scale / (root_z * (z + lambda));
        scale *= 0.25;
        (x, y, z) = (
            0.25 * (x + lambda),
            0.25 * (y + lambda),
            0.25 * (z + lambda),
        );
    }
}

fn series_f(x: f64, y: f64) -> f64 {
    let z = -(x + y);
    let (e2, e3) = (x * y - z * z, x * y * z);
    1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0
}

fn series_d(x: f64, y: f64) -> f64 {
    let z = -(x + y) / 3.0;
    let (xy, z2) = (x * y, z * z);
    let (e2, e3) = (xy - 6.0 * z2, (3.0 * xy - 8.0 * z2) * z);
    let (e4, e5) = (3.0 * (xy - z2) * z2, xy * z2 * z);
    1.0 - 3.0 * e2 / 14.0 + e3 / 6.0 + 9.0 * e2 * e2 / 88.0 - 3.0 * e4 / 22.0 - 9.0 * e2 * e3 / 52.0
        + 3.0 * e5 / 26.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    fn of(angle: f64, k2: f64) -> f64 {
        second_kind(angle, (0.0, 1.0), angle.sin_cos(), k2)
    }

    fn close(a: f64, b: f64, within: f64) {
        assert!((a - b).abs() < within, "{a} against {b}");
    }

    #[test]
    fn matches_published_values() {
        // Abramowitz and Stegun, Handbook of Mathematical Functions, tables 17.2 and 17.6 (values
        // from memory).
        close(of(FRAC_PI_2, 0.5), 1.350_643_881_0, 1e-10);
        close(of(PI / 6.0, 0.25), 0.517_881_93, 1e-8);
        close(of(FRAC_PI_2, 0.0), FRAC_PI_2, 1e-15);
        close(of(FRAC_PI_2, 1.0), 1.0, 1e-12);
    }

    #[test]
    fn parts_add_up() {
        for k2 in [0.0, 0.2, 0.25, 0.3, 0.9] {
            for (from, to) in [(-3.0, 3.0_f64), (1.4, 1.7), (2.9, 6.0), (-0.3_f64, -0.2)] {
                let part = second_kind(to - from, from.sin_cos(), to.sin_cos(), k2);
                // Whole half turns are the same wherever they start.
                close(part, of(to, k2) - of(from, k2), 1e-12);
            }
        }
    }

    #[test]
    fn matches_a_dense_sum() {
        for k2 in [0.0, 0.1, 0.25, 0.250_001, 0.7, 0.99, 0.999_999, 1.0] {
            for angle in [-3.0, -1.0, 0.3, 1.5, 2.2, 3.1, 5.9] {
                let n = 400_000;
                let step = angle / f64::from(n);
                let sum: f64 = (0..n)
                    .map(|i| ((f64::from(i) + 0.5) * step).sin())
                    .map(|s| (1.0 - k2 * s * s).max(0.0).sqrt() * step)
                    .sum();
                close(of(angle, k2), sum, 1e-9);
            }
        }
    }

    #[test]
    fn integral_reaches_the_tangent_where_k2_exceeds_one() {
        // With k2 above one, the ray is tangent to the circle where k sin = 1. Integral of
        // sqrt(1 - k2 sin^2), k2 = 4, to 30 degrees, by substitution u = sin t / sin 30: the sum
        // of 0.5 sqrt(1 - u^2) / sqrt(1 - u^2 / 4) du from 0 to 1.
        let n = 2_000_000;
        let sum: f64 = (0..n)
            .map(|i| ((f64::from(i) + 0.5) / f64::from(n) * FRAC_PI_2).sin_cos())
            .map(|(u, c)| 0.5 * c * c / (1.0 - u * u / 4.0).sqrt() * FRAC_PI_2 / f64::from(n))
            .sum();
        close(of(PI / 6.0, 4.0), sum, 1e-9);
    }
}
