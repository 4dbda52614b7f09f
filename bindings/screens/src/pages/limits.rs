//! The shop's own limits where judgment decides, on the settings page.

use crate::carrier::Request;
use crate::form::{Form, FormError, length};
use crate::form_names::{Field, FormName};
use crate::pages::FormContext;
use holebook_core::hole::limits::{LimitInfo, Limits};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};

/// The section with its form.
pub fn section(notebook: &Notebook, context: FormContext<'_>) -> Result<Markup, NotebookError> {
    let entries = notebook.limit_entries()?;
    let limits = notebook.limits()?;
    let form = context.form(FormName::Limits);
    let changed = limits.changed().len();
    let open = changed > 0 || context.was_rejected(FormName::Limits);
    Ok(html! {
        section.panel {
            h2 { "Limits" }
            p.faint { "Where no standard says how much is enough, these limits decide. They are judgments. Your own are recorded in the log, "
                "and every hole of this notebook is judged by them." }
            @if entries.differ() {
                p.caution { b { "Caution: " } "Two devices recorded different limits. The stricter of each counts until you save them here." }
            }
            details open[open] {
                summary { @if changed > 0 { "Limits, " (changed) " changed" } @else { "All limits, standard" } }
                form method="post" action=(FormName::Limits.address()) {
                    div.fields { @for info in Limits::ALL { (field(info, &limits, form, context.unit)) } }
                    p.faint { "Blank = the standard limit." }
                    p { button.main { "Save limits" } }
                }
            }
        }
    })
}

fn field(info: &'static LimitInfo, limits: &Limits, form: Form<'_>, unit: Unit) -> Markup {
    let value = Some(info.value(limits)).filter(|value| *value != info.standard);
    let hint = format!(
        "standard {}; {}",
        info.show(info.standard, unit),
        info.reason
    );
    let name = Field::Limit(info.key);
    if info.unit.is_length() {
        return form.length(
            name,
            info.label,
            value.and_then(|value| info.length(value)),
            &hint,
        );
    }
    let value = value.map(|value| value.to_string());
    let label = match info.unit.word() {
        "" => info.label.to_owned(),
        word => format!("{} ({word})", info.label),
    };
    form.text(name, &label, value.as_deref(), &hint)
}

/// Records the limits of the form.
pub fn save(notebook: &Notebook, request: &Request, unit: Unit) -> Result<(), FormError> {
    let mut limits = Limits::STANDARD;
    for info in Limits::ALL {
        if let Some(value) = read(info, request, unit)? {
            let wrong = |error| FormError::of(Field::Limit(info.key), info.label, error);
            limits.set(info.key, value).map_err(wrong)?;
        }
    }
    notebook.set_limits(&limits)?;
    Ok(())
}

fn read(info: &'static LimitInfo, request: &Request, unit: Unit) -> Result<Option<f64>, FormError> {
    let name = Field::Limit(info.key);
    if info.unit.is_length() {
        return Ok(length(request, name, info.label, unit)?.map(Length::mm));
    }
    let number = request.field(name).map(str::parse).transpose();
    number.map_err(|_| FormError::of(name, info.label, "enter a number such as 0.5"))
}
