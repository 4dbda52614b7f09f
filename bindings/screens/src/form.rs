//! Forms: draws their fields, reads back what a person typed, and says in one sentence what is
//! wrong.
//!
//! What is unusual but possible is asked about: [`ask`] rejects the form with [`Question`]s. They are
//! drawn at the field of the first one, or else by [`Form::questions`] at the end of the form, with a
//! second button that answers them.

use crate::carrier::Request;
use crate::form_names::{Field, FormName};
use crate::labels::{sentence, sentence_case};
use holebook_core::hole::question::Question;
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::notebook::{EntryId, NotebookError};
use holebook_core::strength::POUND_FOOT_NM_TORQUE;
use maud::{Markup, html};
use std::cell::Cell;

/// Why a form was rejected; nothing was recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct FormError {
    /// What is wrong and what to do.
    pub message: String,
    /// The field that is wrong, if it is one.
    pub field: Option<Field>,
    /// What is only unusual: a person may say that it is right. Empty if the form is wrong.
    pub questions: Vec<Question>,
}

impl FormError {
    /// Rejects the whole form.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            field: None,
            questions: Vec::new(),
        }
    }

    /// Rejects a field: `label: message`.
    pub fn of(field: Field, label: &str, message: impl std::fmt::Display) -> Self {
        Self::new(format!("{label}: {message}")).at(field)
    }

    /// Names the field to fix.
    pub fn at(self, field: Field) -> Self {
        Self {
            field: Some(field),
            ..self
        }
    }
}

/// A form that was rejected; its page is shown again with the message and what was typed.
pub struct RejectedForm<'a> {
    /// Which form; `None` for a bench table, which has only one.
    pub form: Option<FormName>,
    /// What was typed.
    pub request: &'a Request,
    /// Why it was rejected.
    pub message: String,
    /// The field to fix, if it is one.
    pub field: Option<Field>,
    /// What a person may say is right; empty if the form is wrong.
    pub questions: &'a [Question],
    /// Whether the questions are drawn already: once, at the first field that can show them.
    pub questions_drawn: Cell<bool>,
}

/// One form of a page as it is drawn.
#[derive(Clone, Copy)]
pub struct Form<'a> {
    /// Ids of its fields begin with it.
    pub id: &'a str,
    /// Unit of numbers that are typed without one.
    pub unit: Unit,
    /// What was rejected, if it was this form: its values are shown again and its wrong field is
    /// pointed out.
    pub rejected: Option<&'a RejectedForm<'a>>,
}

/// The parts of one field's markup.
struct FieldMarkup {
    id: String,
    name: String,
    described_by: Option<String>,
    error: Option<String>,
    questions: Option<Markup>,
}

impl FieldMarkup {
    /// The lines under the field: the error and the hint.
    fn notes(&self, hint: &str) -> Markup {
        html! {
            @if let Some(questions) = &self.questions {
                div id=(format!("{}-wrong", self.id)) { (questions) }
            } @else if let Some(message) = &self.error {
                small.field-error id=(format!("{}-wrong", self.id)) { (sentence_case(message)) }
            }
            @if !hint.is_empty() { small id=(format!("{}-hint", self.id)) { (hint) } }
        }
    }

    fn invalid(&self) -> Option<&'static str> {
        self.error.as_ref().map(|_| "true")
    }
}

