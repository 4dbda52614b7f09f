//! A short way through all holes: nearest first, then improved by turning parts around and moving
//! single stops (2-opt and or-opt).

use crate::{HolePoint, Point};

/// Above so many stops the way is only improved for a limited number of rounds.
const MOST_ROUNDS: usize = 60;

/// Orders stops so that the table travels little, from `start`. Both axes are cranked one after the
/// other, so a move counts as the sum of both.
#[must_use]
pub fn shortest_route(start: Point, stops: &[HolePoint]) -> Vec<HolePoint> {
    let mut route = nearest_first(start, stops);
    for _ in 0..MOST_ROUNDS {
        let turned = turn_parts(start, &mut route);
        let moved = move_stops(start, &mut route);
        if !turned && !moved {
            break;
        }
    }
    route
}

fn cranked(a: Point, b: Point) -> f64 {
    (a.x_mm - b.x_mm).abs() + (a.y_mm - b.y_mm).abs()
}

fn nearest_first(start: Point, stops: &[HolePoint]) -> Vec<HolePoint> {
    let mut left = stops.to_vec();
    let mut route = Vec::with_capacity(left.len());
    let mut at = start;
    while !left.is_empty() {
        let far = |hole: &HolePoint| cranked(at, hole.at());
        let nearest = (0..left.len()).min_by(|i, j| far(&left[*i]).total_cmp(&far(&left[*j])));
        let next = left.remove(nearest.unwrap_or_default());
        at = next.at();
        route.push(next);
    }
    route
}

/// A gain below this is rounding, mm.
const GAIN_MM: f64 = 1e-9;

/// Reverses parts while that makes the way shorter.
fn turn_parts(start: Point, route: &mut [HolePoint]) -> bool {
    let mut is_better = false;
    for i in 0..route.len() {
        for j in i + 1..route.len() {
            let before = if i == 0 { start } else { route[i - 1].at() };
            let (first, last) = (route[i].at(), route[j].at());
            let mut gain = cranked(before, first) - cranked(before, last);
            if let Some(after) = route.get(j + 1) {
                gain += cranked(last, after.at()) - cranked(first, after.at());
            }
            if gain > GAIN_MM {
                route[i..=j].reverse();
                is_better = true;
            }
        }
    }
    is_better
}

/// Moves single stops to where they cost less.
fn move_stops(start: Point, route: &mut Vec<HolePoint>) -> bool {
    let mut is_better = false;
    for from in 0..route.len() {
        let stop = route.remove(from);
        let cost = |route: &[HolePoint], at: usize| {
            let before = if at == 0 { start } else { route[at - 1].at() };
            let there = cranked(before, stop.at());
            route.get(at).map_or(there, |after| {
                there + cranked(stop.at(), after.at()) - cranked(before, after.at())
            })
        };
        let own = cost(route, from);
        let best = (0..=route.len()).min_by(|a, b| cost(route, *a).total_cmp(&cost(route, *b)));
        let to = best.filter(|to| cost(route, *to) < own - GAIN_MM);
        is_better |= to.is_some();
        route.insert(to.unwrap_or(from), stop);
    }
    is_better
}
