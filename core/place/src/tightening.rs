//! The order in which to tighten a joint: from the center outward, crossing over, in passes.
//!
//! Common practice, no source. The machine's manual overrides it.

use crate::{HolePoint, PlaceError, Point, input};
use serde::Serialize;

/// Holes are in one ring if their distances from the center differ by less than this share of the
/// largest. Judgment.
const RING: f64 = 0.12;
/// The passes, as shares of the full torque. Common practice, no source.
const PASSES: [f64; 3] = [0.3, 0.6, 1.0];

/// How to tighten a joint.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Tightening {
    /// The holes in order.
    pub order: Vec<u32>,
    /// The share of the full torque in each pass; every pass goes through all holes in this order.
    pub passes: Vec<f64>,
    /// What to do after the last pass.
    pub afterward: String,
    /// What overrides this.
    pub caution: String,
}

/// Works out the order for the bolts of a joint.
///
/// # Errors
/// If a number is not usable, there is no hole, or one is given twice.
pub fn order(holes: &[HolePoint]) -> Result<Tightening, PlaceError> {
    input::count(holes.len(), 1, "holes")?;
    input::once(holes.iter().map(|hole| hole.hole), "holes")?;
    for hole in holes {
        input::point(hole.at(), || format!("hole {}", hole.hole))?;
    }
    let center = middle(holes);
    let mut order: Vec<HolePoint> = Vec::with_capacity(holes.len());
    for mut ring in rings(holes, center) {
        let mut is_pair_open = false;
        while let Some(next) = next(&ring, &order, center, is_pair_open) {
            order.push(ring.remove(next));
            is_pair_open = !is_pair_open;
        }
    }
    Ok(Tightening {
        order: order.iter().map(|hole| hole.hole).collect(),
        passes: PASSES.to_vec(),
        afterward: "After the last pass go around once more at full torque until no bolt turns."
            .to_owned(),
        caution: "The order, the passes, and the torque in the machine's manual override this one."
            .to_owned(),
    })
}

/// The middle of the holes' outline, so that crowded holes on one side do not move it.
fn middle(holes: &[HolePoint]) -> Point {
    let range = |of: fn(&HolePoint) -> f64| {
        let all = holes.iter().map(of);
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mm| {
            (low.min(mm), high.max(mm))
        });
        f64::midpoint(low, high)
    };
    Point::new(range(|hole| hole.x_mm), range(|hole| hole.y_mm))
}

/// Groups the holes by their distance from the center, nearest first.
fn rings(holes: &[HolePoint], center: Point) -> Vec<Vec<HolePoint>> {
    let far = |hole: &HolePoint| hole.at().distance_mm(center);
    let mut sorted = holes.to_vec();
    sorted.sort_by(|a, b| far(a).total_cmp(&far(b)).then(a.hole.cmp(&b.hole)));
    let width = RING * sorted.last().map_or(0.0, far);
    let mut rings: Vec<Vec<HolePoint>> = Vec::new();
    for hole in sorted {
        match rings.last_mut() {
            Some(ring) if far(&hole) - far(&ring[0]) <= width => ring.push(hole),
            _ => rings.push(vec![hole]),
        }
    }
    for ring in &mut rings {
        ring.sort_by_key(|hole| hole.hole);
    }
    rings
}

/// The next hole of a ring: the one most nearly across from the last, if that has no partner yet;
/// else the one farthest from all that are tight.
fn next(
    ring: &[HolePoint],
    tight: &[HolePoint],
    center: Point,
    is_pair_open: bool,
) -> Option<usize> {
    let opposite = tight
        .last()
        .map(|last| Point::new(2.0 * center.x_mm - last.x_mm, 2.0 * center.y_mm - last.y_mm));
    let score = |hole: &HolePoint| match opposite {
        Some(opposite) if is_pair_open => -hole.at().distance_mm(opposite),
        Some(_) => {
            let nearest = tight.iter().map(|other| other.at().distance_mm(hole.at()));
            nearest.fold(f64::INFINITY, f64::min)
        }
        // The first one: nearest the center.
        None => -hole.at().distance_mm(center),
    };
    let mut best: Option<(usize, f64)> = None;
    for (at, hole) in ring.iter().enumerate() {
        let score = score(hole);
        // Rounding must not decide between holes that are alike.
        if best.is_none_or(|(_, most)| score > most + 1e-6) {
            best = Some((at, score));
        }
    }
    best.map(|(at, _)| at)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::pattern;

    fn points(wanted: &[pattern::WantedHole]) -> Vec<HolePoint> {
        let point = |hole: &pattern::WantedHole| HolePoint {
            hole: hole.hole,
            x_mm: hole.x_mm,
            y_mm: hole.y_mm,
        };
        wanted.iter().map(point).collect()
    }

    #[test]
    fn a_circle_is_crossed_over() {
        let eight = pattern::circle(Point::default(), 200.0, 8, 0.0).unwrap();
        let found = order(&points(&eight)).unwrap();
        assert_eq!(found.order, [1, 5, 3, 7, 2, 6, 4, 8]);
        assert_eq!(found.passes.last(), Some(&1.0));
    }

    #[test]
    fn a_long_head_starts_in_the_middle() {
        let head = pattern::grid(
            Point::default(),
            Point::new(100.0, 0.0),
            5,
            Point::new(0.0, 80.0),
            2,
        );
        let found = order(&points(&head.unwrap())).unwrap();
        // Middle columns first, the ends last.
        assert_eq!(found.order[..2], [3, 8]);
        let mut last = found.order[6..].to_vec();
        last.sort_unstable();
        assert_eq!(last, [1, 5, 6, 10]);
    }

    #[test]
    fn every_hole_is_tightened_once() {
        for count in [1, 2, 3, 7, 40] {
            let holes = points(&pattern::ellipse(Point::default(), 500.0, 200.0, count).unwrap());
            let mut order = order(&holes).unwrap().order;
            order.sort_unstable();
            assert_eq!(order, (1..=count).collect::<Vec<_>>());
        }
        assert!(order(&[]).is_err());
        let one = HolePoint {
            hole: 1,
            x_mm: 0.0,
            y_mm: f64::NAN,
        };
        assert!(
            order(&[one])
                .unwrap_err()
                .to_string()
                .contains("Y of hole 1")
        );
    }
}
