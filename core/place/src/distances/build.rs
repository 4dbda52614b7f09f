//! A first figure from distances: hole by hole, each from the holes placed before it.
//!
//! Two distances leave a hole two places, one on each side; figures with either are kept, the best
//! few, until later readings decide.

use super::Edge;
use crate::{PlaceError, Point};

/// How many figures are kept.
const KEPT: usize = 48;
/// Two figures whose readings miss about equally: their chi-squared differs by less than this.
const ALIKE: f64 = 9.0;
/// Circles that miss each other by this share of their distance still touch.
const TOUCHING: f64 = 0.02;
/// The sine of the least angle at which a rough place clearly lies on one side.
const CLEAR_SIDE: f64 = 0.05;

/// A figure, and how its readings miss.
#[derive(Clone, Debug)]
struct Figure {
    places: Vec<Option<Point>>,
    chi2: f64,
}

/// The best figure, and a hole whose other side fits about as well.
#[derive(Clone, Debug)]
pub(super) struct Built {
    pub places: Vec<Point>,
    /// The hole, by index.
    pub either_side: Option<usize>,
}

pub(super) fn build(
    numbers: &[u32],
    edges: &[Edge],
    rough: &[Option<Point>],
) -> Result<Built, PlaceError> {
    let order = order(numbers, edges)?;
    let mut figures = vec![start(numbers.len(), edges, order[0], order[1])];
    for next in &order[2..] {
        let mut grown: Vec<Figure> = figures
            .iter()
            .flat_map(|figure| place(figure, edges, rough, *next))
            .collect();
        grown.sort_by(|a, b| a.chi2.total_cmp(&b.chi2));
        grown.truncate(KEPT);
        if grown.is_empty() {
            return Err(no_triangle(numbers, &figures[0], edges, *next));
        }
        figures = grown;
    }
    let first = &figures[0];
    let rival = figures[1..]
        .iter()
        .find(|other| other.chi2 - first.chi2 < ALIKE);
    let either_side = rival.and_then(|rival| differing(first, rival));
    let places = first.places.iter().map(|place| place.unwrap_or_default());
    Ok(Built {
        places: places.collect(),
        either_side,
    })
}

/// The neighbors of a hole with the distance to each.
fn neighbors(edges: &[Edge], hole: usize) -> impl Iterator<Item = (usize, &Edge)> {
    edges.iter().filter_map(move |edge| match hole {
        _ if edge.from == hole => Some((edge.to, edge)),
        _ if edge.to == hole => Some((edge.from, edge)),
        _ => None,
    })
}

/// The order of placing, from the first distance that leads to all holes; the most connected are
/// tried first.
fn order(numbers: &[u32], edges: &[Edge]) -> Result<Vec<usize>, PlaceError> {
    let degree = |hole: usize| neighbors(edges, hole).count();
    let mut starts: Vec<&Edge> = edges.iter().collect();
    starts.sort_by_key(|edge| std::cmp::Reverse(degree(edge.from) + degree(edge.to)));
    let mut most: Vec<usize> = Vec::new();
    for start in starts {
        let order = order_from(numbers.len(), edges, start);
        if order.len() == numbers.len() {
            return Ok(order);
        }
        if order.len() > most.len() {
            most = order;
        }
    }
    Err(unplaced(numbers, edges, &most))
}

/// The holes in the order in which they can be placed: always the one with the most distances to
/// placed holes, as long as it has two.
fn order_from(count: usize, edges: &[Edge], start: &Edge) -> Vec<usize> {
    let mut order = vec![start.from, start.to];
    while order.len() < count {
        let left = (0..count).filter(|hole| !order.contains(hole));
        // Of holes with as many distances, the first one given.
        let next = left
            .map(|hole| (known(edges, &order, hole), usize::MAX - hole))
            .max();
        match next {
            Some((2.., hole)) => order.push(usize::MAX - hole),
            _ => break,
        }
    }
    order
}

/// How many placed holes a hole has distances to.
fn known(edges: &[Edge], placed: &[usize], hole: usize) -> usize {
    let mut known: Vec<usize> = neighbors(edges, hole)
        .map(|(other, _)| other)
        .filter(|other| placed.contains(other))
        .collect();
    known.sort_unstable();
    known.dedup();
    known.len()
}

/// Names the hole that is nearest to being placed, and a distance that would help.
fn unplaced(numbers: &[u32], edges: &[Edge], placed: &[usize]) -> PlaceError {
    let left = (0..numbers.len()).filter(|hole| !placed.contains(hole));
    let hole = left
        .max_by_key(|hole| (known(edges, placed, *hole), usize::MAX - hole))
        .unwrap_or_default();
    let measured = |to: usize| neighbors(edges, hole).any(|(other, _)| other == to);
    let to = placed.iter().find(|to| !measured(**to));
    PlaceError::Unplaced {
        hole: numbers[hole],
        to: to.map(|to| numbers[*to]),
    }
}

