//! Where things are on a face, as entries: what is kept, refused, struck out, and judged anew.

use super::*;
use crate::hole::condition::{Condition, FirstLook};
use crate::hole::problem::Problem;
use crate::hole::testing::{damage, mm, station};
use crate::notebook::{EntryId, NotebookError, OrderedBy, places_on_face, tightening_order};
use crate::places::record::{
    FaceHeights, HeightAt, HeightTool, KnownPlace, MillAxis, MillSetup, OffsetSource, PatternHole,
    PatternSource, WantedPattern,
};
use holebook_place::moves::{Alignment, Approach};

/// Six holes on a grid.
fn grid(pitch_mm: f64) -> WantedPattern {
    grid_of(6, pitch_mm)
}

/// Holes on a grid of three columns.
pub(super) fn grid_of(holes: u32, pitch_mm: f64) -> WantedPattern {
    let hole = |at: u32| PatternHole {
        hole: at + 1,
        x: mm(pitch_mm * f64::from(at % 3)),
        y: mm(pitch_mm * f64::from(at / 3)),
    };
    WantedPattern {
        holes: (0..holes).map(hole).collect(),
        source: PatternSource::Drawing,
        tolerance: None,
        from_back: false,
        distances: Vec::new(),
        jaw_diameter: None,
        note: None,
    }
}

fn measured(numbers: &[u32], off_mm: f64) -> Vec<PatternHole> {
    let holes = grid(50.0).holes.into_iter();
    let chosen = holes.filter(|hole| numbers.contains(&hole.hole));
    chosen
        .map(|hole| PatternHole {
            x: hole.x + mm(off_mm),
            ..hole
        })
        .collect()
}

#[test]
fn the_centers_follow_each_change_of_pattern_and_places() {
    let (bench, face, holes) = Bench::with_holes(6);
    let notebook = &bench.notebook;
    let why = |found: Result<_, NotebookError>| found.map(drop).unwrap_err().to_string();
    assert!(why(notebook.centers(face, None)).contains("no wanted pattern"));
    let first = notebook.set_pattern(face, &grid(50.0), &[]).unwrap();
    assert!(why(notebook.centers(face, None)).contains("0 good holes"));
    let places = measured(&[1, 2, 3, 4, 5], 10.0);
    let placed = notebook
        .set_hole_places(face, &places, Some(mm(0.05)))
        .unwrap();
    let center = notebook.center(holes[5]).unwrap().unwrap().center;
    assert!(
        (center.x_mm - 110.0).abs() < 1e-6 && center.lost,
        "{center:?}"
    );

    // Another pattern, and the places no longer agree; with the old one back they do.
    let other = notebook.set_pattern(face, &grid(60.0), &[first]).unwrap();
    assert!(notebook.centers(face, None).is_err());
    notebook.strike_out(other, "misread").unwrap();
    assert_eq!(notebook.centers(face, None).unwrap().agreeing, 5);
    // A place that is struck out no longer counts.
    notebook.strike_out(placed[0], "misread").unwrap();
    let centers = notebook.centers(face, None).unwrap();
    assert_eq!((centers.agreeing, centers.holes[0].off), (4, None));
    let moves = notebook.moves_to_centers(face, 2, &[6], Alignment::AsDrawn);
    let by = moves.unwrap().moves[0];
    assert!((by.x_mm - 50.0).abs() < 1e-6 && (by.y_mm - 50.0).abs() < 1e-6);
}

#[test]
fn the_tightening_order_goes_by_the_pattern_until_all_holes_have_a_place() {
    let (bench, face, holes) = Bench::with_holes(6);
    let notebook = &bench.notebook;
    let order = || tightening_order(&notebook.face(face).unwrap());
    assert_eq!(order().by, OrderedBy::Numbers);
    let pattern = WantedPattern {
        from_back: true,
        ..grid(50.0)
    };
    notebook.set_pattern(face, &pattern, &[]).unwrap();
    let by_pattern = order();
    assert_eq!(by_pattern.by, OrderedBy::Pattern);
    let middle = [holes[1], holes[4]];
    assert!(middle.contains(&by_pattern.holes[0]) && middle.contains(&by_pattern.holes[1]));
    let seen = places_on_face(&notebook.face(face).unwrap()).unwrap();
    assert_eq!(seen[2], (holes[2], -100.0, 0.0), "as one looks at the face");

    // Some places are not enough, all are.
    let places = |numbers: &[u32]| measured(numbers, 0.0);
    notebook
        .set_hole_places(face, &places(&[1, 2]), None)
        .unwrap();
    assert_eq!(order().by, OrderedBy::Pattern);
    notebook
        .set_hole_places(face, &places(&[3, 4, 5, 6]), None)
        .unwrap();
    assert_eq!(order().by, OrderedBy::Positions);
    // A hole that the pattern does not name has no place there.
    let (bench, face, _) = Bench::with_holes(7);
    bench.notebook.set_pattern(face, &grid(50.0), &[]).unwrap();
    let order = tightening_order(&bench.notebook.face(face).unwrap());
    assert_eq!(order.by, OrderedBy::Numbers);
}

