//! Times the page of a face with 60 marked holes at all stages, against one with 6: what lists show
//! of a hole is kept in its row, so no hole is judged for the page.
//!
//! `cargo bench --profile dist -p holebook-tests --bench face`. Target: 10 ms of processor for 60
//! holes.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::{Choice, Cut, CutStep, Quantity, Reading, WantedThread};
use holebook_core::length::Length;
use holebook_core::notebook::{
    CastingBody, FaceBody, FaceId, HoleEntry, HoleId, Notebook, PhotoId,
};
use holebook_core::thread::Thread;
use holebook_screens::{Request, answer};
use holebook_tests::{median, print_ratio};
use std::hint::black_box;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;

const TURNS: usize = 200;
const PHOTO: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../samples/pump-end-cover/joint-face.jpg"
);

fn main() {
    let dir = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let (small, large) = (face_of(&notebook, 6), face_of(&notebook, 60));
    let mut times = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        times.0.push(page(&notebook, small));
        times.1.push(page(&notebook, large));
    }
    let (small, large) = (median(times.0), median(times.1));
    print_ratio(
        "a face's page, 60 holes, processor time",
        large,
        ("6 holes", small),
    );
}

/// The processor time of one page.
fn page(notebook: &Notebook, face: FaceId) -> Duration {
    let request = Request::get(&format!("/face/{face}"));
    let since = processor_time();
    let response = black_box(answer(notebook, &request));
    let took = processor_time() - since;
    assert_eq!(response.status, 200);
    took
}

/// The processor time of this thread so far, as Linux counts it.
fn processor_time() -> Duration {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    let nanoseconds = text.split_whitespace().next().unwrap();
    Duration::from_nanos(nanoseconds.parse().unwrap())
}

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

fn face_of(notebook: &Notebook, holes: u32) -> FaceId {
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
    let at = 20.0 * f64::from(number);
    notebook
        .mark(hole, photo, 200.0 + at, 300.0 + at, &[])
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
