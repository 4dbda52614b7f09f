#![allow(clippy::unwrap_used)]

use super::super::damage::{Damage, DamageError, Station};
use super::super::testing::{changing, damage, mm, span, station};
use super::*;
use proptest::prelude::*;
use std::f64::consts::TAU;

mod reference;

fn one(diameter: f64, offset: f64) -> Damage {
    damage(vec![station(0.0, 10.0, diameter, offset, 0.0)])
}

/// Center and radius of every circle at a depth, by linear interpolation between its ends.
fn circles_at(damage: &Damage, depth: f64) -> Vec<(f64, f64, f64)> {
    let here = damage
        .stations
        .iter()
        .filter(|s| s.span.contains(mm(depth)));
    let circle = |s: &Station| {
        let share = (depth - s.span.from.mm()) / s.span.length().mm();
        let between = |a: f64, b: f64| (1.0 - share) * a + share * b;
        let center = |offset: Length, deg: f64| {
            let angle = deg.to_radians();
            (offset.mm() * angle.cos(), offset.mm() * angle.sin())
        };
        let (x0, y0) = center(s.offset, s.direction_deg);
        let (x1, y1) = center(
            s.to_offset.unwrap_or(s.offset),
            s.to_direction_deg.unwrap_or(s.direction_deg),
        );
        let to_diameter = s.to_diameter.unwrap_or(s.diameter);
        let radius = between(s.diameter.mm(), to_diameter.mm()) / 2.0;
        (between(x0, x1), between(y0, y1), radius)
    };
    here.map(circle).collect()
}

/// The definition, summed ray by ray. Rays meet circles by a quadratic, not by the tested formulas.
fn dense(damage: &Damage, drilled: f64, major: f64, depth: f64, rays: u32) -> f64 {
    let (rd, rm) = (drilled / 2.0, major / 2.0);
    let here = circles_at(damage, depth);
    let sum: f64 = (0..rays)
        .map(|i| (f64::from(i) + 0.5) / f64::from(rays) * TAU)
        .map(|angle| {
            let mut start = rd;
            for (cx, cy, r) in &here {
                let (ux, uy) = (angle.cos(), angle.sin());
                let (b, c) = (ux * cx + uy * cy, cx * cx + cy * cy - r * r);
                let root = b * b - c;
                let far = b + root.max(0.0).sqrt();
                let near = b - root.max(0.0).sqrt();
                if root >= 0.0 && far > 0.0 && near < rm {
                    start = start.max(far);
                }
            }
            ((rm - start) / (rm - rd)).clamp(0.0, 1.0)
        })
        .sum();
    sum / f64::from(rays)
}

#[test]
fn concentric_damage_matches_a_hand_calculation() {
    // 1/2-13 outside, 29/64 drilled: flank height (12.7 - 11.509375) / 2 = 0.5953125 mm.
    let (drilled, major) = (mm(11.509375), mm(12.7));
    let left = |d: &Damage| thread_left(d, drilled, major, mm(5.0));
    assert_eq!(left(&Damage::default()), 1.0);
    assert_eq!(left(&one(11.5, 0.0)), 1.0);
    assert_eq!(left(&one(12.7, 0.0)), 0.0);
    assert_eq!(left(&one(20.0, 1.0)), 0.0);
    // Halfway out, to the nanometer: half is left.
    assert!((left(&one(12.1046875, 0.0)) - 0.5).abs() < 1e-6);
    // Outside the station nothing is missing. Its start is included, its end is not.
    let d = one(12.7, 0.0);
    assert_eq!(thread_left(&d, drilled, major, mm(0.0)), 0.0);
    assert_eq!(thread_left(&d, drilled, major, mm(10.0)), 1.0);
    // A drill that removes the whole thread leaves none.
    assert_eq!(thread_left(&Damage::default(), major, major, mm(1.0)), 0.0);
}

#[test]
fn circle_within_the_ring_matches_a_hand_calculation() {
    // Ring from 5 to 6 mm. The circle of 5.5 mm radius, 0.5 mm off, reaches from 5.0 to 6.0 and
    // stays in the ring, so the mean reach is (2 R / pi) E(e/R): the complete integral, by its
    // series in m = (e/R)^2 = 1/121.
    let m: f64 = 1.0 / 121.0;
    let series = 1.0 - m / 4.0 - 3.0 * m * m / 64.0 - 5.0 * m.powi(3) / 256.0;
    let left = thread_left(&one(11.0, 0.5), mm(10.0), mm(12.0), mm(1.0));
    assert!((left - (6.0 - 5.5 * series)).abs() < 1e-9, "{left}");
}

