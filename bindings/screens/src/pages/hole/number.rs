//! The hole's number and face: which hole it is, and correcting that.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Refusal, needed_text, over};
use holebook_core::notebook::{FaceId, HoleBody, HoleId, Notebook};
use maud::{Markup, html};

/// A form to correct the number, for a slip or where two devices gave the same.
pub fn correct(leaf: &Leaf<'_>) -> Markup {
    let open = leaf.desk.was_refused("number");
    let now = leaf.hole.number.to_string();
    html! {
        details open[open] {
            summary { "Correct this hole's number" }
            form.row method="post" action=(leaf.path("number")) {
                (leaf.over(&leaf.hole.placed.0))
                div.grow { (leaf.desk.form("number").text("number", "Number", Some(&now), "")) }
                button { "Record the number" }
            }
        }
    }
}

/// The two numbers or places that stand, where devices gave different ones; recording a number settles it.
pub fn question(leaf: &Leaf<'_>) -> Markup {
    html! {
        @if leaf.hole.placed.differ() {
            p { "Different numbers or places are written of this hole: "
                @for said in &leaf.hole.placed.0 { b { (said.body.number) } " by " (leaf.writers.words(said)) ". " }
                "Record the right number below; it replaces them all." }
        }
        @for mark in leaf.hole.marks.iter().filter(|mark| mark.answers.differ()) {
            p { "It is marked at two places of one photo. "
                a href=(format!("/photo/{}", mark.photo)) { "Settle which stands, on the photo" } }
        }
    }
}

/// A hole's number as a person wrote it.
pub fn read(request: &Request) -> Result<u32, Refusal> {
    let text = needed_text(request, "number", "Number")?;
    let number = text
        .parse::<u32>()
        .ok()
        .filter(|number| (1..=9999).contains(number));
    number.ok_or_else(|| {
        Refusal::of(
            "Number",
            format!("'{text}' is not a whole number from 1 to 9999"),
        )
        .at("number")
    })
}

/// A number that no other hole of the face has. Two devices may still give the same one; here it is a slip.
pub fn free(
    notebook: &Notebook,
    face: FaceId,
    number: u32,
    but: Option<HoleId>,
) -> Result<u32, Refusal> {
    let holes = notebook.face(face)?.holes;
    let taken = holes
        .iter()
        .any(|hole| hole.number == number && Some(hole.id) != but);
    if taken {
        let sentence =
            format!("there is a hole {number} on this face already; take another number");
        return Err(Refusal::of("Number", sentence).at("number"));
    }
    Ok(number)
}

/// Records the corrected number.
pub fn record(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), Refusal> {
    let view = notebook.hole(hole)?;
    let (x, y) = view.at.unzip();
    let body = HoleBody {
        face: view.face,
        number: free(notebook, view.face, read(request)?, Some(hole))?,
        x,
        y,
    };
    notebook.change_hole(hole, &body, &over(request)?)?;
    Ok(())
}
