//! The known points of a photo: type where a point is on the face, then press it in the picture.

use super::strike_out;
use crate::carrier::Request;
use crate::form::{FormError, length, required_length};
use crate::form_names::{Field, FormName};
use crate::labels::{author, date_time};
use crate::notices::{Notice, with_notice};
use crate::page::Page;
use crate::pages::strike_out::strike_out_form;
use crate::pages::{FormContext, below_face};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, PhotoId, PhotoView};
use holebook_core::places::KnownPlace;
use maud::{Markup, html};

const X: &str = "X of the point";
const Y: &str = "Y of the point";
const TOLERANCE: &str = "Tolerance ±";
/// The width at which the picture is shown, pixels of the screen; the style sheet has the same.
const SHOWN_WIDTH: u32 = 1_200;

/// The page.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let photo = notebook.photo(id)?;
    let face = notebook.face(photo.face)?;
    let known = notebook.known_places(id)?;
    let title = "Known points";
    let content = html! {
        h1 { (title) }
        (context.outcome())
        p { "Corners, punch marks, or a scale laid on the face: four or more, spread around it. X points right and Y up on the face, from any zero." }
        @if !known.is_empty() {
            section.panel {
                h2 { (known.len()) " known" }
                ul.journal { @for (entry, index) in known.iter().zip(1..) { li.with-row-action {
                    div {
                        b { (index) ": X " (entry.body.x.show(context.unit)) ", Y " (entry.body.y.show(context.unit)) }
                        span.faint { " · at " (format!("{:.0}, {:.0} pixels", entry.body.x_px, entry.body.y_px)) " · " (author(&entry.by)) ", " (date_time(&entry.at)) }
                    }
                    div { (strike_out_form(FormName::StrikeOutPoint, id, entry.entry, context)) }
                } } }
                p { a.button href=(format!("/face/{}/places", face.id)) { "Hole centers" } }
            }
        }
        (form(&photo, context))
    };
    Ok(below_face::photo_page(&face, id, title, context, content))
}

fn form(photo: &PhotoView, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::KnownPoint);
    html! {
        section.panel {
            h2 { "Add a point" }
            form.plain-marking method="post" action=(FormName::KnownPoint.address_of(photo.id)) {
                div.fields {
                    (form.length(Field::XPlace, X, None, ""))
                    (form.length(Field::YPlace, Y, None, ""))
                    (form.length(Field::PatternTolerance, TOLERANCE, None, "how closely its place is known; blank = exactly"))
                }
                p { b { "Then press the point in the picture." } }
                div.plain-picture tabindex="0" role="group" aria-label="Photo with the point to press" {
                    input type="image" name="at" alt="Add the point at the place that is pressed"
                        src=(format!("/photo/{}/view.jpg", photo.id)) width=(SHOWN_WIDTH);
                }
            }
        }
    }
}

/// Records a form of the page; returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    id: PhotoId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let path = format!("/photo/{id}/points");
    if form == FormName::StrikeOutPoint {
        let known = notebook.known_places(id)?;
        strike_out(notebook, known.iter().map(|entry| entry.entry), request)?;
        return Ok(with_notice(&path, Notice::StruckOut));
    }
    let photo = notebook.photo(id)?;
    let known = KnownPlace {
        x: required_length(request, Field::XPlace, X, unit)?,
        y: required_length(request, Field::YPlace, Y, unit)?,
        x_px: pressed(request, Field::PlainX)? * scale(&photo),
        y_px: pressed(request, Field::PlainY)? * scale(&photo),
        tolerance: length(request, Field::PatternTolerance, TOLERANCE, unit)?,
    };
    notebook.add_known_place(id, &known)?;
    Ok(with_notice(&path, Notice::PointAdded))
}

/// Pixels of the photo that one of the picture shown is.
fn scale(photo: &PhotoView) -> f64 {
    f64::from(photo.width_px) / f64::from(SHOWN_WIDTH)
}

/// A coordinate of the place that was pressed.
fn pressed(request: &Request, field: Field) -> Result<f64, FormError> {
    let pressed = request
        .field(field)
        .and_then(|text| text.parse::<f64>().ok());
    pressed
        .filter(|px| px.is_finite())
        .ok_or_else(|| FormError::new("No point was pressed; press it in the picture."))
}
