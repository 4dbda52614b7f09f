//! The next thing to do: the banner that names it, and the form that does it.

use crate::form_names::FormName;
use crate::labels::sentence_case;
use holebook_core::hole::next::NextAction;
use holebook_core::hole::steps::StepKey;
use maud::{Markup, html};

/// Which form of the page does the next thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NextForm {
    /// A form.
    Form(FormName),
    /// The form of a step.
    Step(StepKey),
    /// None is left.
    None,
}

/// The form that does it.
pub fn form(next: &NextAction) -> NextForm {
    match next {
        NextAction::ResolveConflict => NextForm::Form(FormName::Resolve),
        NextAction::Measure => NextForm::Form(FormName::Readings),
        NextAction::DescribeDamage => NextForm::Form(FormName::Damage),
        NextAction::SetThread => NextForm::Form(FormName::WantedThread),
        NextAction::ChooseRemedy | NextAction::ReviewRemedies | NextAction::Crack => {
            NextForm::Form(FormName::Remedy)
        }
        NextAction::AtSpecialist => NextForm::Step(StepKey::FinalCheck),
        NextAction::Step { step, .. } => NextForm::Step(*step),
        NextAction::Done => NextForm::None,
    }
}

/// The banner at the top of the page that names it and links to it.
pub fn banner(next: &NextAction) -> Markup {
    let text = sentence_case(&next.to_string());
    html! {
        @if *next == NextAction::Done {
            p.next-banner.done { (text) }
        } @else {
            a.next-banner href="#next" { span { "Next" } b { (text) } }
        }
    }
}
