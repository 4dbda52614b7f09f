//! Bundles that pages write and import, and their temporary files.

use super::{BundleFile, Job, RunResult, StepFailure, SyncRefused, TaskKind};
use crate::carrier::Upload;
use holebook_core::export;
use holebook_core::notebook::Notebook;
use holebook_core::sync::bundle::{self, BundleContent};
use holebook_core::sync::{Bundle, pull_from};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use tempfile::TempDir;

/// The bundles of one process. A written bundle stays until the next one is written, or the process ends.
pub struct Bundles {
    folder: PathBuf,
    written: Arc<Mutex<Option<TempDir>>>,
}

impl Bundles {
    /// Creates temporary folders for the files in `folder`.
    #[must_use]
    pub fn new(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            written: Arc::default(),
        }
    }

    /// Returns a job that writes a bundle.
    ///
    /// # Errors
    /// If its temporary folder cannot be created.
    pub fn write(
        &self,
        notebook: Arc<Notebook>,
        content: BundleContent,
    ) -> Result<Job, SyncRefused> {
        let folder = self.temp_dir().map_err(no_space)?;
        let written = Arc::clone(&self.written);
        let name = format!(
            "holebook-{}.zip",
            holebook_core::notebook::now().format("%Y-%m-%d-%H%M")
        );
        let path = folder.path().join(&name);
        Ok(Job::new(
            TaskKind::WriteBundle,
            "the bundle",
            move |on_progress| {
                let done = bundle::write(&notebook, &path, content, on_progress);
                let done = done.map_err(|error| failure(&error, &path, "the bundle"))?;
                *written.lock().unwrap_or_else(PoisonError::into_inner) = Some(folder);
                Ok(RunResult::BundleWritten(BundleFile {
                    path,
                    name,
                    bytes: done.bytes,
                    entries: done.entries,
                    photos: done.photos,
                }))
            },
        ))
    }

    /// Returns a job that exports the notebook as one zip file, which stays as a bundle does.
    ///
    /// # Errors
    /// If its temporary folder cannot be created.
    pub fn export(&self, notebook: Arc<Notebook>) -> Result<Job, SyncRefused> {
        let folder = self.temp_dir().map_err(no_space)?;
        let written = Arc::clone(&self.written);
        let name = format!(
            "holebook-export-{}.zip",
            holebook_core::notebook::now().format("%Y-%m-%d-%H%M")
        );
        let path = folder.path().join(&name);
        Ok(Job::new(
            TaskKind::Export,
            "the export",
            move |on_progress| {
                let done = export::to_zip(&notebook, &path, on_progress);
                let done = done.map_err(|error| failure(&error, &path, "the export"))?;
                let bytes = fs::metadata(&path).map_or(0, |file| file.len());
                *written.lock().unwrap_or_else(PoisonError::into_inner) = Some(folder);
                Ok(RunResult::Exported(BundleFile {
                    path,
                    name,
                    bytes,
                    entries: done.entries,
                    photos: done.photos,
                }))
            },
        ))
    }

    /// Returns a job that imports an uploaded bundle. The upload is moved, and deleted after the import.
    ///
    /// # Errors
    /// If it cannot be moved.
    pub fn import(&self, notebook: Arc<Notebook>, upload: &Upload) -> Result<Job, SyncRefused> {
        let folder = self.temp_dir().map_err(no_space)?;
        let path = folder.path().join("bundle.zip");
        // A file in another file system is copied instead.
        fs::rename(&upload.path, &path)
            .or_else(|_| fs::copy(&upload.path, &path).map(drop))
            .map_err(no_space)?;
        let name = display_name(&upload.name);
        Ok(Job::new(
            TaskKind::ImportBundle,
            name.clone(),
            move |on_progress| {
                let opened = Bundle::open(&path).map(|bundle| bundle.named(&name));
                let imported = opened.and_then(|bundle| pull_from(&notebook, &bundle, on_progress));
                drop(folder);
                imported
                    .map(RunResult::Synced)
                    .map_err(|error| failure(&error, &path, &name))
            },
        ))
    }

    fn temp_dir(&self) -> io::Result<TempDir> {
        tempfile::Builder::new()
            .prefix("bundle-")
            .tempdir_in(&self.folder)
    }
}

/// The uploaded file's name, shortened to fit a line.
fn display_name(name: &str) -> String {
    let short: String = name.chars().take(60).collect();
    match short.is_empty() {
        true => "the bundle".to_owned(),
        false => format!("the bundle '{short}'"),
    }
}

/// Replaces the temporary path in a sentence by the file's name.
fn failure(error: &impl ToString, path: &Path, name: &str) -> StepFailure {
    let sentence = error.to_string().replace(&path.display().to_string(), name);
    StepFailure::new(SyncRefused(sentence))
}

fn no_space(error: io::Error) -> SyncRefused {
    SyncRefused(format!(
        "The bundle does not fit on the disk that holds the notebook ({error}). Free some space, then retry."
    ))
}
