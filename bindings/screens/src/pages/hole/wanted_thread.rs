//! The wanted thread with its form.

use super::HolePage;
use crate::carrier::Request;
use crate::form::{FormError, ask, replaces};
use crate::form_names::{Field, FormName};
use holebook_core::hole::plausibility;
use holebook_core::hole::question::Question;
use holebook_core::hole::record::WantedThread;
use holebook_core::hole::situation::SituationError;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use holebook_core::strength::Grade;
use holebook_core::thread::{Thread, standard_threads};
use maud::{Markup, html};

/// Label of a field for a bolt's grade.
pub const GRADE: &str = "Bolt grade";
/// Label of the field for the thread.
pub const THREAD: &str = "Bolt thread";
/// Label of the field for pressure behind a wall.
pub const PRESSURE: &str = "Water or oil under pressure behind the wall or floor";

/// The section.
pub fn section(page: &HolePage<'_>) -> Markup {
    html! {
        section.panel aria-labelledby="wanted-thread" {
            h2 #wanted-thread { "Wanted thread" }
            (wanted(page))
        }
    }
}

fn wanted(page: &HolePage<'_>) -> Markup {
    let entries = &page.hole.record.wanted;
    let now = page.plan.record.wanted.agreed();
    let inherited = page.plan.inherited.thread;
    let open = page.long_form(FormName::WantedThread).is_rejected();
    html! {
        @if let Some(wanted) = now {
            dl.facts {
                dt { "Thread" } dd { (wanted.thread.designation()) @if inherited { " " (page.setup_link()) } }
                dt { "Bolt" } dd { (wanted.bolt.map_or("grade unknown".to_owned(), |grade| grade.to_string())) }
                dt { "Hole" } dd { (through_label(wanted.through)) }
                @if wanted.pressure { dt { "Behind the wall" } dd { "water or oil under pressure" } }
            }
        } @else { p.faint {
            @if page.plan.record.wanted.differ() { "Entries disagree; see above." } @else { "Not set yet." }
        } }
        details open[open] {
            summary { @if inherited { "Set thread for this hole" } @else if now.is_some() { "Change thread" } @else { "Set thread" } }
            form #set-thread method="post" action=(page.address(FormName::WantedThread)) {
                (page.replaces(&entries.0))
                (wanted_fields(now.or(page.neighbor.as_ref()), page))
                p { button.main { "Save" } }
                (page.long_form(FormName::WantedThread).questions())
            }
        }
    }
}

fn wanted_fields(now: Option<&WantedThread>, page: &HolePage<'_>) -> Markup {
    let form = page.long_form(FormName::WantedThread);
    let thread = now.map(|wanted| wanted.thread.designation());
    let bolt = now
        .and_then(|wanted| wanted.bolt)
        .map(|grade| grade.to_string());
    let through = through_value(now.and_then(|wanted| wanted.through));
    html! {
        div.fields {
            (form.text_from(Field::Thread, THREAD, thread.as_deref(), "", Some("threads")))
            (form.select(Field::Bolt, GRADE, bolt.as_deref(), &grade_options()))
            (form.select(Field::Through, "Hole", Some(through), &through_options()))
        }
        (form.checkbox(Field::Pressure, PRESSURE, now.is_some_and(|wanted| wanted.pressure)))
        datalist #threads { @for thread in standard_threads().filter(|thread| !thread.is_pipe()) { option value=(thread.designation()) {} } }
    }
}

/// The bolt grades to choose from, after an option for unknown.
pub fn grade_options() -> Vec<(String, String)> {
    let unknown = (String::new(), "unknown".to_owned());
    std::iter::once(unknown)
        .chain(
            Grade::ALL
                .iter()
                .map(|grade| (grade.to_string(), grade.to_string())),
        )
        .collect()
}

/// Unknown, blind or through.
pub fn through_options() -> Vec<(String, String)> {
    [None, Some(false), Some(true)]
        .map(|through| {
            (
                through_value(through).to_owned(),
                through_label(through).to_owned(),
            )
        })
        .to_vec()
}

/// The value of the field for blind or through.
pub fn through_value(through: Option<bool>) -> &'static str {
    match through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "",
    }
}

/// Blind, through or unknown.
pub fn through_label(through: Option<bool>) -> &'static str {
    match through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "blind or through unknown",
    }
}

/// Records the wanted thread.
pub fn record_wanted(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
) -> Result<(), FormError> {
    let text = request.field(Field::Thread).ok_or_else(|| {
        FormError::of(
            Field::Thread,
            THREAD,
            "required; enter it like 3/8-16 or M10",
        )
    })?;
    let wanted = WantedThread {
        thread: parse_thread(text, Field::Thread)?,
        bolt: read_grade(request)?,
        through: read_through(request),
        pressure: request.field(Field::Pressure).is_some(),
    };
    let view = notebook.hole(hole)?;
    let unusual = plausibility::wanted(&wanted, &view.record, &view.face_record);
    let questions = unusual.iter().map(Question::from);
    ask(request, questions.map(|one| (one, Some(Field::Thread))))?;
    notebook.record(hole, HoleEntry::WantedThread(wanted), &replaces(request)?)?;
    Ok(())
}

/// Reads a thread that a bolt takes.
pub fn parse_thread(text: &str, field: Field) -> Result<Thread, FormError> {
    let rejected = |message: String| FormError::of(field, THREAD, message);
    let thread = Thread::parse(text).and_then(Thread::not_sti);
    let thread = thread.map_err(|error| rejected(error.to_string()))?;
    match thread.is_pipe() {
        true => Err(rejected(SituationError::PipeThread { thread }.to_string())),
        false => Ok(thread),
    }
}

/// Reads the bolt grade.
pub fn read_grade(request: &Request) -> Result<Option<Grade>, FormError> {
    let grade = request.field(Field::Bolt).map(str::parse).transpose();
    grade.map_err(|error| FormError::of(Field::Bolt, GRADE, error))
}

/// Reads whether the hole goes through.
pub fn read_through(request: &Request) -> Option<bool> {
    match request.field(Field::Through) {
        Some("through") => Some(true),
        Some("blind") => Some(false),
        _ => None,
    }
}
