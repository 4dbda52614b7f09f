//! One joint face: its photos and its holes.

use crate::authors::Authors;
use crate::carrier::Request;
use crate::form::{FormError, replaced_entries, replaces, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{author, count, date_time};
use crate::newest::{earlier, newest};
use crate::notices::Notice;
use crate::page::{Crumb, Page};
use crate::pages::hole::{NOTE_ID, number};
use crate::pages::photo::{incomplete, marked_photo, upload};
use crate::pages::{FormContext, face_cut, face_setup, hole_list, photo, places, reminders, sheet};
use crate::progress::progress_line;
use holebook_core::hole::record::Note;
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{
    FaceBody, FaceId, FaceView, HoleId, HoleView, Notebook, NotebookError, PhotoId, PhotoView,
    RemovedPhoto,
};
use maud::{Markup, html};

/// Number of holes whose open problems the face's page writes out.
const PROBLEMS_SHOWN: usize = 30;

/// The face. The address says how its list of holes is sorted and filtered.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let open = face.holes.iter().filter(|hole| hole.problems > 0);
    let open = open.take(PROBLEMS_SHOWN).map(|hole| notebook.hole(hole.id));
    let open: Vec<HoleView> = open.collect::<Result<_, _>>()?;
    let authors = Authors::default()
        .and(notebook, &face.details)?
        .and(notebook, &face.record.planned_cut)?;
    let content = html! {
        div.row {
            h1.grow { (face.name) }
            (progress_line(&hole_list::counts(&face.holes)))
            @if !face.holes.is_empty() {
                a.button href=(format!("/face/{id}/runs")) { "Tool runs" }
                a.button href=(format!("/face/{id}/order")) { "Order of work" }
                a.button href=(format!("/face/{id}/kit")) { "Kit" }
                a.button href=(format!("/face/{id}/bolt-up")) { "Bolt-up" }
            }
            a.button href=(format!("/face/{id}/sheet")) { "Job sheet" }
            label.button.note-tap for=(NOTE_ID) { "Note" }
        }
        (context.outcome())
        (problems(&face, &open, context.unit))
        (reminders::list(notebook, Some(id), context)?)
        // A narrow screen has the holes before the face cut.
        div.two-columns.face-page {
            (photos(notebook, &face, context)?)
            (holes(&face, request, context))
            div {
                (notes(&face, context))
                (face_setup::summary(&face, context.unit))
                (places::links(&face))
                (face_cut::section(notebook, &face, &authors, context)?)
                details.panel open[context.was_rejected(FormName::Remind)] {
                    summary { "Add a reminder" } (reminders::form(id, None, "", context))
                }
            }
        }
        (sheet::on_face(&face, context))
        (edit(&face, &authors, context))
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::here(&face.name),
    ];
    let page = Page::new(&context.title(&face.name), crumbs, content);
    let page = page.with_script(hole_list::SCRIPT.0);
    Ok(page.with_script(photo::SCRIPTS[0].0))
}

fn photos(
    notebook: &Notebook,
    face: &FaceView,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let none = face.photos_of_face().next().is_none();
    let removed = notebook.removed_photos(face.id)?;
    let mut others = face.photos_of_face();
    let first = others.next();
    Ok(html! {
        section.panel.next[none] {
            h2 { "Photos" }
            @if let Some(photo) = first { (first_photo(photo, face)) }
            @for photo in others { (marked(photo, face)) }
            @if none { (photo_form(face, context)) } @else {
                details open[context.was_rejected(FormName::AddPhoto)] {
                    summary { "Add another photo" } (photo_form(face, context))
                }
            }
            (removed_photos(&removed))
        }
    })
}

/// The first photo, to mark holes in.
fn first_photo(photo: &PhotoView, face: &FaceView) -> Markup {
    html! {
        div.photo {
            (photo::on_face(face, photo))
            p { a.button.main[photo.marks.is_empty()] href=(format!("/photo/{}", photo.id)) { "Mark holes" } }
        }
    }
}

/// The photos that were removed, each with a button that brings it back; nothing without any.
fn removed_photos(removed: &[RemovedPhoto]) -> Markup {
    html! {
        @if !removed.is_empty() {
            details {
                summary { "Removed photos (" (removed.len()) ")" }
                @for photo in removed {
                    @let name = photo.name.as_deref().unwrap_or("photo without a name");
                    form.row method="post" action=(FormName::RestorePhoto.address_of(photo.id)) {
                        span.grow { (name) ", added by " (author(&photo.by)) }
                        button { "Bring back" span.visually-hidden { " " (name) } }
                    }
                }
            }
        }
    }
}

fn photo_form(face: &FaceView, context: FormContext<'_>) -> Markup {
    let wrong = context.was_rejected(FormName::AddPhoto);
    html! {
        form method="post" action=(FormName::AddPhoto.address_of(face.id)) enctype="multipart/form-data" {
            div.field {
                label for="photo-file" { "Photo (JPEG or PNG)" }
                input #photo-file type="file" name=(Field::Photo.name()) accept="image/jpeg,image/png" required
                    aria-invalid=[wrong.then_some("true")] aria-describedby="photo-hint" autofocus[wrong];
                small #photo-hint { "Hold the camera square to the face, in even light, with the whole face in the picture." }
            }
            p { button.main[face.photos_of_face().next().is_none()] { "Add photo" } }
        }
    }
}

