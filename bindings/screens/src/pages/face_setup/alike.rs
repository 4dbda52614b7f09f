//! Several holes at once: the same thread, or the same readings, for all that are picked.

use super::thread_list;
use crate::carrier::Request;
use crate::form::{FormError, ask, replaced_entries, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::{quantity, quantity_hint};
use crate::page::Page;
use crate::pages::hole::readings::{TOLERANCE, read_quantity, tolerance_sources};
use crate::pages::hole::unusual::questions;
use crate::pages::hole::wanted_thread::{
    GRADE, PRESSURE, THREAD, grade_options, parse_thread, read_grade, read_through, through_options,
};
use crate::pages::{FormContext, below_face};
use holebook_core::hole::face_setup::{FaceSetup, USUAL_QUANTITIES};
use holebook_core::hole::plausibility::{self, Known};
use holebook_core::hole::record::WantedThread;
use holebook_core::length::Unit;
use holebook_core::notebook::{
    EntryId, EntryKind, FaceId, HoleEntry, HoleId, HoleSummary, Notebook, NotebookError,
};
use maud::{Markup, html};
use std::ops::RangeInclusive;

const NUMBERS: &str = "Hole numbers";

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let form = context.form(FormName::Alike);
    let holes: Vec<HoleId> = face.holes.iter().map(|hole| hole.id).collect();
    let threads = notebook.active_entries_of(&holes, EntryKind::WantedThread)?;
    let content = html! {
        h1 { "Several holes at once" }
        (context.outcome())
        form method="post" action=(FormName::Alike.address_of(id)) {
            (replaced_entries(threads.into_iter().map(|(_, entry)| entry)))
            (hole_fields(&face.holes, context))
            section.panel {
                h2 { "Thread" }
                div.fields {
                    (form.text_from(Field::Thread, THREAD, None, "blank = leave as it is", Some("threads")))
                    (form.select(Field::Bolt, GRADE, None, &grade_options()))
                    (form.select(Field::Through, "Hole", None, &through_options()))
                }
                (form.checkbox(Field::Pressure, PRESSURE, false))
                (thread_list())
            }
            (reading_fields(&face.record.setup, context))
            p { button.main { "Record for all of them" } }
            (form.questions())
        }
    };
    Ok(below_face::page(
        &face,
        "Several holes at once",
        context,
        content,
    ))
}

fn hole_fields(holes: &[HoleSummary], context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Alike);
    let label = |hole: &HoleSummary| match hole.thread {
        Some(thread) => format!("{}, {}", hole.number, thread.designation()),
        None => hole.number.to_string(),
    };
    html! {
        section.panel {
            h2 { "Holes" }
            (form.text(Field::Holes, NUMBERS, None, "such as 1-8, 12"))
            details open[form.any_typed(&[Field::Hole])] {
                summary { "Pick from the list" }
                div.radio-group { @for hole in holes {
                    (form.pick(Field::Hole, &label(hole), &hole.id.to_string(), false))
                } }
            }
        }
    }
}

fn reading_fields(setup: &FaceSetup, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Alike);
    let fields: Vec<Field> = USUAL_QUANTITIES.map(Field::Reading).to_vec();
    html! {
        details.panel.measurement-form open[form.any_typed(&fields)] {
            summary { "Measured at each of them, with the same result" }
            @for what in USUAL_QUANTITIES {
                fieldset {
                    legend { (quantity(what)) span.faint { ", " (quantity_hint(what)) } }
                    div.fields {
                        (form.length(Field::Reading(what), "Reading", None, ""))
                        (form.length(Field::Tolerance(what), TOLERANCE, None, ""))
                        (form.text_from(Field::Instrument(what), "Measured with", None, "", Some("tools")))
                    }
                }
            }
            (super::tools::list(setup, context.unit))
            (tolerance_sources())
        }
    }
}

/// Records the entries for all holes that were picked.
pub fn save(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let face = notebook.face(id)?;
    let holes = picked(&face.holes, request)?;
    let wanted = read_wanted(request)?;
    let known = Known {
        thread: wanted.as_ref().map(|wanted| wanted.thread),
        depth: None,
        limits: face.record.limits().clone(),
    };
    let mut entries: Vec<(HoleEntry, Vec<EntryId>)> = Vec::new();
    if let Some(wanted) = wanted {
        let replaced = shown_threads(notebook, &holes, request)?;
        entries.push((HoleEntry::WantedThread(wanted), replaced));
    }
    let mut unusual = Vec::new();
    for what in USUAL_QUANTITIES {
        if let Some(read) = read_quantity(what, request, unit)? {
            let reading = face.record.setup.complete(read);
            unusual.extend(plausibility::reading(&reading, &known));
            entries.push((HoleEntry::Reading(reading), Vec::new()));
        }
    }
    if entries.is_empty() {
        return Err(FormError::new(
            "Nothing was entered for these holes; enter their thread or a reading.",
        ));
    }
    ask(request, questions(unusual, (&[], &[])))?;
    notebook.record_all_for(&holes, &entries)?;
    Ok(())
}

