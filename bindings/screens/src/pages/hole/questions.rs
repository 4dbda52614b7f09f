//! What is in question: answers that differ, side by side, and settling them.

use super::Leaf;
use super::damage;
use crate::words::work;
use holebook_core::hole::record::{Answers, Said, Wanted};
use maud::{Markup, html};

/// The leaf of everything in question; nothing where all agrees.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    let record = &leaf.hole.record;
    let questions = &leaf.hole.standing.questions;
    html! {
        @if leaf.hole.in_question {
            section.leaf.question id=[leaf.is_next("settle").then_some("next")] aria-labelledby="questions" {
                h2 #questions { "In question" }
                ul { @for question in questions { li { (question) } } }
                @if record.wanted.differ() {
                    (sides("Wanted thread", "wanted", leaf, &record.wanted, |wanted| html! { p.big { (wanted.thread.designation()) } (wanted_rest(wanted)) }))
                }
                @if record.damage.differ() {
                    (sides("Damage", "damage", leaf, &record.damage, |body| damage::words(body, leaf.desk.unit)))
                }
                @if record.choice.differ() {
                    (sides("Remedy", "remedy", leaf, &record.choice, |choice| html! { p { b { (work(&choice.work, leaf.desk.unit)) } } }))
                }
                (super::number::question(leaf))
                p.faint { "Readings, checks and work that are wrong are struck where they stand, with a reason; they stay readable." }
            }
        }
    }
}

/// Two or more answers to one question, each with a button that lets it stand.
fn sides<T: PartialEq>(
    what: &str,
    kind: &str,
    leaf: &Leaf<'_>,
    answers: &Answers<T>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    html! {
        h3 { (what) ": two answers" }
        div.answers {
            @for said in &answers.0 { (side(what, kind, leaf, answers, said, &show)) }
        }
    }
}

fn side<T: PartialEq>(
    what: &str,
    kind: &str,
    leaf: &Leaf<'_>,
    answers: &Answers<T>,
    said: &Said<T>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    html! {
        form method="post" action=(leaf.path("settle")) {
            (show(&said.body))
            p { (leaf.writers.words(said)) }
            input type="hidden" name="kind" value=(kind);
            input type="hidden" name="stands" value=(said.entry);
            (leaf.over(&answers.0))
            button { "This one stands" span.hidden { " for the " (what.to_lowercase()) ", as " (crate::words::writer(&said.by)) " says" } }
        }
    }
}

fn wanted_rest(wanted: &Wanted) -> Markup {
    let bolt = wanted
        .bolt
        .map_or("bolt not known".to_owned(), |grade| grade.to_string());
    let through = match wanted.through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "through or blind not known",
    };
    html! { p { (bolt) ", " (through) } }
}
