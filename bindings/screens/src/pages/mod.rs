//! One module per page: what it shows, and what its forms record.

mod below_face;
pub mod bench;
pub mod bolt_up;
pub mod casting;
pub mod casting_file;
pub mod castings;
pub mod devices;
pub mod drawer;
pub mod face;
pub mod face_cut;
pub mod face_setup;
pub mod hole;
pub mod hole_list;
pub mod kit;
pub mod late_cut;
pub mod limits;
mod open_holes;
pub mod order;
pub mod pair;
pub mod photo;
pub mod places;
pub mod recent;
pub mod reminders;
pub mod runs;
pub mod search;
pub mod settings;
pub mod sheet;
mod strike_out;
pub mod sync;
pub mod undo;
pub mod work_scope;

use crate::carrier::{Request, ShellState};
use crate::form::{Form, RejectedForm};
use crate::form_names::FormName;
use crate::labels::sentence;
use crate::notices::Notice;
use holebook_core::length::{Unit, in_unit};
use maud::{Markup, html};

/// What a page needs to draw its forms.
#[derive(Clone, Copy)]
pub struct FormContext<'a> {
    /// The reader's unit.
    pub unit: Unit,
    /// The form that was rejected, if the page is shown because of that.
    pub rejected: Option<&'a RejectedForm<'a>>,
    /// What was just recorded, if the page is shown after that.
    pub notice: Option<Notice>,
    /// What the form before this page recorded, to be undone.
    pub undo: &'a undo::Offer,
    /// The path of this page.
    pub path: &'a str,
    /// Whether this device has no name of its user yet.
    pub no_name_set: bool,
    /// State of the app around the pages, if there is one.
    pub shell: Option<&'a ShellState>,
}

impl<'a> FormContext<'a> {
    /// A context without a page, for a form that is processed.
    pub fn plain(unit: Unit) -> FormContext<'static> {
        FormContext {
            unit,
            rejected: None,
            notice: None,
            undo: &undo::NOTHING,
            path: "",
            no_name_set: false,
            shell: None,
        }
    }

    /// A form, filled with what was typed if it was rejected.
    pub fn form(&self, name: FormName) -> Form<'a> {
        self.form_where(name.word(), name, |_| true)
    }

    /// One of several forms of the same name on a page; `is_it` tells whether it was the rejected
    /// one.
    pub fn form_where(
        &self,
        id: &'a str,
        name: FormName,
        is_it: impl Fn(&Request) -> bool,
    ) -> Form<'a> {
        Form {
            id,
            unit: self.unit,
            rejected: self
                .rejected
                .filter(|rejected| rejected.form == Some(name) && is_it(rejected.request)),
        }
    }

    /// Whether this form was rejected, so that it is shown open.
    pub fn was_rejected(&self, name: FormName) -> bool {
        self.rejected
            .is_some_and(|rejected| rejected.form == Some(name))
    }

    /// The outcome of the form that was sent: why nothing was recorded, or what was.
    pub fn outcome(&self) -> Markup {
        self.outcome_or("Nothing was recorded.")
    }

    /// The same for forms that start something instead; `failure` begins the message if they did
    /// not.
    pub fn outcome_or(&self, failure: &str) -> Markup {
        html! {
            @if let Some(rejected) = self.rejected {
                @let failure = match rejected.form {
                    Some(FormName::Undo) => undo::FAILURE,
                    _ if rejected.questions.is_empty() => failure,
                    _ => "Not saved yet.",
                };
                p.problem role="alert" { (failure) " " (sentence(&in_unit(&rejected.message, self.unit))) }
            }
            @if self.no_name_set {
                p { a.button href="/settings" { "Enter your name" }
                    " Until then, entries carry no name." }
            }
            @if let Some(notice) = self.notice {
                div.notice.with-undo[!matches!(self.undo, undo::Offer::Nothing)] {
                    p role="status" { "✓ " (notice.text()) }
                    (undo::form(self.undo, self.path))
                }
            }
        }
    }

    /// The page's title, with the outcome first, so that a screen reader says it first.
    pub fn title(&self, title: &str) -> String {
        self.title_or("Not recorded", title)
    }

    /// The same for forms that start something.
    pub fn title_or(&self, failure: &str, title: &str) -> String {
        match (self.rejected, self.notice) {
            (Some(rejected), _) if !rejected.questions.is_empty() => {
                format!("Not saved yet: {title}")
            }
            (Some(_), _) => format!("{failure}: {title}"),
            (None, Some(notice)) => format!("{} {title}", notice.text()),
            (None, None) => title.to_owned(),
        }
    }
}
