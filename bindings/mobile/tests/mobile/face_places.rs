//! Where things are on a face, by typed calls.

use crate::support::{Job, TestPhone, measured_hole, mm};
use holebook_mobile::*;

fn pattern() -> WantedPattern {
    let hole = |(hole, x, y): (u32, f64, f64)| PatternHole {
        hole,
        x: mm(x),
        y: mm(y),
    };
    let holes = [
        (1, 0.0, 0.0),
        (2, 80.0, 0.0),
        (3, 80.0, 60.0),
        (4, 0.0, 60.0),
    ];
    WantedPattern {
        holes: holes.map(hole).to_vec(),
        source: PatternSource::SisterPart,
        tolerance: Some(mm(0.1)),
        from_back: false,
        distances: Vec::new(),
        jaw_diameter: None,
        note: Some("an invented part".to_owned()),
    }
}

/// Records an entry of each kind about places; returns that of the mill.
pub fn record_places(notebook: &Notebook, job: &Job) -> EntryId {
    notebook
        .set_pattern(job.face, pattern(), Vec::new())
        .unwrap();
    let good = GoodHoles { holes: vec![1, 2] };
    notebook.set_good_holes(job.face, good).unwrap();
    let known = KnownPlace {
        x_px: 3.0,
        y_px: 4.0,
        x: mm(0.0),
        y: mm(0.0),
        tolerance: None,
    };
    notebook.add_known_place(job.photo, known).unwrap();
    let flat = [(0.0, 0.0), (80.0, 0.0), (80.0, 60.0), (40.0, 30.0)];
    let points = flat.map(|(x, y)| HeightAt {
        x: mm(x),
        y: mm(y),
        reading: mm(if x == 40.0 { -0.05 } else { 0.0 }),
    });
    let heights = FaceHeights {
        points: points.to_vec(),
        tool: HeightTool::Indicator,
        instrument: Some("test indicator".to_owned()),
        tolerance: Some(mm(0.01)),
    };
    notebook.record_heights(job.face, heights).unwrap();
    let axis = MillAxis {
        lead: mm(5.08),
        divisions: 200,
        approach: Approach::Rising,
        backlash: None,
    };
    let mill = MillSetup {
        name: Some("knee mill".to_owned()),
        x: Some(axis),
        y: Some(axis),
        readout: false,
    };
    notebook.set_mill(mill).unwrap()
}

/// Adds the other holes of the pattern, and where all but the last were measured.
pub fn place_holes(notebook: &Notebook, job: &Job) {
    for _ in 2..=4 {
        notebook.add_hole(job.face, None, None).unwrap();
    }
    let places = pattern().holes[..3].to_vec();
    let placed = notebook.set_hole_places(job.face, places, Some(mm(0.02)));
    assert_eq!(placed.unwrap().len(), 3);
}

#[test]
fn a_lost_center_has_its_table_moves_and_the_face_its_cut() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let refused = notebook.centers(job.face, None).unwrap_err();
    assert!(refused.to_string().contains("no wanted pattern"));
    record_places(notebook, &job);
    place_holes(notebook, &job);
    let centers = notebook.centers(job.face, Some(vec![1, 2, 3])).unwrap();
    assert_eq!((centers.basis, centers.agreeing), (Basis::Places, 3));
    let moves = notebook
        .moves_to_centers(job.face, 1, Vec::new(), Alignment::AsDrawn)
        .unwrap();
    let [only] = moves.moves.as_slice() else {
        panic!("{moves:?}")
    };
    assert_eq!(only.hole, 4);
    assert!((only.y_mm - 60.0).abs() < 0.01 && only.x_wheel.is_some());
    let center = notebook.center(job.hole).unwrap().unwrap().center;
    assert!(!center.lost && center.off.unwrap().by_mm < 0.01);

    let state = notebook.face_state(job.face).unwrap();
    assert_eq!(notebook.heights(job.face).unwrap().len(), 1);
    assert!(state.flatness.face_cut_mm > 0.0 && state.planned >= mm(0.02));
    let jack = |(jack, x_mm, y_mm)| Jack {
        jack,
        x_mm,
        y_mm,
        lead_mm: 1.5,
    };
    let jacks = [(1, 0.0, 0.0), (2, 80.0, 0.0), (3, 40.0, 60.0)].map(jack);
    let leveling = notebook.level_face_on_jacks(job.face, jacks.to_vec());
    assert_eq!(leveling.unwrap().turns.len(), 3);
    assert_eq!(notebook.known_places(job.photo).unwrap().len(), 1);
    assert_eq!(
        notebook.mill().unwrap().agreed().unwrap().name.as_deref(),
        Some("knee mill")
    );
}
