//! Records a mark or a grade, and undoes them.

use super::grade::{Next, Outcome, Strip, graded};
use super::{PhotoPage, find, find_others, list, marks, show_with};
use crate::carrier::Request;
use crate::form::{FormError, RejectedForm, back, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence};
use crate::notices::{Notice, with_notice};
use crate::page::{Answer, fragment, redirect};
use crate::pages::{FormContext, undo as undo_offer};
use holebook_core::hole::condition::{Condition, FirstLook};
use holebook_core::notebook::{
    EntryBody, EntryId, HoleEntry, HoleId, HoleSummary, MarkBody, Notebook, NotebookError, PhotoId,
};
use maud::html;
use std::cell::Cell;

/// Processes a form of the page. Answers with the page, or with its changed parts if the script asks
/// for them.
pub fn submit(
    notebook: &Notebook,
    id: PhotoId,
    form: FormName,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Answer, NotebookError> {
    if form == FormName::RestorePhoto {
        notebook.restore_photo(id)?;
        let own = format!("/photo/{id}");
        let path = back(request).unwrap_or(&own);
        return Ok(redirect(&with_notice(path, Notice::PhotoRestored)).into());
    }
    let page = PhotoPage::of(notebook, id)?;
    if form == FormName::RemovePhoto {
        notebook.remove_photo(id)?;
        return Ok(redirect(&after_removal(&page)).into());
    }
    let outcome = match form {
        FormName::Grade => grade(notebook, &page, request),
        FormName::GradeRest => grade_rest(notebook, &page),
        FormName::AddExpected => find::add_expected(notebook, id, request).map(Outcome::told),
        FormName::SnapMark => snap(notebook, &page, request),
        FormName::AddFound => find::add(notebook, id, request).map(Outcome::told),
        FormName::UndoOnPhoto => undo(notebook, &page, request),
        FormName::StrikeOutMark => strike_out_mark(notebook, &page, request),
        _ => record_mark(notebook, &page, request),
    };
    let in_part = request.field(Field::Fragment).is_some();
    match outcome {
        Ok(outcome) if in_part => parts(notebook, id, outcome),
        Ok(outcome) => whole(notebook, id, outcome, context),
        Err(error) if in_part => Ok(fragment(
            422,
            html! { p role="alert" { "Nothing was recorded. " (sentence(&error.message)) } },
        )
        .into()),
        Err(error) => {
            let rejected = RejectedForm {
                form: Some(form),
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
            let page = show_with(notebook, id, None, None, context)?;
            Ok(page.with_status(422).into())
        }
    }
}

/// The address of the page after the photo was removed, with the offer to bring it back: that of the
/// hole that it shows alone, or else of its face.
fn after_removal(page: &PhotoPage) -> String {
    let is_here = |hole: &HoleId| page.hole(*hole).is_some();
    let next = match page.photo.hole.filter(is_here) {
        Some(hole) => with_notice(&format!("/hole/{hole}"), Notice::PhotoOfHoleRemoved),
        None => with_notice(&format!("/face/{}", page.face.id), Notice::PhotoRemoved),
    };
    undo_offer::with_removed_photo(&next, page.photo.id)
}

/// The whole page after a plain form: by its address if one entry says all, so that loading it again
/// records nothing twice.
fn whole(
    notebook: &Notebook,
    id: PhotoId,
    outcome: Outcome,
    context: FormContext<'_>,
) -> Result<Answer, NotebookError> {
    match outcome.undo.as_slice() {
        [entry] => Ok(redirect(&format!("/photo/{id}?done={entry}#grade")).into()),
        _ => Ok(show_with(notebook, id, Some(outcome), None, context)?.into()),
    }
}

/// The parts of the page that change.
fn parts(notebook: &Notebook, id: PhotoId, outcome: Outcome) -> Result<Answer, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    let after = outcome.marked.and_then(|hole| page.hole(hole));
    let after = after.map(|hole| hole.number);
    let strip = Strip::of(notebook, &page, Some(outcome), None)?;
    Ok(fragment(
        200,
        html! {
            (marks::overlay(&page.photo, &page.face, Some("marks"), true, strip.current()))
            (list::next(&page, after))
            (strip.show(&page))
            (find_others(&page))
            (list::marks(&page))
        },
    )
    .into())
}

fn record_mark(
    notebook: &Notebook,
    page: &PhotoPage,
    request: &Request,
) -> Result<Outcome, FormError> {
    let plain = request.field(Field::PlainX).is_some();
    let (x_px, y_px) = match plain {
        true => plain_position(page, request)?,
        false => (
            pixels(request, Field::XPixels, page.photo.width_px, "across")?,
            pixels(request, Field::YPixels, page.photo.height_px, "down")?,
        ),
    };
    let shown = replaces(request)?;
    let (hole, number) = asked_hole(notebook, page, request)?;
    let before = page.photo.marks.iter().find(|mark| mark.hole == hole);
    let replaces = match before {
        Some(before) if plain => before.entries.0.iter().map(|it| it.entry).collect(),
        _ => shown,
    };
    let moved = before.is_some();
    let mark = MarkBody {
        rim_radius_px: rim_radius(request)?,
        ..MarkBody::by_hand(page.photo.id, x_px, y_px)
    };
    let entry = notebook.record_mark(hole, &mark, &replaces)?;
    let verb = if moved { "moved to" } else { "marked at" };
    Ok(Outcome {
        message: format!("Hole {number} {verb} {x_px:.0}, {y_px:.0}."),
        undo: vec![entry],
        marked: Some(hole).filter(|_| !moved),
        next: Next::Snap(hole),
    })
}

/// The radius of the rim that a mark is the middle of; `None`: placed by hand.
fn rim_radius(request: &Request) -> Result<Option<f64>, FormError> {
    let Some(text) = request.field(Field::RimRadius) else {
        return Ok(None);
    };
    let radius = text.parse().ok();
    radius.map(Some).ok_or_else(|| {
        let message = format!("'{text}' is not the radius of a rim in pixels; snap the mark again");
        FormError::of(Field::RimRadius, "Mark", message)
    })
}

/// Looks for the rim around a mark, and proposes to move the mark there. Nothing is recorded.
fn snap(notebook: &Notebook, page: &PhotoPage, request: &Request) -> Result<Outcome, FormError> {
    let asked = request
        .field(Field::Hole)
        .and_then(|text| text.parse::<HoleId>().ok());
    let mut marks = page.photo.marks.iter();
    let mark = marks
        .find(|mark| Some(mark.hole) == asked)
        .ok_or_else(|| FormError::new("That mark is no longer on this photo; reload the photo."))?;
    let rim = notebook.snap_mark(page.photo.id, mark.hole)?;
    let from = mark.entries.0.first().map(|entry| &entry.body);
    let (dx, dy) = from.map_or((0.0, 0.0), |from| {
        (rim.x_px - from.x_px, rim.y_px - from.y_px)
    });
    let side = |by: f64, more: &str, less: &str| {
        let way = if by < 0.0 { less } else { more };
        format!("{:.0} px {way}", by.abs())
    };
    Ok(Outcome {
        message: format!(
            "Hole {}: the middle of the rim is {} and {} of the mark.",
            mark.number,
            side(dx, "right", "left"),
            side(dy, "down", "up")
        ),
        undo: Vec::new(),
        marked: Some(mark.hole),
        next: Next::Move {
            hole: mark.hole,
            x_px: rim.x_px,
            y_px: rim.y_px,
            radius_px: rim.diameter_px / 2.0,
            replaces: mark.entries.0.iter().map(|entry| entry.entry).collect(),
        },
    })
}

/// Reads where the picture was pressed in the form that needs no script: the browser sends the
/// position in pixels of the picture as it was shown.
fn plain_position(page: &PhotoPage, request: &Request) -> Result<(f64, f64), FormError> {
    let photo = &page.photo;
    let scale = f64::from(photo.width_px) / f64::from(super::PLAIN_WIDTH);
    let read = |field: Field, size: u32| {
        let position = request
            .field(field)
            .and_then(|text| text.parse::<f64>().ok());
        let position = position.filter(|it| it.is_finite()).map(|it| it * scale);
        position.map(|it| it.clamp(0.0, f64::from(size)))
    };
    let x = read(Field::PlainX, photo.width_px);
    let y = read(Field::PlainY, photo.height_px);
    let unread = || FormError::of(Field::PlainX, "Mark", "press the hole in the picture");
    x.zip(y).ok_or_else(unread)
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
) -> Result<Outcome, FormError> {
    let asked = request
        .field(Field::Entry)
        .and_then(|text| text.parse::<EntryId>().ok());
    let mut marks = page.photo.marks.iter();
    let found = marks.find(|mark| {
        let mut entries = mark.entries.0.iter();
        entries.any(|entry| Some(entry.entry) == asked)
    });
    let mark = found
        .ok_or_else(|| FormError::new("That mark is no longer on this photo; reload the photo."))?;
    notebook.remove_mark(mark.hole, page.photo.id)?;
    let number = mark.number;
    Ok(Outcome::told(format!(
        "Mark of hole {number} struck out; the hole itself stays."
    )))
}

/// Records the condition of one hole.
fn grade(notebook: &Notebook, page: &PhotoPage, request: &Request) -> Result<Outcome, FormError> {
    let asked = request
        .field(Field::Hole)
        .and_then(|text| text.parse().ok());
    let hole = asked.and_then(|hole| page.hole(hole)).ok_or_else(|| {
        FormError::of(
            Field::Hole,
            "Hole",
            "not on this photo's face; reload the photo",
        )
    })?;
    let condition = request
        .field(Field::Condition)
        .and_then(Condition::from_name);
    let condition = condition
        .ok_or_else(|| FormError::of(Field::Condition, "Condition", "pick one of the nine"))?;
    let entry = HoleEntry::Condition(FirstLook { condition });
    let entry = notebook.record(hole.id, entry, &replaces(request)?)?;
    Ok(Outcome {
        message: graded(hole, condition),
        undo: vec![entry],
        marked: None,
        next: Next::Nothing,
    })
}

/// Grades all holes of the face sound that nobody looked at.
fn grade_rest(notebook: &Notebook, page: &PhotoPage) -> Result<Outcome, FormError> {
    let holes = page.ungraded(notebook)?;
    let holes: Vec<HoleId> = holes.iter().map(|hole| hole.id).collect();
    let condition = Condition::Sound;
    let entry = HoleEntry::Condition(FirstLook { condition });
    let undo = notebook.record_for(&holes, &entry, &[])?;
    let message = match undo.len() {
        0 => "Every hole is graded already.".to_owned(),
        graded => format!("{} graded sound.", count(graded, "hole", "holes")),
    };
    Ok(Outcome {
        message,
        undo,
        marked: None,
        next: Next::Nothing,
    })
}

/// Strikes out what was recorded last: marks of this photo, and conditions of its face's holes.
fn undo(notebook: &Notebook, page: &PhotoPage, request: &Request) -> Result<Outcome, FormError> {
    let gone = || FormError::new("That entry is not active any more; reload the photo.");
    let mut entries = Vec::new();
    let mut what = Vec::new();
    for text in request.fields(Field::Entry) {
        let entry: EntryId = text.parse().map_err(|_| gone())?;
        let line = notebook.entry(entry)?;
        let hole = page.hole(HoleId(line.subject)).filter(|_| line.is_active());
        what.push(undone(page, hole.ok_or_else(gone)?, line.entry_body()).ok_or_else(gone)?);
        entries.push(entry);
    }
    notebook.undo_all(&entries)?;
    Ok(Outcome::told(match what.as_slice() {
        [] => return Err(gone()),
        [one] => one.clone(),
        all => format!("{} conditions struck out.", all.len()),
    }))
}

/// The sentence about an entry that is undone; `None` if it is of another kind or photo.
fn undone(page: &PhotoPage, hole: &HoleSummary, body: Option<EntryBody>) -> Option<String> {
    let number = hole.number;
    match body? {
        EntryBody::Mark(mark) if mark.photo == page.photo.id => Some(format!(
            "Mark of hole {number} struck out; the hole itself stays."
        )),
        EntryBody::Condition(_) => Some(format!("Condition of hole {number} struck out.")),
        _ => None,
    }
}
