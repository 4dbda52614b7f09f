//! One casting as a single file to send: read-only, without scripts, and without any address.

mod hole;

use crate::carrier::Response;
use crate::download::{attachment, file_name};
use crate::labels::{author, count, date_time};
use crate::page::STYLE;
use crate::pages::photo::marked_photo;
use base64::prelude::{BASE64_STANDARD, Engine};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::stage::Stage;
use holebook_core::insert::Catalog;
use holebook_core::length::Unit;
use holebook_core::notebook::{
    CastingId, CastingView, FaceView, HoleView, Notebook, NotebookError, PhotoView, now,
};
use holebook_core::photo::PhotoError;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

/// What the file shows, loaded once.
struct Copied<'a> {
    notebook: &'a Notebook,
    catalog: &'a Catalog,
    unit: Unit,
}

/// A hole with its plan.
struct PlannedHole {
    hole: HoleView,
    plan: Plan,
}

/// Its name in addresses.
pub const NAME: &str = "page.html";

/// The file as a download.
pub fn download(notebook: &Notebook, id: CastingId, unit: Unit) -> Result<Response, NotebookError> {
    let page = casting_file(notebook, id, unit)?;
    let name = file_name(&notebook.casting(id)?.name, "casting", "html");
    Ok(attachment("text/html; charset=utf-8", &name, page))
}

/// Returns the casting as one HTML page with its style and its photos, made smaller, inside: all
/// holes as found, the steps done, the checks and the whole log. It loads nothing, and its policy
/// forbids that anything be loaded.
///
/// # Errors
/// [`NotebookError::NoSuch`] if there is no such casting; also if the notebook cannot be read.
pub fn casting_file(
    notebook: &Notebook,
    id: CastingId,
    unit: Unit,
) -> Result<String, NotebookError> {
    let casting = notebook.casting(id)?;
    let catalog = notebook.catalog()?;
    let copied = Copied {
        notebook,
        catalog: &catalog,
        unit,
    };
    let faces = casting.faces.iter();
    let faces: Vec<Markup> = faces
        .map(|face| copied.face(&notebook.face(face.id)?))
        .collect::<Result<_, NotebookError>>()?;
    let head = head(&casting, &notebook.settings()?.person);
    let text = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (casting.name) }
                style { (PreEscaped(STYLE)) }
            }
            body { main { article.sheet { (head) @for face in faces { (face) } } } }
        }
    };
    Ok(text.into_string())
}

/// Allows the style in the page and pictures in the page, and nothing else.
fn policy() -> String {
    let style = BASE64_STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    format!("default-src 'none'; img-src data:; style-src 'sha256-{style}'")
}

fn head(casting: &CastingView, person: &str) -> Markup {
    let details = casting.details.0.iter().map(|entry| &entry.body);
    let by = match person.is_empty() {
        true => String::new(),
        false => format!(" by {}", author(person)),
    };
    html! {
        h1 { bdi { (casting.name) } }
        p { "A copy to read, made " (date_time(&now())) (by) ". The notebook has gone on since; ask for a new copy if it matters." }
        @if casting.details.differ() { p.problem { "Conflict: entries disagree about this casting. All are shown." } }
        dl.facts { @for body in details {
            @if casting.details.differ() { dt { "Name" } dd { bdi { (body.name) } } }
            dt { "Metal" } dd { (body.metal.map_or_else(|| "unknown".to_owned(), |metal| metal.to_string())) }
        } }
        @for note in casting.details.0.iter().filter_map(|entry| entry.body.note.as_ref()) { p { bdi { (note) } } }
        (cautions())
        @if !casting.faces.is_empty() { ul { @for face in &casting.faces {
            li { a href=(format!("#face-{}", face.id)) { bdi { (face.name) } } ": "
                (face.holes.of(Stage::Passed)) " of " (count(face.holes.total() as usize, "hole", "holes")) " passed"
                @if face.holes.conflicts > 0 { ", " b { (count(face.holes.conflicts as usize, "conflict", "conflicts")) } }
                @if face.holes.problems > 0 { ", " b { (count(face.holes.problems as usize, "hole has", "holes have")) " an open problem" } } }
        } } }
        @for note in &casting.notes { p { "“" bdi { (note.body.text) } "” " span.faint { (author(&note.by)) ", " (date_time(&note.at)) } } }
    }
}

