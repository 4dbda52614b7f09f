//! Where the badge of each mark goes: beside its hole, on a leader line, and clear of every other
//! hole and badge where that can be avoided.
//!
//! Badges keep their size on the screen while the picture grows with the screen and with zoom. So a
//! place is an offset in pixels of the screen that holds at every size of the picture from
//! [`SMALLEST_WIDTH`] up: another hole moves away along a ray, and the badge keeps clear of all of it.

/// Radius of a badge with its tag, pixels of the screen.
pub const BADGE_RADIUS: f64 = 24.0;
/// Radius of the ring around a marked hole, pixels of the screen.
pub const RING_RADIUS: f64 = 8.0;
/// The smallest width at which a photo is shown, pixels of the screen.
pub const SMALLEST_WIDTH: f64 = 320.0;

/// A point, or the way from one to another, pixels of the screen.
pub type Offset = (f64, f64);

/// Lengths of leaders that are tried, shortest first: the first just clears the hole's own ring.
const LEADERS: [f64; 5] = [34.0, 46.0, 60.0, 80.0, 104.0];
/// Directions that are tried.
const DIRECTIONS: u32 = 24;
/// How many of the nearest marks a badge keeps clear of; more are never near.
const NEAREST: usize = 40;
/// Free space between a badge and a ring.
const CLEARANCE: f64 = 1.0;

/// Returns the way from each mark to the center of its badge. Marks are in pixels of the picture,
/// which has `size` of them across and down.
pub fn badge_places(marks: &[(f64, f64)], size: (u32, u32)) -> Vec<Offset> {
    let scale = SMALLEST_WIDTH / f64::from(size.0.max(1));
    let board = Board {
        marks: marks.iter().map(|(x, y)| (x * scale, y * scale)).collect(),
        size: (f64::from(size.0) * scale, f64::from(size.1) * scale),
    };
    let near: Vec<Vec<usize>> = (0..marks.len()).map(|at| board.nearest(at)).collect();
    let mut places: Vec<Option<Offset>> = vec![None; marks.len()];
    // The second pass knows where the badges of later marks went.
    for _ in 0..2 {
        for at in 0..marks.len() {
            places[at] = Some(board.best(at, &near[at], &places));
        }
    }
    places.into_iter().flatten().collect()
}

/// The marks at the smallest size of the picture.
struct Board {
    marks: Vec<Offset>,
    size: (f64, f64),
}

impl Board {
    /// Returns the nearest other marks.
    fn nearest(&self, at: usize) -> Vec<usize> {
        let distance = |other: &usize| length(self.way(at, *other));
        let mut others: Vec<usize> = (0..self.marks.len()).filter(|it| *it != at).collect();
        others.sort_by(|a, b| distance(a).total_cmp(&distance(b)));
        others.truncate(NEAREST);
        others
    }

    /// Returns the way from one mark to another.
    fn way(&self, from: usize, to: usize) -> Offset {
        let ((x1, y1), (x2, y2)) = (self.marks[from], self.marks[to]);
        (x2 - x1, y2 - y1)
    }

    /// Returns the best place. A place that covers nothing is kept, and no longer leader is tried
    /// where a shorter one covers nothing.
    fn best(&self, at: usize, near: &[usize], places: &[Option<Offset>]) -> Offset {
        if let Some(now) = places[at].filter(|now| self.cost(at, *now, near, places).0 == 0.0) {
            return now;
        }
        let mut best = (f64::INFINITY, (0.0, -LEADERS[0]));
        for leader in LEADERS {
            let mut clear = false;
            for step in 0..DIRECTIONS {
                let angle = std::f64::consts::TAU * f64::from(step) / f64::from(DIRECTIONS);
                let place = (leader * angle.sin(), -leader * angle.cos());
                let (covering, taste) = self.cost(at, place, near, places);
                clear |= covering == 0.0;
                if covering + taste < best.0 {
                    best = (covering + taste, place);
                }
            }
            if clear {
                break;
            }
        }
        best.1
    }

    /// Rates a place: what it covers, and what looks worse. Covering a hole is worst, then leaving the
    /// picture, then covering a badge, then a leader across another hole; a short leader away from
    /// the other marks is best.
    fn cost(
        &self,
        at: usize,
        place: Offset,
        near: &[usize],
        places: &[Option<Offset>],
    ) -> (f64, f64) {
        let (mut holes, mut badges, mut crossed, mut towards) = (0.0, 0.0, 0.0, 0.0);
        for &other in near {
            let way = self.way(at, other);
            let free = BADGE_RADIUS + RING_RADIUS + CLEARANCE;
            holes += short_of(free, from_ray(place, way));
            if let Some(theirs) = places[other] {
                let apart = (place.0 - theirs.0, place.1 - theirs.1);
                badges += short_of(2.0 * BADGE_RADIUS, from_ray(apart, way));
            }
            crossed += short_of(RING_RADIUS, from_leader(way, place));
            towards += (place.0 * way.0 + place.1 * way.1) / squared(way).max(1.0);
        }
        let outside = self.outside(at, place);
        let covering = 1e4 * holes + 1e3 * outside + 1e2 * badges + 10.0 * crossed;
        (covering, length(place) + towards)
    }

    /// Returns by how much a badge leaves the picture at its smallest size; it comes further in as
    /// the picture grows.
    fn outside(&self, at: usize, (dx, dy): Offset) -> f64 {
        let (x, y) = (self.marks[at].0 + dx, self.marks[at].1 + dy);
        let beyond = |value: f64, size: f64| {
            (BADGE_RADIUS - value).max(0.0) + (value + BADGE_RADIUS - size).max(0.0)
        };
        beyond(x, self.size.0) + beyond(y, self.size.1)
    }
}

