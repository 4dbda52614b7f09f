//! Conflicts: entries that disagree, side by side, each with a button to use it.

use super::ask::taken_again;
use super::{HolePage, damage, number, readings};
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::labels::{author, count, sentence};
use crate::newest::newest;
use crate::page::{Crumb, Page};
use holebook_core::hole::condition::FirstLook;
use holebook_core::hole::next_question::Topic;
use holebook_core::hole::problem::Problem;
use holebook_core::hole::record::{Choice, FactEntries, Recorded, WantedThread};
use holebook_core::hole::stage::{Conflict, Fact};
use holebook_core::length::in_unit;
use holebook_core::notebook::EntryId;
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
                    li {
                        (sentence(&in_unit(&conflict.to_string(), unit)))
                        @if let Conflict::ReadingsDiffer { entries, .. } = conflict { (readings::differing(entries, page)) }
                        @if let Conflict::SetupDiffers { .. } = conflict {
                            p { a.button href=(format!("/face/{}/setup", page.hole.face)) { "Open the setup" } }
                        }
                    }
                } }
                @if record.wanted.differ() {
                    (choices(Fact::Wanted, page, &record.wanted, wanted))
                }
                @if record.condition.differ() {
                    (choices(Fact::Condition, page, &record.condition, condition))
                }
                @if record.damage.differ() {
                    (choices(Fact::Damage, page, &record.damage, |body| damage::describe(body, unit)))
                }
                @if record.choice.differ() {
                    (choices(Fact::Choice, page, &record.choice, |choice| remedy(page, choice)))
                }
                (number::conflict(page))
                p.faint { "Strike out wrong work where it is listed. It stays readable." }
            }
        }
    }
}

/// The open problems of the hole; nothing if it has none.
pub fn problems(page: &HolePage<'_>) -> Markup {
    let problems = &page.plan.status.problems;
    html! {
        @if !problems.is_empty() {
            section.panel.conflict aria-labelledby="problems" {
                h2 #problems { "Open problems" }
                ul { @for problem in problems {
                    li {
                        (sentence(&in_unit(&problem.to_string(), page.context.unit)))
                        @if matches!(problem, Problem::FaceCutChanged { .. }) {
                            p { a.button href=(format!("/face/{}/heights", page.hole.face)) { "Face heights" } }
                        }
                        // Where the damage is asked for anyway, its card has these buttons.
                        @if matches!(problem, Problem::PlacesChanged { .. }) && !asks_damage(page) { (taken_again(page)) }
                    }
                } }
            }
        }
    }
}

fn asks_damage(page: &HolePage<'_>) -> bool {
    let asked = page.asked.as_ref();
    asked.is_some_and(|asked| asked.question.topic == Topic::Damage)
}

/// A fact's word in the form.
const fn word(fact: Fact) -> &'static str {
    match fact {
        Fact::Wanted => "wanted-thread",
        Fact::Condition => "condition",
        Fact::Damage => "damage",
        Fact::Choice => "remedy",
    }
}

/// The fact that a word in the form names.
pub fn fact_of(text: &str) -> Option<Fact> {
    [Fact::Wanted, Fact::Condition, Fact::Damage, Fact::Choice]
        .into_iter()
        .find(|fact| word(*fact) == text)
}

const fn heading(fact: Fact) -> &'static str {
    match fact {
        Fact::Wanted => "Wanted thread",
        Fact::Condition => "Condition",
        Fact::Damage => "Damage",
        Fact::Choice => "Remedy",
    }
}

/// A fact's newest entries, and a link to the others.
fn choices<T>(
    fact: Fact,
    page: &HolePage<'_>,
    entries: &FactEntries<T>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    let (shown, earlier) = newest(&entries.0);
    html! {
        h3 { (heading(fact)) ": " (entries.0.len()) " entries disagree" }
        (form(fact, page, entries, shown, &show))
        @if earlier > 0 {
            p { a.button href=(format!("/hole/{}/conflict?fact={}", page.hole.id, word(fact))) {
                (count(earlier, "earlier entry", "earlier entries"))
            } }
        }
    }
}

/// One form for several entries, so that those which it replaces are listed once.
fn form<'e, T: 'e>(
    fact: Fact,
    page: &HolePage<'_>,
    entries: &FactEntries<T>,
    shown: impl Iterator<Item = &'e Recorded<T>>,
    show: impl Fn(&T) -> Markup,
) -> Markup {
    html! {
        form method="post" action=(page.address(FormName::Resolve)) {
            (hidden(Field::Kind, word(fact)))
            (page.replaces(&entries.0))
            div.side-by-side { @for entry in shown { div {
                (show(&entry.body))
                p { (page.authors.describe(entry)) }
                button name=(Field::Entry.name()) value=(entry.entry) {
                    "Use this one" span.visually-hidden { ": " (heading(fact)) " by " (author(&entry.by)) }
                }
            } } }
        }
    }
}

/// Entries on one page of a conflict.
const ON_PAGE: usize = 50;

/// A page of a conflict alone: the entries before `before`, newest first; nothing if the fact is not
/// in conflict.
pub fn show(page: &HolePage<'_>, fact: Fact, before: Option<EntryId>) -> Option<Page> {
    let (record, unit) = (&page.hole.record, page.context.unit);
    let content = match fact {
        Fact::Wanted => of_page(fact, page, &record.wanted, before, wanted),
        Fact::Condition => of_page(fact, page, &record.condition, before, condition),
        Fact::Damage => of_page(fact, page, &record.damage, before, |body| {
            damage::describe(body, unit)
        }),
        Fact::Choice => of_page(fact, page, &record.choice, before, |choice| {
            remedy(page, choice)
        }),
    };
    let title = format!("Hole {}: {}", page.hole.number, heading(fact));
    let back = format!("/hole/{}", page.hole.id);
    let crumbs = [
        Crumb::to(format!("Hole {}", page.hole.number), back),
        Crumb::here("Resolve conflict"),
    ];
    let content = content?;
    Some(Page::new(
        &title,
        crumbs,
        html! { h1 { (title) } section.panel.conflict { (content) } },
    ))
}

fn of_page<T: PartialEq>(
    fact: Fact,
    page: &HolePage<'_>,
    entries: &FactEntries<T>,
    before: Option<EntryId>,
    show: impl Fn(&T) -> Markup,
) -> Option<Markup> {
    if !entries.differ() {
        return None;
    }
    let end = before.map_or(entries.0.len(), |before| {
        entries.0.partition_point(|entry| entry.entry < before)
    });
    let start = end.saturating_sub(ON_PAGE);
    let shown = &entries.0[start..end];
    Some(html! {
        p { (entries.0.len()) " entries disagree. The one that you pick replaces all of them." }
        (form(fact, page, entries, shown.iter().rev(), show))
        @if let Some(last) = shown.first().filter(|_| start > 0) {
            p { a.button href=(format!("/hole/{}/conflict?fact={}&before={}", page.hole.id, word(fact), last.entry)) {
                (count(start, "earlier entry", "earlier entries"))
            } }
        }
    })
}

fn condition(look: &FirstLook) -> Markup {
    html! { p.big { (look.condition.letter()) " " (look.condition) } }
}

fn wanted(wanted: &WantedThread) -> Markup {
    html! { p.big { (wanted.thread.designation()) } (bolt_and_hole(wanted)) }
}

fn remedy(page: &HolePage<'_>, choice: &Choice) -> Markup {
    html! { p { b { (page.remedy_label(&choice.spec)) } } }
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
