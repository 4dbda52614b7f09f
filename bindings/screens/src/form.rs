//! Forms: their fields on the page, and what a person typed read back, with one sentence where it can't be.

use crate::carrier::Request;
use crate::pages::Refused;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{EntryId, NotebookError};
use maud::{Markup, html};

/// A sentence for the person whose form could not be taken; nothing was recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{sentence}")]
pub struct Refusal {
    /// What is wrong, and what to do.
    pub sentence: String,
    /// The name of the field it is about, where it is about one.
    pub field: Option<String>,
}

impl Refusal {
    /// A refusal of the whole form.
    pub fn new(sentence: String) -> Self {
        Self {
            sentence,
            field: None,
        }
    }

    /// A refusal of what is labelled so.
    pub fn of(label: &str, sentence: impl std::fmt::Display) -> Self {
        Self::new(format!("{label}: {sentence}"))
    }

    /// The same, with the name of the field to mend.
    pub fn at(self, field: &str) -> Self {
        Self {
            field: Some(field.to_owned()),
            ..self
        }
    }
}

/// One form of a page: which, in which unit the reader works, and what was typed when it was refused.
#[derive(Clone, Copy)]
pub struct Form<'a> {
    /// The form's name on its page; field ids begin with it.
    pub name: &'a str,
    /// The unit of bare numbers.
    pub unit: Unit,
    /// What was refused, if it was this form: its values are shown again, its wrong field is pointed out.
    pub refused: Option<&'a Refused<'a>>,
}

/// What the markup of one field needs: its id, and what describes it.
struct Field<'a> {
    id: String,
    described_by: Option<String>,
    wrong: Option<&'a str>,
}

impl Field<'_> {
    /// The lines under the field: what is wrong with what was typed, and the hint.
    fn notes(&self, hint: &str) -> Markup {
        html! {
            @if let Some(sentence) = self.wrong {
                small.wrong id=(format!("{}-wrong", self.id)) { (crate::words::sentence_case(sentence)) }
            }
            @if !hint.is_empty() { small id=(format!("{}-hint", self.id)) { (hint) } }
        }
    }

    /// `true` where the value was refused, otherwise nothing.
    fn invalid(&self) -> Option<&'static str> {
        self.wrong.map(|_| "true")
    }
}

impl<'a> Form<'a> {
    fn typed_value(&self, field: &str) -> Option<&'a str> {
        self.refused
            .and_then(|refused| refused.request.field(field))
    }

    fn field(&self, field: &str, hint: &str) -> Field<'a> {
        let id = format!("{}-{field}", self.name);
        let wrong = self
            .refused
            .filter(|refused| refused.field == Some(field))
            .map(|refused| refused.sentence.as_str());
        let notes = [
            wrong.map(|_| format!("{id}-wrong")),
            (!hint.is_empty()).then(|| format!("{id}-hint")),
        ];
        let notes: Vec<String> = notes.into_iter().flatten().collect();
        Field {
            described_by: (!notes.is_empty()).then(|| notes.join(" ")),
            wrong,
            id,
        }
    }

    /// Whether this field is the one that was refused.
    pub fn is_wrong(&self, field: &str) -> bool {
        self.refused
            .is_some_and(|refused| refused.field == Some(field))
    }

    /// Whether something was written in one of these fields when the form was refused, or one of them is why.
    pub fn any_typed(&self, fields: &[&str]) -> bool {
        let mut fields = fields.iter();
        fields.any(|field| self.is_wrong(field) || self.typed_value(field).is_some())
    }

    /// A length, in the reader's unit unless another is written with it.
    pub fn length(&self, field: &str, label: &str, now: Option<Length>, hint: &str) -> Markup {
        let value = self
            .typed_value(field)
            .map(str::to_owned)
            .or_else(|| now.map(|length| editable(length, self.unit)));
        // A keypad of digits has no stroke for 25/64, so it is asked for in millimetres only.
        let keypad = (self.unit == Unit::Millimetre).then_some("decimal");
        let its = self.field(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) " (" (unit_word(self.unit)) ")" }
                input id=(its.id) name=(field) value=[value] inputmode=[keypad] autocomplete="off"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.wrong.is_some()];
                (its.notes(hint))
            }
        }
    }

    /// A line of words.
    pub fn text(&self, field: &str, label: &str, now: Option<&str>, hint: &str) -> Markup {
        self.text_from(field, label, now, hint, None)
    }

    /// A line of words, offered from the page's list of that id.
    pub fn text_from(
        &self,
        field: &str,
        label: &str,
        now: Option<&str>,
        hint: &str,
        list: Option<&str>,
    ) -> Markup {
        let value = self.typed_value(field).or(now);
        let its = self.field(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) }
                input id=(its.id) name=(field) value=[value] list=[list] autocomplete="off"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.wrong.is_some()];
                (its.notes(hint))
            }
        }
    }

    /// Words that may run over several lines.
    pub fn lines(&self, field: &str, label: &str, now: Option<&str>, hint: &str) -> Markup {
        let value = self.typed_value(field).or(now).unwrap_or_default();
        let its = self.field(field, hint);
        html! {
            div.field {
                label for=(its.id) { (label) }
                textarea id=(its.id) name=(field) rows="3" autocomplete="off" autocapitalize="none" spellcheck="false"
                    aria-describedby=[&its.described_by] aria-invalid=[its.invalid()] autofocus[its.wrong.is_some()] { (value) }
                (its.notes(hint))
            }
        }
    }

    /// One of a few, as a list to choose from: pairs of value and words.
    pub fn choose(
        &self,
        field: &str,
        label: &str,
        now: Option<&str>,
        of: &[(String, String)],
    ) -> Markup {
        let value = self.typed_value(field).or(now);
        let its = self.field(field, "");
        html! {
            div.field {
                label for=(its.id) { (label) }
                select id=(its.id) name=(field) aria-describedby=[&its.described_by]
                    aria-invalid=[its.invalid()] autofocus[its.wrong.is_some()] {
                    @for (key, words) in of {
                        option value=(key) selected[value == Some(key.as_str())] { (words) }
                    }
                }
                (its.notes(""))
            }
        }
    }

    /// One of two or three, side by side.
    pub fn one_of(&self, field: &str, label: &str, of: &[(&str, &str)]) -> Markup {
        let its = self.field(field, "");
        html! {
            fieldset.one-of id=(its.id) aria-describedby=[&its.described_by] {
                legend { (label) }
                @for (place, (key, words)) in of.iter().enumerate() {
                    label.choice {
                        input type="radio" name=(field) value=(key) checked[self.typed_value(field) == Some(*key)]
                            autofocus[place == 0 && its.wrong.is_some()];
                        span { (words) }
                    }
                }
                (its.notes(""))
            }
        }
    }

    /// Yes or no.
    pub fn tick(&self, field: &str, label: &str, now: bool) -> Markup {
        let ticked = self
            .refused
            .map_or(now, |refused| refused.request.field(field).is_some());
        html! {
            label.choice {
                input type="checkbox" name=(field) value="yes" checked[ticked];
                span { (label) }
            }
        }
    }
}

