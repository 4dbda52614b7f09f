//! The form that strikes out an entry about a face or a photo.

use super::FormContext;
use crate::carrier::Request;
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use holebook_core::notebook::EntryId;
use maud::{Markup, html};
use std::fmt::Display;

/// The form, folded; `form` is sent to the page of `subject`.
pub fn strike_out_form(
    form: FormName,
    subject: impl Display,
    entry: EntryId,
    context: FormContext<'_>,
) -> Markup {
    let id = entry.to_string();
    let is_this = |request: &Request| request.field(Field::Entry) == Some(id.as_str());
    let drawn = context.form_where(&id, form, is_this);
    html! {
        details.row-action open[drawn.is_rejected()] {
            summary { "Strike out" }
            form method="post" action=(form.address_of(subject)) {
                (hidden(Field::Entry, entry))
                (drawn.text(Field::Reason, "Reason", None, ""))
                button { "Strike out" }
            }
        }
    }
}
