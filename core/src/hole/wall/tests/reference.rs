//! Thread left and engagement by the plain slow integrals: every angle between two breakpoints by
//! Carlson's elliptic integral, and depth by Simpson's rule, halved until it no longer changes.

use super::*;
use crate::hole::elliptic::by_carlson;
use crate::hole::wall::polar_circle::add_breakpoints;
use crate::hole::wall::ray::Ray;

/// Error allowed in each half of the depth, in mm of whole thread.
const CLOSE_MM: f64 = 1e-9;

/// Returns the fraction left at a depth.
fn slow_fraction(paths: &[CirclePath], ring: Ring, depth_mm: f64) -> f64 {
    let circles: Vec<PolarCircle> = paths.iter().map(|path| path.at(depth_mm)).collect();
    let mut rays = Vec::new();
    add_breakpoints(&circles, ring, &mut rays);
    let mut breaks: Vec<f64> = rays.iter().map(Ray::angle).chain([-PI, PI]).collect();
    breaks.sort_unstable_by(f64::total_cmp);
    let lost: f64 = breaks
        .windows(2)
        .map(|pair| slow_lost(&circles, ring, pair[0], pair[1]))
        .sum();
    (1.0 - lost / TAU / ring.height_mm()).clamp(0.0, 1.0)
}

fn slow_lost(circles: &[PolarCircle], ring: Ring, from: f64, to: f64) -> f64 {
    let (sin, cos) = (0.5 * (from + to)).sin_cos();
    match farthest(circles, (cos, sin), ring) {
        None => 0.0,
        Some((_, reach)) if reach <= ring.drilled_mm => 0.0,
        Some((_, reach)) if reach >= ring.major_mm => ring.height_mm() * (to - from),
        Some((index, _)) => {
            let circle = &circles[index];
            let ((x, y), radius) = (circle.center(), circle.radius_mm());
            let (offset, direction) = (x.hypot(y), y.atan2(x));
            let far_side = |angle: f64| {
                let (sin, cos) = angle.sin_cos();
                let k2 = (offset / radius).powi(2);
                offset * sin + radius * by_carlson(angle, (sin, cos), k2)
            };
            far_side(to - direction) - far_side(from - direction) - ring.drilled_mm * (to - from)
        }
    }
}

/// Integrates a function by Simpson's rule, halving until both halves agree with the whole.
fn simpson(f: &impl Fn(f64) -> f64, ends: [(f64, f64); 2], middle: f64, halvings: u32) -> f64 {
    let [(from, at_from), (to, at_to)] = ends;
    let at = |share: f64| from + share * (to - from);
    let (upper, lower) = (f(at(0.25)), f(at(0.75)));
    let rule = |a: f64, b: f64, c: f64, long: f64| long * (a + 4.0 * b + c) / 6.0;
    let long = to - from;
    let whole = rule(at_from, middle, at_to, long);
    let halves = rule(at_from, upper, middle, long / 2.0) + rule(middle, lower, at_to, long / 2.0);
    if halvings == 0 || (halves - whole).abs() < CLOSE_MM {
        return halves;
    }
    let half = (at(0.5), middle);
    simpson(f, [ends[0], half], upper, halvings - 1)
        + simpson(f, [half, ends[1]], lower, halvings - 1)
}

/// Returns the engagement over a span without hard zones, in mm.
fn slow_engagement(d: &Damage, ring: Ring, engaged: Span) -> f64 {
    let mut cuts = vec![engaged.from, engaged.to];
    let ends = d.stations.iter().flat_map(|s| [s.span.from, s.span.to]);
    cuts.extend(ends.filter(|depth| engaged.contains(*depth)));
    cuts.sort_unstable();
    let part = |pair: &[Length]| {
        let here = d.stations.iter().filter(|s| s.span.contains(pair[0]));
        let paths: Vec<CirclePath> = here.map(CirclePath::of).collect();
        let left = |depth: f64| slow_fraction(&paths, ring, depth);
        // Parts short enough that none hides a kink at its five points.
        let parts = 16;
        let (from, step) = (pair[0].mm(), (pair[1] - pair[0]).mm() / f64::from(parts));
        let point = |i: f64| (from + i * step, left(from + i * step));
        let each = |i: u32| {
            let i = f64::from(i);
            simpson(&left, [point(i), point(i + 1.0)], point(i + 0.5).1, 16)
        };
        (0..parts).map(each).sum::<f64>()
    };
    cuts.windows(2).map(part).sum()
}

