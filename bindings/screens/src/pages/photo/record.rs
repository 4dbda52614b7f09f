//! Records a mark, or strikes one out.

use super::list::{self, MarkOutcome};
use super::{PhotoPage, marks, show};
use crate::carrier::Request;
use crate::form::{FormError, RejectedForm, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::sentence;
use crate::page::{Answer, fragment, redirect};
use crate::pages::FormContext;
use holebook_core::notebook::{EntryId, HoleId, Notebook, NotebookError, PhotoId};
use maud::html;
use std::cell::Cell;

/// Records a mark. Answers with the page, or with its changed parts if the script asks for them.
pub fn mark(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Answer, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    answer(
        notebook,
        id,
        request,
        context,
        record_mark(notebook, &page, request),
    )
}

/// Strikes out a mark; answers as [`mark`] does.
pub fn strike_out(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Answer, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    answer(
        notebook,
        id,
        request,
        context,
        strike_out_mark(notebook, &page, request),
    )
}

fn answer(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    context: FormContext<'_>,
    outcome: Result<MarkOutcome, FormError>,
) -> Result<Answer, NotebookError> {
    let in_part = request.field(Field::Fragment).is_some();
    match outcome {
        Ok(outcome) if in_part => parts(notebook, id, &outcome),
        Ok(_) => Ok(redirect(&format!("/photo/{id}?mark")).into()),
        Err(error) if in_part => Ok(fragment(
            422,
            html! { p role="alert" { "Nothing was recorded. " (sentence(&error.message)) } },
        )
        .into()),
        Err(error) => {
            let rejected = RejectedForm {
                form: Some(FormName::Mark),
                request,
                field: error.field,
                message: error.message,
                questions: &error.questions,
                questions_drawn: Cell::default(),
            };
            let context = FormContext {
                rejected: Some(&rejected),
                ..context
            };
            Ok(show(notebook, id, true, context)?.with_status(422).into())
        }
    }
}

/// The parts of the page that change with a mark.
fn parts(notebook: &Notebook, id: PhotoId, outcome: &MarkOutcome) -> Result<Answer, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    let after = outcome.entry.map(|_| outcome.number);
    Ok(fragment(
        200,
        html! {
            (marks::overlay(&page.photo, &page.face, Some("marks"), true))
            (list::next(&page, after))
            (list::last(&page, Some(outcome)))
            (list::marks(&page))
        },
    )
    .into())
}

fn record_mark(
    notebook: &Notebook,
    page: &PhotoPage,
    request: &Request,
) -> Result<MarkOutcome, FormError> {
    let x_px = pixels(request, Field::XPixels, page.photo.width_px, "across")?;
    let y_px = pixels(request, Field::YPixels, page.photo.height_px, "down")?;
    let replaces = replaces(request)?;
    let (hole, number) = asked_hole(notebook, page, request)?;
    let moved = page.photo.marks.iter().any(|mark| mark.hole == hole);
    let entry = notebook.mark(hole, page.photo.id, x_px, y_px, &replaces)?;
    let verb = if moved { "moved to" } else { "marked at" };
    Ok(MarkOutcome {
        message: format!("Hole {number} {verb} {x_px:.0}, {y_px:.0}."),
        number,
        entry: Some(entry),
    })
}

/// Reads a position along one side of the picture.
fn pixels(request: &Request, field: Field, size: u32, direction: &str) -> Result<f64, FormError> {
    let text = request.field(field).unwrap_or_default();
    let position = text.parse::<f64>().ok();
    let position = position.filter(|position| position.is_finite());
    let position = position.ok_or_else(|| {
        let message = format!("'{text}' is not a number of pixels {direction}");
        FormError::of(field, "Mark", message)
    })?;
    if !(0.0..=f64::from(size)).contains(&position) {
        let message = format!(
            "{position:.0} pixels {direction} is outside the photo, which has {size}; mark a \
             place on it"
        );
        return Err(FormError::of(field, "Mark", message));
    }
    Ok(position)
}

/// The hole to mark with its number: one of this face, or a new one.
fn asked_hole(
    notebook: &Notebook,
    page: &PhotoPage,
    request: &Request,
) -> Result<(HoleId, u32), FormError> {
    let asked = request.field(Field::Hole).unwrap_or_default();
    let wrong = |message: String| FormError::of(Field::Hole, "Hole", message);
    let hole = match asked {
        "new" => notebook.add_hole(page.face.id, None, None)?,
        known => known
            .parse()
            .map_err(|_| wrong(format!("'{known}' is not a hole; reload the photo")))?,
    };
    if let Some(summary) = page.face.holes.iter().find(|summary| summary.id == hole) {
        return Ok((hole, summary.number));
    }
    if asked == "new" {
        return Ok((hole, notebook.hole(hole)?.number));
    }
    Err(wrong(
        "not on this photo's face; reload the photo".to_owned(),
    ))
}

fn strike_out_mark(
    notebook: &Notebook,
    page: &PhotoPage,
    request: &Request,
) -> Result<MarkOutcome, FormError> {
    let asked = request
        .field(Field::Entry)
        .and_then(|text| text.parse::<EntryId>().ok());
    let found = page.photo.marks.iter().find_map(|mark| {
        let mut entries = mark.entries.0.iter();
        let entry = entries.find(|entry| Some(entry.entry) == asked)?;
        Some((mark.number, entry.entry))
    });
    let Some((number, entry)) = found else {
        return Err(FormError::new(
            "That mark is no longer on this photo; reload the photo.",
        ));
    };
    notebook.strike_out(entry, "marked in the wrong place")?;
    Ok(MarkOutcome {
        message: format!("Mark of hole {number} struck out; the hole itself stays."),
        number,
        entry: None,
    })
}
