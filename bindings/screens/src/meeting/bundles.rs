//! Bundles that the pages write and take in: where their files lie meanwhile.

use super::{BundleFile, Done, NotDone, Piece, Share, Way};
use crate::carrier::Upload;
use chrono::Local;
use holebook_core::exchange::bundle::{self, What};
use holebook_core::notebook::Notebook;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use tempfile::TempDir;

/// The bundles of one run of the program. What was written stays until the next one is, or the program ends.
pub struct Bundles {
    folder: PathBuf,
    written: Arc<Mutex<Option<TempDir>>>,
}

impl Bundles {
    /// With their files in `folder`, each in a folder of its own there.
    #[must_use]
    pub fn within(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            written: Arc::default(),
        }
    }

    /// The work of writing one.
    ///
    /// # Errors
    /// Where there is no room for it.
    pub fn write(&self, notebook: Arc<Notebook>, share: Share) -> Result<Piece, NotDone> {
        let room = self.room().map_err(no_room)?;
        let written = Arc::clone(&self.written);
        let what = match share {
            Share::All => What::All,
            Share::NotHome => What::NotHome,
        };
        let name = format!("holebook-{}.zip", Local::now().format("%Y-%m-%d-%H%M"));
        let path = room.path().join(&name);
        Ok(Piece::new(Way::WriteBundle, "the bundle", move |watch| {
            let done = bundle::write(&notebook, &path, what, watch);
            let done = done.map_err(|why| called(&why.to_string(), &path, "the bundle"))?;
            *written.lock().unwrap_or_else(PoisonError::into_inner) = Some(room);
            Ok(Done::Written(BundleFile {
                path,
                name,
                bytes: done.bytes,
                entries: done.entries,
                photos: done.photos,
            }))
        }))
    }

    /// The work of taking one in. The file is moved out of the request's way, and goes away when it was taken in.
    ///
    /// # Errors
    /// Where it cannot be moved.
    pub fn take(&self, notebook: Arc<Notebook>, upload: &Upload) -> Result<Piece, NotDone> {
        let room = self.room().map_err(no_room)?;
        let path = room.path().join("bundle.zip");
        // Where it came in another file system than this, it cannot be moved.
        fs::rename(&upload.path, &path)
            .or_else(|_| fs::copy(&upload.path, &path).map(drop))
            .map_err(no_room)?;
        let name = shown(&upload.name);
        Ok(Piece::new(Way::TakeBundle, name.clone(), move |watch| {
            let taken = bundle::take_in(&notebook, &path, watch);
            drop(room);
            taken
                .map(Done::Moved)
                .map_err(|why| called(&why.to_string(), &path, &name))
        }))
    }

    fn room(&self) -> io::Result<TempDir> {
        tempfile::Builder::new()
            .prefix("bundle-")
            .tempdir_in(&self.folder)
    }
}

/// The name that the person's own device gave the file, at a length that fits a line.
fn shown(name: &str) -> String {
    let short: String = name.chars().take(60).collect();
    match short.is_empty() {
        true => "the bundle".to_owned(),
        false => format!("the bundle '{short}'"),
    }
}

/// A sentence about the file by the name that a person knows, not by where it was put meanwhile.
fn called(sentence: &str, path: &Path, name: &str) -> String {
    sentence.replace(&path.display().to_string(), name)
}

fn no_room(error: io::Error) -> NotDone {
    NotDone(format!(
        "There is no place for the bundle on the disk that holds the notebook ({error}); make room there, and try again."
    ))
}
