//! The hole's number.

use super::HolePage;
use crate::carrier::Request;
use crate::form::{FormError, replaces, required_text};
use crate::form_names::{Field, FormName};
use crate::newest::{earlier, newest};
use holebook_core::notebook::{FaceId, HoleBody, HoleId, Notebook};
use maud::{Markup, html};

const LABEL: &str = "Hole number";

/// A form to change the number.
pub fn edit(page: &HolePage<'_>) -> Markup {
    let form = page.context.form(FormName::Number);
    let now = page.hole.number.to_string();
    html! {
        details open[page.context.was_rejected(FormName::Number)] {
            summary { "Change hole number" }
            form.row method="post" action=(page.address(FormName::Number)) {
                (page.replaces(&page.hole.placement.0))
                div.grow { (form.text(Field::Number, LABEL, Some(&now), "")) }
                button { "Save" }
            }
        }
    }
}

/// The numbers or marks that devices disagree on.
pub fn conflict(page: &HolePage<'_>) -> Markup {
    html! {
        @if page.hole.placement.differ() {
            @let (shown, before) = newest(&page.hole.placement.0);
            p { "Devices disagree about this hole's number or place: "
                @for entry in shown { b { (entry.body.number) } " by " (page.authors.describe(entry)) ". " }
                (earlier(before))
                "Save the right number below; it replaces these." }
        }
        @for mark in page.hole.marks.iter().filter(|mark| mark.entries.differ()) {
            p { "It has different marks on one photo. "
                a href=(format!("/photo/{}", mark.photo)) { "Pick one on the photo" } }
        }
    }
}

/// Reads a hole's number.
pub fn read(request: &Request) -> Result<u32, FormError> {
    let text = required_text(request, Field::Number, LABEL)?;
    let number = text
        .parse::<u32>()
        .ok()
        .filter(|number| (1..=9999).contains(number));
    number.ok_or_else(|| {
        let message = format!("'{text}' is not a whole number from 1 to 9999");
        FormError::of(Field::Number, LABEL, message)
    })
}

/// Rejects a number that another hole of the face has. Two devices may still give the same one.
pub fn unused(
    notebook: &Notebook,
    face: FaceId,
    number: u32,
    except: Option<HoleId>,
) -> Result<u32, FormError> {
    let holes = notebook.face(face)?.holes;
    let taken = holes
        .iter()
        .any(|hole| hole.number == number && Some(hole.id) != except);
    if taken {
        let message = format!("hole {number} exists on this face already; enter another number");
        return Err(FormError::of(Field::Number, LABEL, message));
    }
    Ok(number)
}

/// Records the changed number.
pub fn record(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), FormError> {
    let view = notebook.hole(hole)?;
    let (x, y) = view.at.unzip();
    let placed = view.placement.0.first();
    let body = HoleBody {
        face: view.face,
        number: unused(notebook, view.face, read(request)?, Some(hole))?,
        x,
        y,
        tolerance: placed.and_then(|entry| entry.body.tolerance),
    };
    notebook.change_hole(hole, &body, &replaces(request)?)?;
    Ok(())
}
