//! `holebook export`: the whole notebook as files, or one casting as one page.

use super::output::OutputOptions;
use super::progress::ProgressLine;
use super::{count_of, new_file, open_existing, scope};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{paragraph, plain};
use holebook_core::export::{ExportError, Exported, to_folder};
use holebook_core::notebook::{CastingId, Notebook};
use serde::Serialize;
use std::path::Path;

/// Writes the export.
///
/// # Errors
/// If there is no notebook or casting, or something is at the path, or it cannot be written.
pub fn run(folder: &Path, args: &cli::Export, output: OutputOptions) -> Result<(), Failure> {
    let notebook = open_existing(folder)?;
    match &args.casting {
        Some(casting) => one_casting(&notebook, casting, args, output),
        None => whole(&notebook, args, output),
    }
}

#[derive(Serialize)]
struct Whole<'a> {
    folder: &'a Path,
    entries: u64,
    holes: u64,
    photos: u64,
    photos_missing: u64,
}

fn whole(notebook: &Notebook, args: &cli::Export, output: OutputOptions) -> Result<(), Failure> {
    let progress = ProgressLine::start()?;
    let watch = progress.watch("the export");
    let exported = to_folder(notebook, &args.out, args.replace, &watch);
    let exported = exported.map_err(|error| match error {
        ExportError::Exists { path } => new_file::exists("the export", &path),
        other => other.into(),
    })?;
    drop(watch);
    drop(progress);
    if output.json {
        let Exported {
            entries,
            holes,
            photos,
            photos_missing,
        } = exported;
        return out::print_json(&Whole {
            folder: &args.out,
            entries,
            holes,
            photos,
            photos_missing,
        });
    }
    out::print(&whole_text(&args.out, exported))
}

fn whole_text(folder: &Path, exported: Exported) -> String {
    let mut text = format!(
        "{} holds {}, {}, and {}; README.txt in it says what each file is.",
        folder.display(),
        count_of(exported.entries, "entry", "entries"),
        count_of(exported.holes, "hole", "holes"),
        count_of(exported.photos, "photo", "photos"),
    );
    if exported.photos_missing > 0 {
        let missing = count_of(exported.photos_missing, "photo is", "photos are");
        text += &format!(" {missing} not on this device, so not in it.");
    }
    text += " Anyone who has the folder can read it. No notebook reads it back; for that, use `holebook bundle`.";
    paragraph(&text)
}

#[derive(Serialize)]
struct OneCasting<'a> {
    casting: CastingId,
    name: &'a str,
    file: &'a Path,
}

fn one_casting(
    notebook: &Notebook,
    named: &str,
    args: &cli::Export,
    output: OutputOptions,
) -> Result<(), Failure> {
    let castings = notebook.castings()?;
    let casting = scope::casting(&castings, named)?;
    let unit = output.unit_for_notebook(notebook)?;
    let page = holebook_screens::casting_file(notebook, casting.id, unit)?;
    new_file::write(&args.out, page.as_bytes(), args.replace)
        .map_err(|error| new_file::failure("the page", "writing the page to", &args.out, &error))?;
    if output.json {
        return out::print_json(&OneCasting {
            casting: casting.id,
            name: &casting.name,
            file: &args.out,
        });
    }
    let (name, file) = (plain(&casting.name), args.out.display());
    out::print(&format!(
        "{name} is in {file}: one page to read in any browser, without a network.\n"
    ))
}
