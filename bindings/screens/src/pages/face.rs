//! One joint face: the cut still to come, its photos, and its holes.

use crate::carrier::{Request, Upload};
use crate::form::{Refusal, needed_length, needed_text};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::pages::hole::number;
use crate::pages::photo::marked_photo;
use crate::plate::plate;
use crate::words::{count, remedy, state, when};
use crate::writers::Writers;
use holebook_core::hole::record::{FaceMilled, Said};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{
    FaceBody, FaceId, FaceView, HoleId, HoleSummary, Notebook, NotebookError, PhotoId, PhotoView,
};
use maud::{Markup, html};
use std::path::Path;

/// The face.
pub fn show(notebook: &Notebook, id: FaceId, desk: Desk<'_>) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let writers = Writers::default()
        .and(notebook, &face.answers)?
        .and(notebook, &face.record.planned_cut)?;
    let content = html! {
        div.row {
            h1.grow { (face.name) }
            a.button href=(format!("/face/{id}/sheet")) { "Sheet to print" }
        }
        (desk.outcome())
        @if let Some(note) = face.answers.settled().and_then(|body| body.note.as_ref()) { p { (note) } }
        div.two {
            div.stay {
                (photos(&face, desk))
                (cut(&face, &writers, desk))
            }
            (holes(&face, desk))
        }
        (correct(&face, &writers, desk))
    };
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::here(&face.name),
    ];
    Ok(page(&desk.title(&face.name), way, content))
}

fn photos(face: &FaceView, desk: Desk<'_>) -> Markup {
    html! {
        section.leaf.next[face.photos.is_empty()] {
            h2 { "Photos" }
            @for photo in &face.photos { (marked(photo)) }
            @if face.photos.is_empty() { (photo_form(face, desk)) } @else {
                details open[desk.was_refused("photo")] { summary { "Bring in another photo" } (photo_form(face, desk)) }
            }
        }
    }
}

fn photo_form(face: &FaceView, desk: Desk<'_>) -> Markup {
    let wrong = desk.was_refused("photo");
    html! {
        form method="post" action=(format!("/face/{}/photo", face.id)) enctype="multipart/form-data" {
            div.field {
                label for="photo-file" { "Bring in a photo (JPEG or PNG)" }
                input #photo-file type="file" name="photo" accept="image/jpeg,image/png" required
                    aria-invalid=[wrong.then_some("true")] aria-describedby="photo-hint" autofocus[wrong];
                small #photo-hint { "Stand square to the face, in even light, with the whole face in the picture." }
            }
            p { button.main[face.photos.is_empty()] { "Bring it in" } }
        }
    }
}

/// A photo with its plates, which lead to their holes.
fn marked(photo: &PhotoView) -> Markup {
    let path = format!("/photo/{}", photo.id);
    let words = format!(
        "Photo of the face with {}",
        count(photo.marks.len(), "mark", "marks")
    );
    html! {
        figure.photo {
            (marked_photo(&format!("{path}/view.jpg"), &words, photo, true))
            figcaption { a.button.main[photo.marks.is_empty()] href=(path) { "Mark holes, look closer" } }
        }
    }
}

/// What is still to come off, from the plan and the cuts made.
fn cut(face: &FaceView, writers: &Writers, desk: Desk<'_>) -> Markup {
    let record = &face.record;
    let planned = record.planned_cut.settled().map(|cut| cut.planned);
    html! {
        section.leaf #milled {
            h2 { "Face cut" }
            dl.facts {
                dt { "Planned" } dd { (planned.map_or("not decided".to_owned(), |cut| cut.show(desk.unit))) }
                dt { "Taken off" } dd { (record.taken_off().show(desk.unit)) }
                dt { "Still to come" } dd { (record.cut_to_come().map_or_else(|| "not known".to_owned(), |cut| cut.show(desk.unit))) }
            }
            @if record.planned_cut.differ() { (two_cuts(face, writers, desk.unit)) }
            p.faint { "Every depth in this notebook is given from the face of today and from the finished face." }
            details open[desk.was_refused("cut") || planned.is_none()] {
                summary { "Plan the cut" }
                (plan_form(face, planned, desk))
            }
            details open[desk.was_refused("milled")] {
                summary { "Record a cut that was made" }
                (milled_form(face, desk))
            }
            ul.journal { @for milled in &record.milled { (milled_line(milled, desk.unit)) } }
        }
    }
}