/// A photo whose badges link to their holes.
fn marked(photo: &PhotoView, face: &FaceView) -> Markup {
    let path = format!("/photo/{}", photo.id);
    let text = format!(
        "Photo of the face with {}",
        count(photo.marks.len(), "mark", "marks")
    );
    html! {
        figure.photo {
            (marked_photo(&format!("{path}/view.jpg"), &text, photo, face, true))
            figcaption {
                (incomplete(photo))
                a.button.main[photo.marks.is_empty()] href=(path) { "Mark holes" }
            }
        }
    }
}

/// The holes whose recorded work does not hold, each with what is open; nothing if all holds.
fn problems(face: &FaceView, open: &[HoleView], unit: Unit) -> Markup {
    html! {
        @if !open.is_empty() {
            section.panel.conflict aria-labelledby="problems" {
                h2 #problems { "Open problems" }
                ul { @for hole in open {
                    li {
                        a href=(format!("/hole/{}", hole.id)) { "Hole " (hole.number) } ": "
                        @for (index, problem) in hole.status.problems.iter().enumerate() {
                            @if index > 0 { "; " }
                            (in_unit(&problem.to_string(), unit))
                        }
                        "."
                    }
                } }
                @if face.holes.iter().filter(|hole| hole.problems > 0).count() > open.len() {
                    p.faint { "More holes are open; the list of holes shows them." }
                }
            }
        }
    }
}

fn holes(face: &FaceView, request: &Request, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::AddHole);
    html! {
        section.panel #holes {
            h2 { "Holes" }
            @if face.holes.is_empty() {
                p { "None yet. Open a photo and mark them, or add one here without a mark." }
            } @else {
                (hole_list::list(face, request, context.unit))
            }
            form.row method="post" action=(FormName::AddHole.address_of(face.id)) {
                div.grow { (form.text(Field::Number, "Hole number (blank = next)", None, "")) }
                button { "Add hole" }
            }
        }
    }
}

/// The notes about the face, and a form to add one.
fn notes(face: &FaceView, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::FaceNote);
    html! {
        section.panel {
            h2 { "Notes" }
            @if let Some(note) = face.details.agreed().and_then(|body| body.note.as_ref()) { p { (note) } }
            @for note in &face.notes {
                p { (note.body.text) " " span.faint { (author(&note.by)) ", " (date_time(&note.at)) } }
            }
            form.row method="post" action=(FormName::FaceNote.address_of(face.id)) {
                div.grow { (form.text(Field::Text, "Note", None, "")) }
                button { "Add note" }
            }
        }
    }
}

/// Adds a hole without a mark.
pub fn add_hole(notebook: &Notebook, id: FaceId, request: &Request) -> Result<HoleId, FormError> {
    let number = request
        .field(Field::Number)
        .map(|_| number::unused(notebook, id, number::read(request)?, None))
        .transpose()?;
    Ok(notebook.add_hole(id, number, None)?)
}

/// Adds a photo of the face, and returns what the next page says of it.
pub fn add_photo(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
) -> Result<(PhotoId, Notice), FormError> {
    upload::add(request, |path, name| {
        notebook.add_photo(id, path, Some(name))
    })
}

/// Records a note about the face.
pub fn note(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let text = required_text(request, Field::Text, "Note")?.to_owned();
    notebook.note_face(id, &Note { text })?;
    Ok(())
}

/// A form to edit the face; shows all versions where devices disagree.
fn edit(face: &FaceView, authors: &Authors, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::EditFace);
    let differ = face.details.differ();
    let note = face
        .details
        .0
        .first()
        .and_then(|entry| entry.body.note.as_deref());
    html! {
        details.panel.conflict[differ] open[differ || context.was_rejected(FormName::EditFace)] {
            summary { "Edit face" }
            @if differ { p { "Devices disagree: "
                @let (shown, before) = newest(&face.details.0);
                @for entry in shown { b { (entry.body.name) } " by " (authors.describe(entry)) ". " }
                (earlier(before))
                "Your version replaces these." } }
            form method="post" action=(FormName::EditFace.address_of(face.id)) {
                (replaced_entries(face.details.0.iter().map(|entry| entry.entry)))
                div.fields {
                    (form.text(Field::Name, "Name", Some(&face.name), ""))
                    (form.text(Field::Note, "Note", note, ""))
                }
                p { button { "Save" } }
            }
        }
    }
}

/// Records an edit of the face.
pub fn edit_face(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let body = FaceBody {
        casting: notebook.face(id)?.casting,
        name: required_text(request, Field::Name, "Name")?.to_owned(),
        note: request.field(Field::Note).map(str::to_owned),
    };
    notebook.change_face(id, &body, &replaces(request)?)?;
    Ok(())
}
