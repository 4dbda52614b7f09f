//! The order in which one tool visits the holes of a face.

/// A hole that a tool visits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Its number, which decides where no position is known.
    pub number: u32,
    /// Its position; all of a face in the same unit. `None`: not known.
    pub at: Option<(f64, f64)>,
    /// Whether it has metal that dulls the tool.
    pub hard: bool,
}

/// Returns the order of the stops: from the lowest number always to the nearest one that is left,
/// holes with hard metal last, and those without a position at the end of their part, by number.
///
/// A judgment: short ways save time, and a tool that met hard metal cuts oversize or not at all.
pub fn run_order(stops: &[Stop]) -> Vec<usize> {
    let mut order = Vec::with_capacity(stops.len());
    let mut from = None;
    for hard in [false, true] {
        let mut left: Vec<usize> = (0..stops.len())
            .filter(|stop| stops[*stop].hard == hard)
            .collect();
        left.sort_by_key(|stop| (stops[*stop].at.is_none(), stops[*stop].number));
        while !left.is_empty() {
            let next = left.remove(nearest(stops, &left, from));
            from = stops[next].at.or(from);
            order.push(next);
        }
    }
    order
}

/// Returns the index in `left` of the stop nearest to a position; of equals, the first.
fn nearest(stops: &[Stop], left: &[usize], from: Option<(f64, f64)>) -> usize {
    let distance = |stop: usize| {
        let ((x0, y0), (x1, y1)) = from.zip(stops[stop].at)?;
        Some((x1 - x0).hypot(y1 - y0))
    };
    let known = left
        .iter()
        .enumerate()
        .filter_map(|(at, stop)| Some((at, distance(*stop)?)));
    known
        .min_by(|(_, one), (_, other)| one.total_cmp(other))
        .map_or(0, |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stop(number: u32, x: f64, hard: bool) -> Stop {
        Stop {
            number,
            at: Some((x, 0.0)),
            hard,
        }
    }

    #[test]
    fn the_nearest_is_next_and_hard_metal_comes_last() {
        let stops = [
            stop(1, 0.0, false),
            stop(2, 90.0, false),
            stop(3, 10.0, true),
            stop(4, 40.0, false),
        ];
        assert_eq!(run_order(&stops), [0, 3, 1, 2]);
    }

    #[test]
    fn holes_without_a_position_follow_by_number() {
        let nowhere = |number| Stop {
            number,
            at: None,
            hard: false,
        };
        let stops = [nowhere(9), nowhere(7), stop(8, 5.0, false)];
        assert_eq!(run_order(&stops), [2, 1, 0]);
        assert_eq!(run_order(&[]), Vec::<usize>::new());
        let odd = [stop(1, f64::NAN, false), stop(2, f64::INFINITY, false)];
        assert_eq!(run_order(&odd).len(), 2);
    }
}