fn plan_form(face: &FaceView, planned: Option<Length>, desk: Desk<'_>) -> Markup {
    html! {
        form method="post" action=(format!("/face/{}/cut", face.id)) {
            @for answer in &face.record.planned_cut.0 { input type="hidden" name="over" value=(answer.entry); }
            div.fields { (desk.form("cut").length("planned", "To come off the face", planned, "0 if it stays as it is")) }
            p { button { "Record the plan" } }
        }
    }
}

fn milled_form(face: &FaceView, desk: Desk<'_>) -> Markup {
    let form = desk.form("milled");
    html! {
        form method="post" action=(format!("/face/{}/milled", face.id)) {
            div.fields {
                (form.length("taken", "Taken off", None, "as measured, not as dialled"))
                (form.text("instrument", "Measured with", None, ""))
            }
            p { button { "Record the cut" } }
        }
        p.caution { b { "Lifting and milling. " } "Sling a casting by its strong points and never stand under it; clamp it on "
            "three points before the spindle turns. Iron dust: eyes and lungs covered. The machine's manual decides." }
    }
}

fn two_cuts(face: &FaceView, writers: &Writers, unit: Unit) -> Markup {
    html! {
        div.answers {
            @for answer in &face.record.planned_cut.0 {
                form method="post" action=(format!("/face/{}/cut", face.id)) {
                    @for other in &face.record.planned_cut.0 { input type="hidden" name="over" value=(other.entry); }
                    input type="hidden" name="planned" value=(answer.body.planned.exact());
                    p.big { (answer.body.planned.show(unit)) }
                    p { (writers.words(answer)) }
                    button { "This one stands" }
                }
            }
        }
    }
}

fn milled_line(milled: &Said<FaceMilled>, unit: Unit) -> Markup {
    html! {
        li {
            b { (milled.body.taken.show(unit)) " taken off" }
            @if let Some(instrument) = &milled.body.instrument { ", " (instrument) }
            span.faint { " · " (crate::words::writer(&milled.by)) ", " (when(&milled.at)) }
        }
    }
}

fn holes(face: &FaceView, desk: Desk<'_>) -> Markup {
    html! {
        section.leaf {
            h2 { "Holes" }
            @if face.holes.is_empty() {
                p { "None yet. Open a photo and mark them one after the other, or add one here without a mark." }
            } @else {
                ol.holes { @for hole in &face.holes { (hole_row(hole)) } }
            }
            form.row method="post" action=(format!("/face/{}/hole", face.id)) {
                div.grow { (desk.form("hole").text("number", "Number of a hole to add (left empty: the next free one)", None, "")) }
                button { "Add the hole" }
            }
        }
    }
}

/// A hole: all of its row leads to it, so that any part of a glove finds it.
fn hole_row(hole: &HoleSummary) -> Markup {
    html! {
        li {
            a href=(format!("/hole/{}", hole.id)) {
                (plate(hole.number, hole.state, hole.in_question, false))
                b.which { "Hole " (hole.number) @if hole.shares_number { " (a number used twice)" } }
                span.stage-word { (state(hole.state)) @if hole.in_question { ", " b { "in question" } } }
                span.thread { (hole.thread.map_or_else(|| "thread not said".to_owned(), |thread| thread.designation())) }
                span.remedy { @if let Some(chosen) = hole.remedy { (remedy(chosen)) } }
            }
        }
    }
}

/// The deepest face cut that is taken for meant. A judgement: a joint face is cleaned up by a few millimetres at most,
/// so one that is deeper was most likely written in the wrong unit.
const DEEPEST_CUT_MM: f64 = 25.0;

/// A cut of a depth that can be meant.
fn believable(cut: Length, field: &str, label: &str, unit: Unit) -> Result<Length, Refusal> {
    if cut.mm() <= DEEPEST_CUT_MM {
        return Ok(cut);
    }
    let deep = cut.show(unit);
    let sentence = format!("{deep} would take the joint away; look at the number and its unit");
    Err(Refusal::of(label, sentence).at(field))
}

