#![allow(clippy::unwrap_used)]

use super::*;
use crate::seeded::Seeded;

fn hole(hole: u32, x_mm: f64, y_mm: f64) -> HolePoint {
    HolePoint { hole, x_mm, y_mm }
}

fn square() -> MovePlan {
    MovePlan {
        holes: vec![
            hole(1, 10.0, 10.0),
            hole(2, 110.0, 10.0),
            hole(3, 110.0, 60.0),
            hole(4, 10.0, 60.0),
        ],
        reference: 1,
        visit: Vec::new(),
        alignment: Alignment::AsDrawn,
        x_wheel: None,
        y_wheel: None,
        keep_order: false,
    }
}

/// An inch wheel: 10 threads an inch, 100 divisions.
fn tenth() -> Handwheel {
    Handwheel {
        lead_mm: 2.54,
        divisions: 100,
        approach: Approach::Rising,
        backlash_mm: 0.2,
    }
}

#[test]
fn moves_count_from_the_reference_hole() {
    let moves = plan(&square()).unwrap();
    assert_eq!(
        moves.moves.iter().map(|stop| stop.hole).collect::<Vec<_>>(),
        [4, 3, 2]
    );
    assert_eq!((moves.moves[0].x_mm, moves.moves[0].y_mm), (0.0, 50.0));
    assert!((moves.travel_mm - 200.0).abs() < 1e-9);
}

#[test]
fn a_second_hole_turns_the_pattern() {
    let moves = plan(&MovePlan {
        alignment: Alignment::SecondHole {
            hole: 2,
            reads_x_mm: 0.0,
            reads_y_mm: 100.3,
        },
        ..square()
    })
    .unwrap();
    assert!((moves.angle_deg - 90.0).abs() < 1e-9);
    assert!((moves.closure_mm.unwrap() - 0.3).abs() < 1e-9);
    let fourth = moves.moves.iter().find(|stop| stop.hole == 4).unwrap();
    assert!((fourth.x_mm + 50.0).abs() < 1e-9 && fourth.y_mm.abs() < 1e-9);
}

#[test]
fn handwheels_come_from_the_same_side() {
    let wheel = tenth();
    // 1.2345 in is 12 turns and 34.5 divisions.
    let there = wheel.turn(0.0, 1.2345 * 25.4);
    assert_eq!(
        (there.turns, there.turns_from_last, there.overshoot_mm),
        (12, 12, 0.0)
    );
    assert!((there.dial - 34.5).abs() < 1e-9);
    // Backward: past it by half a turn, more than twice the slack, and up again.
    let back = wheel.turn(1.2345 * 25.4, -0.05 * 25.4);
    assert_eq!((back.turns, back.dial), (-1, 50.0));
    assert!((back.overshoot_mm - 1.27).abs() < 1e-12);
    let worn = Handwheel {
        backlash_mm: 2.0,
        ..wheel
    };
    assert!((worn.turn(1.0, 0.0).overshoot_mm - 4.0).abs() < 1e-12);
    let falling = Handwheel {
        approach: Approach::Falling,
        ..wheel
    };
    assert!(
        falling.turn(0.0, 1.0).overshoot_mm > 0.0 && falling.turn(1.0, 0.0).overshoot_mm == 0.0
    );
}

/// What the dial says, turned back into a length, is the reading within half a tenth of a division.
#[test]
fn dials_give_the_reading_back() {
    let mut random = Seeded::new(41);
    for _ in 0..2_000 {
        let wheel = Handwheel {
            lead_mm: random.even(1.0, 6.0),
            divisions: 20 + random.below(300) as u32,
            ..tenth()
        };
        let to = random.even(-900.0, 900.0);
        let turn = wheel.turn(0.0, to);
        assert!(
            (0.0..f64::from(wheel.divisions)).contains(&turn.dial),
            "{turn:?}"
        );
        let division = wheel.lead_mm / f64::from(wheel.divisions);
        let back = f64::from(turn.turns) * wheel.lead_mm + turn.dial * division;
        assert!((back - to).abs() <= division / 20.0 + 1e-9);
    }
}

