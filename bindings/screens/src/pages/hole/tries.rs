//! What was tried on the hole before, what broke in it, and the time spent: each in one or two taps.

use super::HolePage;
use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{author, date_time};
use crate::notices::Notice;
use crate::pages::reminders;
use chrono::NaiveTime;
use holebook_core::hole::removal::Removal;
use holebook_core::hole::steps::StepKey;
use holebook_core::hole::tries::{TimeSpent, ToolTrouble, Trouble, Try};
use holebook_core::labels::show_minutes;
use holebook_core::length::in_unit;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use maud::{Markup, html};

const NOTE: &str = "What was done";
const TOOL: &str = "Tool";
const MINUTES: &str = "Minutes";
const BEGAN: &str = "Or from";
const ENDED: &str = "To";
const MINUTES_OF_A_DAY: i64 = 24 * 60;
/// The button for a way that has no button of its own.
const OTHER: &str = "other";

/// The section, folded.
pub fn section(page: &HolePage<'_>) -> Markup {
    let record = &page.hole.record;
    let count = record.tries.len() + record.tool_troubles.len();
    let forms = [FormName::Try, FormName::ToolTrouble, FormName::TimeSpent];
    let rejected = forms.iter().any(|form| page.context.was_rejected(*form));
    html! {
        details.panel #tries open[rejected] {
            summary { "Tries and troubles" @if count > 0 { " (" (count) ")" } }
            @if record.may_be_hard() {
                p.caution { b { "Caution: " } "Heat or welding may have left hard iron here. Test it with a file before you drill or tap; "
                    "if the file skates, describe a hard zone. Look for cracks." }
            }
            (recorded(page))
            (try_form(page))
            (trouble_form(page))
            (time_form(page))
            (reminders::form(page.hole.face, Some(page.hole.id), "", page.context))
        }
    }
}

/// What is recorded, each try with what to look out for after it.
fn recorded(page: &HolePage<'_>) -> Markup {
    let record = &page.hole.record;
    html! {
        @if !record.tries.is_empty() || !record.tool_troubles.is_empty() {
            ul.value-list {
                @for it in &record.tries { li {
                    b { (it.body.way.map_or("other", Removal::name)) } @if let Some(note) = &it.body.note { ": " bdi { (note) } }
                    span.faint { " · " (author(&it.by)) ", " (date_time(&it.at)) }
                    @if let Some(aftermath) = it.body.way.and_then(Removal::aftermath) { p { (aftermath) } }
                } }
                @for it in &record.tool_troubles { li {
                    bdi { (it.body.tool) } ": " b { (it.body.trouble.label()) }
                    span.faint { " · " (author(&it.by)) ", " (date_time(&it.at)) }
                } }
            }
        }
        @if record.minutes_spent() > 0 { p { "Time spent: " b { (show_minutes(record.minutes_spent())) } } }
    }
}

fn try_form(page: &HolePage<'_>) -> Markup {
    let form = page.context.form(FormName::Try);
    html! {
        form method="post" action=(page.address(FormName::Try)) {
            h3 { "Tried before" }
            (form.text(Field::Note, NOTE, None, "optional; one tap below records the way"))
            div.conditions {
                @for way in Removal::ALL { button name=(Field::Removal.name()) value=(way.word()) { (crate::labels::sentence_case(way.name())) } }
                button name=(Field::Removal.name()) value=(OTHER) { "Other, as noted" }
            }
        }
    }
}

fn trouble_form(page: &HolePage<'_>) -> Markup {
    let form = page.context.form(FormName::ToolTrouble);
    html! {
        form method="post" action=(page.address(FormName::ToolTrouble)) {
            h3 { "Trouble with a tool" }
            (form.text(Field::Tool, TOOL, tool_in_hand(page).as_deref(), "1/2-13 plug tap, drill X"))
            div.conditions {
                @for trouble in Trouble::ALL {
                    button name=(Field::Kind.name()) value=(trouble.name()) { (crate::labels::sentence_case(trouble.label())) }
                }
            }
        }
    }
}

/// The tool of the first open step, which is most likely the one in hand.
fn tool_in_hand(page: &HolePage<'_>) -> Option<String> {
    let open = page.plan.steps.iter().find(|step| step.done.is_none())?;
    let cuts = matches!(open.key, StepKey::Cut(_));
    cuts.then(|| in_unit(&open.tool.label, page.context.unit))
}