/// Records the planned face cut.
pub fn plan(notebook: &Notebook, id: FaceId, request: &Request, unit: Unit) -> Result<(), Refusal> {
    let planned = needed_length(request, "planned", "To come off the face", unit)?;
    if planned < Length::ZERO {
        let sentence = format!(
            "{} is less than nothing; write 0 if the face stays as it is",
            planned.show(unit)
        );
        return Err(Refusal::of("To come off the face", sentence).at("planned"));
    }
    let planned = believable(planned, "planned", "To come off the face", unit)?;
    notebook.plan_face_cut(id, planned, &crate::form::over(request)?)?;
    Ok(())
}

/// Records a cut that was made.
pub fn milled(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), Refusal> {
    let taken = needed_length(request, "taken", "Taken off", unit)?;
    if !taken.is_positive() {
        let sentence = format!(
            "{} is no cut; write what came off, as measured",
            taken.show(unit)
        );
        return Err(Refusal::of("Taken off", sentence).at("taken"));
    }
    let taken = believable(taken, "taken", "Taken off", unit)?;
    let instrument = request.field("instrument").map(str::to_owned);
    notebook.record_face_milled(id, &FaceMilled { taken, instrument })?;
    Ok(())
}

/// Adds a hole without a mark.
pub fn add_hole(notebook: &Notebook, id: FaceId, request: &Request) -> Result<HoleId, Refusal> {
    let number = request
        .field("number")
        .map(|_| number::free(notebook, id, number::read(request)?, None))
        .transpose()?;
    Ok(notebook.add_hole(id, number, None)?)
}

/// Brings in a photo of the face.
pub fn add_photo(notebook: &Notebook, id: FaceId, request: &Request) -> Result<PhotoId, Refusal> {
    let chosen = request
        .uploads
        .iter()
        .find(|upload| upload.field == "photo");
    let Some(Upload { name, path, .. }) = chosen else {
        return Err(Refusal::of(
            "Photo",
            "no picture was chosen; choose one, then bring it in",
        )
        .at("photo"));
    };
    let brought = notebook.add_photo(id, path, Some(name));
    let (photo, _) = brought.map_err(|error| named(&error.to_string(), path, name))?;
    Ok(photo)
}

/// A refusal of a photo under the name that the person's own device gave it, not under where it was put meanwhile.
fn named(sentence: &str, path: &Path, name: &str) -> Refusal {
    let short: String = name.chars().take(60).collect();
    let shown = if short.is_empty() {
        "The photo".to_owned()
    } else {
        format!("'{short}'")
    };
    Refusal::new(sentence.replace(&path.display().to_string(), &shown)).at("photo")
}

/// A form to say anew what the face is; where two devices wrote different things, both are shown.
fn correct(face: &FaceView, writers: &Writers, desk: Desk<'_>) -> Markup {
    let form = desk.form("face");
    let differ = face.answers.differ();
    let note = face
        .answers
        .0
        .first()
        .and_then(|said| said.body.note.as_deref());
    html! {
        details.leaf.question[differ] open[differ || desk.was_refused("face")] {
            summary { "Correct what is written of this face" }
            @if differ { p { "Two devices wrote different things: "
                @for said in &face.answers.0 { b { (said.body.name) } " by " (writers.words(said)) ". " }
                "What you record replaces them all." } }
            form method="post" action=(format!("/face/{}/face", face.id)) {
                @for said in &face.answers.0 { input type="hidden" name="over" value=(said.entry); }
                div.fields {
                    (form.text("name", "Name", Some(&face.name), ""))
                    (form.text("note", "Note", note, ""))
                }
                p { button { "Record the correction" } }
            }
        }
    }
}

/// Records a correction of the face's own facts.
pub fn change(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), Refusal> {
    let body = FaceBody {
        casting: notebook.face(id)?.casting,
        name: needed_text(request, "name", "Name")?.to_owned(),
        note: request.field("note").map(str::to_owned),
    };
    notebook.change_face(id, &body, &crate::form::over(request)?)?;
    Ok(())
}