#[test]
fn void_beside_the_hole_counts_up_to_its_far_side() {
    // Ring from 5 to 6 mm; a 1 mm circle, 5.5 mm off, covers 5.0 to 6.0 on the central ray. Each
    // ray within asin(0.5/5.5) meets it and has metal only beyond its far side.
    let d = one(1.0, 5.5);
    let left = thread_left(&d, mm(10.0), mm(12.0), mm(1.0));
    assert!((left - dense(&d, 10.0, 12.0, 1.0, 4_000_000)).abs() < 1e-6);
    let half = (0.5_f64 / 5.5).asin();
    assert!(left < 1.0 - half / PI * 0.4 && left > 1.0 - half / PI);
    // One that starts beyond the thread leaves the thread whole.
    assert_eq!(
        thread_left(&one(1.0, 6.5), mm(10.0), mm(12.0), mm(1.0)),
        1.0
    );
}

#[test]
fn engagement_sums_slices() {
    let mut d = damage(vec![station(0.0, 9.0, 12.1046875, 0.0, 0.0)]);
    let (drilled, major) = (mm(11.509375), mm(12.7));
    let engaged = span(1.0, 13.0);
    // 8 mm at one half, 4 mm whole.
    let whole = effective_engagement(&d, drilled, major, engaged);
    assert!((whole.mm() - 8.0).abs() < 1e-5, "{whole}");
    // A hard zone from 8 to 10 takes 1 mm at one half and 1 mm whole.
    d.hard.push(span(8.0, 10.0).into());
    let relieved = effective_engagement(&d, drilled, major, engaged);
    assert!((relieved.mm() - 6.5).abs() < 1e-5, "{relieved}");
    assert_eq!(d.hard_within(engaged), mm(2.0));
    d.hard.push(span(9.0, 20.0).into());
    assert_eq!(d.hard_within(engaged), mm(5.0));
}

/// Integral over depth as the sum of 300,000 layers, each by the formula of one depth, which has
/// its own test against rays.
fn layers(d: &Damage, drilled: f64, major: f64, engaged: Span) -> f64 {
    let n = 300_000;
    let thick = engaged.length().mm() / f64::from(n);
    (0..n)
        .map(|i| mm(engaged.from.mm() + (f64::from(i) + 0.5) * thick))
        .map(|depth| thread_left(d, mm(drilled), mm(major), depth) * thick)
        .sum()
}

#[test]
fn tapers_and_leans_are_integrated_to_a_millionth_of_the_length() {
    let cases = [
        // A crater that comes to a point.
        vec![changing(station(0.0, 9.0, 15.0, 1.2, 0.0), 0.0, 0.4, 0.0)],
        // An old hole that leans through the ring from one side.
        vec![changing(
            station(0.0, 12.0, 11.0, 0.1, 20.0),
            11.0,
            2.0,
            200.0,
        )],
        // A void that comes closer: the thread left starts to fall like a square root.
        vec![changing(station(0.0, 12.0, 3.0, 9.0, 0.0), 3.0, 4.0, 0.0)],
        // Two that cross.
        vec![
            changing(station(0.0, 12.0, 12.2, 0.0, 0.0), 11.0, 1.5, 90.0),
            changing(station(0.0, 12.0, 8.0, 1.0, 180.0), 13.0, 2.0, 150.0),
        ],
    ];
    for stations in cases {
        let d = damage(stations);
        let engaged = span(0.7, 11.3);
        let ours = effective_engagement(&d, mm(11.509375), mm(12.7), engaged).mm();
        let sum = layers(&d, 11.509375, 12.7, engaged);
        assert!((ours - sum).abs() < 1e-6 * 10.6, "{ours} {sum} {d:?}");
    }
}

