//! Bundles: there and back, and what is not let in.
#![allow(clippy::unwrap_used)]

mod hostile;
mod patched;
mod round;
mod writing;

use super::{What, write};
use crate::exchange::unwatched;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{Bench, depth_of, lay_out};
use crate::notebook::{FaceId, HoleId, Notebook};
use crate::photo::PhotoHash;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

/// A notebook with a hole and a photo, and a folder to put bundles in.
struct Shop {
    bench: Bench,
    hole: HoleId,
    face: FaceId,
    photo: PhotoHash,
    dir: TempDir,
}

impl Shop {
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

    fn say(&self, mm: f64) {
        self.notebook().say(self.hole, depth_of(mm), &[]).unwrap();
    }

    fn place(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// All that the notebook knows, as a bundle's bytes.
    fn bundle(&self) -> Vec<u8> {
        let place = self.place("all.zip");
        write(self.notebook(), &place, What::All, &unwatched).unwrap();
        let bytes = fs::read(&place).unwrap();
        fs::remove_file(&place).unwrap();
        bytes
    }
}

fn add_photo(notebook: &Notebook, face: FaceId, dir: &TempDir, shade: u8) -> PhotoHash {
    let (_, incoming) = notebook
        .add_photo(face, &photo_file(dir, shade), None)
        .unwrap();
    incoming.hash
}
