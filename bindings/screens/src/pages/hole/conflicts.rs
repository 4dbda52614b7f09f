//! Conflicts: entries that disagree, side by side, each with a button to use it.

use super::{HolePage, damage, number};
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::labels::{author, sentence};
use holebook_core::hole::record::{FactEntries, Recorded, WantedThread};
use holebook_core::hole::stage::Fact;
use holebook_core::length::in_unit;
use maud::{Markup, html};

/// All conflicts of the hole; nothing if it has none.
pub fn section(page: &HolePage<'_>) -> Markup {
    let record = &page.hole.record;
    let unit = page.context.unit;
    html! {
        @if page.hole.conflict {
            section.panel.conflict id=[page.is_next(FormName::Resolve).then_some("next")] aria-labelledby="conflicts" {
                h2 #conflicts { "Resolve conflict" }
                ul { @for conflict in &page.hole.status.conflicts {
                    li { (sentence(&in_unit(&conflict.to_string(), unit))) }
                } }
                @if record.wanted.differ() {
                    (choices(Fact::Wanted, page, &record.wanted, |wanted| html! { p.big { (wanted.thread.designation()) } (bolt_and_hole(wanted)) }))
                }
                @if record.damage.differ() {
                    (choices(Fact::Damage, page, &record.damage, |body| damage::describe(body, unit)))
                }
                @if record.choice.differ() {
                    (choices(Fact::Choice, page, &record.choice, |choice| html! { p { b { (page.remedy_label(&choice.spec)) } } }))
                }
                (number::conflict(page))
                p.faint { "Strike out wrong readings, checks and work where they are listed. They stay readable." }
            }
        }
    }
}

/// A fact's word in the form.
const fn word(fact: Fact) -> &'static str {
    match fact {
        Fact::Wanted => "wanted-thread",
        Fact::Damage => "damage",
        Fact::Choice => "remedy",
    }
}

/// The fact that a word in the form names.
pub fn fact_of(text: &str) -> Option<Fact> {
    [Fact::Wanted, Fact::Damage, Fact::Choice]
        .into_iter()
        .find(|fact| word(*fact) == text)
}

const fn heading(fact: Fact) -> &'static str {
    match fact {
        Fact::Wanted => "Wanted thread",
        Fact::Damage => "Damage",
        Fact::Choice => "Remedy",
    }
}

fn choices<T: PartialEq>(
    fact: Fact,
    page: &HolePage<'_>,
    entries: &FactEntries<T>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    html! {
        h3 { (heading(fact)) ": " (entries.0.len()) " entries disagree" }
        div.side-by-side {
            @for entry in &entries.0 { (choice(fact, page, entries, entry, &show)) }
        }
    }
}

fn choice<T: PartialEq>(
    fact: Fact,
    page: &HolePage<'_>,
    entries: &FactEntries<T>,
    entry: &Recorded<T>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    html! {
        form method="post" action=(page.address(FormName::Resolve)) {
            (show(&entry.body))
            p { (page.authors.describe(entry)) }
            (hidden(Field::Kind, word(fact)))
            (hidden(Field::Entry, entry.entry))
            (page.replaces(&entries.0))
            button { "Use this one" span.visually-hidden { ": " (heading(fact)) " by " (author(&entry.by)) } }
        }
    }
}

fn bolt_and_hole(wanted: &WantedThread) -> Markup {
    let bolt = wanted
        .bolt
        .map_or("bolt grade unknown".to_owned(), |grade| grade.to_string());
    let through = match wanted.through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "through or blind unknown",
    };
    html! { p { (bolt) ", " (through) } }
}
