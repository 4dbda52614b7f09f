//! One module a page: what it shows, and what its forms record.

pub mod bench;
pub mod casting;
pub mod castings;
pub mod devices;
pub mod exchange;
pub mod face;
pub mod hole;
pub mod pair;
pub mod photo;
pub mod settings;
pub mod sheet;

use crate::carrier::Request;
use crate::form::Form;
use crate::words::sentence_case;
use holebook_core::length::Unit;
use maud::{Markup, html};

/// A form that was refused: the page is shown again with the sentence and with what was typed.
pub struct Refused<'a> {
    /// The form's name: the last word of the path it was sent to.
    pub form: &'a str,
    /// What was typed.
    pub request: &'a Request,
    /// Why it could not be taken.
    pub sentence: String,
    /// The name of the field to mend, where it is one.
    pub field: Option<&'a str>,
}

/// What a page needs to know to draw its forms.
#[derive(Clone, Copy)]
pub struct Desk<'a> {
    /// The unit the reader chose.
    pub unit: Unit,
    /// The form that was refused, if the page is shown for that.
    pub refused: Option<&'a Refused<'a>>,
    /// What was just recorded, if the page is shown after that: a fixed sentence.
    pub said: Option<&'static str>,
    /// Whether nobody has said yet who writes on this device.
    pub nameless: bool,
}

impl<'a> Desk<'a> {
    /// The form of this name, filled with what was typed if it was the one refused.
    pub fn form(&self, name: &'a str) -> Form<'a> {
        Form {
            name,
            unit: self.unit,
            refused: self.refused.filter(|refused| refused.form == name),
        }
    }

    /// A form of this name among several that are sent to one address; `is_it` tells whether the refused one was it.
    pub fn form_for(
        &self,
        name: &'a str,
        address: &str,
        is_it: impl Fn(&Request) -> bool,
    ) -> Form<'a> {
        Form {
            name,
            unit: self.unit,
            refused: self
                .refused
                .filter(|refused| refused.form == address && is_it(refused.request)),
        }
    }

    /// Whether this form was the one refused, so that it is shown open.
    pub fn was_refused(&self, name: &str) -> bool {
        self.refused.is_some_and(|refused| refused.form == name)
    }

    /// What became of the form that was sent: why nothing was recorded, or that it was.
    /// It stays in sight while the page is read on, since the next thing to do lies further down.
    pub fn outcome(&self) -> Markup {
        self.outcome_or("Nothing was recorded.")
    }

    /// The same on a page whose forms do something rather than record it; `not` begins what is said where it was not done.
    pub fn outcome_or(&self, not: &str) -> Markup {
        html! {
            @if let Some(refused) = self.refused {
                p.problem role="alert" { (not) " " (sentence_case(refused.sentence.trim_end_matches('.'))) "." }
            }
            @if self.nameless {
                p { a.button href="/settings" { "Say who writes here" }
                    " Until then what is recorded carries no name, and nobody can be asked about it." }
            }
            @if let Some(said) = self.said { p.recorded role="status" { "✓ " (said) } }
        }
    }

    /// The page's title, with the outcome before it: a screen reader says it first.
    pub fn title(&self, title: &str) -> String {
        self.title_or("Not recorded", title)
    }

    /// The same on a page whose forms do something rather than record it.
    pub fn title_or(&self, not: &str, title: &str) -> String {
        match (self.refused, self.said) {
            (Some(_), _) => format!("{not}: {title}"),
            (None, Some(said)) => format!("{said} {title}"),
            (None, None) => title.to_owned(),
        }
    }
}
