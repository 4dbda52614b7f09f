//! `holebook bundle`: entries and photos as one file, to be handed on by whatever there is.

use super::look::Look;
use super::underway::Underway;
use super::{existing, number};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::paragraph;
use holebook_core::exchange::bundle::{What, Written, write, write_over};
use serde::Serialize;
use std::path::Path;

/// Writes a bundle of the notebook in `folder`.
///
/// # Errors
/// Where there is no notebook, nothing to write, or the file is there already or cannot be written.
pub fn run(folder: &Path, asked: &cli::Bundle, look: Look) -> Result<(), Failure> {
    let notebook = existing(folder)?;
    let what = match asked.not_home {
        true => What::NotHome,
        false => What::All,
    };
    let underway = Underway::begin()?;
    let watch = underway.watch("the bundle");
    let written = match asked.replace {
        true => write_over(&notebook, &asked.out, what, &watch)?,
        false => write(&notebook, &asked.out, what, &watch)?,
    };
    drop(watch);
    drop(underway);
    if look.json {
        return out::json(&Answer {
            file: &asked.out,
            entries: written.entries,
            photos: written.photos,
            bytes: written.bytes,
            photos_missing: written.photos_missing.len(),
        });
    }
    out::say(&words(&asked.out, &written))
}

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a Path,
    entries: u64,
    photos: u64,
    bytes: u64,
    photos_missing: usize,
}

fn words(file: &Path, written: &Written) -> String {
    let mut words = format!(
        "{} holds {} and {}.",
        file.display(),
        number(written.entries, "entry", "entries"),
        number(written.photos, "photo", "photos"),
    );
    match written.photos_missing.len() as u64 {
        0 => {}
        missing => {
            words += &format!(
                " {} not here, and so not in it.",
                number(
                    missing,
                    "photo that it names is",
                    "photos that it names are"
                )
            );
        }
    }
    words += " Whoever has it can read all of it; another notebook takes it in with `holebook exchange --bundle`. \
              A file may never arrive, so what is in it does not count as brought home.";
    paragraph(&words)
}
