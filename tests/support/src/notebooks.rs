//! What tests of any remote do with notebooks.

use holebook_core::notebook::{
    CastingBody, CastingId, DeviceId, FaceBody, FaceId, Head, LineHash, Notebook,
};
use holebook_core::sync::Segment;
use std::path::Path;

/// Adds a casting.
///
/// # Panics
/// If the notebook cannot be written.
pub fn add_casting(notebook: &Notebook, name: &str) -> CastingId {
    let body = CastingBody {
        name: name.to_owned(),
        note: None,
        metal: None,
    };
    notebook.add_casting(&body).unwrap()
}

/// Adds a face without holes, of a new casting.
///
/// # Panics
/// If the notebook cannot be written.
pub fn add_face(notebook: &Notebook) -> FaceId {
    let body = FaceBody {
        casting: add_casting(notebook, "pump end"),
        name: "cover joint".to_owned(),
        note: None,
    };
    notebook.add_face(&body).unwrap()
}

/// The last line of each device, and the photos, sorted: equal for notebooks that hold the same.
///
/// # Panics
/// If the notebook cannot be read.
#[must_use]
pub fn contents(notebook: &Notebook) -> (Vec<String>, Vec<String>) {
    let heads = notebook.heads().unwrap();
    let mut heads: Vec<_> = heads
        .iter()
        .map(|head| format!("{} {} {}", head.device, head.seq, head.hash))
        .collect();
    heads.sort();
    let photos = notebook.photos().hashes().unwrap();
    let mut photos: Vec<_> = photos.iter().map(ToString::to_string).collect();
    photos.sort();
    (heads, photos)
}

/// A segment of three lines by a device that no notebook knows.
#[must_use]
pub fn unknown_segment() -> Segment {
    let end = Head {
        device: DeviceId::fresh(),
        seq: 3,
        hash: LineHash::of("x"),
    };
    Segment::ending_at(&end, 1)
}

/// The files in a folder, sorted, except SQLite's and the notebook's lock.
///
/// # Panics
/// If the folder cannot be read.
#[must_use]
pub fn files(dir: &Path) -> Vec<String> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.metadata().unwrap().is_dir() {
            let inner = files(&entry.path());
            names.extend(inner.into_iter().map(|inner| format!("{name}/{inner}")));
        } else if !(name.contains(".sqlite") || name == ".in-use") {
            names.push(name);
        }
    }
    names.sort();
    names
}
