//! Times the page of a face with 60 marked holes at all stages, against one with 6: what lists show
//! of a hole is kept in its row, so no hole is judged for the page. And its work sheet and record as
//! PDF, against the work sheet as one HTML file.
//!
//! `cargo bench --profile dist -p holebook-tests --bench face`. Targets for 60 holes: 10 ms of
//! processor for the page, 300 ms and 3 MB for a PDF.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, Notebook};
use holebook_core::strength::Lubrication;
use holebook_paper::{PaperSize, SheetKind, SheetOptions, sheet_pdf};
use holebook_screens::{Request, answer};
use holebook_test_support::worked_face::worked_face;
use holebook_tests::{median, print_ratio};
use std::hint::black_box;
use std::time::Duration;
use tempfile::TempDir;

const TURNS: usize = 200;
const SHEETS: usize = 12;

fn main() {
    let dir = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let (small, large) = (worked_face(&notebook, 6), worked_face(&notebook, 60));
    let mut times = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        times.0.push(page(&notebook, small));
        times.1.push(page(&notebook, large));
    }
    let (small, page) = (median(times.0), median(times.1));
    print_ratio(
        "a face's page, 60 holes, processor time",
        page,
        ("6 holes", small),
    );
    for kind in [SheetKind::Work, SheetKind::Record, SheetKind::BoltUp] {
        sheets(&notebook, large, kind);
    }
}

/// Times a sheet as PDF against the work sheet as HTML, and prints how large it is.
fn sheets(notebook: &Notebook, face: FaceId, kind: SheetKind) {
    let options = SheetOptions {
        kind,
        size: PaperSize::Letter,
        unit: Unit::Inch,
        lubrication: Some(Lubrication::USUAL),
    };
    let mut times = (Vec::new(), Vec::new());
    let mut bytes = 0;
    for _ in 0..SHEETS {
        let since = processor_time();
        bytes = black_box(sheet_pdf(notebook, face, options).unwrap()).len();
        times.0.push(processor_time() - since);
        let since = processor_time();
        black_box(holebook_screens::sheet(notebook, face, Unit::Inch).unwrap());
        times.1.push(processor_time() - since);
    }
    let what = format!(
        "{} of 60 holes as PDF, {:.2} MB, processor time",
        kind.word(),
        bytes as f64 / 1e6
    );
    let (pdf, html) = (median(times.0), median(times.1));
    print_ratio(&what, pdf, ("the work sheet as HTML", html));
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
