//! One module a page: what it shows, and what its forms record.

pub mod casting;
pub mod castings;
pub mod face;
pub mod hole;
pub mod photo;
pub mod settings;
pub mod sheet;

use crate::carrier::Request;
use crate::form::Form;
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
}

/// What a page needs to know to draw its forms.
#[derive(Clone, Copy)]
pub struct Desk<'a> {
    /// The unit the reader chose.
    pub unit: Unit,
    /// The form that was refused, if the page is shown for that.
    pub refused: Option<&'a Refused<'a>>,
}

impl<'a> Desk<'a> {
    /// The form of this name, filled with what was typed if it was the one refused.
    pub fn form(&self, name: &'a str) -> Form<'a> {
        let refused = self.refused.filter(|refused| refused.form == name);
        Form {
            name,
            unit: self.unit,
            typed: refused.map(|refused| refused.request),
        }
    }

    /// A form of this name among several that are sent to one address; `is_it` tells whether the refused one was it.
    pub fn form_for(
        &self,
        name: &'a str,
        address: &str,
        is_it: impl Fn(&Request) -> bool,
    ) -> Form<'a> {
        let refused = self
            .refused
            .filter(|refused| refused.form == address && is_it(refused.request));
        Form {
            name,
            unit: self.unit,
            typed: refused.map(|refused| refused.request),
        }
    }

    /// Whether this form was the one refused, so that it is shown open.
    pub fn was_refused(&self, name: &str) -> bool {
        self.refused.is_some_and(|refused| refused.form == name)
    }

    /// The sentence of the refusal, at the top of the page.
    pub fn problem(&self) -> Markup {
        html! {
            @if let Some(refused) = self.refused {
                p.problem role="alert" { "Nothing was recorded. " (crate::words::sentence_case(&refused.sentence)) }
            }
        }
    }
}