#[test]
fn damage_outside_the_hole_is_rejected_in_one_sentence() {
    let depth = Some(mm(32.0));
    let refused = |d: Damage| d.validate(depth).unwrap_err();
    let bad = |from, to, diameter, offset| {
        refused(damage(vec![station(from, to, diameter, offset, 0.0)]))
    };
    assert!(matches!(
        bad(-1.0, 5.0, 9.0, 0.0),
        DamageError::AboveFace { .. }
    ));
    assert!(matches!(
        bad(5.0, 5.0, 9.0, 0.0),
        DamageError::EndsBeforeStart { .. }
    ));
    assert!(matches!(
        bad(0.0, 33.0, 9.0, 0.0),
        DamageError::BelowBottom { .. }
    ));
    assert!(matches!(
        bad(0.0, 3.0, 0.0, 0.0),
        DamageError::Diameter { .. }
    ));
    assert!(matches!(
        bad(0.0, 3.0, 900.0, 0.0),
        DamageError::Diameter { .. }
    ));
    assert!(matches!(
        bad(0.0, 3.0, 9.0, -0.1),
        DamageError::Offset { .. }
    ));
    let endless = damage(vec![station(0.0, 3000.0, 9.0, 0.0, 0.0)]);
    assert!(matches!(
        endless.validate(None),
        Err(DamageError::TooDeep { .. })
    ));
    let rotated = damage(vec![station(0.0, 3.0, 9.0, 0.0, f64::NAN)]);
    assert!(matches!(refused(rotated), DamageError::Direction { .. }));
    let many = damage(vec![station(0.0, 3.0, 9.0, 0.0, 0.0); 41]);
    let message = refused(many).to_string();
    assert!(
        message.contains("41") && !message.contains('\n'),
        "{message}"
    );
    let message = bad(0.0, 33.0, 9.0, 0.0).to_string();
    assert!(
        message.contains("station 1") && message.contains("33 mm") && message.contains("32 mm"),
        "{message}"
    );
    assert!(one(13.0, 1.2).validate(depth).is_ok());
}

fn any_station() -> impl Strategy<Value = Station> {
    (0.0..15.0, 0.5..20.0, 0.5..18.0, 0.0..9.0, -400.0..400.0_f64).prop_map(
        |(from, long, diameter, offset, deg)| station(from, from + long, diameter, offset, deg),
    )
}

/// A station that is constant or changes to any other circle or to a point.
fn any_changing_station() -> impl Strategy<Value = Station> {
    let lower = (0.0..18.0, 0.0..9.0, -400.0..400.0_f64);
    (any_station(), prop::option::weighted(0.7, lower)).prop_map(|(station, lower)| match lower {
        Some((diameter, offset, deg)) => changing(station, diameter, offset, deg),
        None => station,
    })
}

fn any_damage() -> impl Strategy<Value = Damage> {
    prop::collection::vec(any_changing_station(), 0..5).prop_map(damage)
}

fn any_ring() -> impl Strategy<Value = (f64, f64)> {
    (4.0..14.0, 0.3..3.0).prop_map(|(drilled, more)| (drilled, drilled + more))
}

