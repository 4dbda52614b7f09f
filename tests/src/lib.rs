//! Helpers for the tests that cross rooms.

pub mod apart;
pub mod dice;
pub mod lan;
pub mod large;
#[path = "../../bindings/link/tests/common/mod.rs"]
mod link_bench;
pub mod need;
pub mod pictures;
pub mod readers;
pub mod shop;

pub use link_bench::{books, heads, proxy};

use holebook_core::notebook::{CastingBody, FaceBody, FaceId, Notebook};
use std::time::Duration;

/// A new face, without holes, of a new casting.
///
/// # Panics
/// Where the notebook cannot be written.
#[must_use]
pub fn face(notebook: &Notebook) -> FaceId {
    let casting = CastingBody {
        name: "pump end".into(),
        note: None,
        metal: None,
    };
    let face = notebook.add_casting(&casting).and_then(|casting| {
        notebook.add_face(&FaceBody {
            casting,
            name: "cover joint".into(),
            note: None,
        })
    });
    face.unwrap_or_else(|error| panic!("{error}"))
}

/// The middle one of some times.
///
/// # Panics
/// Where there is none.
#[must_use]
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

/// The most memory that a process has taken so far, as Linux tells it.
#[must_use]
pub fn peak(process: u32) -> String {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kib = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
    kib.map_or("peak not known here".to_owned(), |kib| {
        format!("peak {} MB", kib * 1024 / 1_000_000)
    })
}
