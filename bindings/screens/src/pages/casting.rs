//! One casting: its faces and how far along they are.

use crate::carrier::Request;
use crate::form::{Form, Refusal, needed_text};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::progress::progress;
use crate::words::count;
use crate::writers::Writers;
use holebook_core::notebook::{
    CastingBody, CastingId, CastingView, FaceBody, FaceId, FaceSummary, Notebook, NotebookError,
};
use holebook_core::strength::Metal;
use maud::{Markup, html};

/// The casting with its faces, and forms to add a face and to correct what is written of it.
pub fn show(notebook: &Notebook, id: CastingId, desk: Desk<'_>) -> Result<Page, NotebookError> {
    let casting = notebook.casting(id)?;
    let writers = Writers::default().and(notebook, &casting.answers)?;
    let content = html! {
        h1 { (casting.name) }
        (desk.outcome())
        @match casting.answers.settled() {
            Some(body) => {
                p { (metal_words(body.metal)) }
                @if let Some(note) = &body.note { p { (note) } }
            }
            None => (two_answers(&casting, &writers)),
        }
        ul.cards { @for face in &casting.faces { (card(face)) } }
        section.leaf.next[casting.faces.is_empty()] {
            h2 { "A joint face" }
            p.faint { "One machined face whose holes belong together. Its photo and its holes come next." }
            form method="post" action=(format!("/casting/{id}/face")) {
                div.fields {
                    (desk.form("face").text("name", "Name", None, "pump end, top deck, flange"))
                    (desk.form("face").text("note", "Note", None, ""))
                }
                p { button.main { "Add the face" } }
            }
        }
        (correct(&casting, desk))
    };
    let title = desk.title(&casting.name);
    let way = [Crumb::to("Castings", "/"), Crumb::here(casting.name)];
    Ok(page(&title, way, content))
}

fn card(face: &FaceSummary) -> Markup {
    html! {
        li.leaf {
            h2 { a href=(format!("/face/{}", face.id)) { (face.name) } }
            p.faint { (count(face.holes.total(), "hole", "holes")) }
            (progress(&face.holes))
        }
    }
}

fn correct(casting: &CastingView, desk: Desk<'_>) -> Markup {
    let form = desk.form("casting");
    let now = casting.answers.0.first().map(|said| &said.body);
    let metal = now.and_then(|body| body.metal);
    let note = now.and_then(|body| body.note.as_deref());
    html! {
        details.leaf open[desk.was_refused("casting")] {
            summary { "Correct what is written of this casting" }
            form method="post" action=(format!("/casting/{}/casting", casting.id)) {
                @for answer in &casting.answers.0 { input type="hidden" name="over" value=(answer.entry); }
                div.fields {
                    (form.text("name", "Name", Some(&casting.name), ""))
                    (metal_fields(&form, metal))
                    (form.text("note", "Note", note, ""))
                }
                p { button { "Record the correction" } }
            }
        }
    }
}

/// Two devices wrote different things; correcting replaces both.
fn two_answers(casting: &CastingView, writers: &Writers) -> Markup {
    html! {
        section.leaf.question {
            h2 { "In question" }
            p { "Different things are written of this casting. Correct them below: what you record replaces them all." }
            div.answers { @for said in &casting.answers.0 {
                div {
                    p.big { (said.body.name) }
                    p { (metal_words(said.body.metal)) }
                    p { (writers.words(said)) }
                }
            } }
        }
    }
}

fn metal_words(metal: Option<Metal>) -> String {
    match metal {
        Some(metal) => metal.to_string(),
        None => "Metal not known: strength is reckoned for ASTM A48 class 20 iron, the weakest."
            .to_owned(),
    }
}

/// The fields for the casting's metal: a list of grades, and a line for a strength that is known otherwise.
pub fn metal_fields(form: &Form<'_>, now: Option<Metal>) -> Markup {
    let is_stated = |metal: &Metal| matches!(metal, Metal::Stated(..));
    let grade = now
        .filter(|metal| !is_stated(metal))
        .map(|metal| metal.to_string());
    let stated = now.filter(is_stated).map(|metal| metal.to_string());
    html! {
        (form.choose("iron", METAL, grade.as_deref(), &metal_choices()))
        (form.text("stated", STATED, stated.as_deref(), "kind and least strength: steel of 60000 psi, aluminium of 160 MPa"))
    }
}

const METAL: &str = "Metal";
const STATED: &str = "Or by its tensile strength";

/// The grades to choose from; the first says that it is not known.
fn metal_choices() -> Vec<(String, String)> {
    let unknown = (String::new(), "not known".to_owned());
    let grades = Metal::named()
        .filter(|metal| !metal.is_assumed())
        .map(|metal| (metal.to_string(), metal.to_string()));
    std::iter::once(unknown).chain(grades).collect()
}

/// The chosen grade, or the stated strength.
pub fn read_metal(request: &Request) -> Result<Option<Metal>, Refusal> {
    let read = |field, label| {
        let text = request.field(field)?;
        Some(
            text.parse::<Metal>()
                .map_err(|error| Refusal::of(label, error).at(field)),
        )
    };
    let (grade, stated) = (
        read("iron", METAL).transpose()?,
        read("stated", STATED).transpose()?,
    );
    if let (Some(grade), Some(stated)) = (grade, stated) {
        let sentence = format!("both {grade} and {stated} are given; keep one of them");
        return Err(Refusal::of(STATED, sentence).at("stated"));
    }
    Ok(grade.or(stated))
}

/// Records a new face.
pub fn add_face(
    notebook: &Notebook,
    casting: CastingId,
    request: &Request,
) -> Result<FaceId, Refusal> {
    let body = FaceBody {
        casting,
        name: needed_text(request, "name", "Name")?.to_owned(),
        note: request.field("note").map(str::to_owned),
    };
    Ok(notebook.add_face(&body)?)
}

/// Records a correction of the casting's own facts.
pub fn change(notebook: &Notebook, id: CastingId, request: &Request) -> Result<(), Refusal> {
    let body = CastingBody {
        name: needed_text(request, "name", "Name")?.to_owned(),
        note: request.field("note").map(str::to_owned),
        metal: read_metal(request)?,
    };
    notebook.change_casting(id, &body, &crate::form::over(request)?)?;
    Ok(())
}