fn time_form(page: &HolePage<'_>) -> Markup {
    let form = page.context.form(FormName::TimeSpent);
    html! {
        form.row method="post" action=(page.address(FormName::TimeSpent)) {
            div.grow { (form.text(Field::Minutes, MINUTES, None, "spent on this hole")) }
            (time_of_day(page, Field::Began, BEGAN))
            (time_of_day(page, Field::Ended, ENDED))
            button { "Add time" }
        }
    }
}

/// A time of the day, as browsers pick one.
fn time_of_day(page: &HolePage<'_>, field: Field, label: &str) -> Markup {
    let form = page.context.form(FormName::TimeSpent);
    let id = format!("time-{}", field.name());
    html! {
        div.field {
            label for=(id) { (label) }
            input id=(id) type="time" name=(field.name()) value=[form.typed_value(field)]
                aria-invalid=[form.is_wrong(field).then_some("true")];
        }
    }
}

/// Records one of the section's forms.
pub fn record(
    notebook: &Notebook,
    hole: HoleId,
    form: FormName,
    request: &Request,
) -> Result<Notice, FormError> {
    let (entry, notice) = match form {
        FormName::Try => (HoleEntry::Try(read_try(request)?), Notice::Try),
        FormName::ToolTrouble => {
            let trouble = read_trouble(request)?;
            (HoleEntry::ToolTrouble(trouble), Notice::ToolTrouble)
        }
        _ => (HoleEntry::TimeSpent(read_time(request)?), Notice::TimeSpent),
    };
    notebook.record(hole, entry, &[])?;
    Ok(notice)
}

fn read_try(request: &Request) -> Result<Try, FormError> {
    let note = request.field(Field::Note).map(str::to_owned);
    let way = match request.field(Field::Removal) {
        Some(OTHER) if note.is_some() => None,
        Some(OTHER) => {
            let message = "required for another way; type what was done";
            return Err(FormError::of(Field::Note, NOTE, message));
        }
        way => Some(
            way.and_then(Removal::from_word)
                .ok_or_else(|| FormError::new("This page names no known way; reload the page."))?,
        ),
    };
    Ok(Try { way, note })
}

fn read_trouble(request: &Request) -> Result<ToolTrouble, FormError> {
    let named = request.field(Field::Kind);
    let mut all = Trouble::ALL.into_iter();
    let trouble = all.find(|trouble| named == Some(trouble.name()));
    Ok(ToolTrouble {
        tool: required_text(request, Field::Tool, TOOL)?.to_owned(),
        trouble: trouble
            .ok_or_else(|| FormError::new("This page names no known trouble; reload the page."))?,
    })
}

fn read_time(request: &Request) -> Result<TimeSpent, FormError> {
    let began = read_time_of_day(request, Field::Began, BEGAN)?;
    let ended = read_time_of_day(request, Field::Ended, ENDED)?;
    match (began, ended) {
        (Some(began), Some(ended)) => {
            // Work that ends earlier on the clock ended after midnight.
            let minutes = (ended - began).num_minutes().rem_euclid(MINUTES_OF_A_DAY);
            let minutes = u32::try_from(minutes).unwrap_or(0);
            if minutes == 0 {
                let message = "is the same as the start; enter when you stopped";
                return Err(FormError::of(Field::Ended, ENDED, message));
            }
            return Ok(TimeSpent { minutes });
        }
        (Some(_), None) => {
            return Err(FormError::of(Field::Ended, ENDED, "enter when you stopped"));
        }
        (None, Some(_)) => {
            return Err(FormError::of(Field::Began, BEGAN, "enter when you started"));
        }
        (None, None) => {}
    }
    let text = required_text(request, Field::Minutes, MINUTES)?;
    let minutes = text.parse().map_err(|_| {
        let message = format!("'{text}' is not a number of minutes; enter a whole number");
        FormError::of(Field::Minutes, MINUTES, message)
    })?;
    Ok(TimeSpent { minutes })
}

fn read_time_of_day(
    request: &Request,
    field: Field,
    label: &'static str,
) -> Result<Option<NaiveTime>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    let time = NaiveTime::parse_from_str(text, "%H:%M").or_else(|_| text.parse());
    time.map(Some).map_err(|_| {
        let message = format!("'{text}' is not a time of the day; enter one such as 14:30");
        FormError::of(field, label, message)
    })
}