/// The unit's short name as it stands beside a field.
pub fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "in",
        Unit::Millimetre => "mm",
    }
}

/// A length as it stands in a field to be corrected: as people read it where that says all of it,
/// otherwise to the last nanometre, so that recording it again changes nothing.
fn editable(length: Length, unit: Unit) -> String {
    let shown = length.show(unit);
    if Length::parse(&shown, None) == Ok(length) {
        shown
    } else {
        length.exact()
    }
}

/// A length from a field that may be left empty.
pub fn length(
    request: &Request,
    field: &str,
    label: &str,
    unit: Unit,
) -> Result<Option<Length>, Refusal> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    Length::parse(text, Some(unit))
        .map(Some)
        .map_err(|error| Refusal::of(label, error).at(field))
}

/// A length from a field that must be filled.
pub fn needed_length(
    request: &Request,
    field: &str,
    label: &str,
    unit: Unit,
) -> Result<Length, Refusal> {
    length(request, field, label, unit)?.ok_or_else(|| {
        Refusal::of(label, "nothing is written; write the value that was read").at(field)
    })
}

/// Words from a field that must be filled.
pub fn needed_text<'a>(
    request: &'a Request,
    field: &'a str,
    label: &str,
) -> Result<&'a str, Refusal> {
    request
        .field(field)
        .ok_or_else(|| Refusal::of(label, "nothing is written; write a few words").at(field))
}

/// The answers that stood on the page the form came from; the new one replaces just these.
pub fn over(request: &Request) -> Result<Vec<EntryId>, Refusal> {
    request
        .fields("over")
        .map(|text| {
            text.parse().map_err(|_| {
                Refusal::of(
                    "This page",
                    "an entry's name on it can't be read; open the page again",
                )
            })
        })
        .collect()
}

impl From<NotebookError> for Refusal {
    fn from(error: NotebookError) -> Self {
        Self::new(error.to_string())
    }
}

/// A torque in the unit that goes with the reader's lengths (pound-force feet or newton metres), in newton metres.
pub fn torque(
    request: &Request,
    field: &str,
    label: &str,
    unit: Unit,
) -> Result<Option<f64>, Refusal> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    let number = text
        .replace(',', ".")
        .parse::<f64>()
        .ok()
        .filter(|torque| torque.is_finite() && *torque > 0.0 && *torque < 10_000.0);
    let number = number.ok_or_else(|| {
        Refusal::of(
            label,
            format!("'{text}' is not a torque; write a number above 0"),
        )
        .at(field)
    })?;
    Ok(Some(match unit {
        Unit::Inch => number * holebook_core::strength::POUND_FOOT_NM_TORQUE,
        Unit::Millimetre => number,
    }))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::editable;
    use holebook_core::length::{Length, Unit};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_stands_in_a_field_records_the_same_length_again(nm in prop_oneof![-100_000_000_000_i64..=100_000_000_000, -9_000..=9_000_i64]) {
            let x = Length::from_nm(nm);
            for unit in [Unit::Inch, Unit::Millimetre] {
                prop_assert_eq!(Length::parse(&editable(x, unit), Some(unit)).unwrap(), x);
            }
        }
    }
}