/// `HOLEBOOK_HOLES` is for whole holes; here each is a few, since the slow way is slow.
fn cases() -> u32 {
    let set = std::env::var("HOLEBOOK_HOLES").ok();
    set.and_then(|number| number.parse().ok()).unwrap_or(500) / 10
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    #[test]
    fn fraction_left_is_that_of_the_slow_integral(d in any_damage(), (drilled, major) in any_ring()) {
        let ring = Ring::new(mm(drilled), mm(major)).unwrap();
        for depth in 0..20 {
            let depth = mm(f64::from(depth));
            let here = d.stations.iter().filter(|s| s.span.contains(depth));
            let paths: Vec<CirclePath> = here.map(CirclePath::of).collect();
            let slow = slow_fraction(&paths, ring, depth.mm());
            let left = thread_left(&d, mm(drilled), mm(major), depth);
            prop_assert!((left - slow).abs() < 1e-9, "{left} {slow}");
        }
    }

    #[test]
    fn engagement_is_that_of_the_slow_integral(d in any_damage(), (drilled, major) in any_ring(), from in 0.0..6.0, long in 4.0..12.0) {
        let engaged = span(from, from + long);
        let ring = Ring::new(mm(drilled), mm(major)).unwrap();
        let slow = slow_engagement(&d, ring, engaged);
        let ours = effective_engagement(&d, mm(drilled), mm(major), engaged).mm();
        prop_assert!((ours - slow).abs() < 1e-6 * long, "{ours} {slow}");
    }

    /// Where a bolt finds enough thread: every depth that the slow integral finds good is in a part,
    /// and none that it finds bad.
    #[test]
    fn good_parts_are_those_of_the_slow_integral(d in any_damage(), (drilled, major) in any_ring(), least in 0.2..0.95) {
        let (ring, within) = (Ring::new(mm(drilled), mm(major)).unwrap(), span(0.0, 20.0));
        let parts = good_parts(&slices(&d, mm(drilled), mm(major), within), least, within);
        for step in 0..400 {
            let depth = mm(0.025 + 0.05 * f64::from(step));
            let hard = d.hard.iter().any(|zone| zone.reach().contains(depth));
            let here = d.stations.iter().filter(|s| s.span.contains(depth));
            let paths: Vec<CirclePath> = here.map(CirclePath::of).collect();
            let slow = slow_fraction(&paths, ring, depth.mm());
            let is_part = parts.iter().any(|part| part.from <= depth && depth <= part.to);
            if slow >= least + 1e-6 && !hard {
                prop_assert!(is_part, "{slow} is left at {depth:?}: {parts:?}");
            } else if slow < least - 1e-6 || hard {
                prop_assert!(!is_part, "{slow} is left at {depth:?}: {parts:?}");
            }
        }
        // Where a part ends within the damage, just as much is left as it takes.
        let nearby = Length::from_nm(2);
        let zones = d.hard.iter().map(|zone| zone.reach());
        let spans = d.stations.iter().map(|s| s.span).chain(zones).chain([within]);
        let jumps: Vec<Length> = spans.flat_map(|span| [span.from, span.to]).collect();
        let slow_at = |depth: Length| {
            let here = d.stations.iter().filter(|s| s.span.contains(depth));
            let paths: Vec<CirclePath> = here.map(CirclePath::of).collect();
            slow_fraction(&paths, ring, depth.mm())
        };
        let ends = parts.iter().flat_map(|part| [(part.from, nearby), (part.to, nearby * -1)]);
        for (end, inward) in ends {
            if jumps.iter().all(|jump| (*jump - end).abs() > nearby * 2) {
                prop_assert!(slow_at(end + inward) >= least - 1e-6, "{end:?}");
                prop_assert!(slow_at(end - inward) <= least + 1e-6, "{end:?}");
            }
        }
    }
}