#[test]
fn an_off_center_amount_holds_only_with_the_pattern_that_it_was_taken_by() {
    let (bench, face, holes) = Bench::with_holes(6);
    let notebook = &bench.notebook;
    let first = notebook.set_pattern(face, &grid(50.0), &[]).unwrap();
    let look = FirstLook {
        condition: Condition::OffCenter,
    };
    notebook
        .record(holes[0], HoleEntry::Condition(look), &[])
        .unwrap();
    let mut off = station(0.0, 20.0, 9.4, 2.0, 0.0);
    off.offset_source = Some(OffsetSource::Pattern);
    let entry = HoleEntry::Damage(damage(vec![off]));
    let described = notebook.record(holes[0], entry.clone(), &[]).unwrap();
    // As versions before this one recorded it: without the entries that it rests on.
    let problems = || notebook.hole(holes[0]).unwrap().status.problems;
    let is_open = || {
        let mut problems = problems().into_iter();
        problems.any(|problem| matches!(problem, Problem::PlacesChanged { .. }))
    };
    assert!(!is_open());
    notebook.set_pattern(face, &grid(60.0), &[first]).unwrap();
    assert!(is_open());
    let listed = &notebook.face(face).unwrap().holes[0];
    assert_eq!(
        listed.problems,
        problems().len() as u32,
        "the list knows it, too"
    );
    notebook.record(holes[0], entry, &[described]).unwrap();
    assert!(!is_open());
}

/// Readings of an indicator: x, y and height in mm.
pub(super) fn heights(points: &[(f64, f64, f64)]) -> FaceHeights {
    let point = |(x, y, z): &(f64, f64, f64)| HeightAt {
        x: mm(*x),
        y: mm(*y),
        reading: mm(*z),
    };
    FaceHeights {
        points: points.iter().map(point).collect(),
        tool: HeightTool::Indicator,
        instrument: Some("indicator".into()),
        tolerance: None,
    }
}

#[test]
fn heights_add_up_until_one_entry_is_struck_out() {
    let (bench, face, _) = Bench::with_holes(0);
    let notebook = &bench.notebook;
    let corners = [
        (0.0, 0.0, 0.0),
        (100.0, 0.0, 0.0),
        (100.0, 80.0, 0.0),
        (0.0, 80.0, 0.0),
    ];
    notebook.record_heights(face, &heights(&corners)).unwrap();
    let low = notebook
        .record_heights(face, &heights(&[(50.0, 40.0, -0.3)]))
        .unwrap();
    let cut = || notebook.face_state(face).unwrap().flatness.face_cut_mm;
    assert!((cut() - 0.3).abs() < 1e-9);
    notebook.strike_out(low, "dirt").unwrap();
    assert!(cut().abs() < 1e-9);
    assert!(notebook.record_heights(face, &heights(&[])).is_err());
}

/// Returns why something was refused: one sentence.
fn refused(result: Result<EntryId, NotebookError>) -> String {
    match result {
        Err(NotebookError::Invalid(why)) => why,
        other => panic!("{other:?}"),
    }
}

#[test]
fn bodies_that_cannot_be_right_are_refused() {
    let (bench, face, _) = Bench::with_holes(2);
    let notebook = &bench.notebook;
    let with = |change: fn(&mut WantedPattern)| {
        let mut pattern = grid(50.0);
        change(&mut pattern);
        refused(notebook.set_pattern(face, &pattern, &[]))
    };
    assert!(with(|it| it.holes.truncate(1)).contains("1 holes"));
    assert!(with(|it| it.holes[1].hole = 1).contains("twice"));
    assert!(with(|it| it.holes[1].hole = 0).contains("number 0"));
    assert!(with(|it| it.tolerance = Some(mm(-1.0))).contains("less than 0"));
    assert!(with(|it| it.note = Some("x".repeat(300))).contains("shorten"));
    assert!(
        with(|it| it
            .holes
            .iter_mut()
            .for_each(|hole| (hole.x, hole.y) = (mm(1.0), mm(1.0))))
        .contains("one place")
    );
    assert!(
        with(|it| it.holes = (1..=1_001)
            .map(|hole| PatternHole {
                hole,
                x: mm(f64::from(hole)),
                y: mm(0.0)
            })
            .collect())
        .contains("more than 1000")
    );
    let axis = |lead: f64, divisions| MillAxis {
        lead: mm(lead),
        divisions,
        approach: Approach::Rising,
        backlash: Some(mm(0.1)),
    };
    let mill = |x| MillSetup {
        name: None,
        x: Some(x),
        y: None,
        readout: true,
    };
    assert!(refused(notebook.set_mill(&mill(axis(0.0, 100)))).contains("more than 0"));
    assert!(refused(notebook.set_mill(&mill(axis(5.0, 0)))).contains("0 divisions"));
    notebook.set_mill(&mill(axis(5.0, 200))).unwrap();
    notebook.set_mill(&mill(axis(5.0, 250))).unwrap();
    let mills = notebook.mill().unwrap();
    assert_eq!(mills.0.len(), 1, "the new one replaces the old one");
    assert_eq!(mills.agreed().unwrap().x.unwrap().divisions, 250);

    let twice = measured(&[1, 1], 0.0)
        .into_iter()
        .chain(measured(&[1], 0.0));
    let twice: Vec<PatternHole> = twice.collect();
    let why = notebook.set_hole_places(face, &twice, None).unwrap_err();
    assert!(why.to_string().contains("given twice"));
    let missing = notebook.set_hole_places(face, &measured(&[2, 3], 0.0), None);
    assert!(missing.unwrap_err().to_string().contains("no hole 3"));
    assert_eq!(
        notebook.face(face).unwrap().holes[1].at,
        None,
        "all or none"
    );
    for px in [f64::NAN, -1.0, f64::INFINITY] {
        let known = KnownPlace {
            x_px: px,
            y_px: 1.0,
            x: mm(0.0),
            y: mm(0.0),
            tolerance: None,
        };
        assert!(known.validate().is_err());
    }
}
