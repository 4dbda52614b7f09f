//! `holebook sheet`: writes a face's sheet as one HTML page.

use super::new_file;
use super::output::OutputOptions;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use holebook_core::notebook::FaceId;
use holebook_core::notebook::List;
use serde::Serialize;
use std::path::Path;

/// Writes the sheet.
///
/// # Errors
/// If there is no such face, or the file cannot be written.
pub fn run(folder: &Path, args: &cli::Sheet, output: OutputOptions) -> Result<(), Failure> {
    let notebook = super::open_existing(folder)?;
    let face = choose_face(&notebook.list()?, args.face.as_deref())?;
    let page = holebook_screens::sheet(&notebook, face.id, output.unit_for_notebook(&notebook)?)?;
    new_file::write(&args.out, &page, args.replace).map_err(|error| {
        new_file::failure("the sheet", "writing the sheet to", &args.out, &error)
    })?;
    if output.json {
        return out::print_json(&Answer {
            face: face.id,
            name: &face.name,
            file: &args.out,
        });
    }
    let (name, file) = (crate::table::plain(&face.name), args.out.display());
    out::print(&format!(
        "The sheet of {name} is in {file}; open it in a browser to print it.\n"
    ))
}

#[derive(Serialize)]
struct Answer<'a> {
    face: FaceId,
    name: &'a str,
    file: &'a Path,
}

struct Chosen {
    id: FaceId,
    name: String,
}

fn choose_face(list: &List, args: Option<&str>) -> Result<Chosen, Failure> {
    let faces = list.castings.iter().flat_map(|casting| &casting.faces);
    let mut fitting = faces
        .filter(|face| args.is_none_or(|args| face.name == args || face.id.to_string() == args));
    match (fitting.next(), fitting.next(), args) {
        (Some(face), None, _) => Ok(Chosen { id: face.id, name: face.name.clone() }),
        (Some(_), Some(_), None) => {
            Err(Failure::Message("the notebook has several faces; pick one with --face and a name or id shown by `holebook list`".into()))
        }
        (Some(_), Some(_), Some(args)) => {
            Err(Failure::Message(format!("several faces are called `{args}`; pick one with --face and an id shown by `holebook list`")))
        }
        (None, _, Some(args)) => {
            Err(Failure::Message(format!("the notebook has no face `{args}`; `holebook list` shows names and ids")))
        }
        (None, _, None) => Err(Failure::Message("the notebook has no face yet; add one with `holebook open`".into())),
    }
}
