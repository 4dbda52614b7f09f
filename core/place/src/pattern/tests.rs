#![allow(clippy::unwrap_used)]

use super::*;
use crate::seeded::Seeded;

fn wanted(hole: u32, x_mm: f64, y_mm: f64) -> WantedHole {
    WantedHole {
        hole,
        x_mm,
        y_mm,
        error_mm: 0.0,
    }
}

fn found(hole: u32, x_mm: f64, y_mm: f64) -> FoundHole {
    FoundHole {
        hole,
        x_mm,
        y_mm,
        error_mm: 0.1,
    }
}

/// Where a pattern was put, exactly.
struct Truth {
    angle: f64,
    scale: f64,
    mirrored: bool,
    x: f64,
    y: f64,
}

impl Truth {
    fn random(random: &mut Seeded) -> Self {
        Self {
            angle: random.even(-3.1, 3.1),
            scale: 1.0,
            mirrored: false,
            x: random.even(-500.0, 500.0),
            y: random.even(-500.0, 500.0),
        }
    }

    fn put(&self, at: Point) -> Point {
        let (sin, cos) = self.angle.sin_cos();
        let y = if self.mirrored { -at.y_mm } else { at.y_mm };
        Point::new(
            self.x + self.scale * (cos * at.x_mm - sin * y),
            self.y + self.scale * (sin * at.x_mm + cos * y),
        )
    }
}

fn scattered(count: u32, random: &mut Seeded) -> Vec<WantedHole> {
    (1..=count)
        .map(|hole| wanted(hole, random.even(0.0, 600.0), random.even(0.0, 250.0)))
        .collect()
}

#[test]
fn an_exact_placement_is_found_again() {
    let mut random = Seeded::new(1);
    for round in 0..200 {
        let holes = scattered(4 + round % 12, &mut random);
        let truth = Truth {
            mirrored: round % 2 == 1,
            scale: if round % 3 == 0 {
                random.even(0.5, 2.0)
            } else {
                1.0
            },
            ..Truth::random(&mut random)
        };
        let put = |hole: &WantedHole| {
            let at = truth.put(hole.at());
            found(hole.hole, at.x_mm, at.y_mm)
        };
        let fit = fit(&Survey {
            found: holes.iter().map(put).collect(),
            wanted: holes,
            mirror: true,
            scale: round % 3 == 0,
        })
        .unwrap();
        assert_eq!(fit.mirrored, truth.mirrored);
        assert!((fit.scale - truth.scale).abs() < 1e-12);
        assert!((fit.angle_deg - truth.angle.to_degrees()).abs() < 1e-9);
        assert!(
            fit.holes
                .iter()
                .all(|hole| hole.residual_mm.unwrap() < 1e-9)
        );
    }
}

/// One survey: a third of the holes wandered, one was not found, the pattern has its own error.
struct Simulated {
    survey: Survey,
    truth: Vec<Point>,
    hidden: usize,
    wandered: Vec<usize>,
}

fn simulate(random: &mut Seeded, scale: bool, pattern_error_mm: f64) -> Simulated {
    let count = 8 + random.below(12);
    let true_holes = scattered(count as u32, random);
    let truth = Truth::random(random);
    let places: Vec<Point> = true_holes.iter().map(|hole| truth.put(hole.at())).collect();
    let drawn = true_holes.iter().map(|hole| WantedHole {
        x_mm: hole.x_mm + random.normal(pattern_error_mm),
        y_mm: hole.y_mm + random.normal(pattern_error_mm),
        error_mm: pattern_error_mm,
        ..*hole
    });
    let drawn: Vec<WantedHole> = drawn.collect();
    let hidden = random.below(count);
    let wandered: Vec<usize> = (0..count)
        .filter(|at| at % 3 == 1 && *at != hidden)
        .collect();
    let mut holes = Vec::new();
    for (at, place) in places.iter().enumerate().filter(|(at, _)| *at != hidden) {
        let error_mm = [0.05, 0.1, 0.3][at % 3];
        let (mut x, mut y) = (random.normal(error_mm), random.normal(error_mm));
        if wandered.contains(&at) {
            let (far, way) = (random.even(2.5, 12.0), random.even(-3.1, 3.1));
            (x, y) = (x + far * way.cos(), y + far * way.sin());
        }
        holes.push(FoundHole {
            hole: drawn[at].hole,
            x_mm: place.x_mm + x,
            y_mm: place.y_mm + y,
            error_mm,
        });
    }
    Simulated {
        survey: Survey {
            wanted: drawn,
            found: holes,
            mirror: false,
            scale,
        },
        truth: places,
        hidden,
        wandered,
    }
}