/// The shortest of all orders, by trying them.
fn shortest(at: Point, left: &[HolePoint]) -> f64 {
    if left.is_empty() {
        return 0.0;
    }
    (0..left.len())
        .map(|next| {
            let mut rest = left.to_vec();
            let stop = rest.remove(next);
            (stop.x_mm - at.x_mm).abs() + (stop.y_mm - at.y_mm).abs() + shortest(stop.at(), &rest)
        })
        .fold(f64::MAX, f64::min)
}

#[test]
fn the_way_is_hardly_longer_than_the_shortest() {
    let mut random = Seeded::new(42);
    let (mut ours, mut best) = (0.0, 0.0);
    for _ in 0..60 {
        let stops: Vec<_> = (1..=6)
            .map(|at| hole(at, random.even(0.0, 400.0), random.even(0.0, 300.0)))
            .collect();
        let route = shortest_route(Point::default(), &stops);
        let mut at = Point::default();
        let mut travel = 0.0;
        for stop in &route {
            travel += (stop.x_mm - at.x_mm).abs() + (stop.y_mm - at.y_mm).abs();
            at = stop.at();
        }
        let least = shortest(Point::default(), &stops);
        assert!(travel <= least * 1.25 + 1e-9);
        (ours, best) = (ours + travel, best + least);
    }
    assert!(ours <= best * 1.02, "{}", ours / best);
    let many: Vec<_> = (1..=1_000)
        .map(|at| hole(at, random.even(0.0, 400.0), random.even(0.0, 300.0)))
        .collect();
    let mut numbers: Vec<u32> = shortest_route(Point::default(), &many)
        .iter()
        .map(|stop| stop.hole)
        .collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=1_000).collect::<Vec<_>>());
}

#[test]
fn lists_are_plain_files() {
    let moves = plan(&MovePlan {
        keep_order: true,
        ..square()
    })
    .unwrap();
    let text = csv(&moves, false);
    assert_eq!(text.lines().next(), Some("hole,x_mm,y_mm,by_x_mm,by_y_mm"));
    assert_eq!(
        text.lines().nth(1),
        Some("2,100.0000,0.0000,100.0000,0.0000")
    );
    assert_eq!(
        csv(&moves, true).lines().nth(1),
        Some("2,3.9370,0.0000,3.9370,0.0000")
    );
    let drawing = dxf(&square().holes).unwrap();
    assert_eq!(drawing.matches("POINT\n").count(), 4);
    assert!(dxf(&[]).is_err());
}

#[test]
fn bad_plans_get_one_clear_sentence() {
    let refusal = |plan: MovePlan| super::plan(&plan).unwrap_err().to_string();
    assert!(
        refusal(MovePlan {
            reference: 9,
            ..square()
        })
        .contains("hole 9 is not among the holes")
    );
    assert!(
        refusal(MovePlan {
            visit: vec![2, 2],
            ..square()
        })
        .contains("twice")
    );
    let same = Alignment::SecondHole {
        hole: 1,
        reads_x_mm: 1.0,
        reads_y_mm: 0.0,
    };
    assert!(
        refusal(MovePlan {
            alignment: same,
            ..square()
        })
        .contains("all at one place")
    );
    let no_lead = Handwheel {
        lead_mm: 0.0,
        ..tenth()
    };
    assert!(
        refusal(MovePlan {
            x_wheel: Some(no_lead),
            ..square()
        })
        .contains("the lead of the X handwheel")
    );
    let no_dial = Handwheel {
        divisions: 0,
        ..tenth()
    };
    assert!(
        refusal(MovePlan {
            y_wheel: Some(no_dial),
            ..square()
        })
        .contains("the divisions of the Y handwheel")
    );
    let angle = Alignment::Angle {
        angle_deg: f64::INFINITY,
    };
    assert!(
        refusal(MovePlan {
            alignment: angle,
            ..square()
        })
        .contains("the angle")
    );
}
