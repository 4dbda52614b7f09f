//! Bundles: written and imported, and what is rejected.
#![allow(clippy::unwrap_used)]

mod corrupted;
mod hostile;
mod round_trip;
mod writing;

use super::{BundleContent, write};
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{Bench, depth_of, lay_out};
use crate::notebook::{FaceId, HoleId, Notebook};
use crate::photo::PhotoHash;
use crate::sync::ignore_progress;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

/// A notebook with a hole and a photo, and a folder for bundles.
struct BundleBench {
    bench: Bench,
    hole: HoleId,
    face: FaceId,
    photo: PhotoHash,
    dir: TempDir,
}

impl BundleBench {
    fn new() -> Self {
        let (bench, dir) = (Bench::new(), TempDir::new().unwrap());
        let (face, holes) = lay_out(&bench.notebook, 1);
        let photo = add_photo(&bench.notebook, face, &dir, 7);
        Self {
            bench,
            hole: holes[0],
            face,
            photo,
            dir,
        }
    }

    fn notebook(&self) -> &Notebook {
        &self.bench.notebook
    }

    fn record_depth(&self, mm: f64) {
        self.notebook()
            .record(self.hole, depth_of(mm), &[])
            .unwrap();
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Everything the notebook knows, as a bundle's bytes.
    fn bundle(&self) -> Vec<u8> {
        let path = self.path("all.zip");
        write(self.notebook(), &path, BundleContent::All, &ignore_progress).unwrap();
        let bytes = fs::read(&path).unwrap();
        fs::remove_file(&path).unwrap();
        bytes
    }
}

fn add_photo(notebook: &Notebook, face: FaceId, dir: &TempDir, shade: u8) -> PhotoHash {
    let (_, incoming) = notebook
        .add_photo(face, &photo_file(dir, shade), None)
        .unwrap();
    incoming.hash
}