fn start(count: usize, edges: &[Edge], from: usize, to: usize) -> Figure {
    let mut places = vec![None; count];
    let edge = neighbors(edges, from).find(|(other, _)| *other == to);
    places[from] = Some(Point::default());
    places[to] = edge.map(|(_, edge)| Point::new(edge.center_mm, 0.0));
    Figure { places, chi2: 0.0 }
}

/// A known hole by index, its place, and the distance to it.
type Known<'a> = (usize, Point, &'a Edge);

/// The figure with one hole more, on each side where it can be; with a rough place, on its side.
fn place(figure: &Figure, edges: &[Edge], rough: &[Option<Point>], hole: usize) -> Vec<Figure> {
    let known: Vec<Known> = neighbors(edges, hole)
        .filter_map(|(other, edge)| Some((other, figure.places[other]?, edge)))
        .collect();
    let Some((first, second)) = widest(&known) else {
        return Vec::new();
    };
    let (first, second) = (known[first], known[second]);
    let [left, right] = match crossings(first, second) {
        Some(both) => both,
        None => return Vec::new(),
    };
    let is_first = figure.places.iter().flatten().count() == 2;
    let sides = match side(rough, first.0, second.0, hole) {
        Some(true) => vec![left],
        Some(false) => vec![right],
        // Turned over as a whole, the figure is the same.
        None if is_first => vec![left],
        None => vec![left, right],
    };
    sides
        .into_iter()
        .map(|at| with(figure, &known, hole, at))
        .collect()
}

/// Whether the hole's rough place lies left of the line from one to the other.
fn side(rough: &[Option<Point>], from: usize, to: usize, hole: usize) -> Option<bool> {
    let (a, b, c) = (rough[from]?, rough[to]?, rough[hole]?);
    let area = (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm);
    let size = a.distance_mm(b) * a.distance_mm(c);
    (area.abs() > CLEAR_SIDE * size).then_some(area > 0.0)
}

fn with(figure: &Figure, known: &[Known], hole: usize, at: Point) -> Figure {
    let miss =
        |(_, from, edge): &Known| ((from.distance_mm(at) - edge.center_mm) / edge.error_mm).powi(2);
    let mut places = figure.places.clone();
    places[hole] = Some(at);
    Figure {
        places,
        chi2: figure.chi2 + known.iter().map(miss).sum::<f64>(),
    }
}

/// The two known holes from which circles cross most nearly at a right angle.
fn widest(known: &[Known]) -> Option<(usize, usize)> {
    let mut best = None;
    for (i, (_, a, to_a)) in known.iter().enumerate() {
        for (j, (_, b, to_b)) in known.iter().enumerate().skip(i + 1) {
            let apart = a.distance_mm(*b);
            if apart <= 0.0 {
                continue;
            }
            let (r, s) = (to_a.center_mm, to_b.center_mm);
            let cosine = (r * r + s * s - apart * apart) / (2.0 * r * s);
            // Circles that just miss each other touch: the worst crossing that there is.
            let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
            if best.is_none_or(|(_, most)| sine > most) {
                best = Some(((i, j), sine));
            }
        }
    }
    best.map(|(pair, _)| pair)
}

/// Where the circles of two distances cross: left and right of the line between their centers.
fn crossings((_, a, to_a): Known, (_, b, to_b): Known) -> Option<[Point; 2]> {
    let apart = a.distance_mm(b);
    let (r, s) = (to_a.center_mm, to_b.center_mm);
    let along = (apart * apart + r * r - s * s) / (2.0 * apart);
    let square = r * r - along * along;
    let slack = TOUCHING * apart.max(r);
    if square < -slack * r {
        return None;
    }
    let across = square.max(0.0).sqrt();
    let (ux, uy) = ((b.x_mm - a.x_mm) / apart, (b.y_mm - a.y_mm) / apart);
    let at = |side: f64| {
        Point::new(
            a.x_mm + along * ux - side * across * uy,
            a.y_mm + along * uy + side * across * ux,
        )
    };
    Some([at(1.0), at(-1.0)])
}

fn no_triangle(numbers: &[u32], figure: &Figure, edges: &[Edge], hole: usize) -> PlaceError {
    let known = neighbors(edges, hole).map(|(other, _)| other);
    let mut at: Vec<u32> = known
        .filter(|other| figure.places[*other].is_some())
        .map(|other| numbers[other])
        .collect();
    at.insert(0, numbers[hole]);
    at.dedup();
    PlaceError::NoTriangle { at }
}

/// The hole that lies farthest apart in two figures.
fn differing(first: &Figure, second: &Figure) -> Option<usize> {
    let apart = |hole: usize| match (first.places[hole], second.places[hole]) {
        (Some(a), Some(b)) => a.distance_mm(b),
        _ => 0.0,
    };
    (0..first.places.len()).max_by(|a, b| apart(*a).total_cmp(&apart(*b)))
}