fn cautions() -> Markup {
    html! {
        div.caution { b { "Caution: " }
            "These are notes of what people measured and did, not an approval. Before anyone works on the machine or puts it under load, "
            "its manual, local codes, and people licensed for the work come first. A hole is only as good as its last check: look again "
            "at what is open, in conflict, or struck out." }
    }
}

impl Copied<'_> {
    fn face(&self, face: &FaceView) -> Result<Markup, NotebookError> {
        let holes = face.holes.iter().map(|hole| self.notebook.hole(hole.id));
        let planned = |hole: HoleView| {
            let plan = Plan::of_chosen(&hole.record, &hole.face_record, self.catalog);
            PlannedHole { hole, plan }
        };
        let holes: Vec<PlannedHole> = holes
            .map(|hole| hole.map(planned))
            .collect::<Result<_, _>>()?;
        let photos = face.photos.iter().map(|photo| self.photo(photo, face));
        let photos: Vec<Markup> = photos.collect::<Result<_, _>>()?;
        let sections = holes.iter().map(|hole| self.hole(hole));
        let sections: Vec<Markup> = sections.collect::<Result<_, _>>()?;
        let log = self.notebook.history(face.id.0, usize::MAX, None)?;
        Ok(html! {
            section id=(format!("face-{}", face.id)) {
                h2 { bdi { (face.name) } }
                (self.face_facts(face))
                @for photo in photos { (photo) }
                @if holes.is_empty() { p { "No holes yet." } } @else { (self.overview(face, &holes)) }
                @for section in sections { (section) }
                h3 { "Log of " bdi { (face.name) } }
                (self.log(&log))
            }
        })
    }

    fn face_facts(&self, face: &FaceView) -> Markup {
        let record = &face.record;
        let shown = |length: Option<holebook_core::length::Length>, none: &str| {
            length.map_or_else(|| none.to_owned(), |length| length.show(self.unit))
        };
        let planned = record.planned_cut.agreed().map(|cut| cut.planned);
        html! {
            @if face.details.differ() || record.planned_cut.differ() {
                p.problem { "Conflict: entries disagree about this face; its log has them all." }
            }
            dl.facts {
                dt { "Stock to remove" } dd { (shown(planned, "not planned")) }
                dt { "Removed so far" } dd { (record.removed().show(self.unit)) }
                dt { "Left to remove" } dd { (shown(record.left_to_remove(), "unknown")) }
            }
            @for note in &face.notes { p { "“" bdi { (note.body.text) } "” " span.faint { (author(&note.by)) ", " (date_time(&note.at)) } } }
        }
    }

    fn photo(&self, photo: &PhotoView, face: &FaceView) -> Result<Markup, NotebookError> {
        let Some(source) = self.picture(photo)? else {
            return Ok(html! { p { "A photo of this face is on another device." } });
        };
        let alt = format!("{} with its holes marked by number", face.name);
        let marked = marked_photo(&source, &alt, photo, face, false);
        let mut marks = photo.marks.iter();
        let of_hole = marks.find(|mark| Some(mark.hole) == photo.hole);
        Ok(html! {
            @if let Some(mark) = of_hole { p { "Hole " (mark.number) " alone:" } }
            (marked)
        })
    }

    /// The photo's view as a data address; `None` if its file is not here.
    fn picture(&self, photo: &PhotoView) -> Result<Option<String>, NotebookError> {
        let path = match self.notebook.photos().view(&photo.hash) {
            Ok(path) => path,
            Err(PhotoError::Missing { .. }) => return Ok(None),
            Err(error) => return Err(error.into()),
        };
        let bytes = std::fs::read(&path).map_err(|error| PhotoError::storage(&path, error))?;
        let bytes = BASE64_STANDARD.encode(bytes);
        Ok(Some(format!("data:image/jpeg;base64,{bytes}")))
    }
}
