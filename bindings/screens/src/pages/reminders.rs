//! Reminders: on the first page and on their face until somebody says that they are done.

use crate::carrier::Request;
use crate::form::{FormError, hidden, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::date_time;
use crate::pages::FormContext;
use chrono::{DateTime, Days, FixedOffset, NaiveDateTime, NaiveTime};
use holebook_core::hole::record::Recorded;
use holebook_core::notebook::{
    EntryId, FaceId, HoleId, Notebook, NotebookError, ReminderBody, now,
};
use maud::{Markup, html};

const TEXT: &str = "Remind of";
const DUE: &str = "Due";
/// How browsers write the value of a field for date and time.
const FORMAT: &str = "%Y-%m-%dT%H:%M";

/// The open reminders of a face, or of all of them; nothing without any.
pub fn list(
    notebook: &Notebook,
    face: Option<FaceId>,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let open = notebook.open_reminders()?.into_iter();
    let open = open.filter(|it| face.is_none_or(|face| it.body.face == face));
    let lines = open.map(|it| line(notebook, &it, face.is_none(), context));
    let lines: Vec<Markup> = lines.collect::<Result<_, _>>()?;
    Ok(html! {
        @if !lines.is_empty() {
            section.panel aria-labelledby="reminders" {
                h2 #reminders { "Reminders" }
                ul.value-list { @for line in lines { (line) } }
            }
        }
    })
}

fn line(
    notebook: &Notebook,
    reminder: &Recorded<ReminderBody>,
    with_face: bool,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let body = &reminder.body;
    let overdue = body.due.is_some_and(|due| due <= now());
    let hole = body.hole.map(|hole| notebook.hole(hole));
    let hole = hole.and_then(Result::ok).map(|hole| (hole.id, hole.number));
    // Its face may have been struck out.
    let face = match notebook.face(body.face) {
        Ok(face) => Some(format!("{}, {}", face.casting_name, face.name)),
        Err(NotebookError::NoSuch { .. }) => None,
        Err(error) => return Err(error),
    };
    Ok(html! {
        li.with-row-action {
            div {
                b { bdi { (body.text) } }
                @if let Some(due) = body.due { div { @if overdue { b { "Due since " } } @else { "Due " } (date_time(&due)) } }
                div.faint {
                    @if let Some((id, number)) = hole { a href=(format!("/hole/{id}")) { "Hole " (number) } " " }
                    @if let Some(face) = face.filter(|_| with_face) { a href=(format!("/face/{}", body.face)) { (face) } }
                }
            }
            form method="post" action=(FormName::FinishReminder.address_of(body.face)) {
                (hidden(Field::Entry, reminder.entry)) (hidden(Field::Back, context.path))
                button { "Done" span.visually-hidden { ": " (body.text) } }
            }
        }
    })
}

/// A form for a reminder about a face or one of its holes; `text` is offered.
pub fn form(face: FaceId, hole: Option<HoleId>, text: &str, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Remind);
    let text = (!text.is_empty()).then_some(text);
    let due = form
        .typed_value(Field::Due)
        .map_or_else(tomorrow_morning, str::to_owned);
    html! {
        form method="post" action=(FormName::Remind.address_of(face)) {
            h3 { "Reminder" }
            @if let Some(hole) = hole { (hidden(Field::Hole, hole)) }
            (hidden(Field::Back, context.path))
            (form.text(Field::Text, TEXT, text, "sealer has cured, torque again"))
            div.field {
                label for="remind-due" { (DUE) }
                input #remind-due type="datetime-local" name=(Field::Due.name()) value=(due)
                    aria-invalid=[form.is_wrong(Field::Due).then_some("true")];
            }
            p { button { "Add reminder" } }
        }
    }
}

fn tomorrow_morning() -> String {
    let tomorrow = now().date_naive() + Days::new(1);
    let eight = NaiveTime::from_hms_opt(8, 0, 0).unwrap_or_default();
    tomorrow.and_time(eight).format(FORMAT).to_string()
}

/// Records a reminder.
pub fn remind(notebook: &Notebook, face: FaceId, request: &Request) -> Result<(), FormError> {
    let hole = request.field(Field::Hole).map(str::parse).transpose();
    let hole: Option<HoleId> =
        hole.map_err(|_| FormError::new("This page names no known hole; reload the page."))?;
    notebook.remind(&ReminderBody {
        face,
        hole,
        text: required_text(request, Field::Text, TEXT)?.to_owned(),
        due: due(request)?,
        done: false,
    })?;
    Ok(())
}

/// Reads the time; it is one of this device's time zone.
fn due(request: &Request) -> Result<Option<DateTime<FixedOffset>>, FormError> {
    let Some(text) = request.field(Field::Due) else {
        return Ok(None);
    };
    let parsed = NaiveDateTime::parse_from_str(text, FORMAT).ok();
    let due = parsed.and_then(|at| at.and_local_timezone(*now().offset()).single());
    due.map(Some).ok_or_else(|| {
        let message = format!("'{text}' is not a date and time; pick one, or clear it");
        FormError::of(Field::Due, DUE, message)
    })
}

/// Records that a reminder is done.
pub fn finish(notebook: &Notebook, request: &Request) -> Result<(), FormError> {
    let entry = request
        .field(Field::Entry)
        .and_then(|text| text.parse().ok());
    let entry: EntryId = entry
        .ok_or_else(|| FormError::new("This page has an unreadable entry id; reload the page."))?;
    notebook.finish_reminder(entry)?;
    Ok(())
}