proptest! {
    #[test]
    fn matches_the_dense_sum(d in any_damage(), (drilled, major) in any_ring(), depth in 0.0..20.0) {
        let left = thread_left(&d, mm(drilled), mm(major), mm(depth));
        prop_assert!((0.0..=1.0).contains(&left));
        // The dense sum is off by up to half a ray at each jump.
        let rays = 40_000;
        let dense = dense(&d, mm(drilled).mm(), mm(major).mm(), depth, rays);
        prop_assert!((left - dense).abs() < 20.0 / f64::from(rays), "{left} {dense}");
    }

    #[test]
    fn smooth_cases_match_more_closely(r in 5.3..6.2, share in 0.0..0.999, (drilled, more) in (9.0..10.5, 2.5..3.5)) {
        // The center lies inside, so the sum has kinks but no jumps.
        let d = one(2.0 * r, r * share);
        let left = thread_left(&d, mm(drilled), mm(drilled + more), mm(1.0));
        let dense = dense(&d, mm(drilled).mm(), mm(drilled + more).mm(), 1.0, 100_000);
        prop_assert!((left - dense).abs() < 1e-7, "{left} {dense}");
    }

    #[test]
    fn more_damage_never_leaves_more_thread(d in any_damage(), extra in any_station(), (drilled, major) in any_ring(), depth in 0.0..20.0) {
        let before = thread_left(&d, mm(drilled), mm(major), mm(depth));
        let mut more = d.clone();
        more.stations.push(extra);
        let after = thread_left(&more, mm(drilled), mm(major), mm(depth));
        prop_assert!(after <= before + 1e-12);
        let mut wider = d;
        for s in &mut wider.stations {
            s.diameter += mm(0.4);
            s.to_diameter = s.to_diameter.map(|diameter| diameter + mm(0.4));
        }
        prop_assert!(thread_left(&wider, mm(drilled), mm(major), mm(depth)) <= before + 1e-12);
    }

    #[test]
    fn rotating_the_damage_changes_no_thread_left(d in any_damage(), by in -360.0..360.0_f64, (drilled, major) in any_ring(), depth in 0.0..20.0) {
        let before = thread_left(&d, mm(drilled), mm(major), mm(depth));
        let mut rotated = d;
        for s in &mut rotated.stations {
            s.direction_deg += by;
            s.to_direction_deg = s.to_direction_deg.map(|deg| deg + by);
        }
        let after = thread_left(&rotated, mm(drilled), mm(major), mm(depth));
        prop_assert!((after - before).abs() < 1e-9, "{before} {after}");
    }

    #[test]
    fn mean_by_angle_matches_thread_left(d in any_damage(), (drilled, major) in any_ring()) {
        let angles = thread_left_by_angle(&d, mm(drilled), mm(major), mm(3.0));
        prop_assert_eq!(angles.len(), 180);
        let mean = angles.iter().map(|(_, f)| f).sum::<f64>() / 180.0;
        prop_assert!((mean - thread_left(&d, mm(drilled), mm(major), mm(3.0))).abs() < 0.08);
    }

    #[test]
    fn rotating_the_damage_changes_no_engagement(d in any_damage(), by in -360.0..360.0_f64, (drilled, major) in any_ring()) {
        let engaged = span(0.0, 20.0);
        let before = effective_engagement(&d, mm(drilled), mm(major), engaged);
        let mut rotated = d;
        for s in &mut rotated.stations {
            s.direction_deg += by;
            s.to_direction_deg = s.to_direction_deg.map(|deg| deg + by);
        }
        let after = effective_engagement(&rotated, mm(drilled), mm(major), engaged);
        prop_assert!((after - before).abs().mm() < 20e-6, "{before} {after}");
    }

    #[test]
    fn more_damage_never_leaves_more_engagement(d in any_damage(), extra in any_changing_station(), (drilled, major) in any_ring()) {
        let engaged = span(0.0, 20.0);
        let before = effective_engagement(&d, mm(drilled), mm(major), engaged);
        let mut more = d;
        more.stations.push(extra);
        let after = effective_engagement(&more, mm(drilled), mm(major), engaged);
        prop_assert!(after <= before + mm(20e-6), "{before} {after}");
    }

    #[test]
    fn engagement_is_the_sum_of_thin_layers(d in any_damage(), (drilled, major) in any_ring(), from in 0.0..8.0, long in 3.0..12.0) {
        let engaged = span(from, from + long);
        let ours = effective_engagement(&d, mm(drilled), mm(major), engaged).mm();
        // The layer sum is off by a few layers at jumps and square roots.
        let layers = 4_000;
        let thick = engaged.length().mm() / f64::from(layers);
        let sum: f64 = (0..layers)
            .map(|i| mm(engaged.from.mm() + (f64::from(i) + 0.5) * thick))
            .map(|depth| thread_left(&d, mm(drilled), mm(major), depth) * thick)
            .sum();
        prop_assert!((ours - sum).abs() < 6.0 * thick, "{ours} {sum}");
    }

    #[test]
    fn least_of_a_slice_is_its_minimum(d in any_damage(), (drilled, major) in any_ring()) {
        for slice in slices(&d, mm(drilled), mm(major), span(0.0, 20.0)) {
            let least = slice.least();
            for i in 0..40 {
                let depth = slice.span.from + slice.span.length() * i / 40;
                let left = thread_left(&d, mm(drilled), mm(major), depth);
                prop_assert!(least <= left + 0.01, "{least} {left} at {depth}");
            }
        }
    }

    #[test]
    fn clipped_slice_is_sampled_at_its_ends(d in any_damage(), (drilled, major) in any_ring(), from in 0.0..8.0, long in 0.1..9.0) {
        let part = span(from, from + long);
        for slice in slices(&d, mm(drilled), mm(major), span(0.0, 20.0)) {
            let part = slice.clipped_to(part);
            if part.span.length() > Length::from_nm(1) {
                let samples = part.samples();
                prop_assert_eq!(samples[0].0, part.span.from);
                let left = thread_left(&d, mm(drilled), mm(major), part.span.from);
                prop_assert!((samples[0].1 - left).abs() < 1e-6);
                prop_assert!(part.least() <= left + 1e-6);
                prop_assert_eq!(samples[samples.len() - 1].0, part.span.to);
            }
        }
    }

    #[test]
    fn engagement_is_between_zero_and_the_span(d in any_damage(), (drilled, major) in any_ring(), from in 0.0..10.0, long in 0.1..30.0) {
        let engaged = span(from, from + long);
        let whole = effective_engagement(&d, mm(drilled), mm(major), engaged);
        prop_assert!(whole >= Length::ZERO && whole <= engaged.length());
    }
}
