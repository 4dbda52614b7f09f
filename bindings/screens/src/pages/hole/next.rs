//! The next thing to do: the panel at the top of the page with its one big button.

use super::{HolePage, ask, choose_remedy, picture, steps};
use crate::form_names::FormName;
use crate::labels::{count, sentence_case};
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
    /// The card of a question.
    Question,
    /// None is left.
    None,
}

/// The form that does it.
pub fn form(page: &HolePage<'_>) -> NextForm {
    match &page.plan.next {
        _ if page.asked.is_some() => NextForm::Question,
        NextAction::ResolveConflict => NextForm::Form(FormName::Resolve),
        NextAction::SetThread => NextForm::Form(FormName::WantedThread),
        // Without a question, it was skipped: what is known has to do.
        NextAction::Measure
        | NextAction::DescribeDamage
        | NextAction::ChooseRemedy
        | NextAction::ReviewRemedies
        | NextAction::Crack => NextForm::Form(FormName::Remedy),
        NextAction::AtSpecialist => NextForm::Step(StepKey::FinalCheck),
        NextAction::Step { step, .. } => NextForm::Step(*step),
        NextAction::Done => NextForm::None,
    }
}

/// The panel: the hole in the photo, what to do, and what it takes to do it.
pub fn panel(page: &HolePage<'_>) -> Markup {
    let form = form(page);
    let title = title(page, form);
    html! {
        @match form {
            // Its own section is further down.
            NextForm::Form(FormName::Resolve) => {
                a.next-banner href="#conflicts" { span { "Next" } b { (title) } }
            },
            NextForm::None => {
                p.next-banner.done { (title) }
                (picture::cut_out(page))
            },
            _ => section.panel.next #next aria-labelledby="next-title" {
                h2.next-banner #next-title { span { "Next" } " " b { (title) } }
                (picture::cut_out(page))
                (body(page, form))
                (skipped(page))
            },
        }
    }
}

fn title(page: &HolePage<'_>, form: NextForm) -> String {
    let next = &page.plan.next;
    match (&page.asked, form) {
        (Some(asked), _) => ask::title(asked, page),
        (None, NextForm::Form(FormName::Remedy)) if *next == NextAction::Crack => next.to_string(),
        (None, NextForm::Form(FormName::Remedy)) if choose_remedy::is_left(page) => {
            "Sound: leave it as is".to_owned()
        }
        (None, NextForm::Form(FormName::Remedy)) if *next != NextAction::ReviewRemedies => {
            NextAction::ChooseRemedy.to_string()
        }
        _ => sentence_case(&next.to_string()),
    }
}

fn body(page: &HolePage<'_>, form: NextForm) -> Markup {
    match (&page.asked, form) {
        (Some(asked), _) => ask::card(asked, page),
        (None, NextForm::Step(key)) => steps::next_step(key, page),
        (None, NextForm::Form(FormName::Remedy)) => choose_remedy::choosing(page),
        (None, NextForm::Form(FormName::WantedThread)) => html! {
            p { a.button href="#set-thread" { "Set thread" } }
        },
        (None, _) => html! {},
    }
}

/// A link that asks again what was skipped.
fn skipped(page: &HolePage<'_>) -> Markup {
    html! {
        @if !page.skipped.is_empty() {
            p { a.button href=(format!("/hole/{}#next", page.hole.id)) {
                "Ask again: " (count(page.skipped.len(), "question skipped", "questions skipped"))
            } }
        }
    }
}
