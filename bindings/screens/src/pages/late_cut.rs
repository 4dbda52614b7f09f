//! A face cut that is recorded late: asks what was measured on the face as milled.

use crate::carrier::Request;
use crate::form::{Form, FormError, hidden};
use crate::form_names::Field;
use crate::labels::{date, date_time, sentence, time};
use crate::pages::sheet::unit_name;
use holebook_core::hole::late_cut::EarlierEntry;
use holebook_core::hole::plausibility::hole_numbers;
use holebook_core::hole::question::Question;
use holebook_core::hole::record::{FaceMilled, Recorded};
use holebook_core::id::Seen;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, Notebook, NotebookError};
use maud::{Markup, html};

/// The key of the question.
const KEY: &str = "measured-before-or-after-this-cut";

/// The answers: what is named was measured before the cut, after it, or is ticked if after it.
const BEFORE: &str = "before";
const AFTER: &str = "after";
const TICKED: &str = "ticked";

/// Reads which entries this cut came before, and asks if that is not known: if something shows that
/// the face may have been milled when they were recorded, or if the person says that it was.
/// `corrected` is the cut that this one replaces.
pub fn came_before(
    notebook: &Notebook,
    face: FaceId,
    corrected: Option<&Recorded<FaceMilled>>,
    request: &Request,
) -> Result<Vec<Seen>, FormError> {
    let earlier = notebook.recorded_before_cut(face, corrected.map(|cut| cut.entry))?;
    let answer = request.field(Field::LateAnswer);
    let Some(answer) = answer.filter(|answer| [BEFORE, AFTER, TICKED].contains(answer)) else {
        let says_so = request.field(Field::RecordedLate).is_some() && !earlier.is_empty();
        let is_likely = corrected.is_none() && earlier.iter().any(|entry| entry.may_be_after);
        return match says_so || is_likely {
            true => Err(question(&earlier)),
            false => Ok(corrected.map_or(Vec::new(), |cut| cut.body.came_before.clone())),
        };
    };
    let is_named = |entry: &EarlierEntry| {
        let id = entry.entry.to_string();
        let is_in = |field| {
            let mut named = request.fields(field).flat_map(str::split_whitespace);
            named.any(|named| named == id)
        };
        match answer {
            BEFORE => false,
            AFTER => is_in(Field::AskedAbout) || is_in(Field::CameBefore),
            _ => is_in(Field::CameBefore),
        }
    };
    let named = earlier.iter().filter(|entry| is_named(entry));
    Ok(named.map(|entry| entry.place).collect())
}

fn question(earlier: &[EarlierEntry]) -> FormError {
    let (likely, _) = split(earlier);
    let sentence = format!(
        "{} before this cut; say which were measured after the face was milled",
        subject(likely),
    );
    FormError {
        message: sentence.clone(),
        field: None,
        questions: vec![Question {
            key: KEY.to_owned(),
            sentence,
            needs_reason: false,
        }],
    }
}

/// The entries to ask about first, and the others: all if nothing shows which.
fn split(earlier: &[EarlierEntry]) -> (&[EarlierEntry], &[EarlierEntry]) {
    let likely = earlier.partition_point(|entry| entry.may_be_after);
    earlier.split_at(if likely == 0 { earlier.len() } else { likely })
}

/// What is asked about, by its holes.
fn subject(entries: &[EarlierEntry]) -> String {
    let mut numbers: Vec<u32> = entries.iter().filter_map(|entry| entry.hole).collect();
    numbers.sort_unstable();
    numbers.dedup();
    match numbers.is_empty() {
        true => "depths of the face were recorded".to_owned(),
        false => format!("depths of {} were recorded", hole_numbers(&numbers)),
    }
}

/// The box that says that a cut is recorded late.
pub fn checkbox(form: Form<'_>) -> Markup {
    form.checkbox(
        Field::RecordedLate,
        "Recorded late: something was measured on the face as milled",
        false,
    )
}

