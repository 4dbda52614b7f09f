//! `holebook sheet`: a face's sheet as one HTML page.

use super::look::Look;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use holebook_core::notebook::FaceId;
use holebook_core::notebook::List;
use serde::Serialize;
use std::io::{self, Write as _};
use std::path::Path;

/// Writes the sheet.
///
/// # Errors
/// Where there is no such face, or the file cannot be written.
pub fn run(folder: &Path, asked: &cli::Sheet, look: Look) -> Result<(), Failure> {
    let notebook = super::existing(folder)?;
    let face = choose(&notebook.list()?, asked.face.as_deref())?;
    let page = holebook_screens::sheet(&notebook, face.id, look.unit_of(&notebook)?)?;
    write(&asked.out, &page)
        .map_err(|error| Failure::file("writing the sheet to", &asked.out, &error))?;
    if look.json {
        return out::json(&Answer {
            face: face.id,
            name: &face.name,
            file: &asked.out,
        });
    }
    let (name, file) = (crate::table::plain(&face.name), asked.out.display());
    out::say(&format!(
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

fn choose(list: &List, asked: Option<&str>) -> Result<Chosen, Failure> {
    let faces = list.castings.iter().flat_map(|casting| &casting.faces);
    let mut fitting = faces.filter(|face| {
        asked.is_none_or(|asked| face.name == asked || face.id.to_string() == asked)
    });
    match (fitting.next(), fitting.next(), asked) {
        (Some(face), None, _) => Ok(Chosen { id: face.id, name: face.name.clone() }),
        (Some(_), Some(_), None) => {
            Err(Failure::Said("the notebook has several faces; say which with --face and a name or id that `holebook list` shows".into()))
        }
        (Some(_), Some(_), Some(asked)) => {
            Err(Failure::Said(format!("several faces are called `{asked}`; say which with --face and its id, which `holebook list` shows")))
        }
        (None, _, Some(asked)) => {
            Err(Failure::Said(format!("the notebook has no face `{asked}`; `holebook list` shows the names and ids of those it has")))
        }
        (None, _, None) => Err(Failure::Said("the notebook has no face yet; add one with `holebook open`".into())),
    }
}

/// Writes beside the place first, so that a full disk does not leave half a sheet.
fn write(file: &Path, page: &str) -> io::Result<()> {
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut whole = beside().tempfile_in(folder)?;
    whole.write_all(page.as_bytes())?;
    whole.as_file().sync_all()?;
    whole.persist(file).map(drop).map_err(|error| error.error)
}

/// A file that others may read as they may read what people write: temporary files are for their owner alone.
#[cfg(unix)]
fn beside() -> tempfile::Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt as _;
    let mut builder = tempfile::Builder::new();
    builder.permissions(std::fs::Permissions::from_mode(0o666));
    builder
}

#[cfg(not(unix))]
fn beside() -> tempfile::Builder<'static, 'static> {
    tempfile::Builder::new()
}