/// Of 10,000 simulated surveys, the regions hold the true center of a lost hole, of one that
/// wandered, and of one in the fit, as often as they say.
#[test]
fn regions_of_95_percent_hold_the_true_center_95_times_in_100() {
    let mut random = Seeded::new(20_261_130);
    let (mut lost, mut off, mut good) = ([0, 0], [0, 0], [0, 0]);
    for round in 0..10_000 {
        let error_mm = if round % 3 == 0 { 0.15 } else { 0.0 };
        let one = simulate(&mut random, round % 2 == 0, error_mm);
        let fit = fit(&one.survey).unwrap();
        let holds = |at: usize| {
            let hole = &fit.holes[at];
            one.truth[at].distance_mm(Point::new(hole.x_mm, hole.y_mm)) <= hole.radius95_mm
        };
        lost[usize::from(holds(one.hidden))] += 1;
        off[usize::from(holds(one.wandered[0]))] += 1;
        let fine = (0..fit.holes.len()).find(|at| *at != one.hidden && !one.wandered.contains(at));
        good[usize::from(holds(fine.unwrap()))] += 1;
    }
    for (name, [out, within]) in [("lost", lost), ("wandered", off), ("good", good)] {
        let share = f64::from(within) / f64::from(within + out);
        assert!((0.93..=0.97).contains(&share), "{name}: {share}");
    }
}

#[test]
fn holes_that_wandered_are_named_with_how_far_and_which_way() {
    let mut random = Seeded::new(3);
    let (mut missed, mut falsely, mut all) = (0, 0, 0);
    for _ in 0..500 {
        let one = simulate(&mut random, false, 0.0);
        let fit = fit(&one.survey).unwrap();
        for (at, hole) in fit
            .holes
            .iter()
            .enumerate()
            .filter(|(at, _)| *at != one.hidden)
        {
            all += 1;
            missed += u32::from(one.wandered.contains(&at) && !hole.wandered);
            falsely += u32::from(!one.wandered.contains(&at) && hole.wandered);
        }
    }
    // All wandered by 8 standard deviations or more; 1 good hole in 1,000 is left out by chance.
    assert!(missed <= 1, "{missed} of {all}");
    assert!(falsely <= all / 200, "{falsely} of {all}");

    let square = [
        (1, 0.0, 0.0),
        (2, 100.0, 0.0),
        (3, 100.0, 100.0),
        (4, 0.0, 100.0),
        (5, 50.0, 50.0),
    ];
    let survey = Survey {
        wanted: square.map(|(hole, x, y)| wanted(hole, x, y)).to_vec(),
        found: square
            .map(|(hole, x, y)| found(hole, x, if hole == 5 { y + 3.0 } else { y }))
            .to_vec(),
        ..Survey::default()
    };
    let fit = fit(&survey).unwrap();
    let wandered = fit.holes[4];
    assert!(wandered.wandered && (wandered.residual_mm.unwrap() - 3.0).abs() < 1e-9);
    assert!((wandered.direction_deg.unwrap() - 90.0).abs() < 1e-6);
    assert_eq!(fit.agreeing, 4);
}

