//! `holebook sheet`: writes a sheet of a face as PDF or as one HTML page.

use super::output::OutputOptions;
use super::{name_given, new_file};
use crate::cli::{self, BoltsArg, PaperArg, SheetKindArg};
use crate::failure::Failure;
use crate::out;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, List, Notebook};
use holebook_core::strength::Lubrication;
use holebook_paper::{PaperSize, SheetKind, SheetOptions, sheet_pdf};
use serde::Serialize;
use std::path::Path;

/// Writes the sheet.
///
/// # Errors
/// If there is no such face, the file's name has another ending, or it cannot be written.
pub fn run(folder: &Path, args: &cli::Sheet, output: OutputOptions) -> Result<(), Failure> {
    let notebook = super::open_existing(folder)?;
    let face = choose_face(&notebook.list()?, args.face.as_deref())?;
    let unit = output.unit_for_notebook(&notebook)?;
    let sheet = made(&notebook, face.id, args, unit)?;
    new_file::write(&args.out, &sheet, args.replace).map_err(|error| {
        new_file::failure("the sheet", "writing the sheet to", &args.out, &error)
    })?;
    if output.json {
        return out::print_json(&Answer {
            face: face.id,
            name: &face.name,
            kind: kind(args.kind).word(),
            file: &args.out,
        });
    }
    let (name, file) = (crate::table::plain(&face.name), args.out.display());
    let open = match Format::of(&args.out) {
        Some(Format::Html) => "open it in a browser to print it",
        _ => "print it at 100 %",
    };
    let label = kind(args.kind).label();
    out::print(&format!("{label} of {name}: {file}; {open}.\n"))
}

/// What the ending of a file's name stands for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Format {
    Pdf,
    Html,
}

impl Format {
    fn of(file: &Path) -> Option<Format> {
        let ending = file.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "pdf" => Some(Format::Pdf),
            "html" | "htm" => Some(Format::Html),
            _ => None,
        }
    }
}

/// Makes the sheet in the format of the file's ending.
fn made(
    notebook: &Notebook,
    face: FaceId,
    args: &cli::Sheet,
    unit: Unit,
) -> Result<Vec<u8>, Failure> {
    let kind = kind(args.kind);
    let lubrication = args.bolts.map(lubrication);
    match (Format::of(&args.out), kind) {
        (Some(Format::Pdf), _) => {
            let size = args.paper.map_or(PaperSize::usual(unit), paper);
            let options = SheetOptions {
                kind,
                size,
                unit,
                lubrication,
            };
            Ok(sheet_pdf(notebook, face, options)?)
        }
        (Some(Format::Html), SheetKind::Work) => {
            Ok(holebook_screens::sheet(notebook, face, unit)?.into_bytes())
        }
        (Some(Format::Html), SheetKind::Record) => {
            Ok(holebook_screens::record(notebook, face, unit)?.into_bytes())
        }
        (Some(Format::Html), SheetKind::BoltUp) => {
            let page = holebook_screens::bolt_up_sheet(notebook, face, lubrication, unit)?;
            Ok(page.into_bytes())
        }
        (Some(Format::Html), SheetKind::Template | SheetKind::Label) => {
            Err(Failure::Message(format!(
                "the {} is made as PDF only; name a file that ends in .pdf",
                kind.word()
            )))
        }
        (None, _) => Err(Failure::Message(format!(
            "{} has no ending that names a format; name a file that ends in .pdf or .html",
            args.out.display()
        ))),
    }
}

fn kind(arg: SheetKindArg) -> SheetKind {
    match arg {
        SheetKindArg::Work => SheetKind::Work,
        SheetKindArg::Record => SheetKind::Record,
        SheetKindArg::Template => SheetKind::Template,
        SheetKindArg::Label => SheetKind::Label,
        SheetKindArg::BoltUp => SheetKind::BoltUp,
    }
}

fn lubrication(arg: BoltsArg) -> Lubrication {
    match arg {
        BoltsArg::Dry => Lubrication::Dry,
        BoltsArg::Oiled => Lubrication::Oiled,
        BoltsArg::Zinc => Lubrication::Zinc,
    }
}

fn paper(arg: PaperArg) -> PaperSize {
    match arg {
        PaperArg::Letter => PaperSize::Letter,
        PaperArg::A4 => PaperSize::A4,
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    face: FaceId,
    name: &'a str,
    kind: &'static str,
    file: &'a Path,
}

struct Chosen {
    id: FaceId,
    name: String,
}

fn choose_face(list: &List, args: Option<&str>) -> Result<Chosen, Failure> {
    let names = "`holebook list` shows names and ids";
    if let Some(args) = args {
        name_given("name of the face", args, names)?;
    }
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
            Err(Failure::Message(format!("the notebook has no face `{args}`; {names}")))
        }
        (None, _, None) => Err(Failure::Message("the notebook has no face yet; add one with `holebook open`".into())),
    }
}