impl<'a> Form<'a> {
    /// What was typed into a field, if the form was rejected.
    pub fn typed_value(&self, field: Field) -> Option<&'a str> {
        self.rejected
            .and_then(|rejected| rejected.request.field(field))
    }

    fn markup(&self, field: Field, hint: &str) -> FieldMarkup {
        let name = field.name().into_owned();
        let id = format!("{}-{name}", self.id);
        let error = self
            .rejected
            .filter(|rejected| rejected.field == Some(field))
            .map(|rejected| in_unit(&rejected.message, self.unit));
        let notes = [
            error.as_ref().map(|_| format!("{id}-wrong")),
            (!hint.is_empty()).then(|| format!("{id}-hint")),
        ];
        let notes: Vec<String> = notes.into_iter().flatten().collect();
        let questions = error.as_ref().and_then(|_| self.draw_questions());
        FieldMarkup {
            questions,
            described_by: (!notes.is_empty()).then(|| notes.join(" ")),
            error,
            id,
            name,
        }
    }

    /// Whether a question of this form needs a reason, so that [`Form::questions`] asks for one.
    pub fn asks_for_reason(&self) -> bool {
        let mut open = self.open_questions().iter();
        open.any(|question| question.needs_reason)
    }

    /// Whether it is shown again because it was rejected.
    pub fn is_rejected(&self) -> bool {
        self.rejected.is_some()
    }

    fn open_questions(&self) -> &'a [Question] {
        self.rejected.map_or(&[], |rejected| rejected.questions)
    }

    /// The end of a form that may ask: what was answered before, and the open questions if no field
    /// of the form shows them.
    pub fn questions(&self) -> Markup {
        html! {
            @for answered in self.rejected.iter().flat_map(|rejected| confirmed(rejected.request)) {
                (hidden(Field::Confirmed, answered))
            }
            @if let Some(questions) = self.draw_questions() { (questions) }
        }
    }

    /// Whether the question of this key is open and not drawn yet. The caller draws it.
    pub fn takes_question(&self, key: &str) -> bool {
        self.rejected.is_some_and(|rejected| {
            rejected
                .questions
                .iter()
                .any(|question| question.key == key)
                && !rejected.questions_drawn.replace(true)
        })
    }

    /// The open questions with a button that answers them; `None` if there are none, or if they are
    /// drawn already.
    fn draw_questions(&self) -> Option<Markup> {
        let rejected = self
            .rejected
            .filter(|rejected| !rejected.questions.is_empty())?;
        if rejected.questions_drawn.replace(true) {
            return None;
        }
        let open = rejected.questions;
        let keys: Vec<&str> = open.iter().map(|question| question.key.as_str()).collect();
        Some(html! {
            div.question {
                // The Enter key presses the first button of a form. It must not answer.
                button hidden {}
                @for question in open {
                    p { b { "Check: " } (sentence(&in_unit(&question.sentence, self.unit))) }
                }
                @if self.asks_for_reason() { (self.text(Field::Reason, REASON, None, "required, kept in the log")) }
                p { button name=(Field::Confirmed.name()) value=(keys.join(" ")) { "It is right, save it" } }
            }
        })
    }

    /// Whether this field was rejected.
    pub fn is_wrong(&self, field: Field) -> bool {
        self.rejected
            .is_some_and(|rejected| rejected.field == Some(field))
    }

    /// Whether the rejected form had a value or the error in one of these fields.
    pub fn any_typed(&self, fields: &[Field]) -> bool {
        let mut fields = fields.iter();
        fields.any(|field| self.is_wrong(*field) || self.typed_value(*field).is_some())
    }

    /// A length, in the reader's unit unless another is typed with it.
    pub fn length(&self, field: Field, label: &str, now: Option<Length>, hint: &str) -> Markup {
        let value = self
            .typed_value(field)
            .map(str::to_owned)
            .or_else(|| now.map(|length| editable(length, self.unit)));
        // A number pad has no slash for 25/64, so it is asked for in millimeters only.
        let keypad = (self.unit == Unit::Millimeter).then_some("decimal");
        let its = self.markup(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) " (" (self.unit) ")" }
                input id=(its.id) name=(its.name) value=[value] inputmode=[keypad] autocomplete="off"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.error.is_some()];
                (its.notes(hint))
            }
        }
    }

    /// A line of text.
    pub fn text(&self, field: Field, label: &str, now: Option<&str>, hint: &str) -> Markup {
        self.text_from(field, label, now, hint, None)
    }

    /// A line of text, with suggestions from the page's list of that id.
    pub fn text_from(
        &self,
        field: Field,
        label: &str,
        now: Option<&str>,
        hint: &str,
        list: Option<&str>,
    ) -> Markup {
        let value = self.typed_value(field).or(now);
        let its = self.markup(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) }
                input id=(its.id) name=(its.name) value=[value] list=[list] autocomplete="off"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.error.is_some()];
                (its.notes(hint))
            }
        }
    }

    /// Text of several lines.
    pub fn lines(&self, field: Field, label: &str, now: Option<&str>, hint: &str) -> Markup {
        let value = self.typed_value(field).or(now).unwrap_or_default();
        let its = self.markup(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) }
                textarea id=(its.id) name=(its.name) rows="3" autocomplete="off" autocapitalize="none" spellcheck="false"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.error.is_some()] { (value) }
                (its.notes(hint))
            }
        }
    }

    /// A list to choose from: pairs of value and label.
    pub fn select(
        &self,
        field: Field,
        label: &str,
        now: Option<&str>,
        options: &[(String, String)],
    ) -> Markup {
        let value = self.typed_value(field).or(now);
        let its = self.markup(field, "");
        html! {
            div.field {
                label for=(its.id) { (label) }
                select id=(its.id) name=(its.name) aria-describedby=[&its.described_by]
                    aria-invalid=[its.invalid()] autofocus[its.error.is_some()] {
                    @for (key, label) in options {
                        option value=(key) selected[value == Some(key.as_str())] { (label) }
                    }
                }
                (its.notes(""))
            }
        }
    }

    /// Two or three options side by side, none of them picked.
    pub fn radios(&self, field: Field, label: &str, options: &[(&str, &str)]) -> Markup {
        self.radio_group(field, label, self.typed_value(field), options)
    }

    /// Options side by side, of which one is picked; the one of an empty key stands for none.
    pub fn radios_from(
        &self,
        field: Field,
        label: &str,
        now: Option<&str>,
        options: &[(&str, &str)],
    ) -> Markup {
        let picked = match self.rejected {
            Some(_) => self.typed_value(field),
            None => now,
        };
        self.radio_group(field, label, Some(picked.unwrap_or_default()), options)
    }

    fn radio_group(
        &self,
        field: Field,
        label: &str,
        picked: Option<&str>,
        options: &[(&str, &str)],
    ) -> Markup {
        let its = self.markup(field, "");
        html! {
            fieldset.radio-group id=(its.id) aria-describedby=[&its.described_by] {
                legend { (label) }
                @for (index, (key, label)) in options.iter().enumerate() {
                    label.choice {
                        input type="radio" name=(its.name) value=(key) checked[picked == Some(*key)]
                            autofocus[index == 0 && its.error.is_some()];
                        span { (label) }
                    }
                }
                (its.notes(""))
            }
        }
    }

    /// A check box of several with the same name, each with its own value.
    pub fn pick(&self, field: Field, label: &str, value: &str, now: bool) -> Markup {
        let checked = self.rejected.map_or(now, |rejected| {
            rejected.request.fields(field).any(|typed| typed == value)
        });
        html! {
            label.choice {
                input type="checkbox" name=(field.name()) value=(value) checked[checked];
                span { (label) }
            }
        }
    }

    /// A check box.
    pub fn checkbox(&self, field: Field, label: &str, now: bool) -> Markup {
        let checked = self
            .rejected
            .map_or(now, |rejected| rejected.request.field(field).is_some());
        html! {
            label.choice {
                input type="checkbox" name=(field.name()) value="yes" checked[checked];
                span { (label) }
            }
        }
    }
}

