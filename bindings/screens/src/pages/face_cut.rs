//! The face cut of a joint face: the plan, the cuts that were made, and what they do to the holes.

use crate::authors::Authors;
use crate::carrier::Request;
use crate::form::{
    FormError, ask, hidden, replaced_entries, replaces, required_length, required_text,
};
use crate::form_names::{Field, FormName};
use crate::labels::{author, count, date_time};
use crate::newest::{earlier, newest};
use crate::pages::FormContext;
use crate::pages::late_cut;
use crate::pages::strike_out::strike_out_form;
use holebook_core::hole::plausibility::{self, Implausible};
use holebook_core::hole::problem::Problem;
use holebook_core::hole::question::Question;
use holebook_core::hole::record::{FaceMilled, Recorded};
use holebook_core::hole::situation::{LARGEST_FACE_CUT, SituationError};
use holebook_core::hole::stage::Stage;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{FaceId, FaceView, Notebook, NotebookError};
use maud::{Markup, html};

/// The planned cut, what was milled off, and what is left.
///
/// # Errors
/// If the notebook cannot be read.
pub fn section(
    notebook: &Notebook,
    face: &FaceView,
    authors: &Authors,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let record = &face.record;
    let planned = record.planned_cut.agreed().map(|cut| cut.planned);
    let shown = |cut: Option<Length>, none: &str| {
        cut.map_or_else(|| none.to_owned(), |cut| cut.show(context.unit))
    };
    let lines = record.milled.iter();
    let lines: Vec<Markup> = lines
        .map(|milled| milled_line(notebook, milled, face, context))
        .collect::<Result<_, _>>()?;
    Ok(html! {
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
                (milled_form(notebook, face, context)?)
            }
            ul.journal { @for line in lines { (line) } }
        }
    })
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

fn milled_form(
    notebook: &Notebook,
    face: &FaceView,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let form = context.form(FormName::Milled);
    let late = late_cut::answers(notebook, face.id, None, form, context.unit)?;
    Ok(html! {
        form method="post" action=(FormName::Milled.address_of(face.id)) {
            div.fields {
                (form.length(Field::Taken, REMOVED, None, "measured, not the dial reading"))
                (form.text(Field::MeasuredWith, "Measured with", None, ""))
            }
            (late_cut::checkbox(form))
            p { button { "Record cut" } }
            (late)
            (form.questions())
        }
        p.caution { b { "Caution: " } "Lift a casting by its strong points and never stand under it. Clamp it on "
            "three points before the spindle turns. Wear eye protection and a dust mask. The machine's manual comes first." }
    })
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

/// A cut that was made, with forms to correct it and to strike it out.
fn milled_line(
    notebook: &Notebook,
    milled: &Recorded<FaceMilled>,
    face: &FaceView,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let entry = milled.entry.to_string();
    let is_this = |request: &Request| request.field(Field::Entry) == Some(entry.as_str());
    let correct = context.form_where(&entry, FormName::CorrectMilled, is_this);
    let late = late_cut::answers(notebook, face.id, Some(milled), correct, context.unit)?;
    let came_before = milled.body.came_before.len();
    Ok(html! {
        li.with-row-action {
            div {
                b { (milled.body.removed.show(context.unit)) " removed" }
                @if let Some(instrument) = &milled.body.instrument { ", " (instrument) }
                @if came_before > 0 {
                    ", recorded late: " (count(came_before, "earlier entry", "earlier entries")) " counted from the new face"
                }
                span.faint { " · " (author(&milled.by)) ", " (date_time(&milled.at)) }
            }
            div {
                details.row-action open[correct.is_rejected()] {
                    summary { "Correct" }
                    form method="post" action=(FormName::CorrectMilled.address_of(face.id)) {
                        (hidden(Field::Entry, milled.entry))
                        (correct.length(Field::Taken, REMOVED, Some(milled.body.removed), ""))
                        (late_cut::checkbox(correct))
                        p { button.main { "Save correction" } }
                        (late)
                        (correct.questions())
                    }
                }
                (strike_out_form(FormName::StrikeOutMilled, face.id, milled.entry, context))
            }
        }
    })
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
    let limits = notebook.limits()?;
    let unusual = plausibility::face_cut(planned, &limits);
    ask(request, questions(unusual, field))?;
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
    let milled = FaceMilled {
        removed: read_removed(request, unit)?,
        instrument: request.field(Field::MeasuredWith).map(str::to_owned),
        came_before: late_cut::came_before(notebook, id, None, request)?,
    };
    ask_about_cut(notebook, id, &milled, None, request)?;
    notebook.record_face_milled(id, &milled, None)?;
    Ok(())
}

/// Reads the stock that was removed.
fn read_removed(request: &Request, unit: Unit) -> Result<Length, FormError> {
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
    Ok(removed)
}

/// Asks about an unusual cut, and about holes whose work would not hold any more. `corrected` is the
/// cut that it replaces.
fn ask_about_cut(
    notebook: &Notebook,
    id: FaceId,
    milled: &FaceMilled,
    corrected: Option<&Recorded<FaceMilled>>,
    request: &Request,
) -> Result<(), FormError> {
    let face = notebook.face(id)?;
    let removed = milled.removed;
    let before = corrected.map_or(Length::ZERO, |cut| cut.body.removed);
    let in_all = face.record.removed() - before + removed;
    let unusual = plausibility::face_cut(removed, face.record.limits())
        .into_iter()
        .chain(plausibility::cut_beyond_plan(face.record.planned(), in_all))
        .chain(plausibility::facing_unmeasured(unmeasured(&face)));
    let effects = notebook.face_cut_effects(id, milled, corrected.map(|cut| cut.entry))?;
    let effects = effects.iter().map(|effect| {
        let problems: Vec<String> = effect.problems.iter().map(Problem::to_string).collect();
        let sentence = format!(
            "after this cut hole {} does not hold: {}",
            effect.number,
            problems.join("; ")
        );
        (Question::about(&sentence, false), Some(Field::Taken))
    });
    ask(request, questions(unusual, Field::Taken).chain(effects))
}

/// The cut that a form names.
fn named_cut(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
) -> Result<Recorded<FaceMilled>, FormError> {
    let named = request.field(Field::Entry).unwrap_or_default();
    let milled = notebook.face(id)?.record.milled.into_iter();
    let mut cuts = milled.filter(|cut| cut.entry.to_string() == named);
    cuts.next().ok_or_else(|| {
        FormError::new("That cut was corrected or struck out; look at the page again.")
    })
}

/// Corrects a cut that was recorded wrong.
pub fn correct(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let wrong = named_cut(notebook, id, request)?;
    let milled = FaceMilled {
        removed: read_removed(request, unit)?,
        came_before: late_cut::came_before(notebook, id, Some(&wrong), request)?,
        instrument: wrong.body.instrument.clone(),
    };
    ask_about_cut(notebook, id, &milled, Some(&wrong), request)?;
    notebook.record_face_milled(id, &milled, Some(wrong.entry))?;
    Ok(())
}

/// Strikes out a cut.
pub fn strike_out(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let wrong = named_cut(notebook, id, request)?;
    notebook.strike_out(
        wrong.entry,
        required_text(request, Field::Reason, "Reason")?,
    )?;
    Ok(())
}
