//! The final check of a hole that is left as is: one tap, with the usual way of checking picked.

use super::HolePage;
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use holebook_core::hole::record::Remedy;
use holebook_core::hole::steps::StepKey;
use maud::{Markup, html};

/// Ways to check a thread that nothing was done to, the usual one first (common practice, no
/// source).
const WAYS: [&str; 3] = [
    "bolt runs in by hand to full depth",
    "thread plug gauge runs in by hand",
    "new bolt to its torque",
];

/// Whether the next step is the final check of a hole that is left as is.
pub fn is_next(key: StepKey, page: &HolePage<'_>) -> bool {
    let chosen = page.plan.chosen().map(|one| one.remedy);
    key == StepKey::FinalCheck && chosen == Some(Remedy::Leave)
}

/// The form with its two buttons.
pub fn form(page: &HolePage<'_>) -> Markup {
    html! {
        form.ask method="post" action=(page.address(FormName::FinalCheck)) {
            (hidden(Field::Step, StepKey::FinalCheck.word()))
            @for entry in &page.hole.record.choice.0 { (hidden(Field::Choice, entry.entry)) }
            fieldset {
                legend { "Checked by" }
                @for (index, way) in WAYS.iter().enumerate() {
                    label.choice { input type="radio" name=(Field::CheckedBy.name()) value=(way) checked[index == 0]; span { (way) } }
                }
            }
            p { button.main name=(Field::Result.name()) value="yes" { "Passed" } }
            p { button name=(Field::Result.name()) value="no" { "Failed" } }
        }
    }
}
