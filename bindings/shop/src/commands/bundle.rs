//! `holebook bundle`: writes entries and photos as one file.

use super::output::OutputOptions;
use super::progress::ProgressLine;
use super::{count_of, new_file, open_existing};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::paragraph;
use holebook_core::sync::bundle::{BundleContent, WrittenBundle, write, write_replacing};
use holebook_core::sync::{BundleError, SyncError};
use serde::Serialize;
use std::path::Path;

/// Writes a bundle of the notebook in `folder`.
///
/// # Errors
/// If there is no notebook or nothing to write, or the file exists or cannot be written.
pub fn run(folder: &Path, args: &cli::Bundle, output: OutputOptions) -> Result<(), Failure> {
    let notebook = open_existing(folder)?;
    let what = match args.not_synced {
        true => BundleContent::NotSynced,
        false => BundleContent::All,
    };
    let progress = ProgressLine::start()?;
    let watch = progress.watch("the bundle");
    let written = match args.replace {
        true => write_replacing(&notebook, &args.out, what, &watch),
        false => write(&notebook, &args.out, what, &watch),
    };
    let written = written.map_err(|error| match error {
        SyncError::Bundle(BundleError::Exists { file }) => new_file::exists("the bundle", &file),
        other => other.into(),
    })?;
    drop(watch);
    drop(progress);
    if output.json {
        return out::print_json(&Answer {
            file: &args.out,
            entries: written.entries,
            photos: written.photos,
            bytes: written.bytes,
            photos_missing: written.photos_missing.len(),
        });
    }
    out::print(&bundle_text(&args.out, &written))
}

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a Path,
    entries: u64,
    photos: u64,
    bytes: u64,
    photos_missing: usize,
}

fn bundle_text(file: &Path, written: &WrittenBundle) -> String {
    let mut text = format!(
        "{} holds {} and {}.",
        file.display(),
        count_of(written.entries, "entry", "entries"),
        count_of(written.photos, "photo", "photos"),
    );
    match written.photos_missing.len() as u64 {
        0 => {}
        missing => {
            text += &format!(
                " {} not on this device, so not in the bundle.",
                count_of(missing, "photo is", "photos are")
            );
        }
    }
    text += " Anyone who has the file can read it. Another notebook imports it with `holebook sync --bundle`. Its entries do \
              not count as synced, since a file may never arrive.";
    paragraph(&text)
}