fn read_wanted(request: &Request) -> Result<Option<WantedThread>, FormError> {
    let bolt = read_grade(request)?;
    let through = read_through(request);
    let pressure = request.field(Field::Pressure).is_some();
    let Some(text) = request.field(Field::Thread) else {
        if bolt.is_some() || through.is_some() || pressure {
            let why = "enter the thread that goes with the bolt and the hole, or clear them";
            return Err(FormError::of(Field::Thread, THREAD, why));
        }
        return Ok(None);
    };
    Ok(Some(WantedThread {
        thread: parse_thread(text, Field::Thread)?,
        bolt,
        through,
        pressure,
    }))
}

/// The entries of wanted threads that the page showed, as far as they are about these holes.
fn shown_threads(
    notebook: &Notebook,
    holes: &[HoleId],
    request: &Request,
) -> Result<Vec<EntryId>, FormError> {
    let shown = replaces(request)?;
    let active = notebook.active_entries_of(holes, EntryKind::WantedThread)?;
    let active = active.into_iter().map(|(_, entry)| entry);
    Ok(active.filter(|entry| shown.contains(entry)).collect())
}

/// The holes that were picked from the list or named by number.
fn picked(holes: &[HoleSummary], request: &Request) -> Result<Vec<HoleId>, FormError> {
    let ranges = match request.field(Field::Holes) {
        Some(text) => {
            ranges(text).map_err(|message| FormError::of(Field::Holes, NUMBERS, message))?
        }
        None => Vec::new(),
    };
    for range in &ranges {
        if !holes.iter().any(|hole| range.contains(&hole.number)) {
            let message = match range.start() == range.end() {
                true => format!("this face has no hole {}", range.start()),
                false => format!(
                    "this face has no hole from {} to {}",
                    range.start(),
                    range.end()
                ),
            };
            return Err(FormError::of(Field::Holes, NUMBERS, message));
        }
    }
    let ticked: Vec<&str> = request.fields(Field::Hole).collect();
    let is_picked = |hole: &&HoleSummary| {
        let by_number = ranges.iter().any(|range| range.contains(&hole.number));
        by_number || ticked.contains(&hole.id.to_string().as_str())
    };
    let found: Vec<HoleId> = holes.iter().filter(is_picked).map(|hole| hole.id).collect();
    if found.is_empty() {
        return Err(FormError::of(
            Field::Holes,
            NUMBERS,
            "no hole is picked; enter their numbers such as 1-8, 12, or pick them from the list",
        ));
    }
    Ok(found)
}

/// Reads hole numbers: `1-8, 12`.
fn ranges(text: &str) -> Result<Vec<RangeInclusive<u32>>, String> {
    let plain = text.replace('–', "-");
    let words: Vec<&str> = plain.split_whitespace().collect();
    // `1 - 8` is one range.
    let joined = words.join(" ").replace(" -", "-").replace("- ", "-");
    let parts = joined.split([',', ';', ' ']);
    parts.filter(|part| !part.is_empty()).map(range).collect()
}

fn range(part: &str) -> Result<RangeInclusive<u32>, String> {
    let wrong = || format!("'{part}' is not a hole number or a range; enter them such as 1-8, 12");
    let number = |text: &str| text.parse::<u32>().map_err(|_| wrong());
    let (from, to) = part.split_once('-').unwrap_or((part, part));
    let (from, to) = (number(from)?, number(to)?);
    match from <= to {
        true => Ok(from..=to),
        false => Err(format!(
            "'{part}' runs backward; enter the smaller number first"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_ranges_are_read() {
        let read = |text| ranges(text).unwrap_or_default();
        assert_eq!(read("1-8, 12"), [1..=8, 12..=12]);
        assert_eq!(read("3 5,7 – 9; 11 - 12"), [3..=3, 5..=5, 7..=9, 11..=12]);
        assert_eq!(read("1-4294967295"), [1..=u32::MAX]);
        for wrong in ["x", "1-", "-3", "1-2-3", "1.5", "4294967296", "8-1"] {
            assert!(ranges(wrong).is_err(), "{wrong}");
        }
    }
}
