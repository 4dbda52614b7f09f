//! A face with marked holes at all stages of their work.

use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::{Choice, Cut, CutStep, Quantity, Reading, WantedThread};
use holebook_core::length::Length;
use holebook_core::notebook::{
    CastingBody, FaceBody, FaceId, HoleEntry, HoleId, Notebook, PhotoId,
};
use holebook_core::thread::Thread;
use std::path::Path;

/// The sample's photo.
const PHOTO: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../samples/pump-end-cover/joint-face.jpg"
);

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

/// Adds a face with so many marked holes on the sample's photo: of every six, one is as it was found,
/// one is measured, two are planned, and two are drilled.
///
/// # Panics
/// If the notebook cannot be written.
pub fn worked_face(notebook: &Notebook, holes: u32) -> FaceId {
    let body = CastingBody {
        name: format!("casting of {holes}"),
        note: None,
        metal: None,
    };
    let casting = notebook.add_casting(&body).unwrap();
    let name = "joint face".to_owned();
    let note = None;
    let face = FaceBody {
        casting,
        name,
        note,
    };
    let face = notebook.add_face(&face).unwrap();
    notebook.plan_face_cut(face, mm(0.5), &[]).unwrap();
    let (photo, _) = notebook.add_photo(face, Path::new(PHOTO), None).unwrap();
    for number in 0..holes {
        let hole = notebook.add_hole(face, None, None).unwrap();
        work_on(notebook, hole, photo, number);
    }
    face
}

/// Marks a hole, and records what there is after so much of its work.
fn work_on(notebook: &Notebook, hole: HoleId, photo: PhotoId, number: u32) {
    let (column, row) = (f64::from(number % 10), f64::from(number / 10));
    notebook
        .mark(
            hole,
            photo,
            150.0 + 165.0 * column,
            200.0 + 180.0 * row,
            &[],
        )
        .unwrap();
    let record = |entry| {
        notebook.record(hole, entry, &[]).unwrap();
    };
    if number.is_multiple_of(6) {
        return;
    }
    for (quantity, value) in [
        (Quantity::Depth, 34.0),
        (Quantity::Floor, 12.0),
        (Quantity::NearestEdge, 30.0),
        (Quantity::NearestHole, 60.0),
        (Quantity::Bore, 8.6),
    ] {
        record(HoleEntry::Reading(Reading {
            quantity,
            value: mm(value),
            tolerance: Some(mm(0.1)),
            instrument: Some("caliper".to_owned()),
        }));
    }
    let span = Span {
        from: mm(0.0),
        to: mm(20.0),
    };
    record(HoleEntry::Damage(Damage {
        stations: vec![Station::of(span, mm(9.4), mm(0.0), 0.0)],
        ..Damage::default()
    }));
    record(HoleEntry::WantedThread(WantedThread {
        thread: Thread::parse("3/8-16").unwrap(),
        bolt: None,
        through: Some(false),
        pressure: false,
    }));
    if number % 6 > 1 {
        choose_and_cut(notebook, hole, number % 6 > 3);
    }
}

/// Chooses the first remedy; drills for it if asked to.
fn choose_and_cut(notebook: &Notebook, hole: HoleId, drill: bool) {
    let view = notebook.hole(hole).unwrap();
    let catalog = notebook.catalog().unwrap();
    let plan = Plan::of(&view.record, &view.face_record, &catalog);
    let assessment = plan.leading().unwrap();
    let spec = assessment.spec();
    let choice = Choice {
        spec: spec.clone(),
        reason: None,
        basis: None,
    };
    notebook
        .record(hole, HoleEntry::Remedy(choice), &[])
        .unwrap();
    let depth = assessment.depths.and_then(|depths| depths.drill);
    if let (true, Some(depth)) = (drill, depth) {
        let cut = Cut {
            spec,
            step: CutStep::Drill,
            depth: Some(depth),
            diameter: None,
            tool: None,
            removal: None,
            reason: None,
        };
        notebook.record(hole, HoleEntry::Cut(cut), &[]).unwrap();
    }
}