/// Hidden fields that name the entries a form replaces.
pub fn replaced_entries(entries: impl IntoIterator<Item = EntryId>) -> Markup {
    html! { @for entry in entries { (hidden(Field::Replaces, entry)) } }
}

/// A hidden field.
pub fn hidden(field: Field, value: impl std::fmt::Display) -> Markup {
    html! { input type="hidden" name=(field.name()) value=(value); }
}

/// A length as it is put into a field to be edited: as people read it if that says all of it,
/// otherwise to the last nanometer, so that saving it unchanged records the same length.
fn editable(length: Length, unit: Unit) -> String {
    let shown = length.show(unit);
    if Length::parse(&shown, None) == Ok(length) {
        shown
    } else {
        length.exact()
    }
}

/// Reads a length, or a drill where a diameter is asked for; `None` if the field is empty.
pub fn length(
    request: &Request,
    field: Field,
    label: &str,
    unit: Unit,
) -> Result<Option<Length>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    let parse = if field.is_diameter() {
        Length::parse_diameter
    } else {
        Length::parse
    };
    parse(text, Some(unit))
        .map(Some)
        .map_err(|error| FormError::of(field, label, error))
}

/// Reads a length that is required.
pub fn required_length(
    request: &Request,
    field: Field,
    label: &str,
    unit: Unit,
) -> Result<Length, FormError> {
    length(request, field, label, unit)?
        .ok_or_else(|| FormError::of(field, label, "required; enter the measured value"))
}

/// Reads text that is required.
pub fn required_text<'a>(
    request: &'a Request,
    field: Field,
    label: &str,
) -> Result<&'a str, FormError> {
    request
        .field(field)
        .ok_or_else(|| FormError::of(field, label, "required; enter it"))
}

