//! What tests of any shelf do with notebooks.

use holebook_core::exchange::Stretch;
use holebook_core::notebook::{CastingBody, CastingId, DeviceId, Head, LineHash, Notebook};

/// Notes a casting.
///
/// # Panics
/// Where the notebook cannot be written.
pub fn casting(notebook: &Notebook, name: &str) -> CastingId {
    let body = CastingBody {
        name: name.to_owned(),
        note: None,
        metal: None,
    };
    notebook.add_casting(&body).unwrap()
}

/// The last lines of all devices, and the photos, in order: what two notebooks that are equal have in common.
///
/// # Panics
/// Where the notebook cannot be read.
#[must_use]
pub fn ends(notebook: &Notebook) -> (Vec<String>, Vec<String>) {
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

/// Three lines of a device that no notebook knows.
#[must_use]
pub fn stretch() -> Stretch {
    let (device, hash) = (DeviceId::fresh(), LineHash::of("x"));
    let end = Head {
        device,
        seq: 3,
        hash,
    };
    Stretch::to(&end, 1)
}