#[test]
fn a_thousand_holes_with_a_third_lying_are_fitted() {
    let mut random = Seeded::new(4);
    let holes = scattered(1_000, &mut random);
    let truth = Truth::random(&mut random);
    let holes_found = holes.iter().map(|hole| {
        let at = truth.put(hole.at());
        let lie = if hole.hole % 3 == 0 {
            random.even(2.0, 9.0)
        } else {
            0.0
        };
        found(
            hole.hole,
            at.x_mm + lie + random.normal(0.1),
            at.y_mm + random.normal(0.1),
        )
    });
    let survey = Survey {
        found: holes_found.collect(),
        wanted: holes,
        ..Survey::default()
    };
    let fit = fit(&survey).unwrap();
    let named = fit.holes.iter().filter(|hole| hole.wandered);
    let named: Vec<u32> = named.map(|hole| hole.hole).collect();
    assert!((330..=340).contains(&named.len()), "{}", named.len());
    let off = truth
        .put(Point::default())
        .distance_mm(Point::new(fit.holes[0].x_mm, fit.holes[0].y_mm));
    let drawn = truth.put(survey.wanted[0].at());
    assert!(
        drawn.distance_mm(Point::new(fit.holes[0].x_mm, fit.holes[0].y_mm)) < 0.05,
        "{off}"
    );
}

fn refusal(survey: &Survey) -> String {
    fit(survey).unwrap_err().to_string()
}

#[test]
fn bad_input_gets_one_clear_sentence() {
    let line = |n: u32| {
        (1..=n)
            .map(|at| wanted(at, f64::from(at) * 50.0, 0.0))
            .collect::<Vec<_>>()
    };
    let same = |holes: &[WantedHole]| {
        holes
            .iter()
            .map(|h| found(h.hole, h.x_mm, h.y_mm))
            .collect::<Vec<_>>()
    };
    let survey = |wanted: Vec<WantedHole>, found: Vec<FoundHole>| Survey {
        wanted,
        found,
        ..Survey::default()
    };
    let four = line(4);
    assert!(
        refusal(&survey(four.clone(), same(&four[..1])))
            .contains("1 holes found, but 2 are needed")
    );
    assert!(refusal(&survey(vec![], vec![])).contains("0 holes in the pattern"));
    let nan = vec![found(1, f64::NAN, 0.0), found(2, 0.0, 0.0)];
    assert!(refusal(&survey(four.clone(), nan)).contains("X of hole 1 as found"));
    let far = vec![found(1, 1e9, 0.0), found(2, 0.0, 0.0)];
    assert!(refusal(&survey(four.clone(), far)).contains("within ±100 m"));
    let equal = vec![found(1, 5.0, 5.0), found(2, 5.0, 5.0), found(3, 5.0, 5.0)];
    assert!(refusal(&survey(four.clone(), equal)).contains("all at one place"));
    let twice = vec![found(1, 5.0, 5.0), found(1, 6.0, 5.0)];
    assert!(refusal(&survey(four.clone(), twice)).contains("hole 1 is given twice"));
    let strangers = vec![found(8, 5.0, 5.0), found(9, 6.0, 5.0)];
    assert!(refusal(&survey(four.clone(), strangers)).contains("that are in the pattern"));
    let longer = vec![found(1, 0.0, 0.0), found(2, 55.0, 0.0)];
    let text = refusal(&survey(four.clone(), longer));
    assert!(
        text.contains("are 55 mm (2.165 in) apart but 50 mm (1.969 in)"),
        "{text}"
    );
    let negative = vec![
        FoundHole {
            error_mm: -1.0,
            ..found(1, 0.0, 0.0)
        },
        found(2, 50.0, 0.0),
    ];
    assert!(refusal(&survey(four, negative)).contains("the error of hole 1"));
}

#[test]
fn a_mirrored_pattern_says_so() {
    let mut random = Seeded::new(5);
    let holes = scattered(8, &mut random);
    let survey = Survey {
        found: holes
            .iter()
            .map(|h| found(h.hole, -h.x_mm, h.y_mm))
            .collect(),
        wanted: holes,
        ..Survey::default()
    };
    let text = refusal(&survey);
    assert!(text.contains("seen from the other side"), "{text}");
    let turned = fit(&Survey {
        mirror: true,
        ..survey
    })
    .unwrap();
    assert!(turned.mirrored && turned.agreeing == 8);
}

#[test]
fn three_on_a_line_are_placed_but_not_mirrored() {
    let holes: Vec<_> = (1..=3)
        .map(|at| wanted(at, f64::from(at) * 50.0, 0.0))
        .collect();
    let mut survey = Survey {
        found: holes
            .iter()
            .map(|h| found(h.hole, h.y_mm, h.x_mm))
            .collect(),
        wanted: holes,
        ..Survey::default()
    };
    assert!((fit(&survey).unwrap().angle_deg - 90.0).abs() < 1e-9);
    survey.mirror = true;
    let either = fit(&survey).unwrap();
    assert!(!either.mirrored);
    assert_eq!(either.warnings, [FitWarning::EitherSide]);
}