/// Reads the entries that the page showed, which are the ones that the form replaces.
pub fn replaces(request: &Request) -> Result<Vec<EntryId>, FormError> {
    request
        .fields(Field::Replaces)
        .map(|text| {
            text.parse().map_err(|_| {
                FormError::new("This page has an unreadable entry id; reload the page.")
            })
        })
        .collect()
}

/// The page that a form leads back to, if it names one: a path of letters, digits, and hyphens.
pub fn back(request: &Request) -> Option<&str> {
    let back = request.field(Field::Back)?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '/' | '-');
    let is_path = back.starts_with('/') && !back.contains("//") && back.chars().all(plain);
    is_path.then_some(back)
}

/// Label of the reason for saving what was asked about.
const REASON: &str = "Reason";

/// Keys of the questions that the person has answered.
fn confirmed(request: &Request) -> impl Iterator<Item = &str> {
    request
        .fields(Field::Confirmed)
        .flat_map(str::split_whitespace)
}

/// Rejects a form with the questions that it raises, each at its field, until the person says that
/// all is right, and gives a reason where a question needs one.
pub fn ask(
    request: &Request,
    questions: impl IntoIterator<Item = (Question, Option<Field>)>,
) -> Result<(), FormError> {
    let no_reason = request.field(Field::Reason).is_none();
    let is_confirmed = |question: &Question| confirmed(request).any(|key| key == question.key);
    let open: Vec<(Question, Option<Field>)> = questions
        .into_iter()
        .filter(|(question, _)| !is_confirmed(question) || question.needs_reason && no_reason)
        .collect();
    let Some((first, field)) = open.first() else {
        return Ok(());
    };
    let message = if is_confirmed(first) {
        format!("{REASON}: required; say why it is right")
    } else {
        first.sentence.clone()
    };
    Err(FormError {
        message,
        field: *field,
        questions: open.into_iter().map(|(question, _)| question).collect(),
    })
}

/// Reads an angle in degrees.
pub fn degrees(request: &Request, field: Field, label: &str) -> Result<Option<f64>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    match text
        .trim_end_matches('°')
        .trim_end()
        .replace(',', ".")
        .parse::<f64>()
    {
        Ok(degrees) if degrees.is_finite() && degrees.abs() <= 360.0 => Ok(Some(degrees)),
        _ => {
            let message = format!("'{text}' is not an angle; enter 0 to 360 degrees");
            Err(FormError::of(field, label, message))
        }
    }
}

impl From<NotebookError> for FormError {
    fn from(error: NotebookError) -> Self {
        Self::new(error.to_string())
    }
}

/// Parses a torque, in ft-lb if the unit is inches and N·m if it is millimeters, unless a unit is typed with
/// it. Returns newton meters.
pub fn torque(
    request: &Request,
    field: Field,
    label: &str,
    unit: Unit,
) -> Result<Option<f64>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    let units = [
        ("in-lb", POUND_FOOT_NM_TORQUE / 12.0),
        ("ft-lb", POUND_FOOT_NM_TORQUE),
        ("N·m", 1.0),
        ("Nm", 1.0),
    ];
    let typed = units
        .into_iter()
        .find_map(|(name, nm)| Some((text.strip_suffix(name)?, nm)));
    let (number, nm) = typed.unwrap_or((
        text,
        match unit {
            Unit::Inch => POUND_FOOT_NM_TORQUE,
            Unit::Millimeter => 1.0,
        },
    ));
    let number = number
        .trim_end()
        .replace(',', ".")
        .parse::<f64>()
        .ok()
        .filter(|torque| torque.is_finite() && *torque > 0.0 && *torque < 10_000.0);
    match number {
        Some(number) => Ok(Some(number * nm)),
        None => {
            let message = format!("'{text}' is not a torque; enter a number above 0");
            Err(FormError::of(field, label, message))
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::editable;
    use holebook_core::length::{Length, Unit};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn editable_value_parses_to_the_same_length(nm in prop_oneof![-100_000_000_000_i64..=100_000_000_000, -9_000..=9_000_i64]) {
            let x = Length::from_nm(nm);
            for unit in [Unit::Inch, Unit::Millimeter] {
                prop_assert_eq!(Length::parse(&editable(x, unit), Some(unit)).unwrap(), x);
            }
        }
    }
}
