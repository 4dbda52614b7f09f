//! One joint face: its face cut, its photos and its holes.

use crate::authors::Authors;
use crate::carrier::{Request, Upload};
use crate::form::{
    FormError, ask, hidden, replaced_entries, replaces, required_length, required_text,
};
use crate::form_names::{Field, FormName};
use crate::hole_badge::{Badge, hole_badge};
use crate::labels::{author, count, date_time, remedy};
use crate::newest::{earlier, newest};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use crate::pages::hole::number;
use crate::pages::photo::marked_photo;
use holebook_core::hole::plausibility::{self, Implausible};
use holebook_core::hole::question::Question;
use holebook_core::hole::record::{FaceMilled, Recorded};
use holebook_core::hole::situation::{LARGEST_FACE_CUT, SituationError};
use holebook_core::hole::stage::Stage;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{
    FaceBody, FaceId, FaceView, HoleId, HoleSummary, Notebook, NotebookError, PhotoId, PhotoView,
};
use maud::{Markup, html};
use std::path::Path;

/// The face.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let authors = Authors::default()
        .and(notebook, &face.details)?
        .and(notebook, &face.record.planned_cut)?;
    let content = html! {
        div.row {
            h1.grow { (face.name) }
            a.button href=(format!("/face/{id}/sheet")) { "Job sheet" }
        }
        (context.outcome())
        @if let Some(note) = face.details.agreed().and_then(|body| body.note.as_ref()) { p { (note) } }
        div.two-columns {
            div {
                (photos(&face, context))
                (face_cut(&face, &authors, context))
            }
            (holes(&face, context))
        }
        (edit(&face, &authors, context))
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::here(&face.name),
    ];
    Ok(Page::new(&context.title(&face.name), crumbs, content))
}

fn photos(face: &FaceView, context: FormContext<'_>) -> Markup {
    html! {
        section.panel.next[face.photos.is_empty()] {
            h2 { "Photos" }
            @for photo in &face.photos { (marked(photo, face)) }
            @if face.photos.is_empty() { (photo_form(face, context)) } @else {
                details open[context.was_rejected(FormName::AddPhoto)] {
                    summary { "Add another photo" } (photo_form(face, context))
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
            p { button.main[face.photos.is_empty()] { "Add photo" } }
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
            figcaption { a.button.main[photo.marks.is_empty()] href=(path) { "Mark holes" } }
        }
    }
}

/// The planned cut, what was milled off, and what is left.
fn face_cut(face: &FaceView, authors: &Authors, context: FormContext<'_>) -> Markup {
    let record = &face.record;
    let planned = record.planned_cut.agreed().map(|cut| cut.planned);
    let shown = |cut: Option<Length>, none: &str| {
        cut.map_or_else(|| none.to_owned(), |cut| cut.show(context.unit))
    };
    html! {
        section.panel #milled {
            h2 { "Face cut" }
            dl.facts {
                dt { (PLANNED) } dd { (shown(planned, "not planned")) }
                dt { "Removed" } dd { (record.removed().show(context.unit)) }
                dt { "Left to remove" } dd { (shown(record.left_to_remove(), "unknown")) }
            }
            @if record.planned_cut.differ() { (cut_conflict(face, authors, context.unit)) }
            p.faint { "All depths are given from the face as is and from the finished face." }
            details open[context.was_rejected(FormName::PlanCut) || planned.is_none()] {
                summary { "Plan the face cut" }
                (plan_form(face, planned, context))
            }
            details open[context.was_rejected(FormName::Milled)] {
                summary { "Record a cut" }
                (milled_form(face, context))
            }
            ul.journal { @for milled in &record.milled { (milled_line(milled, context.unit)) } }
        }
    }
}

const PLANNED: &str = "Stock to remove";
const REMOVED: &str = "Stock removed";

fn plan_form(face: &FaceView, planned: Option<Length>, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::PlanCut);
    html! {
        form method="post" action=(FormName::PlanCut.address_of(face.id)) {
            (replaced_entries(face.record.planned_cut.0.iter().map(|entry| entry.entry)))
            div.fields { (form.length(Field::PlannedCut, PLANNED, planned, "0 = the face stays as is")) }
            p { button { "Save plan" } }
            (form.questions())
        }
    }
}

fn milled_form(face: &FaceView, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Milled);
    html! {
        form method="post" action=(FormName::Milled.address_of(face.id)) {
            div.fields {
                (form.length(Field::Taken, REMOVED, None, "measured, not the dial reading"))
                (form.text(Field::MeasuredWith, "Measured with", None, ""))
            }
            p { button { "Record cut" } }
            (form.questions())
        }
        p.caution { b { "Caution: " } "Lift a casting by its strong points and never stand under it. Clamp it on "
            "three points before the spindle turns. Wear eye protection and a dust mask. The machine's manual comes first." }
    }
}

fn cut_conflict(face: &FaceView, authors: &Authors, unit: Unit) -> Markup {
    let entries = &face.record.planned_cut.0;
    let (shown, before) = newest(entries);
    html! {
        div.side-by-side {
            @for entry in shown {
                form method="post" action=(FormName::PlanCut.address_of(face.id)) {
                    (replaced_entries(entries.iter().map(|entry| entry.entry)))
                    (hidden(Field::PlannedCut, entry.body.planned.exact()))
                    p.big { (entry.body.planned.show(unit)) }
                    p { (authors.describe(entry)) }
                    button { "Use this one" }
                }
            }
        }
        @if before > 0 { p { (earlier(before)) } }
    }
}