#[test]
fn errors_that_are_too_small_are_noticed() {
    let mut random = Seeded::new(6);
    let holes = scattered(20, &mut random);
    let holes_found = holes.iter().map(|hole| FoundHole {
        error_mm: 0.02,
        ..found(
            hole.hole,
            hole.x_mm + random.normal(0.1),
            hole.y_mm + random.normal(0.1),
        )
    });
    let survey = Survey {
        found: holes_found.collect(),
        wanted: holes,
        ..Survey::default()
    };
    let fit = fit(&survey).unwrap();
    let factor = fit.warnings.iter().find_map(|warning| match warning {
        FitWarning::ErrorsTooSmall { factor } => Some(*factor),
        _ => None,
    });
    assert!((4.0..6.5).contains(&factor.unwrap()), "{:?}", fit.warnings);
    assert!(fit.agreeing >= 19);
}

#[test]
fn two_rival_placements_are_not_guessed() {
    // Half of the holes moved together.
    let holes: Vec<_> = (0..8)
        .map(|at| wanted(at + 1, f64::from(at % 4) * 40.0, f64::from(at / 4) * 60.0))
        .collect();
    let survey = Survey {
        found: holes
            .iter()
            .map(|h| found(h.hole, h.x_mm + if h.hole > 4 { 5.0 } else { 0.0 }, h.y_mm))
            .collect(),
        wanted: holes,
        ..Survey::default()
    };
    let text = refusal(&survey);
    assert!(
        text.contains("agree with one placement") && text.contains("1, 2, 3, and 4"),
        "{text}"
    );
}

#[test]
fn layouts_are_even() {
    let even = |holes: &[WantedHole]| {
        let steps: Vec<f64> = holes
            .windows(2)
            .map(|two| two[0].at().distance_mm(two[1].at()))
            .collect();
        let most = steps.iter().copied().fold(0.0, f64::max);
        let least = steps.iter().copied().fold(f64::MAX, f64::min);
        most - least
    };
    let center = Point::new(10.0, 20.0);
    assert!(even(&circle(center, 200.0, 8, 22.5).unwrap()) < 1e-9);
    // Many holes, so that chords and arcs are nearly alike.
    assert!(even(&ellipse(center, 400.0, 200.0, 400).unwrap()) < 1e-3);
    assert!(even(&slot(center, 400.0, 200.0, 400).unwrap()) < 1e-3);
    assert!(even(&line(center, Point::new(3.0, 4.0), 9).unwrap()) < 1e-9);
    // A circle as an ellipse and as a slot; the circumference of a slot is 2 (w - h) + pi h.
    let round = ellipse(center, 100.0, 100.0, 6).unwrap();
    for (a, b) in round.iter().zip(circle(center, 100.0, 6, 0.0).unwrap()) {
        assert!(a.at().distance_mm(b.at()) < 1e-4);
    }
    let four = slot(center, 300.0, 100.0, 4).unwrap();
    assert!(
        four[1].at().distance_mm(Point::new(10.0, 70.0)) < 1e-3,
        "{four:?}"
    );
    let grid = grid(center, Point::new(10.0, 0.0), 3, Point::new(0.0, 5.0), 2).unwrap();
    assert_eq!((grid[5].hole, grid[5].x_mm, grid[5].y_mm), (6, 30.0, 25.0));
    let text =
        r#"{"shape": "circle", "center": {"x_mm": 0, "y_mm": 0}, "diameter_mm": 100, "count": 6}"#;
    let read: Layout = serde_json::from_str(text).unwrap();
    assert_eq!(
        read.holes().unwrap(),
        circle(Point::default(), 100.0, 6, 0.0).unwrap()
    );
    assert!(circle(center, 0.0, 3, 0.0).is_err());
    assert!(super::grid(center, center, u32::MAX, center, 3).is_err());
}