fn squared((x, y): Offset) -> f64 {
    x * x + y * y
}

fn length(way: Offset) -> f64 {
    squared(way).sqrt()
}

/// Returns how much shorter than a limit a way is. Most are longer, and take no root: a crowded photo
/// asks this a million times.
fn short_of(limit: f64, way: Offset) -> f64 {
    let squared = squared(way);
    if squared < limit * limit {
        limit - squared.sqrt()
    } else {
        0.0
    }
}

/// Returns the way to a point from the ray on which another mark moves away as the picture grows.
fn from_ray((x, y): Offset, way: Offset) -> Offset {
    let long = squared(way);
    let along = if long > 0.0 {
        ((x * way.0 + y * way.1) / long).max(1.0)
    } else {
        1.0
    };
    (x - along * way.0, y - along * way.1)
}

/// Returns the way to a mark from a leader that starts at the origin.
fn from_leader((x, y): Offset, end: Offset) -> Offset {
    let along = ((x * end.0 + y * end.1) / squared(end)).clamp(0.0, 1.0);
    (x - along * end.0, y - along * end.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    const SIZE: (u32, u32) = (4000, 3000);

    /// Pairs of a badge and a ring that it covers, at a size of the picture.
    fn covered(marks: &[(f64, f64)], places: &[Offset], width: f64) -> Vec<(usize, usize)> {
        let scale = width / f64::from(SIZE.0);
        let mut found = Vec::new();
        for (badge, (mark, place)) in marks.iter().zip(places).enumerate() {
            let center = (mark.0 * scale + place.0, mark.1 * scale + place.1);
            for (hole, (x, y)) in marks.iter().enumerate() {
                let apart = length((x * scale - center.0, y * scale - center.1));
                if apart < BADGE_RADIUS + RING_RADIUS {
                    found.push((badge, hole));
                }
            }
        }
        found
    }

    const WIDTHS: [f64; 7] = [320.0, 358.0, 430.0, 700.0, 900.0, 1600.0, 6000.0];

    /// Marks with at least `apart` pixels of the screen between them at the smallest size.
    fn spread(count: usize, apart: f64) -> impl Strategy<Value = Vec<(f64, f64)>> {
        let mark = (0.0..f64::from(SIZE.0), 0.0..f64::from(SIZE.1));
        prop::collection::vec(mark, 1..count).prop_map(move |all| {
            let apart = apart * f64::from(SIZE.0) / SMALLEST_WIDTH;
            let mut kept: Vec<(f64, f64)> = Vec::new();
            for (x, y) in all {
                if kept.iter().all(|(a, b)| length((x - a, y - b)) >= apart) {
                    kept.push((x, y));
                }
            }
            kept
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn no_badge_covers_its_own_hole(marks in spread(60, 0.0)) {
            let places = badge_places(&marks, SIZE);
            for place in places {
                prop_assert!(length(place) >= BADGE_RADIUS + RING_RADIUS);
            }
        }

        /// Holes a fifth of the photo apart, however they lie.
        #[test]
        fn no_badge_covers_any_hole_of_a_face_at_any_size(marks in spread(40, 60.0)) {
            let places = badge_places(&marks, SIZE);
            for width in WIDTHS {
                prop_assert_eq!(covered(&marks, &places, width), vec![]);
            }
        }

        /// Bolt circles of up to 24 holes, close together on a phone.
        #[test]
        fn no_badge_covers_any_hole_of_a_bolt_circle(
            count in 3..=24_u32,
            radius in 800.0..1100.0_f64,
            turned in 0.0..TAU,
            x in 1400.0..2600.0_f64,
            y in 1200.0..1800.0_f64,
        ) {
            let hole = |at: u32| {
                let angle = turned + TAU * f64::from(at) / f64::from(count);
                (x + radius * angle.cos(), y + radius * angle.sin())
            };
            let marks: Vec<(f64, f64)> = (0..count).map(hole).collect();
            let places = badge_places(&marks, SIZE);
            for width in WIDTHS {
                prop_assert_eq!(covered(&marks, &places, width), vec![]);
            }
        }
    }

    #[test]
    fn badges_of_a_row_do_not_cover_each_other() {
        let marks: Vec<(f64, f64)> = (0..8)
            .map(|at| (300.0 + 480.0 * f64::from(at), 1500.0))
            .collect();
        let places = badge_places(&marks, SIZE);
        for width in WIDTHS {
            let scale = width / f64::from(SIZE.0);
            let at = |it: usize| {
                (
                    marks[it].0 * scale + places[it].0,
                    marks[it].1 * scale + places[it].1,
                )
            };
            for one in 0..marks.len() {
                for two in 0..one {
                    let apart = length((at(one).0 - at(two).0, at(one).1 - at(two).1));
                    assert!(
                        apart >= 2.0 * BADGE_RADIUS - 1e-9,
                        "{one} and {two}: {apart}"
                    );
                }
            }
        }
    }

    #[test]
    fn marks_at_one_spot_and_photos_of_no_size_have_places() {
        assert_eq!(badge_places(&[], SIZE), []);
        assert_eq!(badge_places(&[(5.0, 5.0); 300], SIZE).len(), 300);
        for (x, y) in badge_places(&[(0.0, 0.0)], (0, 0)) {
            assert!(x.is_finite() && y.is_finite());
        }
    }
}