fn milled_line(milled: &Recorded<FaceMilled>, unit: Unit) -> Markup {
    html! {
        li {
            b { (milled.body.removed.show(unit)) " removed" }
            @if let Some(instrument) = &milled.body.instrument { ", " (instrument) }
            span.faint { " · " (author(&milled.by)) ", " (date_time(&milled.at)) }
        }
    }
}

fn holes(face: &FaceView, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::AddHole);
    html! {
        section.panel {
            h2 { "Holes" }
            @if face.holes.is_empty() {
                p { "None yet. Open a photo and mark them, or add one here without a mark." }
            } @else {
                ol.holes { @for hole in &face.holes { (hole_row(hole)) } }
            }
            form.row method="post" action=(FormName::AddHole.address_of(face.id)) {
                div.grow { (form.text(Field::Number, "Hole number (blank = next)", None, "")) }
                button { "Add hole" }
            }
        }
    }
}

/// A hole; the whole row is a link, so that a gloved finger hits it.
fn hole_row(hole: &HoleSummary) -> Markup {
    let badge = Badge {
        number: hole.number,
        stage: hole.stage,
        remedy: hole.remedy,
        conflict: hole.conflict,
    };
    html! {
        li {
            a href=(format!("/hole/{}", hole.id)) {
                (hole_badge(badge, false))
                b.hole-name { "Hole " (hole.number) @if hole.shares_number { " (number used twice)" } }
                span.stage-label { (hole.stage.label_for(hole.remedy)) @if hole.conflict { ", " b { "conflict" } } }
                span.thread { (hole.thread.map_or_else(|| "thread not set".to_owned(), |thread| thread.designation())) }
                span.remedy { @if let Some(chosen) = hole.remedy { (remedy(chosen)) } }
            }
        }
    }
}

/// Refuses a face cut that no hole can have.
fn check_cut(cut: Length, field: Field, label: &str) -> Result<(), FormError> {
    if cut <= LARGEST_FACE_CUT {
        return Ok(());
    }
    let error = SituationError::FaceCutTooLarge { value: cut };
    Err(FormError::of(field, label, error))
}

/// Numbers of the holes that nobody has measured.
fn unmeasured(face: &FaceView) -> Vec<u32> {
    let holes = face.holes.iter();
    holes
        .filter(|hole| hole.stage == Stage::NotMeasured)
        .map(|hole| hole.number)
        .collect()
}

/// The questions about a face cut, all at one field.
fn questions(
    unusual: impl IntoIterator<Item = Implausible>,
    field: Field,
) -> impl Iterator<Item = (Question, Option<Field>)> {
    let unusual = unusual.into_iter();
    unusual.map(move |one| (Question::from(&one), Some(field)))
}

/// Records the planned face cut.
pub fn plan(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let field = Field::PlannedCut;
    let planned = required_length(request, field, PLANNED, unit)?;
    if planned < Length::ZERO {
        let message = format!("{} is below 0; enter 0 for no face cut", planned.show(unit));
        return Err(FormError::of(field, PLANNED, message));
    }
    check_cut(planned, field, PLANNED)?;
    ask(request, questions(plausibility::face_cut(planned), field))?;
    notebook.plan_face_cut(id, planned, &replaces(request)?)?;
    Ok(())
}

/// Records metal that was milled off.
pub fn milled(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let field = Field::Taken;
    let removed = required_length(request, field, REMOVED, unit)?;
    if !removed.is_positive() {
        let message = format!(
            "{} is not a cut; enter what was measured",
            removed.show(unit)
        );
        return Err(FormError::of(field, REMOVED, message));
    }
    check_cut(removed, field, REMOVED)?;
    let unusual =
        plausibility::face_cut(removed)
            .into_iter()
            .chain(plausibility::facing_unmeasured(unmeasured(
                &notebook.face(id)?,
            )));
    ask(request, questions(unusual, field))?;
    let instrument = request.field(Field::MeasuredWith).map(str::to_owned);
    notebook.record_face_milled(
        id,
        &FaceMilled {
            removed,
            instrument,
        },
    )?;
    Ok(())
}

/// Adds a hole without a mark.
pub fn add_hole(notebook: &Notebook, id: FaceId, request: &Request) -> Result<HoleId, FormError> {
    let number = request
        .field(Field::Number)
        .map(|_| number::unused(notebook, id, number::read(request)?, None))
        .transpose()?;
    Ok(notebook.add_hole(id, number, None)?)
}

/// Adds a photo of the face.
pub fn add_photo(notebook: &Notebook, id: FaceId, request: &Request) -> Result<PhotoId, FormError> {
    let chosen = request
        .uploads
        .iter()
        .find(|upload| upload.field == Field::Photo.name());
    let Some(Upload { name, path, .. }) = chosen else {
        let message = "no file chosen; choose one, then add it";
        return Err(FormError::of(Field::Photo, "Photo", message));
    };
    let added = notebook.add_photo(id, path, Some(name));
    let (photo, _) = added.map_err(|error| photo_error(&error.to_string(), path, name))?;
    Ok(photo)
}

/// Names the photo as the person knows it, not by the temporary file it was uploaded to.
fn photo_error(message: &str, path: &Path, name: &str) -> FormError {
    let short: String = name.chars().take(60).collect();
    let shown = if short.is_empty() {
        "The photo".to_owned()
    } else {
        format!("'{short}'")
    };
    FormError::new(message.replace(&path.display().to_string(), &shown)).at(Field::Photo)
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