/// The question, or what was answered if the form asks something else.
pub fn answers(
    notebook: &Notebook,
    face: FaceId,
    corrected: Option<&Recorded<FaceMilled>>,
    form: Form<'_>,
    unit: Unit,
) -> Result<Markup, NotebookError> {
    let Some(rejected) = form.rejected else {
        return Ok(html! {});
    };
    if !form.takes_question(KEY) {
        return Ok(answered(rejected.request));
    }
    let earlier = notebook.recorded_before_cut(face, corrected.map(|cut| cut.entry))?;
    let (likely, others) = split(&earlier);
    let before = corrected.map_or(&[][..], |cut| &cut.body.came_before);
    Ok(html! {
        div.question {
            // The Enter key presses the first button of a form. It must not answer.
            button hidden {}
            p { b { "Check: " } (sentence(&rejected.message)) }
            p { button name=(Field::LateAnswer.name()) value=(BEFORE) { "All before the face was milled" } }
            p { button name=(Field::LateAnswer.name()) value=(AFTER) { "All of these after it" } }
            p { "Or tick the holes whose depths were measured after it, on the face as milled:" }
            (hidden(Field::AskedAbout, ids(likely)))
            (rows(likely, before, unit))
            @if !others.is_empty() {
                details { summary { "Recorded earlier" } (rows(others, before, unit)) }
            }
            p { button name=(Field::LateAnswer.name()) value=(TICKED) { "As ticked" } }
        }
    })
}

/// A row for each hole that names its depths, and folded, a row for each depth of the holes that have
/// several. What is ticked in either counts.
fn rows(entries: &[EarlierEntry], before: &[Seen], unit: Unit) -> Markup {
    let holes = || entries.chunk_by(|one, other| one.hole == other.hole);
    let is_ticked = |entry: &EarlierEntry| before.contains(&entry.place);
    // The depths of a hole that is ticked as a whole are not ticked again: to clear it is one tap.
    let of_several = |hole: &&[EarlierEntry]| hole.len() > 1;
    let differs = |hole: &[EarlierEntry]| hole.iter().any(is_ticked) && !hole.iter().all(is_ticked);
    let one_day = entries
        .iter()
        .all(|entry| entry.at.date_naive() == entries[0].at.date_naive());
    let row = |entries: &[EarlierEntry], ticked| row(entries, ticked, one_day, unit);
    html! {
        p.faint {
            @if one_day { @if let Some(first) = entries.first() { "Recorded on " (date(&first.at)) ". " } }
            "Depths in " (unit_name(unit)) "."
        }
        @for hole in holes() { (row(hole, hole.iter().all(is_ticked))) }
        @if holes().any(|hole| of_several(&hole)) {
            details open[holes().any(differs)] {
                summary { "Only some depths of a hole" }
                @for hole in holes().filter(of_several) { @for entry in hole {
                    (row(std::slice::from_ref(entry), differs(hole) && is_ticked(entry)))
                } }
            }
        }
    }
}

/// One box to tick for some entries of one hole, or of the face, with when the last was recorded.
fn row(entries: &[EarlierEntry], ticked: bool, one_day: bool, unit: Unit) -> Markup {
    let whose = entries.first().and_then(|entry| entry.hole);
    let depths = entries.iter().map(|entry| match entry.depth {
        Some(depth) => format!("{} {}", entry.what, depth.number(unit)),
        None => entry.what.clone(),
    });
    let last = entries.iter().map(|entry| entry.at).max();
    let last = last.map(|at| match one_day {
        true => time(&at),
        false => date_time(&at),
    });
    html! {
        label.choice.late {
            input type="checkbox" name=(Field::CameBefore.name()) value=(ids(entries)) checked[ticked];
            span {
                @match whose { Some(number) => { "Hole " (number) ": " } None => "Face: " }
                (depths.collect::<Vec<_>>().join(", "))
                @if let Some(last) = last { span.faint { " · " (last) } }
            }
        }
    }
}

/// The ids of entries as one value of a form.
fn ids(entries: &[EarlierEntry]) -> String {
    let ids = entries.iter().map(|entry| entry.entry.to_string());
    ids.collect::<Vec<_>>().join(" ")
}

/// The answer that was given, as hidden fields.
fn answered(request: &Request) -> Markup {
    html! {
        @if let Some(answer) = request.field(Field::LateAnswer) {
            (hidden(Field::LateAnswer, answer))
            @for field in [Field::AskedAbout, Field::CameBefore] {
                @for entry in request.fields(field) { (hidden(field, entry)) }
            }
        }
    }
}
