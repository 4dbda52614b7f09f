//! Recording a mark, and striking one.

use super::{Leaf, list, marks, show};
use crate::carrier::Request;
use crate::form::{Refusal, over};
use crate::page::{Answer, part, see};
use crate::pages::{Desk, Refused};
use crate::words::sentence_case;
use holebook_core::notebook::{EntryId, HoleId, Notebook, NotebookError, PhotoId};
use maud::html;

/// What was recorded.
pub struct Recorded {
    /// In words.
    pub words: String,
    /// The hole's number.
    pub number: u32,
    /// The mark's entry, where one was made; it can be struck.
    pub entry: Option<EntryId>,
}

/// Records a mark and answers with the page, or with its changed parts where the script asks for them.
pub fn mark(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    desk: Desk<'_>,
) -> Result<Answer, NotebookError> {
    let leaf = Leaf::of(notebook, id)?;
    answer(notebook, id, request, desk, place(notebook, &leaf, request))
}

/// Strikes a mark, and answers likewise.
pub fn strike(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    desk: Desk<'_>,
) -> Result<Answer, NotebookError> {
    let leaf = Leaf::of(notebook, id)?;
    answer(
        notebook,
        id,
        request,
        desk,
        strike_mark(notebook, &leaf, request),
    )
}

fn answer(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    desk: Desk<'_>,
    recorded: Result<Recorded, Refusal>,
) -> Result<Answer, NotebookError> {
    let in_part = request.field("part").is_some();
    match recorded {
        Ok(recorded) if in_part => parts(notebook, id, &recorded),
        Ok(_) => Ok(see(&format!("/photo/{id}?mark")).into()),
        Err(refusal) if in_part => Ok(part(
            422,
            html! { p role="alert" { "Nothing was recorded. " (sentence_case(&refusal.to_string())) } },
        )
        .into()),
        Err(refusal) => {
            let refused = Refused {
                form: "mark",
                request,
                sentence: refusal.to_string(),
                field: None,
            };
            let desk = Desk {
                refused: Some(&refused),
                ..desk
            };
            Ok(show(notebook, id, true, desk)?.with_status(422).into())
        }
    }
}

/// The parts of the page that a mark changes.
fn parts(notebook: &Notebook, id: PhotoId, recorded: &Recorded) -> Result<Answer, NotebookError> {
    let leaf = Leaf::of(notebook, id)?;
    let after = recorded.entry.map(|_| recorded.number);
    Ok(part(
        200,
        html! {
            (marks::overlay(&leaf.photo, Some("marks"), true))
            (list::next(&leaf, after))
            (list::last(&leaf, Some(recorded)))
            (list::marks(&leaf))
        },
    )
    .into())
}

fn place(notebook: &Notebook, leaf: &Leaf, request: &Request) -> Result<Recorded, Refusal> {
    let x_px = pixels(request, "x_px", leaf.photo.width_px, "across")?;
    let y_px = pixels(request, "y_px", leaf.photo.height_px, "down")?;
    let over = over(request)?;
    let (hole, number) = which(notebook, leaf, request)?;
    let moved = leaf.photo.marks.iter().any(|mark| mark.hole == hole);
    let entry = notebook.mark(hole, leaf.photo.id, x_px, y_px, &over)?;
    let words = format!(
        "Hole {number} {} {x_px:.0}, {y_px:.0}.",
        if moved { "moved to" } else { "marked at" }
    );
    Ok(Recorded {
        words,
        number,
        entry: Some(entry),
    })
}

/// A place along one side of the picture.
fn pixels(request: &Request, field: &str, size: u32, way: &str) -> Result<f64, Refusal> {
    let text = request.field(field).unwrap_or_default();
    let place = text.parse::<f64>().ok().filter(|place| place.is_finite());
    let place = place
        .ok_or_else(|| Refusal::of("Mark", format!("'{text}' is not a number of pixels {way}.")))?;
    if !(0.0..=f64::from(size)).contains(&place) {
        return Err(Refusal::of(
            "Mark",
            format!(
                "{place:.0} pixels {way} lies outside the photo, which has {size}; mark a place on it."
            ),
        ));
    }
    Ok(place)
}

/// The hole that is marked: one of this face, or a new one, with its number.
fn which(notebook: &Notebook, leaf: &Leaf, request: &Request) -> Result<(HoleId, u32), Refusal> {
    let asked = request.field("hole").unwrap_or_default();
    let hole = match asked {
        "new" => notebook.add_hole(leaf.face.id, None, None)?,
        known => known.parse().map_err(|_| {
            Refusal::of(
                "Hole",
                format!("'{known}' names no hole; open the photo again."),
            )
        })?,
    };
    if let Some(summary) = leaf.face.holes.iter().find(|summary| summary.id == hole) {
        return Ok((hole, summary.number));
    }
    if asked == "new" {
        return Ok((hole, notebook.hole(hole)?.number));
    }
    Err(Refusal::of(
        "Hole",
        "it is not on this photo's face; open the photo again.",
    ))
}

fn strike_mark(notebook: &Notebook, leaf: &Leaf, request: &Request) -> Result<Recorded, Refusal> {
    let asked = request
        .field("entry")
        .and_then(|text| text.parse::<EntryId>().ok());
    let found = leaf.photo.marks.iter().find_map(|mark| {
        let said = mark
            .answers
            .0
            .iter()
            .find(|said| Some(EntryId(said.entry)) == asked)?;
        Some((mark.number, EntryId(said.entry)))
    });
    let Some((number, entry)) = found else {
        return Err(Refusal::of(
            "Strike",
            "that mark does not stand on this photo any more; open the photo again.",
        ));
    };
    notebook.strike(entry, "marked in the wrong place")?;
    let words = format!("The mark of hole {number} is struck; the hole itself stays.");
    Ok(Recorded {
        words,
        number,
        entry: None,
    })
}
